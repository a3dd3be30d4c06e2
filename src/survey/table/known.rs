//! Which headings are known by themselves: canonical names, the last parts of
//! them, and the other names by which people call the same thing, with a unit
//! behind them or without.

use std::collections::{BTreeMap, BTreeSet};

use super::super::RecordKind;
use super::super::fold::letters;
use super::super::keys::Key;
use super::headings::{Column, in_toml, quoted};
use super::mapped::bracketed;
use super::sheet::{Heading, Sheet};
use super::unit_words::{Fit, fit};
use crate::diag::{Level, Problem, Problems};
use crate::units::Unit;

/// Ranks from here on are other names, not ours.
pub(super) const LOOSE: usize = 2;

/// The key whose name, canonical or other, is this heading, and how sure
/// that is (0 the surest); and what of the heading is left as its unit.
pub(super) fn known_name(kind: RecordKind, heading: &str) -> Option<(&'static Key, usize, String)> {
    let text = letters(heading);
    if text.is_empty() {
        return None;
    }
    let ours = |rank: usize, name: fn(&Key) -> &'static str| {
        kind.keys().find(|k| letters(name(k)) == text).map(|k| (k, rank, String::new()))
    };
    ours(0, |k| k.name).or_else(|| ours(1, Key::bare)).or_else(|| {
        let names = || {
            kind.keys().flat_map(|k| k.other_names.iter().zip(LOOSE..).map(move |(n, r)| (k, r, letters(n))))
        };
        let whole = names().find(|(_, _, n)| *n == text);
        let unit_behind = names().find_map(|(k, rank, n)| {
            let rest = text.strip_prefix(n.as_str())?;
            let unit = k.form.unit()?;
            let known = |rest: &str| !rest.is_empty() && fit(rest, unit, k.name) != Fit::Unknown;
            let rest = if known(rest) { rest } else { rest.strip_prefix("in").filter(|r| known(r))? };
            Some((k, rank, rest.to_owned()))
        });
        // `ec_us` is a name of its own and a name with a unit behind it.
        unit_behind.or(whole.map(|(k, rank, _)| (k, rank, String::new())))
    })
}

/// The search for columns that are known by their own headings.
pub(super) struct Known<'a> {
    pub sheet: &'a Sheet<'a>,
    pub kind: RecordKind,
    pub problems: &'a mut Problems,
    /// Columns already spoken of and left aside.
    pub aside: &'a mut BTreeSet<usize>,
}

