//! Whether fluid carries the cuttings up: its velocity between the hole and
//! the drill pipe against the settling of the biggest grain.
//!
//! v = Q/(π/4·(D² − d²)), and v ≥ 2·w of the biggest cutting (common practice)
//!
//! v m/s; Q flow L/s; D diameter of the hole and d of the pipe mm; w settling
//! velocity m/s. Handbooks ask 0.5 to 0.75 m/s of water-based mud (Driscoll
//! 1986, from memory).

use std::f64::consts::PI;

use crate::units::OutOfRange;
use crate::units::range::{finite, more_than, not_negative, positive};

/// How many times faster than the biggest grain sinks the fluid should rise.
pub const TIMES_SETTLING: f64 = 2.0;
/// What handbooks ask of water-based mud, m/s (from memory).
pub const HANDBOOK_M_PER_S: f64 = 0.5;

/// The ring in which fluid rises.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rise {
    area_m2: f64,
}

/// Whether cuttings come up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    /// How fast the fluid rises.
    pub rise_m_per_s: f64,
    /// How fast the grain nears the surface; below 0 it sinks.
    pub net_m_per_s: f64,
    /// The flow that would be enough, L/s.
    pub needed_lps: f64,
    /// Whether the flow is enough.
    pub enough: bool,
}

const LITRES_PER_M3: f64 = 1000.0;

impl Rise {
    /// Between a hole and a pipe of those diameters; for fluid that rises
    /// inside a pipe give its bore and 0.
    ///
    /// # Errors
    /// When the pipe is below 0 or the hole not the wider.
    pub fn between(hole_mm: f64, pipe_mm: f64) -> Result<Self, OutOfRange> {
        const MM2_PER_M2: f64 = 1e6;
        let pipe = not_negative("the outer diameter of the drill pipe (mm)", pipe_mm)?;
        let hole = more_than("the diameter of the hole (mm)", hole_mm, pipe)?;
        let area = PI / 4.0 * (hole.powi(2) - pipe.powi(2)) / MM2_PER_M2;
        Ok(Self { area_m2: positive("the area of the annulus (m²)", area)? })
    }

    /// The area, m².
    pub fn area_m2(&self) -> f64 {
        self.area_m2
    }

    /// The velocity at that flow, m/s.
    ///
    /// # Errors
    /// When the flow is below 0.
    pub fn velocity_m_per_s(&self, flow_lps: f64) -> Result<f64, OutOfRange> {
        let flow = not_negative("the flow (L/s)", flow_lps)?;
        finite("the uphole velocity (m/s)", flow / LITRES_PER_M3 / self.area_m2)
    }

    /// The flow for that velocity, L/s.
    ///
    /// # Errors
    /// When the velocity is below 0.
    pub fn flow_lps(&self, velocity_m_per_s: f64) -> Result<f64, OutOfRange> {
        let velocity = not_negative("the uphole velocity (m/s)", velocity_m_per_s)?;
        finite("the flow (L/s)", velocity * self.area_m2 * LITRES_PER_M3)
    }

    /// Whether that flow lifts a grain that sinks at that velocity.
    ///
    /// # Errors
    /// When the flow is below 0 or the velocity not above 0.
    pub fn lift(&self, flow_lps: f64, settling_m_per_s: f64) -> Result<Lift, OutOfRange> {
        let settling = positive("the settling velocity (m/s)", settling_m_per_s)?;
        let rise = self.velocity_m_per_s(flow_lps)?;
        Ok(Lift {
            rise_m_per_s: rise,
            net_m_per_s: rise - settling,
            needed_lps: self.flow_lps(TIMES_SETTLING * settling)?,
            enough: rise >= TIMES_SETTLING * settling,
        })
    }
}

/// The widest hole, mm, in which a flow around a pipe lifts a grain that sinks
/// at that velocity: D = √(d² + 4Q/(π·2w)).
///
/// # Errors
/// When the pipe or the flow is below 0 or the velocity not above 0.
pub fn widest_hole_mm(pipe_mm: f64, flow_lps: f64, settling_m_per_s: f64) -> Result<f64, OutOfRange> {
    const MM2_PER_M2: f64 = 1e6;
    let pipe = not_negative("the outer diameter of the drill pipe (mm)", pipe_mm)?;
    let flow = not_negative("the flow (L/s)", flow_lps)?;
    let rise = TIMES_SETTLING * positive("the settling velocity (m/s)", settling_m_per_s)?;
    let area_mm2 = flow / LITRES_PER_M3 / rise * MM2_PER_M2;
    finite("the widest hole (mm)", (pipe.powi(2) + 4.0 / PI * area_mm2).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_widest_hole_lifts_the_grain_just_so() {
        let hole = widest_hole_mm(48.3, 1.0, 0.12642).unwrap();
        let lift = Rise::between(hole, 48.3).unwrap().lift(1.0, 0.12642).unwrap();
        assert!((lift.needed_lps - 1.0).abs() < 1e-9, "{hole}");
        assert!(widest_hole_mm(48.3, 1.0, 0.0).is_err() && widest_hole_mm(-1.0, 1.0, 0.1).is_err());
    }

    /// A hand pump gives about 1 L/s; sand of 1 mm sinks at 0.126 m/s in water
    /// and at 0.040 m/s in mud of 40 s.
    #[test]
    fn a_hand_pump_lifts_coarse_sand_only_in_thickened_fluid() {
        let rise = Rise::between(120.0, 48.3).unwrap();
        let water = rise.lift(1.0, 0.12642).unwrap();
        assert!(!water.enough && water.net_m_per_s < 0.0 && (water.needed_lps - 2.40).abs() < 0.005);
        assert!(rise.lift(1.0, 0.0398).unwrap().enough);
    }

    #[test]
    fn inside_a_narrow_pipe_fluid_rises_fast() {
        let pipe = Rise::between(40.0, 0.0).unwrap();
        assert!(pipe.velocity_m_per_s(0.5).unwrap() > 0.39);
    }

    #[test]
    fn a_pipe_that_fills_the_hole_is_refused() {
        assert!(Rise::between(50.0, 50.0).is_err());
    }
}
