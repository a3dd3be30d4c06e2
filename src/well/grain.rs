//! What the grains of a sand say of the water it lets through.
//!
//! * Hazen (1893, 1911): K = C·d₁₀², K in cm/s and d₁₀ in cm; C 40–80 for very
//!   fine or poorly sorted, 80–120 for clean medium to coarse, 120–150 for
//!   coarse and well sorted sand (from memory of Fetter 2001, Applied
//!   Hydrogeology). For d₁₀ from 0.1 to 3 mm (from memory; others end at
//!   2.5).
//! * Kozeny (1927), Carman (1937): K = (ρg/μ)·n³/(1 − n)²·d²/180, K in m/s, d
//!   m, n porosity, ρ and μ density and viscosity of the water. Not for clay.
//! * Uniformity: d₆₀/d₁₀.
//!
//! d₁₀ and d₆₀: a tenth and six tenths of the mass are finer.

use super::water::{GRAVITY_M_PER_S2, Water};
use crate::units::OutOfRange;
use crate::units::range::{at_least, between, finite, from_to, positive};

/// Seconds in a day.
const SECONDS_PER_DAY: f64 = 86_400.0;

/// Grains that Hazen's formula was made for, mm.
pub const HAZEN_GRAINS_MM: (f64, f64) = (0.1, 3.0);

/// A conductivity by grain size, and whether the formula was made for such
/// grains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrainConductivity {
    /// K.
    pub m_per_day: f64,
    /// Whether the grains lie inside the formula's range.
    pub in_range: bool,
}

/// K by Hazen's formula with the coefficient C.
///
/// # Errors
/// When the grain is not above 0 or C lies outside 1 to 1000.
pub fn hazen(coefficient: f64, d10_mm: f64) -> Result<GrainConductivity, OutOfRange> {
    const MM_PER_CM: f64 = 10.0;
    const CM_PER_M: f64 = 100.0;
    let c = from_to("Hazen's coefficient", coefficient, 1.0, 1000.0)?;
    let d10 = positive("d10 (mm)", d10_mm)?;
    let cm_per_s = c * (d10 / MM_PER_CM).powi(2);
    Ok(GrainConductivity {
        m_per_day: positive("the conductivity (m/d)", cm_per_s / CM_PER_M * SECONDS_PER_DAY)?,
        in_range: d10 >= HAZEN_GRAINS_MM.0 && d10 <= HAZEN_GRAINS_MM.1,
    })
}

/// K by the formula of Kozeny and Carman, m/d.
///
/// # Errors
/// When the grain is not above 0, the porosity not between 0 and 1, or the
/// water's figures not above 0.
pub fn kozeny_carman_m_per_day(porosity: f64, d10_mm: f64, water: &Water) -> Result<f64, OutOfRange> {
    const MM_PER_M: f64 = 1000.0;
    let n = between("the porosity", porosity, 0.0, 1.0)?;
    let d = positive("d10 (mm)", d10_mm)? / MM_PER_M;
    let density = positive("the density of the water (kg/m³)", water.density_kg_m3)?;
    let viscosity = positive("the viscosity of the water (Pa·s)", water.viscosity_pa_s)?;
    let m_per_s = density * GRAVITY_M_PER_S2 / viscosity * n.powi(3) / (1.0 - n).powi(2) * d.powi(2) / 180.0;
    positive("the conductivity (m/d)", m_per_s * SECONDS_PER_DAY)
}

/// d₆₀/d₁₀; below about 2.5 a sand is uniform.
///
/// # Errors
/// When d₁₀ is not above 0 or d₆₀ is less.
pub fn uniformity(d10_mm: f64, d60_mm: f64) -> Result<f64, OutOfRange> {
    let d10 = positive("d10 (mm)", d10_mm)?;
    finite("the uniformity", at_least("d60 (mm)", d60_mm, d10)? / d10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grains_that_the_formula_was_not_made_for_are_flagged() {
        assert!(hazen(100.0, 0.66).unwrap().in_range);
        assert!(!hazen(100.0, 0.058).unwrap().in_range);
        assert!(!hazen(100.0, 5.0).unwrap().in_range);
    }

    #[test]
    fn warmer_water_passes_more_easily() {
        let at = |t| kozeny_carman_m_per_day(0.35, 0.2, &Water::at(t).unwrap()).unwrap();
        assert!(at(30.0) > at(10.0));
    }

    #[test]
    fn grains_the_wrong_way_round_are_refused() {
        assert!(uniformity(1.0, 0.5).is_err());
        assert!(hazen(100.0, 0.0).is_err());
        assert!(kozeny_carman_m_per_day(1.0, 0.2, &Water::at(20.0).unwrap()).is_err());
    }
}
