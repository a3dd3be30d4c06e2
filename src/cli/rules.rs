//! `forebore rules`: list, show, eject and check.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::Context;
use clap::Subcommand;

use super::{UNUSABLE, output};
use crate::diag::{Level, Origin, Problems, Sources, nearest_word};
use crate::region::{self, Region};
use crate::rules::{Rule, RuleSet};
use crate::tune;

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// List the rules
    List {
        /// A folder of rules in place of the built-in ones
        #[arg(long, value_name = "DIR")]
        rules: Option<PathBuf>,
    },
    /// Show one rule: its record, its limits and its script
    Show {
        /// The rule's name
        rule: String,
        /// A folder of rules in place of the built-in ones
        #[arg(long, value_name = "DIR")]
        rules: Option<PathBuf>,
    },
    /// Write the built-in rules and their cases to a folder, to be changed
    Eject {
        /// The folder to make
        folder: PathBuf,
    },
    /// Check rules and run their worked cases
    Check {
        /// The folder of rules; the built-in ones where none is named
        folder: Option<PathBuf>,
    },
}

pub(super) fn run(command: &Command) -> anyhow::Result<ExitCode> {
    match command {
        Command::List { rules } => list(rules.as_deref()),
        Command::Show { rule, rules } => show(rule, rules.as_deref()),
        Command::Eject { folder } => eject(folder),
        Command::Check { folder } => check(folder.as_deref()),
    }
}

fn load(folder: Option<&Path>, sources: &mut Sources, problems: &mut Problems) -> RuleSet {
    match folder {
        Some(folder) => RuleSet::folder(folder, sources, problems),
        None => RuleSet::built_in(sources, problems),
    }
}

fn list(folder: Option<&Path>) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = load(folder, &mut sources, &mut problems);
    output::report(&problems, &sources);
    let wide = set.rules.iter().map(|r| r.id.len()).max().unwrap_or(0);
    let mut text = String::new();
    let mut topic = "";
    for rule in &set.rules {
        if rule.topic != topic {
            topic = &rule.topic;
            text.push_str(&format!("{}{topic}\n", if text.is_empty() { "" } else { "\n" }));
        }
        let broken = if rule.about.is_err() { " (broken)" } else { "" };
        text.push_str(&format!("  {:wide$}  {}{broken}\n", rule.id, rule.title()));
    }
    text.push_str(&format!("\n{} rules, content {}\n", set.rules.len(), set.hash()));
    output::print(&text)?;
    Ok(exit(&problems))
}

fn show(id: &str, folder: Option<&Path>) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = load(folder, &mut sources, &mut problems);
    let Some(rule) = set.find(id) else {
        let near = nearest_word(id, set.rules.iter().map(|r| r.id.as_str()));
        let hint = near.map_or_else(|| "see `forebore rules list`".into(), |n| format!("did you mean {n}?"));
        anyhow::bail!("there is no rule {id}; {hint}");
    };
    let mut text = String::new();
    match &rule.about {
        Ok(about) => {
            let names =
                |list: &[String]| if list.is_empty() { "nothing".to_owned() } else { list.join(", ") };
            let stages: Vec<_> = about.stages.iter().map(|s| s.name()).collect();
            let line = |label: &str, value: &str| format!("{label:<18}{value}\n");
            text.push_str(&format!("{}\n{}\n\n", about.title, about.why));
            text.push_str(&line("rule", &format!("{} ({})", about.id, rule.topic)));
            text.push_str(&line("asked at", &stages.join(", ")));
            text.push_str(&line(
                "not knowing",
                &about.blocks_from.map_or("is a condition, and never blocks".to_owned(), |s| {
                    format!("blocks from {} on", s.name())
                }),
            ));
            text.push_str(&line("reads", &names(&about.reads)));
            text.push_str(&line("limits", &names(&about.limits)));
            text.push_str(&line("settled by", about.ask.name()));
            text.push_str(&line("weight", &about.weight.to_string()));
            text.push_str(&line("source", &format!("{} ({})", about.source, about.basis.name())));
            text.push_str(&line("since", &about.since));
            text.push_str(&limits_of(rule, &mut problems));
        }
        Err(problem) => {
            text.push_str(&format!("This rule is broken: {} at {}\n", problem.message, problem.at))
        }
    }
    text.push_str(&format!("\n{}:\n\n{}", rule.file, rule.text));
    output::print(&text)?;
    Ok(ExitCode::SUCCESS)
}

