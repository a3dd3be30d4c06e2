//! One table of a survey's TOML, read key by key; keys that nobody asked for
//! are unknown, and said to be.

use std::ops::Range;

use jiff::civil::Date;
use toml::de::{DeTable, DeValue};

use super::toml_text::{Spanned, TomlText};
use super::toml_value::{Bounds, Values, says_unknown};
use super::words::Word;
use super::{Seen, fold};
use crate::diag::{Origin, Problems};

/// A key with its place and its value.
struct Entry<'t> {
    key: &'t str,
    at: Range<usize>,
    value: &'t Spanned<'t>,
}

/// A table being read.
pub(crate) struct Table<'t> {
    toml: &'t TomlText<'t>,
    /// What messages call it: `[peg]`, `at`, or nothing at the top.
    name: String,
    span: Range<usize>,
    entries: Vec<Entry<'t>>,
    asked: Vec<String>,
}

impl<'t> Table<'t> {
    /// The table as a whole.
    pub fn top(toml: &'t TomlText<'t>, table: &'t DeTable<'t>) -> Self {
        Self::new(toml, "", 0..0, table)
    }

    fn new(toml: &'t TomlText<'t>, name: &str, span: Range<usize>, table: &'t DeTable<'t>) -> Self {
        let entry = |(key, value): (&'t toml::Spanned<_>, &'t Spanned<'t>)| {
            let text: &'t std::borrow::Cow<'t, str> = key.get_ref();
            Entry { key: text.as_ref(), at: key.span(), value }
        };
        let mut entries: Vec<_> = table.iter().map(entry).collect();
        entries.sort_by_key(|e| e.at.start);
        Self { toml, name: name.to_owned(), span, entries, asked: Vec::new() }
    }

    /// A value that is a table.
    pub fn from_value(
        toml: &'t TomlText<'t>,
        name: &str,
        value: &'t Spanned<'t>,
        problems: &mut Problems,
    ) -> Option<Self> {
        match value.get_ref() {
            DeValue::Table(table) => Some(Self::new(toml, name, value.span(), table)),
            _ => {
                let help = format!("Write {name} = {{ key = value, … }}.");
                Values { toml, problems }.wrong(name, value, "a table", &help);
                None
            }
        }
    }

    /// The file it stands in.
    pub fn toml(&self) -> &'t TomlText<'t> {
        self.toml
    }

    /// Where it starts.
    pub fn origin(&self) -> Origin {
        self.toml.at(&self.span)
    }

    /// The bytes of its heading, or of the whole where it stands in braces.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// The value of a key; "unknown" is no value.
    pub fn get(&mut self, key: &str) -> Option<&'t Spanned<'t>> {
        self.as_written(key).filter(|value| !says_unknown(value))
    }

    /// The value of a key, be it "unknown".
    pub fn as_written(&mut self, key: &str) -> Option<&'t Spanned<'t>> {
        self.asked.push(key.to_owned());
        self.entries.iter().find(|e| e.key == key).map(|e| e.value)
    }

    /// Every key with its place and value, all counted as asked for.
    pub fn all(&mut self) -> Vec<(&'t str, Range<usize>, &'t Spanned<'t>)> {
        self.asked = self.entries.iter().map(|e| e.key.to_owned()).collect();
        self.entries.iter().map(|e| (e.key, e.at.clone(), e.value)).collect()
    }

    pub fn text(&mut self, key: &str, problems: &mut Problems) -> Option<Seen<String>> {
        let value = self.get(key)?;
        Values { toml: self.toml, problems }.text(key, value)
    }

    pub fn number(&mut self, key: &str, bounds: Bounds, problems: &mut Problems) -> Option<Seen<f64>> {
        let value = self.get(key)?;
        Values { toml: self.toml, problems }.number(key, value, bounds)
    }

    pub fn date(&mut self, key: &str, problems: &mut Problems) -> Option<Seen<Date>> {
        let value = self.get(key)?;
        Values { toml: self.toml, problems }.date(key, value)
    }

    pub fn yes_no(&mut self, key: &str, problems: &mut Problems) -> Option<Seen<bool>> {
        let value = self.get(key)?;
        Values { toml: self.toml, problems }.yes_no(key, value)
    }

    pub fn word<T: Word>(&mut self, key: &str, problems: &mut Problems) -> Option<Seen<T>> {
        let value = self.get(key)?;
        Values { toml: self.toml, problems }.word(key, value)
    }

    /// A table under a key.
    pub fn table(&mut self, key: &str, problems: &mut Problems) -> Option<Table<'t>> {
        let value = self.get(key)?;
        Table::from_value(self.toml, key, value, problems)
    }

    /// A table of the file's own, whose heading stands in brackets.
    pub fn section(&mut self, key: &str, problems: &mut Problems) -> Option<Table<'t>> {
        let mut section = self.table(key, problems)?;
        section.name = format!("[{key}]");
        Some(section)
    }

    /// Whether the key is there, whatever it says.
    pub fn has(&self, key: &str) -> bool {
        self.entries.iter().any(|e| e.key == key)
    }

    /// The members of a list; an absent one is empty.
    pub fn list(&mut self, key: &str, help: &str, problems: &mut Problems) -> Vec<&'t Spanned<'t>> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let DeValue::Array(list) = value.get_ref() else {
            Values { toml: self.toml, problems }.wrong(key, value, "a list", help);
            return Vec::new();
        };
        list.iter().collect()
    }

    /// Says of every key that was not asked for that it is unknown. `advice`
    /// may know better than a likeness of letters what was meant.
    pub fn finish(self, advice: impl Fn(&str) -> Option<String>, problems: &mut Problems) {
        for entry in &self.entries {
            if self.asked.iter().any(|asked| asked == entry.key) {
                continue;
            }
            let place = if self.name.is_empty() { String::new() } else { format!(" in {}", self.name) };
            let known = self.asked.iter().map(String::as_str);
            let help = advice(entry.key).unwrap_or_else(|| match fold::nearest(entry.key, known) {
                Some(near) => format!("Did you mean {near}?"),
                None => format!("Known here are: {}.", self.asked.join(", ")),
            });
            let message = format!("unknown key {}{place}", entry.key);
            self.toml.error(entry.at.clone(), "unknown-key", message, help, problems);
        }
    }
}

/// No better advice than a likeness of letters.
pub(crate) fn no_advice(_: &str) -> Option<String> {
    None
}
