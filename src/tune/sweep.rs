//! Where does a rule change its mind? One fact or one limit is varied while
//! everything else stays as it was observed.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::diag::Origin;
use crate::facts::{self, Fact, FactSource, Form, Value};
use crate::region::Figure;
use crate::rules::{Finding, Judge, Outcome};
use crate::survey::Stage;
use crate::units::{Estimate, Unit};

/// What is varied.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Swept {
    /// A number fact; its band keeps its width.
    Fact(Unit),
    /// A word fact; each of its words, and unknown.
    Words(&'static [&'static str]),
    /// A limit.
    Limit(Unit),
}

/// What a rule finds over a part of a sweep.
#[derive(Debug, Clone)]
pub struct Stretch {
    /// The first value, or the word, as people read it.
    pub from: String,
    /// The last value; the same as `from` for a word.
    pub to: String,
    /// What is found there.
    pub outcome: Outcome,
    /// Whether it holds the stage back.
    pub blocks: bool,
    /// The line that finds it.
    pub at: Origin,
}

/// The rule, and what it is run on.
pub struct Bench<'a> {
    /// The compiled rules.
    pub judge: &'a Judge,
    /// The rule.
    pub rule: &'a str,
    /// The stage asked.
    pub stage: Stage,
    /// The facts.
    pub facts: &'a Rc<dyn FactSource>,
    /// The limits.
    pub limits: &'a Rc<BTreeMap<String, Figure>>,
}

/// Steps of a sweep before its flips are narrowed down.
const STEPS: usize = 400;

/// A flip is narrowed down to this share of the sweep.
const NARROW: f64 = 1e-6;

impl Bench<'_> {
    /// What a sweep of `name` would vary; `None` where the name is neither a
    /// fact nor a limit in force.
    pub fn swept(&self, name: &str) -> Option<Swept> {
        match facts::def(name).map(|d| d.form) {
            Some(Form::Number(unit)) => Some(Swept::Fact(unit)),
            Some(Form::Word(words)) => Some(Swept::Words(words)),
            None => self.limits.get(name).map(|f| Swept::Limit(f.unit)),
        }
    }

    /// What the rule finds while `name` runs from `from` to `to`; for words
    /// the ends do not matter.
    pub fn sweep(&self, name: &str, from: f64, to: f64) -> Vec<Stretch> {
        match self.swept(name) {
            Some(Swept::Words(words)) => words
                .iter()
                .map(|w| (*w, Value::Word(w)))
                .chain([("unknown", Value::Unknown)])
                .filter_map(|(said, value)| {
                    let found = self.with_fact(name, value)?;
                    Some(stretch(said.to_owned(), said.to_owned(), &found))
                })
                .collect(),
            Some(Swept::Fact(unit)) => {
                let (below, above) = self.half_widths(name);
                self.numbers(unit, (from, to), |x| {
                    let band = Estimate::band(unit, x - below, x, x + above).ok()?;
                    self.with_fact(name, Value::Estimate(band))
                })
            }
            Some(Swept::Limit(unit)) => self.numbers(unit, (from, to), |x| self.with_limit(name, x)),
            None => Vec::new(),
        }
    }

    /// How far the ends of a fact's band lie from its value as observed.
    fn half_widths(&self, name: &str) -> (f64, f64) {
        let fact = self.facts.fact(name);
        let Some(Value::Estimate(e)) = fact.as_ref().map(|f| &f.value) else { return (0.0, 0.0) };
        let Some(value) = e.value() else { return (0.0, 0.0) };
        (e.low().map_or(0.0, |l| value - l), e.high().map_or(0.0, |h| h - value))
    }

    fn numbers(
        &self,
        unit: Unit,
        (from, to): (f64, f64),
        find: impl Fn(f64) -> Option<Finding>,
    ) -> Vec<Stretch> {
        let whole_number = unit == Unit::Count;
        let step = |n: usize| {
            let x = from + (to - from) * n as f64 / STEPS as f64;
            if whole_number { x.round() } else { x }
        };
        let mut parts: Vec<(f64, f64, Finding)> = Vec::new();
        for n in 0..=STEPS {
            let x = step(n);
            let Some(found) = find(x) else { continue };
            match parts.last_mut() {
                Some((_, last, before)) if alike(before, &found) => *last = x,
                Some((_, last, before)) if !whole_number => {
                    // Halve the way between the two until they touch.
                    let (mut old, mut new) = (*last, x);
                    while (new - old).abs() > NARROW * (to - from).abs() {
                        let mid = f64::midpoint(old, new);
                        match find(mid) {
                            Some(f) if alike(before, &f) => old = mid,
                            _ => new = mid,
                        }
                    }
                    *last = old;
                    parts.push((new, x, found));
                }
                _ => parts.push((x, x, found)),
            }
        }
        let show = |x: f64| figures(unit, x, to - from);
        parts.iter().map(|(a, b, f)| stretch(show(*a), show(*b), f)).collect()
    }

    fn with_fact(&self, name: &str, value: Value) -> Option<Finding> {
        let before = self.facts.fact(name)?;
        let fact = Fact { value, ..(*before).clone() };
        let facts: Rc<dyn FactSource> =
            Rc::new(With { name: name.to_owned(), fact: Rc::new(fact), others: self.facts.clone() });
        self.judge.judge_one(self.rule, self.stage, &facts, self.limits)
    }

    fn with_limit(&self, name: &str, value: f64) -> Option<Finding> {
        let mut limits = BTreeMap::clone(self.limits);
        limits.get_mut(name)?.value = value;
        self.judge.judge_one(self.rule, self.stage, self.facts, &Rc::new(limits))
    }
}

