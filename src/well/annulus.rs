//! The volume between hole and casing that pack, clay seal and grout fill.
//!
//! V = π/4·(D² − d²)·L·(1 + w)
//!
//! V L; D diameter of the hole and d outer diameter of the casing mm; L length
//! m; w wash-out, the share by which a hole is bigger than its bit (0.2 by
//! common practice).

use super::drilling_water::hole_volume_l;
use crate::units::OutOfRange;
use crate::units::range::{finite, more_than, not_negative, positive};

/// The ring between hole and casing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Annulus {
    hole_mm: f64,
    casing_mm: f64,
}

impl Annulus {
    /// Between a hole and a casing of those diameters.
    ///
    /// # Errors
    /// When the casing is not above 0 or the hole not the wider.
    pub fn new(hole_mm: f64, casing_mm: f64) -> Result<Self, OutOfRange> {
        let casing_mm = positive("the outer diameter of the casing (mm)", casing_mm)?;
        Ok(Self { hole_mm: more_than("the diameter of the hole (mm)", hole_mm, casing_mm)?, casing_mm })
    }

    /// The space on each side of a casing that stands in the middle, mm.
    pub fn gap_mm(&self) -> f64 {
        (self.hole_mm - self.casing_mm) / 2.0
    }

    /// What fills that length, L, with the wash-out.
    ///
    /// # Errors
    /// When a figure is below 0.
    pub fn volume_l(&self, length_m: f64, wash_out_share: f64) -> Result<f64, OutOfRange> {
        let length = not_negative("the length (m)", length_m)?;
        let wash_out = not_negative("the share of wash-out", wash_out_share)?;
        let ring = hole_volume_l(self.hole_mm, length) - hole_volume_l(self.casing_mm, length);
        finite("the volume of the annulus (L)", ring * (1.0 + wash_out))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wash_out_adds_its_share() {
        let annulus = Annulus::new(150.0, 63.0).unwrap();
        assert!((annulus.volume_l(6.0, 0.2).unwrap() - 104.8).abs() < 0.05);
        assert!((annulus.gap_mm() - 43.5).abs() < 1e-12);
    }

    #[test]
    fn a_casing_that_does_not_fit_is_refused() {
        assert!(Annulus::new(110.0, 110.0).is_err());
        assert!(Annulus::new(110.0, 0.0).is_err());
    }
}