fn limits_of(rule: &Rule, problems: &mut Problems) -> String {
    let Some(region) = region::load(region::UNSTATED, None, &mut Sources::new(), problems) else {
        return String::new();
    };
    let Ok(about) = &rule.about else { return String::new() };
    let mut text = String::new();
    for figure in about.limits.iter().filter_map(|l| region.limits.get(l)) {
        text.push_str(&format!(
            "\n{} = {} unless the setting or a local file says otherwise\n  {}\n  {} ({})\n",
            figure.name,
            figure.unit.show(figure.value),
            figure.about,
            figure.source,
            figure.basis.name()
        ));
    }
    text
}

fn eject(folder: &Path) -> anyhow::Result<ExitCode> {
    output::fresh_folder(folder)?;
    let mut count = 0;
    for (path, text) in crate::built_in::RULE_FILES {
        let path = folder.join(path.strip_prefix("rules/").unwrap_or(path));
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).with_context(|| format!("cannot make {}", parent.display()))?;
        }
        output::write(&path, text)?;
        count += usize::from(path.extension().is_some_and(|e| e == "rhai"));
    }
    output::print(&format!(
        "Wrote {count} rules with their worked cases to {0}. Change them, then\n\n    forebore rules check {0}\n    \
         forebore assess SURVEY --rules {0}\n",
        folder.display()
    ))?;
    Ok(ExitCode::SUCCESS)
}

fn check(folder: Option<&Path>) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = load(folder, &mut sources, &mut problems);
    let Some(region) = region::load(region::UNSTATED, None, &mut sources, &mut problems) else {
        output::report(&problems, &sources);
        return Ok(ExitCode::from(UNUSABLE));
    };
    for rule in &set.rules {
        let Ok(about) = &rule.about else { continue };
        for limit in about.limits.iter().filter(|l| !region.limits.contains_key(*l)) {
            let near = nearest_word(limit, region.limits.keys().map(String::as_str));
            let help = near.map_or_else(
                || "Set it in a local file with value, unit, about, source and basis.".to_owned(),
                |n| format!("Did you mean {n}? Otherwise set it in a local file."),
            );
            let at = Origin::whole(rule.file.clone());
            problems.add(
                Level::Warning,
                "limit-not-set",
                at,
                format!("no region sets the limit {limit}"),
                help,
            );
        }
    }
    let text_of = |path: &str| match folder {
        Some(_) => fs::read_to_string(path).ok(),
        None => {
            crate::built_in::RULE_FILES.iter().find(|(p, _)| *p == path).map(|(_, text)| (*text).to_owned())
        }
    };
    let report = tune::check_cases(&set, &region.limits, text_of, &mut sources, &mut problems);
    output::report(&problems, &sources);
    let errors = problems.iter().filter(|p| p.level == Level::Error).count();
    output::print(&format!(
        "{} rules, {} of {} cases held, {errors} errors, {} other remarks\n",
        set.rules.len(),
        report.held,
        report.run,
        problems.len() - errors
    ))?;
    Ok(exit(&problems))
}

/// Rules that a region switches off or weighs and that are not there.
pub(super) fn check_named(region: &Region, set: &RuleSet, problems: &mut Problems) {
    let off = region.switched_off.iter().map(|(id, off)| (id, off.set_by.from.clone()));
    let weighed = region.weights.keys().map(|id| (id, Origin::whole(region.id.clone())));
    for (id, at) in off.chain(weighed).filter(|(id, _)| set.find(id).is_none()) {
        let near = nearest_word(id, set.rules.iter().map(|r| r.id.as_str()));
        let help =
            near.map_or_else(|| "See `forebore rules list`.".to_owned(), |n| format!("Did you mean {n}?"));
        problems.add(Level::Warning, "no-such-rule", at, format!("there is no rule {id}"), help);
    }
}

fn exit(problems: &Problems) -> ExitCode {
    if problems.any_error() { ExitCode::from(UNUSABLE) } else { ExitCode::SUCCESS }
}
