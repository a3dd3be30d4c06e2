//! Somebody's table of wells whose outcome is known, and the map that says
//! what its columns mean: what back-tests try forecasts on, and what priors
//! are fitted to.
//!
//! ```text
//! table + map ─► records ─┬─► back-test
//!                         └─► fit
//! ```
//!
//! Depths are metres below ground. No row is lost in silence.

mod columns;
pub(crate) mod map;
mod map_parts;
mod map_read;
mod read;

use std::sync::Arc;

use serde::Serialize;

pub use map::Map;
pub use map_read::read_map;
pub use read::{Outcome, Record, Records, columns_are_there, read_amounts, read_records};

/// A row that was not used.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Skipped {
    /// The line of a CSV, the number of a feature.
    pub row: usize,
    /// Why; what stands before a colon is alike for rows of one kind.
    pub why: String,
}

/// What is forecast.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Forecast {
    /// The depth to water.
    DepthToWater,
    /// The chance to get past each depth.
    Refusal,
    /// The chance that a hole gives a usable well.
    Success,
    /// The chance that a quality is worse than its limit.
    Quality(String),
}

impl Forecast {
    /// Reads `depth-to-water`, `refusal`, `success` or `quality:NAME`.
    ///
    /// # Errors
    /// When it is none of them.
    pub fn parse(text: &str) -> Result<Self, String> {
        match text.trim() {
            "depth-to-water" => Ok(Self::DepthToWater),
            "refusal" => Ok(Self::Refusal),
            "success" => Ok(Self::Success),
            other => match other.split_once(':') {
                Some(("quality", name)) if !name.trim().is_empty() => {
                    Ok(Self::Quality(name.trim().to_owned()))
                }
                _ => Err("use depth-to-water, refusal, success or quality:NAME (such as quality:salinity)"
                    .to_owned()),
            },
        }
    }

    /// As it is written.
    pub fn name(&self) -> String {
        match self {
            Self::DepthToWater => "depth-to-water".to_owned(),
            Self::Refusal => "refusal".to_owned(),
            Self::Success => "success".to_owned(),
            Self::Quality(name) => format!("quality:{name}"),
        }
    }
}

/// An amount that is fitted and that no back-test forecasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// What the well gives, litres a second.
    Yield,
    /// How far the water falls from the wettest to the driest month, metres.
    Fall,
}

/// What is done with the day of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dates {
    /// Nothing; a day that cannot be read costs no row.
    Unused,
    /// It is read where it can be.
    WhereTold,
    /// A row without one is of no use.
    Needed,
}

/// What reading the records has to know besides the map.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// The map's name, for messages.
    pub map_name: &'a Arc<str>,
    /// What is done with days.
    pub dates: Dates,
}
