//! Development and disinfection.

use serde::Serialize;

use crate::units::{OutOfRange, Part, Unit};

use super::super::chlorine::{product_g, product_l};
use super::super::drilling_water::hole_volume_l;
use super::depths::Cases;
use super::figures::DesignFigures;
use super::formulas;
use super::inputs::{CasingSize, DesignInputs};
use super::reckoned::{Naming, Reckoned, exactly, shown};

/// Development and disinfection.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FinishingPlan {
    /// Surging and bailing.
    pub development_h: Reckoned,
    /// The water to dose.
    pub water_l: Reckoned,
    /// The dose by product: take one of them.
    pub doses: Vec<Dose>,
    /// How long it stands.
    pub contact_h: Reckoned,
}

/// How much of one product.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dose {
    /// The product.
    pub product: &'static str,
    /// The chlorine available in it: share of its mass, or kilograms in a
    /// litre of bleach.
    pub strength: f64,
    /// Grams of a dry product, millilitres of bleach.
    pub amount: Reckoned,
}

const ML_PER_L: f64 = 1000.0;
const DOSE: [&str; 3] = ["chlorine_dose_low_mg_l", "chlorine_dose_mid_mg_l", "chlorine_dose_high_mg_l"];
const HYPOCHLORITE: &[&str] = &["high_test_hypochlorite_share", DOSE[0], DOSE[1], DOSE[2]];
const POWDER: &[&str] = &["bleaching_powder_share", DOSE[0], DOSE[1], DOSE[2]];
const BLEACH: &[&str] = &["household_bleach_share", DOSE[0], DOSE[1], DOSE[2]];

/// The plan for those cases.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn plan(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    casing: &CasingSize,
    cases: &Cases,
) -> Result<FinishingPlan, OutOfRange> {
    let f = &figures.finishing;
    let water = well_water(inputs, figures, casing, cases);
    let water_l = Naming {
        what: "water to dose",
        unit: Unit::Litre,
        formula: &formulas::WELL_WATER,
        figures: &["chlorine_water_ratio"],
    }
    .number(
        water,
        format!(
            "{} times what the casing holds, from the driest to the wettest level, so that the pack has its share.",
            Unit::One.show(f.water_ratio)
        ),
        figures,
    )?;
    let doses = vec![
        dry("high-test hypochlorite", f.hypochlorite_share, HYPOCHLORITE, water, figures)?,
        dry("bleaching powder", f.powder_share, POWDER, water, figures)?,
        dose("household bleach", f.bleach_share, Unit::Millilitre, BLEACH, water, figures, |mg_l, l| {
            Ok(product_l(mg_l, l, f.bleach_share)? * ML_PER_L)
        })?,
    ];
    let development_h = Naming {
        what: "development",
        unit: Unit::Hour,
        formula: &formulas::DEVELOPMENT,
        figures: &["development_low_h", "development_mid_h", "development_high_h"],
    }
    .number(
        f.development_h,
        "Surge and bail from the top of the screen down until the water runs clear and without sand."
            .to_owned(),
        figures,
    )?;
    let contact_h = Naming {
        what: "standing of the dose",
        unit: Unit::Hour,
        formula: &formulas::DEVELOPMENT,
        figures: &["chlorine_contact_h"],
    }
    .number(
        exactly(f.contact_h),
        "Nobody draws water meanwhile; then pump to waste, away from gardens and ponds, until no smell is left.".to_owned(),
        figures,
    )?;
    Ok(FinishingPlan { development_h, water_l, doses, contact_h })
}

/// The water in the casing from the level down, times what is dosed: least in
/// the driest month, most in the wettest.
fn well_water(inputs: &DesignInputs, figures: &DesignFigures, casing: &CasingSize, cases: &Cases) -> Part {
    let bottom = cases.over(|d| d.bottom);
    let ratio = figures.finishing.water_ratio;
    let litres =
        |bottom: f64, level: f64| hole_volume_l(casing.inner_mm, (bottom - level.max(0.0)).max(0.0)) * ratio;
    let likely = litres(bottom.value, f64::midpoint(inputs.dry_level_m.value, inputs.wet_level_m.value));
    let least = litres(bottom.low, inputs.dry_level_m.high);
    super::reckoned::over(likely, &[least, litres(bottom.high, inputs.wet_level_m.low)])
}

fn dry(
    product: &'static str,
    strength: f64,
    rests_on: &'static [&'static str],
    water: Part,
    figures: &DesignFigures,
) -> Result<Dose, OutOfRange> {
    dose(product, strength, Unit::Gram, rests_on, water, figures, |mg_l, l| product_g(mg_l, l, strength))
}

fn dose(
    product: &'static str,
    strength: f64,
    unit: Unit,
    rests_on: &'static [&'static str],
    water: Part,
    figures: &DesignFigures,
    amount: impl Fn(f64, f64) -> Result<f64, OutOfRange>,
) -> Result<Dose, OutOfRange> {
    let c = figures.finishing.dose_mg_l;
    let part = Part {
        low: amount(c.low, water.low)?,
        value: amount(c.value, water.value)?,
        high: amount(c.high, water.high)?,
    };
    let says = format!(
        "For {}, by the strength {} of {product}; {}",
        shown(c, Unit::MilligramPerLitre),
        Unit::One.show(strength),
        if unit == Unit::Gram {
            "stir powder into water, never water into powder, and pour off the clear."
        } else {
            "plain bleach only, without scent or thickener."
        }
    );
    let naming = Naming { what: product, unit, formula: &formulas::CHLORINE, figures: rests_on };
    Ok(Dose { product, strength, amount: naming.number(part, says, figures)? })
}
