//! What would change the answer, as data of the report.

use schemars::JsonSchema;
use serde::Serialize;

use super::build::round;
use super::model::{Finding, Report};
use super::words;
use crate::facts::FORECASTS;
use crate::tune::flips::{self, Change, PlanFigure};
use crate::verdict::Answer;

/// One change that turns one finding, found by judging again with it made and
/// everything else as it was observed.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Flip {
    /// The rule.
    pub rule: String,
    /// What it finds now: stop, find-out or caution.
    pub from: String,
    /// What that alone answers.
    pub from_alone: Answer,
    /// What it would find.
    pub to: String,
    /// What that alone would answer.
    pub to_alone: Answer,
    /// The change as a sentence.
    pub text: String,
    /// The change as data.
    pub change: ChangeOf,
    /// What it costs, or adds to the cost; null where no price is known.
    pub price: Option<f64>,
    /// Currency of the price.
    pub currency: String,
    /// The answer with this change alone.
    pub verdict_after: Answer,
}

impl Flip {
    /// What becomes of the finding: clear, aside, condition, find_out or later.
    pub fn becomes(&self) -> &'static str {
        match self.to.as_str() {
            "clear" => "clear",
            "does-not-apply" => "aside",
            "caution" => "condition",
            "find-out" if self.to_alone == Answer::FindOut => "find_out",
            _ => "later",
        }
    }
}

/// A change to what is observed or planned.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum ChangeOf {
    /// The peg is set elsewhere.
    Move {
        /// Direction from the old peg, degrees from north.
        bearing_deg: f64,
        /// Distance from the old peg, metres.
        distance_m: f64,
    },
    /// A fact that is a number is known to lie between two ends.
    Number {
        /// The fact.
        fact: String,
        /// Its unit.
        unit: String,
        /// The low end; null: none is needed.
        at_least: Option<f64>,
        /// The high end.
        at_most: Option<f64>,
        /// Whether that is possible after all that was observed.
        open: bool,
    },
    /// A fact that is a word is one of these.
    Word {
        /// The fact.
        fact: String,
        /// The words.
        words: Vec<String>,
        /// Whether nobody observed it so far.
        open: bool,
    },
    /// More wells that say the same as one that is known.
    Wells {
        /// How many.
        count: usize,
        /// Within this distance of the peg, metres.
        within_m: f64,
        /// The well they are like.
        like: String,
    },
    /// A trial bore at the peg that says the same as a well that is known.
    TrialBore {
        /// The well.
        like: String,
    },
    /// A figure of the need or the plan.
    Figure {
        /// Which, as the survey writes it.
        which: String,
        /// As it stands.
        now: f64,
        /// As it would have to be.
        wanted: f64,
    },
    /// Another method at hand.
    Method {
        /// The method.
        method: String,
        /// Instead of those of the plan; otherwise beside them.
        instead: bool,
    },
    /// Another pump or lift.
    Lift {
        /// Its name.
        lift: String,
    },
    /// The work starts on another day.
    Start {
        /// The day.
        on: String,
    },
}

/// Puts into a report what would change its answer.
pub fn add(report: &mut Report, flips: &[flips::Flip], currency: &str) {
    report.flips = flips.iter().map(|f| flip(f, currency)).collect();
}

fn flip(f: &flips::Flip, currency: &str) -> Flip {
    Flip {
        rule: f.rule.clone(),
        from: f.from.word().to_owned(),
        from_alone: f.from_alone,
        to: f.to.word().to_owned(),
        to_alone: f.to_alone,
        text: f.text.clone(),
        change: change(&f.change),
        price: f.price.map(|p| round(p, 2)),
        currency: currency.to_owned(),
        verdict_after: f.verdict_after,
    }
}

