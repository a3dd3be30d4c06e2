//! The straight line through points that has the least squares of distances.

use crate::units::OutOfRange;
use crate::units::range::finite;

/// The fewest points that say anything about the scatter about a line.
const FEWEST: usize = 3;

/// Why there is no line.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoLine {
    /// A figure cannot be used.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// Too few points are left.
    #[error("{points} readings can be used; a line needs {FEWEST} or more")]
    TooFew {
        /// How many are left.
        points: usize,
    },
    /// All points stand above one another.
    #[error("all readings are of the same time; a line needs different times")]
    Upright,
}

/// y = intercept + slope·x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    pub slope: f64,
    pub intercept: f64,
    /// The standard error of the slope.
    pub slope_se: f64,
    /// Root mean square of the distances from the line.
    pub rmse: f64,
}

impl Line {
    /// Ordinary least squares.
    pub(super) fn through(points: &[(f64, f64)]) -> Result<Self, NoLine> {
        if points.len() < FEWEST {
            return Err(NoLine::TooFew { points: points.len() });
        }
        let n = points.len() as f64;
        let mean = |f: fn(&(f64, f64)) -> f64| points.iter().map(f).sum::<f64>() / n;
        let (x0, y0) = (mean(|p| p.0), mean(|p| p.1));
        let xx: f64 = points.iter().map(|p| (p.0 - x0).powi(2)).sum();
        let xy: f64 = points.iter().map(|p| (p.0 - x0) * (p.1 - y0)).sum();
        // Times that differ by less than rounding are one time.
        if xx <= n * (x0.abs().max(1.0) * 1e-12).powi(2) {
            return Err(NoLine::Upright);
        }
        let slope = finite("the slope of the line", xy / xx)?;
        let intercept = finite("the height of the line", y0 - slope * x0)?;
        let squares: f64 = points.iter().map(|p| (p.1 - intercept - slope * p.0).powi(2)).sum();
        Ok(Self {
            slope,
            intercept,
            slope_se: finite("the error of the slope", (squares / (n - 2.0) / xx).sqrt())?,
            rmse: finite("the scatter about the line", (squares / n).sqrt())?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: x 1, 2, 3, 4; y 1, 3, 2, 5: slope 5.5/5, squares 8.75 − 6.05.
    #[test]
    fn agrees_with_hand_reckoning() {
        let line = Line::through(&[(1.0, 1.0), (2.0, 3.0), (3.0, 2.0), (4.0, 5.0)]).unwrap();
        assert!((line.slope - 1.1).abs() < 1e-12 && line.intercept.abs() < 1e-12);
        assert!((line.rmse - (2.7f64 / 4.0).sqrt()).abs() < 1e-12);
        assert!((line.slope_se - (2.7f64 / 2.0 / 5.0).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn readings_of_one_time_make_no_line() {
        assert_eq!(Line::through(&[(0.1, 1.0); 4]), Err(NoLine::Upright));
    }
}
