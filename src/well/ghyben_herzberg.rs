//! How deep fresh water floats on salt water near a coast.
//!
//! z = h·ρ_f/(ρ_s − ρ_f): with 1000 and 1025 kg/m³ forty times the height h
//! (m) of the water table above the sea lies fresh below the sea. Pumping a
//! metre down costs forty metres of it. Good where both waters rest; beside the
//! shore, where fresh water flows out, there is a little more.
//!
//! A salt cone under a well rises steadily only up to about a third of the
//! way to the screen and then leaps into it (Dagan & Bear 1968, J. Hydraulic
//! Research 6, 15–44; from memory).
//!
//! Source: Badon Ghyben (1888), Herzberg (1901), both named from memory.

use crate::units::OutOfRange;
use crate::units::range::{finite, more_than, not_negative, positive};

/// The density of fresh water, kg/m³.
pub const FRESH_KG_M3: f64 = 1000.0;
/// The density of sea water, kg/m³.
pub const SEA_KG_M3: f64 = 1025.0;
/// The share of the way to the screen that a salt cone may rise.
const STEADY_CONE: f64 = 1.0 / 3.0;

/// z, m below the sea, for water of the usual densities.
///
/// # Errors
/// When the height is below 0: there is then no fresh water to float.
pub fn interface_below_sea_m(table_above_sea_m: f64) -> Result<f64, OutOfRange> {
    interface_m(table_above_sea_m, FRESH_KG_M3, SEA_KG_M3)
}

/// z, m below the sea.
///
/// # Errors
/// When the height is below 0 or the salt water not the heavier.
pub fn interface_m(table_above_sea_m: f64, fresh_kg_m3: f64, salt_kg_m3: f64) -> Result<f64, OutOfRange> {
    let height = not_negative("the height of the water table above the sea (m)", table_above_sea_m)?;
    let fresh = positive("the density of the fresh water (kg/m³)", fresh_kg_m3)?;
    let salt = more_than("the density of the salt water (kg/m³)", salt_kg_m3, fresh)?;
    finite("the depth of the salt water (m)", height * fresh / (salt - fresh))
}

/// A well over salt water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverSalt {
    /// The water table above the sea while nothing is pumped.
    pub table_above_sea_m: f64,
    /// The drawdown of the well.
    pub drawdown_m: f64,
    /// The bottom of the well, below the sea; below 0 where it ends above.
    pub bottom_below_sea_m: f64,
}

/// What the salt water does under it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SaltCone {
    /// Where it lies while nothing is pumped, below the sea.
    pub interface_m: f64,
    /// How far it rises under the well in the end: forty drawdowns.
    pub rise_m: f64,
    /// How far it may rise and stay: a third of the way to the bottom; 0 where
    /// the bottom already stands in it.
    pub steady_rise_m: f64,
    /// Whether the well stays fresh.
    pub stays_fresh: bool,
}

impl OverSalt {
    /// The cone of salt water under the well.
    ///
    /// # Errors
    /// When a figure is out of range.
    pub fn cone(&self) -> Result<SaltCone, OutOfRange> {
        let interface = interface_below_sea_m(self.table_above_sea_m)?;
        let rise = interface_below_sea_m(not_negative("the drawdown (m)", self.drawdown_m)?)?;
        let bottom = finite("the bottom of the well below the sea (m)", self.bottom_below_sea_m)?;
        let steady_rise =
            finite("the way to the salt water (m)", (interface - bottom) * STEADY_CONE)?.max(0.0);
        Ok(SaltCone {
            interface_m: interface,
            rise_m: rise,
            steady_rise_m: steady_rise,
            stays_fresh: steady_rise > 0.0 && rise <= steady_rise,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gentle_well_stays_fresh_and_a_greedy_one_does_not() {
        let well = OverSalt { table_above_sea_m: 1.5, drawdown_m: 0.2, bottom_below_sea_m: 10.0 };
        let cone = well.cone().unwrap();
        assert!((cone.interface_m - 60.0).abs() < 1e-9 && (cone.rise_m - 8.0).abs() < 1e-9);
        assert!(cone.stays_fresh, "{cone:?}");
        assert!(!OverSalt { drawdown_m: 0.5, ..well }.cone().unwrap().stays_fresh);
        assert!(!OverSalt { bottom_below_sea_m: 61.0, drawdown_m: 0.0, ..well }.cone().unwrap().stays_fresh);
    }

    #[test]
    fn a_table_below_the_sea_floats_nothing() {
        assert!(interface_below_sea_m(-0.1).is_err());
        assert!(interface_m(1.0, 1025.0, 1000.0).is_err());
    }
}
