//! How fast a grain sinks in drilling fluid.
//!
//! * Ferguson & Church (2004), J. Sedimentary Research 74, 933–937:
//!   w = R·g·D²/(C₁ν + √(0.75·C₂·R·g·D³)), from silt to gravel; C₁ 18, C₂ 1.0
//!   for natural grains and 0.4 for spheres.
//! * Stokes (1851): w = R·g·D²/(18ν), only while w·D/ν is below about 0.5,
//!   which is sand of 0.1 mm in water: flagged.
//! * Pitt (2000), SPE Drilling & Completion 15: viscosity of mud by the Marsh
//!   funnel, μ = ρ(t − 25) cP, ρ g/cm³, t seconds for a US quart; clean water
//!   runs 26 s. A funnel read by the litre runs longer: say which.
//!
//! w m/s; R = (ρ_s − ρ)/ρ with ρ_s the grain's density and ρ the fluid's
//! kg/m³; g m/s²; D grain m; ν = μ/ρ m²/s.

use super::water::GRAVITY_M_PER_S2;
use crate::units::OutOfRange;
use crate::units::range::{finite, more_than, positive};

/// The density of quartz, kg/m³.
pub const QUARTZ_KG_M3: f64 = 2650.0;
/// The greatest w·D/ν for Stokes's formula.
pub const STOKES_GREATEST_REYNOLDS: f64 = 0.5;

/// What a grain sinks in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fluid {
    density_kg_m3: f64,
    viscosity_pa_s: f64,
}

/// The shape of grains, as the formula of Ferguson & Church takes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grains {
    /// As the river leaves them.
    Natural,
    /// Round as shot.
    Spheres,
}

/// A settling velocity, and whether the formula holds there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stokes {
    /// w.
    pub m_per_s: f64,
    /// Whether w·D/ν is small enough.
    pub holds: bool,
}

impl Fluid {
    /// Of that density and viscosity.
    ///
    /// # Errors
    /// When a figure is not above 0.
    pub fn new(density_kg_m3: f64, viscosity_pa_s: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            density_kg_m3: positive("the density of the fluid (kg/m³)", density_kg_m3)?,
            viscosity_pa_s: positive("the viscosity of the fluid (Pa·s)", viscosity_pa_s)?,
        })
    }

    /// Mud of that density that a Marsh funnel lets a US quart of in so many
    /// seconds.
    ///
    /// # Errors
    /// When the density is not above 0 or the time not above 25 s.
    pub fn by_marsh_funnel(density_kg_m3: f64, seconds_per_quart: f64) -> Result<Self, OutOfRange> {
        const PA_S_PER_CP: f64 = 1e-3;
        Self::new(density_kg_m3, marsh_viscosity_cp(density_kg_m3, seconds_per_quart)? * PA_S_PER_CP)
    }

    /// kg/m³.
    pub fn density_kg_m3(&self) -> f64 {
        self.density_kg_m3
    }

    /// Pa·s.
    pub fn viscosity_pa_s(&self) -> f64 {
        self.viscosity_pa_s
    }

    /// g·(ρ_s − ρ)/ρ and ν.
    fn pull(&self, grain_kg_m3: f64) -> Result<(f64, f64), OutOfRange> {
        let grain = more_than("the density of the grain (kg/m³)", grain_kg_m3, self.density_kg_m3)?;
        let pull = GRAVITY_M_PER_S2 * (grain - self.density_kg_m3) / self.density_kg_m3;
        Ok((pull, self.viscosity_pa_s / self.density_kg_m3))
    }

    /// How fast a grain sinks, by Ferguson & Church, m/s.
    ///
    /// # Errors
    /// When the grain is not above 0 or would float.
    pub fn settling_m_per_s(
        &self,
        grain_mm: f64,
        grain_kg_m3: f64,
        grains: Grains,
    ) -> Result<f64, OutOfRange> {
        let (pull, nu) = self.pull(grain_kg_m3)?;
        ferguson_church_m_per_s(grain_mm, pull, nu, grains)
    }

    /// How fast a small grain sinks, by Stokes.
    ///
    /// # Errors
    /// When the grain is not above 0 or would float.
    pub fn stokes(&self, grain_mm: f64, grain_kg_m3: f64) -> Result<Stokes, OutOfRange> {
        let (pull, nu) = self.pull(grain_kg_m3)?;
        let d = metres(grain_mm)?;
        let w = positive("the settling velocity (m/s)", pull * d.powi(2) / (18.0 * nu))?;
        Ok(Stokes { m_per_s: w, holds: w * d / nu <= STOKES_GREATEST_REYNOLDS })
    }
}

