//! The field sheet: one page of A4, black on white, for people without a
//! screen. It survives a photocopier: nothing hangs on colour or on grey.
//!
//! What it says depends on the answer. After GO and GO IF it is the plan of a
//! well; after FIND OUT FIRST what to find out, with room for the answers;
//! after NO-GO no plan at all but what to do instead. Letters are as large as
//! lets all of it stand on the page; what has no room even in the smallest is
//! counted.

mod before;
mod bill;
mod blank;
mod columns;
mod fit;
mod instead;
mod page;
mod parts;
mod plan;
mod stop;

use super::messages::{Language, Messages};
use super::model::Report;
use fit::Paper;

/// Sizes of the letters that are tried first, the largest first, points.
const LARGER: [f64; 4] = [10.0, 9.5, 9.0, 8.5];
/// Letters are never smaller.
const SMALLEST: f64 = 8.0;

/// The sheet in a language.
pub fn render(report: &Report, language: Language) -> String {
    let m = Messages::of(language);
    let larger = LARGER.iter().find_map(|size_pt| {
        let paper = Paper::new(m, *size_pt, false);
        let page = page::page(&paper, report);
        (!paper.cut()).then_some(page)
    });
    let page = larger.unwrap_or_else(|| page::page(&Paper::new(m, SMALLEST, true), report));
    format!("<!DOCTYPE html>\n{page}\n")
}
