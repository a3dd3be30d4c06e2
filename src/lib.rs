//! forebore
mod built_in;
pub mod diag;
pub mod facts;
pub mod place;
pub mod region;
pub mod survey;
pub mod units;
