//! The well as it is to be set in the hole: where its screen stands in the
//! water of the driest month, and what closes it off from above. Metres below
//! ground, millimetres, hours.

use super::hole::read_rows;
use super::sheet::{Answer, Sheet, estimate};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::survey::Seen;
use crate::units::{Estimate, Unit};

pub(super) const WORKS: Works = &[
    ("hole_dry_level_m", dry_level),
    ("screen_m", |s| less(&c(s).screen_bottom_m, &c(s).screen_top_m, SCREEN)),
    ("screen_below_dry_m", screen_below_dry),
    ("screen_in_water_m", screen_in_water),
    ("pack_over_screen_m", |s| less(&c(s).screen_top_m, &c(s).pack_top_m, PACK)),
    ("clay_seal_m", |s| less(&c(s).clay_bottom_m, &c(s).clay_top_m, CLAY)),
    ("sanitary_seal_m", sanitary_seal),
    ("sump_m", |s| less(&c(s).depth_m, &c(s).screen_bottom_m, SUMP)),
    ("annulus_mm", annulus),
    ("developed_h", developed),
    ("clear_of_sand", clear_of_sand),
];

const SCREEN: &str = "Write down the depths of the top and the bottom of the screen.";
const PACK: &str = "Tape the depth of the top of the gravel pack, and write it down with that of the screen.";
const CLAY: &str =
    "Tape the depths of the top and the bottom of the clay seal on the pack, and write them down.";
const SUMP: &str = "Write down the depth of the bottom of the casing and of the bottom of the screen.";

fn c(s: &SiteFacts) -> &crate::survey::Completion {
    &s.site.completion
}

/// How far the first lies below the second.
fn less(below: &Option<Seen<f64>>, above: &Option<Seen<f64>>, ask: &str) -> Answer {
    let mut sheet = Sheet::new();
    let (below, above) = (sheet.take_any(below.as_ref()).copied(), sheet.take_any(above.as_ref()).copied());
    match below.zip(above) {
        Some((below, above)) => sheet.number(Estimate::exact(Unit::Metre, below - above)),
        None => {
            sheet.ask(AskKind::Tape, ask);
            Ok(sheet.unknown())
        }
    }
}

fn dry_level(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.hole_dry_level(&mut sheet)? {
        Some(level) => sheet.number(Ok(level)),
        None => Ok(sheet.unknown()),
    }
}

fn screen_below_dry(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let top = sheet.take_any(c(s).screen_top_m.as_ref()).copied();
    let dry = s.hole_dry_level(&mut sheet)?;
    if top.is_none() {
        sheet.ask(AskKind::Write, SCREEN);
    }
    match top.zip(dry) {
        Some((top, dry)) => sheet.number(Ok(dry.scaled(Unit::Metre, -1.0, top))),
        None => Ok(sheet.unknown()),
    }
}

/// Length of the screen that stands in water-bearing ground below the
/// driest-month level.
fn screen_in_water(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let top = sheet.take_any(c(s).screen_top_m.as_ref()).copied();
    let bottom = sheet.take_any(c(s).screen_bottom_m.as_ref()).copied();
    let dry = s.hole_dry_level(&mut sheet)?;
    s.ask_for_words(&mut sheet);
    read_rows(s.site.drilling.progress.iter().map(|r| &r.from), &mut sheet);
    let Some((top, bottom)) = top.zip(bottom) else {
        sheet.ask(AskKind::Write, SCREEN);
        return Ok(sheet.unknown());
    };
    let (low, value, high) = s.bearing_m(dry.as_ref(), top, bottom);
    sheet.number(estimate(Unit::Metre, Some(low), value, Some(high)))
}

fn as_written(seen: &Option<Seen<f64>>, unit: Unit, how: AskKind, ask: &str) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(seen.as_ref()).copied() {
        Some(x) => sheet.number(Estimate::exact(unit, x)),
        None => {
            sheet.ask(how, ask);
            Ok(sheet.unknown())
        }
    }
}

fn sanitary_seal(s: &SiteFacts) -> Answer {
    let ask = "Write down to which depth the space around the casing is sealed from the ground down.";
    as_written(&c(s).sanitary_seal_m, Unit::Metre, AskKind::Tape, ask)
}

fn annulus(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let hole = sheet.take_any(s.site.drilling.hole_mm.as_ref()).copied();
    let casing = sheet.take_any(c(s).casing_mm.as_ref()).copied();
    match hole.zip(casing) {
        Some((hole, casing)) => sheet.number(Estimate::exact(Unit::Millimetre, hole - casing)),
        None => {
            sheet.ask(AskKind::Tape, "Measure the bit and the casing, and write down both diameters.");
            Ok(sheet.unknown())
        }
    }
}

fn developed(s: &SiteFacts) -> Answer {
    let ask = "Surge and bail the well, and write down for how many hours.";
    as_written(&c(s).developed_hours, Unit::Hour, AskKind::Write, ask)
}

fn clear_of_sand(s: &SiteFacts) -> Answer {
    let ask =
        "Fill a bucket, let it stand, look for sand and cloud, and write down whether the water came clear.";
    said(&c(s).clear_of_sand, AskKind::Look, ask)
}

/// Yes or no as it was written.
pub(super) fn said(seen: &Option<Seen<bool>>, how: AskKind, ask: &str) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(seen.as_ref()) {
        Some(true) => sheet.word("yes"),
        Some(false) => sheet.word("no"),
        None => {
            sheet.ask(how, ask);
            Ok(sheet.unknown())
        }
    }
}
