//! Reading the level: how likely each reading is in each bore.
//!
//! A reading is the level at the peg with a normal error. It is told apart in
//! even parts of the span that readings have; telling it apart more finely
//! would be worth a little more, so what this is worth errs low.
//!
//! Waiting for the driest month takes away the part of the doubt that is due
//! to the season. With V the variance of the level as things stand and σ² that
//! part of it, a reading that leaves V − σ² is one with the error variance
//! V·(V − σ²)/σ² (normal quantities: 1/(V − σ²) = 1/V + 1/error), and its own
//! error beside.

use super::observation::{Results, Seen};
use super::scenarios::Scenarios;
use crate::units::range::not_negative;
use crate::units::{OutOfRange, standard_normal_below};

/// In how many parts a reading is told apart; even, so that the middle of the
/// span is an edge.
const PARTS: u32 = 12;
/// How many standard deviations of all readings the edges reach to either
/// side.
const SPAN: f64 = 2.0;

/// Mean and variance of the level over the bores.
#[derive(Debug, Clone, Copy)]
pub(super) struct Levels {
    mean_m: f64,
    variance_m2: f64,
}

pub(super) fn levels(scenarios: &Scenarios<'_>) -> Levels {
    let level = || scenarios.iter().map(|(ground, _, p)| (f64::from(ground.level_m), p));
    let mean_m: f64 = level().map(|(m, p)| m * p).sum();
    let variance_m2 = level().map(|(m, p)| p * (m - mean_m) * (m - mean_m)).sum();
    Levels { mean_m, variance_m2 }
}

/// A reading told apart at some depths.
#[derive(Debug)]
pub(super) struct LevelReading {
    error_sd_m: f64,
    /// Rising; none where the reading tells nothing.
    edges_m: Vec<f64>,
}

impl LevelReading {
    pub(super) fn with_error(levels: &Levels, error_sd_m: f64) -> Self {
        let span_m = SPAN * (levels.variance_m2 + error_sd_m * error_sd_m).sqrt();
        let edge =
            |k: u32| levels.mean_m + span_m * (2.0 * f64::from(k) / f64::from(PARTS) - 1.0) * edge_scale();
        let tells = levels.variance_m2 > 0.0 && span_m.is_finite();
        let edges_m = if tells { (1..PARTS).map(edge).collect() } else { Vec::new() };
        Self { error_sd_m, edges_m }
    }

    pub(super) fn of_season(levels: &Levels, season_sd_m: f64, error_sd_m: f64) -> Result<Self, OutOfRange> {
        let season = not_negative("the spread of the season (m)", season_sd_m)?.powi(2);
        let error = not_negative("the error of a level (m)", error_sd_m)?.powi(2);
        if season <= 0.0 || levels.variance_m2 <= 0.0 {
            return Ok(Self { error_sd_m: 0.0, edges_m: Vec::new() });
        }
        let all = levels.variance_m2;
        let left = (all - season).max(0.0);
        Ok(Self::with_error(levels, (all * left / season.min(all) + error).sqrt()))
    }

    /// Each part of the readings with its chance in each bore.
    pub(super) fn results(&self, levels_m: impl Iterator<Item = f64>) -> Results {
        let ends = || self.edges_m.iter().copied().map(Some);
        let from = std::iter::once(None).chain(ends());
        let to = ends().chain(std::iter::once(None));
        let mut results: Results =
            from.zip(to).map(|(from_m, to_m)| (Seen::Level { from_m, to_m }, Vec::new())).collect();
        for level_m in levels_m {
            let mut below = 0.0;
            for (seen, row) in &mut results {
                let Seen::Level { to_m, .. } = *seen else { continue };
                // Never less than the one before, so that all add to 1.
                let next = to_m.map_or(1.0, |m| self.below(m, level_m)).max(below);
                row.push(next - below);
                below = next;
            }
        }
        results
    }

    /// The chance that the reading is no deeper than a depth.
    fn below(&self, depth_m: f64, level_m: f64) -> f64 {
        if self.error_sd_m > 0.0 {
            let z = (depth_m - level_m) / self.error_sd_m;
            // So far off that it is certain, and most edges are.
            if z.abs() > 6.0 { f64::from(u8::from(z > 0.0)) } else { standard_normal_below(z) }
        } else if level_m <= depth_m {
            1.0
        } else {
            0.0
        }
    }
}

/// The outermost edges lie at the span, not beyond it.
fn edge_scale() -> f64 {
    f64::from(PARTS) / f64::from(PARTS - 2)
}
