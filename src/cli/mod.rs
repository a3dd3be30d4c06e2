//! The commands, one file each. Here, and only here, files are written and
//! text is printed: results to standard output, diagnostics to standard
//! error.

mod assess;
mod backtest;
mod expect;
mod fit;
mod new;
mod output;
mod records;
mod regions;
mod rules;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

/// Can a small water well be drilled by hand at this peg?
///
/// Answers go, go if, find out first or no-go for one spot, with reasons that
/// can be followed to the observation, the limit and the published source.
/// It advises; local codes and licensed practice decide.
#[derive(Debug, Parser)]
#[command(name = "forebore", version, max_term_width = 100)]
pub struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Start a survey folder from a worked template
    New {
        /// The folder to make
        folder: PathBuf,
    },
    /// Assess one peg: verdict and report
    Assess(assess::Args),
    /// Try forecasts on records whose outcome is known
    Backtest(backtest::Args),
    /// The rules: list, show, hash, eject, manual, check, try, compare
    #[command(subcommand)]
    Rules(rules::Command),
    /// The regions: list, show, check, fit
    #[command(subcommand)]
    Regions(regions::Command),
    /// Print the JSON Schema of the JSON report
    Schema,
}

/// The format of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For a terminal, 80 columns wide
    Text,
    /// Markdown
    Markdown,
    /// One HTML file with pictures, for a phone or for A4
    Html,
    /// JSON (see `forebore schema`)
    Json,
    /// A map for any program that reads GeoJSON
    #[value(name = "geojson")]
    GeoJson,
}

/// The language of a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Lang {
    /// English
    En,
    /// French; what a trainer wrote keeps its own words
    Fr,
}

/// Runs a command; the exit code is 0 when it did its work, 1 when the
/// verdict is below what was asked, 2 when the input could not be used.
///
/// # Errors
/// When the command itself could not be carried out.
pub fn run(cli: Cli) -> anyhow::Result<ExitCode> {
    match cli.command {
        Command::New { folder } => new::run(&folder),
        Command::Assess(args) => assess::run(&args),
        Command::Backtest(args) => backtest::run(&args),
        Command::Rules(command) => rules::run(&command),
        Command::Regions(command) => regions::run(&command),
        Command::Schema => {
            output::print(&crate::report::json::schema())?;
            Ok(ExitCode::SUCCESS)
        }
    }
}

/// The exit code for input that could not be used.
const UNUSABLE: u8 = 2;
