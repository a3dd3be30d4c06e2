//! How deep the water stands below ground at the peg, from what the region
//! leads one to expect and from the levels of wells around; metres.
//!
//! All depths given must be of one season (the driest month, say); bringing
//! them there is the caller's part.
//!
//! # The forecast
//! Kriging with a prior mean ([`super::kriging`]) on the scale of the square
//! root of the depth, so that bands are skew as depths are and end at the
//! ground. A well's depth is the region's mean (itself uncertain), plus a
//! part shared with wells within the range (exponential), plus a part of its
//! own (the nugget) which a hole beside it shares, within 50 m at most. Where
//! every well and the peg have an elevation, the depth may follow it: the
//! water table is a subdued replica of the ground (Tóth 1963; from memory),
//! so the depth is expected to grow by 0.3 ± 0.3 m with each metre of height,
//! which is ours.
//!
//! # What is learnt
//! With fewer than 25 wells the region's mean, variances and range stand.
//! From 25 on they are learnt from the wells, drawn towards the region's; and
//! the bands are mended by how far off the forecast of each well from the
//! others was.
//!
//! # Gross errors
//! A well that stands more than 2.5 standard deviations off what the others
//! lead one to expect counts as much less as brings it to that (Huber's
//! weights, Robust Statistics 1981; from memory). Wells of one spot whose
//! depths differ are each taken to be as uncertain as they differ. A depth
//! above ground counts as at ground level.
//!
//! # Where neighbours tell nothing
//! From 25 wells on, nearness must show that it tells something: the depths
//! must be clearly likelier with it than without, and each well must on
//! average be forecast better from its neighbours than by the median of all
//! others. Where not, wells nearby count for no more than wells far away and
//! the forecast is the scatter of all of them; only at distances much shorter
//! than those between the wells, of which they say nothing, does the region's
//! range stand. With fewer than 25 wells the region's figures stand whatever
//! their errors.

mod chain;
mod learn;
mod model;
mod profile;
mod scale;
mod skill;
mod spread;

use std::sync::Arc;

use spread::Spread;

pub use model::WaterTableModel;
pub use profile::{RangeProfile, range_profile};
pub use skill::{LeftOutWell, Skill};

/// What the region leads one to expect of the depth to water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterTablePrior {
    /// Mean depth.
    pub mean_m: f64,
    /// How far the mean of a district may lie from that, one standard
    /// deviation; zero where the mean is certain.
    pub mean_sd_m: f64,
    /// Variance about the district's mean that wells within the range share.
    pub sill_m2: f64,
    /// The range *a* of exp(−*h/a*).
    pub range_m: f64,
    /// Variance of a well of its own.
    pub nugget_m2: f64,
}

impl WaterTablePrior {
    /// The prior with the median `mid_m` and 95 % of its chance between
    /// `low_m` and `high_m` or, where these are not alike, within the wider.
    /// Half of the variance lies between districts, a quarter is shared
    /// within the range and a quarter the wells' own: our split, where a
    /// region says nothing.
    ///
    /// # Errors
    /// When the depths are not finite, not in order or all the same.
    pub fn of_band(low_m: f64, mid_m: f64, high_m: f64, range_m: f64) -> Result<Self, BadWaterTable> {
        let ordered = 0.0 <= low_m && low_m <= mid_m && mid_m <= high_m && low_m < high_m;
        if !(ordered && high_m.is_finite() && range_m.is_finite() && range_m > 0.0) {
            return Err(BadWaterTable::Prior);
        }
        let middle = scale::root(mid_m);
        let side = (middle - scale::root(low_m)).max(scale::root(high_m) - middle);
        let (mean_m, variance) = scale::moments_m(middle, side / HALF_BAND_95);
        Ok(Self {
            mean_m,
            mean_sd_m: (0.5 * variance).sqrt(),
            sill_m2: 0.25 * variance,
            range_m,
            nugget_m2: 0.25 * variance,
        })
    }
}

/// Half the width of a 95 % band in standard deviations.
const HALF_BAND_95: f64 = 1.959_963_984_540_054;

/// The depth to water in a well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// East of some origin.
    pub east_m: f64,
    /// North of it.
    pub north_m: f64,
    /// Depth to water below ground.
    pub depth_m: f64,
    /// Standard deviation of its error.
    pub error_sd_m: f64,
    /// Elevation of the ground.
    pub elevation_m: Option<f64>,
}

/// Where the depth is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// East of the same origin.
    pub east_m: f64,
    /// North of it.
    pub north_m: f64,
    /// Elevation of the ground.
    pub elevation_m: Option<f64>,
}

/// How much is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    /// How many wells nearest to a place make its forecast. Mean and range
    /// are learnt from all.
    pub nearest: usize,
    /// From how many wells on anything is learnt.
    pub least_to_learn: usize,
}

impl Default for Options {
    fn default() -> Self {
        Self { nearest: 48, least_to_learn: 25 }
    }
}

/// What cannot be worked with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum BadWaterTable {
    /// The prior.
    #[error("the prior of the depth to water needs finite depths, some variance and a range above zero")]
    Prior,
    /// A reading.
    #[error("reading {0} of the depth to water holds a number that is not finite or a negative error")]
    Reading(
        /// Its place in the list, from 0.
        usize,
    ),
    /// The place.
    #[error("the place holds a number that is not finite")]
    Place,
    /// The numbers are too far apart to be worked with.
    #[error("the readings and the prior are too far apart for a forecast")]
    Singular,
}