impl Known<'_> {
    /// The surest column for each key, with its rank.
    pub(super) fn columns(
        &mut self,
        taken: &BTreeSet<usize>,
        mapped: impl Fn(&Key) -> bool,
    ) -> Vec<(usize, Column)> {
        let mut best: BTreeMap<&'static str, (usize, Column)> = BTreeMap::new();
        for (index, heading) in self.sheet.headings.iter().enumerate() {
            if taken.contains(&index) {
                continue;
            }
            let Some((key, rank, unit)) = known_name(self.kind, &heading.text) else {
                self.unknown_unit(index, heading, &mapped);
                continue;
            };
            if mapped(key) {
                continue;
            }
            let Some(column) = self.column(index, heading, key, rank, &unit) else { continue };
            let (loser, winner) = match best.get(key.name) {
                None => {
                    best.insert(key.name, (rank, column));
                    continue;
                }
                Some((r, other)) if *r == rank => {
                    self.twice(index, heading, other.index, key);
                    continue;
                }
                Some((r, other)) if *r < rank => (index, other.index),
                Some((_, other)) => {
                    let loser = other.index;
                    best.insert(key.name, (rank, column));
                    (loser, index)
                }
            };
            self.second(loser, winner, key);
        }
        best.into_values().collect()
    }

    fn column(
        &mut self,
        index: usize,
        heading: &Heading,
        key: &'static Key,
        rank: usize,
        unit: &str,
    ) -> Option<Column> {
        let plain = |factor, unit_stated| Some(Column { key, index, factor, unit_stated, subtract: None });
        let Some(of_key) = key.form.unit() else { return plain(1.0, true) };
        if rank < LOOSE {
            return plain(1.0, true);
        }
        if unit.is_empty() {
            if may_go_unstated(of_key) {
                return plain(1.0, false);
            }
            self.leave_aside(
                index,
                "unit-not-stated",
                format!("{} says no unit, so it was left aside", quoted(&heading.text)),
                format!(
                    "If it is in {}, map it: columns = {{ {} = {} }}; else put the unit in brackets there.",
                    of_key.name(),
                    in_toml(key.name),
                    quoted(&heading.text)
                ),
            );
            return None;
        }
        match fit(unit, of_key, key.name) {
            Fit::By(factor) => plain(factor, true),
            _ => {
                self.leave_aside(
                    index,
                    "unit-does-not-fit",
                    format!(
                        "the unit in {} is none of {}, so it was left aside",
                        quoted(&heading.text),
                        key.name
                    ),
                    format!("Give it in {} or a unit of that kind.", of_key.name()),
                );
                None
            }
        }
    }

    /// `depth (fathoms)`: the name is known, what stands in brackets is not.
    fn unknown_unit(&mut self, index: usize, heading: &Heading, mapped: impl Fn(&Key) -> bool) {
        let Some((name, in_brackets)) = bracketed(&heading.text) else { return };
        let Some((key, _, rest)) = known_name(self.kind, name) else { return };
        if mapped(key) || !rest.is_empty() || letters(in_brackets).is_empty() {
            return;
        }
        let Some(unit) = key.form.unit() else { return };
        self.leave_aside(
            index,
            "unit-does-not-fit",
            format!(
                "{} in {} is not a unit known here, so it was left aside",
                quoted(in_brackets),
                quoted(&heading.text)
            ),
            format!(
                "Give it in {}; if it is, map it: columns = {{ {} = {} }}.",
                unit.name(),
                in_toml(key.name),
                quoted(&heading.text)
            ),
        );
    }

    fn twice(&mut self, index: usize, heading: &Heading, first: usize, key: &Key) {
        self.aside.insert(index);
        let first = self.sheet.headings.get(first).map_or("", |h| h.text.as_str());
        self.problems.push(Problem {
            code: "duplicate-heading",
            level: Level::Error,
            at: heading.at.clone(),
            length: heading.length,
            message: format!("{} and {} both stand for {}", quoted(first), quoted(&heading.text), key.name),
            help: "Rename one of them, so that one column carries it.".to_owned(),
        });
    }

    fn second(&mut self, loser: usize, winner: usize, key: &Key) {
        let text = |i: usize| self.sheet.headings.get(i).map_or("", |h| h.text.as_str()).to_owned();
        let (loses, wins) = (text(loser), text(winner));
        self.leave_aside(
            loser,
            "second-column",
            format!(
                "{} and {} both may stand for {}; {} was used",
                quoted(&loses),
                quoted(&wins),
                key.name,
                quoted(&wins)
            ),
            format!("If that is wrong, map it: columns = {{ {} = {} }}.", in_toml(key.name), quoted(&loses)),
        );
    }

    fn leave_aside(&mut self, index: usize, code: &'static str, message: String, help: String) {
        self.aside.insert(index);
        let Some(heading) = self.sheet.headings.get(index) else { return };
        self.problems.push(Problem {
            code,
            level: Level::Warning,
            at: heading.at.clone(),
            length: heading.length,
            message,
            help,
        });
    }
}

/// Lengths and angles without a unit are metres and degrees, as the survey's
/// own are; flows and water quality are measured in too many units to guess.
fn may_go_unstated(unit: Unit) -> bool {
    !matches!(
        unit,
        Unit::LitrePerSecond | Unit::MilligramPerLitre | Unit::MicrosiemensPerCm | Unit::CfuPer100Ml
    )
}
