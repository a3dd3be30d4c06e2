//! How far does the water fall from the wettest to the driest month, by wells
//! of which both levels are told?
//!
//! Never from wells of different months: that wells read in dry months are
//! deeper may as well be because others were read.

use std::collections::BTreeMap;

use super::result::Topic;
use super::wells::{Square, Values, square_of};
use super::{Fitting, Reading};
use crate::region::Calendar;
use crate::tune::records::{Amount, Forecast, Outcome, Record, Records, Skipped};

const NAMES: [&str; 2] = ["swing_low_m", "swing_high_m"];

/// In what months a level was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum ReadIn {
    Dry,
    Wet,
    Other,
}

/// By the record's day and the calendar, where that holds.
pub(super) fn read_in(record: &Record, calendar: &Calendar) -> ReadIn {
    let month = record.date.map(|d| d.month()).filter(|_| calendar.holds_at(record.lat_deg));
    match month {
        Some(m) if calendar.driest_months.contains(&m) => ReadIn::Dry,
        Some(m) if calendar.wet_months.contains(&m) => ReadIn::Wet,
        _ => ReadIn::Other,
    }
}

impl Fitting<'_> {
    pub(super) fn swing(&self, reading: &mut Reading<'_, '_>) -> Topic {
        let about = "The fall of the water from the wettest to the driest month";
        let mut topic = match reading.amount(Amount::Fall) {
            Some(records) => self.told(about, &records),
            None => match reading.forecast(&Forecast::DepthToWater) {
                Some(records) => self.read_twice(about, &records),
                None => {
                    let mut topic = Topic { about: about.to_owned(), ..Topic::default() };
                    let why = "the map names no depth to water of two seasons ([depth_to_water_wet] and \
                               [depth_to_water_dry]), and none with its day and well.";
                    topic.not(&NAMES.join(" and "), why);
                    topic
                }
            },
        };
        if topic.proposes() {
            topic.not(
                "season_swing_known",
                "whether the fall is well enough known to correct a reading of the wet months is yours to judge.",
            );
        }
        topic
    }

    fn told(&self, about: &str, records: &Records) -> Topic {
        let mut topic = self.topic(about, records);
        let fall = |r: &Record| match r.outcome {
            Outcome::Amount(fall) => Some((fall, square_of(r.at, self.square_m))),
            _ => None,
        };
        let values = Values::of(records.all.iter().filter_map(fall));
        self.ends(&mut topic, &values, NAMES);
        topic
    }

    fn read_twice(&self, about: &str, records: &Records) -> Topic {
        let mut topic = Topic { about: about.to_owned(), ..Topic::default() };
        let missing = match (&self.map.well, &self.map.date) {
            (None, _) => Some("well = \"the heading of what names a well\""),
            (_, None) => Some("date = \"the heading of the day of reading\""),
            _ => None,
        };
        if let Some(missing) = missing {
            let why = format!(
                "the map does not say which rows are readings of one well in both seasons (add {missing}, or two \
                 columns as [depth_to_water_wet] and [depth_to_water_dry]). Wells of different months are \
                 different wells and tell no fall."
            );
            topic.not(&NAMES.join(" and "), why);
            return topic;
        }
        let mut falls: Vec<(f64, Square)> = Vec::new();
        for well in self.by_well(records) {
            let of = |when: ReadIn| {
                let levels = well.iter().filter(|r| read_in(r, &self.region.calendar) == when);
                let levels: Vec<_> =
                    levels.filter_map(|r| depth(r)).map(|d| (d.max(0.0), Square::default())).collect();
                Values::of(levels.into_iter()).quantile(0.5)
            };
            let (Some(wet), Some(dry), Some(first)) = (of(ReadIn::Wet), of(ReadIn::Dry), well.first()) else {
                continue;
            };
            match dry - wet {
                fall if fall >= 0.0 => falls.push((fall, square_of(first.at, self.square_m))),
                _ => {
                    let why = "the water stands higher in the dry season".to_owned();
                    topic.skipped.push(Skipped { row: first.row, why });
                }
            }
        }
        let values = Values::of(falls.into_iter());
        (topic.wells, topic.squares) = (values.len(), values.squares());
        if values.len() == 0 {
            let why = match self.region.calendar.driest_months.is_empty() {
                true => "the setting names no wet and driest months: name one that does with --region.",
                false => "no well was read both in a wet and in a driest month of the setting's calendar.",
            };
            topic.not(&NAMES.join(" and "), why);
            return topic;
        }
        self.ends(&mut topic, &values, NAMES);
        topic
    }

    /// Rows of one name on one spot are readings of one well; a row without a
    /// name is a well of its own.
    pub(super) fn by_well<'r>(&self, records: &'r Records) -> Vec<Vec<&'r Record>> {
        let same_place_m = self.prior("trial_bore_radius_m").unwrap_or(0.0);
        let mut wells: Vec<Vec<&Record>> = Vec::new();
        let mut named: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
        for record in &records.all {
            let near = |i: &&usize| {
                let first = wells.get(**i).and_then(|w| w.first());
                first.is_some_and(|f| (f.at[0] - record.at[0]).hypot(f.at[1] - record.at[1]) <= same_place_m)
            };
            let name = record.well.as_deref().map(str::trim).filter(|n| !n.is_empty());
            let known = name.and_then(|n| named.get(n)).and_then(|all| all.iter().find(near)).copied();
            match known.and_then(|i| wells.get_mut(i)) {
                Some(well) => well.push(record),
                None => {
                    if let Some(name) = name {
                        named.entry(name).or_default().push(wells.len());
                    }
                    wells.push(vec![record]);
                }
            }
        }
        wells
    }
}

/// The depth to water of a record.
pub(super) fn depth(record: &Record) -> Option<f64> {
    match record.outcome {
        Outcome::Depth(depth) => Some(depth),
        _ => None,
    }
}