/// What a forecast rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The region's prior alone: there are no wells.
    Prior,
    /// Wells, with the region's mean, variances and range.
    Region,
    /// Wells, with mean, variances and range learnt from them.
    Learnt,
    /// The scatter of the wells, because nearness was seen to tell nothing.
    Pooled,
}

/// How much a reading counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weight {
    /// Its place in the list, from 0.
    pub reading: usize,
    /// Its share of the forecast; what is missing from 1 is the prior's.
    pub weight: f64,
}

/// The depth to water at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct WaterTable {
    /// Mean.
    pub mean_m: f64,
    /// Standard deviation.
    pub sd_m: f64,
    /// Median: the best single value.
    pub median_m: f64,
    /// The ends between which it lies with 80 % chance.
    pub band80_m: [f64; 2],
    /// The same with 95 %.
    pub band95_m: [f64; 2],
    /// The readings that count for 0.5 % or more, the weightiest first.
    pub weights: Vec<Weight>,
    /// Share of the prior's variance that the readings removed, on the scale
    /// of the forecast; below zero where wells scatter more than the region
    /// leads one to expect.
    pub variance_removed: f64,
    /// What it rests on.
    pub basis: Basis,
    centre: f64,
    sd: f64,
    /// The chance below ground level that is cut off.
    cut: f64,
    spread: Arc<Spread>,
}

impl WaterTable {
    /// From a forecast on the scale.
    fn new(
        centre: f64,
        sd: f64,
        spread: Arc<Spread>,
        weights: Vec<Weight>,
        prior_variance: f64,
        basis: Basis,
    ) -> Self {
        let cut = match sd > 0.0 {
            true => spread.chance_below((scale::ground() - centre) / sd).min(1.0 - 1e-6),
            false => 0.0,
        };
        let mut table = Self {
            mean_m: 0.0,
            sd_m: 0.0,
            median_m: 0.0,
            band80_m: [0.0; 2],
            band95_m: [0.0; 2],
            weights,
            variance_removed: 1.0 - sd * sd / prior_variance,
            basis,
            centre,
            sd,
            cut,
            spread,
        };
        table.median_m = table.quantile_m(0.5);
        table.band80_m = [0.1, 0.9].map(|p| table.quantile_m(p));
        table.band95_m = [0.025, 0.975].map(|p| table.quantile_m(p));
        let below = |(q, w): &(f64, f64)| {
            let root = centre + sd * q;
            (root >= scale::ground() || sd <= 0.0).then(|| (scale::depth_m(root), *w))
        };
        let (mut weight, mut sum, mut squares) = (0.0, 0.0, 0.0);
        for (depth, w) in table.spread.nodes().iter().filter_map(below) {
            weight += w;
            sum += w * depth;
            squares += w * depth * depth;
        }
        if weight > 0.0 {
            table.mean_m = sum / weight;
            table.sd_m = (squares / weight - table.mean_m * table.mean_m).max(0.0).sqrt();
        } else {
            table.mean_m = table.median_m;
        }
        table
    }

    /// The depth that is not exceeded with the chance `p`.
    pub fn quantile_m(&self, p: f64) -> f64 {
        let p = if p.is_nan() { 0.5 } else { p.clamp(0.0, 1.0) };
        scale::depth_m(self.centre + self.sd * self.spread.quantile(self.cut + (1.0 - self.cut) * p))
    }

    /// The chance that the water stands less deep than `depth_m`.
    pub fn chance_shallower(&self, depth_m: f64) -> f64 {
        if depth_m <= 0.0 || depth_m.is_nan() {
            return 0.0;
        }
        if self.sd <= 0.0 {
            return f64::from(u8::from(self.median_m < depth_m));
        }
        let below = self.spread.chance_below((scale::root(depth_m) - self.centre) / self.sd);
        ((below - self.cut) / (1.0 - self.cut)).clamp(0.0, 1.0)
    }
}

/// The depth to water at `at`; without readings the prior.
///
/// ```
/// use forebore::ground::water_table::{Options, Place, Reading, WaterTablePrior, depth_to_water};
///
/// let region = WaterTablePrior::of_band(2.0, 8.0, 22.0, 500.0)?;
/// let peg = Place { east_m: 0.0, north_m: 0.0, elevation_m: None };
/// let school_well =
///     Reading { east_m: 120.0, north_m: -40.0, depth_m: 9.2, error_sd_m: 0.3, elevation_m: None };
/// let alone = depth_to_water(&region, &[], peg, Options::default())?;
/// let with = depth_to_water(&region, &[school_well], peg, Options::default())?;
/// assert!(with.sd_m < alone.sd_m && with.median_m > alone.median_m);
/// # Ok::<(), forebore::ground::water_table::BadWaterTable>(())
/// ```
///
/// For many places among the same wells use [`WaterTableModel`], which learns
/// once.
///
/// # Errors
/// When the prior, a reading or the place cannot be used.
pub fn depth_to_water(
    prior: &WaterTablePrior,
    readings: &[Reading],
    at: Place,
    options: Options,
) -> Result<WaterTable, BadWaterTable> {
    WaterTableModel::learn(prior, readings, options)?.at(at)
}

#[cfg(test)]
mod tests;
