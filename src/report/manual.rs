//! The manual of a rule set, written from the rules themselves: one page a
//! topic, and a first page that lists them.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use crate::facts::{self, Form};
use crate::region::{Basis, Figure, Stricter};
use crate::rules::{About, Rule, RuleSet};

/// File names and texts of the pages, the first page first. `limits` are
/// those to be quoted, `whose` says whose they are.
pub fn pages(set: &RuleSet, limits: &BTreeMap<String, Figure>, whose: &str) -> Vec<(String, String)> {
    let mut topics: BTreeMap<&str, Vec<(&Rule, &About)>> = BTreeMap::new();
    for rule in &set.rules {
        if let Ok(about) = &rule.about {
            topics.entry(&rule.topic).or_default().push((rule, about));
        }
    }
    let mut pages = vec![("README.md".to_owned(), first(set, &topics))];
    for (topic, rules) in &topics {
        let mut page = format!(
            "# Rules on {topic}\n\nLimits are given as {whose} set them; a setting or a local file may set others. \
             [All topics](README.md), [all facts](../facts.md).\n"
        );
        for (rule, about) in rules {
            one(&mut page, rule, about, limits);
        }
        pages.push((format!("{topic}.md"), page));
    }
    pages
}

fn first(set: &RuleSet, topics: &BTreeMap<&str, Vec<(&Rule, &About)>>) -> String {
    let mut page = format!(
        "# The rules\n\n{} rules, written from their own records. [How to change them](../rules.md). `forebore rules \
         show RULE` prints a rule with its script, `forebore rules try RULE SURVEY` runs it step by step.\n",
        set.rules.len()
    );
    for (topic, rules) in topics {
        let _ = writeln!(page, "\n## [{topic}]({topic}.md)\n");
        for (rule, about) in rules {
            let _ = writeln!(page, "- [{}]({topic}.md#{}): {}", rule.id, rule.id, about.title);
        }
    }
    for (id, off) in &set.switched_off {
        let _ = writeln!(page, "\n{id} is switched off: {}", off.reason);
    }
    page
}

fn one(page: &mut String, rule: &Rule, about: &About, limits: &BTreeMap<String, Figure>) {
    let _ = writeln!(page, "\n## {}\n\n**{}.** {}\n", rule.id, about.title, about.why);
    let stages: Vec<_> = about.stages.iter().map(|s| s.name()).collect();
    let _ = writeln!(page, "- asked at: {}", stages.join(", "));
    let gives: Vec<_> = ["clear", "caution", "stop", "find_out", "does_not_apply"]
        .into_iter()
        .filter(|made| rule.can_give.contains(made))
        .map(|made| made.replace('_', " "))
        .collect();
    let _ = writeln!(page, "- can find: {}", gives.join(", "));
    let unknown = about.blocks_from.map_or("a condition, and never blocks".to_owned(), |s| {
        format!("*find out first* from {} on, before it a condition", s.name())
    });
    let _ = writeln!(page, "- not knowing is: {unknown}");
    let _ = writeln!(page, "- settled by: {}; weight in the score: {}", about.ask.name(), about.weight);
    for name in &about.reads {
        let Some(def) = facts::def(name) else { continue };
        let form = match def.form {
            Form::Number(unit) if unit.name() == "1" => "a ratio".to_owned(),
            Form::Number(unit) => format!("in {}", unit.name()),
            Form::Word(words) => words.join(", "),
        };
        let _ = writeln!(page, "- reads `{name}` ({form}): {}", def.about);
    }
    for figure in about.limits.iter().filter_map(|l| limits.get(l)) {
        let value = figure.unit.show(figure.value);
        let stricter = match figure.stricter {
            Some(Stricter::Greater) => ", stricter when greater",
            Some(Stricter::Less) => ", stricter when less",
            None => "",
        };
        let source = sourced(&figure.source, figure.basis);
        let _ = writeln!(page, "- limit `{}` = {value}{stricter}: {} {source}", figure.name, figure.about);
    }
    let _ = writeln!(page, "- source: {}", sourced(&about.source, about.basis));
    let _ = writeln!(page, "- since: {}", about.since);
}

/// A source with its basis, where it does not say that itself.
fn sourced(source: &str, basis: Basis) -> String {
    let source = source.trim_end_matches('.');
    match source.to_lowercase().contains(basis.name()) {
        true => format!("{source}."),
        false => format!("{source} ({}).", basis.name()),
    }
}
