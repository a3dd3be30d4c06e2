//! How deep the water stands below ground at the peg in the driest and in the
//! wettest month, from the levels of neighbours; metres below ground.
//!
//! # One neighbour
//! A level read in the dry months stands for the driest month of an average
//! year; a dry year lies lower by the drought allowance. A level of the wet
//! months falls by the year's swing before the driest month; one of an
//! unknown month by anything from nothing to the whole swing. The lowest
//! level people remember stands for a dry year as it is. All of these are
//! ranges of the region's priors.
//!
//! The errors of the reading, of two wells side by side and of the way to the
//! peg (growing with the far end of the distance) are independent and add as
//! squares. Depths to water are carried over as they are: what the ground
//! rises or falls between well and peg is part of the error of the way.
//!
//! # Several neighbours
//! An envelope: the low end is the least of the low ends, the high end the
//! greatest of the high ends, the value the median weighted by
//! exp(−distance/length). A neighbour whose level nobody read may stand for
//! any depth: the envelope then reaches up to the ground and has no lower
//! bound. Source of the season's correction: common practice; for the weight:
//! common practice.

use crate::region::{Calendar, Region};
use crate::survey::{Season, Well};
use crate::units::Part;

/// Metres in the kilometre that the prior of the way's error counts in.
const KILOMETRE_M: f64 = 1000.0;

/// What the region assumes about levels.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelPriors {
    reading_error_m: f64,
    remembered_error_m: f64,
    local_error_m: f64,
    error_per_km_m: f64,
    swing_known: bool,
    swing_low_m: f64,
    swing_high_m: f64,
    drought_low_m: f64,
    drought_high_m: f64,
    /// How much of a dry year may be in the lowest level that people remember,
    /// where levels of an average year are asked for.
    dry_year_in_lowest_m: f64,
}

impl LevelPriors {
    /// The region's.
    ///
    /// # Errors
    /// The name of the prior that the region does not have.
    pub fn of(region: &Region) -> Result<Self, &'static str> {
        let get = |name: &'static str| region.priors.get(name).map(|f| f.value).ok_or(name);
        Ok(Self {
            reading_error_m: get("level_reading_error_m")?,
            remembered_error_m: get("remembered_level_error_m")?,
            local_error_m: get("level_local_error_m")?,
            error_per_km_m: get("level_error_per_km_m")?,
            swing_known: get("season_swing_known")? > 0.0,
            swing_low_m: get("swing_low_m")?,
            swing_high_m: get("swing_high_m")?,
            drought_low_m: get("drought_allowance_low_m")?,
            drought_high_m: get("drought_allowance_high_m")?,
            dry_year_in_lowest_m: 0.0,
        })
    }

    /// The same for an average year: without the allowance for a dry one,
    /// which all wells of a place share.
    #[must_use]
    pub fn of_an_average_year(&self) -> Self {
        Self {
            drought_low_m: 0.0,
            drought_high_m: 0.0,
            dry_year_in_lowest_m: self.drought_high_m,
            ..self.clone()
        }
    }

    /// The same where wells of the place show the year's swing.
    #[must_use]
    pub fn with_swing(&self, low_m: f64, high_m: f64) -> Self {
        Self { swing_known: true, swing_low_m: low_m, swing_high_m: high_m, ..self.clone() }
    }

    /// Least and greatest fall from the wettest to the driest month.
    pub fn swing_m(&self) -> (f64, f64) {
        (self.swing_low_m, self.swing_high_m)
    }

    /// Least and greatest further fall in a dry year.
    pub fn drought_m(&self) -> (f64, f64) {
        (self.drought_low_m, self.drought_high_m)
    }

    /// Half the width of the 95 % band of a level told from memory.
    pub fn error_of_remembered_m(&self) -> f64 {
        self.remembered_error_m
    }

    fn swing_mid_m(&self) -> f64 {
        f64::midpoint(self.swing_low_m, self.swing_high_m)
    }

    fn drought_mid_m(&self) -> f64 {
        f64::midpoint(self.drought_low_m, self.drought_high_m)
    }
}

