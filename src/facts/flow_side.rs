//! Which side of the peg the groundwater may come from, as far as facts rest
//! on it: the direction the survey states and the slopes that the levels of
//! neighbours leave possible; metres, degrees from north.
//!
//! A stated direction is good to so many degrees. The levels leave other
//! directions possible, never more for knowing more (`ground::slopes`). A
//! source is off the side where either excludes it, on it for certain where
//! either says so of every direction it leaves. Where the two have no
//! direction in common one of them is wrong, and both count.
//!
//! Levels are compared as of the driest month of an average year; those read
//! within a few days of each other also as they were read, so that the season
//! takes nothing from them.

use std::rc::Rc;

use jiff::civil::Date;

use super::near::{Neighbour, Source, well_name};
use super::sector::{Sector, Within};
use super::sheet::Sheet;
use super::{AskKind, Missing, SiteFacts};
use crate::ground::level_at_peg;
use crate::ground::slopes::{Difference, Directions, NoSlopes, PossibleSlopes, possible_slopes};
use crate::place::Plane;
use crate::survey::{Hazard, Position, Well};
use crate::units::{Part, Unit};

/// Only so many of the nearest wells are compared two by two. A bound on the
/// work, not on what they say.
const MOST_WELLS: usize = 40;

/// At most so many wells are named in an ask.
const MOST_NAMES: usize = 5;

const DIP_THREE: &str = "Dip three wells around the peg on one day, level their tops, and write down the levels and the \
                         elevations.";

/// A well whose level and elevation are known.
#[derive(Debug, Clone)]
pub(super) struct Head {
    pub(super) name: String,
    /// East and north of the peg.
    pub(super) at: [f64; 2],
    /// How far it may lie off that.
    pub(super) place_error_m: f64,
    /// Between which elevations the ground there lies.
    pub(super) height: (f64, f64),
    /// Depth to water in the driest month of an average year.
    pub(super) dry: Part,
    /// The day of the reading, the depth read and its error.
    pub(super) read: Option<(Date, f64, f64)>,
}

/// What levels say of the slope of the water table.
#[derive(Debug)]
pub(super) struct WaterSlope {
    pub(super) heads: Vec<Head>,
    pub(super) possible: Result<PossibleSlopes, NoSlopes>,
    pub(super) sheet: Sheet,
}

/// The side the groundwater may come from.
#[derive(Debug)]
pub(super) struct FlowSide {
    /// What each kind of evidence leaves of where it flows to.
    towards: Vec<Directions>,
    pub(super) contradict: bool,
    /// How far what flows from a source spreads to either side.
    spread_deg: f64,
    compass_deg: f64,
}

impl SiteFacts {
    /// What the levels of neighbours say.
    pub(super) fn water_slope(&self) -> Result<Rc<WaterSlope>, Missing> {
        self.water_slope.get_or_init(|| work_out(self).map(Rc::new)).clone()
    }

    /// How far what flows from a source spreads to either side, degrees.
    pub(super) fn flow_spread_deg(&self) -> Result<f64, Missing> {
        Ok((self.prior("upgradient_half_angle_deg")? - self.prior("stated_flow_error_deg")?).max(0.0))
    }

    /// The direction that the survey states, with its error.
    pub(super) fn stated_flow(&self, sheet: &mut Sheet) -> Result<Option<Directions>, Missing> {
        let half_angle_deg = self.prior("stated_flow_error_deg")?;
        let stated = sheet.take_any(self.site.ground.groundwater_towards_deg.as_ref());
        Ok(stated.map(|middle_deg| Directions { middle_deg: *middle_deg, half_angle_deg }))
    }

    /// The side the groundwater may come from; `None` where it may be any.
    pub(super) fn flow_side(&self, sheet: &mut Sheet) -> Result<Option<FlowSide>, Missing> {
        let stated = self.stated_flow(sheet)?;
        let slope = self.water_slope()?;
        let levels = slope.possible.as_ref().ok().map(PossibleSlopes::towards);
        if let Some(d) = &levels {
            // What the levels come from matters only where they say something.
            sheet.join(&slope.sheet);
            let degrees = |d: f64| Unit::Degree.show(d);
            sheet.note(format!(
                "the levels of {} wells let the groundwater flow towards {}, give or take {}",
                slope.heads.len(),
                degrees(d.middle_deg),
                degrees(d.half_angle_deg)
            ));
        }
        let contradict = stated.zip(levels).is_some_and(|(s, l)| s.contradict(&l));
        if contradict {
            sheet.note("that is not the direction stated: both are allowed for");
            sheet.ask(
                AskKind::Dip,
                "Find out which way the groundwater flows: what is written down of it contradicts the levels of the \
                 wells. Dip them again on one day and level their tops.",
            );
        }
        let towards: Vec<_> = stated.into_iter().chain(levels).collect();
        if towards.is_empty() {
            sheet.join(&slope.sheet);
            return Ok(None);
        }
        let (spread_deg, compass_deg) = (self.flow_spread_deg()?, self.prior("bearing_error_deg")?);
        Ok(Some(FlowSide { towards, contradict, spread_deg, compass_deg }))
    }
}

