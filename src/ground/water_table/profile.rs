//! Over what distance do wells resemble each other, by the wells alone? The
//! likelihood of their depths for each range, greatest over everything else.
//!
//! # The interval
//! Ranges that are less likely than the likeliest by a factor of up to
//! exp(−1.92) (half the 95 % point of χ² with one degree of freedom), the
//! logarithm of the likelihood taken as straight between the ranges tried.
//! An end that is not reached among those is not known.
//! Source: profile likelihood, as in Barndorff-Nielsen & Cox 1994, Inference
//! and Asymptotics (from memory).
//!
//! Nothing here is drawn towards the region's figures.

use rayon::prelude::*;

use super::chain::{Chain, SCORED};
use super::learn::{Learning, TWO_FIGURES};
use super::model::Prepared;
use super::{BadWaterTable, Reading, WaterTablePrior};

/// Half the 95 % point of χ² with one degree of freedom.
const HALF_CHI_SQUARE: f64 = 1.920_729;
/// How many ranges are tried.
const RANGES: i32 = 15;
/// Shares of the variance that wells within the range have in common.
const SHARES: [f64; 9] = [0.05, 0.15, 0.25, 0.4, 0.55, 0.7, 0.85, 0.95, 0.99];
/// Total variances tried, as multiples of the robust one.
const VARIANCES: [f64; 13] = [0.35, 0.45, 0.55, 0.65, 0.8, 0.9, 1.0, 1.15, 1.3, 1.6, 2.0, 2.8, 4.0];

/// What wells say of the range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RangeProfile {
    /// The likeliest range *a* of exp(−*h/a*), metres.
    pub range_m: f64,
    /// The ends of the 95 % interval; `None` where the wells do not say.
    pub low_m: Option<f64>,
    /// The high end.
    pub high_m: Option<f64>,
    /// Share of the variance that wells within the range have in common.
    pub shared: f64,
    /// Whether the wells are likelier with a range than without one, by more
    /// than the two figures that it takes are worth.
    pub nearness_tells: bool,
    /// On how many wells the likelihood is taken.
    pub wells: usize,
}

/// What `readings` say of the range; `None` where they lie on one spot or
/// nothing can be worked out. Of the prior only the mean and the scale of the
/// variance are used.
///
/// # Errors
/// When the prior or a reading cannot be used.
pub fn range_profile(
    prior: &WaterTablePrior,
    readings: &[Reading],
) -> Result<Option<RangeProfile>, BadWaterTable> {
    let Prepared { prior, samples, expected, .. } = Prepared::of(prior, readings)?;
    let learning = Learning { prior: &prior, samples: &samples, expected };
    let (values, variance) = learning.drawn_in();
    let chain = Chain::of(&samples, prior.mean);
    let slopes: &[bool] = if expected.slope_variance > 0.0 { &[false, true] } else { &[false] };
    // The likeliest of all that have that range and one of these shares.
    let likeliest = |range_m: f64, shares: &[f64]| -> Option<(f64, f64)> {
        let conditions = learning.conditions(&chain, range_m);
        let of = |share: &f64| {
            let new = chain.innovations(&conditions, &values, *share, variance)?;
            let each = slopes.iter().flat_map(|with_slope| {
                VARIANCES.map(|f| learning.candidate(&new, *share, range_m, f * variance, *with_slope))
            });
            let most = each.map(|c| c.ln_likelihood).filter(|l| l.is_finite()).max_by(f64::total_cmp)?;
            Some((most, *share))
        };
        shares.iter().filter_map(of).max_by(|a, b| a.0.total_cmp(&b.0))
    };
    let mut ranges = learning.ranges(RANGES);
    // The region's own, first in the list, would be one more to try.
    ranges.remove(0);
    ranges.sort_by(f64::total_cmp);
    let Some((alone, _)) = likeliest(prior.range_m, &[0.0]) else { return Ok(None) };
    let profile: Vec<(f64, f64, f64)> = ranges
        .par_iter()
        .filter_map(|range_m| likeliest(*range_m, &SHARES).map(|(l, share)| (*range_m, l, share)))
        .collect();
    let best = profile.iter().enumerate().max_by(|(_, a), (_, b)| a.1.total_cmp(&b.1));
    let Some((at, &(range_m, most, shared))) = best else { return Ok(None) };
    let floor = most - HALF_CHI_SQUARE;
    let below: Vec<_> = profile.iter().take(at + 1).rev().copied().collect();
    Ok(Some(RangeProfile {
        range_m,
        low_m: crossing(&below, floor),
        high_m: crossing(profile.get(at..).unwrap_or_default(), floor),
        shared,
        nearness_tells: most > alone + TWO_FIGURES,
        wells: samples.len().min(SCORED),
    }))
}