/// What season a level stands for; greater is worse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LevelSeason {
    /// Of the dry months, or the lowest remembered.
    Dry,
    /// Of other months, and the year's swing is known.
    Corrected,
    /// Of other months, and the year's swing is not known.
    WetSwingUnknown,
    /// Nobody says of which season.
    DateUnknown,
}

impl LevelSeason {
    /// The word of the fact `level_season`.
    pub fn name(self) -> &'static str {
        match self {
            LevelSeason::Dry => "dry",
            LevelSeason::Corrected => "corrected",
            LevelSeason::WetSwingUnknown => "wet, swing unknown",
            LevelSeason::DateUnknown => "date unknown",
        }
    }
}

/// What one neighbour says of the levels at the peg.
#[derive(Debug, Clone, PartialEq)]
pub struct WellLevel {
    /// In the driest month of a dry year.
    pub dry: Part,
    /// In the wettest month.
    pub wet: Part,
    /// The season it stands for.
    pub season: LevelSeason,
    /// Two of its figures contradict each other (the lowest level told and
    /// the level read; the season told and the month): the bands then hold
    /// both.
    pub contradicts_itself: bool,
}

/// What is known of when a level was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ReadIn {
    DryMonths,
    WetMonths,
    OtherMonths,
    Unknown,
}

/// What a neighbour says of the levels at a peg `distance_m` away; `None`
/// where its level is not known. `stands_for_peg`: the neighbour is a trial
/// bore at the peg, so that nothing is lost on the way between the two.
/// `calendar` is that of the peg; `None` where no months are known there.
pub fn level_at_peg(
    well: &Well,
    distance_m: &Part,
    stands_for_peg: bool,
    calendar: Option<&Calendar>,
    priors: &LevelPriors,
) -> Option<WellLevel> {
    let way = distance_m.high / KILOMETRE_M * priors.error_per_km_m;
    let way = if stands_for_peg { way } else { way.hypot(priors.local_error_m) };
    match (from_reading(well, way, calendar, priors), from_lowest(well, way, priors)) {
        (Some(read), Some(lowest)) => {
            // Whether they contradict each other is a matter of the well
            // alone: a longer way to the peg does not reconcile them.
            let here = from_reading(well, 0.0, calendar, priors).zip(from_lowest(well, 0.0, priors));
            let agree =
                here.is_some_and(|(r, l)| meet(r.dry, l.dry).is_some() && meet(r.wet, l.wet).is_some());
            Some(both(read, &lowest, agree))
        }
        (one, other) => one.or(other),
    }
}

/// The levels between which the water in the well itself moves in any month,
/// for telling wet sand from dry.
pub fn level_in_well(well: &Well, priors: &LevelPriors) -> Option<(f64, f64)> {
    let here = Part { low: 0.0, value: 0.0, high: 0.0 };
    level_at_peg(well, &here, true, None, priors).map(|l| (l.wet.low, l.dry.high))
}

fn read_in(well: &Well, calendar: Option<&Calendar>) -> (ReadIn, bool) {
    let month = well.measured.as_ref().map(|d| d.value.month());
    let by_month = match month.zip(calendar) {
        Some((m, c)) if c.driest_months.contains(&m) => ReadIn::DryMonths,
        Some((m, c)) if c.wet_months.contains(&m) => ReadIn::WetMonths,
        Some((_, c)) if !c.driest_months.is_empty() && !c.wet_months.is_empty() => ReadIn::OtherMonths,
        _ => ReadIn::Unknown,
    };
    match (well.season.as_ref().map(|s| s.value), by_month) {
        (Some(Season::Dry), ReadIn::WetMonths) | (Some(Season::Wet), ReadIn::DryMonths) => {
            (ReadIn::Unknown, true)
        }
        (Some(Season::Dry), _) => (ReadIn::DryMonths, false),
        (Some(Season::Wet), _) => (ReadIn::WetMonths, false),
        (None, by_month) => (by_month, false),
    }
}

