//! Which column carries which key, and in which unit? The survey's own
//! mapping goes first, then canonical names, then the other names by which
//! people call the same thing.

use std::collections::{BTreeMap, BTreeSet};

use super::super::keys::Key;
use super::super::{RecordKind, TableFile};
use super::known::Known;
use super::mapped::{stated, subtractions};
use super::names::{LOOSE, Named, Names};
use super::sheet::Sheet;
use crate::diag::{Level, Problems};
use crate::units::Unit;

/// A column and what it carries.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Column {
    /// The key.
    pub key: &'static Key,
    /// The number of the column, from 0.
    pub index: usize,
    /// By what its numbers are multiplied to be in the unit of the key.
    pub factor: f64,
    /// Whether the heading itself states a unit.
    pub unit_stated: bool,
    /// The column that is subtracted from it, and that one's factor.
    pub subtract: Option<(usize, f64)>,
}

/// Positions come in two halves; half of one by a loose name alone
/// (`distance`, `x`) more often means something else.
const HALVES: [[&str; 2]; 3] =
    [["lat", "lon"], ["easting_m", "northing_m"], ["from_peg.bearing_deg", "from_peg.distance_m"]];

/// The keys that say where something is, besides how well that is known.
const POSITIONS: [&str; 9] = [
    "lat",
    "lon",
    "easting_m",
    "northing_m",
    "zone",
    "datum",
    "from_peg.bearing_deg",
    "from_peg.distance_m",
    "from_peg.accuracy_m",
];

/// The columns of `sheet` that carry keys, in the order of the keys.
pub(super) fn columns(
    sheet: &Sheet<'_>,
    file: &TableFile,
    kind: RecordKind,
    problems: &mut Problems,
) -> Vec<Column> {
    let order = |key: &Key| kind.keys().position(|k| k.name == key.name).unwrap_or(usize::MAX);
    let mut found: BTreeMap<usize, Column> = BTreeMap::new();
    for (name, heading) in &file.columns {
        match kind.key(name) {
            Some(key) => {
                if let Some(column) = stated(sheet, heading, key, problems) {
                    found.insert(order(key), column);
                }
            }
            None => problems.error(
                "unknown-key",
                heading.from.clone(),
                format!("{name} is not a key of a {}", kind.word()),
                "Map the keys that a survey uses.",
            ),
        }
    }
    let mut aside = BTreeSet::new();
    let taken = found.values().map(|c| c.index).collect();
    let names = Names::new(kind);
    let named: Vec<Option<Named>> = sheet.headings.iter().map(|h| names.of(&h.text)).collect();
    let wanted = Wanted::new(sheet, &named, file, kind);
    let mut known = Known { sheet, names: &names, named: &named, problems, aside: &mut aside };
    for (rank, column) in known.columns(&taken, |key| !wanted.left_to_headings(key)) {
        if wanted.whole(column.key, rank) {
            found.insert(order(column.key), column);
        }
    }
    subtractions(sheet, file, kind, &mut found, problems);
    note_extra(sheet, file, kind, &found, &aside, problems);
    note_unstated(sheet, &found, problems);
    found.into_values().collect()
}

/// Which keys the survey leaves to the headings.
struct Wanted {
    /// Keys that the survey maps or sets itself.
    said: BTreeSet<&'static str>,
    /// Keys of which there is a heading.
    headed: BTreeSet<&'static str>,
    /// Keys that the survey maps.
    mapped: BTreeSet<&'static str>,
    /// Whether the lines have shapes, which are their positions.
    shapes: bool,
}

impl Wanted {
    fn new(sheet: &Sheet<'_>, named: &[Option<Named>], file: &TableFile, kind: RecordKind) -> Self {
        let name = |n: &String| kind.key(n).map(|k| k.name);
        let mapped: BTreeSet<_> = file.columns.keys().filter_map(name).collect();
        let set = file.set.keys().filter_map(name);
        let headed = named.iter().flatten().map(|n| n.key.name);
        Self {
            said: mapped.iter().copied().chain(set).collect(),
            headed: headed.collect(),
            mapped,
            shapes: sheet.shapes,
        }
    }

