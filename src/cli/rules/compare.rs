//! `forebore rules compare`: what a change of rules or region does to sites.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::bail;
use clap::{Args as ClapArgs, ValueEnum};

use super::sites::{self, Around, Item, Settings};
use super::{load, unusable};
use crate::cli::assess::stage;
use crate::cli::{UNUSABLE, output};
use crate::diag::{Problems, Sources};
use crate::report;
use crate::rules::RuleSet;
use crate::survey::{self, Stage};
use crate::tune;

#[derive(Debug, ClapArgs)]
pub(in crate::cli) struct Args {
    /// The first set of rules: a folder, or built-in
    a: String,
    /// The second set of rules: a folder, or built-in
    b: String,
    /// Surveys, folders of surveys, or tables of pegs (.csv, .geojson; see --around)
    #[arg(long, value_name = "SURVEYS", required = true, num_args = 1..)]
    on: Vec<PathBuf>,
    /// The survey whose hazards, wells, needs and signs hold for the pegs of a table
    #[arg(long, value_name = "SURVEY")]
    around: Option<PathBuf>,
    /// The setting on the first side; that of each survey where none is named
    #[arg(long, value_name = "NAME|FILE")]
    region_a: Option<String>,
    /// The setting on the second side; that of each survey where none is named
    #[arg(long, value_name = "NAME|FILE")]
    region_b: Option<String>,
    /// The local file on the first side
    #[arg(long, value_name = "FILE")]
    local_a: Option<PathBuf>,
    /// The local file on the second side
    #[arg(long, value_name = "FILE")]
    local_b: Option<PathBuf>,
    /// The decision at hand: desk-study, site-visit, trial-bore, mobilisation, drilling, completion or hand-over
    #[arg(long, value_parser = stage, default_value = "mobilisation")]
    stage: Stage,
    /// The format of the result
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Write the result to this file
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Text,
    /// For machines
    Json,
}

/// What stands for the built-in set.
const BUILT_IN: &str = "built-in";

pub(super) fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let mut set = |name: &str| {
        let folder = (name != BUILT_IN).then(|| Path::new(name));
        load(folder, &mut sources, &mut problems)
    };
    let (a, b) = (set(&args.a), set(&args.b));
    let around = args.around.as_ref().map(|path| survey::read_survey(path, &mut sources, &mut problems));
    let items = sites::items(&args.on, &mut sources, &mut problems)?;
    let settings = [(&args.region_a, &args.local_a), (&args.region_b, &args.local_b)];
    let settings = Settings::load(settings, &mut sources, &mut problems);
    let (Some(a), Some(b), Some(settings), None | Some(Some(_))) = (a, b, settings, &around) else {
        return unusable(&problems, &sources);
    };
    let tables = items.iter().any(|i| matches!(i, Item::Peg(_)));
    let around = around.flatten();
    let around = match &around {
        Some(survey) => Some(Around::new(survey, &settings).map_err(|why| anyhow::anyhow!(why))?),
        None if tables => {
            bail!("a table of pegs needs --around SURVEY, whose hazards and wells hold for its pegs")
        }
        None => None,
    };
    output::report(&problems, &sources);
    let comparison =
        tune::compare([&a, &b], &items, args.stage, |item| item.site(around.as_ref(), &settings));
    let head = |name: &str, set: &RuleSet, side: usize| {
        let region =
            settings.stated(side).map_or_else(String::new, |r| format!(", in {} ({})", r.title, r.hash()));
        format!("{name} ({}){region}", set.hash())
    };
    let about = report::compare::About {
        sides: [head(&args.a, &a, 0), head(&args.b, &b, 1)],
        stage: args.stage.name(),
        bores: settings.bores(),
        around: tables.then(|| args.around.as_ref().map(|p| p.display().to_string())).flatten(),
    };
    let text = match args.format {
        Format::Text => report::compare::text(&comparison, &about),
        Format::Json => report::compare::json(&comparison, &about),
    };
    match &args.out {
        Some(path) => output::write(path, &text)?,
        None => output::print(&text)?,
    }
    Ok(if comparison.sites == 0 { ExitCode::from(UNUSABLE) } else { ExitCode::SUCCESS })
}
