//! The ground below the peg by depth as data of the report.

use schemars::JsonSchema;
use serde::Serialize;

use super::build::round;
use crate::facts::SiteFacts;

/// Slices are so thick, metres: depths are told to half a metre.
const STEP_M: f64 = 0.5;

/// A slice of ground, as virtual bores met it; all chances together are 1.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Slice {
    /// Its top, metres below ground.
    pub top_m: f64,
    /// Its bottom.
    pub bottom_m: f64,
    /// What it may be, the likeliest first.
    pub may_be: Vec<MayBe>,
    /// The chance of ground that refused whoever met it.
    pub refuses: f64,
    /// The chance that no log shows what lies there.
    pub unseen: f64,
}

/// A class of ground with its chance.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MayBe {
    /// The class, in words.
    pub ground: String,
    /// Its chance.
    pub chance: f64,
}

/// The slices, from the surface down; slices alike are one. Empty where
/// nothing can be forecast.
pub fn of(site: &SiteFacts) -> Vec<Slice> {
    let mut all: Vec<Slice> = Vec::new();
    for slice in site.ground_by_depth(STEP_M).unwrap_or_default() {
        let share = |x: f64| round(x, 2);
        let next = Slice {
            top_m: round(slice.top_m, 2),
            bottom_m: round(slice.bottom_m, 2),
            may_be: slice
                .classes
                .iter()
                .map(|(class, chance)| MayBe { ground: class.name(), chance: share(*chance) })
                .filter(|m| m.chance > 0.0)
                .collect(),
            refuses: share(slice.refuses),
            unseen: share(slice.unseen),
        };
        match all.last_mut() {
            Some(last)
                if (&last.may_be, last.refuses, last.unseen) == (&next.may_be, next.refuses, next.unseen) =>
            {
                last.bottom_m = next.bottom_m;
            }
            _ => all.push(next),
        }
    }
    all
}
