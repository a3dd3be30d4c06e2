//! What holds the wall of an open hole: the fluid's pressure above that of the
//! water in the ground.
//!
//! Δp = ρ_m·g·z_f − ρ_w·g·(z − d)
//!
//! Δp at depth z m, Pa (given in kPa); z_f height of fluid above that depth m;
//! d depth of the water table m; ρ_m and ρ_w density of fluid and water kg/m³.
//! Nothing or less: loose sand caves in. Common practice asks for fluid at
//! least 1 to 2 m above the water table, always.

use super::water::GRAVITY_M_PER_S2;
use crate::units::OutOfRange;
use crate::units::range::{finite, from_to, positive};

/// The density of the water in the ground, kg/m³.
const WATER_KG_M3: f64 = 1000.0;

/// A hole that fluid keeps open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenHole {
    /// The density of the fluid.
    pub fluid_kg_m3: f64,
    /// The depth of the fluid's surface below ground; below 0 in a stand-pipe.
    pub fluid_depth_m: f64,
    /// The depth of the water table below ground; below 0 where it would rise
    /// above it.
    pub table_depth_m: f64,
}

impl OpenHole {
    /// What supports the wall at a depth, kPa; below 0 the ground pushes in.
    ///
    /// # Errors
    /// When the density is not above 0, a depth lies outside 0 to 1000 m, or a
    /// surface is more than 100 m above ground.
    pub fn support_kpa(&self, depth_m: f64) -> Result<f64, OutOfRange> {
        const PA_PER_KPA: f64 = 1000.0;
        let depth = from_to("the depth (m)", depth_m, 0.0, 1000.0)?;
        let density = positive("the density of the fluid (kg/m³)", self.fluid_kg_m3)?;
        let fluid = from_to("the depth of the fluid (m)", self.fluid_depth_m, -100.0, 1000.0)?;
        let table = from_to("the depth of the water table (m)", self.table_depth_m, -100.0, 1000.0)?;
        // Above its surface neither presses.
        let fluid_pa = density * GRAVITY_M_PER_S2 * (depth - fluid).max(0.0);
        let water_pa = WATER_KG_M3 * GRAVITY_M_PER_S2 * (depth - table).max(0.0);
        finite("the support of the wall (kPa)", (fluid_pa - water_pa) / PA_PER_KPA)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FULL: OpenHole = OpenHole { fluid_kg_m3: 1000.0, fluid_depth_m: 0.0, table_depth_m: 4.0 };

    #[test]
    fn a_table_at_the_surface_leaves_water_nothing_to_hold_with() {
        let drowned = OpenHole { table_depth_m: 0.0, ..FULL };
        assert!(drowned.support_kpa(10.0).unwrap().abs() < 1e-9);
        let raised = OpenHole { fluid_depth_m: -1.0, ..drowned };
        assert!((raised.support_kpa(10.0).unwrap() - 9.807).abs() < 1e-3);
    }

    #[test]
    fn fluid_let_down_below_the_table_lets_the_ground_push_in() {
        assert!(OpenHole { fluid_depth_m: 6.0, ..FULL }.support_kpa(10.0).unwrap() < 0.0);
    }

    #[test]
    fn the_figures_of_a_full_hole_agree_with_hand_reckoning() {
        assert!((FULL.support_kpa(10.0).unwrap() - 39.2).abs() < 0.05);
        let mud = OpenHole { fluid_kg_m3: 1050.0, ..FULL };
        assert!((mud.support_kpa(10.0).unwrap() - 44.1).abs() < 0.05);
        assert!((OpenHole { table_depth_m: 0.5, ..mud }.support_kpa(10.0).unwrap() - 9.81).abs() < 0.01);
    }
}
