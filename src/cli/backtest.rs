//! `forebore backtest`: forecasts against records whose outcome is known.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Context;
use clap::{Args as ClapArgs, ValueEnum};

use super::records::{Text, hash};
use super::{UNUSABLE, output};
use crate::diag::{Origin, Problems, Sources};
use crate::region;
use crate::report;
use crate::tune::backtest::{BackTest, LeaveOut, Provenance, run as back_test};
use crate::tune::records::{Dates, Forecast, Given, read_records};

#[derive(Debug, ClapArgs)]
pub(super) struct Args {
    /// The records: a CSV, or GeoJSON points
    records: PathBuf,
    /// What the columns of the records mean (see docs/backtest.md)
    #[arg(long, value_name = "FILE")]
    map: PathBuf,
    /// What to forecast: depth-to-water, refusal, success or quality:NAME
    #[arg(long, value_name = "WHAT", value_parser = Forecast::parse)]
    forecast: Forecast,
    /// Which records are left out together: one, blocks:METRES or forward;
    /// state it again to report another way beside the first
    #[arg(long, value_name = "HOW", value_parser = LeaveOut::parse, default_value = "one")]
    leave_out: Vec<LeaveOut>,
    /// The setting: a name from `forebore regions list`, or a file
    #[arg(long, value_name = "NAME|FILE", default_value = region::UNSTATED)]
    region: String,
    /// A local file to lay over the setting
    #[arg(long, value_name = "FILE")]
    local: Option<PathBuf>,
    /// The format of the result
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Write the result to this file
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For a terminal, 80 columns wide
    Text,
    /// JSON
    Json,
}

pub(super) fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let result = result(args, &mut sources, &mut problems);
    output::report(&problems, &sources);
    let Some(result) = result else {
        anstream::eprintln!("The input could not be used; nothing was tried.");
        return Ok(ExitCode::from(UNUSABLE));
    };
    let text = match args.format {
        Format::Text => report::backtest::text(&result),
        Format::Json => report::backtest::json(&result).context("the result cannot be written as JSON")?,
    };
    match &args.out {
        Some(path) => output::write(path, &text)?,
        None => output::print(&text)?,
    }
    Ok(ExitCode::SUCCESS)
}

fn result(args: &Args, sources: &mut Sources, problems: &mut Problems) -> Option<BackTest> {
    let region = region::load(&args.region, args.local.as_deref(), sources, problems);
    let map_text = Text::of(&args.map, sources, problems);
    let map = map_text.map(region.as_ref(), problems);
    let text = Text::of(&args.records, sources, problems);
    let table = text.table(&args.records, problems);
    let (region, map, table) = (region?, map?, table?);
    let forward = args.leave_out.contains(&LeaveOut::Forward);
    let given =
        Given { map_name: &map_text.name, dates: if forward { Dates::Needed } else { Dates::Unused } };
    let records = read_records(&table, &map, &args.forecast, &given, problems)?;
    let layers: String = region.layers.iter().map(|(file, hash)| format!("{hash} {file}\n")).collect();
    let provenance = Provenance { records: text.hash(), map: map_text.hash(), region: hash(&layers) };
    match back_test(&records, &map, &args.forecast, &args.leave_out, &region, &provenance) {
        Ok(result) => Some(result),
        Err(why) => {
            let help = "Look at the map and at the rows that were skipped.";
            problems.error("cannot-forecast", Origin::whole(text.name.clone()), why, help);
            None
        }
    }
}
