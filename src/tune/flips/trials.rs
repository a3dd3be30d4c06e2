//! Judging again with a change made.

use std::collections::BTreeMap;
use std::rc::Rc;

use crate::facts::{FORECASTS, FactSource, SiteFacts};
use crate::region::{Figure, Region};
use crate::rules::{Finding, Judge};
use crate::survey::Stage;
use crate::verdict::{Answer, Assessment, answer_of};

/// One peg as it was assessed, to be judged again.
pub struct Trials<'a> {
    pub(super) judge: &'a Judge,
    pub(super) region: &'a Region,
    pub(super) stage: Stage,
    pub(super) site: Rc<SiteFacts>,
    pub(super) facts: Rc<dyn FactSource>,
    pub(super) assessment: &'a Assessment,
    limits: Rc<BTreeMap<String, Figure>>,
}

impl<'a> Trials<'a> {
    /// The peg of `site` with what was found of it.
    pub fn new(
        judge: &'a Judge,
        region: &'a Region,
        site: &Rc<SiteFacts>,
        assessment: &'a Assessment,
    ) -> Self {
        Self {
            judge,
            region,
            stage: assessment.verdict.stage,
            site: site.clone(),
            facts: site.clone(),
            assessment,
            limits: Rc::new(region.limits.clone()),
        }
    }

    /// What one rule finds on those facts.
    pub(super) fn one(&self, rule: &str, facts: &Rc<dyn FactSource>) -> Option<Finding> {
        self.judge.judge_one(rule, self.stage, facts, &self.limits)
    }

    /// What all rules find but those that read a forecast.
    pub(super) fn others(&self, facts: &Rc<dyn FactSource>) -> Vec<Finding> {
        self.judge.judge(self.stage, facts, &self.limits, |rule| self.off(rule) || self.reads_forecast(rule))
    }

    /// The answer on those facts. A forecast can add no more than a condition;
    /// it is made anew only where that would matter and it may have changed.
    pub(super) fn answer(&self, facts: &Rc<dyn FactSource>, forecasts_otherwise: bool) -> Answer {
        let of = |findings: &[Finding]| findings.iter().map(answer_of).min();
        let others = of(&self.others(facts)).unwrap_or(Answer::FindOut);
        if others < Answer::GoIf {
            return others;
        }
        let forecasts = if forecasts_otherwise && others == Answer::Go {
            let other = |rule: &str| self.off(rule) || !self.reads_forecast(rule);
            of(&self.judge.judge(self.stage, facts, &self.limits, other))
        } else {
            let kept = self.assessment.findings.iter().filter(|f| self.reads_forecast(&f.rule.id));
            kept.map(answer_of).min()
        };
        forecasts.map_or(others, |f| f.min(others))
    }

    fn off(&self, rule: &str) -> bool {
        self.region.switched_off.contains_key(rule)
    }

    fn reads_forecast(&self, rule: &str) -> bool {
        let of_rule = self.assessment.findings.iter().find(|f| f.rule.id == rule);
        let about = of_rule.and_then(|f| f.rule.about.as_ref().ok());
        about.is_some_and(|a| a.reads.iter().any(|r| FORECASTS.contains(&r.as_str())))
    }

    /// The rules asked here that read a fact.
    pub(super) fn readers(&self, fact: &str) -> impl Iterator<Item = &'a str> {
        let reads =
            move |f: &&Finding| f.rule.about.as_ref().is_ok_and(|a| a.reads.iter().any(|r| r == fact));
        self.assessment.findings.iter().filter(reads).map(|f| f.rule.id.as_str())
    }

    /// What finding out in that way costs.
    pub(super) fn ask_price(&self, how: &str) -> Option<f64> {
        self.region.asks.get(how).map(|p| p.price.value)
    }
}
