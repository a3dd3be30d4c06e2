//! The trainer's tools: worked cases of rules.

mod cases;

pub use cases::{CaseReport, check_cases};
