//! The field of the chance, what it makes of each well left out, and which
//! field does that best.

use rayon::prelude::*;

use super::depth::{Depths, Level};
use super::near::{Near, Seen, Spots};
use super::{Observation, OccurrencePrior};
use crate::stats::{Foretold, log_score_of};

/// On about how many wells length and worth are scored.
const SCORED: usize = 3000;
/// Worths tried besides the region's, in wells.
const WORTHS: [f64; 7] = [1.0, 2.0, 4.0, 9.0, 20.0, 45.0, 100.0];
/// How many lengths are tried besides the region's.
const LENGTHS: i32 = 7;
/// How firmly each is drawn to the region's: one standard deviation of the
/// logarithm, as a factor.
const LENGTH_WITHIN: f64 = 10.0;
const WORTH_WITHIN: f64 = 6.0;

/// How the chance varies from place to place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Field {
    pub(super) worth_wells: f64,
    pub(super) length_m: f64,
    pub(super) depths: Depths,
}

impl Field {
    /// What a place has in common with a well so far away.
    pub(super) fn alike(&self, distance_m: f64, place: &Level, well: &Level) -> f64 {
        (-distance_m / self.length_m).exp() * self.depths.alike(place, well)
    }

    pub(super) fn levels(&self, spots: &Spots) -> Vec<Level> {
        spots.all.iter().map(|s| self.depths.level(s.depth)).collect()
    }
}

/// The base rate: of all wells, with the region's chance as more of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Base {
    pub(super) prior: OccurrencePrior,
    pub(super) seen: Seen,
    /// Where nothing is learnt the region's chance is the base rate.
    pub(super) learnt: bool,
}

impl Base {
    pub(super) fn chance(&self, seen: Seen) -> f64 {
        let OccurrencePrior { chance, worth_wells, .. } = self.prior;
        if !self.learnt {
            return chance;
        }
        (worth_wells * chance + seen.yes) / (worth_wells + seen.n)
    }

    pub(super) fn without(&self, yes: f64) -> f64 {
        self.chance(self.seen.without(Seen::of(yes)))
    }
}

/// What the spots near each spot have in common with it, under one field.
pub(super) struct Common {
    /// In the order of the lists of near spots.
    alike: Vec<Vec<f64>>,
    /// How many wells crowd around each spot, its own among them.
    pub(super) crowd: Vec<f64>,
}

impl Common {
    pub(super) fn of(field: &Field, spots: &Spots, near: &[Vec<Near>]) -> Self {
        let levels = field.levels(spots);
        let each = |(i, near): (usize, &Vec<Near>)| {
            let place = levels.get(i);
            let alike = |n: &Near| {
                place
                    .zip(levels.get(n.spot))
                    .map_or(0.0, |(place, well)| field.alike(n.distance_m, place, well))
            };
            near.iter().map(alike).collect::<Vec<f64>>()
        };
        let alike: Vec<Vec<f64>> = near.par_iter().enumerate().map(each).collect();
        let crowd = (alike.iter().zip(near).zip(&spots.all))
            .map(|((alike, near), spot)| {
                let others = alike.iter().zip(near).map(|(a, n)| a * wells(spots, n.spot));
                spot.seen.n + others.sum::<f64>()
            })
            .collect();
        Self { alike, crowd }
    }

    /// The chance at a well of spot `i` from all others.
    pub(super) fn left_out(
        &self,
        i: usize,
        yes: f64,
        worth: f64,
        base: f64,
        spots: &Spots,
        near: &[Vec<Near>],
    ) -> Option<f64> {
        let (spot, alike, near) = (spots.all.get(i)?, self.alike.get(i)?, near.get(i)?);
        let around = (self.crowd.get(i)? - 1.0).max(0.0);
        let beside = spot.seen.without(Seen::of(yes));
        let mut chance = base + (beside.yes - beside.n * base) / (worth + around);
        for (alike, n) in alike.iter().zip(near) {
            let (seen, crowd) = (spots.all.get(n.spot)?.seen, self.crowd.get(n.spot)?);
            let share = alike / (worth + around.max(crowd - alike));
            chance += share * (seen.yes - seen.n * base);
        }
        Some(chance.clamp(1e-12, 1.0 - 1e-12))
    }
}

fn wells(spots: &Spots, spot: usize) -> f64 {
    spots.all.get(spot).map_or(0.0, |s| s.seen.n)
}

