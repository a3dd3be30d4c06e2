//! The ground on which the peg may be moved: `[plot]` of a survey, by its
//! corners or by the polygons of a GeoJSON file beside it.
//!
//! A plot that cannot be understood is an error of the survey: ground that is
//! somebody else's must not be offered because a corner was mistyped.

use std::sync::Arc;

use super::beside::Open;
use super::cells::Cells;
use super::entry::{Setting, WrittenIn};
use super::faults::{Fault, Faults};
use super::keys::POSITION_KEYS;
use super::place_of::{Reference, Unusable, place_of, shape_of};
use super::plot_ring::{Flaw, flaw, same_place};
use super::toml_record;
use super::toml_table::{Table, no_advice};
use super::toml_value::Bounds;
use super::{
    Cell, CellValue, LonLat, Position, RawRecord, RecordKind, Seen, Shape, TableFile, shapes, table,
};
use crate::diag::{Level, Origin, Problems, Sources};

/// The ground on which the peg may be moved.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// Polygons, each an outer ring and its holes; rings are closed and none
    /// crosses itself.
    pub polygons: Vec<Vec<Vec<LonLat>>>,
    /// How the corners are known: the position of each, or, of a file, one
    /// for each of its shapes.
    pub corners: Vec<Position>,
    /// Where it was written.
    pub from: Origin,
}

/// What the survey's own file says of the plot.
pub(crate) enum Written {
    Corners(Plot),
    File { path: Seen<String>, accuracy_m: Option<f64> },
}

const HOW: &str = "Write corners = [ { lat = …, lon = … }, … ], or corners taken from the peg, \
                   [ { bearing_deg = …, distance_m = … }, … ], in order around the plot; or file = \"plot.geojson\".";

/// The most corners that are read.
const MOST_CORNERS: usize = 20_000;

/// Reads `[plot]`; `None` where there is none, or after an error.
pub(crate) fn section(top: &mut Table<'_>, setting: Setting, problems: &mut Problems) -> Option<Written> {
    let mut table = top.section("plot", problems)?;
    let accuracy_m =
        table.number("accuracy_m", Bounds { unit: "m", least: 0.001, most: 100_000.0 }, problems);
    let accuracy_m = accuracy_m.map(|a| a.value);
    let path = table.text("file", problems);
    let has_corners = table.has("corners");
    let corners = table.list("corners", HOW, problems);
    let mut records = Vec::new();
    for value in &corners {
        let Some(mut corner) = Table::from_value(table.toml(), "corner", value, problems) else { continue };
        let mut record = toml_record::corner(&mut corner, problems);
        corner.finish(no_advice, problems);
        fill_accuracy(&mut record, accuracy_m);
        records.push(record);
    }
    let (from, span, toml) = (table.origin(), table.span(), table.toml());
    table.finish(no_advice, problems);
    match path {
        Some(path) if has_corners => {
            let message = "a plot by its corners and by a file";
            problems.error("two-plots", path.from, message, "Keep one of the two.");
            None
        }
        Some(path) => Some(Written::File { path, accuracy_m }),
        None if records.is_empty() => {
            if corners.is_empty() {
                toml.error(span, "missing-key", "a plot without corners and without a file", HOW, problems);
            }
            None
        }
        None => by_corners(&records, setting, from, problems).map(Written::Corners),
    }
}

/// What the plot says of all its corners, where a corner says nothing.
fn fill_accuracy(record: &mut RawRecord, accuracy_m: Option<f64>) {
    let taped = record.cells.contains_key("from_peg.distance_m");
    let key = if taped { "from_peg.accuracy_m" } else { "accuracy_m" };
    if let Some(metres) = accuracy_m {
        let cell = Cell { value: CellValue::Number(metres), at: record.from.clone(), length: 0 };
        record.cells.entry(key.to_owned()).or_insert(cell);
    }
}

fn by_corners(
    records: &[RawRecord],
    setting: Setting,
    from: Origin,
    problems: &mut Problems,
) -> Option<Plot> {
    let mut faults = Faults::new(WrittenIn::Survey);
    let reference = Reference { peg: setting.peg, accuracy_m: setting.accuracy_m };
    let mut corners = Vec::new();
    for record in records {
        match place_of(&Cells::new(record, &[POSITION_KEYS]), reference, &mut faults) {
            Ok(position) => corners.push(position),
            Err(Unusable::Faults(all)) => all.into_iter().for_each(|fault| faults.leaves_out(fault)),
            Err(Unusable::NoPeg) => {}
        }
    }
    faults.give(problems);
    if corners.len() < records.len() {
        return None;
    }
    let mut ring: Vec<LonLat> = corners.iter().map(|c| c.at).collect();
    if let Some(first) = ring.first().copied()
        && ring.last().is_none_or(|last| !same_place(*last, first) || ring.len() == 1)
    {
        ring.push(first);
    }
    if let Some(found) = flaw(&ring) {
        let line_of = |corner: usize| records.get(corner % records.len().max(1)).map(|r| r.from.clone());
        let said = |corner: usize| corner % records.len().max(1) + 1;
        let (at, message) = match found {
            Flaw::TooFew => (from, "a plot of fewer than three corners".to_owned()),
            Flaw::NoArea => (from, "a plot without any area".to_owned()),
            Flaw::Crosses(one, other) => (
                line_of(other).unwrap_or(from),
                format!(
                    "the edge from corner {} to corner {} meets the one from corner {} to corner {}",
                    said(other),
                    said(other + 1),
                    said(one),
                    said(one + 1)
                ),
            ),
        };
        problems.error("bad-plot", at, message, "Write the corners in order around the plot, three or more.");
        return None;
    }
    let plot = Plot { polygons: vec![vec![ring]], corners, from };
    near_the_peg(plot, setting, problems)
}

