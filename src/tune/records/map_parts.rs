//! The parts that a map is made of: a column of numbers with its unit, words
//! that mean yes or no.

use super::map::{NumberColumn, Subtract, Words, YesNo};
use super::map_read::Reader;
use crate::region::walk::{Found, Spot, Table};
use crate::survey::plain::unit_factor;
use crate::units::Unit;

pub(super) const NUMBER: [&str; 4] = ["column", "unit", "missing", "plausible"];
const SUBTRACT: [&str; 5] = ["column", "unit", "missing", "plausible", "otherwise"];
pub(super) const YES_NO: [&str; 5] = ["yes", "no", "yes_says", "no_says", "otherwise"];

impl Reader<'_, '_> {
    pub(super) fn parsed<T>(
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
                self.walk.error(
                    code,
                    &written.spot,
                    why,
                    "Write it as 37S, or WGS84, as the records' owner does.",
                );
                None
            }
        }
    }

    /// A column of numbers: its heading alone, or a table with its unit.
    pub(super) fn number(&mut self, table: &Table<'_, '_>, key: &str, unit: Unit) -> Option<NumberColumn> {
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

    pub(super) fn number_table<'t, 'd>(
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
    pub(super) fn factor(
        &mut self,
        written: &Found<String>,
        kinds: &[Unit],
        parameter: &str,
    ) -> Option<(Unit, f64)> {
        let found = kinds.iter().find_map(|u| Some((*u, unit_factor(&written.value, *u, parameter)?)));
        if found.is_none() {
            let names: Vec<&str> = kinds.iter().map(|u| u.name()).collect();
            let message = format!("\"{}\" is no unit known here", written.value);
            let help = format!("Write {}, or a unit of that kind (cm, ft; ug/L; mS/cm).", names.join(", "));
            self.walk.error("unknown-unit", &written.spot, message, help);
        }
        found
    }

    pub(super) fn columned(
        &mut self,
        own: &Table<'_, '_>,
        factor: Option<f64>,
        unit: String,
    ) -> Option<NumberColumn> {
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
                self.walk.error(
                    "bad-bounds",
                    &spot,
                    message,
                    "Write plausible = [0, 60], in the column's own unit.",
                );
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
    pub(super) fn words(&mut self, table: &Table<'_, '_>, key: &str) -> Vec<Words> {
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

    pub(super) fn yes_no_table(&mut self, table: &Table<'_, '_>, key: &str) -> Option<YesNo> {
        if !table.has(key) {
            return None;
        }
        let own = self.walk.table(table, key)?;
        self.walk.refuse_other_keys(&own, &YES_NO);
        self.yes_no(&own)
    }

    pub(super) fn yes_no(&mut self, own: &Table<'_, '_>) -> Option<YesNo> {
        let otherwise =
            self.walk.choice(own, "otherwise", "unknown-otherwise", &["no", "skip"], |w| match w {
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
            self.lacks(
                &own.spot,
                &own.path,
                "means no",
                &format!("{} Or otherwise = \"no\".", example("no")),
            );
        }
        Some(all)
    }

    pub(super) fn lacks(&mut self, spot: &Spot, path: &str, what: &str, help: &str) {
        self.walk.error("missing-key", spot, format!("{path} does not say what {what}"), help);
    }
}
