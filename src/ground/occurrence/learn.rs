//! Which length and worth forecast wells best from the others.
//!
//! The log score of wells left out, over a grid, with what draws each to the
//! region's; then the mean over the grid by how good the candidates are:
//! steadier than the best alone. The forecasts scored here use some of the
//! wells near and some farther off: a field forecasts rightly from any of
//! them if it is the right one, and a few are quick.

use rayon::prelude::*;

use super::Observation;
use super::depth::Depths;
use super::field::{Base, Counted, Field, apart_m, others, told};
use super::near::{Near, Spots};
use super::system::COARSE;
use crate::stats::{Foretold, log_score_of};

/// With fewer yes or fewer no than this nothing is learnt of where they are.
pub(super) const OF_A_KIND: f64 = 3.0;
/// On about how many wells length and worth are scored.
const SCORED: usize = 2000;
/// From how many of the nearest spots, and how many of those farther off.
const NEXT: usize = 14;
const FARTHER: usize = 10;
/// Worths tried besides the region's, in wells. The last is none to speak
/// of: the same chance everywhere.
const WORTHS: [f64; 7] = [0.6, 1.3, 2.7, 6.0, 14.0, 45.0, 400.0];
/// How many lengths are tried besides the region's.
const LENGTHS: i32 = 6;
/// How firmly each is drawn to the region's: one standard deviation of the
/// logarithm, as a factor.
const LENGTH_WITHIN: f64 = 10.0;
const WORTH_WITHIN: f64 = 30.0;

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

/// A well to be forecast and those it is forecast from.
struct Case {
    yes: f64,
    base: f64,
    level: usize,
    counted: Vec<Counted>,
    /// Distances between those.
    apart_m: Vec<f64>,
}

/// One length and worth and how bad they are.
struct Candidate {
    loss: f64,
    worth_wells: f64,
    length_m: f64,
}

/// What was learnt.
pub(super) struct Learnt {
    pub(super) near: Field,
    /// For where nearness tells nothing: how much places may yet differ over
    /// the region's length or more. What differs over less cannot be told
    /// from the luck of single wells.
    pub(super) apart: Field,
}

