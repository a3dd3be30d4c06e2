//! Headings and lines before anyone asked what they mean: what a CSV and a
//! collection of features have in common, so that a key is found, its unit
//! turned and its value read in one way for both.

use super::super::spots::Spots;
use super::super::{Cell, Shape};
use crate::diag::Origin;

/// A table as written, or the properties of features.
pub(in crate::survey) struct Sheet<'t> {
    /// Where bytes of the text stand.
    pub spots: &'t Spots<'t>,
    /// Where to speak of the sheet as a whole.
    pub top: Origin,
    /// What the columns are called here: `heading`, `property`.
    pub called: &'static str,
    /// The headings, in the order of the columns.
    pub headings: Vec<Heading>,
    /// The lines.
    pub lines: Vec<Line>,
    /// Whether its lines come with shapes.
    pub shapes: bool,
    /// Whether a comma in a number may stand for decimals where the numbers
    /// show it: not in a table whose cells are parted by commas.
    pub commas_free: bool,
}

/// What a column is called.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::survey) struct Heading {
    /// The heading as written.
    pub text: String,
    /// Where it stands.
    pub at: Origin,
    /// Characters it covers.
    pub length: usize,
}

/// Values by the number of their column.
pub(in crate::survey) type Cells = Vec<(usize, Written)>;

/// A row or a feature.
#[derive(Debug, Clone)]
pub(in crate::survey) struct Line {
    /// Where it starts.
    pub from: Origin,
    /// What it says, by the number of the column, in their order; nothing
    /// where it has no such property.
    pub cells: Cells,
    /// What the format itself gives (a point's altitude), used where no
    /// column does.
    pub given: Vec<(&'static str, Cell)>,
    /// Its shape, for a feature.
    pub shape: Option<Shape>,
}

impl Line {
    /// What it says in that column.
    pub(in crate::survey) fn cell(&self, index: usize) -> Option<&Written> {
        let at = self.cells.binary_search_by_key(&index, |c| c.0).ok()?;
        self.cells.get(at).map(|c| &c.1)
    }
}

/// A value as written.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::survey) struct Written {
    /// Its text.
    pub text: String,
    /// What the format says it is.
    pub is: Is,
    /// Byte at which it starts.
    pub start: usize,
    /// Characters it covers.
    pub length: usize,
}

/// What the format says of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::survey) enum Is {
    /// Characters, to be made sense of: all of a CSV.
    Text,
    /// A number, its decimals behind a point.
    Number,
    /// A list or an object, which no key takes.
    Structure,
}
