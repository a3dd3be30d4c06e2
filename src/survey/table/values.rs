//! What does one cell say? Its words, number, day or yes and no, in the unit
//! of the key; nothing where it is marked as missing; and a fault where it
//! cannot be read, never a guess.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use super::super::fold::letters;
use super::super::keys::{Key, KeyForm};
use super::super::words::{Meaning, Word, is_unknown};
use super::super::{CellValue, DateOrder, DecimalMark, TableFile};
use super::date::{self, Written as Day};
use super::headings::{Column, quoted};
use super::number::{NumberFault, number};
use super::sheet::{Is, Written};
use super::unit_words::{Fit, fit};
use crate::units::Unit;

/// Texts that stand for "no value" in any table, lower case,
/// besides words for "unknown".
const MISSING: &[&str] = &["", "na", "n/a", "null"];

/// The code of a date that may be two days: told once for its column.
pub(super) const DATE_ORDER: &str = "date-order";

/// A cell that cannot be read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fault {
    pub code: &'static str,
    pub message: String,
    pub help: String,
}

/// How the cells of one column are read.
pub(super) struct Reading<'f> {
    /// The key they are for.
    pub key: &'static Key,
    /// By what numbers are multiplied.
    pub factor: f64,
    /// Whether the heading states a unit, which a cell may not contradict.
    pub unit_stated: bool,
    /// The mark before decimals, where it is known.
    pub mark: Option<DecimalMark>,
    /// The order of dates, where it is known.
    pub order: Option<DateOrder>,
    /// Texts that stand for "no value" here.
    missing: Vec<&'f str>,
    /// Their words to ours, lower case.
    words: &'f BTreeMap<String, String>,
}

/// The words of a file as they are compared.
pub(super) fn words(file: &TableFile) -> BTreeMap<String, String> {
    file.words.iter().map(|(theirs, ours)| (plain(theirs), ours.value.clone())).collect()
}

impl<'f> Reading<'f> {
    /// The reading of `column`, before its numbers and dates were looked at.
    pub(super) fn new(column: &Column, file: &'f TableFile, words: &'f BTreeMap<String, String>) -> Self {
        let here = file.missing_in.iter().filter(|(key, _)| names(key, column.key)).flat_map(|(_, m)| m);
        Self {
            key: column.key,
            factor: column.factor,
            unit_stated: column.unit_stated,
            mark: None,
            order: file.dates.as_ref().map(|d| d.value),
            missing: file.missing.iter().chain(here).map(|m| m.value.as_str()).collect(),
            words,
        }
    }

    /// The reading of the column that is subtracted from this one.
    pub(super) fn subtracted(&self, file: &'f TableFile, factor: f64) -> Self {
        Self {
            key: self.key,
            factor,
            unit_stated: true,
            mark: None,
            order: None,
            missing: file.missing.iter().map(|m| m.value.as_str()).collect(),
            words: self.words,
        }
    }

    /// Whether the text stands for "no value".
    pub(super) fn is_missing(&self, written: &Written) -> bool {
        let text = plain(&written.text);
        if means_nothing(&text) {
            return true;
        }
        let value = self.key.form.unit().and_then(|_| number(&text, self.mark_of(written)).ok());
        self.missing.iter().any(|mark| {
            // -9 stands for -9.0 too, but never for a text that holds it.
            let as_number = || number(mark, Some(DecimalMark::Point)).ok();
            plain(mark) == text
                || value.zip(as_number()).is_some_and(|(a, b)| a.partial_cmp(&b).is_some_and(Ordering::is_eq))
        })
    }

    /// The value, or nothing where it is missing.
    pub(super) fn value(&self, written: &Written) -> Result<Option<CellValue>, Fault> {
        if written.is == Is::Structure {
            return Err(self.fault(
                "unreadable-value",
                format!("{} holds a list or an object", self.key.name),
                "Write one value.",
            ));
        }
        let ours = self.in_our_words(written);
        let text = ours.unwrap_or(written.text.as_str()).trim();
        let missing = match ours {
            Some(ours) => means_nothing(&plain(ours)),
            None => self.is_missing(written),
        };
        if missing {
            return Ok(None);
        }
        match self.key.form {
            KeyForm::Text => Ok(Some(CellValue::Text(text.to_owned()))),
            KeyForm::Word => Ok(Some(CellValue::Text(text.split_whitespace().collect::<Vec<_>>().join(" ")))),
            KeyForm::YesNo => self.yes_no(text),
            KeyForm::Date => self.date(text).map(Some),
            KeyForm::Number { unit, .. } => match text.strip_prefix('<') {
                None => self.quantity(text, unit, written).map(|n| Some(CellValue::Number(n))),
                Some(_) => Err(self.fault(
                    "unreadable-number",
                    format!("{} is not one number for {}", quoted(text), self.key.name),
                    "Less than (<) is read for water quality alone; write the number, or nothing.",
                )),
            },
            KeyForm::Reading(unit) => match text.strip_prefix('<') {
                None => self.quantity(text, unit, written).map(|n| Some(CellValue::Number(n))),
                Some(limit) => self.quantity(limit, unit, written).map(|n| Some(CellValue::Below(n))),
            },
        }
    }

