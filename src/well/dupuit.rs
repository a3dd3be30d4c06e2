//! The water table between two rivers or ditches, with rain that reaches it.
//!
//! h² = h₁² − (h₁² − h₂²)·x/L + (w/K)(L − x)x
//! q(x) = K(h₁² − h₂²)/(2L) − w(L/2 − x)
//! divide at d = L/2 − (K/w)(h₁² − h₂²)/(2L)
//!
//! h height of the water above a level base m, h₁ at x = 0 and h₂ at x = L; K
//! conductivity m/d; w recharge m/d, below 0 where water is lost to the air;
//! q flow per metre of bank towards growing x m²/d. Good where the water's
//! slope is small.
//!
//! Source: Dupuit (1863), Forchheimer (1886), as Fetter (2001), Applied
//! Hydrogeology, gives it.

use crate::units::OutOfRange;
use crate::units::range::{finite, from_to, not_negative, positive};

/// The ground between two open waters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// K.
    pub conductivity_m_per_day: f64,
    /// From one water to the other.
    pub length_m: f64,
    /// h₁.
    pub near_height_m: f64,
    /// h₂.
    pub far_height_m: f64,
    /// w; 0 for none.
    pub recharge_m_per_day: f64,
}

impl Strip {
    /// K, L and h₁² − h₂², once all figures stand.
    fn checked(&self) -> Result<(f64, f64, f64), OutOfRange> {
        let k = positive("the conductivity (m/d)", self.conductivity_m_per_day)?;
        let length = positive("the length of the strip (m)", self.length_m)?;
        let near = not_negative("the height of the nearer water (m)", self.near_height_m)?;
        let far = not_negative("the height of the farther water (m)", self.far_height_m)?;
        finite("the recharge (m/d)", self.recharge_m_per_day)?;
        Ok((k, length, near.powi(2) - far.powi(2)))
    }

    /// The height of the water at a distance from the nearer bank, m.
    ///
    /// # Errors
    /// When a figure is out of range, the distance outside the strip, or the
    /// air takes more than flows in and the ground there is dry.
    pub fn height_m(&self, from_near_m: f64) -> Result<f64, OutOfRange> {
        let (k, length, squares) = self.checked()?;
        let x = from_to("the distance from the nearer water (m)", from_near_m, 0.0, length)?;
        let square = self.near_height_m.powi(2) - squares * x / length
            + self.recharge_m_per_day / k * (length - x) * x;
        Ok(not_negative("the square of the height of the water (m²)", square)?.sqrt())
    }

    /// The flow per metre of bank at a distance from the nearer bank, towards
    /// the farther one, m²/d.
    ///
    /// # Errors
    /// When a figure is out of range or the distance outside the strip.
    pub fn flow_m2_per_day(&self, from_near_m: f64) -> Result<f64, OutOfRange> {
        let (k, length, squares) = self.checked()?;
        let x = from_to("the distance from the nearer water (m)", from_near_m, 0.0, length)?;
        let flow = k * squares / (2.0 * length) - self.recharge_m_per_day * (length / 2.0 - x);
        finite("the flow (m²/d)", flow)
    }

    /// Where the water parts, from the nearer bank, m; `None` where all of it
    /// goes one way.
    ///
    /// # Errors
    /// When a figure is out of range.
    pub fn divide_m(&self) -> Result<Option<f64>, OutOfRange> {
        let (k, length, squares) = self.checked()?;
        if self.recharge_m_per_day <= 0.0 {
            return Ok(None);
        }
        let at = length / 2.0 - k / self.recharge_m_per_day * squares / (2.0 * length);
        Ok(Some(at).filter(|d| *d > 0.0 && *d < length))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STRIP: Strip = Strip {
        conductivity_m_per_day: 1.728,
        length_m: 175.0,
        near_height_m: 10.0,
        far_height_m: 7.5,
        recharge_m_per_day: 0.0,
    };

    #[test]
    fn the_table_meets_both_waters() {
        assert!((STRIP.height_m(0.0).unwrap() - 10.0).abs() < 1e-12);
        assert!((STRIP.height_m(175.0).unwrap() - 7.5).abs() < 1e-12);
    }

    /// Fetter (2001), chapter 4: 0.21 m²/d and 8.8 m in the middle, with K
    /// rounded (from memory).
    #[test]
    fn without_rain_the_flow_is_the_same_everywhere() {
        assert!((STRIP.flow_m2_per_day(0.0).unwrap() - 0.2160).abs() < 1e-4);
        assert!((STRIP.flow_m2_per_day(100.0).unwrap() - 0.2160).abs() < 1e-4);
        assert!((STRIP.height_m(87.5).unwrap() - 8.8388).abs() < 1e-4);
        assert_eq!(STRIP.divide_m().unwrap(), None);
    }

    #[test]
    fn ground_that_the_air_dries_out_is_refused() {
        assert!(Strip { recharge_m_per_day: -1.0, ..STRIP }.height_m(80.0).is_err());
        assert!(STRIP.height_m(200.0).is_err());
    }
}
