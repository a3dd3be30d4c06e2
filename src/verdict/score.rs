//! The site's score: it ranks sites, it decides nothing.

use std::collections::BTreeMap;

use crate::rules::{Finding, Outcome};

/// The weighted mean of the known grades, and how much of the weight is
/// known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Score {
    /// From 0 to 100; `None` where no grade is known.
    pub value: Option<f64>,
    /// Share of the weight of the rules that apply whose grade is known,
    /// from 0 to 1.
    pub known_share: f64,
}

impl Score {
    /// The score of these findings; `weights` replace those of the rules.
    pub fn of(findings: &[Finding], weights: &BTreeMap<String, f64>) -> Self {
        let (mut all, mut known, mut sum) = (0.0, 0.0, 0.0);
        for f in findings.iter().filter(|f| f.outcome != Outcome::DoesNotApply) {
            let own = f.rule.about.as_ref().map_or(1.0, |a| a.weight);
            let weight = weights.get(&f.rule.id).copied().unwrap_or(own);
            all += weight;
            if let Some(grade) = f.grade {
                known += weight;
                sum += weight * grade;
            }
        }
        let value = (known > 0.0).then(|| sum / known);
        Self { value, known_share: if all > 0.0 { known / all } else { 0.0 } }
    }
}
