//! What was fitted, as data. The field names are a contract: add, do not
//! rename.

use serde::Serialize;

use crate::region::LogEnd;
use crate::tune::records::Skipped;

/// A file that went in: its name without its folders, and the first 16
/// hexadecimal digits of the SHA-256 of its content.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct File {
    /// The name.
    pub name: String,
    /// The hash.
    pub hash: String,
}

/// Everything that was fitted to a table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fit {
    /// The program's version.
    pub forebore: &'static str,
    /// The records.
    pub records: File,
    /// The map.
    pub map: File,
    /// The setting it is laid over: its id, title, hash.
    pub region: Base,
    /// Side of the squares whose wells are not counted as independent, metres.
    pub square_m: f64,
    /// What was looked at, one topic after another.
    pub topics: Vec<Topic>,
}

/// The setting a fit is laid over.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Base {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// The hash of its layers.
    pub hash: String,
}

/// What the records say of one thing.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Topic {
    /// Of what.
    pub about: String,
    /// Wells used.
    pub wells: usize,
    /// Squares they stand in.
    pub squares: usize,
    /// Rows not used.
    pub skipped: Vec<Skipped>,
    /// What is proposed.
    pub figures: Vec<Proposed>,
    /// Shares of the setting's expected logs, where they are proposed.
    pub logs: Vec<LogShare>,
    /// What is not proposed, and why.
    pub not_proposed: Vec<NotProposed>,
    /// What to bear in mind.
    pub notes: Vec<String>,
}

/// An interval that holds the true figure nineteen times in twenty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Interval {
    /// The low end.
    pub low: f64,
    /// The high end; `None` where the wells do not say.
    pub high: Option<f64>,
}

impl Interval {
    /// Whether a value lies outside.
    pub fn excludes(&self, value: f64) -> bool {
        value < self.low || self.high.is_some_and(|high| value > high)
    }
}

/// A figure that is proposed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proposed {
    /// The prior.
    pub name: String,
    /// Its unit.
    pub unit: &'static str,
    /// The value.
    pub value: f64,
    /// Its 95 % interval.
    pub interval: Interval,
    /// How both were found.
    pub method: String,
    /// Wells behind it.
    pub wells: usize,
    /// As how many independent wells they count; `None` where the method
    /// itself allows for their nearness.
    pub independent: Option<f64>,
    /// The value in force.
    pub now: Option<f64>,
    /// Where that was set.
    pub now_from: Option<String>,
    /// Whether the two differ by more than chance: the value in force lies
    /// outside the interval.
    pub differs: Option<bool>,
}

/// The share of an expected log.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LogShare {
    /// Its name.
    pub name: String,
    /// Where it refuses every hand method, metres; `None`: it does not.
    pub refuses_m: Option<f64>,
    /// The share proposed, of 1.
    pub share: f64,
    /// Its 95 % interval.
    pub interval: Interval,
    /// The share in force, of 1.
    pub now: f64,
    /// Whether that lies outside.
    pub differs: bool,
    /// Its layers, as in the setting.
    pub layers: Vec<(f64, String)>,
    /// Whether it ends refused.
    pub ends: &'static str,
    /// The source of its layers.
    pub source: String,
    /// The basis of its layers.
    pub basis: &'static str,
}

/// The word of an end.
pub(super) fn end_word(end: LogEnd) -> &'static str {
    match end {
        LogEnd::Soft => "soft",
        LogEnd::Refused => "refused",
    }
}

/// What is not proposed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotProposed {
    /// The priors, or what else.
    pub what: String,
    /// Why.
    pub why: String,
}

impl Topic {
    pub(super) fn not(&mut self, what: &str, why: impl Into<String>) {
        self.not_proposed.push(NotProposed { what: what.to_owned(), why: why.into() });
    }

    /// Whether anything is proposed.
    pub fn proposes(&self) -> bool {
        !(self.figures.is_empty() && self.logs.is_empty())
    }
}
