//! `[files]` of a survey: the tables and shapes beside it, and how they are
//! to be read.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::de::DeValue;

use super::keys::{Key, RecordKind};
use super::toml_table::{Table, no_advice};
use super::toml_text::Spanned;
use super::toml_value::{Bounds, Values};
use super::words::{Word, is_unknown};
use super::{Cell, DateOrder, DecimalMark, FluidLoss, HazardKind, Made, Seen, TableFile, WellOutcome, fold};
use crate::diag::Problems;

/// Files of one kind, in the order in which they are named.
pub(crate) fn files(section: &mut Table<'_>, kind: RecordKind, problems: &mut Problems) -> Vec<TableFile> {
    let key = list_name(kind);
    let help = format!("Write {key} = [\"file.csv\"], or [[files.{key}]] with path = \"file.csv\".");
    let mut files: Vec<TableFile> = Vec::new();
    for value in section.list(key, &help, problems) {
        let file = match value.get_ref() {
            DeValue::Table(_) => {
                let name = format!("[[files.{key}]]");
                let table = Table::from_value(section.toml(), &name, value, problems);
                table.and_then(|table| one(table, kind, problems))
            }
            _ => {
                let path = Values { toml: section.toml(), problems }.text("the name of a file", value);
                path.map(TableFile::plain)
            }
        };
        let Some(file) = file else { continue };
        if let Some(earlier) = files.iter().find(|f| f.path.value == file.path.value) {
            problems.error(
                "repeated-file",
                file.path.from.clone(),
                format!("{} is named twice, first in line {}", file.path.value, earlier.path.from.line),
                "Name each file once, or its records count twice.",
            );
            continue;
        }
        files.push(file);
    }
    files
}

/// The key under which files of that kind are listed.
fn list_name(kind: RecordKind) -> &'static str {
    match kind {
        RecordKind::Hazard => "hazards",
        RecordKind::Well => "wells",
        RecordKind::Progress => "drilling_log",
        RecordKind::Test => "yield_test",
    }
}

fn one(mut table: Table<'_>, kind: RecordKind, problems: &mut Problems) -> Option<TableFile> {
    let path = table.text("path", problems);
    if path.is_none() {
        let help = "Add path = \"file.csv\".";
        table.toml().error(table.span(), "missing-key", "a file without its path", help, problems);
    }
    let nowhere = Seen::new(String::new(), table.origin());
    let mut file = TableFile::plain(path.clone().unwrap_or(nowhere));
    file.from = table.origin();
    file.columns = headings(&mut table, "columns", kind, |_| true, problems);
    file.subtract = headings(&mut table, "subtract", kind, |k| k.form.unit().is_some(), problems);
    file.set = constants(&mut table, kind, problems);
    file.missing = match table.get("missing") {
        Some(value) => texts("missing", value, &table, problems),
        None => Vec::new(),
    };
    for (key, _, value) in canonical(&mut table, "missing_in", kind, problems) {
        file.missing_in.insert(key.name.to_owned(), texts(key.name, value, &table, problems));
    }
    file.dates = table.word("dates", problems);
    file.decimal = table.word("decimal", problems);
    file.words = words(&mut table, kind, problems);
    let bounds = Bounds { unit: "m", least: 0.001, most: 100_000.0 };
    file.accuracy_m = table.number("accuracy_m", bounds, problems);
    file.datum = table.text("datum", problems);
    file.zone = table.text("zone", problems);
    check_grid(&file, problems);
    table.finish(no_advice, problems);
    path.map(|_| file)
}

/// A datum and a zone are the survey's own words: slips in them are errors
/// here, once, and not warnings in each row.
fn check_grid(file: &TableFile, problems: &mut Problems) {
    if let Some(datum) = &file.datum
        && let Err(error) = super::Datum::named(&datum.value)
    {
        let suggestion = error.suggestion.map(|s| format!("Did you mean \"{s}\"? "));
        let help =
            format!("{}Write the name of the datum as it stands on the map.", suggestion.unwrap_or_default());
        problems.error("unknown-datum", datum.from.clone(), format!("datum {error}"), help);
    }
    if let Some(zone) = &file.zone
        && let Err(error) = super::grid::Zone::parse(&zone.value)
    {
        let help = "Write the number of the zone and N or S, such as \"37S\" (37 south).";
        problems.error("bad-zone", zone.from.clone(), format!("zone {error}"), help);
    }
}

/// Members of a table whose keys are canonical keys of records; groups such
/// as `quality` may stand as tables within it.
fn canonical<'t>(
    table: &mut Table<'t>,
    option: &str,
    kind: RecordKind,
    problems: &mut Problems,
) -> Vec<(&'static Key, Range<usize>, &'t Spanned<'t>)> {
    let Some(mut inner) = table.table(option, problems) else { return Vec::new() };
    let mut found: Vec<(&'static Key, Range<usize>, &'t Spanned<'t>)> = Vec::new();
    let mut waiting: Vec<(String, Range<usize>, &'t Spanned<'t>)> =
        inner.all().into_iter().rev().map(|(k, at, v)| (k.to_owned(), at, v)).collect();
    while let Some((name, at, value)) = waiting.pop() {
        if let (None, DeValue::Table(_)) = (kind.key(&name), value.get_ref())
            && let Some(mut group) = Table::from_value(table.toml(), &name, value, problems)
        {
            let members = group.all().into_iter().rev();
            waiting.extend(members.map(|(k, at, v)| (format!("{name}.{k}"), at, v)));
            continue;
        }
        match kind.key(&name) {
            Some(key) if found.iter().any(|(k, ..)| k.name == key.name) => {
                let message = format!("{} is written twice in {option}", key.name);
                table.toml().error(at, "repeated-key", message, "Keep one of the two.", problems);
            }
            Some(key) => found.push((key, at, value)),
            None => {
                let near = fold::nearest(&name, kind.keys().map(|k| k.name));
                let help = near.map_or_else(
                    || format!("Write a key of a {}, such as {}.", kind.word(), examples(kind)),
                    |near| format!("Did you mean {near}?"),
                );
                let message = format!("unknown key {name} in {option}");
                table.toml().error(at, "unknown-key", message, help, problems);
            }
        }
    }
    found
}

fn examples(kind: RecordKind) -> &'static str {
    match kind {
        RecordKind::Hazard => "kind, name, lat, lon, accuracy_m or pit_depth_m",
        RecordKind::Well => "name, lat, lon, depth_m, water_level_m, measured or outcome",
        RecordKind::Progress => "depth_m, minutes, material, fluid_loss or water_strike",
        RecordKind::Test => "time_min, level_m or rate_lps",
    }
}

