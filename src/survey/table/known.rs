//! Which columns are known by their own headings, which of several for one
//! key is the likeliest, and in which unit are they?

use std::collections::{BTreeMap, BTreeSet};

use super::super::fold::letters;
use super::super::keys::Key;
use super::headings::{Column, in_toml, quoted};
use super::mapped::bracketed;
use super::names::{LOOSE, Named, Names};
use super::sheet::{Heading, Sheet};
use super::unit_words::{Fit, fit};
use crate::diag::{Level, Problem, Problems};
use crate::units::Unit;

/// The search for columns that are known by their own headings.
pub(super) struct Known<'a> {
    pub sheet: &'a Sheet<'a>,
    pub names: &'a Names,
    /// What each heading stands for by its name.
    pub named: &'a [Option<Named>],
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
        let mut by_key: BTreeMap<&'static str, Vec<(usize, Column)>> = BTreeMap::new();
        for (index, heading) in self.sheet.headings.iter().enumerate() {
            if taken.contains(&index) {
                continue;
            }
            match self.named.get(index).and_then(Option::as_ref) {
                None => self.unknown_unit(index, heading, &mapped),
                Some(named) if mapped(named.key) => {}
                Some(named) => {
                    let column = self.column(index, heading, named);
                    by_key.entry(named.key.name).or_default().extend(column.map(|c| (named.rank, c)));
                }
            }
        }
        let surest = |mut columns: Vec<(usize, Column)>| {
            columns.sort_by_key(|(rank, column)| (*rank, column.index));
            let mut columns = columns.into_iter();
            let best = columns.next()?;
            for (rank, other) in columns {
                self.beside(&best.1, &other, rank == best.0);
            }
            Some(best)
        };
        by_key.into_values().filter_map(surest).collect()
    }

    fn column(&mut self, index: usize, heading: &Heading, named: &Named) -> Option<Column> {
        let Named { key, rank, unit } = named;
        let plain = |factor, unit_stated| Some(Column { key, index, factor, unit_stated, subtract: None });
        let Some(of_key) = key.form.unit() else { return plain(1.0, true) };
        if *rank < LOOSE {
            return plain(1.0, true);
        }
        if unit.is_empty() {
            if may_go_unstated(of_key) {
                return plain(1.0, false);
            }
            self.leave_aside(
                index,
                Level::Warning,
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
                    Level::Warning,
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
        let Some(Named { key, unit: rest, .. }) = self.names.of(name) else { return };
        if mapped(key) || !rest.is_empty() || letters(in_brackets).is_empty() {
            return;
        }
        let Some(unit) = key.form.unit() else { return };
        self.leave_aside(
            index,
            Level::Warning,
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

    /// Another column for the same key: a choice to be checked, or, where
    /// neither is the likelier, one that has to be made.
    fn beside(&mut self, used: &Column, other: &Column, alike: bool) {
        let text = |c: &Column| quoted(self.sheet.headings.get(c.index).map_or("", |h| &h.text));
        let (wins, loses, key) = (text(used), text(other), used.key.name);
        let (level, code, message, help) = match alike {
            true => (
                Level::Error,
                "duplicate-heading",
                format!("{wins} and {loses} both stand for {key}"),
                "Rename one of them, so that one column carries it.".to_owned(),
            ),
            false => (
                Level::Warning,
                "second-column",
                format!("{loses} and {wins} both may stand for {key}; {wins} was used"),
                format!("If that is wrong, map it: columns = {{ {} = {loses} }}.", in_toml(key)),
            ),
        };
        self.leave_aside(other.index, level, code, message, help);
    }

    fn leave_aside(&mut self, index: usize, level: Level, code: &'static str, message: String, help: String) {
        self.aside.insert(index);
        let Some(heading) = self.sheet.headings.get(index) else { return };
        self.problems.push(Problem {
            code,
            level,
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
