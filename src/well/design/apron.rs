//! The slab around the casing and its drain: concrete by volume, and the bars
//! in it.

use std::f64::consts::PI;

use serde::Serialize;

use crate::units::range::{finite, positive};
use crate::units::{OutOfRange, Unit};

use super::figures::DesignFigures;
use super::formulas;
use super::inputs::CasingSize;
use super::reckoned::{Naming, Reckoned, exactly};

/// What the slab and its drain are made of.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ApronPlan {
    /// Radius of the slab.
    pub radius_m: Reckoned,
    /// Concrete of slab and drain, with what is lost.
    pub concrete_l: Reckoned,
    /// Cement in it.
    pub cement_kg: Reckoned,
    /// Sand in it.
    pub sand_l: Reckoned,
    /// Stone in it.
    pub stone_l: Reckoned,
    /// Reinforcing bar in the slab.
    pub bars_m: Reckoned,
    /// The same by weight.
    pub bars_kg: Reckoned,
}

const SIZES: &[&str] =
    &["apron_radius_m", "apron_thickness_m", "apron_drain_m", "apron_drain_width_m", "concrete_waste_share"];
const PARTS: &[&str] =
    &["concrete_sand_ratio", "concrete_stone_ratio", "concrete_dry_ratio", "cement_bulk_kg_per_m3"];
const BARS: &[&str] = &["apron_bar_mm", "apron_bar_spacing_m", "steel_kg_per_m3"];

/// Slab and drain around a casing.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn plan(figures: &DesignFigures, casing: &CasingSize) -> Result<ApronPlan, OutOfRange> {
    const LITRES_PER_M3: f64 = 1000.0;
    const MM_PER_M: f64 = 1000.0;
    let a = &figures.apron;
    let casing_m = casing.outer_mm / MM_PER_M;
    let slab_m2 = (PI
        * (positive("the radius of the slab (m)", a.radius_m)?.powi(2) - casing_m.powi(2) / 4.0))
        .max(0.0);
    let area_m2 = slab_m2 + a.drain_m * a.drain_width_m;
    let concrete = area_m2 * a.thickness_m * (1.0 + a.waste_share) * LITRES_PER_M3;
    let parts = finite("the parts of concrete", 1.0 + a.sand_parts + a.stone_parts)?;
    let one_part = concrete * a.dry_ratio / parts;
    let bars_m = 2.0 * slab_m2 / positive("the distance between bars (m)", a.bar_spacing_m)?;
    let bars_kg = bars_m * PI / 4.0 * (a.bar_mm / MM_PER_M).powi(2) * a.steel_kg_per_m3;
    let number = |what, unit, formula, rests_on, value: f64, says: &str| {
        Naming { what, unit, formula, figures: rests_on }.number(exactly(value), says.to_owned(), figures)
    };
    Ok(ApronPlan {
        radius_m: number(
            "radius of the slab",
            Unit::Metre,
            &formulas::SIZE,
            &["apron_radius_m"],
            a.radius_m,
            "Sloping away from the casing on every side, with a raised edge, on tamped ground.",
        )?,
        concrete_l: number(
            "concrete",
            Unit::Litre,
            &formulas::CONCRETE,
            SIZES,
            concrete,
            "Slab and drain together; keep it wet and in shade for a week.",
        )?,
        cement_kg: number(
            "cement in the slab",
            Unit::Kilogram,
            &formulas::CONCRETE,
            PARTS,
            one_part / LITRES_PER_M3 * a.cement_bulk_kg_per_m3,
            "Fresh cement without lumps.",
        )?,
        sand_l: number(
            "sand in the slab",
            Unit::Litre,
            &formulas::CONCRETE,
            PARTS,
            one_part * a.sand_parts,
            "Clean and sharp; no salt.",
        )?,
        stone_l: number(
            "stone in the slab",
            Unit::Litre,
            &formulas::CONCRETE,
            PARTS,
            one_part * a.stone_parts,
            "Clean broken stone or gravel up to about 20 mm.",
        )?,
        bars_m: number(
            "bars in the slab",
            Unit::Metre,
            &formulas::BARS,
            BARS,
            bars_m,
            "Laid both ways in the middle of the slab.",
        )?,
        bars_kg: number(
            "bars by weight",
            Unit::Kilogram,
            &formulas::BARS,
            BARS,
            bars_kg,
            "Without laps and waste.",
        )?,
    })
}
