//! One figure as a layer's file writes it, before it is laid over the layers
//! beneath: value, source and basis always; unit, which way is stricter and
//! what it is for only where no layer beneath says so.

use crate::units::Unit;

use super::walk::{Found, Spot, Table, Walk};
use super::{Basis, Stricter};

/// A figure as written.
#[derive(Debug, Clone)]
pub(super) struct FigureEntry {
    /// Where its name stands.
    pub named: Spot,
    /// The value.
    pub value: Found<f64>,
    /// Its unit.
    pub unit: Option<Found<Unit>>,
    /// Which way it becomes stricter.
    pub stricter: Option<Found<Stricter>>,
    /// What it is for.
    pub about: Option<String>,
    /// The source.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
    /// Why a laxer value is wanted all the same.
    pub relax: Option<Found<String>>,
}

/// What a figure may say besides value, unit, source, basis and about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A limit: `stricter`, and in a local file `relax`.
    Limit,
    /// Anything else.
    Plain,
}

const PLAIN_KEYS: [&str; 5] = ["value", "unit", "about", "source", "basis"];
const LIMIT_KEYS: [&str; 7] = ["value", "unit", "stricter", "about", "source", "basis", "relax"];

/// Reads one figure; `None` where it cannot be used, which is then reported.
pub(super) fn figure(walk: &mut Walk<'_>, table: &Table<'_, '_>, kind: Kind) -> Option<FigureEntry> {
    walk.refuse_other_keys(table, if kind == Kind::Limit { &LIMIT_KEYS } else { &PLAIN_KEYS });
    walk.need(table, "value", "15");
    let value = walk.number(table, "value").filter(|v| not_negative(walk, table, v));
    let unit = unit(walk, table);
    let stricter = walk.choice(table, "stricter", "unknown-direction", &["greater", "less"], |word| {
        [("greater", Stricter::Greater), ("less", Stricter::Less)]
            .into_iter()
            .find(|(name, _)| *name == word)
            .map(|(_, way)| way)
    });
    let (source, basis) = source_and_basis(walk, table);
    let about = walk.text(table, "about").map(|f| f.value);
    let relax = walk.text(table, "relax");
    Some(FigureEntry {
        named: table.spot.clone(),
        value: value?,
        unit,
        stricter,
        about,
        source: source?,
        basis: basis?,
        relax,
    })
}

/// The source and the basis of `table`; each is reported where it is missing.
pub(super) fn source_and_basis(
    walk: &mut Walk<'_>,
    table: &Table<'_, '_>,
) -> (Option<String>, Option<Basis>) {
    walk.need(table, "source", "\"…\": the code, book or article it stands in, or whose practice it is");
    walk.need(table, "basis", "\"published\", \"common practice\", \"from memory\" or \"local records\"");
    let names = Basis::ALL.map(Basis::name);
    let source = walk.text(table, "source").map(|f| f.value);
    let basis = walk.choice(table, "basis", "unknown-basis", &names, Basis::from_name);
    (source, basis.map(|b| b.value))
}

fn unit(walk: &mut Walk<'_>, table: &Table<'_, '_>) -> Option<Found<Unit>> {
    let names: Vec<_> = Unit::names().collect();
    walk.choice(table, "unit", "unknown-unit", &names, Unit::from_name)
}

fn not_negative(walk: &mut Walk<'_>, table: &Table<'_, '_>, value: &Found<f64>) -> bool {
    if value.value < 0.0 {
        let message = format!("{} is negative", table.path_of("value"));
        let help =
            "Limits, priors, prices and depths are not negative; depths count downwards from the ground.";
        walk.error("negative-value", &value.spot, message, help);
    }
    value.value >= 0.0
}
