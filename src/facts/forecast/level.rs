//! How deep the water stands at the peg in the driest month of a dry year, by
//! kriging from all wells; metres below ground.
//!
//! Wells are brought to the driest month of an average year, as far as their
//! dates, the region's calendar and swing allow; what is not known of that is
//! error of the reading. The allowance for a dry year is added afterwards,
//! because all wells of a place share it. Where both have a spread, a
//! quantile lies as far from the middle as the root of the sum of squares.

use super::Near;
use super::swing::{self, ObservedSwing};
use crate::diag::Origin;
use crate::facts::near::well_name;
use crate::facts::{AskKind, Missing, SiteFacts};
use crate::ground::water_table::{
    Options, Place, Reading, Skill, WaterTable, WaterTableModel, WaterTablePrior,
};
use crate::ground::{LevelPriors, level_at_peg};
use crate::units::Part;

/// Half the width of a 95 % band in standard deviations.
const HALF_BAND_95: f64 = 1.959_963_984_540_054;

/// The depth to water at the peg.
#[derive(Debug, Clone)]
pub struct LevelForecast {
    /// In the driest month of an average year.
    pub average_year: WaterTable,
    /// The same without any well.
    pub prior: WaterTable,
    /// How much lower the water stands in a dry year.
    pub drought_m: Part,
    /// The wells, nearest first.
    pub wells: Vec<WellInForecast>,
    /// How well the wells forecast each other, where there are enough.
    pub skill: Option<Skill>,
    /// The year's swing, where wells were read in both seasons.
    pub swing: Option<ObservedSwing>,
}

/// A well in the forecast.
#[derive(Debug, Clone, PartialEq)]
pub struct WellInForecast {
    /// What people call it.
    pub name: String,
    /// Where it was written.
    pub from: Origin,
    /// From the peg.
    pub distance_m: f64,
    /// Its depth to water in the driest month of an average year.
    pub depth_m: f64,
    /// One standard deviation of its error.
    pub error_sd_m: f64,
    /// Its share of the forecast.
    pub weight: f64,
}

impl LevelForecast {
    /// The depth in a dry year that is not exceeded with the chance `p`.
    pub fn dry_year_m(&self, p: f64) -> f64 {
        let middle = self.average_year.median_m;
        let from_middle = self.average_year.quantile_m(p) - middle;
        let drought_sd = (self.drought_m.high - self.drought_m.low) / (2.0 * HALF_BAND_95);
        let drought = crate::stats::normal_quantile(p.clamp(1e-9, 1.0 - 1e-9)) * drought_sd;
        let both = from_middle.hypot(drought) * if from_middle + drought < 0.0 { -1.0 } else { 1.0 };
        (middle + self.drought_m.value + both).max(0.0)
    }
}

pub(super) fn forecast(s: &SiteFacts, near: &[Near<'_>]) -> Result<LevelForecast, Missing> {
    let region = LevelPriors::of(s.region()).map_err(crate::facts::site::no_prior)?;
    let same_place_m = s.prior("trial_bore_radius_m")?;
    let swing = swing::observed(near, s.months(), &region, same_place_m);
    let priors = match &swing {
        Some(seen) => region.with_swing(seen.low_m, seen.high_m),
        None => region.clone(),
    };
    let average = priors.of_an_average_year();
    let here = Part { low: 0.0, value: 0.0, high: 0.0 };
    let mut read: Vec<(Near<'_>, Part)> = Vec::new();
    for n in near {
        let Some(level) = level_at_peg(n.well, &here, true, s.months(), &average) else { continue };
        let level = level.dry;
        // Of two records of one well the surer stands for it.
        let width = |p: &Part| p.high - p.low;
        match read.iter_mut().find(|(m, _)| swing::same_well(m, n, same_place_m)) {
            Some(old) if width(&level) < width(&old.1) => *old = (*n, level),
            Some(_) => {}
            None => read.push((*n, level)),
        }
    }
    let readings: Vec<Reading> = read
        .iter()
        .map(|(n, level)| Reading {
            east_m: n.east_north_m[0],
            north_m: n.east_north_m[1],
            depth_m: level.value,
            error_sd_m: (level.high - level.low) / (2.0 * HALF_BAND_95),
            elevation_m: n.well.elevation_m.as_ref().map(|e| e.value),
        })
        .collect();
    let unusable = |e: &dyn std::fmt::Display| {
        Missing::new(AskKind::Write, format!("Correct the figures of the water level: {e}."))
    };
    let prior = WaterTablePrior::of_band(
        s.prior("level_prior_low_m")?,
        s.prior("level_prior_mid_m")?,
        s.prior("level_prior_high_m")?,
        s.prior("level_range_m")?,
    )
    .map_err(|e| unusable(&e))?;
    let elevation_m = s.site.peg.elevation_m.as_ref().map(|e| e.value);
    let place = Place { east_m: 0.0, north_m: 0.0, elevation_m };
    let options = Options::default();
    let alone =
        WaterTableModel::learn(&prior, &[], options).and_then(|m| m.at(place)).map_err(|e| unusable(&e))?;
    let model = WaterTableModel::learn(&prior, &readings, options).map_err(|e| unusable(&e))?;
    let average_year = model.at(place).map_err(|e| unusable(&e))?;
    let weight_of = |i: usize| average_year.weights.iter().find(|w| w.reading == i).map_or(0.0, |w| w.weight);
    let wells = read
        .iter()
        .zip(&readings)
        .enumerate()
        .map(|(i, ((n, level), reading))| WellInForecast {
            name: well_name(n.well),
            from: n.well.from.clone(),
            distance_m: n.distance_m,
            depth_m: level.value,
            error_sd_m: reading.error_sd_m,
            weight: weight_of(i),
        })
        .collect();
    let (low, high) = priors.drought_m();
    let drought_m = Part { low, value: f64::midpoint(low, high), high };
    let skill = model.skill();
    Ok(LevelForecast { average_year, prior: alone, drought_m, wells, skill, swing })
}
