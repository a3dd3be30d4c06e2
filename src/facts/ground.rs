//! How deep the methods at hand can reach through this ground, and how deep
//! the well must go; metres below ground.
//!
//! The ground is pictured from the nearest few logs. A neighbour without a log,
//! or with one that ends above the depth in question, may hide anything below.

use std::rc::Rc;

use super::near::{Chosen, well_name};
use super::sheet::{Answer, Sheet, count, estimate};
use super::site::{Works, no_prior};
use super::{AskKind, Fact, Missing, SiteFacts};
use crate::ground::{DepthBand, Log, refusal, refuses, rock, weighted_median};
use crate::survey::{Made, Method, Seen, Well, WellOutcome};
use crate::units::{Estimate, Part, Unit};
use crate::well::BelowLevel;

pub(super) const WORKS: Works = &[
    ("methods_that_fit", methods_that_fit),
    ("method_reach_m", method_reach),
    ("reach_margin_m", reach_margin),
    ("needed_depth_m", needed_depth),
    ("soft_cover_m", soft_cover),
    ("outcrop_m", outcrop),
    ("fluid_methods_only", fluid_methods_only),
];

/// How deep each method at hand can reach.
#[derive(Debug)]
pub(super) struct Reaches {
    /// By method, in the order of [`Method::ALL`]; `None` where the region
    /// has no profile of it.
    each: Vec<(Method, Option<DepthBand>)>,
    /// The greatest of them; `None` where nothing is known of the ground.
    best: Option<Estimate>,
    sheet: Sheet,
}

impl SiteFacts {
    /// The methods at hand: those of the plan, or every method of the region
    /// where the plan names none.
    pub(super) fn methods(&self, sheet: &mut Sheet) -> Vec<Method> {
        let planned = &self.site.plan.methods;
        planned.iter().for_each(|m| sheet.read(&m.from));
        let at_hand = |m: &Method| {
            if planned.is_empty() {
                self.region().methods.contains_key(m)
            } else {
                planned.iter().any(|p| p.value == *m)
            }
        };
        Method::ALL.into_iter().filter(at_hand).collect()
    }

    pub(super) fn log_of(&self, c: &Chosen<'_>) -> &Log {
        self.log_by_id(c.id)
    }

    pub(super) fn log_by_id(&self, id: usize) -> &Log {
        static NONE: Log = Log { layers: Vec::new(), unread: Vec::new() };
        self.shared.logs.get(id).unwrap_or(&NONE)
    }

    fn reaches(&self) -> Result<Rc<Reaches>, Missing> {
        self.reaches.get_or_init(|| work_out_reaches(self).map(Rc::new)).clone()
    }

    /// How deep the best method at hand can reach, if that is known at all.
    pub(super) fn best_reach(&self, sheet: &mut Sheet) -> Result<Option<Estimate>, Missing> {
        let reaches = self.reaches()?;
        sheet.join(&reaches.sheet);
        Ok(reaches.best.clone())
    }

    pub(super) fn below_level(&self) -> Result<BelowLevel, Missing> {
        BelowLevel::of(self.region()).map_err(no_prior)
    }

    /// What pumping lowers the water by.
    pub(super) fn drawdown(&self) -> Result<Part, Missing> {
        Ok(self.below_level()?.drawdown_m)
    }

    /// The depth that is needed, if the level is known.
    pub(super) fn needed_depth(&self, sheet: &mut Sheet) -> Result<Option<Estimate>, Missing> {
        let below = self.below_level()?.total_m();
        let Some(level) = self.dry_level(sheet)? else { return Ok(None) };
        let below = Estimate::band(Unit::Metre, below.low, below.value, below.high).ok();
        Ok(below.map(|b| level.plus(&b)))
    }
}

/// Takes down where a log was read, or asks for it.
pub(super) fn take_log(c: &Chosen<'_>, log: &Log, sheet: &mut Sheet) {
    let name = well_name(c.well);
    log.layers.iter().for_each(|l| sheet.read(&l.from));
    if log.is_empty() {
        sheet.ask(AskKind::Ask, format!("Ask what ground was met in {name}, how hard, and at what depths."));
    }
    for unread in &log.unread {
        sheet.ask(
            AskKind::Write,
            format!("Write the layer \"{}\" of {name} ({}) in other words.", unread.written, unread.from),
        );
    }
}

/// Whether a neighbour's end says how deep one gets, apart from its log.
fn stopped_on_rock(well: &Well) -> bool {
    well.depth_m.is_some() && well.outcome.as_ref().is_some_and(|o| o.value == WellOutcome::RefusedOnRock)
}

