//! One record judged as the peg it was: what each rule finds, what it comes
//! to, and what each limit would have to be for it to come out otherwise.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use crate::facts::{FactSource, Shared, SiteFacts, Value};
use crate::region::{Figure, Region};
use crate::rules::{Finding, Judge, Outcome, RuleSet};
use crate::survey::Stage;
use crate::verdict::{Answer, answer_of};

use super::super::leave_out::Plan;
use super::pegs::Pegs;

/// What a limit is multiplied by, one after another.
pub(super) const STEPS: [f64; 8] = [0.5, 0.75, 0.9, 1.0, 1.1, 1.25, 1.5, 2.0];

/// What one rule found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Found {
    /// The rule, by its number in the set.
    pub rule: usize,
    pub outcome: Outcome,
    /// What it alone answers.
    pub alone: Answer,
}

impl Found {
    /// Whether the rule came to a judgement of the site, and not only to a
    /// question.
    pub fn decided(&self) -> bool {
        matches!(self.outcome, Outcome::Clear | Outcome::Caution | Outcome::Stop)
    }
}

/// What a limit does at one of its steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stepped {
    /// Findings that are otherwise.
    pub findings: usize,
    /// The answer then.
    pub answer: Answer,
    /// That of the rules that decided.
    pub said: Option<Answer>,
    /// Whether every rule that read it clears.
    pub cleared: bool,
}

/// A limit that was read.
#[derive(Debug, Clone)]
pub(super) struct Read {
    pub limit: Arc<str>,
    /// The rules that read it and decided.
    pub deciding: Vec<usize>,
    pub steps: [Stepped; STEPS.len()],
}

/// One record judged.
#[derive(Debug, Clone)]
pub(super) struct Judged {
    pub found: Vec<Found>,
    /// The chance of success that its facts tell.
    pub chance: Option<f64>,
    pub limits: Vec<Read>,
}

/// The answer of all that was found.
pub(super) fn answer<'a>(found: impl IntoIterator<Item = &'a Found>) -> Answer {
    found.into_iter().map(|f| f.alone).min().unwrap_or(Answer::FindOut)
}

/// The answer of the rules alone that decided; `None` where none did.
pub(super) fn said<'a>(found: impl IntoIterator<Item = &'a Found>) -> Option<Answer> {
    found.into_iter().filter(|f| f.decided()).map(|f| f.alone).min()
}

/// A limit at one of the steps.
type AtStep = (Arc<str>, usize);

/// What one core judges with.
pub(super) struct Bench<'a> {
    judge: Judge,
    numbers: BTreeMap<&'a str, usize>,
    region: &'a Arc<Region>,
    stage: Stage,
    neighbours: usize,
    limits: Rc<BTreeMap<String, Figure>>,
    /// The limits with one of them at a step, as they are asked for.
    stepped: BTreeMap<AtStep, Rc<BTreeMap<String, Figure>>>,
    names: BTreeMap<String, Arc<str>>,
}

impl<'a> Bench<'a> {
    pub fn new(rules: &'a RuleSet, region: &'a Arc<Region>, stage: Stage, neighbours: usize) -> Self {
        Self {
            judge: Judge::new(rules),
            numbers: rules.rules.iter().enumerate().map(|(n, r)| (r.id.as_str(), n)).collect(),
            region,
            stage,
            neighbours,
            limits: Rc::new(region.limits.clone()),
            stepped: BTreeMap::new(),
            names: region.limits.keys().map(|n| (n.clone(), Arc::from(n.as_str()))).collect(),
        }
    }

