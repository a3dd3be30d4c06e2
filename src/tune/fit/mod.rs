//! What do records of wells say of a region's priors? Each that the map and
//! the table can speak of, with its 95 % interval, the wells behind it and
//! the value in force beside it; and what they cannot speak of, and why.
//!
//! ```text
//! table + map ─► records ─► per topic: values, squares ─► proposed ─► Fit
//! region ──────────────────────────────────┘ (in force)
//! ```
//!
//! What a back-test may not use as a predictor is what is fitted here: the
//! outcome is the thing wanted, and columns known only afterwards may tell it.
//! Nothing here judges: a trainer reads the result and keeps what is good.

mod levels;
mod refusal;
mod result;
mod shares;
mod swing;
mod wells;
mod yields;

use std::sync::Arc;

pub use result::{Base, File, Fit, Interval, LogShare, NotProposed, Proposed, Topic};

use crate::diag::Problems;
use crate::region::Region;
use crate::survey::plain::PlainTable;
use crate::tune::records::{
    Amount, Dates, Forecast, Given, Map, Records, columns_are_there, read_amounts, read_records,
};
use crate::units::Unit;
use wells::Figure;

/// What is fitted to what.
pub struct Asked<'a> {
    /// The records.
    pub table: &'a PlainTable<'a>,
    /// What their columns mean.
    pub map: &'a Map,
    /// The map's name, for messages.
    pub map_name: &'a Arc<str>,
    /// The setting in force.
    pub region: &'a Region,
    /// Name and hash of the records.
    pub records: File,
    /// Name and hash of the map.
    pub map_file: File,
}

/// Fits what can be fitted. `None` where the map does not fit the table or
/// names nothing that is fitted, which is then reported.
pub fn fit(asked: &Asked<'_>, problems: &mut Problems) -> Option<Fit> {
    let given = Given { map_name: asked.map_name, dates: Dates::WhereTold };
    if !columns_are_there(asked.table, asked.map, &given, problems) {
        return None;
    }
    let fitting = match Fitting::of(asked) {
        Ok(fitting) => fitting,
        Err(why) => {
            let at = crate::diag::Origin::whole(asked.region.id.as_str());
            problems.error("missing-prior", at, why, "Use a setting over the built-in defaults.");
            return None;
        }
    };
    let mut reading = Reading { asked, given, problems, failed: false };
    let swing = fitting.swing(&mut reading);
    let range = |name: &str| swing.figures.iter().find(|f| f.name == name).map(|f| f.value);
    let fall = range("swing_low_m").zip(range("swing_high_m"));
    let topics: Vec<Topic> = [
        reading.forecast(&Forecast::DepthToWater).map(|r| fitting.levels(&r, fall)),
        Some(swing),
        reading.forecast(&Forecast::Success).map(|r| fitting.success(&r)),
    ]
    .into_iter()
    .flatten()
    .chain(fitting.qualities(&mut reading))
    .chain(reading.amount(Amount::Yield).map(|r| fitting.yields(&r)))
    .chain(reading.forecast(&Forecast::Refusal).map(|r| fitting.refusal(&r)))
    .collect();
    if reading.failed {
        return None;
    }
    if topics.iter().all(|t| t.wells == 0 && t.skipped.is_empty()) {
        let help = "Add one of [depth_to_water], [depth_to_water_wet] and [depth_to_water_dry], [success], \
                    [quality.NAME], [yield], or [hole_depth] and [refusal]."
            .to_owned();
        let at = crate::diag::Origin::whole(Arc::clone(asked.map_name));
        problems.error("map-lacks", at, "the map names no column that a prior can be fitted to", help);
        return None;
    }
    let region = asked.region;
    Some(Fit {
        forebore: env!("CARGO_PKG_VERSION"),
        records: asked.records.clone(),
        map: asked.map_file.clone(),
        region: Base { id: region.id.clone(), title: region.title.clone(), hash: region.hash() },
        square_m: fitting.square_m,
        topics,
    })
}

/// Records of each kind, read from one table; a kind that the map does not
/// name is none.
struct Reading<'a, 'p> {
    asked: &'a Asked<'a>,
    given: Given<'a>,
    problems: &'p mut Problems,
    failed: bool,
}

impl Reading<'_, '_> {
    fn forecast(&mut self, what: &Forecast) -> Option<Records> {
        let map = self.asked.map;
        let named = match what {
            Forecast::DepthToWater => map.depth_to_water.is_some(),
            Forecast::Success => map.success.is_some(),
            Forecast::Refusal => map.refusal.is_some() && map.hole_depth.is_some(),
            Forecast::Quality(name) => map.quality.contains_key(name),
        };
        named.then(|| read_records(self.asked.table, map, what, &self.given, self.problems)).and_then(|r| {
            self.failed |= r.is_none();
            r
        })
    }