fn metres(grain_mm: f64) -> Result<f64, OutOfRange> {
    const MM_PER_M: f64 = 1000.0;
    Ok(positive("the grain (mm)", grain_mm)? / MM_PER_M)
}

/// The formula of Ferguson & Church by its own figures, m/s: `pull_m_per_s2`
/// is R·g.
///
/// # Errors
/// When a figure is not above 0.
pub fn ferguson_church_m_per_s(
    grain_mm: f64,
    pull_m_per_s2: f64,
    kinematic_viscosity_m2_per_s: f64,
    grains: Grains,
) -> Result<f64, OutOfRange> {
    const C1: f64 = 18.0;
    let c2 = match grains {
        Grains::Natural => 1.0,
        Grains::Spheres => 0.4,
    };
    let d = metres(grain_mm)?;
    let pull = positive("R·g (m/s²)", pull_m_per_s2)?;
    let nu = positive("the kinematic viscosity (m²/s)", kinematic_viscosity_m2_per_s)?;
    let w = pull * d.powi(2) / (C1 * nu + (0.75 * c2 * pull * d.powi(3)).sqrt());
    positive("the settling velocity (m/s)", w)
}

/// The viscosity of mud by Pitt, cP.
///
/// # Errors
/// When the density is not above 0 or the time not above 25 s, which no fluid
/// runs.
pub fn marsh_viscosity_cp(density_kg_m3: f64, seconds_per_quart: f64) -> Result<f64, OutOfRange> {
    const KG_M3_PER_G_CM3: f64 = 1000.0;
    const FASTEST_S: f64 = 25.0;
    let density = positive("the density of the mud (kg/m³)", density_kg_m3)? / KG_M3_PER_G_CM3;
    let time = more_than("the time of the Marsh funnel (s/quart)", seconds_per_quart, FASTEST_S)?;
    finite("the viscosity of the mud (cP)", density * (time - FASTEST_S))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn water() -> Fluid {
        Fluid::new(998.2, 1.002e-3).unwrap()
    }

    /// Settling of natural quartz in water of 20 °C, m/s by grain in mm,
    /// reckoned apart from this code with g = 9.81 m/s².
    #[test]
    fn the_formula_spans_silt_to_gravel() {
        for (grain, w) in [
            (0.0625, 0.00320),
            (0.1, 0.00753),
            (0.2, 0.02324),
            (0.5, 0.07110),
            (1.0, 0.12642),
            (2.0, 0.19667),
            (4.0, 0.28834),
        ] {
            let got = water().settling_m_per_s(grain, QUARTZ_KG_M3, Grains::Natural).unwrap();
            assert!((got / w - 1.0).abs() < 2e-3, "{grain} mm: {got}");
        }
    }

    #[test]
    fn small_grains_follow_stokes_and_big_ones_are_flagged() {
        let small = water().stokes(0.02, QUARTZ_KG_M3).unwrap();
        let both = water().settling_m_per_s(0.02, QUARTZ_KG_M3, Grains::Natural).unwrap();
        assert!(small.holds && (both / small.m_per_s - 1.0).abs() < 0.05);
        assert!(!water().stokes(1.0, QUARTZ_KG_M3).unwrap().holds);
    }

    #[test]
    fn grains_that_float_and_mud_that_outruns_water_are_refused() {
        assert!(water().settling_m_per_s(1.0, 900.0, Grains::Natural).is_err());
        assert!(Fluid::by_marsh_funnel(1000.0, 25.0).is_err());
    }
}
