//! What can hurt the crew, and what water above the ground does at the peg.

use super::ground::paced;
use super::sheet::{Answer, Sheet};
use super::site::Works;
use super::{AskKind, SiteFacts, Value};
use crate::survey::{Flooding, Ordnance};
use crate::units::{Estimate, Unit};

pub(super) const WORKS: Works = &[
    ("overhead_line_margin_m", overhead_line_margin),
    ("unexploded_ordnance", ordnance),
    ("working_room_m", working_room),
    ("flooding", flooding),
    ("slope_pct", slope),
];

fn overhead_line_margin(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let nearest = s.known("nearest_overhead_line_m");
    sheet.lean_on(&nearest);
    let height = sheet.take_any(s.site.plan.tower_height_m.as_ref()).copied();
    if height.is_none() {
        sheet.ask(
            AskKind::Write,
            "Write down the height of the tower, tripod or longest raised pipe, whichever is greatest.",
        );
    }
    let Value::Estimate(nearest) = &nearest.value else { return Ok(sheet.unknown()) };
    match height {
        Some(height) => sheet.number(Ok(nearest.scaled(Unit::Metre, 1.0, -height))),
        // Whatever is raised takes something off the distance.
        None => sheet.number(Estimate::bounded(Unit::Metre, None, nearest.high())),
    }
}

fn ordnance(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(s.site.ground.ordnance.as_ref()) {
        Some(Ordnance::NoneKnown) => sheet.word("none known"),
        Some(Ordnance::Cleared) => sheet.word("cleared"),
        Some(Ordnance::Suspected) => sheet.word("suspected"),
        None => {
            sheet.ask(
                AskKind::Ask,
                "Ask the elders and the authorities whether there was fighting here and whether explosives may lie in the ground.",
            );
            Ok(sheet.unknown())
        }
    }
}

fn working_room(s: &SiteFacts) -> Answer {
    let ask =
        (AskKind::Tape, "Tape how far the ground around the peg is level and clear on its narrowest side.");
    paced(s, s.site.ground.working_room_m.as_ref(), ask)
}

fn flooding(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(s.site.ground.flooding.as_ref()) {
        Some(Flooding::Never) => sheet.word("never"),
        Some(Flooding::SomeYears) => sheet.word("some years"),
        Some(Flooding::EveryYear) => sheet.word("every year"),
        None => {
            sheet.ask(
                AskKind::Ask,
                "Ask the people who live there whether the peg has ever been under flood water, and look for flood marks.",
            );
            Ok(sheet.unknown())
        }
    }
}

fn slope(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(s.site.ground.slope_pct.as_ref()) {
        Some(pct) => sheet.number(Estimate::exact(Unit::Percent, *pct)),
        None => {
            sheet.ask(AskKind::Look, "Look how steeply the ground falls at the peg and write it down.");
            Ok(sheet.unknown())
        }
    }
}