/// The season a level was read in, where that is one of the two; `None` for
/// other months, unknown ones and those that contradict what is told.
pub fn season_of_reading(well: &Well, calendar: Option<&Calendar>) -> Option<Season> {
    match read_in(well, calendar) {
        (ReadIn::DryMonths, false) => Some(Season::Dry),
        (ReadIn::WetMonths, false) => Some(Season::Wet),
        _ => None,
    }
}

/// What the level that was read says; `way` is the error of the way to the
/// peg.
fn from_reading(well: &Well, way: f64, calendar: Option<&Calendar>, p: &LevelPriors) -> Option<WellLevel> {
    let level = well.water_level_m.as_ref()?.value;
    let reading = if well.measured.is_some() { p.reading_error_m } else { p.remembered_error_m };
    let error = reading.hypot(way);
    let (when, contradicts_itself) = read_in(well, calendar);
    let otherwise = if p.swing_known { LevelSeason::Corrected } else { LevelSeason::WetSwingUnknown };
    let nothing = (0.0, 0.0, 0.0);
    let swing = (p.swing_low_m, p.swing_mid_m(), p.swing_high_m);
    let anything = (0.0, p.swing_mid_m(), p.swing_high_m);
    // How far the water falls from the reading to the driest month of an
    // average year, and how far it rises to the wettest.
    let (season, fall, rise) = match when {
        ReadIn::DryMonths => (LevelSeason::Dry, nothing, swing),
        ReadIn::WetMonths => (otherwise, swing, nothing),
        ReadIn::OtherMonths => (otherwise, anything, anything),
        ReadIn::Unknown => (LevelSeason::DateUnknown, anything, anything),
    };
    let dry = below_ground(
        level + fall.0 + p.drought_low_m - error,
        level + fall.1 + p.drought_mid_m(),
        level + fall.2 + p.drought_high_m + error,
    );
    let wet = below_ground(level - rise.2 - error, level - rise.1, level - rise.0 + error);
    Some(WellLevel { dry, wet, season, contradicts_itself })
}

/// What the lowest level that people remember says.
fn from_lowest(well: &Well, way: f64, p: &LevelPriors) -> Option<WellLevel> {
    let level = well.lowest_level_m.as_ref()?.value;
    let error = p.remembered_error_m.hypot(way);
    let dry_year = p.dry_year_in_lowest_m;
    let dry = below_ground(level - dry_year - error, level - dry_year / 2.0, level + error);
    let wet = below_ground(
        level - dry_year - p.drought_high_m - p.swing_high_m - error,
        level - dry_year / 2.0 - p.drought_mid_m() - p.swing_mid_m(),
        level - p.swing_low_m + error,
    );
    Some(WellLevel { dry, wet, season: LevelSeason::Dry, contradicts_itself: false })
}

/// The water table is nowhere above the ground for the purposes of a well.
fn below_ground(low: f64, value: f64, high: f64) -> Part {
    Part { low: low.max(0.0), value: value.max(0.0), high: high.max(0.0) }
}

/// A level read and the lowest level told, of one well: what both allow where
/// they agree, and otherwise whatever either says.
fn both(read: WellLevel, lowest: &WellLevel, agree: bool) -> WellLevel {
    let join = |a: Part, b: Part| {
        let hull = Part { low: a.low.min(b.low), value: a.value.max(b.value), high: a.high.max(b.high) };
        if agree { meet(a, b).unwrap_or(hull) } else { hull }
    };
    WellLevel {
        dry: join(read.dry, lowest.dry),
        wet: join(read.wet, lowest.wet),
        season: LevelSeason::Dry,
        contradicts_itself: read.contradicts_itself || !agree,
    }
}

/// What two bands have in common, with the value nearest to that of `b`.
fn meet(a: Part, b: Part) -> Option<Part> {
    let (low, high) = (a.low.max(b.low), a.high.min(b.high));
    (low <= high).then(|| Part { low, value: b.value.clamp(low, high), high })
}

