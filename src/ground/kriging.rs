//! What is to be expected at a place from readings around it, how uncertain
//! that is, and which reading counts how much.
//!
//! With *C* the covariances of the readings (the variogram's, and on the
//! diagonal the square of each reading's error), *c* theirs with the place,
//! *F* and *f* the values of the trend at the readings and at the place:
//!
//! - known trend (simple kriging, the same as Gaussian-process regression):
//!   *λ = C⁻¹ c*, variance *C(0) − cᵀλ*;
//! - unknown trend (ordinary and universal kriging):
//!   *λ = C⁻¹ (c + F (FᵀC⁻¹F)⁻¹ u)*, variance *C(0) − cᵀC⁻¹c +
//!   uᵀ(FᵀC⁻¹F)⁻¹u*, *u = f − FᵀC⁻¹c*.
//!
//! What is forecast is the quantity itself at the place, so *C(0)* holds the
//! nugget but no error of reading. Where a reading has no error it is met
//! exactly at its own place.
//!
//! Units are those of the coordinates and readings given. Source: Cressie
//! 1993, Statistics for Spatial Data, sections 3.2 and 3.4; leaving one out
//! by one inverse after Dubrule 1983, Mathematical Geology 15(6) (both from
//! memory).

use nalgebra::{DMatrix, DVector};

use super::variogram::Variogram;
use crate::stats::Factor;

/// A place with what may drive the trend there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// East and north.
    pub at: [f64; 2],
    /// The external variable (an elevation), for a trend that follows it.
    pub external: f64,
}

impl Spot {
    /// A place without external variable.
    pub fn new(at: [f64; 2]) -> Self {
        Self { at, external: 0.0 }
    }

    /// How far it is to `other` in the plane.
    pub fn distance(&self, other: &Spot) -> f64 {
        let ([x, y], [u, v]) = (self.at, other.at);
        ((x - u).powi(2) + (y - v).powi(2)).sqrt()
    }
}

/// A reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Where.
    pub spot: Spot,
    /// What was read.
    pub value: f64,
    /// Standard deviation of the error of reading.
    pub error_sd: f64,
}

/// What the readings scatter about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Trend {
    /// A mean and a slope on the external variable, each known as well as its
    /// variance says (zero: exactly). With variances of zero simple kriging.
    Prior {
        /// The mean where the external variable is zero.
        mean: f64,
        /// How uncertain the mean is.
        mean_variance: f64,
        /// Change with each unit of the external variable.
        slope: f64,
        /// How uncertain the slope is.
        slope_variance: f64,
    },
    /// A mean of which nothing is known (ordinary kriging).
    Constant,
    /// A plane of which nothing is known (universal kriging).
    Plane,
    /// A constant and a slope on the external variable, both unknown.
    External,
    /// Both, unknown.
    PlaneAndExternal,
}

impl Trend {
    /// A mean that is known exactly.
    pub fn known(mean: f64) -> Self {
        Trend::Prior { mean, mean_variance: 0.0, slope: 0.0, slope_variance: 0.0 }
    }

    /// What is expected before any reading.
    fn expected(&self, spot: &Spot) -> f64 {
        match self {
            Trend::Prior { mean, slope, .. } => mean + slope * spot.external,
            _ => 0.0,
        }
    }

    /// What two places have in common because the trend is uncertain.
    fn covariance(&self, a: &Spot, b: &Spot) -> f64 {
        match self {
            Trend::Prior { mean_variance, slope_variance, .. } => {
                mean_variance + slope_variance * a.external * b.external
            }
            _ => 0.0,
        }
    }

    fn is_sound(&self) -> bool {
        match *self {
            Trend::Prior { mean, mean_variance, slope, slope_variance } => {
                mean.is_finite()
                    && slope.is_finite()
                    && [mean_variance, slope_variance].iter().all(|v| v.is_finite() && *v >= 0.0)
            }
            _ => true,
        }
    }
}

/// Why nothing can be expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoKriging {
    /// A coordinate, value, error or part of the trend is not a finite number
    /// or a variance is negative.
    #[error("a number is not finite or a variance is negative")]
    NotFinite,
    /// An unknown trend needs more readings, or readings that differ in place
    /// or external variable.
    #[error("the readings do not settle the trend")]
    TrendNotSettled,
    /// The covariance has no factor.
    #[error("the covariance of the readings is singular")]
    Singular,
}

