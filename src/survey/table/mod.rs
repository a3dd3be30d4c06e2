//! What does this table say of wells or hazards? Reads the CSV files people
//! have: comma, semicolon or tab; decimal points or commas; dates in the order
//! stated or proved; feet, metres and the like turned into the unit of the
//! key; other people's headings by name or by the survey's own mapping.
//!
//! A row that cannot be read is left out with its place and the reason, and
//! never taken for one that says nothing; the rest goes on.

pub(super) mod date;
mod decode;
mod delimiter;
mod headings;
mod known;
mod mapped;
mod names;
pub(super) mod number;
mod records;
mod rows;
pub(super) mod sheet;
#[cfg(test)]
mod tests;
pub(super) mod unit_words;
pub(super) mod values;

use std::sync::Arc;

pub use decode::decode;
pub(super) use records::read_sheet;

use self::delimiter::layout;
use self::rows::{Fault, Field, rows};
use self::sheet::{Heading, Is, Line, Sheet, Written};
use super::spots::Spots;
use super::{LeftOut, RawRecord, RecordKind, TableFile};
use crate::diag::{Level, Origin, Problem, Problems};

/// What a table or a collection of features held.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TableRead {
    /// Its records, in the order of the file. What the survey says of every
    /// row ([`TableFile::fill`]) is not in them yet.
    pub records: Vec<RawRecord>,
    /// Its rows or features that could not be used.
    pub left_out: Vec<LeftOut>,
}

/// Reads a table.
///
/// `text` is what [`decode`] made of the file, `name` the file as origins name
/// it. Each row that is left out is in `left_out` and has a
/// [`Level::LeftOut`] problem at the cell that is to blame. Numbers come back
/// finite and in the unit of their key; bounds are not checked here.
pub fn read_table(
    file: &TableFile,
    text: &str,
    name: &Arc<str>,
    kind: RecordKind,
    problems: &mut Problems,
) -> TableRead {
    let spots = Spots::new(name, text);
    let Some((sheet, left_out)) = sheet(&spots, text, name, problems) else { return TableRead::default() };
    let mut read = read_sheet(&sheet, file, kind, problems);
    read.left_out.extend(left_out);
    read.left_out.sort_by(|a, b| a.from.cmp(&b.from));
    read
}

/// The headings and lines of a table, before anyone asks what they mean, and
/// the rows that could not be used; `None`, and an error, for an empty file.
pub(super) fn sheet<'t>(
    spots: &'t Spots<'t>,
    text: &str,
    name: &Arc<str>,
    problems: &mut Problems,
) -> Option<(Sheet<'t>, Vec<LeftOut>)> {
    let layout = layout(text);
    let mut all = rows(text, layout.from, layout.delimiter, usize::MAX).into_iter();
    let Some(header) = all.next() else {
        problems.error(
            "empty-file",
            Origin::whole(name.clone()),
            "the file is empty",
            "A table has a row of headings and a row for each record.",
        );
        return None;
    };
    let first = header.first().map_or(0, |f| f.start);
    let needed = header.iter().rposition(|f| !f.text.is_empty()).map_or(0, |last| last + 1);
    let mut body =
        Body { spots, needed, width: header.len(), problems, left_out: Vec::new(), blank: Vec::new() };
    body.check_header(&header);
    let lines: Vec<Line> = all.enumerate().filter_map(|(i, row)| body.line(row, i == 0)).collect();
    body.note_blank();
    let Body { left_out, .. } = body;
    if lines.is_empty() && left_out.is_empty() {
        problems.add(
            Level::Warning,
            "no-rows",
            Origin::whole(name.clone()),
            "the table has headings and no rows",
            "Check that it is the right file.",
        );
    }
    let headings = header
        .into_iter()
        .map(|f| Heading { at: spots.at(f.start), length: f.length, text: f.text })
        .collect();
    let sheet = Sheet {
        spots,
        top: Origin::new(name.clone(), spots.at(first).line, 0),
        called: "heading",
        headings,
        lines,
        shapes: false,
        commas_free: layout.delimiter != b',',
    };
    Some((sheet, left_out))
}