/// The median of values with weights, going smoothly from one to the other:
/// each value stands at the middle of its own weight.
pub fn weighted_median(values: &mut [(f64, f64)]) -> Option<f64> {
    values.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let total: f64 = values.iter().map(|v| v.1).sum();
    if values.is_empty() || !total.is_finite() || total <= 0.0 {
        return values.get(values.len() / 2).map(|v| v.0);
    }
    let half = total / 2.0;
    let mut before = 0.0;
    let mut last: Option<(f64, f64)> = None;
    for (value, weight) in values.iter().copied() {
        let middle = before + weight / 2.0;
        if middle >= half {
            return Some(match last {
                Some((v, m)) if middle > m => v + (value - v) * ((half - m) / (middle - m)).clamp(0.0, 1.0),
                _ => value,
            });
        }
        before += weight;
        last = Some((value, middle));
    }
    last.map(|l| l.0)
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::super::log::tests::well;
    use super::*;
    use crate::diag::Origin;
    use crate::region::{Basis, Layer, SetBy};
    use crate::survey::Seen;

    const PRIORS: LevelPriors = LevelPriors {
        reading_error_m: 0.1,
        remembered_error_m: 1.0,
        local_error_m: 1.0,
        error_per_km_m: 6.0,
        swing_known: true,
        swing_low_m: 1.0,
        swing_high_m: 4.0,
        drought_low_m: 0.5,
        drought_high_m: 2.0,
        dry_year_in_lowest_m: 0.0,
    };

    fn calendar() -> Calendar {
        Calendar {
            wet_months: [1, 2, 3].into(),
            driest_months: [9, 10].into(),
            latitudes_deg: None,
            source: "invented".to_owned(),
            basis: Basis::CommonPractice,
            set_by: SetBy { layer: Layer::Local, from: Origin::whole("x") },
        }
    }

    fn seen<T>(value: T) -> Option<Seen<T>> {
        Some(Seen::new(value, Origin::whole("x")))
    }

    fn here() -> Part {
        Part { low: 0.0, value: 0.0, high: 0.0 }
    }

    fn at_peg(well: &Well) -> WellLevel {
        level_at_peg(well, &here(), true, Some(&calendar()), &PRIORS).unwrap()
    }

    fn read(month: i8) -> Well {
        let mut w = well(&[]);
        w.water_level_m = seen(8.0);
        w.measured = seen(date(2025, month, 10));
        w
    }

    fn close(a: Part, b: (f64, f64, f64)) {
        let d = (a.low - b.0).abs().max((a.value - b.1).abs()).max((a.high - b.2).abs());
        assert!(d < 1e-9, "{a:?} is not {b:?}");
    }

    #[test]
    fn a_dry_month_needs_only_the_drought_allowance() {
        let level = at_peg(&read(9));
        assert_eq!(level.season, LevelSeason::Dry);
        close(level.dry, (8.4, 9.25, 10.1));
        close(level.wet, (3.9, 5.5, 7.1));
    }

    #[test]
    fn a_wet_month_falls_by_the_swing() {
        let level = at_peg(&read(2));
        assert_eq!(level.season, LevelSeason::Corrected);
        close(level.dry, (9.4, 11.75, 14.1));
        close(level.wet, (7.9, 8.0, 8.1));
    }

    #[test]
    fn an_unknown_month_may_be_any_month() {
        let mut w = read(2);
        w.measured = None;
        let unknown = at_peg(&w);
        assert_eq!(unknown.season, LevelSeason::DateUnknown);
        for month in [2, 6, 9] {
            let known = at_peg(&read(month));
            assert!(unknown.dry.low <= known.dry.low && known.dry.high <= unknown.dry.high, "{month}");
            assert!(unknown.wet.low <= known.wet.low && known.wet.high <= unknown.wet.high, "{month}");
        }
    }

    #[test]
    fn a_calendar_without_months_says_nothing_of_a_date() {
        let calendar = Calendar { wet_months: [].into(), driest_months: [].into(), ..calendar() };
        let level = level_at_peg(&read(9), &here(), true, Some(&calendar), &PRIORS).unwrap();
        assert_eq!(level.season, LevelSeason::DateUnknown);
    }

    #[test]
    fn without_a_calendar_a_date_says_nothing() {
        let level = level_at_peg(&read(9), &here(), true, None, &PRIORS).unwrap();
        assert_eq!(level.season, LevelSeason::DateUnknown);
    }

    #[test]
    fn a_wet_month_without_a_known_swing_says_so() {
        let priors = LevelPriors { swing_known: false, ..PRIORS };
        let level = level_at_peg(&read(2), &here(), true, Some(&calendar()), &priors).unwrap();
        assert_eq!(level.season, LevelSeason::WetSwingUnknown);
    }

    #[test]
    fn the_lowest_level_told_stands_for_a_dry_year() {
        let mut w = read(2);
        w.lowest_level_m = seen(11.0);
        let level = at_peg(&w);
        assert_eq!(level.season, LevelSeason::Dry);
        close(level.dry, (10.0, 11.0, 12.0));
        assert!(!level.contradicts_itself);
    }

    #[test]
    fn for_an_average_year_the_lowest_level_told_may_hold_a_drought() {
        let mut w = well(&[]);
        w.lowest_level_m = seen(11.0);
        let level = level_at_peg(&w, &here(), true, Some(&calendar()), &PRIORS.of_an_average_year()).unwrap();
        close(level.dry, (8.0, 10.0, 12.0));
    }

    #[test]
    fn figures_that_contradict_each_other_are_both_kept() {
        let mut w = read(9);
        w.lowest_level_m = seen(14.0);
        let level = at_peg(&w);
        assert!(level.contradicts_itself);
        close(level.dry, (8.4, 14.0, 15.0));
        let mut w = read(2);
        w.season = seen(Season::Dry);
        assert!(at_peg(&w).contradicts_itself);
        assert_eq!(at_peg(&w).season, LevelSeason::DateUnknown);
    }

    #[test]
    fn a_longer_way_does_not_reconcile_figures_that_contradict_each_other() {
        let mut w = read(9);
        w.lowest_level_m = seen(14.0);
        let far = Part { low: 0.0, value: 0.0, high: 900.0 };
        let level = level_at_peg(&w, &far, false, Some(&calendar()), &PRIORS).unwrap();
        let near = at_peg(&w);
        assert!(level.contradicts_itself);
        assert!(level.dry.low <= near.dry.low && level.dry.high >= near.dry.high);
    }

    #[test]
    fn the_error_grows_with_the_far_end_of_the_distance() {
        let far = Part { low: 300.0, value: 400.0, high: 500.0 };
        let level = level_at_peg(&read(9), &far, false, Some(&calendar()), &PRIORS).unwrap();
        let error = 3.0_f64.hypot(1.0).hypot(0.1);
        close(level.dry, (8.5 - error, 9.25, 10.0 + error));
    }

    #[test]
    fn no_level_lies_above_the_ground() {
        let mut w = read(9);
        w.water_level_m = seen(0.5);
        assert!(at_peg(&w).wet.low >= 0.0 && at_peg(&w).wet.value >= 0.0);
    }

    #[test]
    fn a_well_without_a_level_says_nothing() {
        assert_eq!(level_at_peg(&well(&[]), &here(), true, Some(&calendar()), &PRIORS), None);
    }

    #[test]
    fn the_median_follows_the_weights() {
        assert_eq!(weighted_median(&mut []), None);
        assert_eq!(weighted_median(&mut [(5.0, 1.0)]), Some(5.0));
        assert_eq!(weighted_median(&mut [(9.0, 1.0), (5.0, 1.0)]), Some(7.0));
        assert_eq!(weighted_median(&mut [(1.0, 1.0), (2.0, 1.0), (9.0, 1.0)]), Some(2.0));
        let heavy = weighted_median(&mut [(1.0, 10.0), (9.0, 1.0)]).unwrap();
        assert!(heavy < 2.0, "{heavy}");
    }
}
