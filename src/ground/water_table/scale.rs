//! The scale on which depths to water are forecast: the square root.
//!
//! Depths are bounded by the ground above and scatter the more the deeper
//! they are; on *y = √(d + 0.5 m)* they scatter evenly enough for a normal
//! forecast, and turned back the forecast is skew and never above ground.
//! The half metre keeps an error of reading finite at ground level. That
//! transform is ours; variables are mapped on a root or logarithmic scale as
//! a matter of common practice.

use super::{BadWaterTable, Reading, WaterTablePrior};

/// Added to a depth before the root is taken.
const LIFT_M: f64 = 0.5;

/// Widest prior that can be carried over, as the square of its coefficient
/// of variation (of the lifted depth): beyond 2 no normal root has the
/// moments asked for.
const WIDEST: f64 = 1.5;

/// Ground level.
pub(super) fn ground() -> f64 {
    LIFT_M.sqrt()
}

/// A depth in metres on the scale; water above ground counts as at ground
/// level.
pub(super) fn root(depth_m: f64) -> f64 {
    (depth_m.max(0.0) + LIFT_M).sqrt()
}

/// Back to metres.
pub(super) fn depth_m(root: f64) -> f64 {
    if root > ground() { root * root - LIFT_M } else { 0.0 }
}

/// The error of a reading on the scale: half of the way between the ends that
/// lie one standard deviation off.
pub(super) fn error(reading: &Reading) -> f64 {
    let (depth, sd) = (reading.depth_m.max(0.0) + LIFT_M, reading.error_sd_m);
    0.5 * ((depth + sd).sqrt() - (depth - sd).max(0.0).sqrt())
}

/// How much one metre at that depth is on the scale.
pub(super) fn per_metre(depth_m: f64) -> f64 {
    0.5 / root(depth_m)
}

/// The region's prior on the scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RootPrior {
    pub(super) mean: f64,
    pub(super) mean_variance: f64,
    pub(super) sill: f64,
    pub(super) nugget: f64,
    pub(super) range_m: f64,
}

impl RootPrior {
    /// The normal root whose square has the prior's mean *m* and variance
    /// *s²*: with *M = m + 0.5*, its variance is *τ² = M − √(M² − s²/2)* and
    /// its mean *√(M − τ²)*. The parts of the variance keep their shares.
    pub(super) fn of(prior: &WaterTablePrior) -> Result<Self, BadWaterTable> {
        let p = prior;
        let parts = [p.mean_sd_m * p.mean_sd_m, p.sill_m2, p.nugget_m2];
        let sound =
            [p.mean_m, p.mean_sd_m, p.sill_m2, p.nugget_m2].iter().all(|v| v.is_finite() && *v >= 0.0);
        let sound = sound && p.range_m.is_finite() && p.range_m > 0.0;
        let total: f64 = parts.iter().sum();
        if !(sound && total.is_finite() && p.sill_m2 + p.nugget_m2 > 0.0 && p.mean_m < 1e6) {
            return Err(BadWaterTable::Prior);
        }
        let lifted = p.mean_m + LIFT_M;
        let spread = (total / (lifted * lifted)).min(WIDEST);
        // 1 − √(1 − x/2) without the loss of digits for small x.
        let share = 0.5 * spread / (1.0 + (1.0 - 0.5 * spread).sqrt());
        let variance = lifted * share;
        let [mean_variance, sill, nugget] = parts.map(|part| variance * (part / total));
        Ok(Self { mean: (lifted - variance).sqrt(), mean_variance, sill, nugget, range_m: p.range_m })
    }

    pub(super) fn total(&self) -> f64 {
        self.mean_variance + self.sill + self.nugget
    }
}

/// The mean and variance in metres of a normal root.
pub(super) fn moments_m(mean: f64, sd: f64) -> (f64, f64) {
    let (m2, s2) = (mean * mean, sd * sd);
    (m2 + s2 - LIFT_M, 4.0 * m2 * s2 + 2.0 * s2 * s2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn prior(mean_m: f64, mean_sd_m: f64, sill_m2: f64, nugget_m2: f64) -> WaterTablePrior {
        WaterTablePrior { mean_m, mean_sd_m, sill_m2, range_m: 500.0, nugget_m2 }
    }

    #[test]
    fn a_depth_comes_back() {
        for d in [0.0, 0.3, 8.0, 45.0] {
            assert!((depth_m(root(d)) - d).abs() < 1e-12);
        }
        assert!(depth_m(root(-2.0)).abs() < 1e-15);
        assert!(depth_m(0.1).abs() < 1e-15);
    }

    #[test]
    fn the_priors_moments_are_kept() {
        let root = RootPrior::of(&prior(8.0, 3.0, 12.0, 4.0)).unwrap();
        let (mean, variance) = moments_m(root.mean, root.total().sqrt());
        assert!((mean - 8.0).abs() < 1e-12 && (variance - 25.0).abs() < 1e-10);
        assert!((root.sill / root.nugget - 3.0).abs() < 1e-12);
        assert!((root.mean_variance / root.nugget - 2.25).abs() < 1e-12);
    }

    #[test]
    fn a_prior_too_wide_for_its_mean_stays_finite() {
        let root = RootPrior::of(&prior(1.0, 0.0, 1e4, 1e4)).unwrap();
        assert!(root.mean > 0.0 && root.total() > 0.0 && root.total().is_finite());
    }

    #[test]
    fn what_is_no_prior_is_refused() {
        for bad in [
            prior(-1.0, 0.0, 1.0, 0.0),
            prior(f64::NAN, 0.0, 1.0, 0.0),
            prior(8.0, 1.0, 0.0, 0.0),
            prior(8.0, -1.0, 1.0, 0.0),
            WaterTablePrior { range_m: 0.0, ..prior(8.0, 1.0, 1.0, 1.0) },
        ] {
            assert_eq!(RootPrior::of(&bad), Err(BadWaterTable::Prior));
        }
    }
}
