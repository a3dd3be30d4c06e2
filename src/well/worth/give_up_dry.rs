//! When to give up where the driller also watches for water: a depth for
//! holes that are still dry, and another for those that have met ground that
//! bears water below the dry-season level.
//!
//! # What the driller knows
//! The depth, that the hole is still open, and whether such ground has been
//! met so far; not how much of it, nor when. Of every pair of depths the best
//! is taken:
//! V(d, w) = Σ over bores still dry at d of P(d) + Σ over the others of
//! P(max(w, depth of first water)), with P(z) what a bore brings that is given
//! up at z (as in [`give_up`](super::give_up)). One depth for both is such a
//! pair, so this is never worth less than the plan that looks at nothing.
//!
//! Source: as `give_up`; water is seen in hand-drilled holes by the loss of
//! fluid, the cuttings and the bailer (common practice).

use super::give_up::{GiveUpInputs, holes_of, steps_to};
use crate::units::OutOfRange;
use crate::units::range::finite;

/// The two depths, and what the plan is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GiveUpDry {
    /// Whether to begin at all.
    pub begin: bool,
    /// Where to give up a hole that has met no ground that bears water,
    /// metres.
    pub dry_m: f64,
    /// Where to give up one that has, metres; no less than where it met it.
    pub wet_m: f64,
    /// What the plan brings over not drilling; 0 where it is not to begin.
    pub worth: f64,
    /// The chance that a hole becomes a well by it.
    pub chance: f64,
}

/// The best pair of depths; the shallower of equals.
///
/// # Errors
/// When there is no such method, no bore, or a figure is out of range.
pub fn give_up_dry(inputs: &GiveUpInputs<'_>) -> Result<GiveUpDry, OutOfRange> {
    let bores = Bores::new(inputs)?;
    let reach = bores.reach;
    // What giving up at the same depth brings, dry or wet, by depth of water.
    let mut best: Option<(f64, usize, usize)> = None;
    // Still dry at `dry`, which is then where they end.
    let still_dry: Vec<f64> =
        (0..=reach).map(|dry| (dry + 1..=reach + 1).map(|met| bores.brings(met, dry).0).sum()).collect();
    for wet in 0..=reach {
        let mut met_by_then = 0.0;
        for (dry, still_dry) in still_dry.iter().enumerate() {
            met_by_then += bores.brings(dry, wet.max(dry)).0;
            let worth = still_dry + met_by_then;
            let better = |&(most, d, w): &(f64, usize, usize)| {
                let even = EVEN * (1.0 + inputs.well_worth);
                worth > most + even || worth > most - even && (dry, wet) < (d, w)
            };
            if best.is_none_or(|b| better(&b)) {
                best = Some((worth, dry, wet));
            }
        }
    }
    let (_, dry, wet) = best.unwrap_or_default();
    let (mut worth, mut chance) = (-inputs.prices.mobilisation, 0.0);
    for met in 0..=reach + 1 {
        let (brings, succeed) = bores.brings(met, if met <= dry { wet.max(met) } else { dry });
        worth += brings;
        chance += succeed;
    }
    let worth = finite("the worth of drilling", worth)?;
    let depth_m = |step: usize| (step as f64 * inputs.step_m).min(bores.deepest_m);
    Ok(GiveUpDry {
        begin: worth > 0.0,
        dry_m: depth_m(dry),
        wet_m: depth_m(wet),
        worth: worth.max(0.0),
        chance,
    })
}

/// Going on has to bring more than this share of a well's worth.
const EVEN: f64 = 1e-12;

/// What bores bring by the step in which they met water and the step at which
/// they are given up.
#[derive(Debug)]
struct Bores {
    /// Steps to the reach.
    reach: usize,
    deepest_m: f64,
    /// A row of `reach + 1` for each step of first water, the last for none.
    brings: Vec<(f64, f64)>,
}

impl Bores {
    fn new(inputs: &GiveUpInputs<'_>) -> Result<Self, OutOfRange> {
        let (mut reach, mut deepest_m): (usize, f64) = (0, 0.0);
        for (_, hole) in holes_of(inputs)? {
            reach = reach.max(hole.step + 1);
            deepest_m = deepest_m.max(hole.depth_m);
        }
        let width = reach + 1;
        let rows = reach + 2;
        // Ends by step, then summed over the steps down to each.
        let mut ended = vec![(0.0, 0.0); rows * width];
        let mut weight = vec![0.0; rows * width];
        for (ground, hole) in holes_of(inputs)? {
            let met = ground.first_water_m.map(|m| steps_to(f64::from(m), inputs.step_m));
            let at = met.unwrap_or(rows).min(rows - 1) * width + hole.step + 1;
            if let (Some(ended), Some(weight)) = (ended.get_mut(at), weight.get_mut(at)) {
                ended.0 += hole.weight * (hole.end - inputs.prices.per_metre * hole.depth_m);
                ended.1 += if hole.success { hole.weight } else { 0.0 };
                *weight += hole.weight;
            }
        }
        for (ended, weight) in ended.chunks_mut(width).zip(weight.chunks(width)) {
            let mut open: f64 = weight.iter().sum();
            let mut sum = (0.0, 0.0);
            for (step, (cell, ends)) in ended.iter_mut().zip(weight).enumerate() {
                open -= ends;
                sum = (sum.0 + cell.0, sum.1 + cell.1);
                let metres = step as f64 * inputs.step_m;
                let given_up = if step == 0 { 0.0 } else { inputs.prices.abandonment };
                *cell = (sum.0 - open * (inputs.prices.per_metre * metres + given_up), sum.1);
            }
        }
        Ok(Self { reach, deepest_m, brings: ended })
    }

