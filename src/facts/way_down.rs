//! What lies on the way down and where the water is in it, from signs at the
//! peg and the nearest logs; metres below ground.
//!
//! A neighbour without a log, or with one that ends above the depth in
//! question, may hide anything below.

use super::ground::take_log;
use super::near::{Chosen, well_name};
use super::sheet::{Answer, Sheet, estimate};
use super::site::Works;
use super::{AskKind, Missing, SiteFacts};
use crate::ground::{Classes, Log, MaterialClass, ReadLayer, Sure, water_habit, weighted_median};
use crate::region::UNSTATED;
use crate::survey::Seen;
use crate::units::{Estimate, Unit};

pub(super) const WORKS: Works = &[
    ("boulders", |s| on_the_way(s, s.site.ground.boulders.as_ref(), "boulders or cobbles", is_boulders)),
    ("hard_laterite_m", hard_laterite),
    ("running_sand", |s| on_the_way(s, s.site.ground.running_sand.as_ref(), "running sand", is_running_sand)),
    ("gravel_on_the_way", |s| on_the_way(s, s.site.ground.gravel.as_ref(), "gravel", is_gravel)),
    ("fast_ground", fast_ground),
    ("saturated_m", saturated),
];

impl SiteFacts {
    /// Down to where the hole surely goes, and down to where it may go
    /// (`None`: as deep as anything). Even where no level is known the water
    /// is not above the ground.
    pub(super) fn way_down(&self, sheet: &mut Sheet) -> Result<(f64, Option<f64>), Missing> {
        let least = self.below_level()?.total_m().low;
        let needed = self.needed_depth(sheet)?;
        let surely = needed.as_ref().and_then(Estimate::low).map_or(least, |l| l.max(least));
        Ok((surely, needed.as_ref().and_then(Estimate::high)))
    }

    /// The logs that picture the peg, each with whether its neighbour is
    /// surely near.
    pub(super) fn logs<'a>(&'a self, sheet: &mut Sheet) -> Result<Vec<(Chosen<'a>, &'a Log)>, Missing> {
        let chosen = self.evidence("near_evidence_radius_m", |w| !w.log.is_empty())?;
        let logs: Vec<_> = chosen.into_iter().map(|c| (c, self.log_of(&c))).collect();
        for (c, log) in &logs {
            take_log(c, log, sheet);
        }
        Ok(logs)
    }
}