fn drilled_by_hand(well: &Well) -> bool {
    let by_hand = well.made.as_ref().is_some_and(|m| matches!(m.value, Made::HandDrilled | Made::TrialBore));
    by_hand && well.depth_m.is_some()
}

/// The wells that say something of refusal, and those that do not and may
/// hide it.
fn refusal_evidence<'a>(
    s: &'a SiteFacts,
    says: fn(&Well) -> bool,
    sheet: &mut Sheet,
) -> Result<Option<Vec<Chosen<'a>>>, Missing> {
    let chosen = s.evidence("near_evidence_radius_m", says)?;
    for c in &chosen {
        take_log(c, s.log_of(c), sheet);
        c.well.outcome.iter().for_each(|o| sheet.read(&o.from));
        c.well.depth_m.iter().for_each(|d| sheet.read(&d.from));
    }
    if chosen.iter().any(|c| c.sure && says(c.well)) {
        return Ok(Some(chosen));
    }
    sheet.ask_trial_bore();
    Ok(None)
}

/// The envelope of what several neighbours say of a depth.
fn envelope(bands: &[(DepthBand, f64)]) -> DepthBand {
    let low_m = bands.iter().map(|b| b.0.low_m).min_by(f64::total_cmp).unwrap_or(0.0);
    let high_m = bands
        .iter()
        .map(|b| b.0.high_m)
        .try_fold(0.0_f64, |most, h| h.map(|h| most.max(h)))
        .filter(|_| !bands.is_empty());
    let mut values: Vec<_> = bands.iter().filter_map(|b| Some((b.0.value_m?, b.1))).collect();
    DepthBand { low_m, value_m: weighted_median(&mut values), high_m }
}

fn band_estimate(band: DepthBand) -> Result<Estimate, crate::units::NotANumber> {
    estimate(Unit::Metre, Some(band.low_m), band.value_m, band.high_m)
}

fn work_out_reaches(s: &SiteFacts) -> Result<Reaches, Missing> {
    let mut sheet = Sheet::new();
    let told_error_m = s.prior("remembered_depth_error_m")?;
    let methods = s.methods(&mut sheet);
    let says = |w: &Well| !w.log.is_empty() || stopped_on_rock(w);
    let evidence = refusal_evidence(s, says, &mut sheet)?;
    let mut each = Vec::new();
    for method in methods {
        let profile = s.region().methods.get(&method);
        if profile.is_none() {
            sheet.ask(
                AskKind::Write,
                format!("Write what {} can do into the region's file or the local file.", method.name()),
            );
        }
        let band = match (profile, &evidence) {
            (Some(profile), Some(chosen)) => {
                let mut bands = Vec::new();
                for c in chosen {
                    let band = refusal(c.well, s.log_of(c), told_error_m, |class| refuses(profile, class));
                    bands.push((band, s.weight(&c.distance)?));
                }
                Some(envelope(&bands).at_most(profile.max_depth_m.value))
            }
            _ => None,
        };
        each.push((method, band));
    }
    let bands: Vec<DepthBand> = each.iter().filter_map(|e| e.1).collect();
    let best = (!bands.is_empty()).then(|| {
        let low = bands.iter().map(|b| b.low_m).max_by(f64::total_cmp);
        let value = bands.iter().filter_map(|b| b.value_m).max_by(f64::total_cmp);
        let high = bands.iter().filter_map(|b| b.high_m).max_by(f64::total_cmp);
        // A method of which the region says nothing may reach any depth.
        let high = high.filter(|_| bands.len() == each.len());
        estimate(Unit::Metre, low, value, high)
    });
    let best = best.and_then(Result::ok);
    Ok(Reaches { each, best, sheet })
}

/// How deep each method at hand can reach.
pub(super) fn method_reaches(s: &SiteFacts) -> Vec<(Method, Rc<Fact>)> {
    let Ok(reaches) = s.reaches() else { return Vec::new() };
    let fact = |band: &Option<DepthBand>| {
        let sheet = reaches.sheet.clone();
        match band.map(band_estimate) {
            Some(e) => sheet.number(e).ok(),
            None => Some(sheet.unknown()),
        }
    };
    reaches.each.iter().filter_map(|(m, band)| Some((*m, Rc::new(fact(band)?)))).collect()
}