/// Canonical keys to headings of columns.
fn headings(
    table: &mut Table<'_>,
    option: &str,
    kind: RecordKind,
    fits: impl Fn(&Key) -> bool,
    problems: &mut Problems,
) -> BTreeMap<String, Seen<String>> {
    let mut headings = BTreeMap::new();
    for (key, at, value) in canonical(table, option, kind, problems) {
        if !fits(key) {
            let message = format!("nothing can be taken from {}, which is no number", key.name);
            let help = "Subtract from a level, a depth or another number.";
            table.toml().error(at, "not-a-quantity", message, help, problems);
            continue;
        }
        let heading = Values { toml: table.toml(), problems }.text(key.name, value);
        if let Some(heading) = heading {
            headings.insert(key.name.to_owned(), heading);
        }
    }
    headings
}

/// Canonical keys to values that hold for every row.
fn constants(table: &mut Table<'_>, kind: RecordKind, problems: &mut Problems) -> BTreeMap<String, Cell> {
    let mut constants = BTreeMap::new();
    for (key, _, value) in canonical(table, "set", kind, problems) {
        let cell = Values { toml: table.toml(), problems }.cell(key.name, key.form, value);
        if let Some(cell) = cell {
            constants.insert(key.name.to_owned(), cell);
        }
    }
    constants
}

/// One text or number, or a list of them, as texts.
fn texts(key: &str, value: &Spanned<'_>, table: &Table<'_>, problems: &mut Problems) -> Vec<Seen<String>> {
    let each: Vec<_> = match value.get_ref() {
        DeValue::Array(list) => list.iter().collect(),
        _ => vec![value],
    };
    let mut texts = Vec::new();
    for value in each {
        let mut values = Values { toml: table.toml(), problems };
        texts.extend(match value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => {
                values.finite(key, value).map(|seen| seen.map(|x| x.to_string()))
            }
            _ => values.text(key, value),
        });
    }
    texts
}

/// Their words to ours.
fn words(table: &mut Table<'_>, kind: RecordKind, problems: &mut Problems) -> BTreeMap<String, Seen<String>> {
    let Some(mut inner) = table.table("words", problems) else { return BTreeMap::new() };
    let mut words = BTreeMap::new();
    for (theirs, _, value) in inner.all() {
        let ours = Values { toml: table.toml(), problems }.text(theirs, value);
        let Some(ours) = ours else { continue };
        if !is_a_word(&ours.value, kind) {
            let near = match kind {
                RecordKind::Hazard => HazardKind::suggested_by(&ours.value).map(HazardKind::name),
                RecordKind::Well => {
                    WellOutcome::suggested_by(&ours.value).or_else(|| Made::suggested_by(&ours.value))
                }
                RecordKind::Progress => FluidLoss::suggested_by(&ours.value),
                RecordKind::Test => None,
            };
            let known = match kind {
                RecordKind::Hazard => HazardKind::names(),
                RecordKind::Well => format!("{}, {}, yes, no", WellOutcome::names(), Made::names()),
                RecordKind::Progress => format!("{}, yes, no", FluidLoss::names()),
                RecordKind::Test => "yes, no".to_owned(),
            };
            let suggestion = near.map(|s| format!("Did you mean \"{s}\"? ")).unwrap_or_default();
            table.toml().error(
                value.span(),
                "unknown-word",
                format!("{theirs:?} is to be read as {:?}, which is not understood", ours.value),
                format!("{suggestion}Write one of: {known}, unknown."),
                problems,
            );
            continue;
        }
        words.insert(theirs.to_owned(), ours);
    }
    words
}

fn is_a_word(ours: &str, kind: RecordKind) -> bool {
    let shared = is_unknown(ours) || bool::from_words(ours).is_some();
    shared
        || match kind {
            RecordKind::Hazard => HazardKind::from_words(ours).is_ok(),
            RecordKind::Well => {
                WellOutcome::from_words(ours).is_some()
                    || Made::from_words(ours).is_some()
                    || super::Season::from_words(ours).is_some()
            }
            RecordKind::Progress => FluidLoss::from_words(ours).is_some(),
            RecordKind::Test => false,
        }
}

impl Word for DateOrder {
    const LIST: &'static str = "dates";
    const ALL: &'static [(Self, &'static str)] = &[
        (DateOrder::DayFirst, "day first"),
        (DateOrder::MonthFirst, "month first"),
        (DateOrder::YearFirst, "year first"),
    ];
}

impl Word for DecimalMark {
    const LIST: &'static str = "decimal";
    const ALL: &'static [(Self, &'static str)] =
        &[(DecimalMark::Comma, "comma"), (DecimalMark::Point, "point")];
}
