//! How forecasts scatter about the truth, in units of their stated standard
//! deviation: a normal distribution, mended by what happened when readings
//! were left out.
//!
//! With *n* standardised errors the quantile for the chance *p* is
//! *(n Q(p) + 25 z(p)) / (n + 25)*, *Q* theirs and *z* the normal one: as
//! many readings as are asked for before anything is learnt count as much as
//! the normal does. Ours; a standardised form of calibrating a forecast by
//! its left-out errors (the jackknife).

use crate::stats::{normal_density, normal_quantile};
use crate::units::standard_normal_below;

/// How many errors the normal distribution weighs.
const NORMAL_WEIGHS: f64 = 25.0;
/// Half the reach and the step of the sum over a normal quantity.
const REACH: i32 = 40;
const STEP: f64 = 0.15;

/// The distribution of standardised errors (truth less forecast).
#[derive(Clone, PartialEq)]
pub(super) struct Spread {
    /// In order, smallest first.
    errors: Vec<f64>,
    /// Quantiles and their weights, which sum to 1: for means over the
    /// distribution.
    nodes: Vec<(f64, f64)>,
}

impl std::fmt::Debug for Spread {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Spread of {} errors", self.errors.len())
    }
}

impl Spread {
    /// The normal distribution.
    pub(super) fn normal() -> Self {
        Self::of(Vec::new())
    }

    /// Calibrated by these standardised errors.
    pub(super) fn of(mut errors: Vec<f64>) -> Self {
        errors.retain(|e| e.is_finite());
        errors.sort_by(f64::total_cmp);
        let mut spread = Self { errors, nodes: Vec::new() };
        let steps: Vec<f64> = (-REACH..=REACH).map(|k| STEP * f64::from(k)).collect();
        let all: f64 = steps.iter().map(|t| normal_density(*t)).sum();
        spread.nodes = steps
            .iter()
            .map(|t| (spread.quantile_at(*t, standard_normal_below(*t), None), normal_density(*t) / all))
            .collect();
        spread
    }

    /// The standardised error that is not exceeded with the chance `p`.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        self.quantile_at(normal_quantile(p), p, None)
    }

    /// The same as if the error `left_out` had not been among them.
    pub(super) fn quantile_without(&self, p: f64, left_out: f64) -> f64 {
        let rank = self.errors.partition_point(|e| *e < left_out);
        self.quantile_at(normal_quantile(p), p, Some(rank))
    }

    fn quantile_at(&self, z: f64, p: f64, without: Option<usize>) -> f64 {
        let n = self.errors.len().saturating_sub(usize::from(without.is_some()));
        let get = |k: usize| self.errors.get(k + usize::from(without.is_some_and(|w| k >= w))).copied();
        // Hazen's plotting positions: the k-th of n stands for (k − ½)/n.
        let place = (p * n as f64 - 0.5).clamp(0.0, n.saturating_sub(1) as f64);
        let below = place.floor();
        let low = get(below as usize);
        let Some(low) = low.filter(|_| n > 0) else { return z };
        let high = get((below as usize + 1).min(n - 1)).unwrap_or(low);
        let seen = low + (high - low) * (place - below);
        let n = n as f64;
        (n * seen + NORMAL_WEIGHS * z) / (n + NORMAL_WEIGHS)
    }

    /// The chance of a standardised error below `error`.
    pub(super) fn chance_below(&self, error: f64) -> f64 {
        let (mut low, mut high) = (-9.0, 9.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let q = self.quantile_at(middle, standard_normal_below(middle), None);
            if q < error { low = middle } else { high = middle }
        }
        standard_normal_below(0.5 * (low + high))
    }

    /// Quantiles and weights for means over the distribution.
    pub(super) fn nodes(&self) -> &[(f64, f64)] {
        &self.nodes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn skew(n: u32) -> Spread {
        // Errors of an exponential distribution with mean 1, less 1.
        Spread::of((0..n).map(|k| -(1.0 - (f64::from(k) + 0.5) / f64::from(n)).ln() - 1.0).collect())
    }

    #[test]
    fn without_errors_it_is_the_normal() {
        assert!((Spread::normal().quantile(0.9) - normal_quantile(0.9)).abs() < 1e-15);
        let moments = Spread::normal()
            .nodes()
            .iter()
            .fold((0.0, 0.0, 0.0), |(a, b, c), (q, w)| (a + w, b + w * q, c + w * q * q));
        assert!((moments.0 - 1.0).abs() < 1e-12 && moments.1.abs() < 1e-12);
        assert!((moments.2 - 1.0).abs() < 1e-6);
    }

    #[test]
    fn many_errors_outweigh_the_normal() {
        let spread = skew(2000);
        assert!((spread.quantile(0.9) - (10.0_f64.ln() - 1.0)).abs() < 0.02);
        assert!((spread.quantile(0.1) - (-(0.9_f64.ln()) - 1.0)).abs() < 0.02);
    }

    #[test]
    fn twenty_five_errors_weigh_as_much_as_the_normal() {
        let spread = skew(25);
        let half = 0.5 * (-(0.5_f64).ln() - 1.0);
        assert!((spread.quantile(0.5) - half).abs() < 1e-9);
    }

    #[test]
    fn the_chance_turns_the_quantile_round() {
        for spread in [Spread::normal(), skew(30)] {
            for p in [0.001, 0.1, 0.37, 0.5, 0.9, 0.999] {
                assert!((spread.chance_below(spread.quantile(p)) - p).abs() < 1e-6, "{p}");
            }
        }
    }

    #[test]
    fn leaving_one_error_out_is_as_if_it_had_not_been() {
        let all = [-1.2, -0.4, 0.1, 0.9, 2.5];
        let without = Spread::of(vec![-1.2, -0.4, 0.9, 2.5]);
        for p in [0.05, 0.3, 0.5, 0.95] {
            let got = Spread::of(all.to_vec()).quantile_without(p, 0.1);
            assert!((got - without.quantile(p)).abs() < 1e-12);
        }
    }
}
