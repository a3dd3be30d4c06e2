//! Which columns does the survey itself name for a key, or to be subtracted
//! from one, and in which unit are they?

use std::collections::BTreeMap;

use super::super::fold::{letters, nearest, words};
use super::super::keys::{Key, KeyForm};
use super::super::{RecordKind, Seen, TableFile};
use super::headings::{Column, quoted, some_of};
use super::sheet::{Heading, Sheet};
use super::unit_words::{Fit, fit};
use crate::diag::{Level, Problem, Problems};
use crate::units::Unit;

/// The column that the survey names for a key, and its unit.
pub(super) fn stated(
    sheet: &Sheet<'_>,
    heading: &Seen<String>,
    key: &'static Key,
    problems: &mut Problems,
) -> Option<Column> {
    let wanted = heading.value.trim();
    let (index, unit) = match place(sheet, wanted) {
        Found::One(index) => (index, sheet.headings.get(index).map(|h| h.text.clone()).unwrap_or_default()),
        Found::Many(again) => {
            problems.push(Problem {
                code: "duplicate-heading",
                level: Level::Error,
                at: again.at.clone(),
                length: again.length,
                message: format!(
                    "{} stands here twice, and the survey maps it to {}",
                    quoted(wanted),
                    key.name
                ),
                help: "Rename one of them, so that one column carries it.".to_owned(),
            });
            return None;
        }
        // `As (ug/L)` for a heading `As`: the survey states the unit.
        Found::None => match bracketed(wanted).map(|(name, unit)| (place(sheet, name), unit)) {
            Some((Found::One(index), unit)) => (index, format!("({unit})")),
            _ => {
                absent(sheet, heading, problems);
                return None;
            }
        },
    };
    let column = |factor| Some(Column { key, index, factor, unit_stated: true, subtract: None });
    let Some(of_key) = key.form.unit() else { return column(1.0) };
    match unit_at_end(&unit, of_key, key.name) {
        None => column(1.0),
        Some(Fit::By(factor)) => column(factor),
        Some(_) => {
            problems.error(
                "unit-does-not-fit",
                heading.from.clone(),
                format!("the unit in {} is none of {}", quoted(unit.trim()), key.name),
                format!("Give it in {} or a unit of that kind.", of_key.name()),
            );
            None
        }
    }
}

enum Found<'s> {
    None,
    One(usize),
    /// The second of several.
    Many(&'s Heading),
}

/// The heading that is `wanted`: to the letter, else apart from case, spaces
/// and signs.
fn place<'s>(sheet: &'s Sheet<'_>, wanted: &str) -> Found<'s> {
    let folded = letters(wanted);
    let to_the_letter = |h: &Heading| h.text.trim() == wanted;
    let alike = |h: &Heading| !folded.is_empty() && letters(&h.text) == folded;
    for same in [&to_the_letter as &dyn Fn(&Heading) -> bool, &alike] {
        let mut found = sheet.headings.iter().enumerate().filter(|(_, h)| same(h));
        match (found.next(), found.next()) {
            (Some((index, _)), None) => return Found::One(index),
            (Some(_), Some((_, again))) => return Found::Many(again),
            _ => {}
        }
    }
    Found::None
}

fn absent(sheet: &Sheet<'_>, wanted: &Seen<String>, problems: &mut Problems) {
    let near = nearest(&wanted.value, sheet.headings.iter().map(|h| h.text.as_str()))
        .map(|text| format!("Did you mean {}? ", quoted(text)))
        .unwrap_or_default();
    let all: Vec<String> = sheet.headings.iter().map(|h| quoted(&h.text)).collect();
    problems.push(Problem {
        code: "no-such-heading",
        level: Level::Error,
        at: wanted.from.clone(),
        length: wanted.value.chars().count() + 2,
        message: format!("{} has no {} {}", sheet.top.file, sheet.called, quoted(&wanted.value)),
        help: format!("{near}It has {}.", some_of(&all, 12)),
    });
}

/// What stands before the last bracket and in it.
pub(super) fn bracketed(heading: &str) -> Option<(&str, &str)> {
    let heading = heading.trim();
    let open = heading.rfind(['(', '['])?;
    let (name, rest) = heading.split_at(open);
    let inner = rest.get(1..)?.strip_suffix([')', ']'])?;
    Some((name, inner))
}

/// The unit at the end of any heading, in brackets or as its last words, if
/// there is one.
fn unit_at_end(heading: &str, unit: Unit, key: &str) -> Option<Fit> {
    if let Some((_, inner)) = bracketed(heading)
        && let found @ (Fit::By(_) | Fit::Misfit) = fit(&letters(inner), unit, key)
    {
        return Some(found);
    }
    let words = words(heading);
    (1..words.len().min(5)).rev().find_map(|n| {
        let last: String = words.iter().skip(words.len() - n).map(String::as_str).collect();
        match fit(&last, unit, key) {
            Fit::Unknown => None,
            found => Some(found),
        }
    })
}

pub(super) fn subtractions(
    sheet: &Sheet<'_>,
    file: &TableFile,
    kind: RecordKind,
    found: &mut BTreeMap<usize, Column>,
    problems: &mut Problems,
) {
    for (name, heading) in &file.subtract {
        let number = kind.key(name).filter(|k| matches!(k.form, KeyForm::Number { .. }));
        let column = found.values_mut().find(|c| number.is_some_and(|k| k.name == c.key.name));
        match (number, column) {
            (Some(key), Some(column)) => {
                if let Some(other) = stated(sheet, heading, key, problems) {
                    column.subtract = Some((other.index, other.factor));
                }
            }
            _ => problems.error(
                "nothing-to-subtract-from",
                heading.from.clone(),
                format!(
                    "{} has no numbers for {name} to subtract {} from",
                    sheet.top.file,
                    quoted(&heading.value)
                ),
                format!("Map the column that carries {name}, or take this out."),
            ),
        }
    }
}