/// What is learnt from.
pub(super) struct Learning<'a> {
    pub(super) base: Base,
    pub(super) observations: &'a [Observation],
    pub(super) spots: &'a Spots,
    pub(super) near: &'a [Vec<Near>],
    pub(super) vertical_length_m: f64,
    /// From how many known depths on it is learnt whether depth matters.
    pub(super) least_depths: usize,
}

impl Learning<'_> {
    /// The field with the region's worth and length.
    pub(super) fn expected(&self) -> Field {
        self.field(self.base.prior.length_m, Some(self.vertical_length_m))
    }

    fn field(&self, length_m: f64, vertical_length_m: Option<f64>) -> Field {
        let known = self.observations.iter().filter_map(|o| o.depth_m);
        Field {
            worth_wells: self.base.prior.worth_wells,
            length_m,
            depths: Depths::of(vertical_length_m, known),
        }
    }

    /// The field that forecasts wells best from the others.
    pub(super) fn learn(&self) -> Field {
        let scored = self.scored();
        let region = &self.base.prior;
        let off = |x: f64, within: f64| 0.5 * (x.ln() / within.ln()).powi(2);
        let mut best: Option<(f64, Field)> = None;
        let known = self.observations.iter().filter(|o| o.depth_m.is_some()).count();
        let verticals: &[Option<f64>] = match known >= self.least_depths {
            true => &[Some(1.0), Some(3.0), None],
            false => &[Some(1.0)],
        };
        for vertical in verticals {
            for length_m in self.lengths() {
                let field = self.field(length_m, vertical.map(|v| v * self.vertical_length_m));
                let common = Common::of(&field, self.spots, self.near);
                for worth_wells in WORTHS.into_iter().chain([region.worth_wells]) {
                    let Some(loss) = self.loss(&common, worth_wells, &scored) else { continue };
                    let drawn = off(length_m / region.length_m, LENGTH_WITHIN)
                        + off(worth_wells / region.worth_wells, WORTH_WITHIN);
                    let loss = loss + drawn;
                    if loss.is_finite() && best.as_ref().is_none_or(|(least, _)| loss < *least) {
                        best = Some((loss, Field { worth_wells, ..field.clone() }));
                    }
                }
            }
        }
        best.map_or_else(|| self.expected(), |(_, field)| field)
    }

    /// The summed log score of the wells scored, as if of all.
    fn loss(&self, common: &Common, worth: f64, scored: &[(usize, usize)]) -> Option<f64> {
        let each = |(spot, well): &(usize, usize)| {
            let yes = self.observations.get(*well)?.yes;
            let base = self.base.without(yes);
            let chance = common.left_out(*spot, yes, worth, base, self.spots, self.near)?;
            Some(log_score_of(&Foretold { chance, yes }))
        };
        let losses: Vec<f64> = scored.par_iter().filter_map(each).collect();
        let all = self.observations.len() as f64;
        (!losses.is_empty()).then(|| losses.iter().sum::<f64>() * all / losses.len() as f64)
    }

    /// Wells spread over all spots, each with its spot.
    fn scored(&self) -> Vec<(usize, usize)> {
        let all = self.spots.all.iter().enumerate();
        let all: Vec<(usize, usize)> =
            all.flat_map(|(i, s)| s.wells.iter().map(move |well| (i, *well))).collect();
        let step = all.len().div_ceil(SCORED).max(1);
        all.into_iter().step_by(step).collect()
    }

    /// The region's length, and others from half the way to the next spot to
    /// half the way across all of them.
    fn lengths(&self) -> Vec<f64> {
        let axis = |k: usize| {
            let along = self.spots.all.iter().filter_map(|s| s.at.get(k).copied());
            along.clone().fold(f64::NEG_INFINITY, f64::max) - along.fold(f64::INFINITY, f64::min)
        };
        let mut next: Vec<f64> = self.near.iter().filter_map(|n| n.first()).map(|n| n.distance_m).collect();
        next.retain(|d| *d > 0.0);
        next.sort_by(f64::total_cmp);
        let low = 0.5 * next.get(next.len() / 2).copied().unwrap_or(0.0);
        let high = 0.5 * axis(0).hypot(axis(1));
        let region = self.base.prior.length_m;
        if !(low > 0.0 && high > low && high.is_finite()) {
            return vec![region];
        }
        let step = (high / low).ln() / f64::from(LENGTHS - 1);
        let spaced = (0..LENGTHS).map(|k| low * (step * f64::from(k)).exp());
        std::iter::once(region).chain(spaced).collect()
    }
}
