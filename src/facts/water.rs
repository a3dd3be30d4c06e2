//! Pits and the water table, evidence of water, the pump's lift, and how
//! neighbours fare.

use super::hazards::{ask_to_search, searched};
use super::near::{Chosen, hazard_name, well_name};
use super::sheet::{Answer, Sheet, count};
use super::site::Works;
use super::{AskKind, Missing, SiteFacts, ground};
use crate::survey::{HazardKind, Made, Parameter, Reading, Seen, Well, WellOutcome};
use crate::units::{Estimate, Unit};

pub(super) const WORKS: Works = &[
    ("pit_near", pit_near),
    ("pit_to_water_m", pit_to_water),
    ("evidence_points", evidence_points),
    ("lift_margin_m", lift_margin),
    ("failing_neighbours", failing),
    ("salt_water_m", salt_water),
    ("salty_neighbours", salty),
    ("contaminated_neighbours", contaminated),
    ("repairable_neighbours", repairable),
];

/// Pits around the peg.
struct Pits {
    sheet: Sheet,
    /// One is surely near enough, and one perhaps is.
    surely_near: bool,
    perhaps_near: bool,
    /// Depths of pits that are surely near, and of those that perhaps are.
    sure_depths: Vec<f64>,
    perhaps_depths: Vec<f64>,
    /// One that is perhaps near has a pit of unknown depth.
    unknown_depth: bool,
    /// All pits within the radius were searched for.
    searched: bool,
}

fn pit_kinds() -> Vec<HazardKind> {
    HazardKind::ALL.into_iter().filter(|k| k.has_pit()).collect()
}

fn pits(s: &SiteFacts) -> Result<Pits, Missing> {
    let mut sheet = Sheet::new();
    let radius_m = s.prior("pit_bottom_radius_m")?;
    let error_m = s.prior("tape_least_error_m")?;
    let kinds = pit_kinds();
    let searched_m = searched(s, &kinds, &mut sheet);
    ask_to_search(s, &kinds, Some(radius_m), &mut sheet);
    let mut pits = Pits {
        sheet,
        surely_near: false,
        perhaps_near: false,
        sure_depths: Vec::new(),
        perhaps_depths: Vec::new(),
        unknown_depth: false,
        searched: searched_m.is_some_and(|m| m >= radius_m),
    };
    for kind in kinds {
        for source in s.sources_until(kind, |_, complete_m| complete_m >= radius_m)? {
            if source.distance.low > radius_m {
                continue;
            }
            let Some(hazard) = s.hazard(&source) else { continue };
            let sure = source.distance.high <= radius_m;
            pits.sheet.read(&hazard.from);
            pits.perhaps_near = true;
            pits.surely_near |= sure;
            if !sure {
                s.ask_where(&mut pits.sheet, &hazard.position, &hazard_name(hazard));
            }
            let depth = pits.sheet.take_any(hazard.pit_depth_m.as_ref()).copied();
            match depth {
                None => {
                    pits.unknown_depth = true;
                    pits.sheet
                        .ask(AskKind::Ask, format!("Ask how deep the pit of {} is.", hazard_name(hazard)));
                }
                Some(depth) => {
                    if sure {
                        pits.sure_depths.push((depth - error_m).max(0.0));
                    }
                    pits.perhaps_depths.push(depth + error_m);
                }
            }
        }
    }
    Ok(pits)
}

/// Whether a pit lies near enough for its bottom to matter.
fn pit_near(s: &SiteFacts) -> Answer {
    let pits = pits(s)?;
    if pits.surely_near {
        pits.sheet.word("yes")
    } else if !pits.searched {
        Ok(pits.sheet.unknown())
    } else if pits.perhaps_near {
        pits.sheet.word("perhaps")
    } else {
        pits.sheet.word("no")
    }
}

