//! How long groundwater may take from a source of faecal germs to the peg;
//! days.
//!
//! t = d·n/(K·i), with *d* the distance to the nearest source that lies, or
//! may lie, up-gradient, *n* effective porosity, *K* conductivity and *i* the
//! slope of the water table (`ground::travel_time`, with its source). *K* and
//! *n* are those of the ground between the wet-season level and the bottom of
//! the well in the nearest logs; *i* is what the levels of wells leave
//! possible, or the region's range.
//!
//! The low end takes the worst end of every figure: of all ground that may be
//! met the fastest, the steepest slope, the nearest place. Such ends are
//! farther out than nineteen times in twenty. Adding the ranges as squares would
//! be nearer, but a wider range of one figure could then lengthen the time, and
//! knowing less must never do that. Ground that nobody saw may be any.

use super::flow::SourceSide;
use super::sheet::{Answer, Sheet, estimate};
use super::site::Works;
use super::way_down::ask_deeper;
use super::{Missing, SiteFacts, UpGradient, Value};
use crate::ground::slopes::PossibleSlopes;
use crate::ground::travel_time::Seepage;
use crate::ground::{Classes, Log, MaterialClass, properties, weighted_median};
use crate::survey::HazardKind;
use crate::units::{Part, Unit};

pub(super) const WORKS: Works = &[("least_travel_time_days", least_travel_time)];

/// Water that is longer on the way than this, a thousand years, as good as
/// stands still: no figure is given for it.
const STANDING_DAYS: f64 = 365_250.0;

/// How long germs may take to the peg, for the report.
#[derive(Debug, Clone, PartialEq)]
pub struct Travel {
    /// Slope of the water table that was reckoned with, metres a metre.
    pub gradient: Part,
    /// Whether the levels of wells gave that; otherwise it is the region's.
    pub gradient_from_levels: bool,
    /// Days a metre of way: in the fastest ground, in the likely one (`None`
    /// where no log tells), and in the slowest (`None` where some ground is
    /// not known, or water may stand in it).
    pub days_per_m: (f64, Option<f64>, Option<f64>),
    /// Some of the ground on the way is not known and may be any.
    pub ground_unknown: bool,
    /// Every source of faecal germs around the peg, nearest first.
    pub sources: Vec<SourceTravel>,
}

/// How long water may take from one source.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceTravel {
    /// The source and the side it lies on.
    pub source: SourceSide,
    /// The fastest water, days; it counts only if the source lies, or may lie,
    /// up-gradient.
    pub fastest_days: f64,
    /// At the likely figures.
    pub likely_days: Option<f64>,
    /// The slowest water.
    pub slowest_days: Option<f64>,
}

/// What the ground on the way makes of a metre, at the slope there is.
struct Pace {
    gradient: Part,
    from_levels: bool,
    fastest: f64,
    likely: Option<f64>,
    slowest: Option<f64>,
    unknown: bool,
    sheet: Sheet,
}

impl SiteFacts {
    /// How long germs may take to the peg, source by source, for the report.
    ///
    /// # Errors
    /// What to do where the region lacks a figure for it.
    pub fn travel(&self) -> Result<Travel, Missing> {
        let pace = pace(self)?;
        let side = self.flow_side(&mut Sheet::new())?;
        let plane = self.plane(&self.water_slope()?.heads)?.0;
        let sources = self.sources_by_side(HazardKind::is_faecal, side.as_ref(), plane.as_ref().ok())?;
        let times = |source: SourceSide| SourceTravel {
            fastest_days: source.distance.low * pace.fastest,
            likely_days: pace.likely.map(|p| source.distance.value * p),
            // A source that is surely not up-gradient, or only perhaps, may
            // never send anything.
            slowest_days: pace
                .slowest
                .map(|p| source.distance.high * p)
                .filter(|days| source.up_gradient == UpGradient::Surely && *days <= STANDING_DAYS),
            source,
        };
        Ok(Travel {
            gradient: pace.gradient,
            gradient_from_levels: pace.from_levels,
            days_per_m: (pace.fastest, pace.likely, pace.slowest),
            ground_unknown: pace.unknown,
            sources: sources.into_iter().map(times).collect(),
        })
    }
}

