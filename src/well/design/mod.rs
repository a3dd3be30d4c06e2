//! How is the well to be built? One sheet for one layer that may bear water:
//! hole, casing, screen, pack, seals, slab, fluid, development and
//! disinfection, each number with its range, its formula and its source. Call
//! it once for each plausible layer ([`plausible_aquifers`]) and each method.
//!
//! The formulas stand in the modules of `crate::well`; here they are put
//! together. The region's figures come in by [`DesignFigures`], the ground,
//! the levels, the pump and the pipe by [`DesignInputs`]. What cannot be
//! designed is refused with all its reasons at once, each with a remedy.
//!
//! Three cases are reckoned: water high with little drawdown, the likely, and
//! water deep with much drawdown. A range spans the three and the ranges of
//! the figures: low ≤ likely ≤ high. Where the deepest water leaves no room
//! for a screen, the range spans the other two and a warning says so.
//!
//! The sheet advises; local codes and licensed practitioners decide.

mod apron;
mod casing;
mod depths;
mod drilling;
mod figures;
mod filling;
mod finishing;
mod formulas;
mod inputs;
mod lift;
mod pack;
mod reckoned;
mod refusal;
mod screen;
mod sheet;
mod warnings;

#[cfg(test)]
mod tests;

pub use apron::ApronPlan;
pub use drilling::{DrillingPlan, FluidLoss, WallPlan};
pub use figures::{Apron, DesignFigures, DrillingFluid, Filling, Finishing, Lengths, Told};
pub use filling::FillingPlan;
pub use finishing::{Dose, FinishingPlan};
pub use inputs::{
    CasingSize, Circulation, DesignInputs, DesignLayer, DesignLift, DesignMethod, Sieve, plausible_aquifers,
};
pub use lift::{CuttingsLift, Enough, FluidLift};
pub use pack::{PackGrain, PackNeed, SlotFit};
pub use reckoned::{Reckoned, SourceLine};
pub use refusal::{Refusal, RefusalKind};
pub use screen::EntranceCheck;
pub use sheet::{AquiferPlan, PipePlan, Warning, WellDesignSheet};

use crate::ground::Sure;
use crate::units::{OutOfRange, Part, Unit};

use super::annulus::Annulus;
use super::supply::litres_per_day;
use depths::Cases;
use formulas::Formula;
use reckoned::{Naming, exactly};

/// The well in the layer that the inputs name.
///
/// # Errors
/// Everything that stands against it, each with a remedy.
pub fn design_well(inputs: &DesignInputs, figures: &DesignFigures) -> Result<WellDesignSheet, Vec<Refusal>> {
    let faults: Vec<Refusal> = inputs.faults().into_iter().map(Refusal::from).collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let casing = casing::choose(inputs, figures);
    // Without a casing the least screen still says whether there is room.
    let wanted = match &casing {
        Ok(c) => screen::length_wanted_m(inputs, figures, c).map_err(Refusal::from),
        Err(_) => Ok(figures.lengths.screen_least_m),
    };
    let wanted = wanted.map_err(|refusal| vec![refusal])?;
    match (casing, depths::place(inputs, figures, wanted)) {
        (Ok(casing), Ok((layer, cases))) => {
            sheet_of(inputs, figures, layer, casing, &cases).map_err(|e| vec![e.into()])
        }
        (casing, placed) => Err(casing.err().into_iter().chain(placed.err().into_iter().flatten()).collect()),
    }
}