/// Where the profile, from its likeliest range outwards, falls to `floor`.
fn crossing(profile: &[(f64, f64, f64)], floor: f64) -> Option<f64> {
    profile.windows(2).find_map(|pair| {
        let [(near, above, _), (far, below, _)] = pair else { return None };
        (*below <= floor).then(|| {
            let part = (above - floor) / (above - below);
            (near.ln() + part * (far / near).ln()).exp()
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::{Random, normal_quantile};
    use nalgebra::{DMatrix, DVector};

    /// Wells strewn over a square, with depths whose root has that range.
    fn strewn(n: usize, side_m: f64, range_m: f64, shared: f64, seed: u64) -> Vec<Reading> {
        let mut random = Random::of_draw(seed, 0);
        let at: Vec<[f64; 2]> =
            (0..n).map(|_| [random.uniform() * side_m, random.uniform() * side_m]).collect();
        let alike = |i: usize, j: usize| match i == j {
            true => 1.0,
            false => shared * (-(at[i][0] - at[j][0]).hypot(at[i][1] - at[j][1]) / range_m).exp(),
        };
        let factor = DMatrix::from_fn(n, n, alike).cholesky().unwrap();
        let lots = DVector::from_fn(n, |_, _| normal_quantile(random.uniform()));
        let roots = factor.l() * lots;
        at.iter()
            .zip(roots.iter())
            .map(|([east_m, north_m], r)| Reading {
                east_m: *east_m,
                north_m: *north_m,
                depth_m: (3.0 + 0.5 * r).powi(2) - 0.5,
                error_sd_m: 0.05,
                elevation_m: None,
            })
            .collect()
    }

    fn prior() -> WaterTablePrior {
        WaterTablePrior::of_band(2.0, 8.0, 22.0, 500.0).unwrap()
    }

    #[test]
    fn the_interval_holds_the_range_the_wells_were_drawn_with() {
        let mut held = 0;
        for seed in 0..8 {
            let found = range_profile(&prior(), &strewn(250, 20_000.0, 1500.0, 0.9, seed)).unwrap().unwrap();
            assert!(found.nearness_tells, "{found:?}");
            assert!((300.0..7500.0).contains(&found.range_m), "{found:?}");
            let (low, high) = (found.low_m.unwrap(), found.high_m.unwrap());
            held += usize::from(low <= 1500.0 && 1500.0 <= high);
        }
        assert!(held >= 7, "{held} of 8");
    }

    #[test]
    fn wells_drawn_by_lot_have_no_range() {
        let told = (0..6).filter(|seed| {
            let found = range_profile(&prior(), &strewn(150, 20_000.0, 1.0, 0.0, 100 + seed)).unwrap();
            found.unwrap().nearness_tells
        });
        assert!(told.count() <= 1);
    }

    #[test]
    fn wells_on_one_spot_say_nothing_of_a_range() {
        let one = Reading { east_m: 5.0, north_m: 5.0, depth_m: 7.0, error_sd_m: 0.1, elevation_m: None };
        let found = range_profile(&prior(), &[one; 30]).unwrap();
        assert!(found.is_none_or(|f| !f.nearness_tells), "{found:?}");
    }
}
