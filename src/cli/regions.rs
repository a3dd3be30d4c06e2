//! `forebore regions`: list, show, check and fit.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::Subcommand;
use textwrap::fill;

use super::{UNUSABLE, fit, output};
use crate::diag::{Problems, Sources};
use crate::region::{self, Figure, Layer, Region};
use crate::rules::RuleSet;

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// List the settings
    List,
    /// Show a setting with every value, who set it and its source
    Show {
        /// A name from `forebore regions list`, or a file
        region: String,
        /// A local file to lay over it
        #[arg(long, value_name = "FILE")]
        local: Option<PathBuf>,
    },
    /// Check a setting of your own, or a local file over a setting
    Check {
        /// The file
        file: PathBuf,
        /// The file is a local file to lay over this setting
        #[arg(long, value_name = "NAME|FILE")]
        over: Option<String>,
    },
    /// Propose a setting's priors from records of wells, for review
    Fit(fit::Args),
}

pub(super) fn run(command: &Command) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    match command {
        Command::Fit(args) => fit::run(args),
        Command::List => {
            let settings = region::settings();
            let wide = settings.iter().map(|(id, _)| id.len()).max().unwrap_or(0);
            let lines: String = settings.iter().map(|(id, title)| format!("{id:wide$}  {title}\n")).collect();
            output::print(&lines)?;
            Ok(ExitCode::SUCCESS)
        }
        Command::Show { region, local } => {
            let region = region::load(region, local.as_deref(), &mut sources, &mut problems);
            output::report(&problems, &sources);
            match region {
                Some(region) => output::print(&show(&region)).map(|()| ExitCode::SUCCESS),
                None => Ok(ExitCode::from(UNUSABLE)),
            }
        }
        Command::Check { file, over } => {
            let region = region::check(file, over.as_deref(), &mut sources, &mut problems);
            if let Some(region) = &region {
                let rules = RuleSet::built_in(&mut sources, &mut problems);
                super::rules::check_named(region, &rules, &mut problems);
            }
            output::report(&problems, &sources);
            if region.is_none() || problems.any_error() {
                return Ok(ExitCode::from(UNUSABLE));
            }
            output::print(&format!("{}: no error, {} remarks\n", file.display(), problems.len()))?;
            Ok(ExitCode::SUCCESS)
        }
    }
}

fn show(region: &Region) -> String {
    let mut text = format!("{}\n\n{}\n", region.title, fill(&region.about, 79));
    let set_here = |f: &&Figure| f.set_by.layer != Layer::Defaults;
    for (title, figures) in
        [("Limits", &region.limits), ("Assumed where nothing was observed", &region.priors)]
    {
        for (part, list) in [
            ("set by this setting or the local file", figures.values().filter(set_here).collect::<Vec<_>>()),
            ("built in", figures.values().filter(|f| !set_here(f)).collect()),
        ] {
            if list.is_empty() {
                continue;
            }
            text.push_str(&format!("\n{title}, {part}\n"));
            for f in list {
                text.push_str(&format!("  {} = {} {} [{}]\n", f.name, f.value, f.unit.name(), f.set_by.from));
                let source = format!("{} {} ({})", f.about, f.source, f.basis.name());
                text.push_str(&fill(
                    &source,
                    textwrap::Options::new(79).initial_indent("      ").subsequent_indent("      "),
                ));
                text.push('\n');
                for note in &f.notes {
                    text.push_str(&format!("      ! {note}\n"));
                }
            }
        }
    }
    for (rule, off) in &region.switched_off {
        text.push_str(&format!("\nRule {rule} is switched off: {} [{}]\n", off.reason, off.set_by.from));
    }
    text
}
