//! How far the nearest hazard of each kind is, and what lies up-slope and
//! up-gradient.
//!
//! A kind that was searched for out to some distance is known to be absent
//! within it, apart from what was recorded; beyond it, and without a search at
//! all, anything may lie.

use super::near::{Source, hazard_name, place_of};
use super::sector::{Sector, Within};
use super::sheet::{Answer, Sheet};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::survey::{HazardKind, Seen};
use crate::units::{Combine, Estimate, Part, Unit};

pub(super) const WORKS: Works = &[
    ("nearest_pit_latrine_m", |s| nearest(s, HazardKind::PitLatrine)),
    ("nearest_septic_tank_m", |s| nearest(s, HazardKind::SepticTank)),
    ("nearest_soakaway_m", |s| nearest(s, HazardKind::Soakaway)),
    ("nearest_sewer_m", |s| nearest(s, HazardKind::Sewer)),
    ("nearest_livestock_pen_m", |s| nearest(s, HazardKind::LivestockPen)),
    ("nearest_manure_heap_m", |s| nearest(s, HazardKind::ManureHeap)),
    ("nearest_graveyard_m", |s| nearest(s, HazardKind::Graveyard)),
    ("nearest_waste_dump_m", |s| nearest(s, HazardKind::WasteDump)),
    ("nearest_fuel_store_m", |s| nearest(s, HazardKind::FuelStore)),
    ("nearest_sprayed_field_m", |s| nearest(s, HazardKind::SprayedField)),
    ("nearest_open_water_m", |s| nearest(s, HazardKind::OpenWater)),
    ("nearest_old_open_well_m", |s| nearest(s, HazardKind::OldOpenWell)),
    ("nearest_building_m", |s| nearest(s, HazardKind::Building)),
    ("nearest_road_m", |s| nearest(s, HazardKind::Road)),
    ("nearest_overhead_line_m", |s| nearest(s, HazardKind::OverheadLine)),
    ("nearest_buried_service_m", |s| nearest(s, HazardKind::BuriedService)),
    ("nearest_boundary_m", |s| nearest(s, HazardKind::Boundary)),
    ("nearest_other_hazard_m", |s| nearest(s, HazardKind::Other)),
    ("nearest_faecal_source_m", |s| nearest_of(s, &kinds(HazardKind::is_faecal))),
    ("slopes", slopes),
    ("nearest_upslope_source_m", upslope),
    ("nearest_upgradient_source_m", upgradient),
];

/// At most so many hazards are named in the asks of one fact.
const MOST_ASKS: usize = 5;

fn kinds(which: fn(HazardKind) -> bool) -> Vec<HazardKind> {
    HazardKind::ALL.into_iter().filter(|k| which(*k)).collect()
}

/// Several of a kind.
pub(super) fn several(kind: HazardKind) -> String {
    match kind {
        HazardKind::OpenWater => "open water".to_owned(),
        HazardKind::Boundary => "boundaries".to_owned(),
        HazardKind::Other => "other hazards".to_owned(),
        kind => format!("{}s", kind.name()),
    }
}

fn nearest(s: &SiteFacts, kind: HazardKind) -> Answer {
    nearest_of(s, &[kind])
}

fn nearest_of(s: &SiteFacts, kinds: &[HazardKind]) -> Answer {
    let mut sheet = Sheet::new();
    let mut sources = Vec::new();
    for kind in kinds {
        sources.extend(s.sources(*kind)?.iter().copied());
    }
    let looked_for = searched(s, kinds, &mut sheet);
    let parts: Vec<_> = sources.iter().map(|s| s.distance).collect();
    name_the_nearest(s, &sources, &mut sheet);
    ask_where_to_tape(s, &sources, &mut sheet);
    ask_to_search(s, kinds, parts.iter().map(|p| p.low).min_by(f64::total_cmp), &mut sheet);
    let estimate = match (parts.is_empty(), looked_for) {
        (true, None) => return Ok(sheet.unknown()),
        (true, Some(searched)) => {
            sheet.note(format!("none within {}, as far as was searched", Unit::Metre.show(searched)));
            Estimate::bounded(Unit::Metre, Some(searched), None)
        }
        (false, looked_for) => Estimate::combined(Unit::Metre, Combine::Least, parts)
            .map(|e| e.perhaps_down_to(Some(looked_for.unwrap_or(0.0)))),
    };
    sheet.number(estimate)
}

/// How far around the peg every one of the kinds was searched for; `None`
/// where one was not searched for at all.
pub(super) fn searched(s: &SiteFacts, kinds: &[HazardKind], sheet: &mut Sheet) -> Option<f64> {
    let each: Vec<_> = kinds.iter().map(|k| s.site.looked_for.get(k)).collect();
    each.iter().flatten().for_each(|l| sheet.read(&l.from));
    each.into_iter().map(|l| l.map(|l| l.value.max(0.0))).min_by(|a, b| match (a, b) {
        (Some(a), Some(b)) => a.total_cmp(b),
        (a, b) => a.is_some().cmp(&b.is_some()),
    })?
}

/// Asks to search for the kinds that were not searched for out to `low`, or,
/// where that is `None`, farther than they were.
pub(super) fn ask_to_search(s: &SiteFacts, kinds: &[HazardKind], low: Option<f64>, sheet: &mut Sheet) {
    // Kinds searched for equally far make one ask.
    let mut never = Vec::new();
    let mut farther: Vec<(f64, Vec<String>)> = Vec::new();
    for kind in kinds {
        let many = several(*kind);
        match s.site.looked_for.get(kind).map(|l| l.value) {
            None => never.push(many),
            Some(far) if low.is_none_or(|l| far < l) => {
                match farther.iter_mut().find(|f| f.0.total_cmp(&far).is_eq()) {
                    Some((_, all)) => all.push(many),
                    None => farther.push((far, vec![many])),
                }
            }
            Some(_) => {}
        }
    }
    if !never.is_empty() {
        let what = listed(&never);
        sheet.ask(
            AskKind::Look,
            format!("Search for {what} all around the peg and write down how far you looked."),
        );
    }
    for (far, all) in farther {
        let what = listed(&all);
        sheet.ask(
            AskKind::Look,
            format!("Search for {what} farther than {} around the peg.", Unit::Metre.show(far)),
        );
    }
}