/// Height of the wet-season water table below the deepest pit near the peg.
fn pit_to_water(s: &SiteFacts) -> Answer {
    let pits = pits(s)?;
    let mut sheet = pits.sheet;
    let Some(level) = s.wet_level(&mut sheet)? else { return Ok(sheet.unknown()) };
    let most = |depths: &[f64]| depths.iter().copied().max_by(f64::total_cmp);
    // Where no pit is surely near there is none of which the height could be
    // less than so much; one of no depth would have the whole height.
    let low = level.low().zip(Some(most(&pits.perhaps_depths).unwrap_or(0.0))).map(|(l, d)| l - d);
    let low = low.filter(|_| pits.searched && !pits.unknown_depth);
    let least_depth = most(&pits.sure_depths).or(pits.surely_near.then_some(0.0));
    let high = level.high().zip(least_depth).map(|(l, d)| l - d);
    let middle = most(&pits.sure_depths).zip(most(&pits.perhaps_depths)).map(|(a, b)| f64::midpoint(a, b));
    let value = level.value().zip(middle).map(|(l, d)| l - d).filter(|_| pits.surely_near);
    if !pits.perhaps_near && pits.searched {
        sheet.note("no pit lies near enough to matter");
    }
    let Some(value) = value else {
        return sheet.number(Estimate::bounded(Unit::Metre, low, high));
    };
    let wide = Estimate::band(Unit::Metre, low.unwrap_or(value), value, high.unwrap_or(value));
    sheet.number(wide.map(|e| {
        let e = if low.is_none() { e.perhaps_down_to(None) } else { e };
        if high.is_none() { e.perhaps_up_to(None) } else { e }
    }))
}

/// A neighbour that says something of water or ground.
fn says_anything(well: &Well) -> bool {
    well.water_level_m.is_some()
        || well.lowest_level_m.is_some()
        || well.outcome.is_some()
        || !well.log.is_empty()
}

fn evidence_points(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let radius_m = s.prior("evidence_radius_m")?;
    let (mut low, mut value, mut high) = (0, 0, 0);
    for c in s.around("evidence_radius_m")? {
        sheet.read(&c.well.from);
        let says = says_anything(c.well);
        low += usize::from(c.sure && says);
        value += usize::from(c.distance.value <= radius_m && says);
        high += 1;
        if !says {
            let ask = format!("Ask how deep the water in {} stands and whether it lasts.", well_name(c.well));
            sheet.ask(AskKind::Ask, ask);
        }
        if !c.sure {
            s.ask_where(&mut sheet, &c.well.position, &well_name(c.well));
        }
    }
    if low == 0 {
        sheet.ask_for_wells();
        sheet.ask_trial_bore();
    }
    sheet.number(count(low, value.clamp(low, high), high))
}

fn lift_margin(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let level = s.dry_level(&mut sheet)?;
    let lift = s.lift(&mut sheet);
    let drawdown = s.drawdown()?;
    let (Some(level), Some(lift)) = (level, lift) else { return Ok(sheet.unknown()) };
    let drawdown = Estimate::band(Unit::Metre, drawdown.low, drawdown.value, drawdown.high);
    sheet.number(drawdown.map(|d| level.plus(&d).scaled(Unit::Metre, -1.0, lift.max_m.value)))
}

/// What one neighbour says to the question how many of a sort there are.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Says {
    Yes,
    No,
    Unknown,
}

/// How many neighbours within a radius are of a sort. Of those that are only
/// perhaps within it, and of those of which nobody says, each may be one. The
/// nearest few are asked about by name. Where no well is near, nobody knows.
fn how_many(s: &SiteFacts, radius: &'static str, says: impl Fn(&Chosen<'_>, &mut Sheet) -> Says) -> Answer {
    let mut sheet = Sheet::new();
    let radius_m = s.prior(radius)?;
    let near_few: Vec<usize> = s.nearest_around(radius)?.iter().map(|c| c.id).collect();
    let around = s.around(radius)?;
    // Where no well is surely near by, none is known to be good; one that is
    // only perhaps near says no more than none.
    if !around.iter().any(|c| c.sure) {
        around.iter().for_each(|c| s.ask_where(&mut sheet, &c.well.position, &well_name(c.well)));
        if around.is_empty() {
            sheet.ask_for_wells();
        }
        return Ok(sheet.unknown());
    }
    let (mut low, mut value, mut high) = (0, 0, 0);
    let mut farther = 0_usize;
    for c in around {
        let mut asked = Sheet::new();
        match says(&c, &mut asked) {
            Says::Yes => {
                low += usize::from(c.sure);
                value += usize::from(c.distance.value <= radius_m);
                high += 1;
                sheet.note(format!("counted: {}", well_name(c.well)));
                sheet.join(&asked);
            }
            Says::Unknown => {
                // One that is known to be bad counts wherever it lies, so one
                // of which nothing is known may be bad wherever it lies.
                high += 1;
                if near_few.contains(&c.id) {
                    sheet.join(&asked);
                } else {
                    farther += 1;
                }
            }
            Says::No => {}
        }
        c.well.outcome.iter().for_each(|o| sheet.read(&o.from));
    }
    if farther > 0 {
        let others = if farther == 1 { "well".to_owned() } else { format!("{farther} wells") };
        sheet.ask(
            AskKind::Ask,
            format!("Ask the same of the other {others} within {}.", Unit::Metre.show(radius_m)),
        );
    }
    sheet.number(count(low, value.clamp(low, high), high))
}

