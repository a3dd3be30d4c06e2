//! Which pipe: the narrowest that takes the pump and leaves room in the hole
//! for pack and seal on every side.

use crate::survey::Method;
use crate::units::Unit;

use super::figures::DesignFigures;
use super::inputs::{CasingSize, DesignInputs};
use super::refusal::{Refusal, RefusalKind};

fn mm(x: f64) -> String {
    Unit::Millimetre.show(x)
}

/// The pipe to buy.
///
/// # Errors
/// Why none will do.
pub(super) fn choose<'a>(
    inputs: &'a DesignInputs,
    figures: &DesignFigures,
) -> Result<&'a CasingSize, Refusal> {
    if inputs.method.method == Method::HandDigging {
        return Err(Refusal::new(
            RefusalKind::DugShaft,
            "A dug shaft is lined from the top down while somebody stands in it; that is not designed here.",
            "Take a method that drills, or leave the shaft to people licensed and equipped for it. Never enter a well or pit.",
        ));
    }
    let lift = &inputs.lift;
    let Some(needs_mm) = lift.needs_casing_mm else {
        return Err(Refusal::new(
            RefusalKind::LiftUnknown,
            format!("Nobody says what casing takes the {}, or none does.", lift.name),
            format!(
                "Name another lift, or write needs_casing_mm of the {} into the local file after asking its maker.",
                lift.name
            ),
        ));
    };
    let wide = || inputs.casings.iter().filter(|c| c.inner_mm >= needs_mm);
    let hole_mm = inputs.method.hole_mm;
    let gap_mm = figures.lengths.annulus_least_mm;
    let narrowest = |casings: &mut dyn Iterator<Item = &'a CasingSize>| {
        casings.min_by(|a, b| {
            a.outer_mm
                .total_cmp(&b.outer_mm)
                .then(b.inner_mm.total_cmp(&a.inner_mm))
                .then(a.name.cmp(&b.name))
        })
    };
    if let Some(casing) = narrowest(&mut wide().filter(|c| c.outer_mm + 2.0 * gap_mm <= hole_mm)) {
        return Ok(casing);
    }
    let Some(nearest) = narrowest(&mut wide()) else {
        let widest = inputs.casings.iter().map(|c| c.inner_mm).max_by(f64::total_cmp);
        return Err(Refusal::new(
            RefusalKind::NoCasing,
            format!(
                "The {} needs casing of {} inside; the widest on the list has {}.",
                lift.name,
                mm(needs_mm),
                widest.map_or_else(|| "no pipe at all".to_owned(), mm)
            ),
            "Add the pipe that suppliers have to the local file ([casings]), or choose a lift for narrower casing.",
        ));
    };
    Err(Refusal::new(
        RefusalKind::CasingDoesNotFit,
        format!(
            "{} with {} on each side for pack and seal needs a hole of {}; {} makes one of {}.",
            nearest.name,
            mm(gap_mm),
            mm(nearest.outer_mm + 2.0 * gap_mm),
            inputs.method.method.name(),
            mm(hole_mm)
        ),
        format!(
            "Ream the hole to {} and write that into the local file, choose a lift for narrower casing, or another method. A casing without room around it cannot be sealed against dirty water from above.",
            mm(nearest.outer_mm + 2.0 * gap_mm)
        ),
    ))
}
