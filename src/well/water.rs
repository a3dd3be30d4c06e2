//! Density and viscosity of water by its temperature.

use crate::units::OutOfRange;
use crate::units::range::from_to;

/// The fall of a body, m/s² (standard gravity, by definition).
pub const GRAVITY_M_PER_S2: f64 = 9.806_65;

/// Fresh water at rest under the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    /// Mass of a cubic metre.
    pub density_kg_m3: f64,
    /// Dynamic viscosity.
    pub viscosity_pa_s: f64,
}

impl Water {
    /// Water at a temperature from 0 to 40 °C.
    ///
    /// ρ = 999.97495·(1 − (t − 3.983035)²(t + 301.797)/(522528.9(t + 69.34881)))
    /// (Tanaka et al. 2001, Metrologia 38, 301–309; from memory).
    /// μ = 497e-6·ρ/(t + 42.5)^1.5 Pa·s, as used in models of microbes in
    /// groundwater by the Dutch waterworks (BTO 2012.015, as quoted in a
    /// public implementation); within 1 % of tables from 5 to 35 °C.
    ///
    /// # Errors
    /// When the temperature lies outside.
    pub fn at(temperature_c: f64) -> Result<Self, OutOfRange> {
        let t = from_to("the temperature of the water (°C)", temperature_c, 0.0, 40.0)?;
        let density =
            999.974_95 * (1.0 - (t - 3.983_035).powi(2) * (t + 301.797) / (522_528.9 * (t + 69.348_81)));
        Ok(Self { density_kg_m3: density, viscosity_pa_s: 497e-6 * density / (t + 42.5).powf(1.5) })
    }

    /// Kinematic viscosity, m²/s.
    pub fn kinematic_viscosity_m2_per_s(&self) -> f64 {
        self.viscosity_pa_s / self.density_kg_m3
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tables of pure water: 999.70 kg/m³ and 1.307 mPa·s at 10 °C, 998.20 and
    /// 1.002 at 20 °C, 995.65 and 0.798 at 30 °C (handbook values, from
    /// memory).
    #[test]
    fn agrees_with_the_tables() {
        for (t, density, viscosity) in
            [(10.0, 999.70, 1.307e-3), (20.0, 998.20, 1.002e-3), (30.0, 995.65, 0.798e-3)]
        {
            let water = Water::at(t).unwrap();
            assert!((water.density_kg_m3 - density).abs() < 0.01, "{water:?}");
            assert!((water.viscosity_pa_s / viscosity - 1.0).abs() < 0.01, "{water:?}");
        }
    }

    #[test]
    fn ice_and_steam_are_refused() {
        assert!(Water::at(-1.0).is_err() && Water::at(60.0).is_err());
    }
}
