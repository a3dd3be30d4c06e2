//! How fast water enters a screen, which wears it, draws sand and makes it
//! clog when too fast.
//!
//! v = Q/(π·D·L·f·(1 − b))
//!
//! v m/s; Q rate L/s; D outer diameter of the screen mm; L its length in the
//! water m; f open share of its face; b share of the slots that grains block,
//! half by common practice.
//!
//! Limit 0.03 m/s (0.1 ft/s): US Army TI 814-01 (1998), Water Supply, p. 5-16.
//! Its finer table by the ground's conductivity is [`limit_in_ground_m_per_s`].

use std::f64::consts::PI;

use crate::units::OutOfRange;
use crate::units::range::{between, finite, from_to, not_negative, positive};

/// The greatest velocity, m/s.
pub const LIMIT_M_PER_S: f64 = 0.03;
/// The share of slots that grains block.
pub const BLOCKED_SHARE: f64 = 0.5;

const LITRES_PER_M3: f64 = 1000.0;
const MM_PER_M: f64 = 1000.0;

/// The face of a screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screen {
    outer_mm: f64,
    open_share: f64,
    blocked_share: f64,
}

impl Screen {
    /// Of that outer diameter and open share, of which grains block a share.
    ///
    /// # Errors
    /// When the diameter is not above 0, the open share not above 0 and below
    /// 1, or the blocked share not from 0 to below 1.
    pub fn new(outer_mm: f64, open_share: f64, blocked_share: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            outer_mm: positive("the outer diameter of the screen (mm)", outer_mm)?,
            open_share: between("the open share of the screen", open_share, 0.0, 1.0)?,
            blocked_share: from_to("the blocked share of the slots", blocked_share, 0.0, 1f64.next_down())?,
        })
    }

    /// The open area of a metre of it, m²/m.
    pub fn open_m2_per_m(&self) -> f64 {
        PI * self.outer_mm / MM_PER_M * self.open_share * (1.0 - self.blocked_share)
    }

    /// The velocity at that rate through that length, m/s.
    ///
    /// # Errors
    /// When the rate is below 0 or the length not above 0.
    pub fn velocity_m_per_s(&self, rate_lps: f64, length_m: f64) -> Result<f64, OutOfRange> {
        let rate = not_negative("the rate (L/s)", rate_lps)?;
        let length = positive("the length of the screen (m)", length_m)?;
        finite("the entrance velocity (m/s)", rate / LITRES_PER_M3 / (self.open_m2_per_m() * length))
    }

    /// The rate that reaches a velocity, L/s.
    ///
    /// # Errors
    /// When a figure is not above 0.
    pub fn rate_lps(&self, velocity_m_per_s: f64, length_m: f64) -> Result<f64, OutOfRange> {
        let area = self.open_m2_per_m() * positive("the length of the screen (m)", length_m)?;
        let velocity = positive("the entrance velocity (m/s)", velocity_m_per_s)?;
        finite("the rate (L/s)", velocity * area * LITRES_PER_M3)
    }

    /// The length that keeps a rate below a velocity, m.
    ///
    /// # Errors
    /// When the rate is below 0 or the velocity not above 0.
    pub fn length_m(&self, rate_lps: f64, velocity_m_per_s: f64) -> Result<f64, OutOfRange> {
        let area = open_area_m2(rate_lps, velocity_m_per_s)?;
        finite("the length of the screen (m)", area / self.open_m2_per_m())
    }
}

/// The open area that keeps a rate below a velocity, m².
///
/// # Errors
/// When the rate is below 0 or the velocity not above 0.
pub fn open_area_m2(rate_lps: f64, velocity_m_per_s: f64) -> Result<f64, OutOfRange> {
    let rate = not_negative("the rate (L/s)", rate_lps)?;
    let velocity = positive("the entrance velocity (m/s)", velocity_m_per_s)?;
    finite("the open area (m²)", rate / LITRES_PER_M3 / velocity)
}

/// The velocity that TI 814-01 (1998) allows by the ground's permeability:
/// from this many US gallons a day and square foot on, this many feet a minute.
const BY_PERMEABILITY: [(f64, f64); 8] = [
    (5000.0, 10.0),
    (4000.0, 9.0),
    (3000.0, 8.0),
    (2500.0, 7.0),
    (2000.0, 6.0),
    (1500.0, 5.0),
    (1000.0, 4.0),
    (500.0, 3.0),
];
/// Below the least permeability of the table.
const TIGHTEST_FT_PER_MIN: f64 = 2.0;

/// The velocity allowed in ground of that conductivity, m/s, stepping down at
/// each figure of the table. In the loosest ground the table allows more than
/// the single limit.
///
/// # Errors
/// When the conductivity is not above 0.
pub fn limit_in_ground_m_per_s(conductivity_m_per_day: f64) -> Result<f64, OutOfRange> {
    // A US gallon is 3.785411784e-3 m³, a foot 0.3048 m.
    const M_PER_DAY_IN_GPD_FT2: f64 = 3.785_411_784e-3 / (0.3048 * 0.3048);
    const M_PER_S_IN_FT_PER_MIN: f64 = 0.3048 / 60.0;
    let gpd_ft2 = positive("the conductivity (m/d)", conductivity_m_per_day)? / M_PER_DAY_IN_GPD_FT2;
    let row = BY_PERMEABILITY.iter().find(|(from, _)| gpd_ft2 >= *from);
    Ok(row.map_or(TIGHTEST_FT_PER_MIN, |(_, ft)| *ft) * M_PER_S_IN_FT_PER_MIN)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn length_rate_and_velocity_undo_one_another() {
        let screen = Screen::new(63.0, 0.08, BLOCKED_SHARE).unwrap();
        let length = screen.length_m(0.3, LIMIT_M_PER_S).unwrap();
        assert!((screen.rate_lps(LIMIT_M_PER_S, length).unwrap() - 0.3).abs() < 1e-12);
        assert!((screen.velocity_m_per_s(0.3, length).unwrap() - LIMIT_M_PER_S).abs() < 1e-12);
    }

    /// 2 ft/min is 0.0102 m/s, 10 ft/min 0.0508 m/s; 5000 gpd/ft² is 203.7 m/d.
    #[test]
    fn tight_ground_allows_less_than_loose_ground() {
        assert!((limit_in_ground_m_per_s(1.0).unwrap() - 0.010_16).abs() < 1e-6);
        assert!((limit_in_ground_m_per_s(204.0).unwrap() - 0.0508).abs() < 1e-6);
        assert!((limit_in_ground_m_per_s(203.0).unwrap() - 0.045_72).abs() < 1e-6);
    }

    #[test]
    fn a_screen_without_holes_is_refused() {
        assert!(Screen::new(63.0, 0.0, 0.5).is_err());
        assert!(Screen::new(63.0, 0.08, 1.0).is_err());
    }
}