    fn amount(&mut self, what: Amount) -> Option<Records> {
        let map = self.asked.map;
        let named = match what {
            Amount::Yield => map.well_yield.is_some(),
            Amount::Fall => map.wet_and_dry.iter().all(Option::is_some),
        };
        named.then(|| read_amounts(self.asked.table, map, what, &self.given, self.problems)).and_then(|r| {
            self.failed |= r.is_none();
            r
        })
    }
}

/// The figures that say from how many wells on what is fitted, and the
/// setting in force.
struct Fitting<'a> {
    map: &'a Map,
    region: &'a Region,
    square_m: f64,
    least: f64,
    least_ends: f64,
    least_range: f64,
    draws: u64,
    seed: u64,
}

impl<'a> Fitting<'a> {
    fn of(asked: &Asked<'a>) -> Result<Self, String> {
        let region = asked.region;
        let prior = |name: &str| {
            let figure = region.priors.get(name).ok_or_else(|| format!("the region sets no {name}"))?;
            Ok::<f64, String>(figure.value)
        };
        let square_m = prior("fit_square_m")?;
        if square_m < 1.0 {
            return Err("fit_square_m is below 1 m: it is the side of a square of ground".to_owned());
        }
        Ok(Self {
            map: asked.map,
            region,
            square_m,
            least: prior("fit_least_wells")?.max(1.0),
            least_ends: prior("fit_least_wells_ends")?.max(1.0),
            least_range: prior("fit_least_wells_range")?.max(1.0),
            draws: prior("fit_draws")? as u64,
            seed: prior("fit_seed")? as u64,
        })
    }

    fn prior(&self, name: &str) -> Option<f64> {
        self.region.priors.get(name).map(|f| f.value)
    }

    /// A topic of these records, before anything is fitted.
    fn topic(&self, about: &str, records: &Records) -> Topic {
        let square = |r: &crate::tune::records::Record| wells::square_of(r.at, self.square_m);
        Topic {
            about: about.to_owned(),
            wells: records.all.len(),
            squares: wells::squares(records.all.iter().map(square)).0,
            skipped: records.skipped.clone(),
            ..Topic::default()
        }
    }

    /// Proposes a figure; where the setting has no such prior it says so.
    fn propose(&self, topic: &mut Topic, name: &str, figure: &Figure, wells: usize, method: String) {
        let Some(now) = self.region.priors.get(name) else {
            topic.not(name, "the setting has no prior of that name.");
            return;
        };
        let round = |x: f64| rounded(x, now.unit);
        let interval =
            Interval { low: round_end(figure.interval.low, now.unit), high: figure.interval.high.map(round) };
        topic.figures.push(Proposed {
            name: name.to_owned(),
            unit: now.unit.name(),
            value: round(figure.value),
            interval,
            method,
            wells,
            independent: Some((figure.independent * 10.0).round() / 10.0).filter(|n| n.is_finite()),
            now: Some(now.value),
            now_from: Some(now.set_by.from.to_string()),
            differs: Some(interval.excludes(now.value)),
        });
    }
}

/// No more digits than the evidence: tenths of a metre, hundredths of a
/// share, two digits of anything else.
fn rounded(value: f64, unit: Unit) -> f64 {
    let step = match unit {
        Unit::Metre if value < 100.0 => 0.1,
        Unit::One if (0.01..=0.99).contains(&value) => 0.01,
        _ if value > 0.0 => 10f64.powf(value.log10().floor() - 1.0),
        _ => return 0.0,
    };
    // Divided, so that 0.1 is written as 0.1.
    let parts = (1.0 / step).round();
    if parts >= 1.0 { (value * parts).round() / parts } else { (value / step).round() * step.round() }
}

fn round_end(value: f64, unit: Unit) -> f64 {
    rounded(value.max(0.0), unit)
}

/// How a method names the independent wells.
fn counted(wells: usize, independent: f64) -> String {
    format!("{wells} wells that count as {independent:.0} independent ones")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_carry_no_more_digits_than_the_evidence() {
        for (value, unit, wanted) in [
            (8.2469, Unit::Metre, 8.2),
            (1234.5, Unit::Metre, 1200.0),
            (0.6181, Unit::One, 0.62),
            (0.00444, Unit::One, 0.0044),
            (0.2345, Unit::LitrePerSecond, 0.23),
            (0.0, Unit::LitrePerSecond, 0.0),
        ] {
            assert!((rounded(value, unit) - wanted).abs() < 1e-12, "{value}: {}", rounded(value, unit));
        }
    }

    #[test]
    fn rounding_keeps_the_order() {
        let values: Vec<f64> = (1..4000).map(|k| f64::from(k) * 0.037).collect();
        for unit in [Unit::Metre, Unit::One, Unit::LitrePerSecond] {
            assert!(values.windows(2).all(|w| rounded(w[0], unit) <= rounded(w[1], unit)), "{unit:?}");
        }
    }
}