fn sheet_of(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    layer: &DesignLayer,
    casing: &CasingSize,
    cases: &Cases,
) -> Result<WellDesignSheet, OutOfRange> {
    let grain = pack::grain(inputs, layer, casing, figures)?;
    let mut sheet = WellDesignSheet {
        aquifer: AquiferPlan {
            layer: inputs.aquifer,
            top_m: layer.top_m,
            bottom_m: layer.bottom_m,
            ground: layer.may_be().to_string(),
            surely_bears_water: layer.may_be().are(inputs::bears_water) == Sure::Yes,
        },
        method: inputs.method.method,
        lift: inputs.lift.name.clone(),
        daily_l: Naming {
            what: "water in a day",
            unit: Unit::Litre,
            formula: &formulas::DAILY,
            figures: &[],
        }
        .number(
            reckoned::rising(inputs.rate_lps, |q| Ok(litres_per_day(q, inputs.hours_per_day)))?,
            format!(
                "At the rate wanted over {} hours; the test says what it is.",
                Unit::One.show(inputs.hours_per_day)
            ),
            figures,
        )?,
        pipe: pipe(inputs, figures, casing, cases)?,
        entrance: screen::check(inputs, figures, casing, cases)?,
        filling: filling::plan(inputs, figures, casing, grain.need, cases)?,
        grain,
        apron: apron::plan(figures, casing)?,
        drilling: drilling::plan(inputs, figures, cases)?,
        finishing: finishing::plan(inputs, figures, casing, cases)?,
        warnings: Vec::new(),
        assumed: Vec::new(),
    };
    sheet.warnings = warnings::warnings(inputs, figures, cases, &sheet);
    sheet.assumed = warnings::assumed(inputs, &sheet);
    Ok(sheet)
}

/// Hole, casing and screen.
fn pipe(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    casing: &CasingSize,
    cases: &Cases,
) -> Result<PipePlan, OutOfRange> {
    let above = figures.lengths.casing_above_ground_m;
    let ring = Annulus::new(inputs.method.hole_mm, casing.outer_mm)?;
    let number = |what, unit, formula: &'static Formula, rests_on, part: Part, says: &str| {
        Naming { what, unit, formula, figures: rests_on }.number(part, says.to_owned(), figures)
    };
    let (size, stack) = (&formulas::SIZE, &formulas::STACK);
    Ok(PipePlan {
        casing: casing.clone(),
        hole_mm: number(
            "diameter of the hole",
            Unit::Millimetre,
            size,
            &[],
            exactly(inputs.method.hole_mm),
            "What the method makes; measure the bit.",
        )?,
        gap_mm: number(
            "space on each side of the casing",
            Unit::Millimetre,
            size,
            &["annulus_least_mm"],
            exactly(ring.gap_mm()),
            "Room for pack and seal all round; centralisers keep it.",
        )?,
        depth_m: number(
            "depth of hole and casing",
            Unit::Metre,
            stack,
            &["submergence_m", "screen_m", "screen_usual_m", "sump_m"],
            cases.over(|d| d.bottom),
            "Below ground; the log decides in the end.",
        )?,
        above_ground_m: number(
            "casing out of the ground",
            Unit::Metre,
            size,
            &["casing_above_ground_m"],
            exactly(above),
            "Capped from the hour it is set; higher than any flood.",
        )?,
        blind_m: number(
            "blind pipe to the screen",
            Unit::Metre,
            stack,
            &["casing_above_ground_m"],
            cases.over(|d| d.screen_top + above),
            "From its top above ground.",
        )?,
        screen_top_m: number(
            "top of the screen",
            Unit::Metre,
            stack,
            &["submergence_m", "pack_over_screen_m", "sanitary_seal_m"],
            cases.over(|d| d.screen_top),
            "Below the driest level and inside the layer.",
        )?,
        screen_bottom_m: number(
            "bottom of the screen",
            Unit::Metre,
            stack,
            &["screen_m", "screen_usual_m"],
            cases.over(|d| d.screen_bottom),
            "Inside the layer, not into the ground below it.",
        )?,
        screen_m: number(
            "length of the screen",
            Unit::Metre,
            stack,
            &["screen_m", "screen_usual_m"],
            cases.over(|d| d.screen_bottom - d.screen_top),
            "All of it opposite ground that bears water.",
        )?,
        sump_m: number(
            "sump",
            Unit::Metre,
            size,
            &["sump_m"],
            exactly(figures.lengths.sump_m),
            "Blind and capped: what falls in collects there.",
        )?,
        pumping_level_m: number(
            "water while pumping",
            Unit::Metre,
            stack,
            &[],
            Part {
                low: inputs.dry_level_m.low + inputs.drawdown_m.low,
                value: inputs.dry_level_m.value + inputs.drawdown_m.value,
                high: inputs.dry_level_m.high + inputs.drawdown_m.high,
            },
            "The driest level and the drawdown; below ground.",
        )?,
        intake_m: number(
            "intake of the pump",
            Unit::Metre,
            stack,
            &["submergence_m"],
            cases.over(|d| d.intake),
            "In blind pipe above the slots where there is room.",
        )?,
    })
}
