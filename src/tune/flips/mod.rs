//! What would change the answer? For each finding that keeps the answer from
//! being better, the smallest changes found that turn it: the peg moved, a
//! fact known otherwise, more wells, another plan. Each is found by judging
//! again with the change made, never by guessing, and comes with the answer
//! that would then hold for everything else as it was observed.
//!
//! Forecasts are left out of the search: a rule that reads one is judged again
//! only where all others would say go.

mod moves;
mod options;
mod plans;
mod trials;
mod values;
mod wells;
mod words;

#[cfg(test)]
mod tests;

use std::rc::Rc;

use crate::facts::{FORECASTS, FactSource, SiteFacts};
use crate::rules::{Finding, Outcome};
use crate::survey::Method;
use crate::units::Unit;
use crate::verdict::{Answer, answer_of};

pub use trials::Trials;

/// One change that turns one finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Flip {
    /// The rule.
    pub rule: String,
    /// What it finds now.
    pub from: Outcome,
    /// What that alone answers.
    pub from_alone: Answer,
    /// What it would find.
    pub to: Outcome,
    /// What that alone would answer.
    pub to_alone: Answer,
    /// What is changed.
    pub change: Change,
    /// The change as a sentence.
    pub text: String,
    /// What it costs, or adds to the cost, in the region's currency; `None`
    /// where no price is known.
    pub price: Option<f64>,
    /// The answer with this change alone.
    pub verdict_after: Answer,
}

/// A change to what is observed or planned.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
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
        unit: Unit,
        /// The low end; `None`: none is needed.
        at_least: Option<f64>,
        /// The high end.
        at_most: Option<f64>,
        /// Whether that is possible after all that was observed; otherwise
        /// the ground itself would have to be otherwise.
        open: bool,
    },
    /// A fact that is a word is one of these.
    Word {
        /// The fact.
        fact: String,
        /// The words.
        words: Vec<&'static str>,
        /// Whether nobody observed it so far.
        open: bool,
    },
    /// More neighbours that say the same as one that is known.
    Wells {
        /// How many.
        count: usize,
        /// Within this distance of the peg, metres.
        within_m: f64,
        /// The well they are like.
        like: String,
    },
    /// A trial bore at the peg that meets the same ground and water as a well
    /// that is known.
    TrialBore {
        /// The well.
        like: String,
    },
    /// A figure of the need or the plan.
    Figure {
        /// Which.
        which: PlanFigure,
        /// As it stands.
        from: f64,
        /// As it would have to be.
        to: f64,
    },
    /// Another method at hand.
    Method {
        /// The method.
        method: Method,
        /// Instead of those of the plan; otherwise beside them.
        instead: bool,
    },
    /// Another pump or lift.
    Lift {
        /// Its name.
        lift: String,
    },
    /// Drilling starts on another day.
    Start {
        /// The day.
        on: jiff::civil::Date,
    },
}

/// A figure of the need or the plan that people can set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlanFigure {
    /// People who draw water.
    People,
    /// Money set aside.
    Budget,
    /// Litres of drilling water brought in a day.
    DrillingWater,
    /// Height of the tower or the longest raised pipe, metres.
    TowerHeight,
}

/// At most so many changes are told for one finding.
const MOST: usize = 3;

/// What would turn each finding that keeps the answer from being better, in
/// the order of gravity; for each the cheapest first.
pub fn flips(trials: &Trials<'_>) -> Vec<Flip> {
    let mut deciding: Vec<&Finding> =
        trials.assessment.findings.iter().filter(|f| answer_of(f) < Answer::Go).collect();
    deciding.sort_by_key(|f| answer_of(f));
    let moves = moves::Moves::of(trials);
    let options = options::Options::of(trials);
    deciding.into_iter().flat_map(|f| of_finding(trials, &moves, &options, f)).collect()
}

