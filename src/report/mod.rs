//! Reports, one file a format, all from the same model.

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
pub mod section_model;
pub mod text;
mod words;

pub use build::{Inputs, build};
