//! `forebore new`: a survey folder to fill in.

use std::path::Path;
use std::process::ExitCode;

use super::output;

/// The files of the template, invented, with notes on every key.
const FILES: [(&str, &str); 4] = [
    ("survey.toml", include_str!("template/survey.toml")),
    ("neighbours.csv", include_str!("template/neighbours.csv")),
    ("compound.geojson", include_str!("template/compound.geojson")),
    ("local.toml", include_str!("template/local.toml")),
];

pub(super) fn run(folder: &Path) -> anyhow::Result<ExitCode> {
    output::fresh_folder(folder)?;
    for (name, text) in FILES {
        output::write(&folder.join(name), text)?;
    }
    let survey = folder.join("survey.toml");
    output::print(&format!(
        "Made {}. Everything in it is invented: put your own observations in its place, take out what you did not \
         observe, then run\n\n    forebore assess {}\n",
        folder.display(),
        survey.display()
    ))?;
    Ok(ExitCode::SUCCESS)
}
