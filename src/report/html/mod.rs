//! The report as one HTML file that needs nothing else: no network, no
//! script, no font. It is read on a phone in the yard, printed on A4, and read
//! aloud by a screen reader; every picture has the same in words beside it.

mod canvas;
mod chances;
mod changes;
mod costs;
mod design;
mod findings;
mod free_ground;
mod free_plan;
mod geometry;
mod letters;
mod markup;
mod page;
mod pictures;
mod plan;
mod reasons;
mod section;
mod signs;
mod tables;
mod well;

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::indexing_slicing)]
mod contrast_tests;

use super::messages::Messages;
use super::model::Report;

pub use super::messages::Language;

/// The report as a page in a language.
pub fn render(report: &Report, language: Language) -> String {
    format!("<!DOCTYPE html>\n{}\n", page::page(Messages::of(language), report))
}
