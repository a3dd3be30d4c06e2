//! One peg from facts to verdict.

use std::rc::Rc;

use super::{Verdict, decide};
use crate::facts::FactSource;
use crate::region::Region;
use crate::rules::{Finding, Judge};
use crate::survey::Stage;

/// What all rules found at one peg, and what it means.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// One finding for each rule asked, in the order of the rule set.
    pub findings: Vec<Finding>,
    /// The verdict.
    pub verdict: Verdict,
}

/// Assesses one peg at `stage`.
pub fn assess(judge: &Judge, facts: &Rc<dyn FactSource>, region: &Region, stage: Stage) -> Assessment {
    let limits = Rc::new(region.limits.clone());
    let findings = judge.judge(stage, facts, &limits, |rule| region.switched_off.contains_key(rule));
    let verdict = decide(stage, &findings, &region.weights, &region.asks);
    Assessment { findings, verdict }
}
