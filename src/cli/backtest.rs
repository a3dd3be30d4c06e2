//! `forebore backtest`: forecasts and rules against records whose outcome is
//! known.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Context;
use clap::{ArgGroup, Args as ClapArgs, ValueEnum};

use super::records::{Text, hash};
use super::{UNUSABLE, output};
use crate::diag::{Origin, Problems, Sources};
use crate::region;
use crate::report;
use crate::report::backtest::Tested;
use crate::rules::RuleSet;
use crate::survey::Stage;
use crate::tune::backtest::judged::{JudgedFrom, Trial, judge_records, read_pegs};
use crate::tune::backtest::{LeaveOut, Provenance, run as back_test};
use crate::tune::records::{Dates, Forecast, Given, read_records};

#[derive(Debug, ClapArgs)]
#[command(group = ArgGroup::new("what").required(true).args(["forecast", "judge"]))]
pub(super) struct Args {
    /// The records: a CSV, or GeoJSON points
    records: PathBuf,
    /// What the columns of the records mean (see docs/backtest.md)
    #[arg(long, value_name = "FILE")]
    map: PathBuf,
    /// What to forecast: depth-to-water, refusal, success or quality:NAME
    #[arg(long, value_name = "WHAT", value_parser = Forecast::parse)]
    forecast: Option<Forecast>,
    /// Judge each record by the rules, as the peg it was before drilling, and
    /// hold what they find against what became of it ([success] in the map)
    #[arg(long)]
    judge: bool,
    /// With --judge: a folder of rules laid over the built-in ones
    #[arg(long, value_name = "DIR", conflicts_with = "forecast")]
    rules: Option<PathBuf>,
    /// With --judge: the decision at hand (the default is desk-study: records seldom tell more)
    #[arg(long, value_parser = super::assess::stage, conflicts_with = "forecast")]
    stage: Option<Stage>,
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
    /// Markdown
    Markdown,
    /// One HTML file that needs nothing else
    Html,
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
        Format::Markdown => report::backtest::markdown(&result),
        Format::Html => report::backtest::html(&result),
        Format::Json => report::backtest::json(&result).context("the result cannot be written as JSON")?,
    };
    match &args.out {
        Some(path) => output::write(path, &text)?,
        None => output::print(&text)?,
    }
    Ok(ExitCode::SUCCESS)
}

fn result(args: &Args, sources: &mut Sources, problems: &mut Problems) -> Option<Tested> {
    let region = region::load(&args.region, args.local.as_deref(), sources, problems);
    let map_text = Text::of(&args.map, sources, problems);
    let map = map_text.map(region.as_ref(), problems);
    let text = Text::of(&args.records, sources, problems);
    let table = text.table(&args.records, problems);
    let rules = match args.judge {
        true => Some(super::rules::load(args.rules.as_deref(), sources, problems)?),
        false => None,
    };
    let (region, map, table) = (region?, map?, table?);
    if let Some(rules) = &rules {
        super::rules::check_named(&region, rules, problems);
    }
    let forecast = args.forecast.clone().unwrap_or(Forecast::Success);
    let forward = args.leave_out.contains(&LeaveOut::Forward);
    let given =
        Given { map_name: &map_text.name, dates: if forward { Dates::Needed } else { Dates::Unused } };
    let records = read_records(&table, &map, &forecast, &given, problems)?;
    let from = Provenance { records: text.hash(), map: map_text.hash(), region: hash(&layers(&region)) };
    let tried = match &rules {
        Some(rules) => {
            let pegs = read_pegs(&table, &map, &records, &region);
            let provenance = &judged_from(from, rules);
            let stage = args.stage.unwrap_or(Stage::DeskStudy);
            let (records, pegs, map, region) = (&records, &pegs, &map, &region);
            judge_records(&Trial { records, pegs, map, rules, region, stage, provenance }, &args.leave_out)
                .map(Box::new)
                .map(Tested::Rules)
        }
        None => back_test(&records, &map, &forecast, &args.leave_out, &region, &from)
            .map(Box::new)
            .map(Tested::Forecast),
    };
    match tried {
        Ok(result) => Some(result),
        Err(why) => {
            let help = "Look at the map and at the rows that were skipped.";
            let code = if args.judge { "cannot-judge" } else { "cannot-forecast" };
            problems.error(code, Origin::whole(text.name.clone()), why, help);
            None
        }
    }
}

fn layers(region: &region::Region) -> String {
    region.layers.iter().map(|(file, hash)| format!("{hash} {file}\n")).collect()
}

fn judged_from(from: Provenance, rules: &RuleSet) -> JudgedFrom {
    let Provenance { records, map, region } = from;
    JudgedFrom { records, map, region, rules: rules.hash() }
}
