//! Reports, one file a format, all from the same model; and the report of a
//! back-test.

pub mod backtest;
mod build;
mod cautions;
pub mod json;
pub mod markdown;
pub mod model;
pub mod text;
mod words;

pub use build::{Inputs, build};