fn change(change: &Change) -> ChangeOf {
    match change {
        Change::Move { bearing_deg, distance_m } => {
            ChangeOf::Move { bearing_deg: *bearing_deg, distance_m: *distance_m }
        }
        Change::Number { fact, unit, at_least, at_most, open } => ChangeOf::Number {
            fact: fact.clone(),
            unit: unit.name().to_owned(),
            at_least: at_least.map(|x| round(x, 6)),
            at_most: at_most.map(|x| round(x, 6)),
            open: *open,
        },
        Change::Word { fact, words, open } => ChangeOf::Word {
            fact: fact.clone(),
            words: words.iter().map(|w| (*w).to_owned()).collect(),
            open: *open,
        },
        Change::Wells { count, within_m, like } => {
            ChangeOf::Wells { count: *count, within_m: *within_m, like: like.clone() }
        }
        Change::TrialBore { like } => ChangeOf::TrialBore { like: like.clone() },
        Change::Figure { which, from, to } => ChangeOf::Figure {
            which: match which {
                PlanFigure::People => "people",
                PlanFigure::Budget => "budget",
                PlanFigure::DrillingWater => "drilling_water_l_per_day",
                PlanFigure::TowerHeight => "tower_height_m",
            }
            .to_owned(),
            now: *from,
            wanted: *to,
        },
        Change::Method { method, instead } => {
            ChangeOf::Method { method: method.name().to_owned(), instead: *instead }
        }
        Change::Lift { lift } => ChangeOf::Lift { lift: lift.clone() },
        Change::Start { on } => ChangeOf::Start { on: on.to_string() },
    }
}

/// The heading over what would change the answer.
pub const HEADING: &str = "What would change the answer";

/// Said where no change was found.
const NOTHING: &str = "No single change that was tried turns this.";

/// What the reader must know of it.
pub const ABOUT: &str = "Found by judging again with that one change made and everything else as it was \
                         observed; the answer stays unless another is named. Nothing here is known to be so: \
                         make the change, observe, and assess again.";

/// The findings that decide, each with the changes that turn it; empty where
/// nothing at all was found, since it may be that nobody looked.
pub fn by_finding(report: &Report) -> Vec<(&Finding, Vec<&Flip>)> {
    if report.flips.is_empty() {
        return Vec::new();
    }
    let forecast = |f: &Finding| f.evidence.iter().any(|e| FORECASTS.contains(&e.fact.as_str()));
    let (_, points) = words::deciding(report);
    let mut findings: Vec<&Finding> = Vec::new();
    for point in points {
        let finding = report.findings.iter().find(|f| f.rule == point.rule);
        findings.extend(finding.filter(|f| !forecast(f) && !findings.iter().any(|g| g.rule == f.rule)));
    }
    let mine = |f: &Finding| report.flips.iter().filter(|flip| flip.rule == f.rule).collect();
    findings.into_iter().map(|f| (f, mine(f))).collect()
}

/// The changes to be told for each finding that decides, under its title.
pub fn told(report: &Report) -> Vec<(String, Vec<String>)> {
    let changes = |flips: Vec<&Flip>| match flips.as_slice() {
        [] => vec![NOTHING.to_owned()],
        flips => flips.iter().map(|flip| format!("{} ({})", flip.text, effect(flip, report))).collect(),
    };
    let title = |f: &Finding| format!("{} ({})", f.title, f.rule);
    by_finding(report).into_iter().map(|(f, flips)| (title(f), changes(flips))).collect()
}

fn effect(f: &Flip, report: &Report) -> String {
    let price = match f.price {
        Some(0.0) => "costs nothing but time; ".to_owned(),
        Some(p) => format!("about {p:.0} {}; ", f.currency),
        None => String::new(),
    };
    let finding = match f.becomes() {
        "clear" => "then clear",
        "aside" => "then of no concern here",
        "condition" => "then a condition",
        "find_out" => "then to be found out",
        _ => "then a condition to be settled later",
    };
    let answer = if f.verdict_after == report.verdict {
        String::new()
    } else if f.verdict_after < report.verdict {
        format!("; but other things speak against it then: the answer becomes {}", f.verdict_after.words())
    } else {
        format!("; the answer becomes {}", f.verdict_after.words())
    };
    format!("{price}{finding}{answer}")
}