/// Reads the plot's file, opened by its path.
pub(crate) fn read(
    written: Written,
    setting: Setting,
    open: Open<'_>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Plot> {
    let (path, accuracy_m) = match written {
        Written::Corners(plot) => return Some(plot),
        Written::File { path, accuracy_m } => (path, accuracy_m),
    };
    let name: Arc<str> = path.value.as_str().into();
    let bytes = match open(&path.value) {
        Ok(bytes) => bytes,
        Err(error) => {
            let message = match error.kind() {
                std::io::ErrorKind::NotFound => format!("there is no file {name}"),
                _ => format!("{name} cannot be read: {error}"),
            };
            let help = "Check its name; paths start at the folder of the survey.";
            problems.error("no-file", path.from, message, help);
            return None;
        }
    };
    let text: Arc<str> = table::decode(&bytes, &name, problems)?.into();
    sources.add(name.clone(), text.clone());
    let file = TableFile::plain(path.clone());
    let before = problems.len();
    let mut found = Problems::new();
    let mut read = shapes::read_geojson(&text, &name, &file, RecordKind::Hazard, &mut found);
    // Properties that nobody needs are no news here, and a shape of the plot
    // that cannot be used is no less than an error.
    for mut problem in found.iter().filter(|p| p.code != "extra-columns").cloned() {
        if problem.level == Level::LeftOut {
            problem.level = Level::Error;
        }
        problems.push(problem);
    }
    let mut plot = Plot { polygons: Vec::new(), corners: Vec::new(), from: path.from.clone() };
    for record in &mut read.records {
        fill_accuracy(record, accuracy_m);
        if let Some((position, polygons)) = by_shape(record, setting, problems) {
            plot.corners.push(position);
            plot.polygons.extend(polygons);
        }
    }
    if plot.polygons.is_empty() && problems.len() == before {
        let help = "Draw the plot as a Polygon or MultiPolygon, with holes where it has some.";
        problems.error("bad-plot", path.from, format!("{name} holds no area"), help);
    }
    let whole = problems.iter().skip(before).all(|p| p.level != Level::Error);
    if whole { near_the_peg(plot, setting, problems) } else { None }
}

type Polygons = Vec<Vec<Vec<LonLat>>>;

fn by_shape(record: &RawRecord, setting: Setting, problems: &mut Problems) -> Option<(Position, Polygons)> {
    let shape = record.shape.as_ref()?;
    let mut faults = Faults::new(WrittenIn::Survey);
    let reference = Reference { peg: setting.peg, accuracy_m: setting.accuracy_m };
    let placed = shape_of(&Cells::new(record, &[POSITION_KEYS]), shape, reference, &mut faults);
    let bad = |message: &str, help: &str| Fault::of(&record.from, "bad-plot", message, help);
    let mut plot = None;
    match placed {
        Ok((position, Shape::Polygons(polygons))) => {
            let flaws = polygons.iter().flatten().filter_map(|ring| flaw(ring));
            for found in flaws {
                let message = match found {
                    Flaw::TooFew => "a ring of fewer than three corners".to_owned(),
                    Flaw::NoArea => "a ring without any area".to_owned(),
                    Flaw::Crosses(one, other) => {
                        format!("a ring whose edges {} and {} meet", one + 1, other + 1)
                    }
                };
                let help = "Draw each ring once around, without crossing or touching itself.";
                faults.leaves_out(bad(&message, help));
            }
            plot = Some((position, polygons));
        }
        Ok(_) => faults.leaves_out(bad(
            "a plot that is drawn as points or lines",
            "Draw the plot as a Polygon or MultiPolygon.",
        )),
        Err(Unusable::Faults(all)) => all.into_iter().for_each(|fault| faults.leaves_out(fault)),
        Err(Unusable::NoPeg) => {}
    }
    faults.give(problems);
    plot
}

/// A peg is not moved farther than this: a corner beyond it is a slip,
/// metres. Areas and distances are worked out in the level plane at the peg,
/// which is true to a millimetre out to there.
const FARTHEST_M: f64 = 5_000.0;

fn near_the_peg(plot: Plot, setting: Setting, problems: &mut Problems) -> Option<Plot> {
    let places = || plot.polygons.iter().flatten().flatten();
    let count = places().count();
    if count > MOST_CORNERS {
        let help = "Draw it with fewer; a plot needs no finer line than a tape can follow.";
        problems.error("bad-plot", plot.from, format!("a plot of {count} corners"), help);
        return None;
    }
    // Without a peg the survey has its error already.
    let peg = setting.peg?;
    let far_m = places().map(|at| super::beside::from_peg_m(peg, *at)).fold(0.0, f64::max);
    if far_m > FARTHEST_M {
        let message = format!("a corner of the plot lies {:.1} km from the peg", far_m / 1000.0);
        let help = "Check signs, zone, datum and which number is the latitude; the plot lies around the peg.";
        problems.error("far-from-peg", plot.from, message, help);
        return None;
    }
    Some(plot)
}

#[cfg(test)]
#[path = "plot_tests.rs"]
mod tests;
