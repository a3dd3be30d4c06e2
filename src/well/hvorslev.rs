//! Flow out of or into an open length of hole: drilling fluid lost to the
//! ground, and conductivity from the fall of a slug of water.
//!
//! Q = 2πKLH/ln(L/r), good for L/r > 8
//! K = r_c²·ln(L/r)/(2L·T₀) by a slug (same condition)
//!
//! Q flow m³/d; K conductivity m/d; L open length m; H head over the ground's
//! water m; r radius of the hole m; r_c radius of the pipe in which the slug
//! falls m; T₀ time to fall to 37 % of its height d.
//!
//! Source: Hvorslev (1951), Bulletin 36, Waterways Experiment Station,
//! Vicksburg.

use std::f64::consts::PI;

use crate::units::OutOfRange;
use crate::units::range::{finite, more_than, not_negative, positive};

/// L/r above which the formula is good.
pub const LEAST_SLENDERNESS: f64 = 8.0;

/// An open length of hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenLength {
    length_m: f64,
    radius_m: f64,
}

impl OpenLength {
    /// Of that length and radius.
    ///
    /// # Errors
    /// When a figure is not above 0 or the length not over 8 radii.
    pub fn new(length_m: f64, radius_m: f64) -> Result<Self, OutOfRange> {
        let length_m = positive("the open length (m)", length_m)?;
        let radius_m = positive("the radius of the hole (m)", radius_m)?;
        more_than("the open length over its radius", length_m / radius_m, LEAST_SLENDERNESS)?;
        Ok(Self { length_m, radius_m })
    }

    fn log(&self) -> f64 {
        (self.length_m / self.radius_m).ln()
    }

    /// The fluid lost under a head, m³/d. Clean water; mud that cakes on the
    /// wall loses less.
    ///
    /// # Errors
    /// When the conductivity is not above 0 or the head below 0.
    pub fn loss_m3_per_day(&self, conductivity_m_per_day: f64, head_m: f64) -> Result<f64, OutOfRange> {
        let k = positive("the conductivity (m/d)", conductivity_m_per_day)?;
        let head = not_negative("the head of the fluid (m)", head_m)?;
        finite("the loss (m³/d)", 2.0 * PI * k * self.length_m * head / self.log())
    }

    /// The conductivity by a slug that falls to 37 % in that time, m/d.
    ///
    /// # Errors
    /// When a figure is not above 0.
    pub fn slug_conductivity_m_per_day(
        &self,
        pipe_radius_m: f64,
        to_37_percent_day: f64,
    ) -> Result<f64, OutOfRange> {
        let pipe = positive("the radius of the pipe (m)", pipe_radius_m)?;
        let time = positive("the time to fall to 37 % (d)", to_37_percent_day)?;
        positive("the conductivity (m/d)", pipe.powi(2) * self.log() / (2.0 * self.length_m * time))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slug that falls by its own loss: πr_c²·dH/dt = −Q(H) falls to 1/e in
    /// T₀, so both formulas must name the same ground.
    #[test]
    fn the_slug_and_the_loss_name_the_same_ground() {
        let open = OpenLength::new(3.0, 0.06).unwrap();
        let per_metre = open.loss_m3_per_day(2.0, 1.0).unwrap();
        let t0 = PI * 0.025f64.powi(2) / per_metre;
        assert!((open.slug_conductivity_m_per_day(0.025, t0).unwrap() - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_stubby_opening_is_refused() {
        assert!(OpenLength::new(0.4, 0.06).is_err());
        assert!(OpenLength::new(0.5, 0.06).is_ok());
    }
}
