//! Reports, one file a format, all from the same model; and the report of a
//! back-test.

pub mod backtest;
mod build;
mod cautions;
pub mod compare;
pub mod forecast;
pub mod forecast_flow;
mod forecast_words;
pub mod html;
pub mod json;
pub mod manual;
pub mod markdown;
pub mod messages;
pub mod model;
pub mod plan_model;
mod plan_words;
pub mod section_model;
pub mod text;
pub mod well_plan;
mod words;
pub mod worth;

pub use build::{Inputs, build};
