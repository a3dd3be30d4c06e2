//! The values of one record, read by key: the right kind, within what is
//! physically possible, or not observed.

use jiff::civil::Date;

use super::faults::{Fault, Faults};
use super::keys::{Key, KeyForm};
use super::words::{Meaning, Word, is_unknown};
use super::{Cell, CellValue, RawRecord, Reading, Seen};

/// A record and the keys it may have.
pub(crate) struct Cells<'a> {
    pub record: &'a RawRecord,
    keys: &'a [&'static [Key]],
}

impl<'a> Cells<'a> {
    pub fn new(record: &'a RawRecord, keys: &'a [&'static [Key]]) -> Self {
        Self { record, keys }
    }

    /// The cell of that key, where something was observed.
    pub fn get(&self, name: &str) -> Option<&'a Cell> {
        let cell = self.record.cells.get(name)?;
        match &cell.value {
            CellValue::Text(text) if is_unknown(text) || text.trim().is_empty() => None,
            _ => Some(cell),
        }
    }

    fn form(&self, name: &str) -> KeyForm {
        let mut all = self.keys.iter().flat_map(|keys| keys.iter());
        all.find(|k| k.name == name).map_or(KeyForm::Text, |k| k.form)
    }

    /// A number within its bounds, or what is wrong with it.
    pub fn checked(&self, name: &str) -> Result<Option<Seen<f64>>, Fault> {
        let Some(cell) = self.get(name) else { return Ok(None) };
        let (least, most) = match self.form(name) {
            KeyForm::Number { least, most, .. } => (least, most),
            _ => (f64::MIN, f64::MAX),
        };
        let unit = self.form(name).unit().map_or("", |u| u.name());
        match cell.value {
            CellValue::Number(x) if x.is_finite() && x >= least && x <= most => {
                Ok(Some(Seen::new(x, cell.at.clone())))
            }
            CellValue::Number(x) => Err(Fault::in_cell(
                cell,
                "out-of-range",
                format!("{name} = {x} is not possible"),
                format!("Write a number from {least} to {most} ({unit}), or leave it out."),
            )),
            CellValue::Below(x) => Err(Fault::in_cell(
                cell,
                "less-than",
                format!("{name} is written as less than {x}"),
                "Only a quality value may be written so; write a number, or leave it out.",
            )),
            _ => Err(Fault::in_cell(
                cell,
                "wrong-type",
                format!("{name} is {}, where a number is expected", what(&cell.value)),
                format!("Write a number ({unit}), or leave it out."),
            )),
        }
    }

    /// A number within its bounds; what is wrong with it costs the value.
    pub fn number(&self, name: &str, faults: &mut Faults) -> Option<Seen<f64>> {
        self.checked(name).unwrap_or_else(|fault| {
            faults.drops_value(fault);
            None
        })
    }

    /// Words as they were written; a number counts as words.
    pub fn text(&self, name: &str) -> Option<Seen<String>> {
        let cell = self.get(name)?;
        Some(Seen::new(written(&cell.value), cell.at.clone()))
    }

    /// An answer given in words.
    pub fn word<T: Word>(&self, name: &str, faults: &mut Faults) -> Option<Seen<T>> {
        let cell = self.get(name)?;
        let text = written(&cell.value);
        match T::from_words(&text) {
            Some(Meaning::Known(answer)) => Some(Seen::new(answer, cell.at.clone())),
            Some(Meaning::Unknown) => None,
            None => {
                let suggestion = T::suggested_by(&text).map(|s| format!("Did you mean \"{s}\"? "));
                faults.drops_value(Fault::in_cell(
                    cell,
                    "unknown-word",
                    format!("{name} = {text:?} is not understood"),
                    format!("{}Write one of: {}, unknown.", suggestion.unwrap_or_default(), T::names()),
                ));
                None
            }
        }
    }

    /// Yes or no.
    pub fn yes_no(&self, name: &str, faults: &mut Faults) -> Option<Seen<bool>> {
        match self.get(name) {
            Some(Cell { value: CellValue::Bool(yes), at, .. }) => Some(Seen::new(*yes, at.clone())),
            _ => self.word(name, faults),
        }
    }

    /// A day.
    pub fn date(&self, name: &str, faults: &mut Faults) -> Option<Seen<Date>> {
        let cell = self.get(name)?;
        match &cell.value {
            CellValue::Date(day) if believable(*day) => return Some(Seen::new(*day, cell.at.clone())),
            CellValue::Date(day) => faults.drops_value(Fault::in_cell(
                cell,
                "out-of-range",
                format!("{name} = {day} is not possible"),
                DAYS,
            )),
            other => faults.drops_value(Fault::in_cell(
                cell,
                "wrong-type",
                format!("{name} is {}, where a date is expected", what(other)),
                "Write year, month and day, such as 2026-03-02.",
            )),
        }
        None
    }

    /// A quality reading.
    pub fn reading(&self, name: &str, faults: &mut Faults) -> Option<Seen<Reading>> {
        let cell = self.get(name)?;
        let (value, below) = match cell.value {
            CellValue::Number(x) => (x, false),
            CellValue::Below(x) => (x, true),
            _ => {
                faults.drops_value(Fault::in_cell(
                    cell,
                    "wrong-type",
                    format!("{name} is {}, where a number is expected", what(&cell.value)),
                    "Write a number, or \"< 0.5\" for less than the least that could be measured.",
                ));
                return None;
            }
        };
        if value.is_finite() && value >= 0.0 {
            return Some(Seen::new(Reading { value, below }, cell.at.clone()));
        }
        faults.drops_value(Fault::in_cell(
            cell,
            "out-of-range",
            format!("{name} = {value} is not possible"),
            "A quality value is 0 or more.",
        ));
        None
    }
}

/// The help where a date is real but cannot be meant.
pub(crate) const DAYS: &str = "Write a day between 1900 and 2100 as year, month and day, such as 2026-03-02.";

/// Whether a survey can be about that day.
pub(crate) fn believable(day: Date) -> bool {
    (1900..=2100).contains(&day.year())
}

/// A value as text.
pub(crate) fn written(value: &CellValue) -> String {
    match value {
        CellValue::Text(text) => text.trim().to_owned(),
        CellValue::Number(x) => x.to_string(),
        CellValue::Below(x) => format!("< {x}"),
        CellValue::Bool(true) => "yes".to_owned(),
        CellValue::Bool(false) => "no".to_owned(),
        CellValue::Date(day) => day.to_string(),
    }
}

/// What kind of value it is, for messages.
fn what(value: &CellValue) -> &'static str {
    match value {
        CellValue::Text(_) => "text",
        CellValue::Number(_) => "a number",
        CellValue::Below(_) => "a \"less than\"",
        CellValue::Bool(_) => "yes or no",
        CellValue::Date(_) => "a date",
    }
}
