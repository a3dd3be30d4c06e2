//! How deep a hole gets before the ground refuses it, by what a neighbour's
//! log and end say; metres below ground.
//!
//! A bore that ended without meeting refusing ground is censored: refusal
//! lies at or below its end, not "nowhere".

use super::log::Log;
use super::material::{MaterialClass, Sure};
use crate::region::{MethodProfile, Region, Suits};
use crate::survey::{Made, Well, WellOutcome};

/// A depth that is only known between two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DepthBand {
    /// Not above this.
    pub low_m: f64,
    /// The best guess; `None` where nothing was seen.
    pub value_m: Option<f64>,
    /// Not below this; `None`: nothing was met that would say.
    pub high_m: Option<f64>,
}

impl DepthBand {
    /// Nothing is known.
    pub const ANY: DepthBand = DepthBand { low_m: 0.0, value_m: None, high_m: None };

    /// The same, but never deeper than `most_m`.
    #[must_use]
    pub fn at_most(self, most_m: f64) -> Self {
        DepthBand {
            low_m: self.low_m.min(most_m),
            value_m: self.value_m.map(|v| v.min(most_m)),
            high_m: Some(self.high_m.map_or(most_m, |h| h.min(most_m))),
        }
    }
}

/// Whether a method is refused by ground of a class; `None` where the region
/// does not say.
pub fn refuses(profile: &MethodProfile, class: MaterialClass) -> Option<bool> {
    profile.suits.get(class.id()).map(|s| *s == Suits::No)
}

/// Whether every hand method of the region is refused by ground of a class:
/// such ground is rock, as far as hand drilling goes.
pub fn refuses_all(region: &Region, class: MaterialClass) -> Option<bool> {
    let each: Vec<_> = region.methods.values().map(|m| refuses(m, class)).collect();
    match (each.contains(&Some(false)), each.is_empty() || each.contains(&None)) {
        (true, _) => Some(false),
        (false, true) => None,
        (false, false) => Some(true),
    }
}

/// Where a neighbour says that the ground refuses, by its log and by how it
/// ended. `refuses` says of a class whether it refuses; `told_error_m` is the
/// error of a depth that was told.
pub fn refusal(
    well: &Well,
    log: &Log,
    told_error_m: f64,
    refuses: impl Fn(MaterialClass) -> Option<bool>,
) -> DepthBand {
    let verdicts: Vec<_> = log.layers.iter().map(|l| (l.top_m, l.classes.are(&refuses))).collect();
    let perhaps = verdicts.iter().find(|v| v.1 != Sure::No).map(|v| v.0);
    let surely = verdicts.iter().find(|v| v.1 == Sure::Yes).map(|v| v.0);
    let end = log.end_m();
    let stopped_on_rock = well.outcome.as_ref().is_some_and(|o| o.value == WellOutcome::RefusedOnRock);
    let told = well.depth_m.as_ref().map(|d| d.value).filter(|_| stopped_on_rock);
    let high = match (surely, told.map(|d| d + told_error_m)) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    };
    let low = perhaps.unwrap_or(end);
    let low_m = high.map_or(low, |h| low.min(h));
    let seen = (!log.is_empty()).then_some(end);
    let value_m = surely.or(told).or(seen).map(|v| v.max(low_m)).map(|v| high.map_or(v, |h| v.min(h)));
    DepthBand { low_m, value_m, high_m: high }
}

/// Where a neighbour says that no hand method gets any deeper. A hole that
/// was drilled by hand has shown that one gets to its bottom.
pub fn rock(well: &Well, log: &Log, told_error_m: f64, region: &Region) -> DepthBand {
    let band = refusal(well, log, told_error_m, |class| refuses_all(region, class));
    let by_hand = well.made.as_ref().is_some_and(|m| matches!(m.value, Made::HandDrilled | Made::TrialBore));
    let Some(depth) = well.depth_m.as_ref().map(|d| d.value).filter(|_| by_hand) else { return band };
    let reached = (depth - told_error_m).max(0.0);
    let low_m = band.low_m.max(band.high_m.map_or(reached, |h| reached.min(h)));
    DepthBand { low_m, value_m: Some(band.value_m.unwrap_or(depth).max(low_m)), ..band }
}

#[cfg(test)]
mod tests {
    use super::super::log::tests::well;
    use super::*;
    use crate::diag::Origin;
    use crate::survey::Seen;

    fn hard(class: MaterialClass) -> Option<bool> {
        Some(matches!(class, MaterialClass::HardRock | MaterialClass::HardLaterite | MaterialClass::Boulders))
    }

    fn at(well: &Well) -> DepthBand {
        refusal(well, &Log::read(well, None), 2.0, hard)
    }

    #[test]
    fn rock_in_a_log_refuses_at_its_top() {
        let band = at(&well(&[(4.0, "clay"), (6.0, "granite")]));
        assert_eq!((band.low_m, band.high_m), (4.0, Some(4.0)));
    }

    #[test]
    fn a_bore_that_ended_in_soft_ground_is_censored() {
        let band = at(&well(&[(4.0, "clay"), (9.0, "silt")]));
        assert_eq!((band.low_m, band.high_m), (9.0, None));
    }

    #[test]
    fn ground_that_may_refuse_lowers_the_low_end_only() {
        let band = at(&well(&[(2.0, "clay"), (3.0, "laterite"), (9.0, "silt")]));
        assert_eq!((band.low_m, band.high_m), (2.0, None));
    }

    #[test]
    fn a_bore_refused_on_rock_refuses_at_its_depth() {
        let mut bore = well(&[(4.0, "clay"), (9.0, "silt")]);
        bore.depth_m = Some(Seen::new(9.0, Origin::whole("a")));
        bore.outcome = Some(Seen::new(WellOutcome::RefusedOnRock, Origin::whole("a")));
        let band = at(&bore);
        assert_eq!((band.low_m, band.value_m, band.high_m), (9.0, Some(9.0), Some(11.0)));
        bore.log.clear();
        assert_eq!((at(&bore).low_m, at(&bore).high_m), (0.0, Some(11.0)));
        bore.depth_m = None;
        assert_eq!(at(&bore), DepthBand::ANY);
    }

    #[test]
    fn no_log_says_nothing() {
        assert_eq!(at(&well(&[])), DepthBand::ANY);
    }

    #[test]
    fn no_method_gets_deeper_than_its_own_limit() {
        let band = at(&well(&[(4.0, "clay"), (9.0, "silt")])).at_most(6.0);
        assert_eq!((band.low_m, band.high_m), (6.0, Some(6.0)));
    }
}
