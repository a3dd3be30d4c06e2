//! One row, feature or TOML table as it was written: canonical keys to cells.
//! Every reader (TOML, tables, shapes) makes these; `entry` turns them into
//! hazards and wells, so that a key means the same wherever it stands.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::Shape;
use crate::diag::Origin;

/// A record as written.
#[derive(Debug, Clone, PartialEq)]
pub struct RawRecord {
    /// Where it starts.
    pub from: Origin,
    /// Its cells by canonical key (`lat`, `lon`, `accuracy_m`, `depth_m`,
    /// `quality.ec_us_cm`, `from_peg.bearing_deg`, …). A missing value is
    /// simply not here.
    pub cells: BTreeMap<String, Cell>,
    /// Its shape, where the record came with one.
    pub shape: Option<Shape>,
    /// Layers of its log, top down, each a record of its own (`to_m`,
    /// `material`, `hardness`).
    pub log: Vec<RawRecord>,
}

/// A value and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Cell {
    /// The value.
    pub value: CellValue,
    /// Where it stands.
    pub at: Origin,
    /// How many characters it covers.
    pub length: usize,
}

/// A value as written, after units were made those of the key.
#[derive(Debug, Clone, PartialEq)]
pub enum CellValue {
    /// Words.
    Text(String),
    /// A finite number in the unit of the key.
    Number(f64),
    /// Less than this number (`< 0.5`).
    Below(f64),
    /// Yes or no.
    Bool(bool),
    /// A day.
    Date(Date),
}
