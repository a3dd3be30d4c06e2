//! What all findings together mean for the stage asked. Combination only:
//! no threshold lives here.
//!
//! Refusal comes first, then what cannot be told, then conditions; the order
//! of the rules never matters, and no score outvotes a stop.

mod assess;
mod score;

use std::collections::BTreeMap;

use serde::Serialize;

pub use assess::{Assessment, assess};
pub use score::Score;

use crate::facts::AskKind;
use crate::region::AskPrice;
use crate::rules::{About, Finding, Outcome};
use crate::survey::Stage;

/// The answer, from the worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Do not drill here.
    NoGo,
    /// It cannot be told before something is found out.
    FindOut,
    /// Go, on conditions.
    GoIf,
    /// Go.
    Go,
}

impl Answer {
    /// The words people read.
    pub fn words(self) -> &'static str {
        match self {
            Answer::NoGo => "NO-GO",
            Answer::FindOut => "FIND OUT FIRST",
            Answer::GoIf => "GO IF",
            Answer::Go => "GO",
        }
    }
}

/// Something to find out, with what it costs and which rules wait for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// What to do, as a sentence.
    pub ask: String,
    /// By what kind of act.
    pub how: AskKind,
    /// What doing it once costs, in the region's currency.
    pub price: Option<f64>,
    /// The rules that wait for it, in the order of the rule set.
    pub rules: Vec<String>,
    /// Whether the stage waits for it.
    pub blocks: bool,
    /// The stage before which it must be known.
    pub before: Stage,
}

/// A reason or condition, with the rule it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// The rule.
    pub rule: String,
    /// What its finding alone would answer.
    pub alone: Answer,
    /// The sentence.
    pub text: String,
}

/// The answer with all that leads to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// The answer.
    pub answer: Answer,
    /// The stage it holds for.
    pub stage: Stage,
    /// The score, for ranking sites.
    pub score: Score,
    /// Why it is not better, the gravest first; for a plain go, empty.
    pub reasons: Vec<Point>,
    /// What a go hangs on.
    pub conditions: Vec<Point>,
    /// What to find out, what blocks first and then the cheapest first.
    pub asks: Vec<Ask>,
}

/// The verdict for `stage`. `weights` replace those of the rules; `prices`
/// are the region's for finding out.
pub fn decide(
    stage: Stage,
    findings: &[Finding],
    weights: &BTreeMap<String, f64>,
    prices: &BTreeMap<String, AskPrice>,
) -> Verdict {
    let answer = findings.iter().map(answer_of).min().unwrap_or(Answer::FindOut);
    let point = |f: &Finding, text: &str| Point {
        rule: f.rule.id.clone(),
        alone: answer_of(f),
        text: text.to_owned(),
    };
    let mut reasons: Vec<(Answer, Point)> = findings
        .iter()
        .map(|f| (answer_of(f), f))
        .filter(|(a, _)| *a < Answer::Go)
        .map(|(a, f)| (a, point(f, &f.why)))
        .collect();
    reasons.sort_by_key(|(a, _)| *a);
    let conditions = findings.iter().filter(|f| answer_of(f) == Answer::GoIf).map(|f| {
        match (f.outcome, f.rule.about.as_ref().ok()) {
            // What to do about it stands among the asks.
            (Outcome::FindOut, Some(about)) => {
                point(f, &format!("Settle this before {}: {}", about.known_before().name(), f.why))
            }
            _ => point(f, &f.to_do),
        }
    });
    Verdict {
        answer,
        stage,
        score: Score::of(findings, weights),
        reasons: reasons.into_iter().map(|(_, p)| p).collect(),
        conditions: conditions.collect(),
        asks: asks(findings, prices),
    }
}

/// What one finding alone would answer.
pub fn answer_of(finding: &Finding) -> Answer {
    match finding.outcome {
        Outcome::Stop => Answer::NoGo,
        Outcome::Broken => Answer::FindOut,
        Outcome::FindOut if finding.blocks => Answer::FindOut,
        Outcome::FindOut | Outcome::Caution => Answer::GoIf,
        Outcome::Clear | Outcome::DoesNotApply => Answer::Go,
    }
}

fn asks(findings: &[Finding], prices: &BTreeMap<String, AskPrice>) -> Vec<Ask> {
    let mut asks: Vec<Ask> = Vec::new();
    for f in findings.iter().filter(|f| f.outcome == Outcome::FindOut) {
        let before = f.rule.about.as_ref().map_or(Stage::DeskStudy, About::known_before);
        for m in &f.missing {
            match asks.iter_mut().find(|a| a.ask == m.ask) {
                Some(ask) => {
                    ask.blocks |= f.blocks;
                    ask.before = ask.before.min(before);
                    if !ask.rules.contains(&f.rule.id) {
                        ask.rules.push(f.rule.id.clone());
                    }
                }
                None => asks.push(Ask {
                    ask: m.ask.clone(),
                    how: m.how,
                    price: prices.get(m.how.name()).map(|p| p.price.value),
                    rules: vec![f.rule.id.clone()],
                    blocks: f.blocks,
                    before,
                }),
            }
        }
    }
    let cost = |a: &Ask| a.price.unwrap_or(f64::MAX);
    asks.sort_by(|a, b| {
        b.blocks
            .cmp(&a.blocks)
            .then(cost(a).total_cmp(&cost(b)))
            .then(b.rules.len().cmp(&a.rules.len()))
            .then(a.how.cmp(&b.how))
            .then(a.ask.cmp(&b.ask))
    });
    asks
}
