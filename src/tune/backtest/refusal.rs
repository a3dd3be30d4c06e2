//! Forecasts of the chance to get past each depth, and the plain ones they
//! are measured against: the curve of all bores that may be used; the nearest
//! bore as a certainty; the share of those that got past among the eight
//! nearest, by inverse distance.
//!
//! Each bore is told at depths every five metres. At a depth it got past, or
//! at or below which it was refused, it is known what came; below the end of
//! a bore that ended first it is not, and the pair is left out. Those that are
//! known stand for it: each counts as 1 over the chance that a bore is not
//! ended by then for another reason (Graf et al. 1999, Stat. Med. 18:2529;
//! from memory), that chance by the product-limit estimate of all bores. The
//! nearest and the eight nearest are those of which it is known: they make no
//! such allowance.

use rayon::prelude::*;

use super::forecast::Forecaster;
use super::leave_out::Plan;
use super::scores::Case;
use crate::ground::idw::idw;
use crate::ground::{BoreEnd, BoreSeen, Survival};
use crate::stats::Foretold;

/// Depths are told every so many metres.
const STEP_M: f64 = 5.0;
/// A depth is told only where so many bores at the least are known at it.
const LEAST_KNOWN: usize = 10;
/// … and where at least this share would not have ended for another reason.
const LEAST_FREE: f64 = 0.1;
/// How many of the nearest bores make a forecast.
const NEAREST: usize = 200;

/// A bore: where, how deep, and how it ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bore {
    pub at: [f64; 2],
    pub depth_m: f64,
    pub end: BoreEnd,
}

impl Bore {
    /// Whether it got past a depth; `None` where that is not known.
    fn past(&self, depth_m: f64) -> Option<bool> {
        match self.end {
            _ if self.depth_m > depth_m => Some(true),
            BoreEnd::Refused => Some(false),
            BoreEnd::Censored => None,
        }
    }

    fn seen(&self, weight: f64) -> BoreSeen {
        BoreSeen { depth_m: self.depth_m, end: self.end, weight }
    }
}

/// The depths that are told.
pub(super) fn depths_m(bores: &[Bore], free: &Survival) -> Vec<f64> {
    let known = |depth: &f64| bores.iter().filter(|b| b.past(*depth).is_some()).count();
    let told = |k: u32| STEP_M * f64::from(k);
    let deepest = bores.iter().map(|b| b.depth_m).fold(0.0, f64::max);
    (1..)
        .map(told)
        .take_while(|d| *d < deepest && *d < 1e4)
        .filter(|d| known(d) >= LEAST_KNOWN && chance(free, *d) >= LEAST_FREE)
        .collect()
}

/// The chance that a bore is not ended by a depth for another reason than
/// refusal.
pub(super) fn free_until(bores: &[Bore]) -> Result<Survival, String> {
    let other = |end| if end == BoreEnd::Refused { BoreEnd::Censored } else { BoreEnd::Refused };
    let ends: Vec<BoreSeen> = bores.iter().map(|b| Bore { end: other(b.end), ..*b }.seen(1.0)).collect();
    Survival::fit(&ends, &[], 0.0).map_err(|e| e.to_string())
}

fn chance(curve: &Survival, depth_m: f64) -> f64 {
    curve.past(depth_m).map_or(1.0, |p| p.chance)
}

/// Chances with what came, at depths where that is known.
pub(super) fn pairs(chances: &[f64], bore: &Bore, of: usize, depths_m: &[f64], free: &Survival) -> Vec<Case> {
    let known = chances
        .iter()
        .zip(depths_m)
        .enumerate()
        .filter_map(|(level, (chance, depth))| Some((level, *chance, *depth, bore.past(*depth)?)));
    known
        .map(|(level, told, depth, past)| {
            // A hair above a refusal: what ended there ended after it.
            let until = if past { depth } else { bore.depth_m * (1.0 - 1e-9) };
            let weight = 1.0 / chance(free, until).max(LEAST_FREE);
            Case { told: Foretold { chance: told, yes: f64::from(u8::from(past)) }, of, level, weight }
        })
        .collect()
}

/// The forecast of the curve.
pub(super) struct Curves<'a> {
    pub bores: &'a [Bore],
    pub depths_m: &'a [f64],
    /// Length over which a bore's weight falls to about a third, metres.
    pub length_m: f64,
    /// How many bores all bores together count as.
    pub prior_worth: f64,
    pub plan: &'a Plan,
}