    /// What the bores that met water in a step bring, given up at another,
    /// and the share of all that are then a success.
    fn brings(&self, met: usize, given_up: usize) -> (f64, f64) {
        let at = met * (self.reach + 1) + given_up.min(self.reach);
        self.brings.get(at).copied().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::super::give_up::give_up;
    use super::super::holes::HolePrices;
    use super::super::toys::{draws, ends};
    use super::*;
    use crate::ground::virtual_bore::{Draws, Outcome};
    use Outcome::{Dry, Success};

    const PRICES: HolePrices = HolePrices {
        mobilisation: 100.0,
        per_metre: 20.0,
        casing_per_metre: 0.0,
        completion: 200.0,
        lift: 0.0,
        abandonment: 30.0,
    };

    fn inputs(draws: &Draws, well_worth: f64) -> GiveUpInputs<'_> {
        GiveUpInputs { draws, method: 0, prices: PRICES, well_worth, step_m: 1.0, weights: None }
    }

    fn with_water(all: &[(Outcome, f32, Option<f32>)]) -> Draws {
        let mut draws = draws(ends(&all.iter().map(|x| (x.0, x.1)).collect::<Vec<_>>()));
        for (ground, (_, _, met)) in draws.grounds.iter_mut().zip(all) {
            ground.first_water_m = *met;
        }
        draws
    }

    /// By hand: in half of the ground water is met at 6 m and enough of it at
    /// 20 m; the other half is dry to 20 m. Dry holes end at 6 m, wet ones go
    /// on: 0.5·(1000 − 200 − 400) − 0.5·(30 + 120) − 100. With nothing but the
    /// depth all go to 20 m: 0.5·800 − 0.5·30 − 400 − 100 is a loss.
    #[test]
    fn a_hole_still_dry_where_the_others_are_wet_is_given_up() {
        let draws = with_water(&[(Success, 20.0, Some(6.0)), (Dry, 20.0, None)]);
        let plan = give_up_dry(&inputs(&draws, 1000.0)).unwrap();
        assert!(plan.begin);
        assert_eq!((plan.dry_m, plan.wet_m, plan.chance), (6.0, 20.0, 0.5));
        assert!((plan.worth - (200.0 - 75.0 - 100.0)).abs() < 1e-9, "{plan:?}");
        assert!(!give_up(&inputs(&draws, 1000.0)).unwrap().begin);
    }

    /// Water met early that never comes to a well: wet holes end first.
    #[test]
    fn wet_holes_are_given_up_where_only_dry_ones_come_to_something() {
        let draws = with_water(&[(Dry, 20.0, Some(3.0)), (Success, 10.0, Some(10.0))]);
        let plan = give_up_dry(&inputs(&draws, 2000.0)).unwrap();
        assert_eq!((plan.dry_m, plan.wet_m), (10.0, 0.0));
        // Given up where the water is met: 3 m.
        assert!((plan.worth - (0.5 * 1800.0 - 100.0 - 0.5 * (60.0 + 30.0) - 100.0)).abs() < 1e-9);
    }

    #[test]
    fn watching_for_water_is_never_worth_less_than_looking_at_nothing() {
        let mut x = 7u32;
        let mut next = |most: u32| {
            x = x.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (x >> 16) % most
        };
        let outcomes = [Success, Outcome::Refused, Dry, Outcome::PoorQuality, Success];
        for _ in 0..60 {
            let all: Vec<_> = (0..30)
                .map(|_| {
                    let met = next(40);
                    (outcomes[next(5) as usize], next(25) as f32, (met < 25).then_some(met as f32))
                })
                .collect();
            let draws = with_water(&all);
            let plain = give_up(&inputs(&draws, 1200.0)).unwrap();
            let watched = give_up_dry(&inputs(&draws, 1200.0)).unwrap();
            assert!(watched.worth >= plain.worth - 1e-6, "{plain:?} {watched:?}");
        }
    }

    #[test]
    fn where_water_says_nothing_both_plans_are_one() {
        let all: Vec<_> = (1..=10).map(|k| (if k < 6 { Success } else { Dry }, k as f32, None)).collect();
        let draws = with_water(&all);
        let (plain, watched) =
            (give_up(&inputs(&draws, 1200.0)).unwrap(), give_up_dry(&inputs(&draws, 1200.0)).unwrap());
        assert!((plain.worth - watched.worth).abs() < 1e-9 && (plain.depth_m - watched.dry_m).abs() < 1e-9);
    }
}
