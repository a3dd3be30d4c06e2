//! How far the nearest hazard of each kind is.
//!
//! A kind that was searched for out to some distance is known to be absent
//! within it, apart from what was recorded; beyond it, and without a search at
//! all, anything may lie.

use super::near::{Source, hazard_name, place_of};
use super::sheet::{Answer, Sheet};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::survey::HazardKind;
use crate::units::{Combine, Estimate, Unit};

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
];

/// At most so many hazards are named in the asks of one fact.
const MOST_ASKS: usize = 5;

pub(super) fn kinds(which: fn(HazardKind) -> bool) -> Vec<HazardKind> {
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
    // Kinds searched for equally far make one ask; those never searched for
    // make one with all others of the survey, since it is one walk.
    let mut never = false;
    let mut farther: Vec<(f64, Vec<String>)> = Vec::new();
    for kind in kinds {
        let many = several(*kind);
        match s.site.looked_for.get(kind).map(|l| l.value) {
            None => never = true,
            Some(far) if low.is_none_or(|l| far < l) => {
                match farther.iter_mut().find(|f| f.0.total_cmp(&far).is_eq()) {
                    Some((_, all)) => all.push(many),
                    None => farther.push((far, vec![many])),
                }
            }
            Some(_) => {}
        }
    }
    if never {
        let all = HazardKind::ALL.into_iter().filter(|k| !s.site.looked_for.contains_key(k));
        let what = listed(&all.map(several).collect::<Vec<_>>());
        sheet.ask(
            AskKind::Look,
            format!("Search all around the peg for {what}, and write down for each how far you looked."),
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
pub(super) fn may_be_nearest(sources: &[Source]) -> Vec<Source> {
    let nearest_high =
        sources.iter().map(|s| s.distance.high).min_by(f64::total_cmp).unwrap_or(f64::INFINITY);
    let mut may: Vec<_> = sources.iter().copied().filter(|s| s.distance.low <= nearest_high).collect();
    may.sort_by(|a, b| a.distance.low.total_cmp(&b.distance.low));
    may.truncate(MOST_ASKS);
    may
}

pub(super) fn ask_where_to_tape(s: &SiteFacts, sources: &[Source], sheet: &mut Sheet) {
    for source in may_be_nearest(sources) {
        if let Some(hazard) = s.hazard(&source) {
            s.ask_where(sheet, &hazard.position, &hazard_name(hazard));
        }
    }
}

pub(super) fn name_the_nearest(s: &SiteFacts, sources: &[Source], sheet: &mut Sheet) {
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

impl Sheet {
    pub(super) fn read_source(&mut self, s: &SiteFacts, source: &Source) {
        if let Some(hazard) = s.hazard(source) {
            self.read(&hazard.from);
        }
    }
}
