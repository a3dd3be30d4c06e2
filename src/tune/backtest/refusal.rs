//! Forecasts of the chance to get past each depth, and the plain ones they
//! are measured against: the curve of all bores that may be used; the nearest
//! bore as a certainty; the share of those that got past among the eight
//! nearest, by inverse distance.
//!
//! Each bore is told at depths every five metres. At a depth it got past, or
//! at or below which it was refused, it is known what came; below the end of
//! a bore that ended first it is not, and the pair is left out. Bores are
//! therefore judged on the shallow depths that more of them reached.

use rayon::prelude::*;

use super::forecast::Forecaster;
use super::leave_out::Plan;
use crate::ground::idw::idw;
use crate::ground::{BoreEnd, BoreSeen, Survival};
use crate::stats::Foretold;

/// Depths are told every so many metres.
const STEP_M: f64 = 5.0;
/// A depth is told only where so many bores at the least are known at it.
const LEAST_KNOWN: usize = 10;
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
pub(super) fn depths_m(bores: &[Bore]) -> Vec<f64> {
    let known = |depth: &f64| bores.iter().filter(|b| b.past(*depth).is_some()).count();
    let told = |k: u32| STEP_M * f64::from(k);
    let deepest = bores.iter().map(|b| b.depth_m).fold(0.0, f64::max);
    (1..).map(told).take_while(|d| *d < deepest && *d < 1e4).filter(|d| known(d) >= LEAST_KNOWN).collect()
}

/// What came of a bore at each depth, where that is known.
pub(super) fn came(bore: &Bore, depths_m: &[f64]) -> Vec<Option<bool>> {
    depths_m.iter().map(|d| bore.past(*d)).collect()
}

/// Chances with what came, at depths where that is known.
pub(super) fn pairs(chances: &[f64], bore: &Bore, depths_m: &[f64]) -> Vec<Foretold> {
    let known = chances.iter().zip(came(bore, depths_m));
    known.filter_map(|(c, past)| Some(Foretold { chance: *c, yes: f64::from(u8::from(past?)) })).collect()
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

    #[test]
    fn a_bore_that_ended_in_soft_ground_says_nothing_below_its_end() {
        let bore = |end| Bore { at: [0.0; 2], depth_m: 12.0, end };
        assert_eq!(came(&bore(BoreEnd::Refused), &[10.0, 15.0]), [Some(true), Some(false)]);
        assert_eq!(came(&bore(BoreEnd::Censored), &[10.0, 15.0]), [Some(true), None]);
    }

    #[test]
    fn depths_are_told_only_where_enough_bores_are_known() {
        let bores: Vec<Bore> = (0..12)
            .map(|k| Bore { at: [0.0; 2], depth_m: if k < 5 { 40.0 } else { 11.0 }, end: BoreEnd::Censored })
            .collect();
        assert_eq!(depths_m(&bores), [5.0, 10.0]);
    }
}
