//! Everything that can be said of rules before they are used: their limits,
//! their worked cases, and what they can and cannot find.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::cases::{CaseReport, Cases, check_cases};
use super::explore::{Explored, explore};
use crate::diag::{Level, Origin, Problems, Sources, nearest_word};
use crate::facts::{self, Form};
use crate::region::{Basis, Figure};
use crate::rules::{Judge, Rule, RuleSet};

/// Checks the rules of `set` for which `wanted` holds, under the limits of a
/// region. `text_of` gives the text of a case file by its path: `None` where
/// there is none, or why it cannot be read.
pub fn check(
    set: &RuleSet,
    wanted: impl Fn(&Rule) -> bool,
    limits: &BTreeMap<String, Figure>,
    text_of: impl Fn(&str) -> Option<Result<String, String>>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> CaseReport {
    let judge = Judge::new(set);
    let mut report = CaseReport::default();
    for rule in set.rules.iter().filter(|r| wanted(r)) {
        report.rules += 1;
        let Ok(about) = &rule.about else { continue };
        let before = problems.len();
        limits_are_set(rule, limits, problems);
        units_agree(rule, limits, problems);
        basis_is_honest(rule, limits, problems);
        let sound = problems.len() == before;
        let cases = Cases { judge: &judge, limits };
        let mut reached = check_cases(&cases, rule, &text_of, sources, problems, &mut report);
        // A rule whose limits are not there fails whatever it is asked.
        if sound && !about.reads.is_empty() {
            let explored = explore(&judge, rule, limits, &mut reached);
            tell(rule, &explored, &reached, problems);
        }
        holds_back(rule, problems);
        told_whole(rule, problems);
    }
    report
}

/// The place of the first reading of a limit, or of the list that names it.
fn limit_at(rule: &Rule, limit: &str) -> Origin {
    let read = rule.spots.limits.iter().find(|(name, _)| name == limit).map(|(_, at)| at.clone());
    read.or_else(|| rule.spots.key("limits")).unwrap_or_else(|| Origin::whole(rule.file.clone()))
}

fn limits_are_set(rule: &Rule, limits: &BTreeMap<String, Figure>, problems: &mut Problems) {
    let Ok(about) = &rule.about else { return };
    for limit in about.limits.iter().filter(|l| !limits.contains_key(*l)) {
        let near = nearest_word(limit, limits.keys().map(String::as_str));
        let set =
            "Set it in a local file with value, unit, about, source and basis, and name that with --local.";
        let help = near.map_or_else(|| set.to_owned(), |n| format!("Did you mean {n}? {set}"));
        let message = format!("the region sets no limit {limit}");
        problems.error("limit-not-set", limit_at(rule, limit), message, help);
    }
}

fn units_agree(rule: &Rule, limits: &BTreeMap<String, Figure>, problems: &mut Problems) {
    for (fact, limit, at) in &rule.spots.compared {
        let Some(Form::Number(unit)) = facts::def(fact).map(|d| d.form) else { continue };
        let Some(figure) = limits.get(limit).filter(|f| f.unit != unit) else { continue };
        let message = format!("{fact} in {} is compared with {limit} in {}", unit.name(), figure.unit.name());
        problems.error("unlike-units", at.clone(), message, "Compare a fact with a limit in its own unit.");
    }
}

/// A rule is founded no better than the weakest limit it rests on.
fn basis_is_honest(rule: &Rule, limits: &BTreeMap<String, Figure>, problems: &mut Problems) {
    let Ok(about) = &rule.about else { return };
    let rank = |basis: Basis| basis as u8;
    let weakest = about.limits.iter().filter_map(|l| limits.get(l)).max_by_key(|f| rank(f.basis));
    if let Some(figure) = weakest.filter(|f| rank(f.basis) > rank(about.basis)) {
        let at = rule.spots.key("basis").unwrap_or_else(|| Origin::whole(rule.file.clone()));
        let (mine, theirs) = (about.basis.name(), figure.basis.name());
        problems.add(
            Level::Warning,
            "basis-too-good",
            at,
            format!("the rule says {mine}, and its limit {} is {theirs}", figure.name),
            format!("Write basis: {theirs:?}."),
        );
    }
}

fn tell(rule: &Arc<Rule>, explored: &Explored, reached: &super::cases::Reached, problems: &mut Problems) {
    if let Some(broken) = &explored.broken {
        let facts = if broken.facts.is_empty() { "nothing known".to_owned() } else { broken.facts.clone() };
        problems.error(
            "rule-fails",
            broken.at.clone(),
            broken.why.clone(),
            format!("It fails with {facts}. Mend that branch, and add a case for it."),
        );
        return;
    }
    for (made, at) in rule.spots.made.iter().filter(|(_, at)| !reached.contains(&(at.line, at.column))) {
        let level = if explored.exhaustive { Level::Error } else { Level::Warning };
        let tried = match explored.exhaustive {
            true => "Whatever the facts are, an earlier line answers first.",
            false => "No facts that were tried reach it.",
        };
        problems.add(
            level,
            "unreachable-outcome",
            at.clone(),
            format!("this {made} is never reached"),
            format!("{tried} Put it before that line or take it out; or add a case that reaches it."),
        );
    }
}

/// A translation that was begun has every sentence.
fn told_whole(rule: &Rule, problems: &mut Problems) {
    for (language, told) in &rule.translations {
        for (sentence, at) in rule.spots.sentences.iter().filter(|(s, _)| !told.has(s)) {
            problems.add(
                Level::Warning,
                "translation-missing",
                at.clone(),
                format!("{} does not have this sentence in {language}", told.file),
                format!("Add {sentence:?} = \"…\". Until then it is told in its own words."),
            );
        }
    }
}

/// What a rule can do to a site at worst.
fn holds_back(rule: &Rule, problems: &mut Problems) {
    let Ok(about) = &rule.about else { return };
    let gives = |made: &str| rule.can_give.contains(&made);
    let whole = || Origin::whole(rule.file.clone());
    if !gives("stop") && !gives("caution") && !gives("find_out") {
        problems.add(
            Level::Warning,
            "rule-never-stops",
            rule.spots.made.first().map_or_else(whole, |(_, at)| at.clone()),
            "the rule can never stop a site, nor ask anything of it",
            "Give stop, caution or find_out where something is wrong, or do without the rule.",
        );
    }
    // Otherwise a site would be better off with a hazard, which is a
    // condition, than with its absence unproved, which would block.
    let hazards = about.reads.iter().any(|f| f.starts_with("nearest_"));
    if hazards && !gives("stop") && about.blocks_from.is_some() {
        problems.error(
            "blocks-without-stop",
            rule.spots.key("blocks_from").unwrap_or_else(whole),
            "not knowing would hold the site back more than the hazard itself, which the rule can never stop",
            "Write blocks_from: \"never\", or give stop where the hazard is surely too near.",
        );
    }
}