    /// Whether a heading may carry the key: not where the survey maps that key
    /// or another kind of position, nor where a shape is the position.
    fn left_to_headings(&self, key: &Key) -> bool {
        if self.shapes && POSITIONS.contains(&key.name) {
            return false;
        }
        let pair = |name: &str| HALVES.iter().position(|p| p.contains(&name));
        let other_pair = |own: usize| self.mapped.iter().filter_map(|m| pair(m)).any(|p| p != own);
        !self.mapped.contains(key.name) && !pair(key.name).is_some_and(other_pair)
    }

    /// Whether the key is no half of a position, or its other half is there
    /// too, or the heading is our own name for it.
    fn whole(&self, key: &Key, rank: usize) -> bool {
        let pair = HALVES.iter().find(|p| p.contains(&key.name));
        let other = pair.and_then(|p| p.iter().find(|n| **n != key.name));
        rank < LOOSE || other.is_none_or(|n| self.said.contains(n) || self.headed.contains(n))
    }
}

/// Says once for the whole file which columns nobody used.
fn note_extra(
    sheet: &Sheet<'_>,
    file: &TableFile,
    kind: RecordKind,
    found: &BTreeMap<usize, Column>,
    aside: &BTreeSet<usize>,
    problems: &mut Problems,
) {
    let subtracted = found.values().filter_map(|c| c.subtract.map(|s| s.0));
    let used: BTreeSet<usize> =
        found.values().map(|c| c.index).chain(subtracted).chain(aside.iter().copied()).collect();
    let extra: Vec<String> = sheet
        .headings
        .iter()
        .enumerate()
        .filter(|(i, h)| !used.contains(i) && !h.text.trim().is_empty())
        .map(|(_, h)| quoted(&h.text))
        .collect();
    if !extra.is_empty() {
        problems.add(
            Level::Note,
            "extra-columns",
            sheet.top.clone(),
            format!("not used: {}", some_of(&extra, 40)),
            format!(
                "What a {} needs of them can be mapped with columns = {{ … }} at {}.",
                kind.word(),
                file.from
            ),
        );
    }
}

/// Says once for the whole file which lengths were taken in metres.
fn note_unstated(sheet: &Sheet<'_>, found: &BTreeMap<usize, Column>, problems: &mut Problems) {
    let unstated: Vec<String> = found
        .values()
        .filter(|c| !c.unit_stated && c.key.form.unit() == Some(Unit::Metre))
        .filter_map(|c| sheet.headings.get(c.index))
        .map(|h| quoted(&h.text))
        .collect();
    if !unstated.is_empty() {
        problems.add(
            Level::Note,
            "taken-as-metres",
            sheet.top.clone(),
            format!("taken as metres, for no unit is stated: {}", unstated.join(", ")),
            "If they are not, put the unit into the heading: depth (ft).",
        );
    }
}

/// A heading as it is shown: line breaks made blanks, cut where very long.
pub(super) fn quoted(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let plain = words.join(" ");
    let short: String = plain.chars().take(60).collect();
    if short.len() < plain.len() { format!("\"{short}…\"") } else { format!("\"{short}\"") }
}

/// A key as TOML wants it on the left of `=`.
pub(super) fn in_toml(key: &str) -> String {
    if key.contains('.') { format!("\"{key}\"") } else { key.to_owned() }
}

/// The first `most` of them, and how many more there are.
pub(super) fn some_of(all: &[String], most: usize) -> String {
    let some = all.iter().take(most).map(String::as_str).collect::<Vec<_>>().join(", ");
    match all.len().saturating_sub(most) {
        0 if all.is_empty() => "none".to_owned(),
        0 => some,
        more => format!("{some} and {more} more"),
    }
}