impl Learning<'_> {
    /// The field with the region's worth and length.
    pub(super) fn expected(&self) -> Field {
        self.field(self.base.prior.length_m, Some(self.vertical_length_m))
    }

    fn field(&self, length_m: f64, vertical_length_m: Option<f64>) -> Field {
        // Fewer wells must not make an unknown depth more like a known one.
        let learnt = self.observations.iter().filter(|_| self.base.learnt);
        let known = learnt.filter_map(|o| o.depth_m);
        Field {
            worth_wells: self.base.prior.worth_wells,
            length_m,
            depths: Depths::of(vertical_length_m, known),
        }
    }

    /// The fields that forecast wells best from the others.
    pub(super) fn learn(&self) -> Learnt {
        if self.base.seen.yes.min(self.base.seen.n - self.base.seen.yes) < OF_A_KIND {
            return Learnt { near: self.expected(), apart: self.expected() };
        }
        let cases = self.cases();
        let known = self.observations.iter().filter(|o| o.depth_m.is_some()).count();
        let verticals: &[Option<f64>] = match known >= self.least_depths {
            true => &[Some(1.0), Some(3.0), None],
            false => &[Some(1.0)],
        };
        let mut best: Option<(f64, Learnt)> = None;
        for vertical in verticals {
            let vertical_length_m = vertical.map(|v| v * self.vertical_length_m);
            let candidates = self.candidates(&cases, vertical_length_m);
            let least = candidates.iter().map(|c| c.loss).fold(f64::INFINITY, f64::min);
            if best.as_ref().is_some_and(|(so_far, _)| *so_far <= least) {
                continue;
            }
            let field = |least_length_m: f64| {
                let (worth_wells, length_m) = averaged(&candidates, least_length_m)?;
                Some(Field { worth_wells, ..self.field(length_m, vertical_length_m) })
            };
            if let Some((near, apart)) = field(0.0).zip(field(self.base.prior.length_m)) {
                best = Some((least, Learnt { near, apart }));
            }
        }
        best.map_or_else(|| Learnt { near: self.expected(), apart: self.expected() }, |(_, learnt)| learnt)
    }

    fn candidates(&self, cases: &[Case], vertical_length_m: Option<f64>) -> Vec<Candidate> {
        let region = &self.base.prior;
        let off = |x: f64, within: f64| 0.5 * (x.ln() / within.ln()).powi(2);
        let worths: Vec<f64> = WORTHS.into_iter().chain([region.worth_wells]).collect();
        let mut candidates = Vec::new();
        for length_m in self.lengths() {
            let field = self.field(length_m, vertical_length_m);
            for (worth, loss) in worths.iter().zip(self.losses(cases, &field, &worths)) {
                let drawn = off(length_m / region.length_m, LENGTH_WITHIN)
                    + off(worth / region.worth_wells, WORTH_WITHIN);
                candidates.push(Candidate { loss: loss + drawn, worth_wells: *worth, length_m });
            }
        }
        candidates.retain(|c| c.loss.is_finite());
        candidates
    }

    /// The summed log scores under each worth, as if of all wells.
    fn losses(&self, cases: &[Case], field: &Field, worths: &[f64]) -> Vec<f64> {
        let levels = field.levels(self.spots);
        let each = |case: &Case| -> Vec<f64> {
            let place = levels.get(case.level);
            let system = place.and_then(|p| field.system(p, &case.counted, &case.apart_m, &levels));
            let Some(system) = system else { return vec![0.0; worths.len()] };
            let loss = |worth: &f64| {
                let chance = told(case.base, &case.counted, &system.weights(*worth, COARSE));
                log_score_of(&Foretold { chance, yes: case.yes })
            };
            worths.iter().map(loss).collect()
        };
        let losses: Vec<Vec<f64>> = cases.par_iter().map(each).collect();
        let scale = self.observations.len() as f64 / cases.len().max(1) as f64;
        let mut sums = vec![0.0; worths.len()];
        for row in losses {
            for (sum, loss) in sums.iter_mut().zip(row) {
                *sum += loss * scale;
            }
        }
        sums
    }

    /// Wells spread over all spots.
    fn cases(&self) -> Vec<Case> {
        let all = self.spots.all.iter().enumerate();
        let all: Vec<(usize, usize)> =
            all.flat_map(|(i, s)| s.wells.iter().map(move |well| (i, *well))).collect();
        let step = all.len().div_ceil(SCORED).max(1);
        let case = |(spot, well): &(usize, usize)| {
            let yes = self.observations.get(*well)?.yes;
            let counted = others(self.spots, *spot, yes, &some_of(self.near.get(*spot)?));
            let apart_m = apart_m(&counted, self.spots);
            Some(Case { yes, base: self.base.without(yes), level: *spot, counted, apart_m })
        };
        let some: Vec<(usize, usize)> = all.into_iter().step_by(step).collect();
        some.par_iter().filter_map(case).collect()
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

/// The nearest, and some of the rest at steps that grow.
fn some_of(near: &[Near]) -> Vec<Near> {
    let (next, rest) = near.split_at(NEXT.min(near.len()));
    let grows = (near.len().max(1) as f64 / NEXT as f64).max(1.0).powf(1.0 / FARTHER as f64);
    let mut farther: Vec<usize> = (1..=FARTHER)
        .map(|k| (NEXT as f64 * grows.powi(k as i32)) as usize)
        .filter_map(|rank| rank.checked_sub(NEXT + 1))
        .collect();
    farther.dedup();
    next.iter().copied().chain(farther.into_iter().filter_map(|k| rest.get(k).copied())).collect()
}

/// Worth and length by how good the candidates of no less than that length
/// are: the worth by the share of the variance that places differ by,
/// 1/(worth + 1); a length counts as much as there is such a share for it.
fn averaged(candidates: &[Candidate], least_length_m: f64) -> Option<(f64, f64)> {
    let candidates: Vec<&Candidate> = candidates.iter().filter(|c| c.length_m >= least_length_m).collect();
    let least = candidates.iter().map(|c| c.loss).fold(f64::INFINITY, f64::min);
    let (mut all, mut share, mut ln_length) = (0.0, 0.0, 0.0);
    for c in candidates {
        let (weight, of_it) = ((least - c.loss).exp(), 1.0 / (c.worth_wells + 1.0));
        all += weight;
        share += weight * of_it;
        ln_length += weight * of_it * c.length_m.ln();
    }
    if !(share > 0.0 && all.is_finite()) {
        return None;
    }
    Some(((all / share - 1.0).max(1e-3), (ln_length / share).exp()))
}
