//! The chance that an uncertain arrow points into a wedge.
//!
//! The direction of an arrow whose two parts are normal has the projected
//! normal distribution. After turning and stretching the plane so that both
//! parts are independent with variance 1, the density at the angle ψ from
//! the arrow of length δ is
//!
//! (1/2π) [e^(−δ²/2) + √(2π) D Φ(D) e^((D²−δ²)/2)],
//! *D = δ cos ψ*.
//!
//! Source: Mardia & Jupp 2000, Directional Statistics, section 3.5.6 (from
//! memory); checked by drawing below.

use std::f64::consts::{PI, TAU};

use nalgebra::{Matrix2, Vector2};

use crate::units::standard_normal_below;

/// Steps of Simpson's rule on each stretch.
const STEPS: u32 = 200;
/// Beyond so many standard deviations from the arrow there is nothing.
const REACH: f64 = 9.0;

/// An uncertain arrow: east and north parts with their covariance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wedge {
    arrow: Vector2<f64>,
    /// Takes the plane to where the parts are independent with variance 1;
    /// `None` where there is no uncertainty to speak of.
    level: Option<Matrix2<f64>>,
}

fn towards(bearing_deg: f64) -> Vector2<f64> {
    let (sin, cos) = bearing_deg.to_radians().sin_cos();
    Vector2::new(sin, cos)
}

fn angle(of: Vector2<f64>) -> f64 {
    of.y.atan2(of.x)
}

impl Wedge {
    pub(super) fn new(arrow: Vector2<f64>, covariance: Matrix2<f64>) -> Self {
        let level = covariance
            .cholesky()
            .and_then(|root| root.l().try_inverse())
            .filter(|m| m.iter().all(|v| v.is_finite()) && (m * arrow).norm() < 1e6);
        Self { arrow, level }
    }

    /// The chance that the arrow points to within `half_angle_deg` of
    /// `bearing_deg`, degrees from north.
    pub(super) fn chance(&self, bearing_deg: f64, half_angle_deg: f64) -> f64 {
        if half_angle_deg >= 180.0 {
            return 1.0;
        }
        if !(half_angle_deg > 0.0 && bearing_deg.is_finite()) {
            return 0.0;
        }
        let Some(level) = self.level else {
            let off = (angle(self.arrow) - angle(towards(bearing_deg))).rem_euclid(TAU);
            return f64::from(u8::from(off.min(TAU - off).to_degrees() <= half_angle_deg));
        };
        // In the levelled plane the wedge is another wedge; its sides are
        // followed in small turns so that none is lost.
        let image = |bearing: f64| angle(level * towards(bearing));
        let stops: Vec<f64> =
            (0..=8).map(|k| bearing_deg + half_angle_deg * (1.0 - f64::from(k) / 4.0)).collect();
        let arrow = level * self.arrow;
        let (length, ahead) = (arrow.norm(), angle(arrow));
        let sum: f64 = stops
            .windows(2)
            .filter_map(|pair| {
                let [from, to] = pair else { return None };
                let start = (image(*from) - ahead + PI).rem_euclid(TAU) - PI;
                let turn = (image(*to) - image(*from)).rem_euclid(TAU);
                Some(between(length, start, start + turn))
            })
            .sum();
        sum.clamp(0.0, 1.0)
    }
}

/// The chance of an angle between `from` and `to` off the arrow, −π ≤ `from`
/// ≤ `to`.
fn between(length: f64, from: f64, to: f64) -> f64 {
    // The density has a narrow peak at 0 (and again a turn later).
    let near = REACH / length.max(REACH / PI);
    let mut marks = vec![from, to];
    marks
        .extend([-near, 0.0, near, TAU - near, TAU, TAU + near].into_iter().filter(|m| *m > from && *m < to));
    marks.sort_by(f64::total_cmp);
    let stretch = |pair: &[f64]| match pair {
        [a, b] => simpson(|psi| density(length, psi), *a, *b),
        _ => 0.0,
    };
    marks.windows(2).map(stretch).sum()
}

fn simpson(f: impl Fn(f64) -> f64, from: f64, to: f64) -> f64 {
    let step = (to - from) / f64::from(STEPS);
    let inner: f64 = (1..STEPS).map(|k| f64::from(2 + 2 * (k % 2)) * f(from + step * f64::from(k))).sum();
    step / 3.0 * (f(from) + inner + f(to))
}

/// The density of the angle off an arrow of this length.
fn density(length: f64, psi: f64) -> f64 {
    let ahead = length * psi.cos();
    let across = length * psi.sin();
    let none = (-0.5 * length * length).exp();
    (none + TAU.sqrt() * ahead * standard_normal_below(ahead) * (-0.5 * across * across).exp()) / TAU
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::normal_quantile;
    use proptest::prelude::*;

    fn some_wedge() -> Wedge {
        Wedge::new(Vector2::new(1.0, 0.4), Matrix2::new(0.5, 0.2, 0.2, 0.3))
    }

    #[test]
    fn all_directions_together_are_certain() {
        for (x, y, scale) in [(1.0, 0.4, 1.0), (0.0, 0.0, 1.0), (300.0, -20.0, 1.0), (1.0, 0.0, 1e-6)] {
            let wedge = Wedge::new(Vector2::new(x, y), Matrix2::new(0.5, 0.2, 0.2, 0.3) * scale);
            let sum: f64 = (0..12).map(|k| wedge.chance(30.0 * f64::from(k), 15.0)).sum();
            assert!((sum - 1.0).abs() < 1e-5, "{x} {y} {scale}: {sum}");
            assert!((wedge.chance(77.0, 179.999) - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn an_arrow_without_direction_points_anywhere() {
        let wedge = Wedge::new(Vector2::zeros(), Matrix2::identity());
        assert!((wedge.chance(123.0, 30.0) - 1.0 / 6.0).abs() < 1e-9);
    }

    #[test]
    fn the_half_plane_ahead_is_a_plain_normal() {
        let wedge = Wedge::new(Vector2::new(0.7, 0.0), Matrix2::identity());
        assert!((wedge.chance(90.0, 90.0) - standard_normal_below(0.7)).abs() < 1e-6);
    }

    #[test]
    fn the_chance_is_the_share_of_arrows_drawn() {
        // A lattice over both parts instead of random draws.
        let root = Matrix2::new(0.5, 0.2, 0.2, 0.3).cholesky().unwrap().l();
        let (n, mut inside) = (1200, 0);
        let quantiles: Vec<f64> =
            (0..n).map(|k| normal_quantile((f64::from(k) + 0.5) / f64::from(n))).collect();
        for u in &quantiles {
            for v in &quantiles {
                let arrow = Vector2::new(1.0, 0.4) + root * Vector2::new(*u, *v);
                let bearing = arrow.x.atan2(arrow.y).to_degrees();
                let off = (bearing - 100.0).rem_euclid(360.0);
                inside += u32::from(off.min(360.0 - off) <= 35.0);
            }
        }
        let share = f64::from(inside) / f64::from(n * n);
        assert!((some_wedge().chance(100.0, 35.0) - share).abs() < 1e-3, "{share}");
    }

    proptest! {
        #[test]
        fn a_wider_wedge_is_never_less_likely(bearing in -720.0..720.0, half in 0.0..170.0, more in 0.0..10.0) {
            let wedge = some_wedge();
            prop_assert!(wedge.chance(bearing, half + more) >= wedge.chance(bearing, half) - 1e-6);
        }
    }
}
