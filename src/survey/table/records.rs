//! From a sheet to records: settles for each column how its numbers and dates
//! are written, reads every line, leaves out what cannot be read and keeps
//! repeated lines once.

use std::collections::BTreeMap;

use super::super::keys::{KeyForm, WRITTEN_AS};
use super::super::{Cell, CellValue, DateOrder, DecimalMark, LeftOut, RawRecord, RecordKind, TableFile};
use super::TableRead;
use super::date::{self, OrderShown};
use super::headings::{Column, columns, quoted};
use super::number::Shown;
use super::sheet::{Is, Line, Sheet, Written};
use super::values::{DATE_ORDER, Fault, Reading, words};
use crate::diag::{Level, Origin, Problem, Problems};

/// Reads what the lines of `sheet` say of each `kind` of thing.
pub(in crate::survey) fn read_sheet(
    sheet: &Sheet<'_>,
    file: &TableFile,
    kind: RecordKind,
    problems: &mut Problems,
) -> TableRead {
    let columns = columns(sheet, file, kind, problems);
    if columns.is_empty() && !sheet.shapes {
        let keys: Vec<&str> = kind.keys().map(|k| k.name).collect();
        problems.error(
            "no-known-heading",
            sheet.top.clone(),
            format!("none of its headings is known for a {}", kind.word()),
            format!("The first row holds the headings: {}; others can be mapped.", keys.join(", ")),
        );
        return TableRead::default();
    }
    let words = words(file);
    let readings = readings(sheet, &columns, file, &words, problems);
    let mut read = TableRead::default();
    let mut seen: BTreeMap<String, Origin> = BTreeMap::new();
    for line in &sheet.lines {
        match record(sheet, line, &columns, &readings, problems) {
            Err(why) => read.left_out.push(LeftOut { from: line.from.clone(), why }),
            Ok(record) => match first_like(&mut seen, &record) {
                None => read.records.push(record),
                Some(first) => problems.add(
                    Level::Warning,
                    "repeated-row",
                    record.from.clone(),
                    format!("says the same as {}; kept once", spot(&first, &record.from)),
                    "If they are two, say what tells them apart, such as a name.",
                ),
            },
        }
    }
    read
}

/// A spot above, in words; with its column where that alone tells them apart.
fn spot(first: &Origin, second: &Origin) -> String {
    match first.line == second.line {
        true => format!("line {}, column {}", first.line, first.column),
        false => format!("line {}", first.line),
    }
}

/// How each column and the one subtracted from it are read.
struct Pair<'f> {
    own: Reading<'f>,
    subtracted: Option<(usize, Reading<'f>)>,
}

fn readings<'f>(
    sheet: &Sheet<'_>,
    columns: &[Column],
    file: &'f TableFile,
    words: &'f BTreeMap<String, String>,
    problems: &mut Problems,
) -> Vec<Pair<'f>> {
    let mut pairs: Vec<Pair<'f>> = columns
        .iter()
        .map(|c| {
            let own = Reading::new(c, file, words);
            let subtracted = c.subtract.map(|(index, factor)| (index, own.subtracted(file, factor)));
            Pair { own, subtracted }
        })
        .collect();
    let shown: Vec<(Shown, Shown)> = columns
        .iter()
        .zip(&pairs)
        .map(|(c, p)| {
            let of = |index, reading: &Reading<'_>| {
                Shown::by(texts(sheet, index, reading).map(|w| digits(&w.text)))
            };
            let own = if c.key.form.unit().is_some() { of(c.index, &p.own) } else { Shown::default() };
            (own, p.subtracted.as_ref().map_or_else(Shown::default, |(i, r)| of(*i, r)))
        })
        .collect();
    let table = shown.iter().fold(Shown::default(), |all, (a, b)| all.and(*a).and(*b));
    let mark = |column: Shown| match &file.decimal {
        Some(stated) => Some(stated.value),
        None if !sheet.commas_free => Some(DecimalMark::Point),
        None => column.mark(table),
    };
    for ((column, pair), (own, subtracted)) in columns.iter().zip(&mut pairs).zip(&shown) {
        pair.own.mark = mark(*own);
        if let Some((_, reading)) = &mut pair.subtracted {
            reading.mark = mark(*subtracted);
        }
        if column.key.form == KeyForm::Date && pair.own.order.is_none() {
            pair.own.order = order(sheet, file, column, &pair.own, problems);
        }
    }
    pairs
}

