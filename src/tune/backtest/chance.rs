//! Forecasts of a yes or no (a success, a quality worse than its limit), and
//! the plain ones they are measured against: the base rate of all records
//! that may be used; the nearest as a certainty; the share of yes among the
//! eight nearest, by inverse distance.

use rayon::prelude::*;

use super::forecast::Forecaster;
use super::leave_out::Plan;
use crate::ground::idw::idw;
use crate::ground::occurrence::{Observation, OccurrenceModel, OccurrencePrior, Options, Place};

/// A chance as it was forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Chance {
    pub chance: f64,
    /// What the model would say without any well near: its base rate of the
    /// records it may use.
    pub base: f64,
}

/// The forecast of a chance.
pub(super) struct Chances {
    pub prior: OccurrencePrior,
    pub seen: Vec<Observation>,
}

impl Forecaster for Chances {
    type Model = OccurrenceModel;
    type Told = Chance;

    fn learn(&self, from: &[usize]) -> Result<OccurrenceModel, String> {
        let seen: Vec<Observation> = from.iter().filter_map(|i| self.seen.get(*i)).copied().collect();
        OccurrenceModel::learn(&self.prior, &seen, Options::default()).map_err(|e| e.to_string())
    }

    fn tell(
        &self,
        model: &OccurrenceModel,
        from: &[usize],
        of: usize,
        may_use: &dyn Fn(usize) -> bool,
    ) -> Result<Chance, String> {
        let at = self.seen.get(of).ok_or("a record is missing")?;
        let place = Place { east_m: at.east_m, north_m: at.north_m, depth_m: None };
        let skip = |k: usize| !from.get(k).is_some_and(|j| may_use(*j));
        let chance = model.at_without(place, skip).map_err(|e| e.to_string())?.chance;
        let usable = from.iter().filter(|j| may_use(**j)).filter_map(|j| self.seen.get(*j));
        let (n, yes) = usable.fold((0.0, 0.0), |(n, yes), o| (n + 1.0, yes + o.yes));
        let OccurrencePrior { chance: prior, worth_wells, .. } = self.prior;
        let learnt = from.len() >= Options::default().least_to_learn;
        let base = if learnt { (worth_wells * prior + yes) / (worth_wells + n) } else { prior };
        Ok(Chance { chance, base })
    }

    fn each_from_others(&self, model: &OccurrenceModel) -> Option<Vec<Chance>> {
        Some(model.left_out().iter().map(|l| Chance { chance: l.chance, base: l.base }).collect())
    }
}

/// The plain forecasts, by their names.
pub(super) fn baselines(
    plan: &Plan,
    tested: &[usize],
    spots: &[([f64; 2], f64)],
) -> Vec<(&'static str, Vec<f64>)> {
    let rates = Rates::of(plan, spots);
    let each = |i: &usize| {
        let near: Vec<([f64; 2], f64)> =
            plan.nearest(*i, 8).into_iter().filter_map(|j| spots.get(j)).copied().collect();
        let rate = rates.at(plan, *i, spots);
        let nearest = near.first().map_or(rate, |(_, yes)| *yes);
        let weighted = spots.get(*i).and_then(|(at, _)| idw(&near, *at, 2.0, Some(8)));
        [rate, nearest, weighted.unwrap_or(rate).clamp(0.0, 1.0)]
    };
    let all: Vec<[f64; 3]> = tested.par_iter().map(each).collect();
    let of = |k: usize| all.iter().filter_map(|d| d.get(k)).copied().collect();
    vec![("base-rate", of(0)), ("nearest", of(1)), ("idw8", of(2))]
}

/// Records and yeses that teach each record, counted once for each group.
struct Rates {
    of: Vec<(f64, f64)>,
}

impl Rates {
    fn of(plan: &Plan, spots: &[([f64; 2], f64)]) -> Self {
        let yes = |j: usize| spots.get(j).map_or(0.0, |(_, yes)| *yes);
        let all = (spots.len() as f64, (0..spots.len()).map(yes).sum::<f64>());
        let mut of = vec![all; spots.len()];
        for fold in plan.folds() {
            let Some(first) = fold.first() else { continue };
            let counted = match fold.len() {
                // One alone: all but it.
                1 if plan.leave() == super::LeaveOut::One => (all.0 - 1.0, all.1 - yes(*first)),
                _ => (0..spots.len())
                    .filter(|j| plan.may_teach(*first, *j))
                    .fold((0.0, 0.0), |(n, sum), j| (n + 1.0, sum + yes(j))),
            };
            for i in fold {
                if let Some(slot) = of.get_mut(i) {
                    *slot = counted;
                }
            }
        }
        Self { of }
    }

    fn at(&self, plan: &Plan, i: usize, spots: &[([f64; 2], f64)]) -> f64 {
        let (mut n, mut yes) = self.of.get(i).copied().unwrap_or((0.0, 0.0));
        for j in plan.too_near(i) {
            n -= 1.0;
            yes -= spots.get(j).map_or(0.0, |(_, yes)| *yes);
        }
        if n > 0.0 { (yes / n).clamp(0.0, 1.0) } else { 0.5 }
    }
}
