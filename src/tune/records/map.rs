//! What the columns of somebody's table mean: the map that is given
//! beside the records, as checked values. Lengths are metres here,
//! whatever the map's units.

use std::collections::BTreeMap;

use crate::region::walk::Found;
use crate::survey::grid::Zone;
use crate::survey::{DateOrder, Datum, DecimalMark};

/// A map as read.
#[derive(Debug, Clone)]
pub struct Map {
    /// Marks that stand for "no value" in any column.
    pub missing: Vec<String>,
    /// The order of day, month and year, where stated.
    pub dates: Option<DateOrder>,
    /// The mark before decimals, where stated.
    pub decimal: Option<DecimalMark>,
    /// Records nearer than this are no neighbours, metres.
    pub neighbours_from_m: f64,
    /// Columns that are known only once a hole is there.
    pub(crate) known_only_after: Vec<Found<String>>,
    /// Where each record is.
    pub place: PlaceColumns,
    /// Height of the ground.
    pub(crate) elevation: Option<NumberColumn>,
    /// When each record's outcome was seen.
    pub(crate) date: Option<Found<String>>,
    /// What names the well, where rows are readings of wells.
    pub(crate) well: Option<Found<String>>,
    /// Rows that are looked at at all.
    pub(crate) keep: Vec<Words>,
    /// The depth to water and the error of reading it, metres.
    pub(crate) depth_to_water: Option<NumberColumn>,
    pub(crate) error_m: Option<f64>,
    /// The depth in the wettest and in the driest month, from one point.
    pub(crate) wet_and_dry: [Option<NumberColumn>; 2],
    /// What the well gives, litres a second.
    pub(crate) well_yield: Option<NumberColumn>,
    /// Depth of the hole.
    pub(crate) hole_depth: Option<NumberColumn>,
    /// Whether the ground refused the hole.
    pub(crate) refusal: Option<YesNo>,
    /// Whether the hole gave a usable well.
    pub(crate) success: Option<YesNo>,
    /// Whether a quality was worse than its limit, by its name.
    pub(crate) quality: BTreeMap<String, Quality>,
}

/// The columns of the place.
#[derive(Debug, Clone)]
pub enum PlaceColumns {
    /// The points of a GeoJSON file itself.
    Given,
    /// Degrees on WGS84.
    Degrees {
        /// North.
        lat: NumberColumn,
        /// East.
        lon: NumberColumn,
    },
    /// A grid in metres.
    Grid {
        /// East.
        easting: NumberColumn,
        /// North.
        northing: NumberColumn,
        /// Its zone.
        zone: Zone,
        /// Its datum.
        datum: &'static Datum,
    },
}

/// A column of numbers.
#[derive(Debug, Clone)]
pub struct NumberColumn {
    pub(crate) column: Found<String>,
    /// By what its numbers are multiplied.
    pub(crate) factor: f64,
    /// Marks that stand for "no value" in it, besides those of the file.
    pub(crate) missing: Vec<String>,
    /// The bounds outside of which a row is skipped, in its own unit.
    pub(crate) plausible: Option<(f64, f64)>,
    /// The unit as written, for messages.
    pub(crate) unit: String,
    /// What is subtracted from it.
    pub(crate) subtract: Option<Box<Subtract>>,
}

/// The height of a reference point.
#[derive(Debug, Clone)]
pub struct Subtract {
    pub(crate) number: NumberColumn,
    /// A height that is missing or not plausible counts as this, in its own
    /// unit; where none is stated the row is skipped.
    pub(crate) otherwise: Option<f64>,
}

/// Words to be found in one column.
#[derive(Debug, Clone)]
pub struct Words {
    pub(crate) column: Found<String>,
    pub(crate) words: Vec<String>,
}

/// What means yes and what means no.
#[derive(Debug, Clone, Default)]
pub struct YesNo {
    /// Choices a cell may hold.
    pub(crate) yes: Vec<Words>,
    pub(crate) no: Vec<Words>,
    /// Words anywhere in a cell.
    pub(crate) yes_says: Vec<Words>,
    pub(crate) no_says: Vec<Words>,
    /// A row with something written in one of these columns that is neither
    /// yes nor no counts as no.
    pub(crate) otherwise_no: bool,
}

/// What makes a quality bad.
#[derive(Debug, Clone)]
pub enum Quality {
    /// Words.
    Words(YesNo),
    /// A number above a limit, in the unit of the number's factor.
    Above {
        /// The column.
        number: NumberColumn,
        /// The limit.
        limit: f64,
        /// Limit and unit as people read them.
        shown: String,
    },
}

impl Map {
    /// Every column it names, and where it does.
    pub(crate) fn columns(&self) -> Vec<&Found<String>> {
        let mut all: Vec<&Found<String>> = self.predictors().into_iter().map(|(c, _)| c).collect();
        all.extend(self.outcomes());
        all.extend(&self.date);
        all.extend(&self.well);
        all.extend(&self.known_only_after);
        let subtracted = self.depth_to_water.iter().filter_map(|n| n.subtract.as_ref());
        all.extend(subtracted.map(|s| &s.number.column));
        all
    }

    /// The columns of what is forecast.
    pub(crate) fn outcomes(&self) -> Vec<&Found<String>> {
        let [wet, dry] = &self.wet_and_dry;
        let numbers = [&self.depth_to_water, wet, dry, &self.well_yield, &self.hole_depth];
        let numbers = numbers.into_iter().flatten();
        let mut all: Vec<&Found<String>> = numbers.map(|n| &n.column).collect();
        for y in [&self.refusal, &self.success].into_iter().flatten() {
            all.extend(y.columns());
        }
        for q in self.quality.values() {
            match q {
                Quality::Words(y) => all.extend(y.columns()),
                Quality::Above { number, .. } => all.push(&number.column),
            }
        }
        all
    }

    /// The columns that a forecast may use or that choose its rows, with what
    /// for.
    pub(crate) fn predictors(&self) -> Vec<(&Found<String>, &'static str)> {
        let mut all = match &self.place {
            PlaceColumns::Given => Vec::new(),
            PlaceColumns::Degrees { lat, lon } => {
                vec![(&lat.column, "the place"), (&lon.column, "the place")]
            }
            PlaceColumns::Grid { easting, northing, .. } => {
                vec![(&easting.column, "the place"), (&northing.column, "the place")]
            }
        };
        all.extend(self.elevation.iter().map(|n| (&n.column, "the elevation")));
        all.extend(self.keep.iter().map(|w| (&w.column, "which rows are looked at")));
        all
    }
}

impl YesNo {
    /// Every column it looks at.
    pub(crate) fn columns(&self) -> impl Iterator<Item = &Found<String>> {
        let all = [&self.yes, &self.no, &self.yes_says, &self.no_says];
        all.into_iter().flatten().map(|w| &w.column)
    }
}
