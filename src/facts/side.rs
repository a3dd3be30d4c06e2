//! What lies up-slope and up-gradient of the peg: the nearest source of
//! fouling, and of faecal germs, on that side; metres.
//!
//! A source that lies on the side only perhaps lowers the near end and says
//! nothing of the far end. Where nobody knows the side, all lie on it perhaps.

use super::hazards::{ask_to_search, ask_where_to_tape, kinds, may_be_nearest, name_the_nearest, searched};
use super::near::{Source, hazard_name, place_of};
use super::sector::{Sector, Within};
use super::sheet::{Answer, Sheet};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::survey::{Hazard, HazardKind};
use crate::units::{Combine, Estimate, Part, Unit};

pub(super) const WORKS: Works = &[
    ("slopes", slopes),
    ("nearest_upslope_source_m", upslope),
    ("nearest_upgradient_source_m", |s| upgradient(s, &kinds(HazardKind::can_foul))),
    ("nearest_upgradient_faecal_source_m", |s| upgradient(s, &kinds(HazardKind::is_faecal))),
];

/// Which side of the peg is meant.
enum Side<'a> {
    /// None: the ground is flat.
    None,
    /// Nobody says which it is.
    Unknown,
    /// That on which this says a source lies. `sure`: it may ever say surely,
    /// and there surely is such a side.
    Judged { within: &'a dyn Fn(&Hazard, &Source) -> Within, sure: bool },
}

/// Whether the ground falls enough for anything to lie up-slope.
fn slopes(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let flat_pct = s.prior("slope_flat_pct")?;
    match sheet.take_any(s.site.ground.slope_pct.as_ref()) {
        Some(pct) if *pct < flat_pct => sheet.word("no"),
        Some(_) => sheet.word("yes"),
        None => {
            sheet.ask(AskKind::Look, "Look how steeply the ground falls at the peg and write it down.");
            Ok(sheet.unknown())
        }
    }
}

fn upslope(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let fouling = kinds(HazardKind::can_foul);
    let flat_pct = s.prior("slope_flat_pct")?;
    let half_angle_deg = s.prior("upslope_half_angle_deg")?;
    let compass_deg = s.prior("bearing_error_deg")?;
    let pct = sheet.take_any(s.site.ground.slope_pct.as_ref()).copied();
    if pct.is_some_and(|pct| pct < flat_pct) {
        sheet.note("the ground is flat: nothing lies up-slope");
        return on_side(s, &fouling, &Side::None, "up-slope", sheet);
    }
    let Some(towards) = &s.site.ground.slope_towards_deg else {
        sheet.ask(
            AskKind::Look,
            "Look which way the ground falls at the peg, and how steeply, and write both down.",
        );
        return on_side(s, &fouling, &Side::Unknown, "up-slope", sheet);
    };
    if pct.is_none() {
        sheet.ask(AskKind::Look, "Look how steeply the ground falls at the peg and write it down.");
    }
    let sector = Sector { middle_deg: sheet.take(towards) + 180.0, half_angle_deg };
    let within = |h: &Hazard, source: &Source| sector.holds(&s.site.peg.at.value, h, source, compass_deg);
    on_side(s, &fouling, &Side::Judged { within: &within, sure: pct.is_some() }, "up-slope", sheet)
}

fn upgradient(s: &SiteFacts, kinds: &[HazardKind]) -> Answer {
    let mut sheet = Sheet::new();
    let Some(flow) = s.flow_side(&mut sheet)? else {
        return on_side(s, kinds, &Side::Unknown, "up-gradient", sheet);
    };
    let within = |h: &Hazard, source: &Source| flow.holds(&s.site.peg.at.value, h, source);
    let side = Side::Judged { within: &within, sure: flow.may_be_sure() };
    on_side(s, kinds, &side, "up-gradient", sheet)
}

/// The nearest source of some kinds on one side of the peg.
fn on_side(s: &SiteFacts, kinds: &[HazardKind], side: &Side<'_>, where_: &str, mut sheet: Sheet) -> Answer {
    let looked_for = searched(s, kinds, &mut sheet);
    let mut sure: Vec<Source> = Vec::new();
    let mut perhaps: Vec<Source> = Vec::new();
    match side {
        Side::None => {}
        Side::Unknown => {
            for kind in kinds {
                perhaps.extend(s.sources(*kind)?.iter().copied());
            }
        }
        Side::Judged { within, sure: may_be_sure } => {
            let within = |source: &Source| s.hazard(source).map_or(Within::Perhaps, |h| within(h, source));
            for kind in kinds {
                // Beyond one that lies there for certain nothing matters; nor,
                // where that cannot be, beyond one that perhaps does.
                let ends = |source: &Source| match within(source) {
                    Within::Surely => true,
                    Within::Perhaps => !may_be_sure,
                    Within::No => false,
                };
                let found = s.sources_until(*kind, |found, complete_m| {
                    found.iter().any(|f| f.distance.high <= complete_m && ends(f))
                })?;
                for source in found {
                    match within(&source) {
                        Within::Surely if *may_be_sure => sure.push(source),
                        Within::Surely | Within::Perhaps => perhaps.push(source),
                        Within::No => {}
                    }
                }
            }
        }
    }
    let low = |of: &[Source]| of.iter().map(|s| s.distance.low).min_by(f64::total_cmp);
    for source in may_be_nearest(&perhaps) {
        sheet.read_source(s, &source);
    }
    if let Some((nearest, hazard)) = perhaps
        .iter()
        .min_by(|a, b| a.distance.low.total_cmp(&b.distance.low))
        .and_then(|n| Some((n, s.hazard(n)?)))
    {
        let place = place_of(&nearest.distance, nearest.bearing_deg);
        sheet.note(format!("{} may lie {where_}, {place}", hazard_name(hazard)));
        ask_where_to_tape(s, &[*nearest], &mut sheet);
    }
    let perhaps_low = low(&perhaps);
    let any_low = [perhaps_low, low(&sure)].into_iter().flatten().min_by(f64::total_cmp);
    ask_to_search(s, kinds, any_low, &mut sheet);
    let estimate = if sure.is_empty() {
        let Some(searched) = looked_for else { return Ok(sheet.unknown()) };
        let low = perhaps_low.map_or(searched, |l| l.min(searched));
        Estimate::bounded(Unit::Metre, Some(low), None)
    } else {
        name_the_nearest(s, &sure, &mut sheet);
        ask_where_to_tape(s, &sure, &mut sheet);
        let parts: Vec<Part> = sure.iter().map(|s| s.distance).collect();
        Estimate::combined(Unit::Metre, Combine::Least, parts).map(|e| {
            let e = perhaps_low.map_or_else(|| e.clone(), |l| e.clone().perhaps_down_to(Some(l)));
            e.perhaps_down_to(Some(looked_for.unwrap_or(0.0)))
        })
    };
    sheet.number(estimate)
}
