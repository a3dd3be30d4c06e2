//! The drilling water that must stand on site, litres.
//!
//! Methods that keep the hole full need some volumes of the hole and the
//! filling of the pits: n·π/4·d²·L + pits. Common practice: n = 3; e.g. a hole
//! of 125 mm and 20 m holds 245 L, of 150 mm and 30 m 530 L. Jetting with a
//! motor pump in open circulation needs a fixed amount.

use std::f64::consts::PI;

/// What the region assumes of drilling water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillingWater {
    /// Volumes of the hole to have on site.
    pub hole_volumes: f64,
    /// Litres that fill the pits.
    pub pits_l: f64,
}

impl DrillingWater {
    /// For a hole of that diameter and depth kept full of fluid.
    pub fn needed_l(&self, hole_mm: f64, depth_m: f64) -> f64 {
        self.hole_volumes * hole_volume_l(hole_mm, depth_m) + self.pits_l
    }
}

/// The volume of a round hole, litres: π/4·d²·L, with d in millimetres and L
/// in metres.
pub fn hole_volume_l(hole_mm: f64, depth_m: f64) -> f64 {
    // A millimetre squared times a metre is a thousandth of a litre.
    const LITRES_PER_MM2_M: f64 = 1e-3;
    PI / 4.0 * hole_mm * hole_mm * depth_m * LITRES_PER_MM2_M
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_volume_of_a_hole_agrees_with_hand_reckoning() {
        assert!((hole_volume_l(125.0, 20.0) - 245.4).abs() < 0.1);
        assert!((hole_volume_l(150.0, 30.0) - 530.1).abs() < 0.1);
    }

    #[test]
    fn three_volumes_and_the_pits_are_needed() {
        let water = DrillingWater { hole_volumes: 3.0, pits_l: 1000.0 };
        assert!((water.needed_l(125.0, 20.0) - 1736.3).abs() < 0.1);
    }
}