fn outcome(well: &Well) -> Option<WellOutcome> {
    well.outcome.as_ref().map(|o| o.value)
}

fn is_trial_bore(well: &Well) -> bool {
    well.made.as_ref().is_some_and(|m| m.value == Made::TrialBore)
}

fn failing(s: &SiteFacts) -> Answer {
    how_many(s, "evidence_radius_m", |c, sheet| match outcome(c.well) {
        Some(WellOutcome::Dry | WellOutcome::Seasonal) => Says::Yes,
        Some(_) => Says::No,
        // A trial bore in which water stood was not dry.
        None if is_trial_bore(c.well) && c.well.water_level_m.is_some() => Says::No,
        None => {
            let ask = format!("Ask whether {} gives water in every month of the year.", well_name(c.well));
            sheet.ask(AskKind::Ask, ask);
            Says::Unknown
        }
    })
}

/// Where nobody says what became of a well, its water tells, if it was tested:
/// below `from` there is no reason to think so.
fn by_reading(reading: Option<&Seen<Reading>>, from: f64) -> Says {
    match reading {
        Some(r) if r.value.value < from || (r.value.below && r.value.value <= from) => Says::No,
        _ => Says::Unknown,
    }
}

fn salty(s: &SiteFacts) -> Answer {
    let from = s.prior("salty_from_us_cm")?;
    how_many(s, "quality_radius_m", |c, sheet| match outcome(c.well) {
        Some(WellOutcome::Salty) => Says::Yes,
        Some(_) => Says::No,
        None => {
            let ask = format!(
                "Ask whether the water of {} tastes of salt, or measure its conductivity.",
                well_name(c.well)
            );
            sheet.ask(AskKind::Ask, ask);
            by_reading(c.well.quality.get(&Parameter::Ec), from)
        }
    })
}

fn contaminated(s: &SiteFacts) -> Answer {
    let from = s.prior("fouled_from_cfu_100ml")?;
    how_many(s, "quality_radius_m", |c, sheet| match outcome(c.well) {
        Some(WellOutcome::Contaminated) => Says::Yes,
        Some(_) => Says::No,
        None => {
            let ask = format!(
                "Ask whether the water of {} made people ill or was found fouled.",
                well_name(c.well)
            );
            sheet.ask(AskKind::Ask, ask);
            by_reading(c.well.quality.get(&Parameter::Ecoli), from)
        }
    })
}

fn repairable(s: &SiteFacts) -> Answer {
    how_many(s, "repair_radius_m", |c, sheet| {
        let good = !matches!(
            outcome(c.well),
            Some(
                WellOutcome::Dry
                    | WellOutcome::Salty
                    | WellOutcome::Contaminated
                    | WellOutcome::RefusedOnRock
                    | WellOutcome::Collapsed
            )
        );
        c.well.pump_broken.iter().for_each(|p| sheet.read(&p.from));
        match c.well.pump_broken.as_ref().map(|p| p.value) {
            _ if !good || is_trial_bore(c.well) => Says::No,
            Some(true) => Says::Yes,
            Some(false) => Says::No,
            None => {
                let ask = format!(
                    "Ask whether only the pump of {} is broken while its well is good.",
                    well_name(c.well)
                );
                sheet.ask(AskKind::Ask, ask);
                Says::Unknown
            }
        }
    })
}

fn salt_water(s: &SiteFacts) -> Answer {
    let ask = (
        AskKind::Ask,
        "Ask, and look on a map, how far the sea, a salt lake or salty ground is, and write it down.",
    );
    ground::paced(s, s.site.ground.salt_water_m.as_ref(), ask)
}
