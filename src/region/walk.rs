//! Walks the TOML of a region file, or of another file of settings, by hand,
//! so that every problem in it is found in one reading, each with its line,
//! its column, what was expected and how to mend it.

use std::ops::Range;
use std::sync::Arc;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use crate::diag::{Level, Origin, Problem, Problems, nearest_word};

/// Most places of one file that are told not to be TOML; after so many it is
/// more likely the wrong file.
const MOST_SYNTAX_ERRORS: usize = 20;

/// A stretch of one line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spot {
    /// Where it starts.
    pub at: Origin,
    /// How many characters of the line it covers.
    pub length: usize,
}

impl Spot {
    /// Adds a problem here.
    pub fn report(
        &self,
        problems: &mut Problems,
        level: Level,
        code: &'static str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        problems.push(Problem {
            code,
            level,
            at: self.at.clone(),
            length: self.length,
            message: message.into(),
            help: help.into(),
        });
    }
}

/// A value and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Found<T> {
    /// The value.
    pub value: T,
    /// Where it stands.
    pub spot: Spot,
}

/// A table and how messages call it.
pub(crate) struct Table<'t, 'd> {
    entries: &'t DeTable<'d>,
    /// Where it starts.
    pub spot: Spot,
    /// Its dotted path; empty for the file's top.
    pub path: String,
}

impl<'t, 'd> Table<'t, 'd> {
    /// Whether `key` stands here, right or wrong.
    pub fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// Every key that stands here.
    pub fn keys(&self) -> Vec<String> {
        self.entries.keys().map(|k| k.get_ref().to_string()).collect()
    }

    /// The dotted path of `key`.
    pub fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }
}

/// One file being read, and the problems met in it.
pub(crate) struct Walk<'a> {
    file: Arc<str>,
    text: &'a str,
    line_starts: Vec<usize>,
    problems: &'a mut Problems,
}

impl<'a> Walk<'a> {
    /// Starts on `text`, the content of `file`.
    pub fn new(file: Arc<str>, text: &'a str, problems: &'a mut Problems) -> Self {
        let line_starts = std::iter::once(0).chain(text.match_indices('\n').map(|(i, _)| i + 1)).collect();
        Self { file, text, line_starts, problems }
    }

    /// The lines and characters of a stretch of bytes; no more than its first
    /// line.
    pub fn spot(&self, span: Range<usize>) -> Spot {
        let start = self.text.floor_char_boundary(span.start);
        let line = self.line_starts.partition_point(|&s| s <= start).max(1);
        let line_start = self.line_starts.get(line - 1).copied().unwrap_or_default();
        let line_end = self.line_starts.get(line).map_or(self.text.len(), |next| next - 1);
        let end = self.text.floor_char_boundary(span.end.min(line_end).max(start));
        let characters =
            |from: usize, to: usize| self.text.get(from..to).map_or(0, |part| part.chars().count());
        let at = Origin::new(self.file.clone(), line, characters(line_start, start) + 1);
        Spot { at, length: characters(start, end) }
    }

    /// Adds an error at `spot`.
    pub fn error(
        &mut self,
        code: &'static str,
        spot: &Spot,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        spot.report(self.problems, Level::Error, code, message, help);
    }

    /// Reports what is not TOML; what could be read in spite of it is walked
    /// all the same.
    pub fn syntax(&mut self, errors: &[toml::de::Error]) {
        for e in errors.iter().take(MOST_SYNTAX_ERRORS) {
            let spot = self.spot(e.span().unwrap_or(0..0));
            let what = e.message().lines().next().unwrap_or("it cannot be read");
            self.error(
                "toml-syntax",
                &spot,
                format!("not TOML: {what}"),
                "Write one key = value a line, words between \" and \"; a table starts with its name in [ ].",
            );
        }
        let more = errors.len().saturating_sub(MOST_SYNTAX_ERRORS);
        if more > 0 {
            let spot = Spot { at: Origin::whole(self.file.clone()), length: 0 };
            let message = format!("{more} more places are not TOML");
            self.error(
                "toml-syntax-more",
                &spot,
                message,
                "Is this the right file? Mend the first places first.",
            );
        }
    }

    /// The file's top table.
    pub fn top<'t, 'd>(&self, entries: &'t DeTable<'d>) -> Table<'t, 'd> {
        let spot = Spot { at: Origin::whole(self.file.clone()), length: 0 };
        Table { entries, spot, path: String::new() }
    }

    /// Reports every key of `table` that is not in `known`.
    pub fn refuse_other_keys(&mut self, table: &Table<'_, '_>, known: &[&str]) {
        for key in table.entries.keys().filter(|k| !known.contains(&k.get_ref().as_ref())) {
            let spot = self.spot(key.span());
            let name = key.get_ref().as_ref();
            let near = suggestion(name, known.iter().copied());
            let help = format!("{near}What may stand here: {}.", known.join(", "));
            self.error("unknown-key", &spot, format!("unknown key {}", table.path_of(name)), help);
        }
    }

