//! How good a forecast has been, from readings forecast without themselves.
//!
//! The standardised error should be near 1: below it the stated variance is
//! too wide, above it too narrow. Source: Cressie 1993, Statistics for
//! Spatial Data, section 2.6.4 (from memory).

use super::kriging::LeftOut;

/// Scores of a forecast, in the unit of the readings unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scores {
    /// Mean of read less forecast.
    pub mean_error: f64,
    /// Mean of its size.
    pub mean_absolute_error: f64,
    /// Root of the mean of its square.
    pub rmse: f64,
    /// Root of the mean of its square over the stated variance, a number
    /// without unit.
    pub rmsse: f64,
}

impl Scores {
    /// The scores of readings that were each left out; `None` without any.
    pub fn of(left_out: &[LeftOut]) -> Option<Self> {
        let mean = |f: fn(&LeftOut) -> f64| left_out.iter().map(f).sum::<f64>() / left_out.len() as f64;
        (!left_out.is_empty()).then(|| Self {
            mean_error: mean(|l| l.error),
            mean_absolute_error: mean(|l| l.error.abs()),
            rmse: mean(|l| l.error * l.error).sqrt(),
            rmsse: mean(|l| l.error * l.error / l.variance).sqrt(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_are_means_over_the_readings() {
        let left = [LeftOut { error: 3.0, variance: 9.0 }, LeftOut { error: -1.0, variance: 1.0 }];
        let s = Scores::of(&left).unwrap();
        assert_eq!((s.mean_error, s.mean_absolute_error, s.rmsse), (1.0, 2.0, 1.0));
        assert!((s.rmse - 5.0_f64.sqrt()).abs() < 1e-15);
        assert_eq!(Scores::of(&[]), None);
    }
}
