//! The decision at the peg over the virtual bores: drill with one of the
//! methods, or leave it and take the alternative, which brings 0.
//!
//! Drilling brings, bore by bore: a success V − its cost; any other end − its
//! cost; a hole given up first − its drilling − abandonment. V is what a
//! working well is worth.

use super::holes::{HolePrices, amount};
use crate::ground::virtual_bore::{Draws, GroundDraw, Outcome, Reached};
use crate::units::range::{finite, not_negative, positive};
use crate::well::value_of_information::{Decision, NoDecision};

/// Depths are kept compactly.
const SAME_M: f64 = 1e-4;

/// What may be done at the peg.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Not drill, and take the alternative.
    Leave,
    /// Drill with the method of that number.
    Drill {
        /// The number of the method.
        method: usize,
    },
}

/// How one method would be drilled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// What its holes cost.
    pub prices: HolePrices,
    /// The depth at which to give up, metres; `None`: at its reach.
    pub give_up_m: Option<f64>,
}

/// The decision, and the bores it is taken over.
#[derive(Debug)]
pub struct Scenarios<'a> {
    pub(super) draws: &'a Draws,
    /// Chance of each bore; they add to 1.
    pub(super) chances: Vec<f64>,
    pub(super) decision: Decision,
    acts: Vec<Act>,
    /// The best method, were one to drill.
    pub(super) best_method: usize,
}

impl<'a> Scenarios<'a> {
    /// A plan for each method of the bores; `weights`: how much each bore
    /// counts, all alike where `None`.
    ///
    /// # Errors
    /// When there is no bore, not one plan for each method or weight for each
    /// bore, or a figure is out of range.
    pub fn new(
        draws: &'a Draws,
        plans: &[Plan],
        well_worth: f64,
        weights: Option<&[f64]>,
    ) -> Result<Self, NoDecision> {
        let bores = draws.grounds.len();
        let worth = amount("the worth of a working well", well_worth)?;
        if bores == 0 || plans.is_empty() {
            return Err(NoDecision::Empty);
        }
        if plans.len() != draws.methods() {
            return Err(NoDecision::Uneven { states: draws.methods(), figures: plans.len() });
        }
        let chances = chances(bores, weights)?;
        // Leaving comes first, so that an even choice is to leave.
        let mut brings = vec![vec![0.0; bores]];
        let mut acts = vec![Act::Leave];
        let mut best: Option<(usize, f64)> = None;
        for (method, plan) in plans.iter().enumerate() {
            let prices = plan.prices.checked()?;
            let give_up_m = plan.give_up_m.unwrap_or(f64::MAX);
            let give_up_m = not_negative("the depth at which to give up (m)", give_up_m)?;
            let row: Vec<f64> = draws
                .iter()
                .filter_map(|(_, ends)| Some(brought(ends.get(method)?, &prices, give_up_m, worth)))
                .collect();
            let mean: f64 = row.iter().zip(&chances).map(|(u, p)| u * p).sum();
            let mean = finite("what drilling brings", mean)?;
            if best.is_none_or(|(_, most)| mean > most) {
                best = Some((method, mean));
            }
            brings.push(row);
            acts.push(Act::Drill { method });
        }
        let decision = Decision::new(chances.clone(), brings)?;
        let best_method = best.map_or(0, |(method, _)| method);
        Ok(Self { draws, chances, decision, acts, best_method })
    }

    /// The act of a number.
    pub(super) fn act(&self, number: usize) -> Act {
        self.acts.get(number).copied().unwrap_or(Act::Leave)
    }

    /// The ground of each bore, where every method ended in it and its
    /// chance.
    pub(super) fn iter(&self) -> impl Iterator<Item = (&GroundDraw, &[Reached], f64)> {
        self.draws.iter().zip(&self.chances).map(|((ground, ends), chance)| (ground, ends, *chance))
    }

    /// Where the best method ended in each bore.
    pub(super) fn best_ends(&self) -> impl Iterator<Item = (&GroundDraw, Outcome, f64)> {
        self.iter().filter_map(|(ground, ends, p)| Some((ground, ends.get(self.best_method)?.outcome, p)))
    }
}

fn chances(bores: usize, weights: Option<&[f64]>) -> Result<Vec<f64>, NoDecision> {
    let Some(weights) = weights else { return Ok(vec![1.0 / bores as f64; bores]) };
    if weights.len() != bores {
        return Err(NoDecision::Uneven { states: bores, figures: weights.len() });
    }
    for weight in weights {
        not_negative("the weight of a bore", *weight)?;
    }
    let sum = positive("the weight of all bores", weights.iter().sum())?;
    Ok(weights.iter().map(|w| w / sum).collect())
}

fn brought(end: &Reached, prices: &HolePrices, give_up_m: f64, well_worth: f64) -> f64 {
    if f64::from(end.depth_m) > give_up_m + SAME_M {
        return -prices.failure(give_up_m);
    }
    let worth = if end.outcome == Outcome::Success { well_worth } else { 0.0 };
    worth - prices.of(end)
}

#[cfg(test)]
mod tests {
    use super::super::give_up::{GiveUpInputs, give_up};
    use super::super::toys::{PRICES, draws, ends};
    use super::*;
    use Outcome::{Dry, PoorQuality, Refused, Success};

    /// The same plan reckoned in two ways.
    #[test]
    fn a_plan_is_worth_here_what_it_is_where_it_was_made() {
        let draws =
            draws(ends(&[(Success, 8.0), (Success, 9.0), (Dry, 30.0), (Refused, 4.0), (PoorQuality, 7.0)]));
        let inputs = GiveUpInputs {
            draws: &draws,
            method: 0,
            prices: PRICES,
            well_worth: 3000.0,
            step_m: 1.0,
            weights: None,
        };
        let made = give_up(&inputs).unwrap();
        assert!(made.begin && made.depth_m < 30.0);
        let plan = |give_up_m| [Plan { prices: PRICES, give_up_m }];
        let worth = |give_up_m| {
            let scenarios = Scenarios::new(&draws, &plan(give_up_m), 3000.0, None).unwrap();
            scenarios.decision.best_act().unwrap().1
        };
        assert!((worth(Some(made.depth_m)) - made.worth).abs() < 1e-9);
        assert!((worth(None) - made.worth_to_reach).abs() < 1e-9);
    }

    #[test]
    fn a_plan_for_each_method_and_a_weight_for_each_bore_are_needed() {
        let draws = draws(ends(&[(Success, 8.0), (Dry, 30.0)]));
        let plan = Plan { prices: PRICES, give_up_m: None };
        assert!(Scenarios::new(&draws, &[], 1.0, None).is_err());
        assert!(Scenarios::new(&draws, &[plan, plan], 1.0, None).is_err());
        assert!(Scenarios::new(&draws, &[plan], 1.0, Some(&[1.0])).is_err());
        assert!(Scenarios::new(&draws, &[plan], 1.0, Some(&[0.0, 0.0])).is_err());
        assert!(Scenarios::new(&draws, &[plan], f64::INFINITY, None).is_err());
        assert!(Scenarios::new(&Draws::default(), &[plan], 1.0, None).is_err());
    }
}
