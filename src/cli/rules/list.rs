//! `forebore rules list`, `show`, `hash` and `manual`.

use std::path::Path;
use std::process::ExitCode;

use super::{RegionArgs, exit, load, rule_hint, unusable};
use crate::cli::output;
use crate::diag::{Problems, Sources};
use crate::region;
use crate::report;
use crate::rules::Rule;

pub(super) fn list(folder: Option<&Path>) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let Some(set) = load(folder, &mut sources, &mut problems) else { return unusable(&problems, &sources) };
    output::report(&problems, &sources);
    let wide = set.rules.iter().map(|r| r.id.len()).max().unwrap_or(0);
    let mut text = String::new();
    let mut topic = "";
    for rule in &set.rules {
        if rule.topic != topic {
            topic = &rule.topic;
            text.push_str(&format!("{}{topic}\n", if text.is_empty() { "" } else { "\n" }));
        }
        let own = if rule.own { " (of this folder)" } else { "" };
        let broken = if rule.about.is_err() { " (broken)" } else { "" };
        text.push_str(&format!("  {:wide$}  {}{own}{broken}\n", rule.id, rule.title()));
    }
    for (id, off) in &set.switched_off {
        text.push_str(&format!("\n{id} is switched off: {} [{}]\n", off.reason, off.from));
    }
    text.push_str(&format!("\n{} rules, content {}\n", set.rules.len(), set.hash()));
    output::print(&text)?;
    Ok(exit(&problems))
}

pub(super) fn show(id: &str, folder: Option<&Path>) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let Some(set) = load(folder, &mut sources, &mut problems) else { return unusable(&problems, &sources) };
    let Some(rule) = set.find(id) else {
        if let Some(off) = set.switched_off.get(id) {
            anyhow::bail!("the rule {id} is switched off at {}: {}", off.from, off.reason);
        }
        anyhow::bail!("there is no rule {id}; {}", rule_hint(id, &set));
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

pub(super) fn hashes(folder: Option<&Path>, region: &RegionArgs) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = load(folder, &mut sources, &mut problems);
    let region = region.load(None, &mut sources, &mut problems);
    let (Some(set), Some(region)) = (set, region) else { return unusable(&problems, &sources) };
    output::report(&problems, &sources);
    let (rules, ground) = (set.hash(), region.hash());
    output::print(&format!(
        "rules   {rules}\nregion  {ground}  {}\n\nTo have no others used:\n\n    --expect rules:{rules} --expect region:{ground}\n",
        region.title
    ))?;
    Ok(exit(&problems))
}

pub(super) fn manual(to: &Path, folder: Option<&Path>, region: &RegionArgs) -> anyhow::Result<ExitCode> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = load(folder, &mut sources, &mut problems);
    let region = region.load(None, &mut sources, &mut problems);
    let (Some(set), Some(region)) = (set, region) else { return unusable(&problems, &sources) };
    output::report(&problems, &sources);
    output::fresh_folder(to)?;
    let pages = report::manual::pages(&set, &region.limits, &region.title);
    for (name, page) in &pages {
        output::write(&to.join(name), page)?;
    }
    output::print(&format!("Wrote {} pages to {}\n", pages.len(), to.display()))?;
    Ok(exit(&problems))
}