impl Forecaster for Curves<'_> {
    /// All bores, the shallowest first.
    type Model = Vec<usize>;
    type Told = Vec<f64>;

    fn learn(&self, from: &[usize]) -> Result<Vec<usize>, String> {
        let depth = |i: &usize| self.bores.get(*i).map_or(0.0, |b| b.depth_m);
        let mut sorted = from.to_vec();
        sorted.sort_by(|a, b| depth(a).total_cmp(&depth(b)));
        Ok(sorted)
    }

    fn tell(
        &self,
        model: &Vec<usize>,
        _from: &[usize],
        of: usize,
        may_use: &dyn Fn(usize) -> bool,
    ) -> Result<Vec<f64>, String> {
        let [x, y] = self.bores.get(of).ok_or("a record is missing")?.at;
        let all: Vec<BoreSeen> = model
            .iter()
            .filter(|j| may_use(**j))
            .filter_map(|j| Some(self.bores.get(*j)?.seen(1.0)))
            .collect();
        let near: Vec<BoreSeen> = self
            .plan
            .nearest(of, NEAREST)
            .into_iter()
            .filter_map(|j| self.bores.get(j))
            .map(|b| b.seen((-(b.at[0] - x).hypot(b.at[1] - y) / self.length_m).exp()))
            .collect();
        let curve = Survival::fit(&near, &all, self.prior_worth).map_err(|e| e.to_string())?;
        Ok(self.depths_m.iter().map(|d| curve.past(*d).map_or(0.5, |p| p.chance)).collect())
    }

    fn each_from_others(&self, _model: &Vec<usize>) -> Option<Vec<Vec<f64>>> {
        None
    }
}

/// A plain forecast by its name: for each bore the chances at each depth.
type Plain = (&'static str, Vec<Vec<f64>>);

/// The plain forecasts, by their names.
pub(super) fn baselines(
    plan: &Plan,
    tested: &[usize],
    bores: &[Bore],
    depths_m: &[f64],
) -> Result<Vec<Plain>, String> {
    let mut order: Vec<(usize, &Bore)> = bores.iter().enumerate().collect();
    order.sort_by(|(_, a), (_, b)| a.depth_m.total_cmp(&b.depth_m));
    let each = |i: &usize| -> Result<[Vec<f64>; 3], String> {
        let usable = order.iter().filter(|(j, _)| plan.may_use(*i, *j));
        let all: Vec<BoreSeen> = usable.map(|(_, b)| b.seen(1.0)).collect();
        let curve = Survival::fit(&all, &[], 0.0).map_err(|e| e.to_string())?;
        let at = bores.get(*i).map_or([0.0; 2], |b| b.at);
        let near: Vec<&Bore> = plan.nearest(*i, NEAREST).into_iter().filter_map(|j| bores.get(j)).collect();
        let mut told = [Vec::new(), Vec::new(), Vec::new()];
        for depth in depths_m {
            let base = curve.past(*depth).map_or(0.5, |p| p.chance);
            let known: Vec<([f64; 2], f64)> = near
                .iter()
                .filter_map(|b| Some((b.at, f64::from(u8::from(b.past(*depth)?)))))
                .take(8)
                .collect();
            let nearest = known.first().map_or(base, |(_, past)| *past);
            let weighted = idw(&known, at, 2.0, Some(8)).unwrap_or(base).clamp(0.0, 1.0);
            for (list, chance) in told.iter_mut().zip([base, nearest, weighted]) {
                list.push(chance);
            }
        }
        Ok(told)
    };
    let all: Result<Vec<[Vec<f64>; 3]>, String> = tested.par_iter().map(each).collect();
    let all = all?;
    let of = |k: usize| all.iter().filter_map(|d| d.get(k)).cloned().collect();
    Ok(vec![("base-rate", of(0)), ("nearest", of(1)), ("idw8", of(2))])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bore(depth_m: f64, end: BoreEnd) -> Bore {
        Bore { at: [0.0; 2], depth_m, end }
    }

    #[test]
    fn a_bore_that_ended_in_soft_ground_says_nothing_below_its_end() {
        let past = |end| [10.0, 15.0].map(|d| bore(12.0, end).past(d));
        assert_eq!(past(BoreEnd::Refused), [Some(true), Some(false)]);
        assert_eq!(past(BoreEnd::Censored), [Some(true), None]);
    }

    #[test]
    fn depths_are_told_only_where_enough_bores_are_known() {
        let of = |k| bore(if k < 5 { 40.0 } else { 11.0 }, BoreEnd::Censored);
        let bores: Vec<Bore> = (0..12).map(of).collect();
        assert_eq!(depths_m(&bores, &free_until(&bores).unwrap()), [5.0, 10.0]);
    }

    /// Of four bores two end at 6 m; one is refused at 8 m, one gets past 10.
    #[test]
    fn bores_that_are_known_stand_for_those_that_are_not() {
        use BoreEnd::{Censored, Refused};
        let bores = [bore(6.0, Censored), bore(6.0, Censored), bore(8.0, Refused), bore(12.0, Censored)];
        let free = free_until(&bores).unwrap();
        let weights = |i: usize| -> Vec<f64> {
            pairs(&[0.5, 0.5], &bores[i], i, &[5.0, 10.0], &free).iter().map(|c| c.weight).collect()
        };
        assert_eq!((weights(0), weights(2), weights(3)), (vec![1.0], vec![1.0, 2.0], vec![1.0, 2.0]));
    }
}
