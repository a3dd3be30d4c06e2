//! From somebody's table to records that can be used: each with its
//! place, its day and what became of it. Every row that cannot be used is
//! named with the reason; none is lost in silence.

use std::sync::Arc;

use jiff::civil::Date;

use super::columns::{Columns, Why};
use super::map::{Map, PlaceColumns};
use super::{Amount, Dates, Forecast, Given, Skipped};
use crate::diag::{Level, Origin, Problem, Problems};
use crate::ground::BoreEnd;
use crate::place::{Ecef, bearing_deg, distance_m};
use crate::survey::LonLat;
use crate::survey::plain::{NoColumn, PlainTable};

/// What became of a record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome {
    /// The depth to water below ground, metres.
    Depth(f64),
    /// Yes or no: a success, or a quality worse than its limit.
    Is(bool),
    /// The depth at which a bore ended, metres, and how.
    Bore(f64, BoreEnd),
    /// An amount that is fitted, in its own unit.
    Amount(f64),
}

/// A record that can be used.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Its row: the line of a CSV, the number of a feature.
    pub row: usize,
    /// East and north of the middle of all records, metres.
    pub at: [f64; 2],
    /// Its latitude, degrees north.
    pub lat_deg: f64,
    /// What the table calls its well.
    pub well: Option<String>,
    /// Height of its ground, metres.
    pub elevation_m: Option<f64>,
    /// The day of its outcome.
    pub date: Option<Date>,
    /// What became of it.
    pub outcome: Outcome,
}

/// The records of a table, and what was left of it.
#[derive(Debug, Clone, Default)]
pub struct Records {
    /// In the order of the table.
    pub all: Vec<Record>,
    /// Rows that were not used, in the order of the table.
    pub skipped: Vec<Skipped>,
    /// How far the farthest record lies from the middle of all, metres.
    pub reach_m: f64,
}

/// Reads the records that `forecast` can be tried on. `None` where the map
/// does not fit the table, which is then reported.
pub fn read_records(
    table: &PlainTable<'_>,
    map: &Map,
    forecast: &Forecast,
    given: &Given<'_>,
    problems: &mut Problems,
) -> Option<Records> {
    read(table, map, given, problems, |columns, problems| columns.outcomes(forecast, given, problems))
}

/// Reads the records that tell an amount. `None` as for [`read_records`].
pub fn read_amounts(
    table: &PlainTable<'_>,
    map: &Map,
    amount: Amount,
    given: &Given<'_>,
    problems: &mut Problems,
) -> Option<Records> {
    read(table, map, given, problems, |columns, problems| columns.amounts(amount, given, problems))
}

fn read(
    table: &PlainTable<'_>,
    map: &Map,
    given: &Given<'_>,
    problems: &mut Problems,
    outcomes: impl Fn(&Columns<'_, '_>, &mut Problems) -> Option<Vec<Result<Outcome, Why>>>,
) -> Option<Records> {
    let before = problems.len();
    columns_are_there(table, map, given, problems);
    let columns = Columns { table, map };
    let outcomes = outcomes(&columns, problems);
    let dates = columns.dates(given, problems);
    if problems.len() > before {
        return None;
    }
    Some(columns.records(outcomes?, dates, given.dates == Dates::Needed))
}

/// Whether the table holds every column that the map names; each that it does
/// not is reported.
pub fn columns_are_there(
    table: &PlainTable<'_>,
    map: &Map,
    given: &Given<'_>,
    problems: &mut Problems,
) -> bool {
    let before = problems.len();
    for column in map.columns() {
        absent(table, &column.value, problems, |code, message, help| Problem {
            code,
            level: Level::Error,
            at: column.spot.at.clone(),
            length: column.spot.length,
            message,
            help,
        });
    }
    if let PlaceColumns::Given = map.place
        && !table.has_places
    {
        lacks(given, "place", "lat = \"…\" and lon = \"…\" below [place]", problems);
    }
    problems.len() == before
}