/// What is expected at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// The best value.
    pub mean: f64,
    /// Its variance, with the nugget and without error of reading.
    pub variance: f64,
    /// How much each reading counts, in the order given.
    pub weights: Vec<f64>,
}

/// A reading forecast from the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOut {
    /// What was read less what was expected.
    pub error: f64,
    /// Variance of that error, with the reading's own.
    pub variance: f64,
}

/// Readings made ready to forecast from.
#[derive(Debug, Clone)]
pub struct Kriging {
    variogram: Variogram,
    trend: Trend,
    frame: Frame,
    spots: Vec<Spot>,
    values: DVector<f64>,
    covariance: Factor,
    /// *C⁻¹ z* for known, generalised least squares residuals for unknown
    /// trends.
    spread: DVector<f64>,
    drift: Option<Drift>,
}

/// An unknown trend fitted to the readings.
#[derive(Debug, Clone)]
struct Drift {
    /// *C⁻¹ F*.
    solved: DMatrix<f64>,
    /// *FᵀC⁻¹F*.
    normal: Factor,
    /// The fitted coefficients.
    coefficients: DVector<f64>,
}

impl Kriging {
    /// Makes `samples` ready.
    ///
    /// # Errors
    /// When a number is not finite, an unknown trend is not settled by the
    /// readings, or the covariance is singular.
    pub fn new(variogram: Variogram, trend: Trend, samples: &[Sample]) -> Result<Self, NoKriging> {
        let sound = |s: &Sample| {
            let [x, y] = s.spot.at;
            [x, y, s.spot.external, s.value, s.error_sd].iter().all(|v| v.is_finite()) && s.error_sd >= 0.0
        };
        if !trend.is_sound() || !samples.iter().all(sound) {
            return Err(NoKriging::NotFinite);
        }
        let n = samples.len();
        let spots: Vec<Spot> = samples.iter().map(|s| s.spot).collect();
        let matrix = DMatrix::from_fn(n, n, |i, j| match (samples.get(i), samples.get(j)) {
            (Some(a), Some(b)) if i == j => {
                variogram.total() + trend.covariance(&a.spot, &b.spot) + a.error_sd * a.error_sd
            }
            (Some(a), Some(b)) if i > j => {
                variogram.covariance(a.spot.distance(&b.spot)) + trend.covariance(&a.spot, &b.spot)
            }
            // Only the lower triangle is read.
            _ => 0.0,
        });
        let covariance = Factor::new(&matrix).ok_or(NoKriging::Singular)?;
        let values = DVector::from_iterator(n, samples.iter().map(|s| s.value - trend.expected(&s.spot)));
        let frame = Frame::over(&spots);
        let drift = match frame.functions(trend) {
            0 => None,
            p => Some(Drift::fit(&covariance, &frame.matrix(trend, &spots, p), &values)?),
        };
        let residual = match &drift {
            None => values.clone(),
            Some(drift) => {
                &values - frame.matrix(trend, &spots, drift.coefficients.len()) * &drift.coefficients
            }
        };
        let spread = covariance.solve(&residual);
        Ok(Self { variogram, trend, frame, spots, values, covariance, spread, drift })
    }

    /// What is expected at `spot`.
    ///
    /// # Errors
    /// When `spot` is not finite.
    pub fn at(&self, spot: Spot) -> Result<Expected, NoKriging> {
        let [x, y] = spot.at;
        if ![x, y, spot.external].iter().all(|v| v.is_finite()) {
            return Err(NoKriging::NotFinite);
        }
        let shared =
            |s: &Spot| self.variogram.covariance(s.distance(&spot)) + self.trend.covariance(s, &spot);
        let common = DVector::from_iterator(self.spots.len(), self.spots.iter().map(shared));
        let mut weights = self.covariance.solve(&common);
        let alone = self.variogram.total() + self.trend.covariance(&spot, &spot);
        let mut variance = alone - common.dot(&weights);
        let mut mean = self.trend.expected(&spot) + common.dot(&self.spread);
        if let Some(drift) = &self.drift {
            let here = self.frame.row(self.trend, &spot);
            let missing = &here - drift.solved.tr_mul(&common);
            let mended = drift.normal.solve(&missing);
            weights += &drift.solved * &mended;
            variance += missing.dot(&mended);
            mean += here.dot(&drift.coefficients);
        }
        Ok(Expected { mean, variance: variance.max(0.0), weights: weights.iter().copied().collect() })
    }

