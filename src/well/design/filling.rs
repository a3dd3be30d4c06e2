//! What fills the space around the casing, from the bottom up: pack, clay on
//! the pack, backfill, and the seal from the ground down.

use serde::Serialize;

use crate::units::{OutOfRange, Part, Unit};

use super::super::annulus::Annulus;
use super::depths::Cases;
use super::figures::DesignFigures;
use super::formulas;
use super::inputs::{CasingSize, DesignInputs};
use super::pack::PackNeed;
use super::reckoned::{Naming, Reckoned, exactly, rising};

/// What fills the space around the casing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FillingPlan {
    /// Depth of the pack's top.
    pub pack_top_m: Reckoned,
    /// Pack.
    pub pack_l: Reckoned,
    /// Depth of the top of the clay on the pack.
    pub clay_top_m: Reckoned,
    /// Clay on the pack.
    pub clay_l: Reckoned,
    /// The same, dry.
    pub clay_kg: Reckoned,
    /// Clean clay or cuttings between the clay and the seal.
    pub backfill_l: Reckoned,
    /// How deep the grout reaches; the clay makes up what lacks to the depth
    /// of the sanitary seal.
    pub grout_bottom_m: Reckoned,
    /// Grout.
    pub grout_l: Reckoned,
    /// Cement in the grout.
    pub grout_cement_kg: Reckoned,
    /// Water in the grout.
    pub grout_water_l: Reckoned,
}

const WASH_OUT: &[&str] = &["wash_out_low_share", "wash_out_mid_share", "wash_out_high_share"];

const fn volume(what: &'static str) -> Naming {
    Naming { what, unit: Unit::Litre, formula: &formulas::ANNULUS, figures: WASH_OUT }
}

fn depth(what: &'static str, figures: &'static [&'static str]) -> Naming {
    Naming { what, unit: Unit::Metre, formula: &formulas::STACK, figures }
}

/// The litres that a kilogram of cement makes of grout.
fn grout_l_per_kg(figures: &DesignFigures) -> Result<f64, OutOfRange> {
    const LITRES_PER_M3: f64 = 1000.0;
    let fill = &figures.filling;
    let grain = crate::units::range::positive("the density of cement (kg/m³)", fill.cement_grain_kg_per_m3)?;
    let water =
        crate::units::range::not_negative("the water in grout by cement", fill.grout_water_per_cement)?;
    Ok(LITRES_PER_M3 / grain + water)
}

/// The filling of those cases.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn plan(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    casing: &CasingSize,
    need: PackNeed,
    cases: &Cases,
) -> Result<FillingPlan, OutOfRange> {
    let fill = &figures.filling;
    let ring = Annulus::new(inputs.method.hole_mm, casing.outer_mm)?;
    let filled = |length: Part| -> Result<Part, OutOfRange> {
        let w = fill.wash_out_share;
        Ok(Part {
            low: ring.volume_l(length.low.max(0.0), w.low)?,
            value: ring.volume_l(length.value.max(0.0), w.value)?,
            high: ring.volume_l(length.high.max(0.0), w.high)?,
        })
    };
    let pack = match need {
        PackNeed::OwnPack => exactly(0.0),
        PackNeed::HoldsGround | PackNeed::SupportsWall => filled(cases.over(|d| d.bottom - d.pack_top))?,
    };
    let clay = filled(cases.over(|d| d.pack_top - d.clay_top))?;
    let grout = filled(cases.over(|d| d.grout_bottom))?;
    let backfill = filled(cases.over(|d| d.clay_top - d.grout_bottom))?;
    let clay_kg = rising(clay, |l| Ok(l * fill.seal_clay_kg_per_m3 / 1000.0))?;
    let per_kg = grout_l_per_kg(figures)?;
    let cement = rising(grout, |l| Ok(l / per_kg))?;
    let water = rising(cement, |kg| Ok(kg * fill.grout_water_per_cement))?;
    let said = |s: &str| s.to_owned();
    Ok(FillingPlan {
        pack_top_m: depth("top of the pack", &["pack_over_screen_m"]).number(
            cases.over(|d| d.pack_top),
            said("The pack settles while the well is developed: measure its top again before sealing."),
            figures,
        )?,
        pack_l: volume("pack").number(
            pack,
            match need {
                PackNeed::OwnPack => said("None: the ground falls in and makes its own while the well is developed."),
                _ => said("Washed and disinfected, poured slowly down a pipe all round the screen and the sump."),
            },
            figures,
        )?,
        clay_top_m: depth("top of the clay on the pack", &["pack_seal_m"]).number(
            cases.over(|d| d.clay_top),
            said("Swelling clay keeps the grout out of the pack."),
            figures,
        )?,
        clay_l: volume("clay on the pack").number(clay, said("Let it swell before grouting."), figures)?,
        clay_kg: Naming {
            what: "dry clay",
            unit: Unit::Kilogram,
            formula: &formulas::BULK,
            figures: &["seal_clay_kg_per_m3"],
        }
        .number(clay_kg, said("Chips or pellets, dry and loose."), figures)?,
        backfill_l: volume("backfill").number(
            backfill,
            said("Clean clay or clean cuttings, tamped; nothing that rots."),
            figures,
        )?,
        grout_bottom_m: depth("bottom of the grout", &["sanitary_seal_m", "pack_seal_m"]).number(
            cases.over(|d| d.grout_bottom),
            format!(
                "Grout, or clay below it, seals the casing to {} at least; placed from the bottom up through a pipe.",
                Unit::Metre.show(fill.sanitary_seal_m)
            ),
            figures,
        )?,
        grout_l: volume("grout").number(grout, said("Cement and clean water, nothing else."), figures)?,
        grout_cement_kg: Naming {
            what: "cement in the grout",
            unit: Unit::Kilogram,
            formula: &formulas::GROUT,
            figures: &["grout_water_per_cement_ratio", "cement_grain_kg_per_m3"],
        }
        .number(cement, said("Let it set a day before anybody works on the casing."), figures)?,
        grout_water_l: Naming {
            what: "water in the grout",
            unit: Unit::Litre,
            formula: &formulas::GROUT,
            figures: &["grout_water_per_cement_ratio"],
        }
        .number(water, said("No more: thin grout shrinks and leaks."), figures)?,
    })
}