fn absent(
    table: &PlainTable<'_>,
    name: &str,
    problems: &mut Problems,
    problem: impl Fn(&'static str, String, String) -> Problem,
) {
    match table.column(name) {
        Ok(_) => {}
        Err(NoColumn::Absent(help)) => {
            problems.push(problem("no-such-heading", format!("the records have no column \"{name}\""), help));
        }
        Err(NoColumn::Repeated) => problems.push(problem(
            "duplicate-heading",
            format!("the records have two columns \"{name}\""),
            "Rename one of them, so that one column carries it.".to_owned(),
        )),
    }
}

pub(super) fn lacks(given: &Given<'_>, what: &str, example: &str, problems: &mut Problems) {
    let message = format!("the map does not say which column holds the {what}");
    let at = Origin::whole(Arc::clone(given.map_name));
    problems.error("map-lacks", at, message, format!("Add {example}."));
}

impl Columns<'_, '_> {
    fn records(
        &self,
        outcomes: Vec<Result<Outcome, Why>>,
        dates: Option<Vec<Result<Date, Why>>>,
        needs_dates: bool,
    ) -> Records {
        let wells = self.wells();
        let elevations = self.map.elevation.as_ref().map(|n| self.numbers(n, "elevation"));
        let repeats = self.table.repeats();
        let mut skipped: Vec<Skipped> = self
            .table
            .left_out
            .iter()
            .map(|(row, why)| Skipped { row: *row, why: format!("unreadable row: {why}") })
            .collect();
        let mut found: Vec<(LonLat, Record)> = Vec::new();
        let places = self.places().into_iter().zip(self.kept()).zip(outcomes);
        for (i, ((place, kept), outcome)) in places.enumerate() {
            let row = self.table.row(i);
            let date = match dates.as_ref().and_then(|d| d.get(i).cloned()).transpose() {
                Err(_) if !needs_dates => Ok(None),
                date => date,
            };
            let well = wells.as_ref().and_then(|w| w.get(i).cloned().flatten());
            let height = elevations.as_ref().and_then(|e| e.get(i)?.as_ref().ok().copied());
            let elevation_m = height.or_else(|| self.table.height_m(i));
            let record = || {
                if !kept {
                    return Err("not among the rows that the map keeps".to_owned());
                }
                if let Some(first) = repeats.get(&i) {
                    return Err(format!("repeats an earlier row: row {}", self.table.row(*first)));
                }
                let (at, outcome) = (place?, outcome?);
                let lat_deg = at.lat_deg();
                Ok((at, Record { row, at: [0.0; 2], lat_deg, well, elevation_m, date: date?, outcome }))
            };
            match record() {
                Ok(record) => found.push(record),
                Err(why) => skipped.push(Skipped { row, why }),
            }
        }
        skipped.sort_by_key(|s| s.row);
        let (all, reach_m) = in_one_plane(found);
        Records { all, skipped, reach_m }
    }
}

/// Puts records into the plane about their middle: true distances and
/// directions from there, and between records off by a share of
/// (reach/Earth's radius)²/6 at most.
fn in_one_plane(found: Vec<(LonLat, Record)>) -> (Vec<Record>, f64) {
    let sum = found
        .iter()
        .map(|(at, _)| Ecef::of(*at).0)
        .fold([0.0; 3], |[a, b, c], [x, y, z]| [a + x, b + y, c + z]);
    let Some(middle) = Ecef(sum).lon_lat().or_else(|| found.first().map(|(at, _)| *at)) else {
        return (Vec::new(), 0.0);
    };
    let mut reach_m: f64 = 0.0;
    let mut place = |(at, mut record): (LonLat, Record)| {
        let (far, turn) = (distance_m(middle, at), bearing_deg(middle, at).to_radians());
        record.at = [far * turn.sin(), far * turn.cos()];
        reach_m = reach_m.max(far);
        record
    };
    let all = found.into_iter().map(&mut place).collect();
    (all, reach_m)
}
