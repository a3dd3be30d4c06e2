//! `forebore regions fit`: priors that records of wells propose.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use anyhow::Context;
use clap::{Args as ClapArgs, ValueEnum};

use super::records::Text;
use super::{UNUSABLE, output};
use crate::diag::{Origin, Problems, Sources};
use crate::region;
use crate::report;
use crate::tune::fit::{Asked, File, Fit, fit};

#[derive(Debug, ClapArgs)]
pub(super) struct Args {
    /// The records: a CSV, or GeoJSON points
    records: PathBuf,
    /// What the columns of the records mean (see docs/backtest.md)
    #[arg(long, value_name = "FILE")]
    map: PathBuf,
    /// The setting that is fitted: a name from `forebore regions list`, or a
    /// file
    #[arg(long, value_name = "NAME|FILE", default_value = region::UNSTATED)]
    region: String,
    /// TOML to review and use as a setting, or JSON
    #[arg(long, value_enum, default_value = "toml")]
    format: Format,
    /// Write the proposal to this new file; one that is there is never
    /// written over
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// A setting that a trainer reviews
    Toml,
    /// JSON
    Json,
}

pub(super) fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    if let Some(out) = &args.out {
        refuse_to_overwrite(out, &mut problems);
    }
    let fitted = fitted(args, &mut sources, &mut problems);
    output::report(&problems, &sources);
    let Some((fitted, base)) = fitted.filter(|_| !problems.any_error()) else {
        anstream::eprintln!("The input could not be used; nothing was written.");
        return Ok(ExitCode::from(UNUSABLE));
    };
    let text = match args.format {
        Format::Toml => report::fit::toml(&fitted, base.as_deref())?,
        Format::Json => report::fit::json(&fitted).context("the result cannot be written as JSON")?,
    };
    match &args.out {
        Some(path) => {
            output::write_new(path, &text)?;
            output::print(&summary(&fitted, path))?;
        }
        None => output::print(&text)?,
    }
    Ok(ExitCode::SUCCESS)
}

/// The fit, and the text of the setting beneath it.
fn fitted(args: &Args, sources: &mut Sources, problems: &mut Problems) -> Option<(Fit, Option<String>)> {
    let region = region::load(&args.region, None, sources, problems);
    let map_text = Text::of(&args.map, sources, problems);
    let map = map_text.map(region.as_ref(), problems);
    let text = Text::of(&args.records, sources, problems);
    let table = text.table(&args.records, problems);
    let (region, map, table) = (region?, map?, table?);
    let asked = Asked {
        table: &table,
        map: &map,
        map_name: &map_text.name,
        region: &region,
        records: File { name: name(&args.records), hash: text.hash() },
        map_file: File { name: name(&args.map), hash: map_text.hash() },
    };
    let fitted = fit(&asked, problems)?;
    let own = region.layers.last().filter(|_| region.id != region::UNSTATED);
    let base = own.and_then(|(file, _)| sources.text(file)).map(str::to_owned);
    Some((fitted, base))
}

/// A file's name without its folders: a proposal reads the same wherever the
/// records lie.
fn name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned())
}

fn refuse_to_overwrite(out: &Path, problems: &mut Problems) {
    // What a link points at, and a link that points at nothing, stay as well.
    if out.symlink_metadata().is_ok() {
        let at: Arc<str> = out.display().to_string().into();
        problems.error(
            "file-exists",
            Origin::whole(at),
            "is there already, and a proposal never writes over a file",
            "Name a new file with --out, or move this one away first.",
        );
    }
}

fn summary(fit: &Fit, out: &Path) -> String {
    let figures: usize = fit.topics.iter().map(|t| t.figures.len() + t.logs.len()).sum();
    let differ = fit.topics.iter().flat_map(|t| &t.figures).filter(|f| f.differs == Some(true)).count()
        + fit.topics.iter().flat_map(|t| &t.logs).filter(|l| l.differs).count();
    let not: usize = fit.topics.iter().map(|t| t.not_proposed.len()).sum();
    format!(
        "{}: {figures} figures proposed, {differ} of them apart from those in force by more than chance; {not} not \
         proposed, each with the reason in the file.\n",
        out.display()
    )
}
