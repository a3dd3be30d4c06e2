//! The next thing to find out: what each observation is worth before the
//! decision to drill, with what, or to leave the peg.
//!
//! Expected value of sample information over the virtual bores, as in
//! [`value_of_information`](crate::well::value_of_information): every result
//! with the best act after it, less the best act as things stand. Nothing is
//! worth more than knowing which bore is the true one. The depths at which to
//! give up stay those of the plans, whatever is found.

use rayon::prelude::*;

use super::holes::amount;
use super::observation::{Observation, Seen};
use super::scenarios::{Act, Scenarios};
use super::setback::tape_again;
use crate::well::value_of_information::{Information, NoDecision};

/// An observation with what making it costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Priced {
    /// The observation.
    pub observation: Observation,
    /// What it costs, time included.
    pub price: f64,
}

/// What one observation is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingOut {
    /// The observation.
    pub observation: Observation,
    /// What it costs.
    pub price: f64,
    /// What it is worth, and so the most to pay for it.
    pub worth: f64,
    /// Its worth less its price; below 0 where it is not worth making.
    pub net: f64,
    /// Its worth for each unit of its price; `None` where it costs nothing.
    pub for_money: Option<f64>,
    /// What knowing for sure would be worth: the bound.
    pub worth_of_knowing_all: f64,
    /// The chance that it changes what is best done.
    pub chance_of_change: f64,
    /// The chance that it changes whether to drill at all.
    pub chance_of_turning: f64,
    /// Each result that can turn up, with what is best then.
    pub results: Vec<AfterSeen>,
}

/// What is best after one result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AfterSeen {
    /// The result.
    pub seen: Seen,
    /// Its chance.
    pub chance: f64,
    /// What is best done then.
    pub act: Act,
    /// What that brings on average.
    pub brings: f64,
}

/// What is best done now, and what to find out first.
#[derive(Debug, Clone, PartialEq)]
pub struct NextThings {
    /// What is best as things stand.
    pub act: Act,
    /// What it brings over leaving the peg.
    pub brings: f64,
    /// What knowing the ground for sure would be worth.
    pub worth_of_knowing_all: f64,
    /// Every observation, the best value for money first; of equals the
    /// cheaper.
    pub list: Vec<FindingOut>,
}

/// What each observation is worth.
///
/// # Errors
/// When a figure is out of range.
pub fn next_to_find_out(scenarios: &Scenarios<'_>, things: &[Priced]) -> Result<NextThings, NoDecision> {
    let (act, brings) = scenarios.decision.best_act()?;
    let knowing_all = scenarios.decision.worth_of_knowing_all()?;
    let now = Now { act: scenarios.act(act), brings, knowing_all };
    let list: Vec<_> = things.par_iter().map(|thing| found(scenarios, thing, now)).collect();
    let mut list = list.into_iter().collect::<Result<Vec<_>, _>>()?;
    list.sort_by(|a, b| {
        let rank = |f: &FindingOut| match f.for_money {
            Some(for_money) => for_money,
            None if f.worth > 0.0 => f64::MAX,
            None => 0.0,
        };
        rank(b).total_cmp(&rank(a)).then(a.price.total_cmp(&b.price))
    });
    Ok(NextThings { act: now.act, brings, worth_of_knowing_all: knowing_all, list })
}

#[derive(Debug, Clone, Copy)]
struct Now {
    act: Act,
    brings: f64,
    knowing_all: f64,
}

fn found(scenarios: &Scenarios<'_>, thing: &Priced, now: Now) -> Result<FindingOut, NoDecision> {
    let price = amount("the price of finding out", thing.price)?;
    if let Observation::TapeAgain { chance_below, loss, sign } = thing.observation {
        // With the ground as it stands, where the distance is clear.
        let (decision, known, seen) = tape_again(chance_below, now.brings, loss, sign)?;
        let act = |number: usize| if number == 0 { Act::Leave } else { now.act };
        let bound = decision.worth_of_knowing_all()?;
        return Ok(summed(thing.observation, price, bound, &known, &seen, act));
    }
    let results = thing.observation.results(scenarios)?.unwrap_or_default();
    let (seen, rows): (Vec<_>, Vec<_>) = results.into_iter().unzip();
    let known = scenarios.decision.worth_of(&rows)?;
    // A result that cannot turn up is left out of what is found.
    let can = rows.iter().map(|row| chance(row, &scenarios.chances) > 0.0);
    let seen: Vec<_> = seen.into_iter().zip(can).filter(|(_, can)| *can).map(|(seen, _)| seen).collect();
    Ok(summed(thing.observation, price, now.knowing_all, &known, &seen, |number| scenarios.act(number)))
}

fn chance(row: &[f64], chances: &[f64]) -> f64 {
    row.iter().zip(chances).map(|(l, p)| l * p).sum()
}

fn summed(
    observation: Observation,
    price: f64,
    worth_of_knowing_all: f64,
    known: &Information,
    seen: &[Seen],
    act: impl Fn(usize) -> Act,
) -> FindingOut {
    let drills = |number: usize| act(number) != Act::Leave;
    let turned = known.results.iter().filter(|r| drills(r.best_act) != drills(known.best_act));
    let after = seen.iter().zip(&known.results);
    // Rounding must not lift it above its bound.
    let worth = known.worth.min(worth_of_knowing_all);
    FindingOut {
        observation,
        price,
        worth,
        net: worth - price,
        for_money: Some(worth / price).filter(|x| x.is_finite()),
        worth_of_knowing_all,
        chance_of_change: known.chance_of_change,
        chance_of_turning: turned.map(|r| r.chance).sum(),
        results: after
            .map(|(seen, r)| AfterSeen {
                seen: *seen,
                chance: r.chance,
                act: act(r.best_act),
                brings: r.value,
            })
            .collect(),
    }
}

#[cfg(test)]
#[path = "find_out_tests.rs"]
mod tests;