pub(super) fn ask_deeper(logs: &[(Chosen<'_>, &Log)], depth_m: Option<f64>, sheet: &mut Sheet) {
    for (c, log) in logs {
        if !log.is_empty() && depth_m.is_none_or(|d| log.end_m() < d) {
            let end = Unit::Metre.show(log.end_m());
            sheet.ask(AskKind::Ask, format!("Ask what ground lies below {end} in {}.", well_name(c.well)));
        }
    }
}

fn is_boulders(class: MaterialClass) -> Option<bool> {
    known_class(class, class == MaterialClass::Boulders)
}

fn is_running_sand(class: MaterialClass) -> Option<bool> {
    known_class(class, class == MaterialClass::RunningSand)
}

fn is_gravel(class: MaterialClass) -> Option<bool> {
    known_class(class, matches!(class, MaterialClass::FineGravel | MaterialClass::CoarseGravel))
}

fn is_hard_laterite(class: MaterialClass) -> Option<bool> {
    known_class(class, class == MaterialClass::HardLaterite)
}

fn runs_fast(class: MaterialClass) -> Option<bool> {
    water_habit(class).map(|h| h.runs_fast)
}

fn known_class(class: MaterialClass, is: bool) -> Option<bool> {
    (class != MaterialClass::Unknown).then_some(is)
}

/// Whether something lies on the way down: yes where it was seen or told of,
/// or a near log surely met it above the depth that is surely needed; no where
/// the surveyor says that there is no sign of it and no near log may hide it.
fn on_the_way(
    s: &SiteFacts,
    sign: Option<&Seen<bool>>,
    what: &str,
    is: fn(MaterialClass) -> Option<bool>,
) -> Answer {
    let mut sheet = Sheet::new();
    let logs = s.logs(&mut sheet)?;
    let (surely_to, perhaps_to) = s.way_down(&mut Sheet::new())?;
    let told = sheet.take_any(sign).copied();
    let ask =
        format!("Look around the peg for {what}, ask well and latrine diggers, and write down yes or no.");
    if told.is_none() {
        sheet.ask(AskKind::Look, ask);
    }
    if told == Some(true) {
        sheet.note("seen or told of at the peg");
        return sheet.word("yes");
    }
    let met = |log: &Log, depth: f64, how: fn(Sure) -> bool| {
        log.above(depth).any(|(layer, _)| how(layer.classes.are(is)))
    };
    if let Some(c) = surely_met(&logs, |log| met(log, surely_to, |m| m == Sure::Yes)) {
        sheet.note(format!("met in {}", well_name(c.well)));
        return sheet.word("yes");
    }
    let hidden = |log: &Log| log.is_empty() || met(log, perhaps_to.unwrap_or(f64::MAX), |m| m != Sure::No);
    if told == Some(false) && !logs.iter().any(|(_, log)| hidden(log)) {
        return sheet.word("no");
    }
    if told == Some(false) {
        sheet.ask_trial_bore();
    }
    Ok(sheet.unknown())
}

/// A neighbour whose log surely met something that then surely lies at the peg
/// too. Where a well perhaps stands for the peg itself, the others cannot speak
/// against it: it must have met it as well.
fn surely_met<'a, 'b>(
    logs: &'b [(Chosen<'a>, &'a Log)],
    met: impl Fn(&Log) -> bool,
) -> Option<&'b Chosen<'a>> {
    let says = |(c, log): &&(Chosen<'_>, &Log)| c.sure && met(log);
    let at_peg = logs.iter().filter(|(c, _)| c.at_peg).find(says);
    let none_denies = logs.iter().filter(|(c, _)| c.perhaps_at_peg).all(|l| says(&l));
    at_peg.or_else(|| logs.iter().find(says).filter(|_| none_denies)).map(|(c, _)| c)
}

/// Thickness of hard laterite above the depth that is needed. Where nobody
/// says that there is no sign of it, all of the way may be laterite.
fn hard_laterite(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let logs = s.logs(&mut sheet)?;
    let (surely_to, perhaps_to) = s.way_down(&mut sheet)?;
    let told = sheet.take_any(s.site.ground.hard_laterite.as_ref()).copied();
    match told {
        None => sheet.ask(
            AskKind::Look,
            "Look around the peg for hard laterite, ask well and latrine diggers how thick it is, and write down yes or no.",
        ),
        Some(true) => sheet.note("seen or told of at the peg"),
        Some(false) => {}
    }
    ask_deeper(&logs, perhaps_to, &mut sheet);
    if !logs.iter().any(|(c, log)| c.sure && !log.is_empty()) {
        sheet.ask_trial_bore();
        return Ok(sheet.unknown());
    }
    let thickness = |log: &Log, depth: f64, how: fn(Sure) -> bool| {
        log.above(depth).filter(|(l, _)| how(l.classes.are(is_hard_laterite))).map(|(_, t)| t).sum::<f64>()
    };
    let low =
        logs.iter().map(|(_, log)| thickness(log, surely_to, |m| m == Sure::Yes)).min_by(f64::total_cmp);
    let high = perhaps_to.map(|depth| {
        let most = |log: &Log| {
            let unseen = (depth - log.end_m()).max(0.0);
            (thickness(log, depth, |m| m != Sure::No) + unseen).min(depth)
        };
        let most = logs.iter().map(|(_, log)| most(log)).fold(0.0, f64::max);
        if told == Some(false) { most } else { most.max(depth) }
    });
    let mut values = Vec::new();
    for (c, log) in logs.iter().filter(|(_, log)| !log.is_empty()) {
        values.push((
            thickness(log, perhaps_to.unwrap_or(surely_to), |m| m == Sure::Yes),
            s.weight(&c.distance)?,
        ));
    }
    sheet.number(estimate(Unit::Metre, low, weighted_median(&mut values), high))
}

/// Whether distance does not protect here: by the region, by signs at the
/// peg, or by the logs.
fn fast_ground(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    // Of a setting that nobody named nothing is known, neither good nor bad.
    let named = s.region().id != UNSTATED;
    if !named {
        sheet.ask(
            AskKind::Write,
            "Write the kind of ground into the survey (region = \"…\", one of those that `forebore regions list` shows).",
        );
    }
    if named && !s.region().distance_protects {
        sheet.note(format!("in the setting {} distance alone does not protect", s.region().id));
        return sheet.word("yes");
    }
    let logs = s.logs(&mut sheet)?;
    let signs = [
        (&s.site.ground.gravel, "coarse gravel"),
        (&s.site.ground.fissured, "open rock (fissures, caves, sinkholes)"),
    ];
    for (sign, what) in signs {
        match sheet.take_any(sign.as_ref()) {
            Some(true) => {
                sheet.note(format!("{what} seen or told of at the peg"));
                return sheet.word("yes");
            }
            Some(false) => {}
            None => sheet.ask(
                AskKind::Look,
                format!("Look around the peg for {what}, ask well diggers, and write down yes or no."),
            ),
        }
    }
    let met = |log: &Log, how: fn(Sure) -> bool| log.layers.iter().any(|l| how(l.classes.are(runs_fast)));
    if let Some(c) = surely_met(&logs, |log| met(log, |m| m == Sure::Yes)) {
        sheet.note(format!("met in {}", well_name(c.well)));
        return sheet.word("yes");
    }
    let stated = signs.iter().all(|(sign, _)| sign.as_ref().is_some_and(|s| !s.value));
    let hidden = logs.iter().any(|(_, log)| log.is_empty() || met(log, |m| m != Sure::No));
    if stated && !hidden {
        return sheet.word("no");
    }
    sheet.ask_trial_bore();
    Ok(sheet.unknown())
}

/// Thickness of water-bearing ground between the driest-month level and the
/// depth that the best method can reach.
fn saturated(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let level = s.dry_level(&mut sheet)?;
    let reach = s.best_reach(&mut sheet)?;
    let logs = s.logs(&mut sheet)?;
    ask_deeper(&logs, reach.as_ref().and_then(Estimate::high), &mut sheet);
    let (Some(level), Some(reach)) = (level, reach) else { return Ok(sheet.unknown()) };
    if !logs.iter().any(|(c, log)| c.sure && !log.is_empty()) {
        sheet.ask_trial_bore();
        return Ok(sheet.unknown());
    }
    let bears = |classes: Classes| classes.are(|class| water_habit(class).and_then(|h| h.bears_water));
    let between = |log: &Log, top: f64, bottom: f64, how: fn(Sure) -> bool| {
        let part = |l: &ReadLayer| (l.bottom_m.min(bottom) - l.top_m.max(top)).max(0.0);
        log.layers.iter().filter(|l| how(bears(l.classes))).map(part).sum::<f64>()
    };
    let (level_low, level_high) = (level.low().unwrap_or(0.0), level.high());
    let reach_low = reach.low().unwrap_or(0.0);
    let low = logs
        .iter()
        .map(|(_, log)| level_high.map_or(0.0, |top| between(log, top, reach_low, |m| m == Sure::Yes)));
    let low = low.min_by(f64::total_cmp);
    let high = reach.high().map(|bottom| {
        let most = |log: &Log| {
            let unseen = (bottom - log.end_m().max(level_low)).max(0.0);
            between(log, level_low, bottom, |m| m != Sure::No) + unseen
        };
        logs.iter().map(|(_, log)| most(log)).fold(0.0, f64::max)
    });
    let mut values = Vec::new();
    if let Some((top, bottom)) = level.value().zip(reach.value()) {
        for (c, log) in logs.iter().filter(|(_, log)| !log.is_empty()) {
            values.push((between(log, top, bottom, |m| m == Sure::Yes), s.weight(&c.distance)?));
        }
    }
    sheet.number(estimate(Unit::Metre, low, weighted_median(&mut values), high))
}