    /// Reports that `key` is missing, if it is.
    pub fn need(&mut self, table: &Table<'_, '_>, key: &str, example: &str) {
        if !table.has(key) {
            let called = if table.path.is_empty() { "the file" } else { &table.path };
            let message = format!("{called} has no {key}");
            let spot = table.spot.clone();
            self.error("missing-key", &spot, message, format!("Add {key} = {example}."));
        }
    }

    /// A table under `key`.
    pub fn table<'t, 'd>(&mut self, table: &Table<'t, 'd>, key: &str) -> Option<Table<'t, 'd>> {
        let (name, value) = table.entries.get_key_value(key)?;
        self.as_table(table, name, value)
    }

    /// Every table under `table`, with its name and the spot of the name.
    pub fn tables<'t, 'd>(&mut self, table: &Table<'t, 'd>) -> Vec<(Found<String>, Table<'t, 'd>)> {
        let entries = table.entries;
        entries
            .iter()
            .filter_map(|(name, value)| {
                let inner = self.as_table(table, name, value)?;
                Some((Found { value: name.get_ref().to_string(), spot: self.spot(name.span()) }, inner))
            })
            .collect()
    }

    fn as_table<'t, 'd>(
        &mut self,
        table: &Table<'t, 'd>,
        name: &Spanned<DeString<'d>>,
        value: &'t Spanned<DeValue<'d>>,
    ) -> Option<Table<'t, 'd>> {
        let path = table.path_of(name.get_ref());
        match value.get_ref() {
            DeValue::Table(entries) => Some(Table { entries, spot: self.spot(name.span()), path }),
            other => {
                self.wrong_type(&path, value.span(), other, "a table", &format!("a table: [{path}]"));
                None
            }
        }
    }

    /// Words under `key`; empty words are refused.
    pub fn text(&mut self, table: &Table<'_, '_>, key: &str) -> Option<Found<String>> {
        let value = table.entries.get(key)?;
        self.as_text(&table.path_of(key), value)
    }

    fn as_text(&mut self, path: &str, value: &Spanned<DeValue<'_>>) -> Option<Found<String>> {
        let spot = self.spot(value.span());
        match value.get_ref() {
            DeValue::String(words) if words.trim().is_empty() => {
                let help =
                    "Say it in words between \" and \", or leave the key out where it may be left out.";
                self.error("empty-text", &spot, format!("{path} is empty"), help);
                None
            }
            DeValue::String(words) => Some(Found { value: words.trim().to_owned(), spot }),
            other => {
                self.wrong_type(path, value.span(), other, "words", "words between \" and \"");
                None
            }
        }
    }

    /// Whether a table stands under `key`.
    pub fn holds_table(&self, table: &Table<'_, '_>, key: &str) -> bool {
        table.entries.get(key).is_some_and(|v| matches!(v.get_ref(), DeValue::Table(_)))
    }

    /// Where the name of `key` stands.
    pub fn spot_of(&self, table: &Table<'_, '_>, key: &str) -> Spot {
        table
            .entries
            .get_key_value(key)
            .map_or_else(|| table.spot.clone(), |(name, _)| self.spot(name.span()))
    }

    /// A list of words under `key`, each with where it stands.
    pub fn found_texts(&mut self, table: &Table<'_, '_>, key: &str) -> Option<Vec<Found<String>>> {
        let path = table.path_of(key);
        let items = self.list(table, key, "words", "a list of words: [\"…\", \"…\"]")?;
        Some(items.iter().filter_map(|v| self.as_text(&path, v)).collect())
    }

    /// A list of finite numbers under `key`.
    pub fn numbers(&mut self, table: &Table<'_, '_>, key: &str) -> Option<Vec<Found<f64>>> {
        let path = table.path_of(key);
        let items = self.list(table, key, "numbers", "a list of numbers: [0, 60]")?;
        Some(items.iter().filter_map(|v| self.as_number(&path, v)).collect())
    }

    /// A list of words under `key`.
    pub fn texts(&mut self, table: &Table<'_, '_>, key: &str) -> Option<Vec<String>> {
        let path = table.path_of(key);
        let items = self.list(table, key, "words", "a list of words: [\"…\", \"…\"]")?;
        Some(items.iter().filter_map(|v| self.as_text(&path, v)).map(|f| f.value).collect())
    }

