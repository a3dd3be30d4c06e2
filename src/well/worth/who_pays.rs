//! Who carries a dry hole, and what that does to the price of a working well.
//!
//! Of C_f for each of the (1 − p)/p failures on the way to one working well
//! the client pays a share and the driller the rest. A driller who is not to
//! lose by it asks C_s + (1 − share)·(1 − p)/p·C_f for a working well, so in
//! the long run the client pays for the dry holes whichever way; what differs
//! is who is ruined by a run of them. Where the driller is paid by working
//! wells alone he gains by calling a poor one good (common practice: such
//! terms make bad completions), so the yield test is then paid apart.

use crate::units::OutOfRange;
use crate::units::range::{finite, not_negative, share};
use crate::well::cost_per_success::HoleCosts;

/// What was agreed on dry holes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum DryHoleTerms {
    /// Every hole is paid for.
    ClientPays,
    /// Only working wells are.
    DrillerPays,
    /// The client pays this share of a dry hole.
    Shared(f64),
}

impl DryHoleTerms {
    /// The share that the client pays.
    pub fn client_share(self) -> f64 {
        match self {
            DryHoleTerms::ClientPays => 1.0,
            DryHoleTerms::DrillerPays => 0.0,
            DryHoleTerms::Shared(share) => share,
        }
    }
}

/// One working well by those terms, on average.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DryHoleSplit {
    /// The terms.
    pub terms: DryHoleTerms,
    /// What the client pays for one dry hole.
    pub client_dry_hole: f64,
    /// What the driller loses by one dry hole.
    pub driller_dry_hole: f64,
    /// What the client pays for one working well at cost, dry holes on the
    /// way included.
    pub client_per_well: f64,
    /// What the driller loses on the way to it, where he asks no more than
    /// its cost.
    pub driller_per_well: f64,
    /// What the driller has to ask for a working well so as not to lose.
    pub fair_price: f64,
}

impl DryHoleSplit {
    /// That of so many failures for each working well.
    ///
    /// # Errors
    /// When the share is not from 0 to 1 or the failures below 0.
    pub fn new(costs: HoleCosts, failures_per_well: f64, terms: DryHoleTerms) -> Result<Self, OutOfRange> {
        let client = share("the client's share of a dry hole", terms.client_share())?;
        let failures = not_negative("the failures for each working well", failures_per_well)?;
        let (client_dry_hole, driller_dry_hole) =
            (client * costs.failure(), (1.0 - client) * costs.failure());
        Ok(Self {
            terms,
            client_dry_hole,
            driller_dry_hole,
            client_per_well: finite("what the client pays", costs.success() + failures * client_dry_hole)?,
            driller_per_well: finite("what the driller loses", failures * driller_dry_hole)?,
            fair_price: finite("the price of a working well", costs.success() + failures * driller_dry_hole)?,
        })
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    fn split(terms: DryHoleTerms) -> DryHoleSplit {
        DryHoleSplit::new(HoleCosts::new(1000.0, 400.0).unwrap(), 1.5, terms).unwrap()
    }

    #[test]
    fn whoever_pays_the_dry_holes_are_paid_once() {
        for terms in [DryHoleTerms::ClientPays, DryHoleTerms::DrillerPays, DryHoleTerms::Shared(0.25)] {
            let split = split(terms);
            assert_eq!(split.client_per_well + split.driller_per_well, 1600.0, "{terms:?}");
            assert_eq!(split.client_dry_hole + split.driller_dry_hole, 400.0, "{terms:?}");
        }
    }

    #[test]
    fn a_driller_who_carries_dry_holes_has_to_ask_for_them() {
        assert_eq!(split(DryHoleTerms::DrillerPays).fair_price, 1600.0);
        assert_eq!(split(DryHoleTerms::ClientPays).fair_price, 1000.0);
        assert_eq!(split(DryHoleTerms::Shared(0.5)).fair_price, 1300.0);
    }

    #[test]
    fn a_share_that_is_none_is_refused() {
        let costs = HoleCosts::new(1.0, 1.0).unwrap();
        assert!(DryHoleSplit::new(costs, 1.0, DryHoleTerms::Shared(1.5)).is_err());
        assert!(DryHoleSplit::new(costs, f64::NAN, DryHoleTerms::ClientPays).is_err());
    }
}
