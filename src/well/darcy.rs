//! Water seeping through ground: how much, how fast, and through layers.
//!
//! q = K·i (m/d), v = K·i/n (m/d), Q = K·A·i (m³/d)
//!
//! K conductivity m/d; i slope of the water, m of fall per m of way; n
//! effective porosity; A area across the flow m². Good while the flow is
//! smooth, which it is in sand away from a well's wall.
//!
//! Layers of thickness b: along them Kₕ = ΣKb/Σb, across them Kᵥ = Σb/Σ(b/K),
//! and at an angle θ to them 1/K = cos²θ/Kₕ + sin²θ/Kᵥ.
//!
//! Source: Darcy (1856); layers as in Freeze & Cherry (1979), Groundwater,
//! chapter 2 (from memory).

use crate::units::OutOfRange;
use crate::units::range::{finite, from_to, not_negative, positive, share};

/// q = K·i, m/d: the rate per area of ground and pores together.
///
/// # Errors
/// When a figure is below 0, or K is 0.
pub fn flux_m_per_day(conductivity_m_per_day: f64, gradient: f64) -> Result<f64, OutOfRange> {
    let k = positive("the conductivity (m/d)", conductivity_m_per_day)?;
    finite("the flux (m/d)", k * not_negative("the slope of the water", gradient)?)
}

/// v = K·i/n, m/d: how fast the water itself moves on.
///
/// # Errors
/// As [`flux_m_per_day`], or when the porosity is not above 0 and at most 1.
pub fn velocity_m_per_day(
    conductivity_m_per_day: f64,
    gradient: f64,
    effective_porosity: f64,
) -> Result<f64, OutOfRange> {
    let n = share("the effective porosity", positive("the effective porosity", effective_porosity)?)?;
    finite("the velocity (m/d)", flux_m_per_day(conductivity_m_per_day, gradient)? / n)
}

/// Q = K·A·i, m³/d.
///
/// # Errors
/// As [`flux_m_per_day`], or when the area is not above 0.
pub fn discharge_m3_per_day(
    conductivity_m_per_day: f64,
    gradient: f64,
    area_m2: f64,
) -> Result<f64, OutOfRange> {
    let area = positive("the area across the flow (m²)", area_m2)?;
    finite("the discharge (m³/d)", flux_m_per_day(conductivity_m_per_day, gradient)? * area)
}

/// One layer of ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// Its thickness.
    pub thickness_m: f64,
    /// Its conductivity, in any unit that all layers share.
    pub conductivity: f64,
}

/// The conductivity of layers together, in the unit of theirs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layered {
    /// Along the layers.
    pub along: f64,
    /// Across them.
    pub across: f64,
}

impl Layered {
    /// Of those layers.
    ///
    /// # Errors
    /// When there is none, or a figure is not above 0.
    pub fn of(layers: &[Layer]) -> Result<Self, OutOfRange> {
        let (mut thickness, mut passed, mut withheld) = (0.0, 0.0, 0.0);
        for layer in layers {
            let b = positive("the thickness of a layer (m)", layer.thickness_m)?;
            let k = positive("the conductivity of a layer", layer.conductivity)?;
            thickness += b;
            passed += k * b;
            withheld += b / k;
        }
        let thickness = positive("the thickness of all layers (m)", thickness)?;
        Ok(Self {
            along: positive("the conductivity along the layers", passed / thickness)?,
            across: positive("the conductivity across the layers", thickness / withheld)?,
        })
    }

    /// At an angle to the layers: 0° is along, 90° across.
    ///
    /// # Errors
    /// When the angle lies outside 0 to 90.
    pub fn at_angle(&self, angle_deg: f64) -> Result<f64, OutOfRange> {
        let angle = from_to("the angle to the layers (°)", angle_deg, 0.0, 90.0)?.to_radians();
        let resistance = angle.cos().powi(2) / self.along + angle.sin().powi(2) / self.across;
        positive("the conductivity at that angle", 1.0 / resistance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_layer_is_the_same_every_way() {
        let one = Layered::of(&[Layer { thickness_m: 2.0, conductivity: 3.0 }]).unwrap();
        assert!((one.along - 3.0).abs() < 1e-12 && (one.across - 3.0).abs() < 1e-12);
        assert!((one.at_angle(37.0).unwrap() - 3.0).abs() < 1e-12);
    }

    #[test]
    fn no_layer_and_no_ground_are_refused() {
        assert!(Layered::of(&[]).is_err());
        assert!(velocity_m_per_day(1.0, 0.01, 0.0).is_err());
        assert!(velocity_m_per_day(1.0, 0.01, 1.5).is_err());
        assert!(flux_m_per_day(1.0, -0.01).is_err());
    }

    #[test]
    fn a_thin_tight_layer_rules_what_passes_across() {
        let layers = [(3.0, 10.0), (0.1, 1e-3)];
        let layers = layers.map(|(thickness_m, conductivity)| Layer { thickness_m, conductivity });
        let both = Layered::of(&layers).unwrap();
        assert!(both.along > 9.0 && both.across < 0.04, "{both:?}");
    }
}
