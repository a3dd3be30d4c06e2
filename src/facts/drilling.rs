//! The hole while it goes down: how fast, how far, in what ground, with what
//! water and what trouble. Metres, hours.
//!
//! A row that does not say whether something happened may hide it.

use super::hole::{ASK_LOG, Stretch, is_of, read_rows};
use super::sheet::{Answer, Sheet, count, estimate};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::ground::{Classes, MaterialClass, Sure, read_material, refuses};
use crate::survey::{FluidLoss, HoleCasing, Progress, Seen};
use crate::units::{Estimate, Part, Unit};
use crate::well::hole_volume_l;

pub(super) const WORKS: Works = &[
    ("hole_depth_m", depth),
    ("hole_depth_margin_m", depth_margin),
    ("depth_left_m", depth_left),
    ("drilling_rate_m_per_h", rate),
    ("tries_without_progress", tries),
    ("bottom_refuses", bottom_refuses),
    ("hole_met_boulders", |s| met(s, &[MaterialClass::Boulders])),
    ("hole_met_running_sand", |s| met(s, &[MaterialClass::RunningSand])),
    ("fluid_lost_in_gravel", lost_in_gravel),
    ("fluid_loss", fluid_loss),
    ("fluid_lost_hole_volumes", lost_volumes),
    ("method_needs_fluid", needs_fluid),
    ("hole_casing", casing),
    ("hole_caves", |s| told(s, |r| r.caving.as_ref(), "whether the wall caves in or holds the string tight")),
    ("hole_flows_out", |s| told(s, |r| r.flows_out.as_ref(), "whether water flows out of the top by itself")),
    ("hole_gas", |s| told(s, |r| r.gas.as_ref(), "whether gas is smelt or bubbles in the hole")),
    ("first_strike_m", first_strike),
    ("hole_saturated_m", saturated),
    ("hole_ec_us_cm", conductivity),
];

const MINUTES_PER_HOUR: f64 = 60.0;

fn depth(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.hole_depth_m(&mut sheet) {
        Some(depth) => sheet.number(Estimate::exact(Unit::Metre, depth)),
        None => Ok(sheet.unknown()),
    }
}

fn depth_margin(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let depth = s.hole_depth_m(&mut sheet);
    let needed = s.needed_depth(&mut sheet)?;
    match depth.zip(needed) {
        Some((depth, needed)) => sheet.number(Ok(needed.scaled(Unit::Metre, -1.0, depth))),
        None => Ok(sheet.unknown()),
    }
}

/// The way that is left to the method and to what the payer agreed to; where
/// one of the two is not known, perhaps none.
fn depth_left(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let depth = s.hole_depth_m(&mut sheet);
    let reach = s.method_at_work(&mut sheet).map(|p| p.max_depth_m.value);
    let agreed = sheet.take_any(s.site.drilling.agreed_depth_m.as_ref()).copied();
    if agreed.is_none() {
        sheet.ask(AskKind::Write, "Agree with the payer how deep to go at most, and write it down.");
    }
    let Some(depth) = depth else { return Ok(sheet.unknown()) };
    let ends = [reach, agreed].map(|e| e.map(|e| (e - depth).max(0.0)));
    let most = ends.into_iter().flatten().min_by(f64::total_cmp);
    let known = ends.iter().all(Option::is_some);
    sheet.number(estimate(Unit::Metre, if known { most } else { Some(0.0) }, most.filter(|_| known), most))
}

/// Metres gained in the last hours at work. Of time that was not written down
/// nothing is known but that the hole did not get shallower.
fn rate(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let window_h = s.prior("progress_window_h")?;
    let stretches = s.stretches();
    if stretches.is_empty() {
        sheet.ask(AskKind::Write, ASK_LOG);
        return Ok(sheet.unknown());
    }
    let (mut hours, mut gained) = (0.0, 0.0);
    for stretch in stretches.iter().rev() {
        sheet.read(&stretch.row.from);
        let Some(minutes) = sheet.take_any(stretch.row.minutes.as_ref()) else {
            sheet.ask(AskKind::Write, "Write down the minutes at work for each row of the drilling log.");
            break;
        };
        let took = minutes / MINUTES_PER_HOUR;
        if hours + took >= window_h && took > 0.0 {
            // So much of the row lies within the hours looked at; how its
            // metres fell in it nobody knows.
            let part = stretch.gained_m() * (window_h - hours) / took;
            let (low, high) = (gained / window_h, (gained + stretch.gained_m()) / window_h);
            return sheet.number(Estimate::band(Unit::MetrePerHour, low, (gained + part) / window_h, high));
        }
        hours += took;
        gained += stretch.gained_m();
    }
    sheet.note(format!("{} at work are written down", Unit::Hour.show(hours)));
    let value = (hours > 0.0).then(|| gained / hours).map(|v| v.max(gained / window_h));
    sheet.number(estimate(Unit::MetrePerHour, Some(gained / window_h), value, None))
}

