//! Water levels at the peg, how far neighbours agree about them and how old
//! the readings are; metres below ground, years.

use std::rc::Rc;

use super::near::{Chosen, well_name};
use super::sheet::{Answer, Sheet, estimate};
use super::site::{Works, no_prior};
use super::{AskKind, Missing, SiteFacts};
use crate::ground::{LevelPriors, LevelSeason, level_at_peg, weighted_median};
use crate::region::Calendar;
use crate::survey::Well;
use crate::units::{Combine, Estimate, Part, Unit};

pub(super) const WORKS: Works = &[
    ("dry_level_m", |s| level(s, |l| l.dry.clone())),
    ("wet_level_m", |s| level(s, |l| l.wet.clone())),
    ("level_season", season),
    ("level_agreement_m", agreement),
    ("newest_level_age_a", newest_age),
];

/// Days in a year of the calendar, on average.
const DAYS_PER_YEAR: f64 = 365.25;

/// The levels at the peg, from neighbours.
#[derive(Debug, Clone)]
pub(super) struct Levels {
    /// Driest and wettest month; `None` where no neighbour is surely near
    /// with a level.
    dry: Option<Estimate>,
    wet: Option<Estimate>,
    /// The worst season among those used; `None` where one has no level.
    season: Option<LevelSeason>,
    sheet: Sheet,
}

impl SiteFacts {
    pub(super) fn level_priors(&self) -> Result<LevelPriors, Missing> {
        LevelPriors::of(self.region()).map_err(no_prior)
    }

    /// The wet and dry months, where they are known for the peg's latitude.
    pub(super) fn months(&self) -> Option<&Calendar> {
        let calendar = &self.region().calendar;
        calendar.holds_at(self.site.peg.at.value.at.lat_deg()).then_some(calendar)
    }

    fn levels(&self) -> Result<Rc<Levels>, Missing> {
        self.levels.get_or_init(|| work_out(self).map(Rc::new)).clone()
    }

    /// The level of the driest month, if it is known at all.
    pub(super) fn dry_level(&self, sheet: &mut Sheet) -> Result<Option<Estimate>, Missing> {
        let levels = self.levels()?;
        sheet.join(&levels.sheet);
        Ok(levels.dry.clone())
    }

    /// The same for the wettest month.
    pub(super) fn wet_level(&self, sheet: &mut Sheet) -> Result<Option<Estimate>, Missing> {
        let levels = self.levels()?;
        sheet.join(&levels.sheet);
        Ok(levels.wet.clone())
    }
}

fn has_level(well: &Well) -> bool {
    well.water_level_m.is_some() || well.lowest_level_m.is_some()
}

fn work_out(s: &SiteFacts) -> Result<Levels, Missing> {
    let priors = s.level_priors()?;
    let chosen = s.evidence("evidence_radius_m", has_level)?;
    let mut sheet = Sheet::new();
    let mut known = Vec::new();
    let mut unread = false;
    for c in &chosen {
        let level = level_at_peg(c.well, &c.distance, c.at_peg, s.months(), &priors);
        ask_for_level(c.well, level.as_ref().map(|l| (l.season, l.contradicts_itself)), &mut sheet);
        match level {
            Some(level) => known.push((c, level)),
            None => unread = true,
        }
    }
    for (c, _) in &known {
        let w = c.well;
        let origins = [w.water_level_m.as_ref(), w.lowest_level_m.as_ref()];
        origins.into_iter().flatten().for_each(|l| sheet.read(&l.from));
        w.measured.iter().for_each(|d| sheet.read(&d.from));
        w.season.iter().for_each(|d| sheet.read(&d.from));
    }
    if !known.iter().any(|(c, _)| c.sure) {
        if chosen.iter().all(|c| !c.sure) {
            sheet.ask_for_wells();
        }
        sheet.ask_trial_bore();
        return Ok(Levels { dry: None, wet: None, season: None, sheet });
    }
    if let Some((nearest, _)) = known.first() {
        sheet.note(match known.len() {
            1 => {
                format!("from {}, {} away", well_name(nearest.well), Unit::Metre.show(nearest.distance.value))
            }
            n => format!(
                "from {n} wells; nearest is {}, {} away",
                well_name(nearest.well),
                Unit::Metre.show(nearest.distance.value)
            ),
        });
    }
    let weights: Vec<f64> = known.iter().map(|(c, _)| s.weight(&c.distance)).collect::<Result<_, _>>()?;
    let envelope = |part: &dyn Fn(usize) -> Option<Part>| {
        let parts: Vec<Part> = (0..known.len()).filter_map(part).collect();
        let low = parts.iter().map(|p| p.low).min_by(f64::total_cmp);
        let high = parts.iter().map(|p| p.high).max_by(f64::total_cmp);
        let mut values: Vec<_> = parts.iter().map(|p| p.value).zip(weights.iter().copied()).collect();
        let value = weighted_median(&mut values);
        // A well whose level nobody read may stand for any depth.
        estimate(Unit::Metre, if unread { Some(0.0) } else { low }, value, high.filter(|_| !unread)).ok()
    };
    let dry = envelope(&|n| known.get(n).map(|(_, l)| l.dry));
    let wet = envelope(&|n| known.get(n).map(|(_, l)| l.wet));
    let season = known.iter().map(|(_, l)| l.season).max().filter(|_| !unread);
    Ok(Levels { dry, wet, season, sheet })
}

