//! Whether water enters the screen slowly enough, and how wide its slots may
//! be.

use serde::Serialize;

use crate::units::{OutOfRange, Part, Unit};

use super::super::entrance::{Screen, limit_in_ground_m_per_s};
use super::depths::Cases;
use super::figures::DesignFigures;
use super::formulas;
use super::inputs::{CasingSize, DesignInputs};
use super::reckoned::{Naming, Reckoned, over, rising};

/// The check of the velocity through the slots.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EntranceCheck {
    /// The velocity.
    pub velocity_m_per_s: Reckoned,
    /// The greatest that is allowed.
    pub limit_m_per_s: f64,
    /// Whether the greatest velocity stays within the limit.
    pub passes: bool,
    /// The screen that the rate needs.
    pub length_needed_m: Reckoned,
    /// The rate that the shortest likely screen takes.
    pub rate_allowed_lps: f64,
    /// The lower limit for the tightest ground the layer may be, by the
    /// permeability of TI 814-01 (1998); `None` where that is not known.
    pub tight_ground_limit_m_per_s: Option<f64>,
}

/// The face of the slotted pipe with its share of blocked slots.
fn face(casing: &CasingSize, figures: &DesignFigures) -> Result<Screen, OutOfRange> {
    Screen::new(casing.outer_mm, casing.open_share, figures.lengths.screen_blocked_share)
}

/// The length of screen to aim for: the usual, or what the greatest rate
/// needs.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn length_wanted_m(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    casing: &CasingSize,
) -> Result<f64, OutOfRange> {
    let l = &figures.lengths;
    let needed = face(casing, figures)?.length_m(inputs.rate_lps.high, l.entrance_velocity_most_m_per_s)?;
    // Pipe is cut to the decimetre.
    let needed = (needed * 10.0).ceil() / 10.0;
    Ok(needed.max(l.screen_usual_m).max(l.screen_least_m))
}

const RESTS_ON: &[&str] = &["screen_blocked_share", "entrance_velocity_most_m_per_s"];

/// The check for a screen of those lengths.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn check(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    casing: &CasingSize,
    cases: &Cases,
) -> Result<EntranceCheck, OutOfRange> {
    let screen = face(casing, figures)?;
    let limit = figures.lengths.entrance_velocity_most_m_per_s;
    let length = cases.over(|d| d.screen_bottom - d.screen_top);
    let rate = inputs.rate_lps;
    let velocity = Part {
        low: screen.velocity_m_per_s(rate.low, length.high)?,
        value: screen.velocity_m_per_s(rate.value, length.value)?,
        high: screen.velocity_m_per_s(rate.high, length.low)?,
    };
    let needed = rising(rate, |q| screen.length_m(q, limit))?;
    let passes = velocity.high <= limit;
    let naming = Naming {
        what: "entrance velocity",
        unit: Unit::MetrePerSecond,
        formula: &formulas::ENTRANCE,
        figures: RESTS_ON,
    };
    let says = if passes {
        "Water enters the slots slowly enough.".to_owned()
    } else {
        format!(
            "Water may enter the slots too fast, which wears them and draws sand: {} of screen would do.",
            Unit::Metre.show(needed.high)
        )
    };
    let velocity_m_per_s = naming.number(velocity, says, figures)?;
    let naming = Naming { what: "screen that the rate needs", unit: Unit::Metre, ..naming };
    let says = "So much screen keeps the rate within the greatest velocity.".to_owned();
    let tight = inputs.aquifer().and_then(super::inputs::DesignLayer::conductivity_m_per_day);
    Ok(EntranceCheck {
        velocity_m_per_s,
        limit_m_per_s: limit,
        passes,
        length_needed_m: naming.number(over(needed.value, &[needed.low, needed.high]), says, figures)?,
        rate_allowed_lps: screen.rate_lps(limit, length.low)?,
        tight_ground_limit_m_per_s: tight.and_then(|k| limit_in_ground_m_per_s(k.low).ok()),
    })
}