fn tries(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let least_m = s.prior("progress_least_m")?;
    let stretches = s.stretches();
    if stretches.is_empty() {
        sheet.ask(AskKind::Write, ASK_LOG);
        return Ok(sheet.unknown());
    }
    let idle: Vec<_> = stretches.iter().rev().take_while(|t| t.gained_m() < least_m).collect();
    read_rows(idle.iter().map(|t| &t.row.from), &mut sheet);
    sheet.number(count(idle.len(), idle.len(), idle.len()))
}

fn yes_no(sure: Sure, mut sheet: Sheet, ask: &str) -> Answer {
    match sure {
        Sure::Yes => sheet.word("yes"),
        Sure::No => sheet.word("no"),
        _ => {
            sheet.ask(AskKind::Look, ask);
            Ok(sheet.unknown())
        }
    }
}

/// What a row says of the ground; `None` where it says nothing.
fn ground(row: &Progress) -> Option<Classes> {
    Some(read_material(row.material.as_ref()?, row.hardness.as_deref()).classes)
}

/// Whether the ground at the bottom refuses the method at work.
fn bottom_refuses(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let profile = s.method_at_work(&mut sheet);
    s.ask_for_words(&mut sheet);
    let Some(last) = s.stretches().last().copied() else {
        sheet.ask(AskKind::Write, ASK_LOG);
        return Ok(sheet.unknown());
    };
    sheet.read(&last.row.from);
    // Sand is told dry from wet by the log. A row that gained nothing is not
    // in it.
    let in_log = s.hole().log.layers.last().map(|l| l.classes).filter(|_| last.gained_m() > 0.0);
    let classes = ground(last.row).map(|classes| in_log.unwrap_or(classes));
    let refused = profile.zip(classes).map(|(p, classes)| classes.are(|class| refuses(p, class)));
    let ask =
        "Look at what comes up from the bottom of the hole, feel it, and write down what it is and how hard.";
    yes_no(refused.unwrap_or(Sure::Perhaps), sheet, ask)
}

/// Whether ground of a class was met on the way.
fn met(s: &SiteFacts, wanted: &[MaterialClass]) -> Answer {
    let mut sheet = Sheet::new();
    s.ask_for_words(&mut sheet);
    let rows = &s.site.drilling.progress;
    let is = |row: &Progress| {
        ground(row).map_or(Sure::Perhaps, |classes| classes.are(|class| is_of(class, wanted)))
    };
    if let Some(row) = rows.iter().find(|row| is(row) == Sure::Yes) {
        sheet.read(&row.from);
        return sheet.word("yes");
    }
    read_rows(rows.iter().map(|row| &row.from), &mut sheet);
    let none = !rows.is_empty() && rows.iter().all(|row| is(row) == Sure::No);
    let sure = if none { Sure::No } else { Sure::Perhaps };
    yes_no(sure, sheet, "Write down for each stretch of the hole what ground came up.")
}

/// What every row says of something: yes where one does, no where all do.
fn told(s: &SiteFacts, of: fn(&Progress) -> Option<&Seen<bool>>, what: &str) -> Answer {
    let mut sheet = Sheet::new();
    let rows = &s.site.drilling.progress;
    if let Some(yes) = rows.iter().filter_map(of).find(|seen| seen.value) {
        sheet.read(&yes.from);
        return sheet.word("yes");
    }
    let said = rows.iter().filter_map(of).map(|seen| sheet.take(seen)).count();
    if !rows.is_empty() && said == rows.len() {
        return sheet.word("no");
    }
    sheet.ask(AskKind::Look, format!("Look, and write down for every row of the drilling log {what}."));
    Ok(sheet.unknown())
}

fn is_gravel(row: &Progress) -> Sure {
    let gravel = [MaterialClass::FineGravel, MaterialClass::CoarseGravel];
    ground(row).map_or(Sure::Perhaps, |classes| classes.are(|class| is_of(class, &gravel)))
}

/// Whether all fluid was lost in gravel.
fn lost_in_gravel(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let rows = &s.site.drilling.progress;
    let each: Vec<_> = rows
        .iter()
        .map(|row| {
            let lost = sheet.take_any(row.fluid_loss.as_ref()).map(|loss| *loss == FluidLoss::Total);
            match (lost, is_gravel(row)) {
                (Some(false), _) | (_, Sure::No) => Sure::No,
                (Some(true), Sure::Yes) => Sure::Yes,
                _ => Sure::Perhaps,
            }
        })
        .collect();
    let sure = if each.contains(&Sure::Yes) {
        Sure::Yes
    } else if !each.is_empty() && each.iter().all(|e| *e == Sure::No) {
        Sure::No
    } else {
        Sure::Perhaps
    };
    yes_no(
        sure,
        sheet,
        "Watch the level of the pit, and write down for each row what fluid was lost and in what ground.",
    )
}

/// The worst loss of fluid on the way down.
fn fluid_loss(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let rows = &s.site.drilling.progress;
    let said: Vec<_> =
        rows.iter().filter_map(|row| sheet.take_any(row.fluid_loss.as_ref()).copied()).collect();
    match said.iter().max() {
        Some(FluidLoss::Total) => sheet.word("total"),
        Some(worst) if said.len() == rows.len() => {
            sheet.word(if *worst == FluidLoss::Some { "some" } else { "none" })
        }
        _ => {
            sheet.ask(
                AskKind::Look,
                "Watch the level of the pit, and write down for each row what fluid was lost.",
            );
            Ok(sheet.unknown())
        }
    }
}

