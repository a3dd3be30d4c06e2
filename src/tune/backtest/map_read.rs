//! Reads a map, `MAP.toml`: every problem of it at once, each with its line,
//! what was expected and how to mend it.

use std::collections::BTreeMap;
use std::sync::Arc;

use toml::de::DeTable;

use super::map::{Map, NumberColumn, PlaceColumns, Quality, Subtract, Words, YesNo};
use crate::diag::Problems;
use crate::region::Region;
use crate::region::walk::{Found, Spot, Table, Walk};
use crate::survey::grid::Zone;
use crate::survey::plain::unit_factor;
use crate::survey::{Datum, DateOrder, DecimalMark};
use crate::units::Unit;

const TOP: [&str; 14] = [
    "title",
    "missing",
    "dates",
    "decimal",
    "neighbours_from_m",
    "known_only_after",
    "place",
    "date",
    "keep",
    "depth_to_water",
    "hole_depth",
    "refusal",
    "success",
    "quality",
];
const PLACE: [&str; 7] = ["lat", "lon", "easting", "northing", "zone", "datum", "elevation"];
const NUMBER: [&str; 4] = ["column", "unit", "missing", "plausible"];
const LEVEL: [&str; 6] = ["column", "unit", "missing", "plausible", "subtract", "error_m"];
const SUBTRACT: [&str; 5] = ["column", "unit", "missing", "plausible", "otherwise"];
const YES_NO: [&str; 5] = ["yes", "no", "yes_says", "no_says", "otherwise"];
const ABOVE: [&str; 6] = ["column", "unit", "missing", "plausible", "above", "above_limit"];

/// Reads the map in `text`, the content of `file`; limits it names are those
/// of `region`. `None` where it cannot be used, which is then reported.
pub fn read_map(
    file: &Arc<str>,
    text: &str,
    region: Option<&Region>,
    problems: &mut Problems,
) -> Option<Map> {
    let (document, errors) = DeTable::parse_recoverable(text);
    let mut found = Problems::new();
    let mut walk = Walk::new(file.clone(), text, &mut found);
    walk.syntax(&errors);
    let top = walk.top(document.get_ref());
    let map = Reader { walk: &mut walk, region }.map(&top);
    let usable = !found.any_error();
    problems.extend(found);
    map.filter(|_| usable)
}

struct Reader<'r, 'a> {
    walk: &'r mut Walk<'a>,
    region: Option<&'r Region>,
}

impl Reader<'_, '_> {
    fn map(&mut self, top: &Table<'_, '_>) -> Option<Map> {
        self.walk.refuse_other_keys(top, &TOP);
        let _ = self.walk.text(top, "title");
        let after = self.walk.found_texts(top, "known_only_after").unwrap_or_default();
        let level = self.number_table(top, "depth_to_water", &LEVEL, Unit::Metre);
        let map = Map {
            missing: self.walk.texts(top, "missing").unwrap_or_default(),
            dates: self.dates(top),
            decimal: self.decimal(top),
            neighbours_from_m: self.not_negative(top, "neighbours_from_m").unwrap_or(0.0),
            elevation: self.elevation(top),
            place: self.place(top)?,
            date: self.walk.text(top, "date"),
            keep: self.words(top, "keep"),
            depth_to_water: level.map(|(number, _)| number),
            error_m: self.error_m(top),
            hole_depth: self.number_table(top, "hole_depth", &NUMBER, Unit::Metre).map(|(n, _)| n),
            refusal: self.yes_no_table(top, "refusal"),
            success: self.yes_no_table(top, "success"),
            quality: self.qualities(top),
        };
        self.refuse_leaks(&map, &after);
        Some(map)
    }