impl FlowSide {
    /// Whether a hazard lies up-gradient.
    pub(super) fn holds(&self, peg: &Position, hazard: &Hazard, source: &Source) -> Within {
        let one = |d: &Directions| {
            let sector = |half_angle_deg: f64| {
                let sector = Sector { middle_deg: d.middle_deg + 180.0, half_angle_deg };
                sector.holds(peg, hazard, source, self.compass_deg)
            };
            // On the side by every direction that is left, or by any.
            match (sector(self.spread_deg - d.half_angle_deg), sector(self.spread_deg + d.half_angle_deg)) {
                (Within::Surely, _) => Within::Surely,
                (_, Within::No) => Within::No,
                _ => Within::Perhaps,
            }
        };
        let each: Vec<_> = self.towards.iter().map(one).collect();
        let is = |w: Within| {
            let mut all = each.iter().map(|e| *e == w);
            if self.contradict { all.all(|is| is) } else { all.any(|is| is) }
        };
        match (is(Within::Surely), is(Within::No)) {
            (true, false) => Within::Surely,
            (false, true) => Within::No,
            _ => Within::Perhaps,
        }
    }

    /// Whether anything can be up-gradient for certain.
    pub(super) fn may_be_sure(&self) -> bool {
        let mut each = self.towards.iter().map(|d| d.half_angle_deg < self.spread_deg);
        if self.contradict { each.all(|is| is) } else { each.any(|is| is) }
    }
}

fn work_out(s: &SiteFacts) -> Result<WaterSlope, Missing> {
    let mut sheet = Sheet::new();
    let radius_m = s.prior("near_evidence_radius_m")?;
    let steepest = s.prior("hydraulic_gradient_high")?;
    let uneven_m = s.prior("water_table_unevenness_m")?;
    let days = s.prior("one_reading_days")?;
    let mut heads = Vec::new();
    let mut unlevelled = Vec::new();
    for n in s.neighbours()?.iter().filter(|n| n.rank < MOST_WELLS && n.surely_within(radius_m)) {
        let Some(well) = s.shared.wells.get(n.id) else { continue };
        let mut read = Sheet::new();
        match head(s, n, well, &mut read)? {
            Ok(head) => {
                sheet.join(&read);
                heads.push(head);
            }
            Err(NoHead::NoHeight) => unlevelled.push(well_name(well)),
            Err(NoHead::NoLevel) => {}
        }
    }
    let mut differences = Vec::new();
    for (i, a) in heads.iter().enumerate() {
        for b in heads.iter().skip(i + 1) {
            let slack_m = 2.0 * uneven_m + steepest * (a.place_error_m + b.place_error_m);
            differences.extend(between(a, b, days, slack_m));
        }
    }
    let possible = possible_slopes(&differences, steepest);
    let names: Vec<_> = heads.iter().take(MOST_NAMES).map(|h| h.name.clone()).collect();
    match possible {
        Ok(_) => {}
        Err(_) if heads.len() < 3 && heads.len() + unlevelled.len() >= 3 => {
            unlevelled.truncate(MOST_NAMES);
            sheet.ask(
                AskKind::Dip,
                format!(
                    "Level the ground at {} from one mark with a hose or an instrument, at three wells around the peg \
                     at least, dip them on one day, and write down the levels and the elevations.",
                    unlevelled.join(", ")
                ),
            );
        }
        Err(_) if heads.len() < 3 => sheet.ask(AskKind::Dip, DIP_THREE),
        Err(NoSlopes::MayBeLevel | NoSlopes::NotFinite) => sheet.ask(
            AskKind::Dip,
            format!(
                "Level the ground at {} with a hose or an instrument, dip them on one day, and write down how far the \
                 elevations may be off (elevation_accuracy_m).",
                names.join(", ")
            ),
        ),
        Err(NoSlopes::Open) => sheet.ask(
            AskKind::Dip,
            format!(
                "Level and dip another well, off the line of {}, on the same day as these.",
                names.join(", ")
            ),
        ),
        Err(NoSlopes::Contradict) => sheet.ask(
            AskKind::Dip,
            format!(
                "Check the elevations of {} and dip them again on one day, before anybody pumps: their levels lie on \
                 no one slope.",
                names.join(", ")
            ),
        ),
    }
    Ok(WaterSlope { heads, possible, sheet })
}

