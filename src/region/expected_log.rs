//! Logs that a setting leads one to expect where nobody drilled: what virtual
//! bores are drawn from besides the neighbours' own.

use crate::diag::Origin;

use super::Basis;
use super::entry::source_and_basis;
use super::names::MATERIAL_CLASSES;
use super::walk::{Found, Table, Walk};

/// How an expected log ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LogEnd {
    /// In ground that goes on: nothing refused the tools.
    Soft,
    /// On ground that refuses every hand method.
    Refused,
}

/// A log that a setting leads one to expect.
#[derive(Debug, Clone, PartialEq)]
pub struct ExpectedLog {
    /// Its name, a few words.
    pub name: String,
    /// How common it is, beside the others of the setting.
    pub share: f64,
    /// Bottom of each layer, metres below ground, and the id of its class of
    /// ground.
    pub layers: Vec<(f64, String)>,
    /// How it ends.
    pub end: LogEnd,
    /// The source.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
    /// Where it was written.
    pub from: Origin,
}

const KEYS: [&str; 5] = ["share", "layers", "ends", "source", "basis"];
const EXAMPLE: &str = "[{ to_m = 1, ground = \"topsoil\" }, { to_m = 12, ground = \"sand_wet\" }]";

/// Reads one; `None` where it cannot be used, which is then reported.
pub(super) fn expected_log(
    walk: &mut Walk<'_>,
    name: &Found<String>,
    table: &Table<'_, '_>,
) -> Option<ExpectedLog> {
    walk.refuse_other_keys(table, &KEYS);
    walk.need(table, "share", "0.5");
    walk.need(table, "layers", EXAMPLE);
    walk.need(table, "ends", "\"soft\" or \"refused\"");
    let (source, basis) = source_and_basis(walk, table);
    let share = walk.number(table, "share").filter(|share| {
        let good = share.value > 0.0;
        if !good {
            let message = format!("the share of {} is {}", name.value, share.value);
            walk.error(
                "share-not-positive",
                &share.spot,
                message,
                "Write a number above 0: how common it is beside the others.",
            );
        }
        good
    });
    let end = walk.choice(table, "ends", "unknown-end", &["soft", "refused"], |word| match word {
        "soft" => Some(LogEnd::Soft),
        "refused" => Some(LogEnd::Refused),
        _ => None,
    });
    let layers = layers(walk, name, table);
    Some(ExpectedLog {
        name: name.value.clone(),
        share: share?.value,
        layers: layers?,
        end: end?.value,
        source: source?,
        basis: basis?,
        from: name.spot.at.clone(),
    })
}

fn layers(walk: &mut Walk<'_>, name: &Found<String>, table: &Table<'_, '_>) -> Option<Vec<(f64, String)>> {
    let rows = walk.list_of_tables(table, "layers", EXAMPLE)?;
    let mut top_m = 0.0;
    let mut layers = Vec::new();
    let mut good = true;
    for row in &rows {
        walk.refuse_other_keys(row, &["to_m", "ground"]);
        walk.need(row, "to_m", "12");
        walk.need(row, "ground", "\"sand_wet\"");
        let to = walk.number(row, "to_m");
        let known = |word: &str| MATERIAL_CLASSES.contains(&word).then(|| word.to_owned());
        let class = walk.choice(row, "ground", "unknown-ground", &MATERIAL_CLASSES, known);
        match (to, class) {
            (Some(to), Some(class)) if to.value > top_m => {
                top_m = to.value;
                layers.push((to.value, class.value));
            }
            (Some(to), _) if to.value <= top_m => {
                let message = format!(
                    "a layer of {} ends at {} m, where the one above ends at {top_m} m",
                    name.value, to.value
                );
                walk.error(
                    "layers-out-of-order",
                    &to.spot,
                    message,
                    "Write layers from the ground down, each with the depth of its bottom.",
                );
                good = false;
            }
            _ => good = false,
        }
    }
    if rows.is_empty() {
        let message = format!("{} has no layer", name.value);
        walk.error("no-layers", &table.spot, message, format!("Write layers = {EXAMPLE}."));
        good = false;
    }
    good.then_some(layers)
}
