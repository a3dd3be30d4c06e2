//! Changes of which there are a few to choose from: methods, lifts, the month
//! of the work, more wells. Each is made once, for whatever rule asks first.

use std::cell::OnceCell;
use std::rc::Rc;

use jiff::ToSpan;
use jiff::civil::Date;

use super::{Change, Found, Trials, Turn, wells};
use crate::facts::{AskKind, FactSource, SiteFacts};
use crate::survey::{Method, Seen};

/// Facts that rest on the methods at hand.
const OF_METHODS: &[&str] = &[
    "methods_that_fit",
    "method_reach_m",
    "reach_margin_m",
    "saturated_m",
    "fluid_methods_only",
    "drilling_water_ratio",
    "cost_per_budget",
];

/// Facts that rest on the lift.
const OF_LIFT: &[&str] = &["lift_margin_m", "yield_per_need", "cost_per_budget"];

/// Facts that rest on the day of the start.
const OF_START: &[&str] = &["work_season"];

/// Months ahead in which the work may start instead.
const MONTHS: i32 = 11;

/// More wells than so many are not asked for.
const MOST_WELLS: usize = 3;

struct Choice {
    change: Change,
    price: Option<f64>,
    facts: OnceCell<Option<Rc<dyn FactSource>>>,
}

impl Choice {
    fn new(change: Change, price: Option<f64>) -> Self {
        Self { change, price, facts: OnceCell::new() }
    }

    fn turns(&self, turn: &Turn<'_>) -> bool {
        let facts = self.facts.get_or_init(|| self.change.apply(&turn.trials.site));
        turn.turns(facts.clone())
    }
}

/// What can be chosen, in groups; in each the cheapest or smallest first.
pub(super) struct Options {
    groups: Vec<(&'static [&'static str], Vec<Choice>)>,
}

impl Options {
    pub(super) fn of(trials: &Trials<'_>) -> Self {
        let groups = vec![
            (OF_METHODS, methods(trials)),
            (OF_LIFT, lifts(trials)),
            (OF_START, starts(trials)),
            (wells::TELLING, more_wells(trials)),
            (wells::TELLING, trial_bore(trials)),
        ];
        Self { groups }
    }

    /// Of each group that bears on the finding the first choice that turns it.
    pub(super) fn cheapest(&self, turn: &Turn<'_>) -> Vec<Found> {
        let bearing = self.groups.iter().filter(|(facts, _)| turn.reads(facts));
        bearing
            .filter_map(|(_, choices)| choices.iter().find(|c| c.turns(turn)))
            .map(|c| Found { change: c.change.clone(), price: c.price })
            .collect()
    }
}

/// First every method beside those at hand, then in their place.
fn methods(trials: &Trials<'_>) -> Vec<Choice> {
    let at_hand = &trials.site.site().plan.methods;
    if at_hand.is_empty() {
        return Vec::new();
    }
    let mut all: Vec<Choice> = Vec::new();
    for instead in [false, true] {
        let others = trials.region.methods.iter().filter(|(m, _)| !at_hand.iter().any(|h| h.value == **m));
        let mut of_these: Vec<Choice> = others
            .map(|(m, p)| Choice::new(Change::Method { method: *m, instead }, Some(p.mobilisation.value)))
            .collect();
        let price = |c: &Choice| c.price.unwrap_or(f64::MAX);
        of_these.sort_by(|a, b| price(a).total_cmp(&price(b)));
        all.extend(of_these);
    }
    all
}

fn lifts(trials: &Trials<'_>) -> Vec<Choice> {
    let planned = trials.site.site().plan.lift.as_ref().map(|l| l.value.as_str());
    let price_now = planned.and_then(|l| trials.region.lifts.get(l)).map_or(0.0, |l| l.price.value);
    let others = trials.region.lifts.iter().filter(|(name, _)| Some(name.as_str()) != planned);
    let mut all: Vec<Choice> = others
        .map(|(name, l)| {
            let more = (l.price.value - price_now).max(0.0);
            Choice::new(Change::Lift { lift: name.clone() }, Some(more))
        })
        .collect();
    let price = |c: &Choice| c.price.unwrap_or(f64::MAX);
    all.sort_by(|a, b| price(a).total_cmp(&price(b)));
    all
}

/// The first day of each month after the planned start, or after the visit
/// where none is planned.
fn starts(trials: &Trials<'_>) -> Vec<Choice> {
    let site = trials.site.site();
    let Some(from) = site.plan.start.as_ref().or(site.visited.as_ref()) else { return Vec::new() };
    let first = from.value.first_of_month();
    (1..=MONTHS)
        .filter_map(|months| first.checked_add(months.months()).ok())
        .map(|on| Choice::new(Change::Start { on }, Some(0.0)))
        .collect()
}

fn more_wells(trials: &Trials<'_>) -> Vec<Choice> {
    let Some(like) = wells::like(&trials.site) else { return Vec::new() };
    let Some(within_m) = wells::within_m(&trials.site) else { return Vec::new() };
    let price = trials.ask_price(AskKind::Ask.name());
    (1..=MOST_WELLS)
        .map(|count| {
            let change = Change::Wells { count, within_m, like: like.clone() };
            Choice::new(change, price.map(|p| p * count as f64))
        })
        .collect()
}

fn trial_bore(trials: &Trials<'_>) -> Vec<Choice> {
    // Once the hole is begun, it is the bore.
    let like = wells::like(&trials.site).filter(|_| trials.stage.before_the_hole());
    let price = trials.ask_price(AskKind::TrialBore.name());
    like.map(|like| Choice::new(Change::TrialBore { like }, price)).into_iter().collect()
}

pub(super) fn with_method(site: &SiteFacts, method: Method, instead: bool) -> Option<Rc<dyn FactSource>> {
    let mut new = site.site().clone();
    let from = new.plan.methods.first()?.from.clone();
    if instead {
        new.plan.methods.clear();
    }
    new.plan.methods.push(Seen::new(method, from));
    Some(Rc::new(site.with_site(new)))
}

pub(super) fn with_lift(site: &SiteFacts, lift: &str) -> Option<Rc<dyn FactSource>> {
    let mut new = site.site().clone();
    let from = new.plan.lift.as_ref().map_or_else(|| new.peg.name.from.clone(), |l| l.from.clone());
    new.plan.lift = Some(Seen::new(lift.to_owned(), from));
    Some(Rc::new(site.with_site(new)))
}

pub(super) fn with_start(site: &SiteFacts, on: Date) -> Option<Rc<dyn FactSource>> {
    let mut new = site.site().clone();
    let from = new.plan.start.as_ref().map_or_else(|| new.peg.name.from.clone(), |s| s.from.clone());
    new.plan.start = Some(Seen::new(on, from));
    Some(Rc::new(site.with_site(new)))
}
