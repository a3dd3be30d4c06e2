//! forebore: for one peg in the ground, can a small water well be drilled by
//! hand here? The answer is go, go if, find out first or no-go, with reasons
//! that can be followed back to the observation, the limit and the published
//! source.
//!
//! ```text
//! survey files ─► survey ─► what was observed, with units, uncertainty, file:line ─┐
//! region files ─► region ─► limits, priors, seasons, prices ───────────────────────┤
//!                                                                                  ▼
//!                  place  (distances, bearings, what is near, how sure)            │
//!                  ground (materials, refusal, water level)                        ├─► facts
//!                  well   (depth needed, drilling water, rough cost)               │
//!                                                                                  ▼
//!                  rules  (Rhai: one finding a rule) ─► verdict ─► report
//! ```
//!
//! Rust measures, Rhai judges, TOML sets the limits. Nothing on the left knows
//! anything on the right, and a test holds the imports to that.

mod built_in;
pub mod cli;
pub mod diag;
pub mod facts;
pub mod ground;
pub mod place;
pub mod region;
pub mod report;
pub mod rules;
pub mod stats;
pub mod survey;
pub mod tune;
pub mod units;
pub mod verdict;
pub mod well;
