//! How much chlorine product disinfects a well, its pack or its water.
//!
//! m = C·V/(1000·a) g, or V·C/(1e6·a)·1000 mL of a liquid whose strength is a
//! share of mass per volume
//!
//! C dose mg/L, 50 to 200 for a new well (common practice); V water L; a share
//! of available chlorine in the product: 0.65 to 0.70 for high-test
//! hypochlorite, 0.25 to 0.35 for bleaching powder, 0.05 for household bleach
//! (common practice; powders lose strength in store).
//!
//! Checked against the doses of Alberta Agriculture, Water Wells That Last,
//! module 6, and of WHO/UNHCR (1997).

use std::f64::consts::PI;

use crate::units::OutOfRange;
use crate::units::range::{between, finite, not_negative, positive};

const MG_PER_G: f64 = 1000.0;
const LITRES_PER_M3: f64 = 1000.0;

/// The mass of a dry product, g.
///
/// # Errors
/// When the dose or the water is below 0, or the strength not above 0 and
/// below 1.
pub fn product_g(dose_mg_l: f64, water_l: f64, available_share: f64) -> Result<f64, OutOfRange> {
    let dose = not_negative("the dose (mg/L)", dose_mg_l)?;
    let water = not_negative("the water (L)", water_l)?;
    // All of it chlorine would be the gas, which has no place on a site.
    let available = between("the share of available chlorine", available_share, 0.0, 1.0)?;
    finite("the chlorine product (g)", dose * water / (MG_PER_G * available))
}

/// The volume of a liquid product, L, whose strength is given as kilograms of
/// chlorine in a litre (5.25 % is 0.0525).
///
/// # Errors
/// As [`product_g`].
pub fn product_l(dose_mg_l: f64, water_l: f64, available_kg_per_l: f64) -> Result<f64, OutOfRange> {
    const G_PER_KG: f64 = 1000.0;
    Ok(product_g(dose_mg_l, water_l, available_kg_per_l)? / G_PER_KG)
}

/// The water in a round shaft, L.
///
/// # Errors
/// When the diameter is not above 0 or the depth of the water below 0.
pub fn shaft_water_l(diameter_m: f64, water_m: f64) -> Result<f64, OutOfRange> {
    let diameter = positive("the diameter (m)", diameter_m)?;
    let water = not_negative("the depth of the water (m)", water_m)?;
    finite("the water (L)", PI / 4.0 * diameter.powi(2) * water * LITRES_PER_M3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weaker_product_needs_more_of_it() {
        let strong = product_g(100.0, 500.0, 0.70).unwrap();
        assert!((product_g(100.0, 500.0, 0.35).unwrap() / strong - 2.0).abs() < 1e-12);
    }

    /// The exact dose for 100 mg/L in 400 L is 61.5 g of 65 %; MIL-HDBK-1164
    /// prints 66 g, 107 mg/L.
    #[test]
    fn the_exact_dose_is_given_and_not_a_rounded_one() {
        assert!((product_g(100.0, 400.0, 0.65).unwrap() - 61.54).abs() < 0.01);
    }

    #[test]
    fn strengths_in_percent_are_refused() {
        assert!(product_g(100.0, 400.0, 65.0).is_err());
        assert!(product_g(100.0, 400.0, 0.0).is_err());
    }
}