/// "pens, heaps and dumps".
fn listed(words: &[String]) -> String {
    match words {
        [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// Those that may be the nearest, by their near ends.
fn may_be_nearest(sources: &[Source]) -> Vec<Source> {
    let nearest_high =
        sources.iter().map(|s| s.distance.high).min_by(f64::total_cmp).unwrap_or(f64::INFINITY);
    let mut may: Vec<_> = sources.iter().copied().filter(|s| s.distance.low <= nearest_high).collect();
    may.sort_by(|a, b| a.distance.low.total_cmp(&b.distance.low));
    may.truncate(MOST_ASKS);
    may
}

fn ask_where_to_tape(s: &SiteFacts, sources: &[Source], sheet: &mut Sheet) {
    for source in may_be_nearest(sources) {
        if let Some(hazard) = s.hazard(&source) {
            s.ask_where(sheet, &hazard.position, &hazard_name(hazard));
        }
    }
}

fn name_the_nearest(s: &SiteFacts, sources: &[Source], sheet: &mut Sheet) {
    for source in may_be_nearest(sources) {
        if let Some(hazard) = s.hazard(&source) {
            sheet.read(&hazard.from);
        }
    }
    let nearest = sources.iter().min_by(|a, b| a.distance.value.total_cmp(&b.distance.value));
    if let Some((source, hazard)) = nearest.and_then(|n| Some((n, s.hazard(n)?))) {
        sheet.read(&hazard.from);
        let place = place_of(&source.distance, source.bearing_deg);
        sheet.note(format!("nearest is {}, {place}", hazard_name(hazard)));
    }
}

/// Whether there is an up-side at all.
enum Side<'a> {
    /// Nothing can lie on it: the ground is flat.
    None,
    /// It is the side away from that bearing. `sure`: there surely is one.
    AwayFrom { towards: &'a Seen<f64>, half_angle_deg: f64, sure: bool },
    /// Nobody says which side it is.
    Unknown,
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
    let flat_pct = s.prior("slope_flat_pct")?;
    let half_angle_deg = s.prior("upslope_half_angle_deg")?;
    let fall = s.site.ground.slope_pct.as_ref();
    let pct = sheet.take_any(fall).copied();
    let side = match (pct, &s.site.ground.slope_towards_deg) {
        (Some(pct), _) if pct < flat_pct => Side::None,
        (_, Some(towards)) => Side::AwayFrom { towards, half_angle_deg, sure: pct.is_some() },
        (_, None) => Side::Unknown,
    };
    match &side {
        Side::None => sheet.note("the ground is flat: nothing lies up-slope"),
        Side::AwayFrom { sure: true, .. } => {}
        Side::AwayFrom { .. } => {
            sheet.ask(AskKind::Look, "Look how steeply the ground falls at the peg and write it down.");
        }
        Side::Unknown => sheet.ask(
            AskKind::Look,
            "Look which way the ground falls at the peg, and how steeply, and write both down.",
        ),
    }
    on_side(s, side, "up-slope", sheet)
}

fn upgradient(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let half_angle_deg = s.prior("upgradient_half_angle_deg")?;
    let side = match &s.site.ground.groundwater_towards_deg {
        Some(towards) => Side::AwayFrom { towards, half_angle_deg, sure: true },
        None => {
            sheet.ask(
                AskKind::Dip,
                "Dip three wells around the peg on one day, level their tops, and work out which way the groundwater flows.",
            );
            Side::Unknown
        }
    };
    on_side(s, side, "up-gradient", sheet)
}

/// The nearest source of fouling on one side of the peg. A source that lies
/// there only perhaps lowers the near end and says nothing of the far end.
fn on_side(s: &SiteFacts, side: Side<'_>, where_: &str, mut sheet: Sheet) -> Answer {
    let fouling = kinds(HazardKind::can_foul);
    let looked_for = searched(s, &fouling, &mut sheet);
    let mut sure: Vec<Source> = Vec::new();
    let mut perhaps: Vec<Source> = Vec::new();
    match side {
        Side::None => {}
        Side::Unknown => {
            for kind in &fouling {
                perhaps.extend(s.sources(*kind)?.iter().copied());
            }
        }
        Side::AwayFrom { towards, half_angle_deg, sure: is_sure } => {
            let away_deg = sheet.take(towards) + 180.0;
            let sector = Sector { middle_deg: away_deg, half_angle_deg };
            let compass_deg = s.prior("bearing_error_deg")?;
            for kind in &fouling {
                let within = |source: &Source| {
                    s.hazard(source).map_or(Within::Perhaps, |h| {
                        sector.holds(&s.site.peg.at.value, h, source, compass_deg)
                    })
                };
                let found = s.sources_until(*kind, |found, complete_m| {
                    found.iter().any(|f| within(f) == Within::Surely && f.distance.high <= complete_m)
                })?;
                for source in found {
                    match within(&source) {
                        Within::Surely if is_sure => sure.push(source),
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
    ask_to_search(s, &fouling, any_low, &mut sheet);
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

impl Sheet {
    fn read_source(&mut self, s: &SiteFacts, source: &Source) {
        if let Some(hazard) = s.hazard(source) {
            self.read(&hazard.from);
        }
    }
}