/// What a well lacks.
enum NoHead {
    NoHeight,
    NoLevel,
}

fn head(
    s: &SiteFacts,
    n: &Neighbour,
    well: &Well,
    sheet: &mut Sheet,
) -> Result<Result<Head, NoHead>, Missing> {
    let priors = s.level_priors()?.of_an_average_year();
    let here = Part { low: 0.0, value: 0.0, high: 0.0 };
    let Some(level) = level_at_peg(well, &here, true, s.months(), &priors) else {
        return Ok(Err(NoHead::NoLevel));
    };
    let Some(height) = height(s, n, well, sheet)? else { return Ok(Err(NoHead::NoHeight)) };
    let depth = sheet.take_any(well.water_level_m.as_ref()).copied();
    sheet.take_any(well.lowest_level_m.as_ref());
    let day = sheet.take_any(well.measured.as_ref()).copied();
    sheet.take_any(well.season.as_ref());
    let error_m = s.prior("level_reading_error_m")?;
    Ok(Ok(Head {
        name: well_name(well),
        at: Plane::at(s.site.peg.at.value.at).east_north_m(well.position.at),
        place_error_m: s.place_error_m(n, well)?,
        height,
        dry: level.dry,
        read: depth.zip(day).map(|(depth, day)| (day, depth, error_m)),
    }))
}

/// Between which elevations the ground at a well lies: by its own, and, where
/// it stands for the peg, by the peg's and what the ground may rise or fall
/// between the two.
fn height(
    s: &SiteFacts,
    n: &Neighbour,
    well: &Well,
    sheet: &mut Sheet,
) -> Result<Option<(f64, f64)>, Missing> {
    const PERCENT: f64 = 100.0;
    let unstated_m = s.prior("elevation_error_m")?;
    let at_peg = n.surely_within(s.prior("trial_bore_radius_m")?);
    let own = sheet.take_any(well.elevation_m.as_ref()).copied().map(|elevation| {
        let error = sheet.take_any(well.elevation_accuracy_m.as_ref()).copied().unwrap_or(unstated_m);
        (elevation - error, elevation + error)
    });
    let peg = &s.site.peg;
    let slope_pct = s.site.ground.slope_pct.as_ref().filter(|_| at_peg);
    let by_peg = peg.elevation_m.as_ref().zip(slope_pct).map(|(elevation, slope)| {
        let rise = n.distance.high * sheet.take(slope) / PERCENT;
        let error = sheet.take_any(peg.elevation_accuracy_m.as_ref()).copied().unwrap_or(unstated_m) + rise;
        let elevation = sheet.take(elevation);
        (elevation - error, elevation + error)
    });
    Ok(match (own, by_peg) {
        (Some(a), Some(b)) => {
            let both = (a.0.max(b.0), a.1.min(b.1));
            // Two elevations that contradict each other: whatever either says.
            Some(if both.0 <= both.1 { both } else { (a.0.min(b.0), a.1.max(b.1)) })
        }
        (own, by_peg) => own.or(by_peg),
    })
}

/// What two wells say of the change of level from one to the other.
fn between(a: &Head, b: &Head, days: f64, slack_m: f64) -> impl Iterator<Item = Difference> {
    let (east_m, north_m) = (b.at[0] - a.at[0], b.at[1] - a.at[1]);
    let difference = |depth_a: (f64, f64), depth_b: (f64, f64)| Difference {
        east_m,
        north_m,
        low_m: (b.height.0 - depth_b.1) - (a.height.1 - depth_a.0) - slack_m,
        high_m: (b.height.1 - depth_b.0) - (a.height.0 - depth_a.1) + slack_m,
    };
    let dry = difference((a.dry.low, a.dry.high), (b.dry.low, b.dry.high));
    let read = a.read.zip(b.read).filter(|(a, b)| one_day(a.0, b.0, days));
    let read = read.map(|(a, b)| difference((a.1 - a.2, a.1 + a.2), (b.1 - b.2, b.1 + b.2)));
    std::iter::once(dry).chain(read)
}

/// Whether two readings count as read on one day.
pub(super) fn one_day(a: Date, b: Date, days: f64) -> bool {
    f64::from((a - b).get_days()).abs() <= days
}
