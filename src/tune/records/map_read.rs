//! Reads a map, `MAP.toml`: every problem of it at once, each with its line,
//! what was expected and how to mend it.

use std::collections::BTreeMap;
use std::sync::Arc;

use toml::de::DeTable;

use super::map::{Map, NumberColumn, PlaceColumns, Quality};
use super::map_parts::{NUMBER, YES_NO};
use crate::diag::Problems;
use crate::region::Region;
use crate::region::walk::{Found, Table, Walk};
use crate::survey::grid::Zone;
use crate::survey::{DateOrder, Datum, DecimalMark};
use crate::units::Unit;

const TOP: [&str; 18] = [
    "title",
    "missing",
    "dates",
    "decimal",
    "neighbours_from_m",
    "known_only_after",
    "place",
    "date",
    "well",
    "keep",
    "depth_to_water",
    "depth_to_water_wet",
    "depth_to_water_dry",
    "yield",
    "hole_depth",
    "refusal",
    "success",
    "quality",
];
const PLACE: [&str; 7] = ["lat", "lon", "easting", "northing", "zone", "datum", "elevation"];
const LEVEL: [&str; 6] = ["column", "unit", "missing", "plausible", "subtract", "error_m"];
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

/// A map being read.
pub(super) struct Reader<'r, 'a> {
    pub(super) walk: &'r mut Walk<'a>,
    region: Option<&'r Region>,
}

impl Reader<'_, '_> {
    fn map(&mut self, top: &Table<'_, '_>) -> Option<Map> {
        self.walk.refuse_other_keys(top, &TOP);
        let _ = self.walk.text(top, "title");
        let level = self.number_table(top, "depth_to_water", &LEVEL, Unit::Metre);
        let missing = self.walk.texts(top, "missing").unwrap_or_default();
        let dates = self.dates(top);
        let decimal = self.decimal(top);
        let neighbours_from_m = self.not_negative(top, "neighbours_from_m").unwrap_or(0.0);
        let known_only_after = self.walk.found_texts(top, "known_only_after").unwrap_or_default();
        let elevation = self.elevation(top);
        let place = self.place(top);
        let date = self.walk.text(top, "date");
        let well = self.walk.text(top, "well");
        let keep = self.words(top, "keep");
        let depth_to_water = level.map(|(number, _)| number);
        let error_m = self.error_m(top);
        let mut plain = |key, unit| self.number_table(top, key, &NUMBER, unit).map(|(n, _)| n);
        let wet_and_dry = ["depth_to_water_wet", "depth_to_water_dry"].map(|key| plain(key, Unit::Metre));
        let well_yield = plain("yield", Unit::LitrePerSecond);
        let hole_depth = self.number_table(top, "hole_depth", &NUMBER, Unit::Metre).map(|(n, _)| n);
        let refusal = self.yes_no_table(top, "refusal");
        let success = self.yes_no_table(top, "success");
        let quality = self.qualities(top);
        // All of it is read before anything is given up.
        let map = Map {
            missing,
            dates,
            decimal,
            neighbours_from_m,
            known_only_after,
            elevation,
            place: place?,
            date,
            well,
            keep,
            depth_to_water,
            error_m,
            wet_and_dry,
            well_yield,
            hole_depth,
            refusal,
            success,
            quality,
        };
        self.refuse_leaks(&map);
        Some(map)
    }

    /// A column known only afterwards, or the outcome itself, tells a
    /// forecast what it is to find out.
    fn refuse_leaks(&mut self, map: &Map) {
        let same = |a: &str, b: &str| a.trim().eq_ignore_ascii_case(b.trim());
        let outcomes = map.outcomes();
        for (column, what_for) in map.predictors() {
            let listed = map.known_only_after.iter().find(|a| same(&a.value, &column.value));
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
            for (key, example) in [
                ("easting", "\"utm_x\""),
                ("northing", "\"utm_y\""),
                ("zone", "\"37S\""),
                ("datum", "\"WGS84\""),
            ] {
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

    fn qualities(&mut self, top: &Table<'_, '_>) -> BTreeMap<String, Quality> {
        if !top.has("quality") {
            return BTreeMap::new();
        }
        let Some(all) = self.walk.table(top, "quality") else { return BTreeMap::new() };
        let named = self.walk.tables(&all);
        named
            .into_iter()
            .filter_map(|(name, own)| Some((name.value.clone(), self.quality(&name.value, &own)?)))
            .collect()
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
                let help =
                    "Add above = 1500 (in the column's unit), or above_limit = \"fluoride_stop_mg_l\".";
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
            let near =
                crate::region::walk::suggestion(&named.value, region.limits.keys().map(String::as_str));
            let message = format!("the region has no limit {}", named.value);
            self.walk.error("unknown-limit", &named.spot, message, format!("{near}Or write above = …"));
            return None;
        };
        if figure.unit != unit {
            let message =
                format!("{} is in {}, the column in {}", named.value, figure.unit.name(), unit.name());
            self.walk.error("unit-does-not-fit", &named.spot, message, "Name a limit of the column's kind.");
            return None;
        }
        Some(figure.value)
    }
}
