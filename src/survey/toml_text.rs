//! A survey's TOML as text and as spanned tables, to be walked by hand so
//! that every fault of it is found in one run and points at its place.

use std::ops::Range;
use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use super::spots::Spots;
use crate::diag::{Level, Origin, Problem, Problems};

/// A TOML file.
pub(crate) struct TomlText<'t> {
    text: &'t str,
    spots: Spots<'t>,
}

/// A value with the bytes it covers.
pub(crate) type Spanned<'t> = toml::Spanned<DeValue<'t>>;

impl<'t> TomlText<'t> {
    pub fn new(file: &Arc<str>, text: &'t str) -> Self {
        Self { text, spots: Spots::new(file, text) }
    }

    /// Its tables, as far as they could be made out, and whether anything may
    /// have been lost from them or have come under a wrong heading.
    pub fn parse(&self, problems: &mut Problems) -> (DeTable<'t>, bool) {
        let (table, errors) = DeTable::parse_recoverable(self.text);
        let mut broken = false;
        for error in &errors {
            let span = error.span().unwrap_or(0..0);
            let found = self.text.get(span.clone()).unwrap_or_default();
            let (code, message, help) = match error.message() {
                "duplicate key" => {
                    ("repeated-key", format!("{found} is written twice"), "Keep one of the two.")
                }
                message if message.starts_with("invalid date") || message.starts_with("invalid time") => {
                    let help = "Write a day of the calendar as year, month and day, such as 2026-03-02.";
                    ("bad-date", format!("{found} is no date: {message}"), help)
                }
                message => {
                    broken = true;
                    let help =
                        "Write key = value, one a line, below [table] or [[table]]; texts stand in quotes.";
                    let missing = found.is_empty() && message.starts_with("string values must be quoted");
                    let message = if missing { "a value is missing" } else { message };
                    ("not-toml", message.to_owned(), help)
                }
            };
            self.error(span, code, message, help, problems);
        }
        (table.into_inner(), broken)
    }

    /// The spot where a span starts.
    pub fn at(&self, span: &Range<usize>) -> Origin {
        self.spots.at(span.start)
    }

    /// How many characters of its first line a span covers.
    pub fn length(&self, span: &Range<usize>) -> usize {
        let covered = self.text.get(span.clone()).unwrap_or_default();
        covered.lines().next().unwrap_or_default().chars().count()
    }

    /// Adds an error about a span.
    pub fn error(
        &self,
        span: Range<usize>,
        code: &'static str,
        message: impl Into<String>,
        help: impl Into<String>,
        problems: &mut Problems,
    ) {
        problems.push(Problem {
            code,
            level: Level::Error,
            at: self.at(&span),
            length: self.length(&span),
            message: message.into(),
            help: help.into(),
        });
    }
}
