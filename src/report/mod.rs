//! Reports, one file a format, all from the same model.

mod build;
mod cautions;
pub mod compare;
pub mod forecast;
pub mod forecast_flow;
mod forecast_words;
pub mod free_ground;
mod free_ground_words;
pub mod geojson;
pub mod json;
pub mod manual;
pub mod markdown;
pub mod model;
pub mod plan;
mod plan_text;
mod seam;
mod section_text;
pub mod text;
mod words;

pub use build::{Inputs, build};
