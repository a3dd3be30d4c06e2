//! How good are the forecasts, and the rules ([`judged`]), where it is known
//! what came? Each record of somebody's table is forecast from others only, and
//! scored beside forecasts that anybody can make, from the same others.
//!
//! ```text
//! table + map ─► records ─► plan (who may forecast whom) ─► forecasts ─┬─► scores ─► result
//!                                                          baselines ──┘
//! ```
//!
//! Depths are metres below ground. What a score is stands in
//! [`crate::stats`].

mod chance;
mod columns;
mod depth;
mod evaluate;
mod forecast;
pub mod judged;
mod leave_out;
mod map;
mod map_parts;
mod map_read;
mod map_survey;
mod records;
mod refusal;
mod result;
mod scored;
mod scores;

use std::sync::Arc;

pub use evaluate::run;
pub use leave_out::{LeaveOut, Plan};
pub use map::Map;
pub use map_read::read_map;
pub use records::{Outcome, Record, Records, read_records};
pub use result::{BackTest, Bin, Gain, Provenance, Scores, Skipped};

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

/// What reading the records has to know besides the map.
#[derive(Debug, Clone, Copy)]
pub struct Given<'a> {
    /// The map's name, for messages.
    pub map_name: &'a Arc<str>,
    /// Whether rows without a date are of no use.
    pub needs_dates: bool,
}