fn of_finding(
    trials: &Trials<'_>,
    moves: &moves::Moves<'_>,
    options: &options::Options,
    finding: &Finding,
) -> Vec<Flip> {
    let Ok(about) = &finding.rule.about else { return Vec::new() };
    let forecast = about.reads.iter().any(|r| FORECASTS.contains(&r.as_str()));
    if finding.outcome == Outcome::Broken || forecast {
        return Vec::new();
    }
    for target in targets(answer_of(finding)) {
        let turn = Turn { trials, finding, about, target: *target };
        let mut found: Vec<Found> = Vec::new();
        found.extend(moves.smallest(&turn));
        found.extend(options.cheapest(&turn));
        found.extend(plans::smallest(&turn));
        found.extend(values::smallest(&turn));
        // What was observed cannot be wished away where anything else helps.
        if found.iter().any(|f| f.change.open()) {
            found.retain(|f| f.change.open());
        }
        found.sort_by(|a, b| {
            let price = |f: &Found| f.price.unwrap_or(f64::MAX);
            price(a).total_cmp(&price(b))
        });
        found.truncate(MOST);
        if !found.is_empty() {
            return found.into_iter().filter_map(|f| turn.flip(f)).collect();
        }
    }
    Vec::new()
}

/// What a finding is to answer at the least, the better first.
fn targets(from: Answer) -> &'static [Answer] {
    match from {
        Answer::NoGo => &[Answer::GoIf, Answer::FindOut],
        Answer::FindOut => &[Answer::GoIf],
        Answer::GoIf | Answer::Go => &[Answer::Go],
    }
}

/// A finding to be turned.
struct Turn<'a> {
    trials: &'a Trials<'a>,
    finding: &'a Finding,
    about: &'a crate::rules::About,
    target: Answer,
}

/// A change that turns it.
struct Found {
    change: Change,
    price: Option<f64>,
}

impl Turn<'_> {
    fn rule(&self) -> &str {
        &self.finding.rule.id
    }

    fn reads(&self, any: &[&str]) -> bool {
        self.about.reads.iter().any(|r| any.contains(&r.as_str()))
    }

    /// What is found on those facts, if that turns the finding.
    fn turned(&self, facts: &Rc<dyn FactSource>) -> Option<Finding> {
        self.trials.one(self.rule(), facts).filter(|f| answer_of(f) >= self.target)
    }

    /// Whether it is turned on those facts, if they can be had.
    fn turns(&self, facts: Option<Rc<dyn FactSource>>) -> bool {
        facts.is_some_and(|facts| self.turned(&facts).is_some())
    }

    fn flip(&self, found: Found) -> Option<Flip> {
        let facts = found.change.apply(&self.trials.site)?;
        let to = self.trials.one(self.rule(), &facts)?;
        Some(Flip {
            rule: self.rule().to_owned(),
            from: self.finding.outcome,
            from_alone: answer_of(self.finding),
            to: to.outcome,
            to_alone: answer_of(&to),
            text: words::sentence(&found.change, &self.trials.site),
            price: found.price,
            verdict_after: self.trials.answer(&facts, found.change.forecasts_otherwise()),
            change: found.change,
        })
    }
}

impl Change {
    /// Whether it may come to pass, after all that was observed.
    pub fn open(&self) -> bool {
        match self {
            Change::Number { open, .. } | Change::Word { open, .. } => *open,
            _ => true,
        }
    }

    /// Whether a forecast would have to be made anew.
    fn forecasts_otherwise(&self) -> bool {
        !matches!(self, Change::Number { .. } | Change::Word { .. })
    }

    /// The facts with the change made, everything else as it was observed;
    /// `None` where it cannot be made.
    pub fn apply(&self, site: &Rc<SiteFacts>) -> Option<Rc<dyn FactSource>> {
        match self {
            Change::Move { bearing_deg, distance_m } => moves::moved(site, *bearing_deg, *distance_m),
            Change::Number { fact, unit, at_least, at_most, .. } => {
                values::with_number(site, fact, *unit, at_least.or(*at_most)?)
            }
            Change::Word { fact, words, .. } => values::with_word(site, fact, words.first()?),
            Change::Wells { count, .. } => wells::more(site, *count),
            Change::TrialBore { .. } => wells::trial_bore(site),
            Change::Figure { which, to, .. } => plans::with_figure(site, *which, *to),
            Change::Method { method, instead } => options::with_method(site, *method, *instead),
            Change::Lift { lift } => options::with_lift(site, lift),
            Change::Start { on } => options::with_start(site, *on),
        }
    }
}