/// The values of a column that are not missing.
fn texts<'s>(
    sheet: &'s Sheet<'_>,
    index: usize,
    reading: &'s Reading<'_>,
) -> impl Iterator<Item = &'s Written> {
    let cells = sheet.lines.iter().filter_map(move |l| l.cell(index));
    cells.filter(|w| w.is == Is::Text && !reading.is_missing(w))
}

/// The number in a text that may say "less than" or end in a unit.
fn digits(text: &str) -> &str {
    text.trim_start_matches(['<', ' ']).trim_end_matches(|c: char| !c.is_ascii_digit())
}

/// The order of dates that a column shows, or a question about it.
fn order(
    sheet: &Sheet<'_>,
    file: &TableFile,
    column: &Column,
    reading: &Reading<'_>,
    problems: &mut Problems,
) -> Option<DateOrder> {
    let dates = || texts(sheet, column.index, reading).map(|w| (w, date::written(&w.text)));
    let shown = OrderShown::by(dates().map(|(_, day)| day));
    if let Some(order) = shown.order() {
        return Some(order);
    }
    let open = dates().find(|(_, day)| day.is_open());
    if let Some((written, _)) = open {
        problems.push(Problem {
            code: DATE_ORDER,
            level: Level::Error,
            at: sheet.spots.at(written.start),
            length: written.length,
            message: format!("{} may be two days: {}", quoted(&written.text), shown.in_words()),
            help: format!("State dates = \"day first\" or dates = \"month first\" at {}.", file.from),
        });
    }
    None
}

fn record(
    sheet: &Sheet<'_>,
    line: &Line,
    columns: &[Column],
    readings: &[Pair<'_>],
    problems: &mut Problems,
) -> Result<RawRecord, String> {
    let mut cells = BTreeMap::new();
    let mut why = None;
    for (column, pair) in columns.iter().zip(readings) {
        let Some(written) = line.cell(column.index) else { continue };
        let other = pair.subtracted.as_ref().map(|(i, r)| (line.cell(*i), r));
        match value(written, pair, other) {
            Ok(None) => {}
            Ok(Some(value)) => {
                let cell = |value| Cell { value, at: sheet.spots.at(written.start), length: written.length };
                if column.key.name == "kind" && pair.own.in_our_words(written).is_some() {
                    let theirs = written.text.trim().to_owned();
                    cells.insert(WRITTEN_AS.to_owned(), cell(CellValue::Text(theirs)));
                }
                cells.insert(column.key.name.to_owned(), cell(value));
            }
            Err((at, fault)) => {
                why.get_or_insert_with(|| fault.message.clone());
                if fault.code == DATE_ORDER {
                    continue;
                }
                problems.push(Problem {
                    code: fault.code,
                    level: Level::LeftOut,
                    at: sheet.spots.at(at.start),
                    length: at.length,
                    message: fault.message,
                    help: fault.help,
                });
            }
        }
    }
    for (key, cell) in &line.given {
        cells.entry((*key).to_owned()).or_insert_with(|| cell.clone());
    }
    match why {
        Some(why) => Err(why),
        None => Ok(RawRecord { from: line.from.clone(), cells, shape: line.shape.clone(), log: Vec::new() }),
    }
}

/// The value of a cell less that of the column to be subtracted, without
/// which there is none; or the cell at fault.
fn value<'w>(
    written: &'w Written,
    pair: &Pair<'_>,
    other: Option<(Option<&'w Written>, &Reading<'_>)>,
) -> Result<Option<CellValue>, (&'w Written, Fault)> {
    let own = pair.own.value(written).map_err(|fault| (written, fault))?;
    let Some((other, reading)) = other else { return Ok(own) };
    let other = match other {
        Some(other) => reading.value(other).map_err(|fault| (other, fault))?,
        None => None,
    };
    Ok(match (own, other) {
        (Some(CellValue::Number(a)), Some(CellValue::Number(b))) => Some(CellValue::Number(a - b)),
        _ => None,
    })
}

/// Where a record that says the same in every key was met first; nothing for
/// the first of them, nor for one that says nothing.
fn first_like(seen: &mut BTreeMap<String, Origin>, record: &RawRecord) -> Option<Origin> {
    if record.cells.is_empty() && record.shape.is_none() {
        return None;
    }
    let values: Vec<_> = record.cells.iter().map(|(key, cell)| (key, &cell.value)).collect();
    let said = format!("{values:?} {:?}", record.shape);
    match seen.get(&said) {
        Some(first) => Some(first.clone()),
        None => {
            seen.insert(said, record.from.clone());
            None
        }
    }
}