fn ask_for_level(well: &Well, read: Option<(LevelSeason, bool)>, sheet: &mut Sheet) {
    let name = well_name(well);
    match read {
        None => sheet.ask(
            AskKind::Dip,
            format!("Dip the water level in {name} at the end of the dry season."),
        ),
        Some((_, true)) => sheet.ask(
            AskKind::Dip,
            format!("Dip the water level in {name} again: what is written down of it contradicts itself."),
        ),
        Some((LevelSeason::Dry, false)) => {}
        // The day is told, but not what season it lies in here.
        Some((LevelSeason::DateUnknown, false)) if well.measured.is_some() => sheet.ask(
            AskKind::Write,
            "Write down for each water level whether it was read in the wet or the dry season (season = \"wet\" or \
             \"dry\"), or the wet and driest months of the place in a local file.",
        ),
        Some((LevelSeason::DateUnknown, false)) => sheet.ask(
            AskKind::Write,
            format!("Write down when the water level in {name} was read, and whether in the wet or the dry season."),
        ),
        Some((LevelSeason::Corrected | LevelSeason::WetSwingUnknown, false)) => sheet.ask(
            AskKind::Ask,
            format!("Ask how low the water in {name} falls in the driest year, or dip it at the end of the dry season."),
        ),
    }
}

fn level(s: &SiteFacts, which: fn(&Levels) -> Option<Estimate>) -> Answer {
    let levels = s.levels()?;
    match which(&levels) {
        Some(e) => levels.sheet.clone().number(Ok(e)),
        None => Ok(levels.sheet.clone().unknown()),
    }
}

fn season(s: &SiteFacts) -> Answer {
    let levels = s.levels()?;
    match levels.season {
        Some(season) => levels.sheet.clone().word(season.name()),
        None => Ok(levels.sheet.clone().unknown()),
    }
}

/// How far the levels in the wells themselves, all of the driest month of an
/// average year, lie apart. What all of them share (the allowance for drought)
/// and what the way to the peg brings is left out.
fn agreement(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let priors = s.level_priors()?.of_an_average_year();
    let here = Part { low: 0.0, value: 0.0, high: 0.0 };
    let chosen = s.nearest_around("evidence_radius_m")?;
    let mut known: Vec<(&Chosen<'_>, Part)> = Vec::new();
    for c in &chosen {
        let level = level_at_peg(c.well, &here, true, s.months(), &priors);
        ask_for_level(c.well, level.as_ref().map(|l| (l.season, l.contradicts_itself)), &mut sheet);
        let origins = [c.well.water_level_m.as_ref(), c.well.lowest_level_m.as_ref()];
        origins.into_iter().flatten().for_each(|l| sheet.read(&l.from));
        known.extend(level.map(|l| (c, l.dry)));
    }
    let sure: Vec<Part> = known.iter().filter(|(c, _)| c.sure).map(|(_, p)| *p).collect();
    // One well agrees with itself; that says something only where it stands
    // for the peg.
    let at_peg = known.iter().any(|(c, _)| c.at_peg);
    if sure.is_empty() || (sure.len() < 2 && !at_peg) {
        sheet.ask(AskKind::Dip, "Dip the water level in another well near the peg.");
        return Ok(sheet.unknown());
    }
    let most = |of: &mut dyn Iterator<Item = f64>| of.max_by(f64::total_cmp);
    let least = |of: &mut dyn Iterator<Item = f64>| of.min_by(f64::total_cmp);
    let apart = |high: Option<f64>, low: Option<f64>| high.zip(low).map(|(h, l)| (h - l).max(0.0));
    let low = apart(most(&mut sure.iter().map(|p| p.low)), least(&mut sure.iter().map(|p| p.high)));
    let value = apart(most(&mut sure.iter().map(|p| p.value)), least(&mut sure.iter().map(|p| p.value)));
    let high = apart(most(&mut known.iter().map(|k| k.1.high)), least(&mut known.iter().map(|k| k.1.low)));
    let high = high.filter(|_| known.len() == chosen.len());
    // A single level has nothing to lie apart from.
    let alone = known.len() == 1 && chosen.len() == 1;
    let made =
        if alone { Estimate::exact(Unit::Metre, 0.0) } else { estimate(Unit::Metre, low, value, high) };
    sheet.number(made)
}

fn newest_age(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let chosen = s.nearest_around("evidence_radius_m")?;
    let Some(visited) = sheet.take_any(s.site.visited.as_ref()).copied() else {
        sheet.ask(AskKind::Write, "Write down the date of the visit.");
        return Ok(sheet.unknown());
    };
    let mut sure = Vec::new();
    // A level of unknown day, or one of a well only perhaps near, may be newer.
    let mut perhaps_newer = false;
    for c in &chosen {
        let level = sheet.take_any(c.well.water_level_m.as_ref());
        let day = sheet.take_any(c.well.measured.as_ref()).filter(|_| level.is_some());
        let Some(day) = day else {
            perhaps_newer = true;
            sheet.ask(
                AskKind::Dip,
                format!("Dip the water level in {} and write down the date.", well_name(c.well)),
            );
            continue;
        };
        let age = f64::from((visited - *day).get_days()) / DAYS_PER_YEAR;
        if age < 0.0 {
            sheet.ask(
                AskKind::Write,
                format!("Correct the date of the level in {}: it is after the visit.", well_name(c.well)),
            );
        }
        let age = age.max(0.0);
        if c.sure {
            sure.push(Part { low: age, value: age, high: age });
        } else {
            perhaps_newer = true;
        }
    }
    if sure.is_empty() {
        sheet.ask(AskKind::Dip, "Dip the water level in a well near the peg and write down the date.");
        return Ok(sheet.unknown());
    }
    let age = Estimate::combined(Unit::Year, Combine::Least, sure)
        .map(|e| if perhaps_newer { e.perhaps_down_to(Some(0.0)) } else { e });
    sheet.number(age)
}
