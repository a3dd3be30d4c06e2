//! How many holes to try before turning to the alternative, when each dry
//! hole says that the ground is poorer than was thought.
//!
//! After k dry holes the chance is p_k = a/(a + b + k). The next is worth
//! trying where p_k·(A − C_s) > (1 − p_k)·C_f. The chance only falls with each
//! dry hole, so the first hole not worth trying by itself is the last question
//! (the monotone case of optimal stopping: Chow, Robbins & Siegmund 1971,
//! Great Expectations; from memory). Holes end alike and independently but
//! for what they share, which is the chance.

use super::holes::amount;
use crate::units::OutOfRange;
use crate::units::range::finite;
use crate::well::beta::Beta;
use crate::well::cost_per_success::HoleCosts;

/// More tries than this are as good as no end.
const MOST_TRIES: u32 = 10_000;

/// Trying holes and turning to the alternative in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tries {
    /// The most holes worth trying; 0 where even the first is not; `None`
    /// where there is no end to it (dry holes that cost nothing).
    pub most: Option<u32>,
    /// The chance that one of them becomes a well.
    pub chance_of_well: f64,
    /// What a working source costs on average: by a hole, or by the
    /// alternative after as many dry ones.
    pub cost: f64,
}

/// The plan that costs least on average.
///
/// # Errors
/// When the cost of the alternative is below 0.
pub fn tries(costs: HoleCosts, chance: &Beta, alternative: f64) -> Result<Tries, OutOfRange> {
    let alternative = amount("the cost of the alternative", alternative)?;
    let all = chance.good() + chance.poor();
    let (mut left, mut spent, mut count) = (1.0, 0.0, 0);
    while count < MOST_TRIES {
        let p = chance.good() / (all + f64::from(count));
        if p * (alternative - costs.success()) <= (1.0 - p) * costs.failure() {
            break;
        }
        spent += left * (p * costs.success() + (1.0 - p) * costs.failure());
        left *= 1.0 - p;
        count += 1;
    }
    Ok(Tries {
        most: (count < MOST_TRIES).then_some(count),
        chance_of_well: 1.0 - left,
        cost: finite("the cost of a working source", spent + left * alternative)?,
    })
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    fn costs() -> HoleCosts {
        HoleCosts::new(1000.0, 400.0).unwrap()
    }

    /// By hand: the chance needed is 1/3; Beta(6, 4) falls to 6/(10 + k),
    /// which is no more than that from k = 8 on.
    #[test]
    fn dry_holes_are_counted_until_the_chance_is_no_longer_worth_it() {
        assert_eq!(tries(costs(), &Beta::new(6.0, 4.0).unwrap(), 1800.0).unwrap().most, Some(8));
    }

    /// By hand: one try at 1/2: 500 + 200, and 0.5 · 1500 after it. The
    /// second try has the chance 1/3, where 500/3 is less than 400·2/3.
    #[test]
    fn the_cost_counts_the_alternative_after_the_last_dry_hole() {
        let plan = tries(costs(), &Beta::new(1.0, 1.0).unwrap(), 1500.0).unwrap();
        assert_eq!((plan.most, plan.chance_of_well, plan.cost), (Some(1), 0.5, 1450.0));
    }

    #[test]
    fn no_plan_costs_more_than_the_alternative_alone() {
        for (a, b) in [(0.1, 3.0), (1.0, 1.0), (9.0, 1.0), (200.0, 100.0)] {
            for other in [0.0, 900.0, 1300.0, 5000.0, 1e6] {
                let plan = tries(costs(), &Beta::new(a, b).unwrap(), other).unwrap();
                assert!(plan.cost <= other + 1e-9, "{a} {b} {other}: {plan:?}");
            }
        }
    }

    /// Any other number of tries costs as much or more.
    #[test]
    fn no_other_number_of_tries_is_cheaper() {
        let (a, b, other) = (3.0, 4.0, 1700.0);
        let best = tries(costs(), &Beta::new(a, b).unwrap(), other).unwrap();
        for most in 0..60u32 {
            let (mut left, mut cost) = (1.0, 0.0);
            for k in 0..most {
                let p = a / (a + b + f64::from(k));
                cost += left * (p * 1000.0 + (1.0 - p) * 400.0);
                left *= 1.0 - p;
            }
            assert!(best.cost <= cost + left * other + 1e-9, "{most}");
        }
    }

    #[test]
    fn dry_holes_that_cost_nothing_are_tried_without_end() {
        let free = HoleCosts::new(1000.0, 0.0).unwrap();
        assert_eq!(tries(free, &Beta::new(1.0, 1.0).unwrap(), 1500.0).unwrap().most, None);
    }
}
