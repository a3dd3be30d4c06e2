//! Wells made ready to forecast the depth to water among them.

use std::sync::Arc;

use super::chain::nearest_first;
use super::learn::{Field, Learning};
use super::scale::{self, RootPrior};
use super::skill::{self, LeftOutWell, Skill};
use super::spread::Spread;
use super::{BadWaterTable, Basis, Options, Place, Reading, WaterTable, WaterTablePrior, Weight};
use crate::ground::kriging::{Expected, Kriging, Sample, Spot};

/// A well that stands farther off than so many standard deviations counts
/// less.
const GROSS: f64 = 2.5;
/// With fewer wells none can be called the one in error.
const LEAST_TO_DOUBT: usize = 4;
/// What the depth is expected to grow by with each metre of height, and how
/// uncertain that is.
const GROWS: (f64, f64) = (0.3, 0.3);
/// Heights beyond those of the wells by more than this count as this.
const BEYOND_M: f64 = 30.0;
/// Readings of weights below this are not named.
const NAMED: f64 = 0.005;

/// Wells with what was learnt from them.
#[derive(Debug, Clone)]
pub struct WaterTableModel {
    prior: RootPrior,
    nearest: usize,
    heights: Option<Heights>,
    /// On the scale of the forecast; errors with what was added for gross
    /// ones.
    samples: Vec<Sample>,
    field: Field,
    spread: Arc<Spread>,
    basis: Basis,
    left_out: Vec<LeftOutWell>,
    skill: Option<Skill>,
}

/// How high the wells lie.
#[derive(Debug, Clone, Copy)]
struct Heights {
    mean_m: f64,
    variance_m2: f64,
    low_m: f64,
    high_m: f64,
}

impl Heights {
    /// Known only where every reading has one.
    fn of(readings: &[Reading]) -> Option<Self> {
        let heights: Vec<f64> = readings.iter().map(|r| r.elevation_m).collect::<Option<_>>()?;
        let n = heights.len() as f64;
        let mean_m = heights.iter().sum::<f64>() / n;
        (!heights.is_empty()).then(|| Self {
            mean_m,
            variance_m2: heights.iter().map(|h| (h - mean_m).powi(2)).sum::<f64>() / n,
            low_m: heights.iter().copied().fold(f64::INFINITY, f64::min),
            high_m: heights.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        })
    }

    /// A height relative to the mean, not too far beyond those of the wells.
    fn relative(&self, elevation_m: f64) -> f64 {
        elevation_m.clamp(self.low_m - BEYOND_M, self.high_m + BEYOND_M) - self.mean_m
    }
}

/// Readings made ready, on the scale of the forecast.
pub(super) struct Prepared {
    pub(super) prior: RootPrior,
    heights: Option<Heights>,
    readings: Vec<Reading>,
    pub(super) samples: Vec<Sample>,
    pub(super) expected: Field,
}

impl Prepared {
    pub(super) fn of(prior: &WaterTablePrior, readings: &[Reading]) -> Result<Self, BadWaterTable> {
        let prior = RootPrior::of(prior)?;
        check(readings)?;
        let heights = Heights::of(readings);
        let readings = as_uncertain_as_they_differ(readings);
        let samples: Vec<Sample> = readings.iter().map(|r| sample(r, heights)).collect();
        let per_metre = if heights.is_some() { scale::per_metre(scale::depth_m(prior.mean)) } else { 0.0 };
        let expected = Field {
            mean: prior.mean,
            mean_variance: prior.mean_variance,
            slope: GROWS.0 * per_metre,
            slope_variance: (GROWS.1 * per_metre).powi(2),
            sill: prior.sill,
            nugget: prior.nugget,
            range_m: prior.range_m,
        };
        Ok(Self { prior, heights, readings, samples, expected })
    }
}

/// One reading forecast from the others, on the scale.
#[derive(Debug, Clone, Copy)]
pub(super) struct Forecast {
    pub(super) mean: f64,
    /// With the reading's own error.
    pub(super) sd: f64,
    /// Read less forecast, in standard deviations.
    pub(super) standardised: f64,
}