    /// A column known only afterwards, or the outcome itself, tells a
    /// forecast what it is to find out.
    fn refuse_leaks(&mut self, map: &Map, after: &[Found<String>]) {
        let same = |a: &str, b: &str| a.trim().eq_ignore_ascii_case(b.trim());
        let outcomes = map.outcomes();
        for (column, what_for) in map.predictors() {
            let listed = after.iter().find(|a| same(&a.value, &column.value));
            let is_outcome = outcomes.iter().any(|o| same(&o.value, &column.value));
            let (code, message, help) = match listed {
                Some(listed) => (
                    "known-only-after",
                    format!("\"{}\" is used for {what_for} and is known only after drilling", column.value),
                    format!(
                        "A forecast made before drilling cannot know it: take it out here, or, if it is known \
                         before, out of known_only_after ({}).",
                        listed.spot.at
                    ),
                ),
                None if is_outcome => (
                    "outcome-as-predictor",
                    format!("\"{}\" is used for {what_for} and is also what is forecast", column.value),
                    "A forecast may not use what it is to find out: name another column here.".to_owned(),
                ),
                None => continue,
            };
            self.walk.error(code, &column.spot, message, help);
        }
    }

    fn dates(&mut self, top: &Table<'_, '_>) -> Option<DateOrder> {
        let words = ["day first", "month first", "year first"];
        let order = |w: &str| match w {
            "day first" => Some(DateOrder::DayFirst),
            "month first" => Some(DateOrder::MonthFirst),
            "year first" => Some(DateOrder::YearFirst),
            _ => None,
        };
        Some(self.walk.choice(top, "dates", "unknown-date-order", &words, order)?.value)
    }

    fn decimal(&mut self, top: &Table<'_, '_>) -> Option<DecimalMark> {
        let mark = |w: &str| match w {
            "comma" => Some(DecimalMark::Comma),
            "point" => Some(DecimalMark::Point),
            _ => None,
        };
        Some(self.walk.choice(top, "decimal", "unknown-decimal-mark", &["point", "comma"], mark)?.value)
    }

    fn not_negative(&mut self, table: &Table<'_, '_>, key: &str) -> Option<f64> {
        let found = self.walk.number(table, key)?;
        if found.value < 0.0 {
            let message = format!("{} is below zero", table.path_of(key));
            self.walk.error("out-of-range", &found.spot, message, "Write a number of 0 or more.");
            return None;
        }
        Some(found.value)
    }

    fn error_m(&mut self, top: &Table<'_, '_>) -> Option<f64> {
        if !self.walk.holds_table(top, "depth_to_water") {
            return None;
        }
        let table = self.walk.table(top, "depth_to_water")?;
        self.not_negative(&table, "error_m")
    }

    fn place(&mut self, top: &Table<'_, '_>) -> Option<PlaceColumns> {
        if !top.has("place") {
            return Some(PlaceColumns::Given);
        }
        let place = self.walk.table(top, "place")?;
        self.walk.refuse_other_keys(&place, &PLACE);
        if place.has("easting") || place.has("northing") {
            for (key, example) in
                [("easting", "\"utm_x\""), ("northing", "\"utm_y\""), ("zone", "\"37S\""), ("datum", "\"WGS84\"")]
            {
                self.walk.need(&place, key, example);
            }
            let easting = self.number(&place, "easting", Unit::Metre);
            let northing = self.number(&place, "northing", Unit::Metre);
            let zone = self.parsed(&place, "zone", "bad-zone", |z| Zone::parse(z).map_err(|e| e.to_string()));
            let datum =
                self.parsed(&place, "datum", "unknown-datum", |d| Datum::named(d).map_err(|e| e.to_string()));
            return Some(PlaceColumns::Grid {
                easting: easting?,
                northing: northing?,
                zone: zone?,
                datum: datum?,
            });
        }
        if !place.has("lat") && !place.has("lon") {
            return Some(PlaceColumns::Given);
        }
        self.walk.need(&place, "lat", "\"latitude\"");
        self.walk.need(&place, "lon", "\"longitude\"");
        let (lat, lon) = (self.number(&place, "lat", Unit::Degree), self.number(&place, "lon", Unit::Degree));
        Some(PlaceColumns::Degrees { lat: lat?, lon: lon? })
    }

    fn elevation(&mut self, top: &Table<'_, '_>) -> Option<NumberColumn> {
        if !self.walk.holds_table(top, "place") {
            return None;
        }
        let place = self.walk.table(top, "place")?;
        self.number(&place, "elevation", Unit::Metre)
    }

    fn parsed<T>(
        &mut self,
        table: &Table<'_, '_>,
        key: &str,
        code: &'static str,
        parse: impl Fn(&str) -> Result<T, String>,
    ) -> Option<T> {
        let written = self.walk.text(table, key)?;
        match parse(&written.value) {
            Ok(value) => Some(value),
            Err(why) => {
                self.walk.error(code, &written.spot, why, "Write it as 37S, or WGS84, as the records' owner does.");
                None
            }
        }
    }

