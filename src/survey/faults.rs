//! What is wrong with records, and how much it matters where they were
//! written: a fault in the survey's own file is an error, for its author is
//! at hand to mend it; in other files it costs the value or the record.

use std::collections::BTreeMap;

use super::Cell;
use crate::diag::{Level, Origin, Problem, Problems};

/// Where records were written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrittenIn {
    /// In the survey's own TOML.
    Survey,
    /// In a table or shapes beside it.
    File,
}

/// One thing wrong with a record or a value of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Fault {
    pub code: &'static str,
    pub at: Origin,
    pub length: usize,
    pub message: String,
    pub help: String,
}

impl Fault {
    /// A fault of a record as a whole.
    pub fn of(at: &Origin, code: &'static str, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { code, at: at.clone(), length: 0, message: message.into(), help: help.into() }
    }

    /// A fault of one value.
    pub fn in_cell(
        cell: &Cell,
        code: &'static str,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self { length: cell.length, ..Self::of(&cell.at, code, message, help) }
    }
}

/// The faults met in the records of one file.
#[derive(Debug)]
pub(crate) struct Faults {
    written_in: WrittenIn,
    problems: Vec<Problem>,
    /// Warnings already given, with their place above and how often they
    /// were met: a table of ten thousand rows may say the same thing of each.
    given: BTreeMap<(&'static str, String), (usize, usize)>,
}

impl Faults {
    pub fn new(written_in: WrittenIn) -> Self {
        Self { written_in, problems: Vec::new(), given: BTreeMap::new() }
    }

    /// The record cannot be used.
    pub fn leaves_out(&mut self, fault: Fault) {
        let level = match self.written_in {
            WrittenIn::Survey => Level::Error,
            WrittenIn::File => Level::LeftOut,
        };
        self.push(level, fault);
    }

    /// The value cannot be used and counts as not observed; the record goes
    /// on.
    pub fn drops_value(&mut self, fault: Fault) {
        match self.written_in {
            WrittenIn::Survey => self.push(Level::Error, fault),
            WrittenIn::File => self.warns(fault),
        }
    }

    /// The record is used, but a person should look.
    pub fn warns(&mut self, fault: Fault) {
        let next = self.problems.len();
        let given = self.given.entry((fault.code, fault.message.clone())).or_insert((next, 0));
        given.1 += 1;
        if given.1 == 1 {
            self.push(Level::Warning, fault);
        }
    }

    fn push(&mut self, level: Level, fault: Fault) {
        let Fault { code, at, length, message, help } = fault;
        self.problems.push(Problem { code, level, at, length, message, help });
    }

    /// Hands all of them over; a warning met several times says so once.
    pub fn give(mut self, problems: &mut Problems) {
        for ((_, message), (place, times)) in self.given {
            if let (true, Some(problem)) = (times > 1, self.problems.get_mut(place)) {
                let more = times - 1;
                let places = if more == 1 { "place" } else { "places" };
                problem.message = format!("{message} (here and in {more} more {places})");
            }
        }
        for problem in self.problems {
            problems.push(problem);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_warning_met_in_many_rows_is_given_once() {
        let mut faults = Faults::new(WrittenIn::File);
        for line in 2..5 {
            faults.warns(Fault::of(&Origin::new("a.csv", line, 1), "no-datum", "no datum", ""));
        }
        let mut problems = Problems::new();
        faults.give(&mut problems);
        let all: Vec<_> = problems.iter().collect();
        assert_eq!(all.len(), 1);
        assert_eq!(all[0].at.line, 2);
        assert_eq!(all[0].message, "no datum (here and in 2 more places)");
    }
}
