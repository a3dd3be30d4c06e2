//! forebore
mod built_in;
pub mod diag;
pub mod facts;
pub mod ground;
pub mod place;
pub mod region;
pub mod report;
pub mod rules;
pub mod stats;
pub mod survey;
pub mod tune;
pub mod units;
pub mod verdict;
