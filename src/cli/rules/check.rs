//! `forebore rules check`.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Args as ClapArgs;

use super::{RegionArgs, check_named, exit, load, unusable};
use crate::cli::{expect, output};
use crate::diag::{Level, Problems, Sources, read_own_text};
use crate::rules::MAX_RULE_BYTES;
use crate::tune;

#[derive(Debug, ClapArgs)]
pub(in crate::cli) struct Args {
    /// A folder of rules laid over the built-in ones; these alone where none is named
    folder: Option<PathBuf>,
    #[command(flatten)]
    region: RegionArgs,
    /// Refuse unless the rules or the region have this content hash (see `forebore rules hash`)
    #[arg(long, value_name = "HASH")]
    expect: Vec<String>,
}

pub(super) fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = load(args.folder.as_deref(), &mut sources, &mut problems);
    let region = args.region.load(None, &mut sources, &mut problems);
    let (Some(set), Some(region)) = (set, region) else { return unusable(&problems, &sources) };
    expect::check(&args.expect, &[("rules", set.hash()), ("region", region.hash())])?;
    check_named(&region, &set, &mut problems);
    let text_of = |path: &str| match args.folder {
        Some(_) => match std::fs::symlink_metadata(path) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => None,
            _ => Some(read_own_text(path.as_ref(), MAX_CASES_BYTES).map_err(|error| error.to_string())),
        },
        None => {
            let file = crate::built_in::RULE_FILES.iter().find(|(p, _)| *p == path);
            file.map(|(_, text)| Ok((*text).to_owned()))
        }
    };
    // Of a folder laid over the built-in set its own rules are checked.
    let own = |rule: &crate::rules::Rule| args.folder.is_none() || rule.own;
    let report = tune::check(&set, own, &region.limits, text_of, &mut sources, &mut problems);
    output::report(&problems, &sources);
    let errors = problems.iter().filter(|p| p.level == Level::Error).count();
    let mut text = format!(
        "{} rules, {} of {} cases held, {errors} errors, {} other remarks\n",
        report.rules,
        report.held,
        report.run,
        problems.len() - errors
    );
    if args.folder.is_some() {
        let beneath = set.rules.len() - report.rules;
        let off = set.switched_off.len();
        text.push_str(&format!(
            "laid over {beneath} built-in rules that stay as they are, {off} switched off\n"
        ));
    }
    text.push_str(&format!("content {}\n", set.hash()));
    output::print(&text)?;
    Ok(exit(&problems))
}

/// The longest file of worked cases that is read, bytes.
const MAX_CASES_BYTES: u64 = 16 * MAX_RULE_BYTES;
