//! `forebore rules`: the trainer's bench.

mod check;
mod compare;
mod eject;
mod list;
mod sites;
mod try_one;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args as ClapArgs, Subcommand};

use super::{UNUSABLE, output};
use crate::diag::{Level, Origin, Problems, Sources, nearest_word};
use crate::region::{self, Region};
use crate::rules::RuleSet;

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// List the rules
    List {
        /// A folder of rules laid over the built-in ones
        #[arg(long, value_name = "DIR")]
        rules: Option<PathBuf>,
    },
    /// Show one rule: its record, its limits and its script
    Show {
        /// The rule's name
        rule: String,
        /// A folder of rules laid over the built-in ones
        #[arg(long, value_name = "DIR")]
        rules: Option<PathBuf>,
    },
    /// Print the content hashes of rules and region, to be pinned with --expect
    Hash {
        /// A folder of rules laid over the built-in ones
        #[arg(long, value_name = "DIR")]
        rules: Option<PathBuf>,
        #[command(flatten)]
        region: RegionArgs,
    },
    /// Write rules, their cases, a guide and editor definitions to a folder
    Eject {
        /// The folder to make
        folder: PathBuf,
        /// Only these rules; every rule where none is named
        rules: Vec<String>,
    },
    /// Write the manual of the rules, one page a topic
    Manual {
        /// The folder to make
        folder: PathBuf,
        /// A folder of rules laid over the built-in ones
        #[arg(long, value_name = "DIR")]
        rules: Option<PathBuf>,
        #[command(flatten)]
        region: RegionArgs,
    },
    /// Check rules and run their worked cases
    Check(check::Args),
    /// Run one rule on one survey, step by step
    Try(try_one::Args),
    /// Which sites change their answer between two sets of rules or regions
    Compare(compare::Args),
}

/// The region to use.
#[derive(Debug, Clone, ClapArgs)]
pub(super) struct RegionArgs {
    /// The setting: a name from `forebore regions list`, or a file
    #[arg(long, value_name = "NAME|FILE")]
    pub region: Option<String>,
    /// A local file of limits that the authority sets
    #[arg(long, value_name = "FILE")]
    pub local: Option<PathBuf>,
}

impl RegionArgs {
    /// The region, where neither the arguments nor `stated` name one that of
    /// the defaults alone.
    pub fn load(
        &self,
        stated: Option<&str>,
        sources: &mut Sources,
        problems: &mut Problems,
    ) -> Option<Region> {
        let setting = self.region.as_deref().or(stated).unwrap_or(region::UNSTATED);
        region::load(setting, self.local.as_deref(), sources, problems)
    }
}

pub(super) fn run(command: &Command) -> anyhow::Result<ExitCode> {
    match command {
        Command::List { rules } => list::list(rules.as_deref()),
        Command::Show { rule, rules } => list::show(rule, rules.as_deref()),
        Command::Hash { rules, region } => list::hashes(rules.as_deref(), region),
        Command::Eject { folder, rules } => eject::run(folder, rules),
        Command::Manual { folder, rules, region } => list::manual(folder, rules.as_deref(), region),
        Command::Check(args) => check::run(args),
        Command::Try(args) => try_one::run(args),
        Command::Compare(args) => compare::run(args),
    }
}

/// The built-in rules, with those of a folder laid over them; `None` where
/// the folder cannot be used. A rule that is wrong is still loaded, and shown
/// as broken.
pub(super) fn load(folder: Option<&Path>, sources: &mut Sources, problems: &mut Problems) -> Option<RuleSet> {
    match folder {
        Some(folder) => RuleSet::layered(folder, sources, problems),
        None => Some(RuleSet::built_in(sources, problems)),
    }
}

/// The exit after a folder or region that cannot be used.
fn unusable(problems: &Problems, sources: &Sources) -> anyhow::Result<ExitCode> {
    output::report(problems, sources);
    Ok(ExitCode::from(UNUSABLE))
}

/// "did you mean …?", or where to look.
fn rule_hint(id: &str, set: &RuleSet) -> String {
    let near = nearest_word(id, set.rules.iter().map(|r| r.id.as_str()));
    near.map_or_else(|| "see `forebore rules list`".into(), |n| format!("did you mean {n}?"))
}

/// Rules that a region switches off or weighs and that are not there.
pub(super) fn check_named(region: &Region, set: &RuleSet, problems: &mut Problems) {
    let off = region.switched_off.iter().map(|(id, off)| (id, off.set_by.from.clone()));
    let weighed = region.weights.keys().map(|id| (id, Origin::whole(region.id.clone())));
    let there = |id: &str| set.find(id).is_some() || set.switched_off.contains_key(id);
    for (id, at) in off.chain(weighed).filter(|(id, _)| !there(id)) {
        let near = nearest_word(id, set.rules.iter().map(|r| r.id.as_str()));
        let help =
            near.map_or_else(|| "See `forebore rules list`.".to_owned(), |n| format!("Did you mean {n}?"));
        problems.add(Level::Warning, "no-such-rule", at, format!("there is no rule {id}"), help);
    }
}

fn exit(problems: &Problems) -> ExitCode {
    if problems.any_error() { ExitCode::from(UNUSABLE) } else { ExitCode::SUCCESS }
}
