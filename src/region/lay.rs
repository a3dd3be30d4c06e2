//! Lays one figure over what the layers beneath say of it.
//!
//! A setting's value replaces that of the defaults. A local value replaces
//! too, except for a limit that has a stricter side: there the stricter of
//! the two holds, and a laxer one is taken only where the local file says
//! `relax` with the reason. Either way the figure keeps a note for the
//! report.

use crate::diag::{Level, Problems};
use crate::units::Unit;

use super::entry::FigureEntry;
use super::walk::{Spot, suggestion};
use super::{Figure, Layer, SetBy, Stricter};

/// What a figure is called and what is known of it without any layer saying
/// so.
pub(super) struct Known<'a> {
    /// Its name in the region.
    pub name: String,
    /// Its unit, where the name alone settles it.
    pub unit: Option<Unit>,
    /// What it is for, where the name alone settles it.
    pub about: Option<String>,
    /// Names a new figure may have been meant for.
    pub near: Vec<&'a str>,
}

/// Where and by whom a figure is laid.
#[derive(Clone, Copy)]
pub(super) struct By<'a> {
    pub layer: Layer,
    /// Who to ask about a difference.
    pub authority: Option<&'a str>,
}

impl Stricter {
    /// Whether `value` asks less than `than` does.
    pub fn is_laxer(self, value: f64, than: f64) -> bool {
        match self {
            Stricter::Greater => value < than,
            Stricter::Less => value > than,
        }
    }
}

/// The figure after `entry` is laid over `old`; `None` where there is none
/// that could be used, which is then reported.
pub(super) fn lay(
    old: Option<&Figure>,
    entry: &FigureEntry,
    known: &Known<'_>,
    by: By<'_>,
    problems: &mut Problems,
) -> Option<Figure> {
    let Some(old) = old else { return new(entry, known, by, problems) };
    if old.set_by.layer == by.layer {
        let message = format!("{} is set a second time", known.name);
        let help = format!("It is set at {} already; keep one of the two.", old.set_by.from);
        entry.named.report(problems, Level::Error, "set-twice", message, help);
        return None;
    }
    if let Some(unit) = entry.unit.as_ref().filter(|u| u.value != old.unit) {
        report_unit(&known.name, &unit.spot, unit.value, old.unit, problems);
        return None;
    }
    if let Some(way) = entry.stricter.as_ref().filter(|s| Some(s.value) != old.stricter) {
        let message = format!("{} becomes stricter the other way, or neither way", known.name);
        let help = format!("Leave stricter out: it is settled at {}.", old.set_by.from);
        way.spot.report(problems, Level::Error, "stricter-against-defaults", message, help);
        return None;
    }
    let mut laid = Figure {
        name: known.name.clone(),
        value: entry.value.value,
        unit: old.unit,
        stricter: old.stricter,
        source: entry.source.clone(),
        basis: entry.basis,
        about: entry.about.clone().unwrap_or_else(|| old.about.clone()),
        set_by: SetBy { layer: by.layer, from: entry.value.spot.at.clone() },
        notes: Vec::new(),
    };
    let laxer = by.layer == Layer::Local && old.stricter.is_some_and(|s| s.is_laxer(laid.value, old.value));
    match (laxer, &entry.relax) {
        (false, Some(_)) => relax_without_effect(&known.name, entry, by.layer, problems),
        (false, None) => {}
        (true, None) => return Some(kept(old, &laid, entry, by, problems)),
        (true, Some(reason)) => relaxed(old, &mut laid, entry, &reason.value, problems),
    }
    Some(laid)
}

/// The stricter figure, which remembers what the local file asked for.
fn kept(old: &Figure, laid: &Figure, entry: &FigureEntry, by: By<'_>, problems: &mut Problems) -> Figure {
    let note = format!(
        "The local file asks {} ({}); {} set by {} is stricter and holds. Ask {} which is meant.",
        show(laid),
        laid.set_by.from,
        show(old),
        old.set_by.from,
        by.authority.unwrap_or("the authority"),
    );
    let message = format!("{} asks {}, but {} is stricter and holds", old.name, show(laid), show(old));
    let help =
        format!("It is set at {}. To take the laxer value, add relax = \"the reason\".", old.set_by.from);
    entry.value.spot.report(problems, Level::Note, "laxer-local-value", message, help);
    let mut kept = old.clone();
    kept.notes.push(note);
    kept
}