fn method_reach(s: &SiteFacts) -> Answer {
    let reaches = s.reaches()?;
    let mut sheet = reaches.sheet.clone();
    for (method, band) in &reaches.each {
        if let Some(Ok(e)) = band.map(band_estimate) {
            sheet.note(format!("{}: {e}", method.name()));
        }
    }
    match &reaches.best {
        Some(best) => sheet.number(Ok(best.clone())),
        None => Ok(sheet.unknown()),
    }
}

fn methods_that_fit(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let needed = s.needed_depth(&mut sheet)?;
    let reaches = s.reaches()?;
    sheet.join(&reaches.sheet);
    let (Some(needed), Some(_)) = (needed, &reaches.best) else { return Ok(sheet.unknown()) };
    let (mut low, mut value, mut high) = (0, 0, 0);
    for (method, band) in &reaches.each {
        let Some(band) = band else {
            high += 1;
            continue;
        };
        let at_least = |a: Option<f64>, b: Option<f64>| a.zip(b).is_some_and(|(a, b)| a >= b);
        let fits = at_least(Some(band.low_m), needed.high());
        let may = !band.high_m.zip(needed.low()).is_some_and(|(h, n)| h < n);
        low += usize::from(fits);
        value += usize::from(fits || (may && at_least(band.value_m, needed.value())));
        high += usize::from(may);
        let word = if fits {
            "fits"
        } else if may {
            "may fit"
        } else {
            "does not fit"
        };
        sheet.note(format!("{} {word}", method.name()));
    }
    sheet.number(count(low, value, high))
}

fn reach_margin(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let needed = s.needed_depth(&mut sheet)?;
    let reach = s.best_reach(&mut sheet)?;
    match reach.zip(needed) {
        Some((reach, needed)) => sheet.number(Ok(reach.minus(&needed))),
        None => Ok(sheet.unknown()),
    }
}

fn needed_depth(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.needed_depth(&mut sheet)? {
        Some(needed) => sheet.number(Ok(needed)),
        None => Ok(sheet.unknown()),
    }
}

fn soft_cover(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let told_error_m = s.prior("remembered_depth_error_m")?;
    let says = |w: &Well| !w.log.is_empty() || stopped_on_rock(w) || drilled_by_hand(w);
    let Some(chosen) = refusal_evidence(s, says, &mut sheet)? else { return Ok(sheet.unknown()) };
    let mut bands = Vec::new();
    for c in &chosen {
        c.well.made.iter().for_each(|m| sheet.read(&m.from));
        let band = rock(c.well, s.log_of(c), told_error_m, s.region());
        bands.push((band, s.weight(&c.distance)?));
    }
    sheet.number(band_estimate(envelope(&bands)))
}

fn outcrop(s: &SiteFacts) -> Answer {
    let ask = (
        AskKind::Look,
        "Walk around the peg, look for rock at the surface, and write down how far the nearest is.",
    );
    paced(s, s.site.ground.outcrop_m.as_ref(), ask)
}

/// A distance from the peg of which nobody said how it was measured.
pub(super) fn paced(s: &SiteFacts, seen: Option<&Seen<f64>>, ask: (AskKind, &str)) -> Answer {
    let mut sheet = Sheet::new();
    let error_m = s.prior("tape_least_error_m")?;
    let Some(distance) = sheet.take_any(seen).copied() else {
        sheet.ask(ask.0, ask.1);
        return Ok(sheet.unknown());
    };
    let low = (distance - error_m).max(0.0);
    let moved_m = s.site.moved_m;
    if moved_m > 0.0 {
        // Taped from where the peg was: from here it may be as much more or
        // less as the peg was moved.
        sheet.ask(ask.0, ask.1);
        let low = (low - moved_m).max(0.0);
        return sheet.number(Estimate::bounded(Unit::Metre, Some(low), Some(distance + error_m + moved_m)));
    }
    sheet.number(Estimate::band(Unit::Metre, low, distance.max(low), distance + error_m))
}

fn fluid_methods_only(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let methods = s.methods(&mut sheet);
    let profiles: Vec<_> = methods.iter().map(|m| (m, s.region().methods.get(m))).collect();
    if profiles.iter().any(|(_, p)| p.is_some_and(|p| !p.needs_fluid)) {
        return sheet.word("no");
    }
    for (method, _) in profiles.iter().filter(|(_, p)| p.is_none()) {
        let ask = format!("Write what {} can do into the region's file or the local file.", method.name());
        sheet.ask(AskKind::Write, ask);
    }
    if profiles.is_empty() || profiles.iter().any(|(_, p)| p.is_none()) {
        sheet.ask(AskKind::Write, "Write down which methods are at hand.");
        return Ok(sheet.unknown());
    }
    sheet.word("yes")
}
