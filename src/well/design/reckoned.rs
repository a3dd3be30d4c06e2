//! A number of the sheet with everything that it rests on.

use serde::Serialize;

use crate::region::Basis;
use crate::units::range::finite;
use crate::units::{OutOfRange, Part, Unit};

use super::figures::DesignFigures;
use super::formulas::Formula;

/// A number of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reckoned {
    /// What it is.
    pub what: &'static str,
    /// The low end.
    pub low: f64,
    /// The likeliest.
    pub likely: f64,
    /// The high end.
    pub high: f64,
    /// The unit.
    pub unit: Unit,
    /// The formula's name.
    pub formula: &'static str,
    /// The formula.
    pub reads: &'static str,
    /// Where formula and figures are from.
    pub sources: Vec<SourceLine>,
    /// The weakest of their bases.
    pub basis: Basis,
    /// What it means, in a sentence.
    pub says: String,
}

/// Where a formula or a figure is from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SourceLine {
    /// The formula, or the name of the figure in the region.
    pub of: String,
    /// Its source.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
}

impl Reckoned {
    /// The number with its ends as a range.
    pub fn part(&self) -> Part {
        Part { low: self.low, value: self.likely, high: self.high }
    }

    /// "4.5 m", or "3 m to 6 m, likely 4.5 m".
    pub fn shown(&self) -> String {
        shown(self.part(), self.unit)
    }
}

/// A range as people read it.
pub(super) fn shown(part: Part, unit: Unit) -> String {
    let (low, likely, high) = (unit.show(part.low), unit.show(part.value), unit.show(part.high));
    if low == high { likely } else { format!("{low} to {high}, likely {likely}") }
}

/// The weaker of two bases.
pub(super) fn weaker(a: Basis, b: Basis) -> Basis {
    let rank = |basis| match basis {
        Basis::Published => 0,
        Basis::LocalRecords => 1,
        Basis::CommonPractice => 2,
        Basis::FromMemory => 3,
    };
    if rank(b) > rank(a) { b } else { a }
}

/// What a number is, before it is reckoned.
#[derive(Debug, Clone, Copy)]
pub(super) struct Naming {
    pub what: &'static str,
    pub unit: Unit,
    pub formula: &'static Formula,
    /// Names of the region's figures that it rests on.
    pub figures: &'static [&'static str],
}

impl Naming {
    /// The number with its sources.
    ///
    /// # Errors
    /// When it is not finite.
    pub fn number(self, part: Part, says: String, figures: &DesignFigures) -> Result<Reckoned, OutOfRange> {
        for x in [part.low, part.value, part.high] {
            finite(self.what, x)?;
        }
        let formula = self.formula;
        let mut sources = vec![SourceLine {
            of: formula.name.to_owned(),
            source: formula.source.to_owned(),
            basis: formula.basis,
        }];
        sources.extend(self.figures.iter().filter_map(|name| {
            let told = figures.told(name)?;
            Some(SourceLine { of: (*name).to_owned(), source: told.source.clone(), basis: told.basis })
        }));
        let basis = sources.iter().map(|s| s.basis).fold(formula.basis, weaker);
        Ok(Reckoned {
            what: self.what,
            low: part.low,
            likely: part.value,
            high: part.high,
            unit: self.unit,
            formula: formula.name,
            reads: formula.reads,
            sources,
            basis,
            says,
        })
    }
}

/// One number without a range.
pub(super) fn exactly(x: f64) -> Part {
    Part { low: x, value: x, high: x }
}

/// The range over several cases of which one is the likeliest.
pub(super) fn over(likely: f64, others: &[f64]) -> Part {
    let low = others.iter().copied().fold(likely, f64::min);
    let high = others.iter().copied().fold(likely, f64::max);
    Part { low, value: likely, high }
}

/// Each end of a range put through a formula that rises with it.
///
/// # Errors
/// Those of the formula.
pub(super) fn rising(
    part: Part,
    formula: impl Fn(f64) -> Result<f64, OutOfRange>,
) -> Result<Part, OutOfRange> {
    Ok(Part { low: formula(part.low)?, value: formula(part.value)?, high: formula(part.high)? })
}
