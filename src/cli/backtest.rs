//! `forebore backtest`: forecasts and rules against records whose outcome is
//! known.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use anyhow::Context;
use clap::{ArgGroup, Args as ClapArgs, ValueEnum};
use sha2::{Digest, Sha256};

use super::{UNUSABLE, output};
use crate::diag::{Origin, Problems, Sources};
use crate::region;
use crate::report;
use crate::report::backtest::Tested;
use crate::rules::RuleSet;
use crate::survey::Stage;
use crate::survey::plain::PlainTable;
use crate::survey::table::decode;
use crate::tune::backtest::judged::{JudgedFrom, Trial, judge_records, read_pegs};
use crate::tune::backtest::{
    Forecast, Given, LeaveOut, Provenance, read_map, read_records, run as back_test,
};

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
    let map_name: Arc<str> = args.map.display().to_string().into();
    let map_text = text_of(&args.map, &map_name, sources, problems);
    let map = map_text.as_ref().and_then(|text| read_map(&map_name, text, region.as_ref(), problems));
    let name: Arc<str> = args.records.display().to_string().into();
    let text = text_of(&args.records, &name, sources, problems);
    let mut own = Problems::new();
    let table = text.as_ref().and_then(|text| match is_geojson(&args.records) {
        true => PlainTable::geojson(text, &name, &mut own),
        false => PlainTable::csv(text, &name, &mut own),
    });
    // Rows that were left out stand in the result.
    own.into_iter().filter(|p| p.level != crate::diag::Level::LeftOut).for_each(|p| problems.push(p));
    let rules = match args.judge {
        true => Some(super::rules::load(args.rules.as_deref(), sources, problems)?),
        false => None,
    };
    let (region, map, table) = (region?, map?, table?);
    if let Some(rules) = &rules {
        super::rules::check_named(&region, rules, problems);
    }
    let forecast = args.forecast.clone().unwrap_or(Forecast::Success);
    let given = Given { map_name: &map_name, needs_dates: args.leave_out.contains(&LeaveOut::Forward) };
    let records = read_records(&table, &map, &forecast, &given, problems)?;
    let from = Provenance {
        records: hash(text.as_ref()?),
        map: hash(map_text.as_ref()?),
        region: hash(&layers(&region)),
    };
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
            problems.error(code, Origin::whole(name), why, help);
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

fn text_of(path: &Path, name: &Arc<str>, sources: &mut Sources, problems: &mut Problems) -> Option<Arc<str>> {
    let bytes = match std::fs::read(path) {
        Ok(bytes) => bytes,
        Err(e) => {
            let help = "Check the path and that the file may be read.";
            problems.error("cannot-read", Origin::whole(name.clone()), format!("cannot be read: {e}"), help);
            return None;
        }
    };
    let text: Arc<str> = decode(&bytes, name, problems)?.into();
    sources.add(name.clone(), text.clone());
    Some(text)
}

fn is_geojson(path: &Path) -> bool {
    path.extension().is_some_and(|e| e.eq_ignore_ascii_case("geojson") || e.eq_ignore_ascii_case("json"))
}

fn hash(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().take(8).map(|b| format!("{b:02x}")).collect()
}
