//! `[[hazard]]` and `[[well]]` of a survey, and its `[peg]`'s place, as
//! records like those of tables and shapes.

use std::collections::BTreeMap;

use super::RawRecord;
use super::keys::{Key, LAYER_KEYS, POSITION_KEYS, RecordKind};
use super::toml_table::{Table, no_advice};
use super::toml_value::Values;
use crate::diag::Problems;

/// The tables of `[[hazard]]` or `[[well]]` as records.
pub(crate) fn records(top: &mut Table<'_>, kind: RecordKind, problems: &mut Problems) -> Vec<RawRecord> {
    let word = kind.word();
    let help = format!("Write [[{word}]] in double brackets, once for each {word}.");
    let each = top.list(word, &help, problems);
    let name = format!("[[{word}]]");
    let tables: Vec<_> =
        each.into_iter().filter_map(|value| Table::from_value(top.toml(), &name, value, problems)).collect();
    tables.into_iter().map(|table| record(table, kind, problems)).collect()
}

fn record(mut table: Table<'_>, kind: RecordKind, problems: &mut Problems) -> RawRecord {
    let mut record = empty(&table);
    let (grouped, plain): (Vec<&Key>, Vec<&Key>) = kind.own_keys().iter().partition(|k| k.name.contains('.'));
    take(&mut table, plain, &mut record, problems);
    place(&mut table, &mut record, problems);
    if kind == RecordKind::Well {
        if let Some(mut quality) = table.table("quality", problems) {
            take(&mut quality, grouped, &mut record, problems);
            quality.finish(no_advice, problems);
        }
        let help = "Write log = [ { to_m = 2.0, material = \"sandy clay\" }, … ], from the top down.";
        for value in table.list("log", help, problems) {
            let Some(mut layer) = Table::from_value(table.toml(), "log", value, problems) else { continue };
            let mut raw = empty(&layer);
            take(&mut layer, LAYER_KEYS.iter().collect(), &mut raw, problems);
            layer.finish(no_advice, problems);
            record.log.push(raw);
        }
    }
    table.finish(|key| group_of(key, kind), problems);
    record
}

/// The rows of a list within a table, each with the keys of its kind alone.
pub(crate) fn rows(
    table: &mut Table<'_>,
    list: &str,
    help: &str,
    kind: RecordKind,
    problems: &mut Problems,
) -> Vec<RawRecord> {
    let each = table.list(list, help, problems);
    let tables: Vec<_> =
        each.into_iter().filter_map(|value| Table::from_value(table.toml(), list, value, problems)).collect();
    let row = |mut row: Table<'_>| {
        let mut record = empty(&row);
        take(&mut row, kind.own_keys().iter().collect(), &mut record, problems);
        row.finish(no_advice, problems);
        record
    };
    tables.into_iter().map(row).collect()
}

/// `quality = { … }` of the table, as the record of a well has it.
pub(crate) fn quality(table: &mut Table<'_>, problems: &mut Problems) -> RawRecord {
    let mut record = empty(table);
    if let Some(mut inner) = table.table("quality", problems) {
        let keys = RecordKind::Well.own_keys().iter().filter(|k| k.name.starts_with("quality."));
        take(&mut inner, keys.collect(), &mut record, problems);
        inner.finish(no_advice, problems);
    }
    record
}

/// `at = { … }` and `from_peg = { … }`.
fn place(table: &mut Table<'_>, record: &mut RawRecord, problems: &mut Problems) {
    let (taped, stated): (Vec<&Key>, Vec<&Key>) = POSITION_KEYS.iter().partition(|k| k.name.contains('.'));
    for (group, keys) in [("at", stated), ("from_peg", taped)] {
        if let Some(mut inner) = table.table(group, problems) {
            take(&mut inner, keys, record, problems);
            inner.finish(|key| group_of(key, RecordKind::Hazard).filter(|_| group == "at"), problems);
        }
    }
}

/// The place of the peg, which cannot be taken from itself.
pub(crate) fn peg_place(table: &mut Table<'_>, problems: &mut Problems) -> Option<RawRecord> {
    let mut at = table.table("at", problems)?;
    let mut record = empty(&at);
    let stated = POSITION_KEYS.iter().filter(|k| !k.name.contains('.')).collect();
    take(&mut at, stated, &mut record, problems);
    at.finish(no_advice, problems);
    Some(record)
}

/// A corner of the plot: a place in coordinates, or taken from the peg.
pub(crate) fn corner(table: &mut Table<'_>, problems: &mut Problems) -> RawRecord {
    let mut record = empty(table);
    let taped = table.has("bearing_deg") || table.has("distance_m");
    let keys = POSITION_KEYS.iter().filter(|k| k.name.contains('.') == taped).collect();
    take(table, keys, &mut record, problems);
    record
}

fn empty(table: &Table<'_>) -> RawRecord {
    RawRecord { from: table.origin(), cells: BTreeMap::new(), shape: None, log: Vec::new() }
}

fn take(table: &mut Table<'_>, keys: Vec<&Key>, record: &mut RawRecord, problems: &mut Problems) {
    for key in keys {
        let Some(value) = table.as_written(key.bare()) else { continue };
        let cell = Values { toml: table.toml(), problems }.cell(key.bare(), key.form, value);
        if let Some(cell) = cell {
            record.cells.insert(key.name.to_owned(), cell);
        }
    }
}

/// Where a key belongs that stands in the wrong table.
fn group_of(key: &str, kind: RecordKind) -> Option<String> {
    let known = kind.key(key)?;
    let group = match known.name.split_once('.') {
        Some((group, _)) => group,
        None if POSITION_KEYS.iter().any(|k| k.name == known.name) => "at",
        None => return None,
    };
    Some(format!("Write it inside {group} = {{ … }}."))
}
