//! How far must a well stand from each kind of hazard? Asked of the rules
//! themselves: each rule that reads the distance to a kind is run with that
//! distance varied and everything else as observed. A rule asks no more of a
//! number than on which side of its limits it lies, so that one value between
//! each two limits stands for all.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::facts::{self, AskKind, Fact, FactSource, Missing, SiteFacts, Value};
use crate::region::{Figure, Region};
use crate::rules::{Finding, Judge, Outcome, RuleSet};
use crate::survey::{HazardKind, Stage};
use crate::units::Unit;

/// What the ground is to be free of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Of what stops a well, or leaves it open whether it does.
    Stops,
    /// Of what makes a condition, too.
    Cautions,
}

impl Level {
    /// Both, the laxer first.
    pub const ALL: [Level; 2] = [Level::Stops, Level::Cautions];

    fn bad(self, finding: &Finding) -> bool {
        match finding.outcome {
            Outcome::Stop | Outcome::Broken => true,
            Outcome::FindOut => finding.blocks || self == Level::Cautions,
            Outcome::Caution => self == Level::Cautions,
            Outcome::Clear | Outcome::DoesNotApply => false,
        }
    }
}

/// How far a well must stand from a kind.
#[derive(Debug, Clone)]
pub struct Requirement {
    /// The kind.
    pub kind: HazardKind,
    /// For what.
    pub level: Level,
    /// The distance, metres.
    pub distance_m: f64,
    /// The rule that asks it.
    pub rule: String,
    /// The limit that it is, where it is one.
    pub limit: Option<Figure>,
    /// What is added to the limit: the height of what is raised.
    pub added_m: f64,
}

/// What is asked, of the rules in force at a stage.
pub(super) struct Bench<'a> {
    pub judge: &'a Judge,
    pub rules: &'a RuleSet,
    pub region: &'a Region,
    pub stage: Stage,
    pub facts: &'a Rc<SiteFacts>,
    pub limits: &'a Rc<BTreeMap<String, Figure>>,
}

impl Bench<'_> {
    /// The greatest distance that any rule asks of each kind, for each level.
    pub fn required(&self) -> Vec<Requirement> {
        let mut all: Vec<Requirement> = Vec::new();
        for kind in HazardKind::ALL {
            for level in Level::ALL {
                let each = self.rules.rules.iter().flat_map(|r| self.by_rule(&r.id, kind));
                let each = each.filter(|r| r.level == level);
                // Of equal ones that of the first rule.
                all.extend(each.reduce(|a, b| if b.distance_m > a.distance_m { b } else { a }));
            }
        }
        all
    }

    /// What one rule asks of a kind.
    fn by_rule(&self, id: &str, kind: HazardKind) -> Vec<Requirement> {
        let asked = || {
            let about = self.rules.find(id)?.about.as_ref().ok()?;
            let hangs = about.reads.iter().any(|fact| facts::hangs_on_distance(fact, kind));
            let holds = about.stages.contains(&self.stage) && !self.region.switched_off.contains_key(id);
            (hangs && holds).then_some(about)
        };
        let Some(about) = asked() else { return Vec::new() };
        let mut marks: Vec<Mark> = Vec::new();
        for figure in about.limits.iter().filter_map(|l| self.limits.get(l)).filter(|f| f.unit == Unit::Metre)
        {
            let added = [Some(0.0), self.facts.taken_off_m(kind)].into_iter().flatten();
            marks.extend(added.map(|added_m| Mark { at_m: figure.value + added_m, added_m, figure }));
        }
        marks.retain(|m| m.at_m > 0.0);
        marks.sort_by(|a, b| a.at_m.total_cmp(&b.at_m).then(a.added_m.total_cmp(&b.added_m)));
        marks.dedup_by(|a, b| a.at_m.total_cmp(&b.at_m).is_eq());
        // One finding below each mark, and one beyond them all.
        let ends: Vec<f64> = std::iter::once(0.0).chain(marks.iter().map(|m| m.at_m)).collect();
        let below: Vec<_> = ends
            .windows(2)
            .filter_map(|pair| match pair {
                [a, b] => self.found(id, kind, f64::midpoint(*a, *b)),
                _ => None,
            })
            .collect();
        let Some(beyond) = ends.last().and_then(|end| self.found(id, kind, end + 1.0)) else {
            return Vec::new();
        };
        let asks = |level: Level| {
            // Where no distance clears it, the last mark that makes a
            // difference is as far as distance helps.
            let matters = |f: &Finding| match level.bad(&beyond) {
                true => f.outcome != beyond.outcome || f.at != beyond.at,
                false => level.bad(f),
            };
            let (mark, _) = marks.iter().zip(&below).rfind(|(_, f)| matters(f))?;
            Some(Requirement {
                kind,
                level,
                distance_m: mark.at_m,
                rule: id.to_owned(),
                limit: Some(mark.figure.clone()),
                added_m: mark.added_m,
            })
        };
        Level::ALL.into_iter().filter_map(asks).collect()
    }

    fn found(&self, id: &str, kind: HazardKind, distance_m: f64) -> Option<Finding> {
        let facts: Rc<dyn FactSource> = Rc::new(AtDistance {
            stated: self.facts.at_distance(kind, distance_m),
            others: self.facts.clone(),
        });
        self.judge.judge_one(id, self.stage, &facts, self.limits)
    }
}

/// A distance at which a rule may change its mind.
struct Mark<'a> {
    at_m: f64,
    added_m: f64,
    figure: &'a Figure,
}

/// Facts as observed, but those that hang on one distance.
struct AtDistance {
    stated: Vec<(&'static str, Value)>,
    others: Rc<SiteFacts>,
}

impl FactSource for AtDistance {
    fn fact(&self, name: &str) -> Option<Rc<Fact>> {
        let Some((name, value)) = self.stated.iter().find(|(n, _)| *n == name) else {
            return self.others.fact(name);
        };
        let missing = match value {
            Value::Unknown => vec![Missing::new(AskKind::Ask, format!("Find out {name}."))],
            _ => Vec::new(),
        };
        Some(Rc::new(Fact { value: value.clone(), from: Vec::new(), note: String::new(), missing }))
    }
}
