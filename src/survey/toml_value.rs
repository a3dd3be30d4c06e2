//! Single values of a survey's TOML: the kind that is expected, or an error
//! that says what stands there.

use jiff::civil::Date;
use toml::de::DeValue;

use super::cells::{DAYS, believable};
use super::keys::KeyForm;
use super::toml_text::{Spanned, TomlText};
use super::words::{Meaning, Word, is_unknown};
use super::{Cell, CellValue, Seen};
use crate::diag::Problems;

/// A number's name, unit and bounds (both included).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bounds {
    pub unit: &'static str,
    pub least: f64,
    pub most: f64,
}

/// Whether the value says "unknown", which is the same as not being there.
pub(crate) fn says_unknown(value: &Spanned<'_>) -> bool {
    matches!(value.get_ref(), DeValue::String(text) if is_unknown(text))
}

/// What a value is, for messages.
pub(crate) fn what(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// Reads values and says what is wrong with them.
pub(crate) struct Values<'t, 'p> {
    pub toml: &'t TomlText<'t>,
    pub problems: &'p mut Problems,
}

impl Values<'_, '_> {
    /// Says that a value is of the wrong kind.
    pub fn wrong(&mut self, key: &str, value: &Spanned<'_>, expected: &str, help: &str) {
        let message = format!("{key} is {}, where {expected} is expected", what(value.get_ref()));
        self.toml.error(value.span(), "wrong-type", message, help, self.problems);
    }

    /// A number that is finite.
    pub fn finite(&mut self, key: &str, value: &Spanned<'_>) -> Option<Seen<f64>> {
        let number = match value.get_ref() {
            DeValue::Integer(i) => i64::from_str_radix(i.as_str(), i.radix()).map(|i| i as f64).ok(),
            DeValue::Float(f) => f.as_str().parse::<f64>().ok().filter(|x| x.is_finite()),
            _ => {
                let help = format!("Write {key} = 12.5, without quotes, or leave it out.");
                self.wrong(key, value, "a number", &help);
                return None;
            }
        };
        if number.is_none() {
            self.toml.error(
                value.span(),
                "not-a-number",
                format!("{key} is not a number one can measure"),
                "Write an ordinary number; leave the key out where nothing was measured.",
                self.problems,
            );
        }
        Some(Seen::new(number?, self.toml.at(&value.span())))
    }

    /// A number within bounds.
    pub fn number(&mut self, key: &str, value: &Spanned<'_>, bounds: Bounds) -> Option<Seen<f64>> {
        let seen = self.finite(key, value)?;
        let Bounds { unit, least, most } = bounds;
        if seen.value < least || seen.value > most {
            self.toml.error(
                value.span(),
                "out-of-range",
                format!("{key} = {} is not possible", seen.value),
                format!("Write a number from {least} to {most} ({unit}), or leave it out."),
                self.problems,
            );
            return None;
        }
        Some(seen)
    }

    /// Words as written.
    pub fn text(&mut self, key: &str, value: &Spanned<'_>) -> Option<Seen<String>> {
        let DeValue::String(text) = value.get_ref() else {
            self.wrong(key, value, "text", &format!("Write {key} = \"…\", in quotes."));
            return None;
        };
        Some(Seen::new(text.trim().to_owned(), self.toml.at(&value.span())))
    }

    /// An answer in words.
    pub fn word<T: Word>(&mut self, key: &str, value: &Spanned<'_>) -> Option<Seen<T>> {
        if !matches!(value.get_ref(), DeValue::String(_)) {
            let help = format!("Write one of: {}, unknown; in quotes.", T::names());
            self.wrong(key, value, "text", &help);
            return None;
        }
        let text = self.text(key, value)?;
        match T::from_words(&text.value) {
            Some(Meaning::Known(answer)) => Some(Seen::new(answer, text.from)),
            Some(Meaning::Unknown) => None,
            None => {
                let suggestion = T::suggested_by(&text.value).map(|s| format!("Did you mean \"{s}\"? "));
                self.toml.error(
                    value.span(),
                    "unknown-word",
                    format!("{key} = {:?} is not understood", text.value),
                    format!("{}Write one of: {}, unknown.", suggestion.unwrap_or_default(), T::names()),
                    self.problems,
                );
                None
            }
        }
    }

    /// Yes or no, in words or as TOML's true and false.
    pub fn yes_no(&mut self, key: &str, value: &Spanned<'_>) -> Option<Seen<bool>> {
        match value.get_ref() {
            DeValue::Boolean(yes) => Some(Seen::new(*yes, self.toml.at(&value.span()))),
            DeValue::String(_) => self.word(key, value),
            _ => {
                self.wrong(key, value, "yes or no", "Write \"yes\", \"no\" or \"unknown\".");
                None
            }
        }
    }

    /// A day, as TOML's own date or as text of the same form.
    pub fn date(&mut self, key: &str, value: &Spanned<'_>) -> Option<Seen<Date>> {
        let day = match value.get_ref() {
            // A date that is not in the calendar was refused with the TOML.
            DeValue::Datetime(moment) if moment.date.is_none() && moment.time.is_none() => return None,
            DeValue::Datetime(moment) => moment.date.and_then(|d| {
                let (month, day) = (i8::try_from(d.month).ok()?, i8::try_from(d.day).ok()?);
                Date::new(i16::try_from(d.year).ok()?, month, day).ok()
            }),
            DeValue::String(text) => text.trim().parse().ok(),
            _ => None,
        };
        let Some(day) = day else {
            let help = format!("Write year, month and day, such as {key} = 2026-03-02.");
            self.wrong(key, value, "a date", &help);
            return None;
        };
        if !believable(day) {
            let message = format!("{key} = {day} is not possible");
            self.toml.error(value.span(), "out-of-range", message, DAYS, self.problems);
            return None;
        }
        Some(Seen::new(day, self.toml.at(&value.span())))
    }

    /// A value of a record; bounds are left to [`super::entry`].
    pub fn cell(&mut self, key: &str, form: KeyForm, value: &Spanned<'_>) -> Option<Cell> {
        let (at, length) = (self.toml.at(&value.span()), self.toml.length(&value.span()));
        let cell = |value| Some(Cell { value, at, length });
        if says_unknown(value) {
            return cell(CellValue::Text("unknown".to_owned()));
        }
        match form {
            KeyForm::Text | KeyForm::Word => cell(CellValue::Text(self.text(key, value)?.value)),
            KeyForm::Number { .. } => cell(CellValue::Number(self.finite(key, value)?.value)),
            KeyForm::Reading(_) => match value.get_ref() {
                DeValue::String(text) => {
                    let limit =
                        text.trim().strip_prefix('<').and_then(|rest| rest.trim().parse::<f64>().ok());
                    let Some(limit) = limit.filter(|x| x.is_finite()) else {
                        self.wrong(key, value, "a number", "Write a number without quotes, or \"< 0.5\".");
                        return None;
                    };
                    cell(CellValue::Below(limit))
                }
                _ => cell(CellValue::Number(self.finite(key, value)?.value)),
            },
            KeyForm::YesNo => cell(CellValue::Bool(self.yes_no(key, value)?.value)),
            KeyForm::Date => cell(CellValue::Date(self.date(key, value)?.value)),
        }
    }
}
