//! How far the water falls from the wettest to the driest month here, from
//! wells that were read in both; metres.
//!
//! The region's range is taken as the 95 % band of a normal distribution, one
//! half of its variance shared by the wells of a district and one half each
//! well's own: our split. Each well read in both seasons then draws the
//! district's mean towards its own swing, by its precision.

use super::Near;
use crate::ground::{LevelPriors, season_of_reading};
use crate::region::Calendar;
use crate::survey::{Season, Well};

/// Half the width of a 95 % band in standard deviations.
const HALF_BAND_95: f64 = 1.959_963_984_540_054;

/// The swing of the wells here.
#[derive(Debug, Clone, PartialEq)]
pub struct ObservedSwing {
    /// Ends of the 95 % band for a well that was not read in both seasons.
    pub low_m: f64,
    /// The high end.
    pub high_m: f64,
    /// Wells that were read in both.
    pub wells: Vec<String>,
}

/// The swing, from the region's range and wells read in both seasons; `None`
/// where there is no such well.
pub(super) fn observed(
    near: &[Near<'_>],
    calendar: Option<&Calendar>,
    priors: &LevelPriors,
    same_place_m: f64,
) -> Option<ObservedSwing> {
    let mut seen: Vec<(String, f64, f64)> = Vec::new();
    for (i, a) in near.iter().enumerate() {
        if let Some((swing, error)) = of_one(a.well, calendar, priors) {
            seen.push((a.well.name.clone(), swing, error));
        }
        for b in near.iter().skip(i + 1).filter(|b| same_well(a, b, same_place_m)) {
            if let Some((swing, error)) = of_two(a.well, b.well, calendar, priors) {
                seen.push((a.well.name.clone(), swing, error));
            }
        }
    }
    if seen.is_empty() {
        return None;
    }
    let (low, high) = priors.swing_m();
    let sd = (high - low) / (2.0 * HALF_BAND_95);
    let half = (0.5 * sd * sd).max(f64::MIN_POSITIVE);
    let (mut precision, mut sum) = (1.0 / half, f64::midpoint(low, high) / half);
    for (_, swing, error) in &seen {
        let variance = error * error + half;
        precision += 1.0 / variance;
        sum += swing / variance;
    }
    let mean = sum / precision;
    let spread = HALF_BAND_95 * (1.0 / precision + half).sqrt();
    Some(ObservedSwing {
        low_m: (mean - spread).max(0.0),
        high_m: (mean + spread).max(0.0),
        wells: seen.into_iter().map(|s| s.0).collect(),
    })
}

/// Two records of one well.
pub(super) fn same_well(a: &Near<'_>, b: &Near<'_>, same_place_m: f64) -> bool {
    let [dx, dy] = [a.east_north_m[0] - b.east_north_m[0], a.east_north_m[1] - b.east_north_m[1]];
    let named = !a.well.name.trim().is_empty() && a.well.name.trim() == b.well.name.trim();
    named && dx.hypot(dy) <= same_place_m
}

/// A level of the wet months and the lowest that people remember: the lowest
/// holds a dry year besides the swing.
fn of_one(well: &Well, calendar: Option<&Calendar>, p: &LevelPriors) -> Option<(f64, f64)> {
    let level = well.water_level_m.as_ref()?.value;
    let lowest = well.lowest_level_m.as_ref()?.value;
    if season_of_reading(well, calendar) != Some(Season::Wet) {
        return None;
    }
    let (low, high) = p.drought_m();
    let swing = lowest - level - f64::midpoint(low, high) / 2.0;
    let error = p.error_of_remembered_m().hypot(high / 2.0) / HALF_BAND_95;
    (swing >= 0.0).then_some((swing, error))
}

/// Levels of one well in a wet and in a dry month.
fn of_two(a: &Well, b: &Well, calendar: Option<&Calendar>, p: &LevelPriors) -> Option<(f64, f64)> {
    let level = |w: &Well| w.water_level_m.as_ref().map(|l| l.value);
    let (wet, dry) = match (season_of_reading(a, calendar)?, season_of_reading(b, calendar)?) {
        (Season::Wet, Season::Dry) => (level(a)?, level(b)?),
        (Season::Dry, Season::Wet) => (level(b)?, level(a)?),
        _ => return None,
    };
    let error = p.error_of_remembered_m() / HALF_BAND_95;
    (dry >= wet).then_some((dry - wet, error))
}