/// The rows under the headings, as they are looked at one by one.
struct Body<'a> {
    spots: &'a Spots<'a>,
    /// Cells under a heading, blank ones at the end of the headings aside.
    needed: usize,
    /// Cells of the row of headings.
    width: usize,
    problems: &'a mut Problems,
    left_out: Vec<LeftOut>,
    blank: Vec<Origin>,
}

impl Body<'_> {
    fn check_header(&mut self, header: &[Field]) {
        if let Some(field) = header.iter().find(|f| f.fault.is_some()) {
            self.problems.push(Problem {
                code: "stray-quote",
                level: Level::Error,
                at: self.spots.at(field.start),
                length: field.length,
                message: "a quote in the headings does not close where the heading ends".to_owned(),
                help: "Take the quote out, or double it inside a quoted heading.".to_owned(),
            });
        }
    }

    /// The row as a line of a sheet, unless it is blank, holds tags or cannot
    /// be used.
    fn line(&mut self, row: Vec<Field>, first: bool) -> Option<Line> {
        let from = self.spots.at(row.first().map_or(0, |f| f.start));
        let from = Origin::new(from.file, from.line, 1);
        if row.iter().all(|f| f.text.is_empty() && f.fault.is_none()) {
            self.blank.push(from);
            return None;
        }
        if first && is_tags(&row) {
            self.problems.add(
                Level::Note,
                "tag-row",
                from,
                "a row of tags (#…) under the headings was passed over",
                "",
            );
            return None;
        }
        if let Some((field, fault)) = row.iter().find_map(|f| Some((f, f.fault?))) {
            let (code, message, help) = match fault {
                Fault::Unclosed => (
                    "unclosed-quote",
                    "a quote opens here and never closes, so all rows below were lost in it",
                    "Close the quote, or take it out.",
                ),
                Fault::AfterQuote => (
                    "stray-quote",
                    "text follows a closing quote; rows may have been lost between two stray quotes",
                    "Take the quote out, or double it inside a quoted cell.",
                ),
            };
            self.leave_out(from, code, field, message.to_owned(), help);
            return None;
        }
        let extra = row.iter().skip(self.width).find(|f| !f.text.is_empty());
        match (extra, row.last()) {
            (Some(field), _) => {
                let message = format!("{} cells in a table of {} columns", row.len(), self.width);
                self.leave_out(
                    from,
                    "long-row",
                    field,
                    message,
                    "Put quotes around a cell that holds the separator.",
                );
                None
            }
            (None, Some(last)) if row.len() < self.needed => {
                let message = format!("{} cells in a table of {} columns", row.len(), self.width);
                self.leave_out(
                    from,
                    "short-row",
                    last,
                    message,
                    "Write every cell, blank where nothing is known.",
                );
                None
            }
            _ => Some(Line {
                from,
                cells: row.into_iter().map(written).enumerate().collect(),
                given: Vec::new(),
                shape: None,
            }),
        }
    }

    fn leave_out(&mut self, from: Origin, code: &'static str, field: &Field, message: String, help: &str) {
        self.left_out.push(LeftOut { from, why: message.clone() });
        self.problems.push(Problem {
            code,
            level: Level::LeftOut,
            at: self.spots.at(field.start),
            length: field.length,
            message,
            help: help.to_owned(),
        });
    }

    fn note_blank(&mut self) {
        let Some(first) = self.blank.first() else { return };
        let message = match self.blank.len() {
            1 => "a row without anything in it was passed over".to_owned(),
            n => format!("{n} rows without anything in them were passed over, the first here"),
        };
        self.problems.add(Level::Note, "blank-rows", first.clone(), message, "");
    }
}

fn written(field: Field) -> Written {
    Written { text: field.text, is: Is::Text, start: field.start, length: field.length }
}

/// A row of tags such as `#geo+lat`, as some humanitarian tables carry under
/// their headings.
fn is_tags(row: &[Field]) -> bool {
    row.iter().all(|f| f.text.is_empty() || f.text.starts_with('#'))
}
