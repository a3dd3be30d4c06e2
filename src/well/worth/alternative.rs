//! What else would bring the water, and what it would cost: the worth of a
//! working well is what the cheapest other way costs, and the chance of
//! success has to be good enough to beat it.
//!
//! Every alternative is priced for one working source: one that may fail is
//! tried until it works, C_s + (1 − p)/p·C_f, as in
//! [`cost_per_success`](crate::well::cost_per_success). Drilling here is worth
//! beginning where p·(A − C_s) > (1 − p)·C_f, that is above
//! p = C_f/(A − C_s + C_f): a failed hole is paid for and the alternative
//! after it.

use super::holes::amount;
use crate::units::OutOfRange;
use crate::well::beta::Beta;
use crate::well::cost_per_success::HoleCosts;

/// What kind of way it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum AlternativeKind {
    /// The same well at another peg.
    AnotherPeg,
    /// A well drilled by a machine.
    MachineRig,
    /// An old well put in order.
    RepairOldWell,
    /// Roofs and tanks for the same people.
    Rainwater,
    /// What the user says another source would cost.
    Stated,
}

/// One other way to the water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alternative {
    /// What kind it is.
    pub kind: AlternativeKind,
    /// What one working source costs by it.
    pub cost: f64,
}

impl Alternative {
    /// One that works for sure at that cost.
    ///
    /// # Errors
    /// When the cost is below 0.
    pub fn sure(kind: AlternativeKind, cost: f64) -> Result<Self, OutOfRange> {
        Ok(Self { kind, cost: amount("the cost of an alternative", cost)? })
    }

    /// One that is tried until it works.
    ///
    /// # Errors
    /// When the chance is not above 0 and at most 1.
    pub fn tried(kind: AlternativeKind, costs: HoleCosts, chance: f64) -> Result<Self, OutOfRange> {
        Self::sure(kind, costs.per_success(chance)?)
    }

    /// How good the chance here has to be to beat it.
    ///
    /// # Errors
    /// When its cost is below 0.
    pub fn break_even(&self, costs: HoleCosts, chance: &Beta) -> Result<BreakEven, OutOfRange> {
        let needed = costs.break_even_chance(self.cost)?;
        let sureness = match needed {
            Some(needed) => 1.0 - chance.below(needed.clamp(0.0, 1.0))?,
            None => 0.0,
        };
        Ok(BreakEven { alternative: *self, needed_chance: needed, sureness })
    }
}

/// Drilling here against one alternative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreakEven {
    /// The alternative.
    pub alternative: Alternative,
    /// The chance of success below which the alternative is the better;
    /// `None` where it is cheaper than even a sure success.
    pub needed_chance: Option<f64>,
    /// How sure it is that the chance here is better than that.
    pub sureness: f64,
}

/// The cheapest of them, the first of equals: its cost is what a working
/// well is worth.
pub fn cheapest(alternatives: &[Alternative]) -> Option<&Alternative> {
    alternatives.iter().reduce(|best, next| if next.cost < best.cost { next } else { best })
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    fn costs() -> HoleCosts {
        HoleCosts::new(1000.0, 400.0).unwrap()
    }

    /// By hand: 400/(1800 − 1000 + 400) = 1/3.
    #[test]
    fn the_chance_must_beat_the_alternative() {
        let rig = Alternative::sure(AlternativeKind::MachineRig, 1800.0).unwrap();
        let here = Beta::new(2.0, 1.0).unwrap();
        let against = rig.break_even(costs(), &here).unwrap();
        assert!((against.needed_chance.unwrap() - 1.0 / 3.0).abs() < 1e-12);
        // Beta(2, 1) lies below x with the chance x².
        assert!((against.sureness - (1.0 - 1.0 / 9.0)).abs() < 1e-12);
    }

    #[test]
    fn another_peg_with_the_same_holes_asks_for_its_own_chance() {
        let other = Alternative::tried(AlternativeKind::AnotherPeg, costs(), 0.6).unwrap();
        let needed = other.break_even(costs(), &Beta::new(1.0, 1.0).unwrap()).unwrap().needed_chance;
        assert!((needed.unwrap() - 0.6).abs() < 1e-12);
    }

    #[test]
    fn nothing_beats_an_alternative_cheaper_than_a_sure_success() {
        let repair = Alternative::sure(AlternativeKind::RepairOldWell, 900.0).unwrap();
        let against = repair.break_even(costs(), &Beta::new(9.0, 1.0).unwrap()).unwrap();
        assert_eq!((against.needed_chance, against.sureness), (None, 0.0));
    }

    #[test]
    fn a_well_is_worth_what_the_cheapest_other_way_costs() {
        let all = [(AlternativeKind::MachineRig, 6000.0), (AlternativeKind::Rainwater, 4000.0)]
            .map(|(kind, cost)| Alternative::sure(kind, cost).unwrap());
        assert_eq!(cheapest(&all).unwrap().kind, AlternativeKind::Rainwater);
        assert_eq!(cheapest(&[]), None);
    }
}