    /// A column of numbers: its heading alone, or a table with its unit.
    fn number(&mut self, table: &Table<'_, '_>, key: &str, unit: Unit) -> Option<NumberColumn> {
        if self.walk.holds_table(table, key) {
            return self.number_table(table, key, &NUMBER, unit).map(|(n, _)| n);
        }
        let column = self.walk.text(table, key)?;
        Some(NumberColumn {
            column,
            factor: 1.0,
            missing: Vec::new(),
            plausible: None,
            unit: unit.name().to_owned(),
            subtract: None,
        })
    }

    fn number_table<'t, 'd>(
        &mut self,
        table: &Table<'t, 'd>,
        key: &str,
        known: &[&str],
        unit: Unit,
    ) -> Option<(NumberColumn, Table<'t, 'd>)> {
        if !table.has(key) {
            return None;
        }
        let own = self.walk.table(table, key)?;
        self.walk.refuse_other_keys(&own, known);
        let written = self.walk.text(&own, "unit");
        let factor = match &written {
            None => Some(1.0),
            Some(written) => self.factor(written, &[unit], "").map(|(_, factor)| factor),
        };
        let written = written.map_or_else(|| unit.name().to_owned(), |w| w.value);
        let number = self.columned(&own, factor, written)?;
        Some((number, own))
    }

    /// The unit of a kind that may stand here, and its factor.
    fn factor(&mut self, written: &Found<String>, kinds: &[Unit], parameter: &str) -> Option<(Unit, f64)> {
        let found = kinds.iter().find_map(|u| Some((*u, unit_factor(&written.value, *u, parameter)?)));
        if found.is_none() {
            let names: Vec<&str> = kinds.iter().map(|u| u.name()).collect();
            let message = format!("\"{}\" is no unit known here", written.value);
            let help = format!("Write {}, or a unit of that kind (cm, ft; ug/L; mS/cm).", names.join(", "));
            self.walk.error("unknown-unit", &written.spot, message, help);
        }
        found
    }

    fn columned(&mut self, own: &Table<'_, '_>, factor: Option<f64>, unit: String) -> Option<NumberColumn> {
        self.walk.need(own, "column", "\"the heading\"");
        let column = self.walk.text(own, "column");
        let missing = self.walk.texts(own, "missing").unwrap_or_default();
        let plausible = self.bounds(own);
        let subtract = if own.has("subtract") { self.subtract(own) } else { None };
        Some(NumberColumn { column: column?, factor: factor?, missing, plausible, unit, subtract })
    }

    fn bounds(&mut self, own: &Table<'_, '_>) -> Option<(f64, f64)> {
        let bounds = self.walk.numbers(own, "plausible")?;
        match bounds.as_slice() {
            [low, high] if low.value < high.value => Some((low.value, high.value)),
            _ => {
                let spot = self.walk.spot_of(own, "plausible");
                let message = format!("{} is not a low and a high number", own.path_of("plausible"));
                self.walk.error("bad-bounds", &spot, message, "Write plausible = [0, 60], in the column's own unit.");
                None
            }
        }
    }

    fn subtract(&mut self, own: &Table<'_, '_>) -> Option<Box<Subtract>> {
        if !self.walk.holds_table(own, "subtract") {
            let number = self.number(own, "subtract", Unit::Metre)?;
            return Some(Box::new(Subtract { number, otherwise: None }));
        }
        let (number, table) = self.number_table(own, "subtract", &SUBTRACT, Unit::Metre)?;
        let otherwise = self.walk.number(&table, "otherwise").map(|f| f.value);
        Some(Box::new(Subtract { number, otherwise }))
    }

    /// `{ column = ["word", …] }` under `key`.
    fn words(&mut self, table: &Table<'_, '_>, key: &str) -> Vec<Words> {
        if !table.has(key) {
            return Vec::new();
        }
        let Some(own) = self.walk.table(table, key) else { return Vec::new() };
        let mut all = Vec::new();
        for name in own.keys() {
            let column = Found { value: name.clone(), spot: self.walk.spot_of(&own, &name) };
            if let Some(words) = self.walk.texts(&own, &name) {
                all.push(Words { column, words });
            }
        }
        all
    }

