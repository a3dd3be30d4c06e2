//! Which of its findings can a rule reach? Runs it on made-up facts: every
//! way a fact can stand to the limits it is compared with. A rule asks no
//! more of a number than on which side of its limits its two ends lie, so
//! that a handful of values stand for all.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

use super::cases::Reached;
use crate::diag::Origin;
use crate::facts::{self, FactSource, FactTable, Form, Value};
use crate::region::Figure;
use crate::rules::{Judge, Outcome, Rule};
use crate::survey::Stage;
use crate::units::{Estimate, Unit};

/// So many combinations are tried of every rule.
const ALWAYS: usize = 60;

/// So many at the most, while a finding has not been reached.
const MOST: usize = 6_000;

/// What was found out about a rule.
#[derive(Debug, Default)]
pub(super) struct Explored {
    /// Whether every combination was tried, or everything was reached.
    pub exhaustive: bool,
    /// The first combination on which the script failed.
    pub broken: Option<Broke>,
}

/// A run on which a script failed.
#[derive(Debug)]
pub(super) struct Broke {
    pub at: Origin,
    pub why: String,
    /// The facts, as a person writes them.
    pub facts: String,
}

/// Runs a rule on made-up facts and adds the places of the findings it makes
/// to `reached`.
pub(super) fn explore(
    judge: &Judge,
    rule: &Arc<Rule>,
    limits: &BTreeMap<String, Figure>,
    reached: &mut Reached,
) -> Explored {
    let Ok(about) = &rule.about else { return Explored::default() };
    let wanted: BTreeSet<_> = rule.spots.made.iter().map(|(_, at)| (at.line, at.column)).collect();
    let figures: Vec<&Figure> = about.limits.iter().filter_map(|l| limits.get(l)).collect();
    let mut runs = 0;
    // With many limits not every order of them is tried, and chances vary
    // between the values that are.
    let exhaustive = figures.len() <= 3 && !rule.text.contains("chance_below");
    for values in orders(&figures) {
        let in_force: BTreeMap<String, Figure> = figures
            .iter()
            .zip(&values)
            .map(|(f, v)| (f.name.clone(), Figure { value: *v, ..(*f).clone() }))
            .collect();
        let choices: Vec<Vec<Value>> = about.reads.iter().map(|name| candidates(name, &in_force)).collect();
        let count = choices.iter().fold(1_usize, |n, c| n.saturating_mul(c.len()));
        // A step that shares no factor with the count visits every
        // combination, in an order that varies every fact early.
        let step = step(count);
        let in_force = Rc::new(in_force);
        for n in 0..count {
            let all_reached = wanted.is_subset(reached);
            if runs >= MOST || (all_reached && runs >= ALWAYS) {
                return Explored { exhaustive: all_reached, broken: None };
            }
            runs += 1;
            let chosen = pick(&choices, (n as u128 * step as u128 % count as u128) as usize);
            let mut table = FactTable::default();
            for (name, value) in about.reads.iter().zip(&chosen) {
                table.state(name.as_str(), (*value).clone());
            }
            let source: Rc<dyn FactSource> = Rc::new(table);
            let Some(finding) = judge.judge_one(&rule.id, Stage::Mobilisation, &source, &in_force) else {
                break;
            };
            if finding.outcome == Outcome::Broken {
                let known = about.reads.iter().zip(&chosen).filter(|(_, v)| ***v != Value::Unknown);
                let facts: Vec<_> = known.map(|(name, value)| format!("{name} = {}", show(value))).collect();
                let broken = Broke { at: finding.at, why: finding.why, facts: facts.join(", ") };
                return Explored { exhaustive: false, broken: Some(broken) };
            }
            reached.insert((finding.at.line, finding.at.column));
        }
    }
    Explored { exhaustive, broken: None }
}

fn show(value: &Value) -> String {
    match value {
        Value::Estimate(e) => e.to_string(),
        Value::Word(word) => format!("{word:?}"),
        Value::Unknown => "unknown".to_owned(),
    }
}

/// The limits as the region sets them, and, where they are few, in every
/// other order: a branch may be for another region than this.
fn orders(figures: &[&Figure]) -> Vec<Vec<f64>> {
    let mut all = vec![figures.iter().map(|f| f.value).collect::<Vec<_>>()];
    let orders: &[&[f64]] = match figures.len() {
        2 => &[&[10.0, 20.0], &[20.0, 10.0]],
        3 => &[
            &[10.0, 20.0, 30.0],
            &[10.0, 30.0, 20.0],
            &[20.0, 10.0, 30.0],
            &[20.0, 30.0, 10.0],
            &[30.0, 10.0, 20.0],
            &[30.0, 20.0, 10.0],
        ],
        _ => &[],
    };
    all.extend(orders.iter().map(|o| o.to_vec()));
    all
}

/// Values of a fact that stand for all others.
fn candidates(name: &str, limits: &BTreeMap<String, Figure>) -> Vec<Value> {
    match facts::def(name).map(|d| d.form) {
        Some(Form::Word(words)) => words.iter().map(|w| Value::Word(w)).chain([Value::Unknown]).collect(),
        Some(Form::Number(unit)) => numbers(unit, limits),
        None => vec![Value::Unknown],
    }
}

fn numbers(unit: Unit, limits: &BTreeMap<String, Figure>) -> Vec<Value> {
    let mut marks: Vec<f64> = limits.values().filter(|f| f.unit == unit).map(|f| f.value).collect();
    marks.sort_by(f64::total_cmp);
    marks.dedup_by(|a, b| a.total_cmp(b).is_eq());
    let mut points = Vec::new();
    match (marks.first(), marks.last()) {
        (Some(first), Some(last)) => {
            points.push(first - first.abs().max(1.0) / 2.0);
            for pair in marks.windows(2) {
                if let [a, b] = pair {
                    points.extend([*a, (a + b) / 2.0]);
                }
            }
            points.extend([*last, last + last.abs().max(1.0) / 2.0]);
        }
        _ => points.push(1.0),
    }
    let mut all = Vec::new();
    let mut add = |estimate: Option<Estimate>| all.extend(estimate.map(Value::Estimate));
    for (n, low) in points.iter().enumerate() {
        for high in points.iter().skip(n) {
            add(Estimate::band(unit, *low, (low + high) / 2.0, *high).ok());
        }
        add(Estimate::bounded(unit, Some(*low), None).ok());
        add(Estimate::bounded(unit, None, Some(*low)).ok());
    }
    add(Estimate::bounded(unit, None, None).ok());
    all.push(Value::Unknown);
    all
}

/// The `n`th combination.
fn pick(choices: &[Vec<Value>], mut n: usize) -> Vec<&Value> {
    let mut chosen = Vec::with_capacity(choices.len());
    for list in choices {
        let len = list.len().max(1);
        chosen.extend(list.get(n % len));
        n /= len;
    }
    chosen
}

/// A number near the golden part of `count` that shares no factor with it.
fn step(count: usize) -> usize {
    let near = (count as f64 * 0.618) as usize;
    (near.max(1)..).find(|s| shared(*s, count) == 1).unwrap_or(1)
}

fn shared(a: usize, b: usize) -> usize {
    if b == 0 { a } else { shared(b, a % b) }
}
