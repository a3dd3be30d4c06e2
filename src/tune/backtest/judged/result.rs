//! What a back-test of rules found, as data. The field names are a contract:
//! add, do not rename.

use std::collections::BTreeMap;

use serde::Serialize;

use super::super::result::{Bin, Gain, Scores};
use crate::tune::records::Skipped;
use crate::verdict::Answer;

/// A group of records and what became of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Share {
    /// How many records.
    pub n: usize,
    /// How many of them came to a success.
    pub successes: usize,
    /// Their share; `null` of none.
    pub share: Option<f64>,
    /// The ends of its 95 % band (Wilson).
    pub band95: [f64; 2],
    /// Whether they are so few that the share says little.
    pub few: bool,
}

/// Two groups of records compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Difference {
    /// The better judged.
    pub first: Share,
    /// The worse judged.
    pub second: Share,
    /// The share of successes of the first less that of the second.
    pub difference: Option<f64>,
    /// The ends of its 95 % interval.
    pub band95: Option<[f64; 2]>,
    /// `tells`, `tells the wrong way`, `not told apart`, `too few` or
    /// `one group only`.
    pub verdict: &'static str,
}

/// One answer and the records that got it; `null`: no rule decided.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AnswerRow {
    /// The answer.
    pub answer: Option<Answer>,
    /// The records.
    #[serde(flatten)]
    pub records: Share,
}

/// Answers against outcomes, in one reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Confusion {
    /// Every answer, the worst first.
    pub answers: Vec<AnswerRow>,
    /// Those let through (go, go if) beside those held back; records of which
    /// no rule decided are in neither.
    pub let_through: Difference,
}

/// What would be otherwise without a rule.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct Without {
    /// Answers that would be better; none gets worse.
    pub changed: usize,
    /// Records held back by this rule alone, which would then be let through …
    pub let_through: usize,
    /// … and how many of them came to a success.
    pub let_through_successes: usize,
}

/// What one rule did.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RuleSkill {
    /// The rule.
    pub rule: String,
    /// What it is called.
    pub title: String,
    /// The records of each outcome that it found at all.
    pub found: BTreeMap<&'static str, Share>,
    /// How many records it decided on: clear, caution or stop.
    pub decided: usize,
    /// Records it cleared beside those it warned of or stopped.
    pub tells: Difference,
    /// Without it, all rules read as they stand.
    pub without: Without,
    /// Without it, where only rules that decided are read.
    pub said_without: Without,
}

/// What came of a limit at one of its steps.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitStep {
    /// By what it was multiplied.
    pub factor: f64,
    /// What it then was.
    pub value: f64,
    /// Findings that change.
    pub findings: usize,
    /// Answers that change.
    pub answers: usize,
    /// Answers of the rules that decided, which change.
    pub said: usize,
    /// The records that every rule reading it clears.
    pub cleared: Share,
}

/// How much hangs on a limit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitSweep {
    /// The limit.
    pub limit: String,
    /// Its unit.
    pub unit: &'static str,
    /// Its value.
    pub value: f64,
    /// The rules that read it and decided on some record.
    pub rules: Vec<String>,
    /// On how many records they did.
    pub n: usize,
    /// Its steps, the smallest first.
    pub steps: Vec<LimitStep>,
}

/// The chance of success that the assessment tells, against what came.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChanceTest {
    /// How many records were told a chance.
    pub n: usize,
    /// How many were told none.
    pub untold: usize,
    /// How many virtual bores each was drawn from.
    pub virtual_bores: f64,
    /// The scores of the chance.
    #[serde(flatten)]
    pub scores: Scores,
    /// The share that came to a success.
    pub base_rate: Option<f64>,
    /// The scores of forecasts anybody can make.
    pub baselines: BTreeMap<&'static str, Scores>,
    /// Gains on each baseline.
    pub skill: BTreeMap<&'static str, Gain>,
    /// The median of the chances.
    pub typical: Option<f64>,
    /// How reliable the chances were.
    pub reliability: Vec<Bin>,
    /// Chances nearer to 0 and 1 count as this far off in the log score.
    pub log_score_clip: f64,
}

/// Content hashes of what went in.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct JudgedFrom {
    /// The records.
    pub records: String,
    /// The map.
    pub map: String,
    /// The region with all its layers.
    pub region: String,
    /// The rules.
    pub rules: String,
}

/// The whole result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RulesTest {
    /// The program's version.
    pub forebore: &'static str,
    /// The stage judged.
    pub stage: &'static str,
    /// How records were left out.
    pub leave_out: String,
    /// Records nearer than this were no neighbours, metres.
    pub neighbours_from_m: f64,
    /// At most so many of the nearest records were neighbours of each.
    pub neighbours_most: usize,
    /// The region.
    pub region: String,
    /// Keys of the survey that the map names.
    pub observed: Vec<&'static str>,
    /// How many rules were asked.
    pub rules_asked: usize,
    /// How many records were judged, and what became of them.
    pub records: Share,
    /// Rows that were not.
    pub skipped: Vec<Skipped>,
    /// Fewer records than this in a group are flagged.
    pub few: f64,
    /// All rules as they stand.
    pub verdicts: Confusion,
    /// Only the rules that decided: clear, caution or stop.
    pub said: Confusion,
    /// Each rule that was asked, those that decided most first.
    pub rules: Vec<RuleSkill>,
    /// Each limit that a deciding rule read.
    pub limits: Vec<LimitSweep>,
    /// The chance of success; `null` where none was told.
    pub chance: Option<ChanceTest>,
    /// What to bear in mind.
    pub notes: Vec<String>,
    /// The same records left out in other ways.
    pub beside: Vec<RulesTest>,
    /// What went in.
    pub provenance: JudgedFrom,
}
