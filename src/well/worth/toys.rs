//! Toy grounds that the tests of this folder share.

#![allow(clippy::unwrap_used)]

use super::holes::HolePrices;
use crate::ground::virtual_bore::{Draws, GroundDraw, Outcome, Reached};

/// Round prices of an invented method.
pub(super) const PRICES: HolePrices = HolePrices {
    mobilisation: 100.0,
    per_metre: 20.0,
    casing_per_metre: 5.0,
    completion: 200.0,
    lift: 150.0,
    abandonment: 30.0,
};

/// Holes of one method with those ends.
pub(super) fn ends(ends: &[(Outcome, f32)]) -> Vec<Reached> {
    let end =
        |&(outcome, depth_m): &(Outcome, f32)| Reached { outcome, depth_m, reach_m: depth_m, yield_lps: 0.3 };
    ends.iter().map(end).collect()
}

/// One ground for each hole: water at 5 m, met at 6 m.
pub(super) fn draws(ends: Vec<Reached>) -> Draws {
    let ground = |end: &Reached| GroundDraw {
        log: 0,
        level_m: 5.0,
        needed_m: (end.outcome == Outcome::Success).then_some(end.depth_m),
        seen_to_m: 40.0,
        first_water_m: Some(6.0),
    };
    let grounds = ends.iter().map(ground).collect();
    Draws::new(grounds, ends, 1).unwrap()
}
