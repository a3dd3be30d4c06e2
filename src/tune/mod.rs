//! The trainer's tools: rules checked, tried and compared, and back-tests of
//! forecasts against records whose outcome is known; and what would change an
//! answer.

pub mod backtest;
mod cases;
mod check;
mod compare;
mod explore;
pub mod fit;
pub mod flips;
pub mod free_ground;
pub mod records;
mod sweep;

pub use cases::CaseReport;
pub use check::check;
pub use compare::{Because, Comparison, RuleEffect, Side, Site, SiteChange, compare};
pub use sweep::{Bench, Stretch, Swept};