    /// What the survey's words make of it, for keys that take words.
    pub(super) fn in_our_words(&self, written: &Written) -> Option<&'f str> {
        match self.key.form {
            KeyForm::Word | KeyForm::YesNo => self.words.get(&plain(&written.text)).map(String::as_str),
            _ => None,
        }
    }

    fn mark_of(&self, written: &Written) -> Option<DecimalMark> {
        if written.is == Is::Number { Some(DecimalMark::Point) } else { self.mark }
    }

    /// A number in the unit of the key, perhaps with a unit behind it.
    fn quantity(&self, text: &str, unit: Unit, written: &Written) -> Result<f64, Fault> {
        let text = text.trim();
        let mark = self.mark_of(written);
        let (value, factor) = match (number(text, mark), unit_behind(text)) {
            (Ok(value), _) => (value, self.factor),
            (Err(NumberFault::Other), Some((digits, unit_text))) => {
                let value = number(digits, mark).map_err(|why| self.number_fault(why, text))?;
                match fit(&letters(unit_text), unit, self.key.name) {
                    Fit::By(factor) if !self.unit_stated || same(factor, self.factor) => (value, factor),
                    Fit::By(_) => {
                        return Err(self.fault(
                            "unit-does-not-fit",
                            format!("the unit of {} is not that of its heading", quoted(text)),
                            "Write the number alone, in the unit of the heading.",
                        ));
                    }
                    _ => return Err(self.number_fault(NumberFault::Other, text)),
                }
            }
            (Err(why), _) => return Err(self.number_fault(why, text)),
        };
        let value = value * factor;
        if value.is_finite() { Ok(value) } else { Err(self.number_fault(NumberFault::TooGreat, text)) }
    }

    fn number_fault(&self, why: NumberFault, text: &str) -> Fault {
        let shown = quoted(text);
        match why {
            NumberFault::Ambiguous => {
                let as_decimal = text.trim().replace(',', ".");
                let as_thousand = text.trim().replace([',', '.'], "");
                self.fault(
                    "ambiguous-number",
                    format!("{shown} may be {as_decimal} or {as_thousand}"),
                    "State decimal = \"comma\" or decimal = \"point\" for the file, and part no thousands.",
                )
            }
            NumberFault::OtherMark => self.fault(
                "other-decimal-mark",
                format!("{shown} has not the decimal mark of its column"),
                "State decimal = \"comma\" or decimal = \"point\" for the file, and use that one alone.",
            ),
            NumberFault::Grouped => self.fault(
                "thousands-parted",
                format!("{shown} parts thousands"),
                "Write the number without signs or blanks between thousands.",
            ),
            NumberFault::TooGreat => self.fault(
                "unreadable-number",
                format!("{shown} is too great a number for {}", self.key.name),
                "Write the number as it was measured.",
            ),
            NumberFault::Other if self.key.form.unit() == Some(Unit::Degree) => self.fault(
                "unreadable-number",
                format!("{shown} is not a number for {}", self.key.name),
                "Write decimal degrees, with - before south latitudes and west longitudes.",
            ),
            NumberFault::Other => self.fault(
                "unreadable-number",
                format!("{shown} is not a number for {}", self.key.name),
                "Write the number alone; if this stands for \"no value\", name it: missing = [\"…\"].",
            ),
        }
    }

    fn yes_no(&self, text: &str) -> Result<Option<CellValue>, Fault> {
        match bool::from_words(text) {
            Some(Meaning::Known(yes)) => Ok(Some(CellValue::Bool(yes))),
            Some(Meaning::Unknown) => Ok(None),
            None => Err(self.fault(
                "unreadable-yes-no",
                format!("{} is neither yes nor no for {}", quoted(text), self.key.name),
                "Write yes or no, or say what it means: words = { \"…\" = \"yes\" }.",
            )),
        }
    }

    fn date(&self, text: &str) -> Result<CellValue, Fault> {
        let written = date::written(text);
        match (date::day(written, self.order), written) {
            (Some(day), _) => Ok(CellValue::Date(day)),
            (None, open) if open.is_open() && self.order.is_none() => {
                Err(self.fault(DATE_ORDER, format!("{} may be two days", quoted(text)), ""))
            }
            (None, Day::ShortYear) => Err(self.fault(
                "unreadable-date",
                format!("{} has no year of four digits", quoted(text)),
                "Write the year in full: 2026-03-02.",
            )),
            _ => Err(self.fault(
                "unreadable-date",
                format!("{} is not a day{}", quoted(text), order_in_words(self.order)),
                "Write it as year, month and day: 2026-03-02.",
            )),
        }
    }

    fn fault(&self, code: &'static str, message: String, help: &str) -> Fault {
        Fault { code, message, help: help.to_owned() }
    }
}

pub(in crate::survey) fn means_nothing(plain: &str) -> bool {
    MISSING.contains(&plain) || is_unknown(plain)
}

fn order_in_words(order: Option<DateOrder>) -> &'static str {
    match order {
        Some(DateOrder::DayFirst) => ", day first",
        Some(DateOrder::MonthFirst) => ", month first",
        Some(DateOrder::YearFirst) => ", year first",
        None => "",
    }
}

fn names(written: &str, key: &Key) -> bool {
    written == key.name || written == key.bare()
}

/// A text as words and marks are compared.
fn plain(text: &str) -> String {
    text.trim().to_lowercase()
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-12 * a.abs()
}

/// `12.5 ft` as its number and its unit.
fn unit_behind(text: &str) -> Option<(&str, &str)> {
    let unsigned = text.trim_start_matches(['+', '-', '\u{2212}']);
    let rest = unsigned.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','));
    let unit = rest.trim_start();
    let digits = text.get(..text.len() - rest.len())?;
    (unit.starts_with(char::is_alphabetic) && !digits.is_empty()).then_some((digits, unit))
}
