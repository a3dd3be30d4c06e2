//! The trainer's tools: rules checked, tried and compared; and what would
//! change an answer.

mod cases;
mod check;
mod compare;
mod explore;
pub mod flips;
mod sweep;

pub use cases::CaseReport;
pub use check::check;
pub use compare::{Because, Comparison, RuleEffect, Side, Site, SiteChange, compare};
pub use sweep::{Bench, Stretch, Swept};
