//! Forecasts of the depth to water, and the plain ones they are measured
//! against: the median of all records that may be used, with the band that
//! holds 80 % of them; the nearest; the eight nearest by inverse distance.

use std::cmp::Ordering;

use rayon::prelude::*;

use super::forecast::Forecaster;
use super::leave_out::Plan;
use super::result::Scores;
use super::scores::{mean, quantile};
use crate::ground::idw::idw;
use crate::ground::water_table::{Options, Place, Reading, WaterTableModel, WaterTablePrior};

/// A depth as it was forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Depth {
    pub median_m: f64,
    pub band80_m: Option<[f64; 2]>,
    pub band95_m: Option<[f64; 2]>,
}

impl Depth {
    fn alone(median_m: f64) -> Self {
        Self { median_m, band80_m: None, band95_m: None }
    }
}

/// The forecast of the depth to water.
pub(super) struct Depths {
    pub prior: WaterTablePrior,
    pub readings: Vec<Reading>,
}

impl Forecaster for Depths {
    type Model = WaterTableModel;
    type Told = Depth;

    fn learn(&self, from: &[usize]) -> Result<WaterTableModel, String> {
        let readings: Vec<Reading> = from.iter().filter_map(|i| self.readings.get(*i)).copied().collect();
        WaterTableModel::learn(&self.prior, &readings, Options::default()).map_err(|e| e.to_string())
    }

    fn tell(
        &self,
        model: &WaterTableModel,
        from: &[usize],
        of: usize,
        may_use: &dyn Fn(usize) -> bool,
    ) -> Result<Depth, String> {
        let at = self.readings.get(of).ok_or("a record is missing")?;
        let place = Place { east_m: at.east_m, north_m: at.north_m, elevation_m: at.elevation_m };
        let skip = |k: usize| !from.get(k).is_some_and(|j| may_use(*j));
        let told = model.at_without(place, skip).map_err(|e| e.to_string())?;
        Ok(Depth { median_m: told.median_m, band80_m: Some(told.band80_m), band95_m: Some(told.band95_m) })
    }

    fn each_from_others(&self, model: &WaterTableModel) -> Option<Vec<Depth>> {
        let told = |l: &crate::ground::water_table::LeftOutWell| Depth {
            median_m: l.median_m,
            band80_m: Some(l.band80_m),
            band95_m: Some(l.band95_m),
        };
        Some(model.left_out().iter().map(told).collect())
    }
}

/// The plain forecasts, by their names.
pub(super) fn baselines(
    plan: &Plan,
    tested: &[usize],
    spots: &[([f64; 2], f64)],
) -> Vec<(&'static str, Vec<Depth>)> {
    let each = |i: &usize| {
        let usable = spots.iter().enumerate().filter(|(j, _)| plan.may_use(*i, *j));
        let mut depths: Vec<f64> = usable.map(|(_, (_, depth))| *depth).collect();
        let mut at = |p| quantile(&mut depths, p).unwrap_or(0.0);
        let (low, median_m, high) = (at(0.1), at(0.5), at(0.9));
        let near: Vec<([f64; 2], f64)> =
            plan.nearest(*i, 8).into_iter().filter_map(|j| spots.get(j)).copied().collect();
        let nearest = near.first().map_or(median_m, |(_, depth)| *depth);
        let weighted = spots.get(*i).and_then(|(at, _)| idw(&near, *at, 2.0, Some(8)));
        [
            Depth { median_m, band80_m: Some([low, high]), band95_m: None },
            Depth::alone(nearest),
            Depth::alone(weighted.unwrap_or(median_m)),
        ]
    };
    let all: Vec<[Depth; 3]> = tested.par_iter().map(each).collect();
    let of = |k: usize| all.iter().filter_map(|d| d.get(k)).copied().collect();
    vec![("median", of(0)), ("nearest", of(1)), ("idw8", of(2))]
}

/// The scores of forecasts against what was read. Water above ground counts
/// as at ground level for the bands, which end there.
pub(super) fn scores(told: &[Depth], seen: &[f64]) -> Scores {
    let pairs = || told.iter().zip(seen);
    let bands: Vec<([f64; 2], f64)> = pairs().filter_map(|(t, s)| Some((t.band80_m?, s.max(0.0)))).collect();
    let whole = bands.len() == told.len();
    Scores {
        mae_m: mean(errors(told, seen).into_iter()),
        band80_coverage: mean(bands.iter().map(|(band, s)| inside(*band, *s))).filter(|_| whole),
        band80_width_m: mean(bands.iter().map(|([low, high], _)| high - low)).filter(|_| whole),
        ..Scores::default()
    }
}

/// The share inside the 95 % band.
pub(super) fn band95_coverage(told: &[Depth], seen: &[f64]) -> Option<f64> {
    let bands: Vec<f64> =
        told.iter().zip(seen).filter_map(|(t, s)| Some(inside(t.band95_m?, s.max(0.0)))).collect();
    mean(bands.into_iter())
}

/// The absolute error of each.
pub(super) fn errors(told: &[Depth], seen: &[f64]) -> Vec<f64> {
    told.iter().zip(seen).map(|(t, s)| (t.median_m - s).abs()).collect()
}

fn inside([low, high]: [f64; 2], seen: f64) -> f64 {
    let within = low.total_cmp(&seen) != Ordering::Greater && seen.total_cmp(&high) != Ordering::Greater;
    f64::from(u8::from(within))
}
