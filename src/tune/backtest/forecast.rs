//! Forecasts each record from others only. What is learnt (a mean, a range, a
//! base rate) is learnt anew for each group of records that is left out, from
//! records outside of it.
//!
//! With *one* and every distance allowed it is the model's own leave-one-out:
//! what is learnt from all records is learnt with the one forecast among
//! them. With a least distance of neighbours it is learnt anew for each
//! record where there are few, else once from all.

use rayon::prelude::*;

use super::leave_out::{LeaveOut, Plan};

/// Up to so many records learning is done anew for each.
const FEW: usize = 60;

/// A way to forecast records from each other.
pub(super) trait Forecaster: Sync {
    /// What was learnt.
    type Model: Sync;
    /// A forecast.
    type Told: Send;

    /// Learns from records, by their numbers.
    fn learn(&self, from: &[usize]) -> Result<Self::Model, String>;

    /// Forecasts record `of` from those of `from`, which the model was learnt
    /// from, that may be used.
    fn tell(
        &self,
        model: &Self::Model,
        from: &[usize],
        of: usize,
        may_use: &dyn Fn(usize) -> bool,
    ) -> Result<Self::Told, String>;

    /// Each record the model was learnt from, forecast from its others, in
    /// their order; `None` where the model does not do that itself.
    fn each_from_others(&self, model: &Self::Model) -> Option<Vec<Self::Told>>;
}

/// The forecast of each record that can be forecast, with its number.
pub(super) fn forecast_each<F: Forecaster>(
    plan: &Plan,
    tested: &[usize],
    all: usize,
    with: &F,
) -> Result<Vec<F::Told>, String> {
    let everything: Vec<usize> = (0..all).collect();
    let alone = |i: &usize| {
        let from: Vec<usize> = everything.iter().copied().filter(|j| plan.may_use(*i, *j)).collect();
        with.tell(&with.learn(&from)?, &from, *i, &|_| true)
    };
    match plan.leave() {
        LeaveOut::One if plan.neighbours_from_m() > 0.0 && all <= FEW => {
            tested.par_iter().map(alone).collect()
        }
        LeaveOut::One => {
            let model = with.learn(&everything)?;
            if plan.neighbours_from_m() <= 0.0
                && let Some(told) = with.each_from_others(&model)
            {
                // Only *one* record alone is ever not tested, and then there
                // is nothing to tell.
                return Ok(if tested.len() == all { told } else { Vec::new() });
            }
            let tell = |i: &usize| with.tell(&model, &everything, *i, &|j| plan.may_use(*i, j));
            tested.par_iter().map(tell).collect()
        }
        LeaveOut::Blocks(_) | LeaveOut::Forward => {
            let fold = |fold: Vec<usize>| {
                let Some(first) = fold.first() else { return Ok(Vec::new()) };
                let from: Vec<usize> =
                    everything.iter().copied().filter(|j| plan.may_teach(*first, *j)).collect();
                let model = with.learn(&from)?;
                let tell = |i: usize| Ok((i, with.tell(&model, &from, i, &|j| plan.far_enough(i, j))?));
                fold.into_iter().filter(|i| tested.binary_search(i).is_ok()).map(tell).collect()
            };
            let folds = plan.folds().into_par_iter().map(fold).collect::<Result<Vec<Vec<_>>, String>>()?;
            let mut told: Vec<(usize, F::Told)> = folds.into_iter().flatten().collect();
            told.sort_by_key(|(i, _)| *i);
            Ok(told.into_iter().map(|(_, told)| told).collect())
        }
    }
}
