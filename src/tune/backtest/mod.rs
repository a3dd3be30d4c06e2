//! How good are the forecasts where it is known what came? Each record of
//! somebody's table is forecast from others only, and scored beside forecasts
//! that anybody can make, from the same others.
//!
//! ```text
//! table + map ─► records ─► plan (who may forecast whom) ─► forecasts ─┬─► scores ─► result
//!                                                          baselines ──┘
//! ```
//!
//! Depths are metres below ground. What a score is stands in
//! [`crate::stats`].

mod chance;
mod depth;
mod evaluate;
mod forecast;
mod leave_out;
mod refusal;
mod result;
mod scored;
mod scores;

pub use evaluate::run;
pub use leave_out::{LeaveOut, Plan};
pub use result::{BackTest, Bin, Gain, Provenance, Scores};
