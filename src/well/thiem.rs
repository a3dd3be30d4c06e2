//! Flow to a well that has been pumped until nothing changes any more.
//!
//! Confined: T = Q·ln(r₂/r₁)/(2π(s₁ − s₂))
//! Unconfined: Q = πK(h₂² − h₁²)/ln(r₂/r₁)
//!
//! T transmissivity m²/d; Q rate m³/d; r₁ < r₂ distances from the well m; s
//! drawdowns there m; K conductivity m/d; h height of the water above the base
//! of the aquifer m. The unconfined form (Dupuit) is good where the slope of
//! the water is small, beyond about 1.5 times its depth from the well
//! (common practice).
//!
//! Source: Thiem (1906), Hydrologische Methoden, Leipzig.

use std::f64::consts::PI;

use crate::units::OutOfRange;
use crate::units::range::{between, finite, less_than, more_than, not_negative, positive};

/// The water read at one distance from the well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtDistance {
    /// From the well.
    pub distance_m: f64,
    /// The drawdown (confined) or the height above the aquifer's base
    /// (unconfined).
    pub level_m: f64,
}

fn log_of_distances(near: &AtDistance, far: &AtDistance) -> Result<f64, OutOfRange> {
    let near_m = positive("the nearer distance (m)", near.distance_m)?;
    let far_m = more_than("the farther distance (m)", far.distance_m, near_m)?;
    positive("the logarithm of the ratio of distances", (far_m / near_m).ln())
}

/// T from the drawdowns at two distances, m²/d.
///
/// # Errors
/// When a figure is out of range or the drawdown does not lessen outward.
pub fn confined_transmissivity_m2_per_day(
    rate_m3_per_day: f64,
    near: &AtDistance,
    far: &AtDistance,
) -> Result<f64, OutOfRange> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    let log = log_of_distances(near, far)?;
    let far_s = finite("the drawdown at the farther distance (m)", far.level_m)?;
    let near_s = more_than("the drawdown at the nearer distance (m)", near.level_m, far_s)?;
    positive("the transmissivity (m²/d)", rate * log / (2.0 * PI * (near_s - far_s)))
}

/// Q from the heights of the water at two distances, m³/d.
///
/// # Errors
/// When a figure is out of range or the water does not rise outward.
pub fn unconfined_rate_m3_per_day(
    conductivity_m_per_day: f64,
    near: &AtDistance,
    far: &AtDistance,
) -> Result<f64, OutOfRange> {
    let k = positive("the conductivity (m/d)", conductivity_m_per_day)?;
    let log = log_of_distances(near, far)?;
    let near_h = not_negative("the height of the water at the nearer distance (m)", near.level_m)?;
    let far_h = more_than("the height of the water at the farther distance (m)", far.level_m, near_h)?;
    positive("the pumping rate (m³/d)", PI * k * (far_h.powi(2) - near_h.powi(2)) / log)
}

/// K from the heights of the water at two distances, m/d.
///
/// # Errors
/// When a figure is out of range or the water does not rise outward.
pub fn unconfined_conductivity_m_per_day(
    rate_m3_per_day: f64,
    near: &AtDistance,
    far: &AtDistance,
) -> Result<f64, OutOfRange> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    positive("the conductivity (m/d)", rate / unconfined_rate_m3_per_day(1.0, near, far)?)
}

/// The height of the water nearer to the well than where it was read, m:
/// h₁² = h₂² − Q·ln(r₂/r₁)/(πK).
///
/// # Errors
/// When a figure is out of range, or the aquifer cannot give that rate: the
/// water would fall below its base.
pub fn unconfined_height_m(
    conductivity_m_per_day: f64,
    rate_m3_per_day: f64,
    distance_m: f64,
    far: &AtDistance,
) -> Result<f64, OutOfRange> {
    let k = positive("the conductivity (m/d)", conductivity_m_per_day)?;
    let far_h = positive("the height of the water at the farther distance (m)", far.level_m)?;
    let log = log_of_distances(&AtDistance { distance_m, level_m: 0.0 }, far)?;
    let most = finite("the greatest rate (m³/d)", PI * k * far_h.powi(2) / log)?;
    let rate = not_negative("the pumping rate (m³/d)", rate_m3_per_day)?;
    let rate = less_than("the pumping rate (m³/d)", rate, most)?;
    between("the height of the water (m)", far_h * (1.0 - rate / most).sqrt(), 0.0, far_h.next_up())
}

#[cfg(test)]
mod tests {
    use super::*;

    const NEAR: AtDistance = AtDistance { distance_m: 30.0, level_m: 23.0 };
    const FAR: AtDistance = AtDistance { distance_m: 70.0, level_m: 23.6 };

    #[test]
    fn rate_conductivity_and_height_undo_one_another() {
        let rate = unconfined_rate_m3_per_day(74.0, &NEAR, &FAR).unwrap();
        assert!((rate - 7671.5).abs() < 0.05, "{rate}");
        assert!((unconfined_conductivity_m_per_day(rate, &NEAR, &FAR).unwrap() - 74.0).abs() < 1e-9);
        assert!((unconfined_height_m(74.0, rate, 30.0, &FAR).unwrap() - 23.0).abs() < 1e-9);
    }

    #[test]
    fn more_than_the_aquifer_can_give_is_refused() {
        assert!(unconfined_height_m(74.0, 1e6, 0.1, &FAR).is_err());
    }

    #[test]
    fn water_that_falls_outward_is_refused() {
        assert!(unconfined_rate_m3_per_day(74.0, &NEAR, &AtDistance { level_m: 22.0, ..FAR }).is_err());
        assert!(confined_transmissivity_m2_per_day(100.0, &NEAR, &FAR).is_err());
        assert!(unconfined_rate_m3_per_day(74.0, &FAR, &NEAR).is_err());
    }
}
