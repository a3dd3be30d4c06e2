//! How well wells forecast each other, against estimates anybody can make.

use super::model::Forecast;
use super::spread::Spread;
use super::{Reading, scale};
use crate::ground::idw::idw_leave_one_out;

/// With fewer wells their errors say nothing.
const LEAST: usize = 10;

/// A well forecast from the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOutWell {
    /// Its place in the list, from 0.
    pub reading: usize,
    /// What was read.
    pub depth_m: f64,
    /// The forecast's median.
    pub median_m: f64,
    /// The ends between which the reading lies with 80 % chance by the
    /// forecast.
    pub band80_m: [f64; 2],
    /// The same with 95 %.
    pub band95_m: [f64; 2],
}

/// How well the depths of wells are forecast from the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skill {
    /// How many wells.
    pub wells: usize,
    /// Mean absolute error of the forecast from nearness.
    pub mae_m: f64,
    /// The same of the median of the other wells.
    pub mae_median_m: f64,
    /// The same of the 8 nearest, weighted by 1/distance².
    pub mae_idw8_m: f64,
    /// Share of the wells inside the 80 % band of what is forecast.
    pub coverage80: f64,
    /// The forecast from nearness is better than the median and, where the
    /// wells are enough to learn from, they are clearly likelier with
    /// something in common by nearness than without. False does not mean
    /// that it was shown to be useless.
    pub carries_skill: bool,
}

/// Forecasts in metres; bands as if the well's own error had not been seen.
pub(super) fn left_out(forecasts: &[Forecast], readings: &[Reading], spread: &Spread) -> Vec<LeftOutWell> {
    forecasts
        .iter()
        .zip(readings)
        .enumerate()
        .map(|(reading, (f, r))| {
            let at = |p: f64| scale::depth_m(f.mean + f.sd * spread.quantile_without(p, f.standardised));
            LeftOutWell {
                reading,
                depth_m: r.depth_m,
                median_m: at(0.5),
                band80_m: [at(0.1), at(0.9)],
                band95_m: [at(0.025), at(0.975)],
            }
        })
        .collect()
}

/// The share of wells inside their 80 % band; water above ground counts as at
/// ground level.
pub(super) fn coverage80(left_out: &[LeftOutWell]) -> f64 {
    let inside = left_out.iter().filter(|l| {
        let [low, high] = l.band80_m;
        (low..=high).contains(&l.depth_m.max(0.0))
    });
    inside.count() as f64 / left_out.len().max(1) as f64
}

pub(super) fn of(left_out: &[LeftOutWell], readings: &[Reading]) -> Option<Skill> {
    let n = left_out.len();
    if n < LEAST {
        return None;
    }
    let spots: Vec<([f64; 2], f64)> = readings.iter().map(|r| ([r.east_m, r.north_m], r.depth_m)).collect();
    let mean = |errors: &[f64]| errors.iter().sum::<f64>() / n as f64;
    let errors: Vec<f64> = left_out.iter().map(|l| (l.depth_m - l.median_m).abs()).collect();
    let medians = medians_of_others(readings);
    let of_median: Vec<f64> = readings.iter().zip(medians).map(|(r, m)| (r.depth_m - m).abs()).collect();
    let of_idw: Vec<f64> = idw_leave_one_out(&spots, 2.0, Some(8))
        .into_iter()
        .zip(readings)
        .filter_map(|(estimate, r)| Some((r.depth_m - estimate?).abs()))
        .collect();
    let better: Vec<f64> = of_median.iter().zip(&errors).map(|(m, e)| m - e).collect();
    let gain = mean(&better);
    let variance = better.iter().map(|b| (b - gain).powi(2)).sum::<f64>() / (n - 1) as f64;
    Some(Skill {
        wells: n,
        mae_m: mean(&errors),
        mae_median_m: mean(&of_median),
        mae_idw8_m: mean(&of_idw),
        coverage80: coverage80(left_out),
        carries_skill: gain > 0.0 && gain >= (variance / n as f64).sqrt(),
    })
}

/// For each reading the median of all others.
fn medians_of_others(readings: &[Reading]) -> Vec<f64> {
    let mut sorted: Vec<f64> = readings.iter().map(|r| r.depth_m).collect();
    sorted.sort_by(f64::total_cmp);
    let without = |rank: usize| {
        // The two middle ones of n − 1, counted past the one left out.
        let n = sorted.len() - 1;
        let at = |k: usize| sorted.get(k + usize::from(k >= rank)).copied().unwrap_or(0.0);
        0.5 * (at(n.saturating_sub(1) / 2) + at(n / 2))
    };
    readings.iter().map(|r| without(sorted.partition_point(|d| *d < r.depth_m))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::water_table::learn;

    #[test]
    fn the_median_of_the_others_leaves_out_the_well_itself() {
        let reading =
            |depth_m| Reading { east_m: 0.0, north_m: 0.0, depth_m, error_sd_m: 0.0, elevation_m: None };
        for depths in [&[3.0, 1.0, 2.0, 9.0][..], &[3.0, 1.0, 2.0, 9.0, 2.0], &[4.0, 4.0, 4.0]] {
            let readings: Vec<Reading> = depths.iter().map(|d| reading(*d)).collect();
            for (i, got) in medians_of_others(&readings).into_iter().enumerate() {
                let mut others = depths.to_vec();
                others.remove(i);
                assert!((got - learn::median(&others)).abs() < 1e-15);
            }
        }
    }
}