impl WaterTableModel {
    /// Learns from `readings` what they tell.
    ///
    /// # Errors
    /// When the prior or a reading cannot be used.
    pub fn learn(
        prior: &WaterTablePrior,
        readings: &[Reading],
        options: Options,
    ) -> Result<Self, BadWaterTable> {
        let Prepared { prior, heights, readings, samples, expected } = Prepared::of(prior, readings)?;
        let learning = Learning { prior: &prior, samples: &samples, expected };
        let enough = samples.len() >= options.least_to_learn.max(2);
        let learnt = enough.then(|| learning.learn());
        let basis = match samples.len() {
            0 => Basis::Prior,
            _ if enough => Basis::Learnt,
            _ => Basis::Region,
        };
        let model = Self {
            prior,
            nearest: options.nearest.max(1),
            heights,
            samples: samples.clone(),
            field: learnt.map_or(expected, |l| l.field),
            spread: Arc::new(Spread::normal()),
            basis,
            left_out: Vec::new(),
            skill: None,
        };
        let mut nearness = model.clone().calibrated(&readings, enough)?;
        let Some(learnt) = learnt else { return Ok(nearness) };
        let gains = |s: &Skill| s.mae_m < s.mae_median_m;
        if learnt.nearness_tells && nearness.skill.as_ref().is_some_and(gains) {
            if let Some(skill) = &mut nearness.skill {
                skill.carries_skill = true;
            }
            return Ok(nearness);
        }
        let pooled = Self { field: learning.pooled(), basis: Basis::Pooled, ..model };
        let mut pooled = pooled.calibrated(&readings, enough)?;
        // What was tried and found wanting is what is told.
        let coverage80 = skill::coverage80(&pooled.left_out);
        pooled.skill = nearness.skill.map(|s| Skill { coverage80, carries_skill: false, ..s });
        Ok(pooled)
    }

    /// Doubts gross readings and, with enough of them, mends the spread by
    /// forecasts of each from the others.
    fn calibrated(mut self, readings: &[Reading], enough: bool) -> Result<Self, BadWaterTable> {
        let own: Vec<f64> = self.samples.iter().map(|s| s.error_sd).collect();
        let near: Vec<Vec<usize>> = (0..self.samples.len())
            .map(|i| self.samples.get(i).map_or(vec![], |s| self.nearest_to(&s.spot, |j| j == i)))
            .collect();
        if self.samples.len() >= LEAST_TO_DOUBT {
            let forecasts = self.forecasts(&own, &near)?;
            for (sample, f) in self.samples.iter_mut().zip(forecasts) {
                let beyond = (f.standardised / GROSS).powi(2) - 1.0;
                if beyond > 0.0 {
                    sample.error_sd = (sample.error_sd.powi(2) + f.sd * f.sd * beyond).sqrt();
                }
            }
        }
        let forecasts = self.forecasts(&own, &near)?;
        if enough {
            self.spread = Arc::new(Spread::of(forecasts.iter().map(|f| f.standardised).collect()));
        }
        self.left_out = skill::left_out(&forecasts, readings, &self.spread);
        self.skill = skill::of(&self.left_out, readings);
        Ok(self)
    }

    /// Each reading forecast from its nearest others.
    fn forecasts(&self, own: &[f64], near: &[Vec<usize>]) -> Result<Vec<Forecast>, BadWaterTable> {
        let each = self.samples.iter().zip(own).zip(near).map(|((sample, own), near)| {
            let expected = self.expected(sample.spot, near, 0.0)?;
            let sd = (expected.variance + own * own).sqrt().max(1e-9);
            Ok(Forecast { mean: expected.mean, sd, standardised: (sample.value - expected.mean) / sd })
        });
        each.collect()
    }

    /// The nearest readings that are not skipped, nearest first.
    fn nearest_to(&self, spot: &Spot, skip: impl Fn(usize) -> bool) -> Vec<usize> {
        let mut near: Vec<(f64, usize)> = self
            .samples
            .iter()
            .enumerate()
            .filter(|(i, _)| !skip(*i))
            .map(|(i, s)| (s.spot.distance(spot), i))
            .collect();
        nearest_first(&mut near, self.nearest);
        near.into_iter().map(|(_, i)| i).collect()
    }

    /// What is expected at `spot`, the variance of its height unknown by
    /// `height_variance_m2`.
    fn expected(
        &self,
        spot: Spot,
        near: &[usize],
        height_variance_m2: f64,
    ) -> Result<Expected, BadWaterTable> {
        let field = &self.field;
        let variogram = field.variogram().map_err(|_| BadWaterTable::Singular)?;
        let samples: Vec<Sample> = near.iter().filter_map(|i| self.samples.get(*i)).copied().collect();
        let kriging =
            Kriging::new(variogram, field.trend(), &samples).map_err(|_| BadWaterTable::Singular)?;
        let mut expected = kriging.at(spot).map_err(|_| BadWaterTable::Place)?;
        expected.variance += height_variance_m2 * (field.slope * field.slope + field.slope_variance);
        let sound = expected.mean.is_finite() && expected.variance.is_finite() && expected.mean.abs() < 1e6;
        if sound { Ok(expected) } else { Err(BadWaterTable::Singular) }
    }

