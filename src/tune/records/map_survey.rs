//! The part of a map that says what a survey at a record would have said
//! before the hole was there (`[survey]`), and what records are as neighbours
//! of others (`[wells]`).

use jiff::civil::Date;

use super::map::NumberColumn;
use super::map_read::Reader;
use crate::diag::Origin;
use crate::facts::Site;
use crate::region::walk::{Found, Table};
use crate::survey::words::{Meaning, Word};
use crate::survey::{Made, Seen, WellOutcome};
use crate::units::Unit;

/// A key of the survey that a column stands for.
#[derive(Debug, Clone)]
pub struct Observed {
    pub(crate) key: &'static SurveyKey,
    /// Its column; for words the factor says nothing.
    pub(crate) number: NumberColumn,
    /// What words of the column stand for.
    pub(crate) words: Vec<(String, String)>,
}

/// What is told of records as neighbours.
#[derive(Debug, Clone, Copy, Default)]
pub struct Neighbours {
    /// How all of them were made.
    pub(crate) made: Option<Made>,
    /// What a success is; where nothing is stated nothing is known of it.
    pub(crate) worked: Option<WellOutcome>,
    /// What a failure is.
    pub(crate) failed: Option<WellOutcome>,
}

/// A key that may stand in `[survey]`.
#[derive(Debug)]
pub struct SurveyKey {
    /// As it is called in a survey.
    pub(crate) name: &'static str,
    pub(crate) set: Set,
}

/// How a value gets into a site.
#[derive(Debug, Clone, Copy)]
pub enum Set {
    /// A number in that unit between two ends.
    Number(Unit, f64, f64, fn(&mut Site) -> &mut Option<Seen<f64>>),
    /// Words; false where they are not understood.
    Word(fn(&mut Site, &str, &Origin) -> bool),
    /// A day.
    Day(fn(&mut Site) -> &mut Option<Seen<Date>>),
}

const FARTHEST_M: f64 = 100_000.0;

/// What a record may say of its peg.
pub(super) static KEYS: [SurveyKey; 23] = [
    number("people", Unit::Count, 1.0, 1e6, |s| &mut s.need.people),
    number("litres_per_person_day", Unit::LitrePerDay, 0.1, 1e3, |s| &mut s.need.litres_per_person_day),
    number("other_litres_per_day", Unit::LitrePerDay, 0.0, 1e7, |s| &mut s.need.other_litres_per_day),
    number("drilling_water_l_per_day", Unit::LitrePerDay, 0.0, 1e7, |s| &mut s.plan.drilling_water_l_per_day),
    number("tower_height_m", Unit::Metre, 0.0, 200.0, |s| &mut s.plan.tower_height_m),
    word("method", |s, text, at| {
        let mut method = None;
        let understood = set(&mut method, text, at);
        s.plan.methods.extend(method);
        understood
    }),
    word("lift", |s, text, at| {
        s.plan.lift = Some(Seen::new(text.to_owned(), at.clone()));
        true
    }),
    day("start", |s| &mut s.plan.start),
    day("visited", |s| &mut s.visited),
    number("slope_pct", Unit::Percent, 0.0, 200.0, |s| &mut s.ground.slope_pct),
    number("outcrop_m", Unit::Metre, 0.0, FARTHEST_M, |s| &mut s.ground.outcrop_m),
    number("salt_water_m", Unit::Metre, 0.0, 1e7, |s| &mut s.ground.salt_water_m),
    number("working_room_m", Unit::Metre, 0.0, FARTHEST_M, |s| &mut s.ground.working_room_m),
    word("flooding", |s, text, at| set(&mut s.ground.flooding, text, at)),
    word("boulders", |s, text, at| set(&mut s.ground.boulders, text, at)),
    word("hard_laterite", |s, text, at| set(&mut s.ground.hard_laterite, text, at)),
    word("running_sand", |s, text, at| set(&mut s.ground.running_sand, text, at)),
    word("gravel", |s, text, at| set(&mut s.ground.gravel, text, at)),
    word("fissured", |s, text, at| set(&mut s.ground.fissured, text, at)),
    word("access", |s, text, at| set(&mut s.ground.access, text, at)),
    word("unexploded_ordnance", |s, text, at| set(&mut s.ground.ordnance, text, at)),
    word("permit", |s, text, at| set(&mut s.permission.permit, text, at)),
    word("land", |s, text, at| set(&mut s.permission.land, text, at)),
];