/// Facts as observed, but one.
pub(super) struct With {
    pub(super) name: String,
    pub(super) fact: Rc<Fact>,
    pub(super) others: Rc<dyn FactSource>,
}

impl FactSource for With {
    fn fact(&self, name: &str) -> Option<Rc<Fact>> {
        if name == self.name { Some(self.fact.clone()) } else { self.others.fact(name) }
    }
}

fn alike(a: &Finding, b: &Finding) -> bool {
    a.outcome == b.outcome && a.at == b.at && a.blocks == b.blocks
}

fn stretch(from: String, to: String, found: &Finding) -> Stretch {
    Stretch { from, to, outcome: found.outcome, blocks: found.blocks, at: found.at.clone() }
}

/// A number with the digits that a sweep so long is worth, and no trailing
/// zeros.
fn figures(unit: Unit, x: f64, span: f64) -> String {
    let digits = (3.0 - span.abs().log10().floor()).clamp(0.0, 9.0) as usize;
    let text = format!("{x:.digits$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    let text = if text == "-0" { "0" } else { text };
    match unit.name() {
        "1" | "count" | "money" => text.to_owned(),
        name => format!("{text} {name}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Problems, Sources};
    use crate::facts::FactTable;
    use crate::region;
    use crate::rules::RuleSet;

    fn sweep(name: &str, observed: Estimate, from: f64, to: f64) -> Vec<(String, String, Outcome)> {
        let set = RuleSet::built_in(&mut Sources::new(), &mut Problems::new());
        let region = region::load(region::UNSTATED, None, &mut Sources::new(), &mut Problems::new()).unwrap();
        let mut table = FactTable::default();
        table.state("nearest_pit_latrine_m", Value::Estimate(observed));
        let bench = Bench {
            judge: &Judge::new(&set),
            rule: "pit-latrine",
            stage: Stage::Mobilisation,
            facts: &(Rc::new(table) as Rc<dyn FactSource>),
            limits: &Rc::new(region.limits),
        };
        bench.sweep(name, from, to).into_iter().map(|s| (s.from, s.to, s.outcome)).collect()
    }

    #[test]
    fn a_sweep_of_a_distance_flips_where_the_ends_of_its_band_meet_the_limits() {
        let observed = Estimate::band(Unit::Metre, 18.0, 20.0, 22.0).unwrap();
        let found = sweep("nearest_pit_latrine_m", observed, 0.0, 60.0);
        let outcomes: Vec<_> = found.iter().map(|f| f.2).collect();
        assert_eq!(outcomes, [Outcome::Stop, Outcome::FindOut, Outcome::Caution, Outcome::Clear]);
        // Limits of 15 m and 30 m, two metres either way.
        assert_eq!((found[0].1.as_str(), found[1].1.as_str(), found[3].0.as_str()), ("13 m", "17 m", "32 m"));
    }

    #[test]
    fn a_sweep_of_a_limit_flips_at_what_was_observed() {
        let observed = Estimate::exact(Unit::Metre, 20.0).unwrap();
        let found = sweep("pit_latrine_stop_m", observed, 5.0, 40.0);
        assert_eq!(found[0].2, Outcome::Caution);
        assert_eq!((found[0].1.as_str(), found[1].2), ("20 m", Outcome::Stop));
    }
}
