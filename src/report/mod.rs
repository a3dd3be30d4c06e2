//! Reports, one file a format, all from the same model; and the reports of
//! a back-test and of a fit.

pub mod backtest;
mod build;
mod cautions;
pub mod compare;
pub mod fit;
pub mod flips;
pub mod forecast;
pub mod forecast_flow;
mod forecast_words;
pub mod free_ground;
mod free_ground_words;
pub mod geojson;
pub mod html;
pub mod json;
pub mod manual;
pub mod map_plan;
pub mod markdown;
pub mod messages;
pub mod model;
pub mod plan_model;
mod plan_text;
mod plan_words;
mod rounded;
mod seam;
pub mod section_model;
mod section_text;
mod skipped;
pub mod text;
pub mod well_plan;
mod words;
pub mod worth;

pub use build::{Inputs, build};