    /// A list of whole numbers under `key`.
    pub fn whole_numbers(&mut self, table: &Table<'_, '_>, key: &str) -> Option<Vec<Found<i64>>> {
        let path = table.path_of(key);
        let items = self.list(table, key, "whole numbers", "a list of whole numbers: [11, 12, 1]")?;
        let mut numbers = Vec::new();
        for value in items {
            match value.get_ref() {
                DeValue::Integer(n) => {
                    let number = i64::from_str_radix(n.as_str(), n.radix()).unwrap_or(i64::MAX);
                    numbers.push(Found { value: number, spot: self.spot(value.span()) });
                }
                other => self.wrong_type(&path, value.span(), other, "a whole number", "a whole number"),
            }
        }
        Some(numbers)
    }

    /// A list of tables under `key`, each with its path.
    pub fn list_of_tables<'t, 'd>(
        &mut self,
        table: &Table<'t, 'd>,
        key: &str,
        example: &str,
    ) -> Option<Vec<Table<'t, 'd>>> {
        let path = table.path_of(key);
        let items = self.list(table, key, "tables", example)?;
        let mut tables = Vec::new();
        for value in items {
            match value.get_ref() {
                DeValue::Table(entries) => {
                    tables.push(Table { entries, spot: self.spot(value.span()), path: path.clone() });
                }
                other => self.wrong_type(&path, value.span(), other, "a table", example),
            }
        }
        Some(tables)
    }

    fn list<'t, 'd>(
        &mut self,
        table: &Table<'t, 'd>,
        key: &str,
        of: &str,
        example: &str,
    ) -> Option<&'t [Spanned<DeValue<'d>>]> {
        let value = table.entries.get(key)?;
        match value.get_ref() {
            DeValue::Array(items) => Some(items),
            other => {
                self.wrong_type(
                    &table.path_of(key),
                    value.span(),
                    other,
                    &format!("a list of {of}"),
                    example,
                );
                None
            }
        }
    }

    /// Yes or no under `key`.
    pub fn yes_no(&mut self, table: &Table<'_, '_>, key: &str) -> Option<Found<bool>> {
        let value = table.entries.get(key)?;
        match value.get_ref() {
            DeValue::Boolean(yes) => Some(Found { value: *yes, spot: self.spot(value.span()) }),
            other => {
                self.wrong_type(&table.path_of(key), value.span(), other, "true or false", "true or false");
                None
            }
        }
    }

    /// A finite number under `key`.
    pub fn number(&mut self, table: &Table<'_, '_>, key: &str) -> Option<Found<f64>> {
        let value = table.entries.get(key)?;
        self.as_number(&table.path_of(key), value)
    }

    fn as_number(&mut self, path: &str, value: &Spanned<DeValue<'_>>) -> Option<Found<f64>> {
        let spot = self.spot(value.span());
        let number = match value.get_ref() {
            DeValue::Integer(n) => i128::from_str_radix(n.as_str(), n.radix()).ok().map(|i| i as f64),
            DeValue::Float(n) => n.as_str().parse().ok(),
            other => {
                self.wrong_type(path, value.span(), other, "a number", "a number without \" and \"");
                return None;
            }
        };
        match number.filter(|n: &f64| n.is_finite()) {
            Some(value) => Some(Found { value, spot }),
            None => {
                let message = format!("{path} is not a finite number");
                self.error("not-finite", &spot, message, "Write a number such as 15 or 0.5.");
                None
            }
        }
    }

    fn wrong_type(
        &mut self,
        path: &str,
        span: Range<usize>,
        found: &DeValue<'_>,
        expected: &str,
        help: &str,
    ) {
        let spot = self.spot(span);
        let found = match found {
            DeValue::String(_) => "words",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let message = format!("{path} is {found}, where {expected} is expected");
        self.error("wrong-type", &spot, message, format!("Write {help}."));
    }

    /// One of the words of `choices` under `key`.
    pub fn choice<T>(
        &mut self,
        table: &Table<'_, '_>,
        key: &str,
        code: &'static str,
        choices: &[&str],
        choose: impl Fn(&str) -> Option<T>,
    ) -> Option<Found<T>> {
        let word = self.text(table, key)?;
        if let Some(value) = choose(&word.value) {
            return Some(Found { value, spot: word.spot });
        }
        let near = suggestion(&word.value, choices.iter().copied());
        let help = format!("{near}Known here: {}.", choices.join(", "));
        let message = format!("\"{}\" is no {key} known here", word.value);
        self.error(code, &word.spot, message, help);
        None
    }
}

/// Longest name for which a suggestion is looked for, bytes.
const GREATEST_NAME: usize = 100;

/// The name that was meant, if any is near.
fn closest<'n>(name: &str, names: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    if name.len() <= GREATEST_NAME { nearest_word(name, names) } else { None }
}

/// A sentence that suggests the nearest of `names`, or nothing.
pub(crate) fn suggestion<'n>(name: &str, names: impl Iterator<Item = &'n str>) -> String {
    closest(name, names).map_or_else(String::new, |near| format!("Did you mean {near}? "))
}