    /// Record `i`, with the nearest of those it may be judged from as its
    /// neighbours.
    pub fn judge(&mut self, plan: &Plan, pegs: &Pegs, i: usize) -> Option<Judged> {
        let site = pegs.sites.get(i)?.clone();
        let near = plan.nearest(i, self.neighbours);
        let wells = near.into_iter().filter_map(|j| pegs.wells.get(j)).cloned().collect();
        let shared = Arc::new(Shared::new(Vec::new(), wells, self.region.clone()));
        let facts: Rc<dyn FactSource> = Rc::new(SiteFacts::for_peg(shared, site));
        let region = self.region;
        let off = |rule: &str| region.switched_off.contains_key(rule);
        let findings = self.judge.judge(self.stage, &facts, &self.limits, off);
        let found: Vec<Found> = findings.iter().filter_map(|f| self.found(f)).collect();
        let limits = self.sweep(&facts, &findings, &found);
        let chance = facts.fact("success_chance_pct").and_then(|f| match &f.value {
            Value::Estimate(e) => e.value().map(|pct| (pct / 100.0).clamp(0.0, 1.0)),
            _ => None,
        });
        Some(Judged { found, chance, limits })
    }

    fn found(&self, f: &Finding) -> Option<Found> {
        let rule = *self.numbers.get(f.rule.id.as_str())?;
        Some(Found { rule, outcome: f.outcome, alone: answer_of(f) })
    }

    /// Each limit that was read, at each of its steps: only the rules that
    /// read it are run again; to all others it is the same.
    fn sweep(&mut self, facts: &Rc<dyn FactSource>, findings: &[Finding], found: &[Found]) -> Vec<Read> {
        let mut readers: BTreeMap<&str, Vec<(usize, &Finding)>> = BTreeMap::new();
        for (n, f) in findings.iter().enumerate() {
            for limit in &f.limits {
                let list = readers.entry(limit.name.as_str()).or_default();
                if list.last().is_none_or(|(last, _)| *last != n) {
                    list.push((n, f));
                }
            }
        }
        let mut all = Vec::new();
        for (name, readers) in readers {
            let Some(limit) = self.names.get(name).cloned() else { continue };
            let mut tried = found.to_vec();
            let mut step = |n: usize, factor: f64, bench: &mut Self| {
                let mut findings = 0;
                let mut cleared = true;
                for (place, before) in &readers {
                    let now = match same(factor) {
                        true => found.get(*place).copied(),
                        false => bench.again(facts, before, &limit, n),
                    };
                    let (Some(now), Some(slot)) = (now, tried.get_mut(*place)) else { continue };
                    findings += usize::from(found.get(*place).is_some_and(|f| *f != now));
                    cleared &= now.outcome == Outcome::Clear;
                    *slot = now;
                }
                Stepped { findings, answer: answer(&tried), said: said(&tried), cleared }
            };
            let mut steps =
                STEPS.map(|_| Stepped { findings: 0, answer: Answer::FindOut, said: None, cleared: false });
            for (n, (slot, factor)) in steps.iter_mut().zip(STEPS).enumerate() {
                *slot = step(n, factor, self);
            }
            let decided = |(place, _): &(usize, &Finding)| found.get(*place).filter(|f| f.decided());
            let deciding = readers.iter().filter_map(decided).map(|f| f.rule).collect();
            all.push(Read { limit, deciding, steps });
        }
        all
    }

    /// What a rule finds with a limit at a step.
    fn again(
        &mut self,
        facts: &Rc<dyn FactSource>,
        before: &Finding,
        limit: &Arc<str>,
        n: usize,
    ) -> Option<Found> {
        let (all, factor) = (&self.limits, STEPS.get(n)?);
        let limits = self.stepped.entry((limit.clone(), n)).or_insert_with(|| {
            let mut limits = BTreeMap::clone(all);
            if let Some(figure) = limits.get_mut(limit.as_ref()) {
                figure.value *= factor;
            }
            Rc::new(limits)
        });
        let finding = self.judge.judge_one(&before.rule.id, self.stage, facts, limits)?;
        self.found(&finding)
    }
}

/// Whether a step leaves the limit as it is.
pub(super) fn same(factor: f64) -> bool {
    factor.total_cmp(&1.0).is_eq()
}