const fn number(
    name: &'static str,
    unit: Unit,
    least: f64,
    most: f64,
    place: fn(&mut Site) -> &mut Option<Seen<f64>>,
) -> SurveyKey {
    SurveyKey { name, set: Set::Number(unit, least, most, place) }
}

const fn word(name: &'static str, set: fn(&mut Site, &str, &Origin) -> bool) -> SurveyKey {
    SurveyKey { name, set: Set::Word(set) }
}

const fn day(name: &'static str, place: fn(&mut Site) -> &mut Option<Seen<Date>>) -> SurveyKey {
    SurveyKey { name, set: Set::Day(place) }
}

fn set<T: Word>(slot: &mut Option<Seen<T>>, text: &str, at: &Origin) -> bool {
    match T::from_words(text) {
        Some(Meaning::Known(answer)) => *slot = Some(Seen::new(answer, at.clone())),
        Some(Meaning::Unknown) => {}
        None => return false,
    }
    true
}

const OTHER: [&str; 3] = ["column", "words", "missing"];
const NUMBER: [&str; 4] = ["column", "unit", "missing", "plausible"];
const WELLS: [&str; 3] = ["made", "worked", "failed"];

impl Reader<'_, '_> {
    pub(super) fn survey(&mut self, top: &Table<'_, '_>) -> Vec<Observed> {
        if !top.has("survey") {
            return Vec::new();
        }
        let Some(own) = self.walk.table(top, "survey") else { return Vec::new() };
        let names: Vec<&str> = KEYS.iter().map(|k| k.name).collect();
        self.walk.refuse_other_keys(&own, &names);
        KEYS.iter().filter(|key| own.has(key.name)).filter_map(|key| self.observed(&own, key)).collect()
    }

    fn observed(&mut self, own: &Table<'_, '_>, key: &'static SurveyKey) -> Option<Observed> {
        let unit = match key.set {
            Set::Number(unit, ..) => unit,
            Set::Word(_) | Set::Day(_) => Unit::Count,
        };
        if !self.walk.holds_table(own, key.name) {
            let number = self.number(own, key.name, unit)?;
            return Some(Observed { key, number, words: Vec::new() });
        }
        if let Set::Number(..) = key.set {
            let (number, _) = self.number_table(own, key.name, &NUMBER, unit)?;
            return Some(Observed { key, number, words: Vec::new() });
        }
        let table = self.walk.table(own, key.name)?;
        self.walk.refuse_other_keys(&table, &OTHER);
        let words = self.stand_for(&table);
        let number = self.columned(&table, Some(1.0), String::new())?;
        Some(Observed { key, number, words })
    }

    /// `words = { "Yes" = "never" }`.
    fn stand_for(&mut self, table: &Table<'_, '_>) -> Vec<(String, String)> {
        if !table.has("words") {
            return Vec::new();
        }
        let Some(words) = self.walk.table(table, "words") else { return Vec::new() };
        let keys = words.keys();
        keys.into_iter().filter_map(|key| Some((key.clone(), self.walk.text(&words, &key)?.value))).collect()
    }

    pub(super) fn neighbours(&mut self, top: &Table<'_, '_>) -> Neighbours {
        if !top.has("wells") {
            return Neighbours::default();
        }
        let Some(own) = self.walk.table(top, "wells") else { return Neighbours::default() };
        self.walk.refuse_other_keys(&own, &WELLS);
        Neighbours {
            made: self.word_of(&own, "made"),
            worked: self.word_of(&own, "worked"),
            failed: self.word_of(&own, "failed"),
        }
    }

    fn word_of<T: Word>(&mut self, own: &Table<'_, '_>, key: &str) -> Option<T> {
        let written: Found<String> = self.walk.text(own, key)?;
        match T::from_words(&written.value) {
            Some(Meaning::Known(answer)) => return Some(answer),
            Some(Meaning::Unknown) => return None,
            None => {}
        }
        let near = T::suggested_by(&written.value).map(|s| format!("Did you mean \"{s}\"? "));
        let message = format!("{} = \"{}\" is not understood", own.path_of(key), written.value);
        let help = format!("{}Write one of: {}, unknown.", near.unwrap_or_default(), T::names());
        self.walk.error("unknown-word", &written.spot, message, help);
        None
    }
}