    fn yes_no_table(&mut self, table: &Table<'_, '_>, key: &str) -> Option<YesNo> {
        if !table.has(key) {
            return None;
        }
        let own = self.walk.table(table, key)?;
        self.walk.refuse_other_keys(&own, &YES_NO);
        self.yes_no(&own)
    }

    fn yes_no(&mut self, own: &Table<'_, '_>) -> Option<YesNo> {
        let otherwise = self.walk.choice(own, "otherwise", "unknown-otherwise", &["no", "skip"], |w| match w {
            "no" => Some(true),
            "skip" => Some(false),
            _ => None,
        });
        let all = YesNo {
            yes: self.words(own, "yes"),
            no: self.words(own, "no"),
            yes_says: self.words(own, "yes_says"),
            no_says: self.words(own, "no_says"),
            otherwise_no: otherwise.is_some_and(|f| f.value),
        };
        let example = |key| format!("Add {key} = {{ \"the heading\" = [\"the word\"] }}.");
        if all.yes.is_empty() && all.yes_says.is_empty() {
            self.lacks(&own.spot, &own.path, "means yes", &example("yes"));
        }
        if all.no.is_empty() && all.no_says.is_empty() && !all.otherwise_no {
            self.lacks(&own.spot, &own.path, "means no", &format!("{} Or otherwise = \"no\".", example("no")));
        }
        Some(all)
    }

    fn lacks(&mut self, spot: &Spot, path: &str, what: &str, help: &str) {
        self.walk.error("missing-key", spot, format!("{path} does not say what {what}"), help);
    }

    fn qualities(&mut self, top: &Table<'_, '_>) -> BTreeMap<String, Quality> {
        if !top.has("quality") {
            return BTreeMap::new();
        }
        let Some(all) = self.walk.table(top, "quality") else { return BTreeMap::new() };
        let named = self.walk.tables(&all);
        named.into_iter().filter_map(|(name, own)| Some((name.value.clone(), self.quality(&name.value, &own)?))).collect()
    }

    fn quality(&mut self, name: &str, own: &Table<'_, '_>) -> Option<Quality> {
        if !own.has("column") {
            self.walk.refuse_other_keys(own, &YES_NO);
            return self.yes_no(own).map(Quality::Words);
        }
        self.walk.refuse_other_keys(own, &ABOVE);
        self.walk.need(own, "unit", "\"mg/L\"");
        let kinds = [Unit::MilligramPerLitre, Unit::MicrosiemensPerCm, Unit::CfuPer100Ml];
        let written = self.walk.text(own, "unit");
        let above = self.walk.number(own, "above");
        let named = self.walk.text(own, "above_limit");
        let unit = written.as_ref().and_then(|w| self.factor(w, &kinds, name));
        let number = self.columned(own, unit.map(|u| u.1), written.as_ref()?.value.clone());
        let (unit, factor) = unit?;
        let limit = match (above, named) {
            (Some(above), None) => above.value * factor,
            (None, Some(named)) => self.limit(&named, unit)?,
            _ => {
                let help = "Add above = 1500 (in the column's unit), or above_limit = \"fluoride_stop_mg_l\".";
                self.lacks(&own.spot, &own.path, "is too much, in one way", help);
                return None;
            }
        };
        Some(Quality::Above { number: number?, limit, shown: unit.show(limit) })
    }

    /// A limit of the region by its name.
    fn limit(&mut self, named: &Found<String>, unit: Unit) -> Option<f64> {
        let region = self.region?;
        let Some(figure) = region.limits.get(&named.value) else {
            let near = crate::region::walk::suggestion(&named.value, region.limits.keys().map(String::as_str));
            let message = format!("the region has no limit {}", named.value);
            self.walk.error("unknown-limit", &named.spot, message, format!("{near}Or write above = …"));
            return None;
        };
        if figure.unit != unit {
            let message = format!("{} is in {}, the column in {}", named.value, figure.unit.name(), unit.name());
            self.walk.error("unit-does-not-fit", &named.spot, message, "Name a limit of the column's kind.");
            return None;
        }
        Some(figure.value)
    }
}