    /// Each reading forecast from all others, by one inverse of the whole.
    pub fn leave_one_out(&self) -> Vec<LeftOut> {
        let mut inverse = self.covariance.inverse();
        if let Some(drift) = &self.drift {
            inverse -= &drift.solved * drift.normal.solve_many(&drift.solved.transpose());
        }
        let solved = &inverse * &self.values;
        solved
            .iter()
            .zip(inverse.diagonal().iter())
            .map(|(z, q)| LeftOut { error: z / q, variance: 1.0 / q })
            .collect()
    }
}

impl Drift {
    fn fit(covariance: &Factor, trend: &DMatrix<f64>, values: &DVector<f64>) -> Result<Self, NoKriging> {
        // Columns that repeat each other leave the trend open; said before
        // the factoring, which would mend it by a jitter.
        if trend.nrows() < trend.ncols() || trend.rank(1e-9 * trend.amax().max(1.0)) < trend.ncols() {
            return Err(NoKriging::TrendNotSettled);
        }
        let solved = covariance.solve_many(trend);
        let normal = Factor::new(&trend.tr_mul(&solved)).ok_or(NoKriging::TrendNotSettled)?;
        let coefficients = normal.solve(&solved.tr_mul(values));
        Ok(Self { solved, normal, coefficients })
    }
}

/// Where the readings lie and how widely: an unknown trend is fitted in a
/// frame of their own, which changes nothing but the rounding.
#[derive(Debug, Clone, Copy)]
struct Frame {
    centre: [f64; 3],
    width: [f64; 3],
}

impl Frame {
    fn over(spots: &[Spot]) -> Self {
        let axis = |get: fn(&Spot) -> f64| {
            let low = spots.iter().map(get).fold(f64::INFINITY, f64::min);
            let high = spots.iter().map(get).fold(f64::NEG_INFINITY, f64::max);
            match high - low {
                width if width > 0.0 => (0.5 * (low + high), 0.5 * width),
                _ if low.is_finite() => (low, 1.0),
                _ => (0.0, 1.0),
            }
        };
        let (x, y, e) = (axis(|s| s.at[0]), axis(|s| s.at[1]), axis(|s| s.external));
        Self { centre: [x.0, y.0, e.0], width: [x.1, y.1, e.1] }
    }

    /// How many functions make an unknown trend.
    fn functions(&self, trend: Trend) -> usize {
        match trend {
            Trend::Prior { .. } => 0,
            Trend::Constant => 1,
            Trend::External => 2,
            Trend::Plane => 3,
            Trend::PlaneAndExternal => 4,
        }
    }

    /// The functions of an unknown trend at a place.
    fn row(&self, trend: Trend, spot: &Spot) -> DVector<f64> {
        let ([x, y], [cx, cy, ce], [wx, wy, we]) = (spot.at, self.centre, self.width);
        let (x, y, e) = ((x - cx) / wx, (y - cy) / wy, (spot.external - ce) / we);
        DVector::from_vec(match trend {
            Trend::Prior { .. } => vec![],
            Trend::Constant => vec![1.0],
            Trend::External => vec![1.0, e],
            Trend::Plane => vec![1.0, x, y],
            Trend::PlaneAndExternal => vec![1.0, x, y, e],
        })
    }

    fn matrix(&self, trend: Trend, spots: &[Spot], functions: usize) -> DMatrix<f64> {
        let mut matrix = DMatrix::zeros(spots.len(), functions);
        for (i, spot) in spots.iter().enumerate() {
            matrix.set_row(i, &self.row(trend, spot).transpose());
        }
        matrix
    }
}

#[cfg(test)]
#[path = "kriging_tests.rs"]
mod tests;
