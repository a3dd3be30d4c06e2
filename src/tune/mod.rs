//! The trainer's tools: worked cases of rules, and back-tests of forecasts
//! against records whose outcome is known.

pub mod backtest;
mod cases;

pub use cases::{CaseReport, check_cases};