fn least_travel_time(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let source = s.known("nearest_upgradient_faecal_source_m");
    sheet.lean_on(&source);
    let Value::Estimate(far) = &source.value else { return Ok(sheet.unknown()) };
    let pace = pace(s)?;
    sheet.join(&pace.sheet);
    if !source.note.is_empty() {
        sheet.note(source.note.clone());
    }
    let times = |end: Option<f64>, days_per_m: Option<f64>| end.zip(days_per_m).map(|(d, p)| d * p);
    let (low, value) = (times(far.low(), Some(pace.fastest)), times(far.value(), pace.likely));
    let high = times(far.high(), pace.slowest).filter(|days| *days <= STANDING_DAYS);
    sheet.number(estimate(Unit::Day, low, value, high))
}

/// The slope of the water table between two ends: what the levels leave of
/// the region's range.
fn gradient(s: &SiteFacts, sheet: &mut Sheet) -> Result<(Part, bool), Missing> {
    let (low, high) = (s.prior("hydraulic_gradient_low")?, s.prior("hydraulic_gradient_high")?);
    let slope = s.water_slope()?;
    let levels = slope.possible.as_ref().ok().map(PossibleSlopes::gradient);
    if levels.is_some() {
        sheet.join(&slope.sheet);
    }
    let high = high.max(low);
    let ends = levels.map_or((low, high), |(l, h)| (l.clamp(low, high), h.clamp(low, high)));
    let (low, high) = ends;
    Ok((Part { low, value: (low * high).sqrt().clamp(low, high), high }, levels.is_some()))
}

fn pace(s: &SiteFacts) -> Result<Pace, Missing> {
    let mut sheet = Sheet::new();
    let (gradient, from_levels) = gradient(s, &mut sheet)?;
    let logs = s.logs(&mut sheet)?;
    let top_m = s.wet_level(&mut Sheet::new())?.and_then(|l| l.low()).unwrap_or(0.0);
    let bottom_m = s.way_down(&mut Sheet::new())?.1;
    ask_deeper(&logs, bottom_m, &mut sheet);
    let mut met = Classes::NONE;
    // A log that is only perhaps near tells no more than none.
    let mut unknown = !logs.iter().any(|(c, log)| c.sure && !log.is_empty());
    if unknown {
        sheet.ask_trial_bore();
    }
    let mut likely = Vec::new();
    for (c, log) in &logs {
        let wet = wet_ground(log, top_m, bottom_m);
        met = met.or(wet);
        unknown |= wet.is_unknown() || log.is_empty() || bottom_m.is_none_or(|b| log.end_m() < b);
        let days = wet.iter().filter_map(|class| days_per_m(class, gradient)?.value);
        if let Some(days) = days.min_by(f64::total_cmp) {
            likely.push((days, s.weight(&c.distance)?));
        }
    }
    if unknown {
        met = Classes::unknown();
    }
    let each: Vec<Days> = met.iter().filter_map(|class| days_per_m(class, gradient)).collect();
    let fastest = each.iter().map(|d| d.fastest).min_by(f64::total_cmp).unwrap_or(0.0);
    let slowest = each.iter().map(|d| d.slowest).try_fold(0.0_f64, |most, d| Some(most.max(d?)));
    let slowest = slowest.filter(|_| !unknown && !each.is_empty());
    Ok(Pace { gradient, from_levels, fastest, likely: weighted_median(&mut likely), slowest, unknown, sheet })
}

/// What a log shows between two depths.
fn wet_ground(log: &Log, top_m: f64, bottom_m: Option<f64>) -> Classes {
    let within = log.layers.iter().filter(|l| l.bottom_m > top_m && bottom_m.is_none_or(|b| l.top_m < b));
    within.fold(Classes::NONE, |met, l| met.or(l.classes))
}

/// Days that a metre of way takes.
struct Days {
    fastest: f64,
    value: Option<f64>,
    slowest: Option<f64>,
}

/// Those in ground of a class; `None` where nothing is known of it.
fn days_per_m(class: MaterialClass, gradient: Part) -> Option<Days> {
    let p = properties(class)?;
    let part = |r: &crate::ground::PropertyRange| Part { low: r.low, value: r.typical, high: r.high };
    let seepage = Seepage::new(part(&p.k_m_per_day), gradient, part(&p.effective_porosity)).ok()?;
    let time = seepage.time_over(1.0).ok()?;
    Some(Days { fastest: time.fastest_day, value: time.likely_day, slowest: time.slowest_day })
}