fn relaxed(old: &Figure, laid: &mut Figure, entry: &FigureEntry, reason: &str, problems: &mut Problems) {
    let reason = reason.trim_end_matches('.');
    laid.notes.push(format!(
        "RELAXED: the local file lowers what is asked from {} (set by {}) to {} (set by {}). Its reason: {reason}. Whoever wrote it answers for it.",
        show(old),
        old.set_by.from,
        show(laid),
        laid.set_by.from,
    ));
    let message = format!("{} is relaxed from {} to {}", old.name, show(old), show(laid));
    let help = format!("The stricter value is set at {}. The report says so.", old.set_by.from);
    entry.value.spot.report(problems, Level::Warning, "limit-relaxed", message, help);
}

fn relax_without_effect(name: &str, entry: &FigureEntry, layer: Layer, problems: &mut Problems) {
    let Some(relax) = &entry.relax else { return };
    let message = format!("relax does nothing for {name} here");
    let help = if layer == Layer::Local {
        "The value is not laxer than the one beneath; leave relax out."
    } else {
        "Only a local file relaxes a limit; a setting's value replaces that of the defaults anyway."
    };
    relax.spot.report(problems, Level::Warning, "relax-without-effect", message, help);
}

/// A figure that no layer beneath has.
fn new(entry: &FigureEntry, known: &Known<'_>, by: By<'_>, problems: &mut Problems) -> Option<Figure> {
    let name = &known.name;
    let unit = entry.unit.as_ref().map(|u| u.value).or(known.unit);
    let about = entry.about.clone().or_else(|| known.about.clone());
    let near = || suggestion(name, known.near.iter().copied());
    let (Some(unit), Some(about)) = (unit, about) else {
        let (message, help) = if by.layer == Layer::Defaults {
            (format!("{name} has no unit or says not what it is for"), "Add unit and about.".to_owned())
        } else {
            let help = format!("{}A figure of your own needs unit and about too.", near());
            (format!("the defaults have no {name}"), help)
        };
        entry.named.report(problems, Level::Error, "unknown-figure", message, help);
        return None;
    };
    if let Some((spot, expected)) = entry.unit.as_ref().zip(known.unit).filter(|(u, k)| u.value != *k) {
        report_unit(name, &spot.spot, spot.value, expected, problems);
        return None;
    }
    unit_fits_name(name, entry, problems)?;
    relax_without_effect(name, entry, by.layer, problems);
    if by.layer != Layer::Defaults && known.unit.is_none() {
        let message = format!("the defaults have no {name}; taken as a figure of its own");
        let help = format!("{}It does something only where a rule of your own reads it.", near());
        entry.named.report(problems, Level::Note, "new-figure", message, help);
    }
    Some(Figure {
        name: name.clone(),
        value: entry.value.value,
        unit,
        stricter: entry.stricter.as_ref().map(|s| s.value),
        source: entry.source.clone(),
        basis: entry.basis,
        about,
        set_by: SetBy { layer: by.layer, from: entry.value.spot.at.clone() },
        notes: Vec::new(),
    })
}

fn report_unit(name: &str, spot: &Spot, found: Unit, expected: Unit, problems: &mut Problems) {
    let message = format!("{name} is given in {}, where {} is expected", found.name(), expected.name());
    let help = "Give the value in that unit, or leave the unit out.";
    spot.report(problems, Level::Error, "wrong-unit", message, help);
}

/// Units that the end of a name speaks of; the longest ending that fits
/// holds.
const ENDINGS: &[(&str, Unit)] = &[
    ("_m", Unit::Metre),
    ("_mm", Unit::Millimetre),
    ("_pct", Unit::Percent),
    ("_deg", Unit::Degree),
    ("_l", Unit::Litre),
    ("_l_per_day", Unit::LitrePerDay),
    ("_lps", Unit::LitrePerSecond),
    ("_mg_l", Unit::MilligramPerLitre),
    ("_us_cm", Unit::MicrosiemensPerCm),
    ("_cfu_100ml", Unit::CfuPer100Ml),
    ("_a", Unit::Year),
    ("_days", Unit::Day),
    ("_share", Unit::One),
    ("_ratio", Unit::One),
];

/// `None`, and a report, where the unit is not the one the name ends in.
fn unit_fits_name(name: &str, entry: &FigureEntry, problems: &mut Problems) -> Option<()> {
    let Some(unit) = &entry.unit else { return Some(()) };
    let fitting = ENDINGS.iter().filter(|(ending, _)| name.ends_with(ending));
    let Some((ending, expected)) = fitting.max_by_key(|(ending, _)| ending.len()) else { return Some(()) };
    if unit.value == *expected {
        return Some(());
    }
    let message =
        format!("{name} is given in {}, where {ending} speaks of {}", unit.value.name(), expected.name());
    let help = "Give the value in the unit of the name, or change the name.";
    unit.spot.report(problems, Level::Error, "unit-against-name", message, help);
    None
}

/// The value with its unit, for a sentence.
pub(super) fn show(figure: &Figure) -> String {
    figure.unit.show(figure.value)
}