/// All fluid that was lost, by what the hole holds.
fn lost_volumes(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let depth = s.hole_depth_m(&mut sheet);
    let hole_mm = sheet.take_any(s.site.drilling.hole_mm.as_ref()).copied();
    if hole_mm.is_none() {
        sheet.ask(AskKind::Tape, "Measure the bit, and write down the diameter of the hole.");
    }
    let (mut low, mut known) = (0.0, true);
    for stretch in s.stretches() {
        let row = stretch.row;
        match sheet.take_any(row.fluid_loss_l_per_m.as_ref()) {
            Some(litres) => low += litres * stretch.gained_m().max(0.0),
            None if row.fluid_loss.as_ref().is_some_and(|l| l.value == FluidLoss::None) => {}
            None => known = false,
        }
    }
    let volume = hole_mm.zip(depth).map(|(mm, depth)| hole_volume_l(mm, depth)).filter(|v| *v > 0.0);
    let Some(volume) = volume else { return Ok(sheet.unknown()) };
    if !known {
        sheet.ask(
            AskKind::Look,
            "Count the buckets that top up the pit, and write down the litres lost for each metre.",
        );
    }
    let low = low / volume;
    sheet.number(estimate(Unit::One, Some(low), known.then_some(low), known.then_some(low)))
}

fn needs_fluid(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.method_at_work(&mut sheet) {
        Some(profile) if profile.needs_fluid => sheet.word("yes"),
        Some(_) => sheet.word("no"),
        None => Ok(sheet.unknown()),
    }
}

fn casing(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(s.site.drilling.casing.as_ref()) {
        Some(HoleCasing::None) => sheet.word("none"),
        Some(HoleCasing::AtHand) => sheet.word("at hand"),
        Some(HoleCasing::Set) => sheet.word("set"),
        None => {
            sheet
                .ask(AskKind::Write, "Write down whether temporary casing is at hand or stands in the hole.");
            Ok(sheet.unknown())
        }
    }
}

/// The depth at which water was first struck.
fn first_strike(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let stretches = s.stretches();
    let said = |t: &&Stretch<'_>| t.row.water_strike.as_ref().map(|w| w.value);
    let open = stretches.iter().find(|t| said(t) != Some(false)).map(|t| t.top_m);
    let struck = stretches.iter().find(|t| said(t) == Some(true));
    stretches.iter().filter_map(|t| t.row.water_strike.as_ref()).for_each(|w| sheet.read(&w.from));
    if open.is_some_and(|top| struck.is_none_or(|t| top < t.top_m)) || stretches.is_empty() {
        sheet.ask(AskKind::Look, "Write down for each row of the drilling log whether water was struck.");
    }
    match (struck, open) {
        (Some(t), open) => {
            let low = open.unwrap_or(t.top_m);
            sheet.number(Estimate::band(
                Unit::Metre,
                low,
                f64::midpoint(t.top_m, t.row.depth_m),
                t.row.depth_m,
            ))
        }
        (None, Some(top)) => sheet.number(Estimate::bounded(Unit::Metre, Some(top), None)),
        (None, None) => {
            let end = stretches.last().map(|t| t.row.depth_m);
            sheet.number(Estimate::bounded(Unit::Metre, end, None))
        }
    }
}

/// Thickness of water-bearing ground met below the driest-month level.
fn saturated(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let depth = s.hole_depth_m(&mut sheet);
    let dry = s.hole_dry_level(&mut sheet)?;
    s.ask_for_words(&mut sheet);
    read_rows(s.site.drilling.progress.iter().map(|r| &r.from), &mut sheet);
    let Some(depth) = depth else { return Ok(sheet.unknown()) };
    let (low, value, high) = s.bearing_m(dry.as_ref(), 0.0, depth);
    sheet.number(estimate(Unit::Metre, Some(low), value, Some(high)))
}

/// The saltiest water that the hole struck.
fn conductivity(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let unit = Unit::MicrosiemensPerCm;
    let mut parts = Vec::new();
    let mut untested = false;
    for row in &s.site.drilling.progress {
        match sheet.take_any(row.ec_us_cm.as_ref()) {
            Some(r) => {
                let low = if r.below { 0.0 } else { r.value };
                parts.push(Part { low, value: f64::midpoint(low, r.value), high: r.value });
            }
            None => untested |= row.water_strike.as_ref().is_none_or(|w| w.value),
        }
    }
    if untested || parts.is_empty() {
        sheet.ask(
            AskKind::FieldKit,
            "Measure the conductivity of the water each time water is struck, and every 3 m below.",
        );
    }
    if parts.is_empty() {
        return Ok(sheet.unknown());
    }
    let made = Estimate::combined(unit, crate::units::Combine::Greatest, parts);
    sheet.number(made.map(|e| if untested { e.perhaps_up_to(None) } else { e }))
}