    /// The depth to water at a place.
    ///
    /// # Errors
    /// When the place is not finite.
    pub fn at(&self, place: Place) -> Result<WaterTable, BadWaterTable> {
        self.at_without(place, |_| false)
    }

    /// The same without the readings that `skip` names by their place in the
    /// list: what was learnt from all stands, for blocks left out.
    ///
    /// # Errors
    /// When the place is not finite.
    pub fn at_without(
        &self,
        place: Place,
        skip: impl Fn(usize) -> bool,
    ) -> Result<WaterTable, BadWaterTable> {
        let Place { east_m, north_m, elevation_m } = place;
        let numbers = [east_m, north_m, elevation_m.unwrap_or(0.0)];
        if !numbers.iter().all(|v| v.is_finite() && v.abs() < 1e9) {
            return Err(BadWaterTable::Place);
        }
        let (external, unknown) = match (self.heights, elevation_m) {
            (Some(h), Some(e)) => (h.relative(e), 0.0),
            (Some(h), None) => (0.0, h.variance_m2),
            (None, _) => (0.0, 0.0),
        };
        let spot = Spot { at: [east_m, north_m], external };
        let near = self.nearest_to(&spot, skip);
        let expected = self.expected(spot, &near, unknown)?;
        let mut weights: Vec<Weight> = near
            .iter()
            .zip(&expected.weights)
            .map(|(reading, weight)| Weight { reading: *reading, weight: *weight })
            .filter(|w| w.weight.abs() >= NAMED)
            .collect();
        weights.sort_by(|a, b| b.weight.abs().total_cmp(&a.weight.abs()).then(a.reading.cmp(&b.reading)));
        Ok(WaterTable::new(
            expected.mean,
            expected.variance.sqrt(),
            Arc::clone(&self.spread),
            weights,
            self.prior.total(),
            self.basis,
        ))
    }

    /// What forecasts rest on.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// Every reading forecast from the others, in the order given. Mean and
    /// range were learnt with it.
    pub fn left_out(&self) -> &[LeftOutWell] {
        &self.left_out
    }

    /// How well the readings forecast each other; `None` with fewer than ten.
    pub fn skill(&self) -> Option<Skill> {
        self.skill
    }

    /// The share of the variance about the mean that wells within the range
    /// have in common, and the range in metres.
    pub fn nearness(&self) -> (f64, f64) {
        (self.field.sill / (self.field.sill + self.field.nugget), self.field.range_m)
    }
}

fn check(readings: &[Reading]) -> Result<(), BadWaterTable> {
    let bad = |r: &Reading| {
        let numbers = [r.east_m, r.north_m, r.depth_m, r.error_sd_m, r.elevation_m.unwrap_or(0.0)];
        !numbers.iter().all(|v| v.is_finite() && v.abs() < 1e9) || r.error_sd_m < 0.0
    };
    readings.iter().position(bad).map_or(Ok(()), |i| Err(BadWaterTable::Reading(i)))
}

fn sample(reading: &Reading, heights: Option<Heights>) -> Sample {
    let height = heights.zip(reading.elevation_m).map_or(0.0, |(h, e)| h.relative(e));
    Sample {
        spot: Spot { at: [reading.east_m, reading.north_m], external: height },
        value: scale::root(reading.depth_m),
        error_sd: scale::error(reading),
    }
}

/// Readings of one spot (to the metre) that differ: each gets at least their
/// standard deviation as its error.
fn as_uncertain_as_they_differ(readings: &[Reading]) -> Vec<Reading> {
    let mut readings = readings.to_vec();
    let mut by_spot: std::collections::BTreeMap<(i64, i64), Vec<usize>> = std::collections::BTreeMap::new();
    for (i, r) in readings.iter().enumerate() {
        by_spot.entry((r.east_m.round() as i64, r.north_m.round() as i64)).or_default().push(i);
    }
    for group in by_spot.values().filter(|g| g.len() > 1) {
        let depths: Vec<f64> = group.iter().filter_map(|i| readings.get(*i)).map(|r| r.depth_m).collect();
        let mean = depths.iter().sum::<f64>() / depths.len() as f64;
        let sd = (depths.iter().map(|d| (d - mean).powi(2)).sum::<f64>() / (depths.len() - 1) as f64).sqrt();
        for i in group {
            if let Some(reading) = readings.get_mut(*i) {
                reading.error_sd_m = reading.error_sd_m.max(sd);
            }
        }
    }
    readings
}
