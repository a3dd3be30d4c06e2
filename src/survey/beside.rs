//! The files beside a survey: found, read and turned into hazards and wells.

use std::io;
use std::sync::Arc;

use geo::{Distance, Geodesic, Point};

use super::entry::{self, Setting};
use super::keys::POSITION_KEYS;
use super::table::{self, TableRead};
use super::{
    Cell, Hazard, LeftOut, LonLat, Progress, RawRecord, RecordKind, TableFile, TestReading, Well, shapes,
    stage_entry,
};
use crate::diag::{Level, Origin, Problems, Sources};

/// How a file beside the survey is opened, by the path written there.
pub(crate) type Open<'a> = &'a dyn Fn(&str) -> io::Result<Vec<u8>>;

/// What the files held.
#[derive(Default)]
pub(crate) struct Held {
    pub hazards: Vec<Hazard>,
    pub wells: Vec<Well>,
    pub progress: Vec<Progress>,
    pub test: Vec<TestReading>,
    pub left_out: Vec<LeftOut>,
}

/// The kinds of file that can be read.
enum Format {
    Table,
    Shapes,
}

/// Checks that each file is there and of a kind that can be read: errors of
/// the survey, which names it. Hands back the bytes of those that are.
pub(crate) fn open_all<'f>(
    files: &'f [TableFile],
    kind: RecordKind,
    open: Open<'_>,
    problems: &mut Problems,
) -> Vec<(&'f TableFile, Vec<u8>)> {
    let mut opened = Vec::new();
    for file in files {
        let (path, at) = (&file.path.value, file.path.from.clone());
        let readable = match format(path) {
            Some(Format::Table) => true,
            Some(Format::Shapes) => kind.has_place(),
            None => false,
        };
        if !readable {
            let message = format!("{path} is no kind of file that can be read");
            let shapes = if kind.has_place() { ", shapes in .geojson or .json" } else { "" };
            let help = format!("Tables end in .csv, .tsv or .txt{shapes}.");
            problems.error("unknown-format", at, message, help);
            continue;
        }
        match open(path) {
            Ok(bytes) => opened.push((file, bytes)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => problems.error(
                "no-file",
                at,
                format!("there is no file {path}"),
                "Check its name; paths start at the folder of the survey.",
            ),
            Err(error) => {
                problems.error("unreadable-file", at, format!("{path} cannot be read: {error}"), "");
            }
        }
    }
    opened
}

/// Reads opened files of one kind.
pub(crate) fn read_all(
    opened: Vec<(&TableFile, Vec<u8>)>,
    kind: RecordKind,
    setting: Setting,
    sources: &mut Sources,
    problems: &mut Problems,
    held: &mut Held,
) {
    for (file, bytes) in opened {
        let name: Arc<str> = file.path.value.as_str().into();
        let before = held.left_out.len();
        let mut own = Problems::new();
        let Some(text) = table::decode(&bytes, &name, &mut own) else {
            held.left_out.push(whole_file(&name, &own));
            problems.extend(own);
            continue;
        };
        let text: Arc<str> = text.into();
        sources.add(name.clone(), text.clone());
        let TableRead { mut records, left_out } = match format(&file.path.value) {
            Some(Format::Shapes) if kind.has_place() => {
                shapes::read_geojson(&text, &name, file, kind, &mut own)
            }
            _ => table::read_table(file, &text, &name, kind, &mut own),
        };
        held.left_out.extend(left_out);
        let gridded = records.iter().any(has_grid);
        for record in &mut records {
            prefer_mapped(file, record);
            file.fill(record);
            // In a file with grid references, the datum stated for the file
            // is theirs, and not that of latitudes beside them.
            let of_file = |c: &Cell| file.datum.as_ref().is_some_and(|d| d.from == c.at);
            if gridded && !has_grid(record) && record.cells.get("datum").is_some_and(of_file) {
                record.cells.remove("datum");
            }
        }
        match kind {
            RecordKind::Hazard => {
                let entered = entry::hazards(&records, setting, &mut own);
                let places = entered.used.iter().map(|h| h.position.at);
                warn_all_far(&name, places, setting.peg, &mut own);
                held.hazards.extend(entered.used);
                held.left_out.extend(entered.left_out);
            }
            RecordKind::Well => {
                let entered = entry::wells(&records, setting, &mut own);
                let places = entered.used.iter().map(|w| w.position.at);
                warn_all_far(&name, places, setting.peg, &mut own);
                held.wells.extend(entered.used);
                held.left_out.extend(entered.left_out);
            }
            RecordKind::Progress => {
                let entered = stage_entry::progress(&records, setting.written_in, &mut own);
                held.progress.extend(entered.used);
                held.left_out.extend(entered.left_out);
            }
            RecordKind::Test => {
                let entered = stage_entry::test(&records, setting.written_in, &mut own);
                held.test.extend(entered.used);
                held.left_out.extend(entered.left_out);
            }
        }
        // A file that could not be used at all must be missed in the verdict.
        if own.any_error() && held.left_out.len() == before {
            held.left_out.push(whole_file(&name, &own));
        }
        problems.extend(own);
    }
}

fn whole_file(name: &Arc<str>, own: &Problems) -> LeftOut {
    let why = own.iter().find(|p| p.level == Level::Error).map(|p| p.message.clone());
    LeftOut {
        from: Origin::whole(name.clone()),
        why: why.unwrap_or_else(|| "the file cannot be read".to_owned()),
    }
}

fn format(path: &str) -> Option<Format> {
    let ending = path.rsplit(['/', '\\']).next()?.rsplit_once('.')?.1.to_lowercase();
    match ending.as_str() {
        "csv" | "tsv" | "txt" => Some(Format::Table),
        "geojson" | "json" => Some(Format::Shapes),
        _ => None,
    }
}

fn has_grid(record: &RawRecord) -> bool {
    record.cells.contains_key("easting_m") && record.cells.contains_key("northing_m")
}

/// Where the survey maps columns of one way of stating a position, columns
/// of another way that merely bear a known heading are not looked at.
fn prefer_mapped(file: &TableFile, record: &mut RawRecord) {
    let ways: [&[&str]; 3] =
        [&["lat", "lon"], &["easting_m", "northing_m"], &["from_peg.bearing_deg", "from_peg.distance_m"]];
    let mapped = |key: &&str| file.columns.contains_key(*key) || file.set.contains_key(*key);
    if ways.iter().any(|way| way.iter().all(mapped)) {
        let other = POSITION_KEYS.iter().filter(|k| ways.iter().any(|w| w.contains(&k.name)));
        for key in other.filter(|k| !mapped(&k.name)) {
            record.cells.remove(key.name);
        }
    }
}

/// Farther than this from the peg, a thing is more likely misplaced than
/// meant, metres.
const FAR_M: f64 = 100_000.0;

const MISPLACED: &str = "Check zone, datum, signs and which number is the latitude.";

pub(crate) fn from_peg_m(peg: LonLat, at: LonLat) -> f64 {
    let point = |at: LonLat| Point::new(at.lon_deg(), at.lat_deg());
    Geodesic.distance(point(peg), point(at))
}

/// Warns of each thing that lies far from the peg: a wrong zone, exchanged
/// numbers or a lost sign move it out of sight.
pub(crate) fn warn_far<'a>(
    places: impl Iterator<Item = (&'a Origin, LonLat)>,
    peg: Option<LonLat>,
    problems: &mut Problems,
) {
    let Some(peg) = peg else { return };
    for (from, at) in places {
        let far_m = from_peg_m(peg, at);
        if far_m > FAR_M {
            let message = format!("it lies {:.0} km from the peg", far_m / 1000.0);
            problems.add(Level::Warning, "far-from-peg", from.clone(), message, MISPLACED);
        }
    }
}

/// Warns where all records of a file lie far from the peg. A table of a whole
/// country may well hold some that do.
fn warn_all_far(
    name: &Arc<str>,
    places: impl Iterator<Item = LonLat>,
    peg: Option<LonLat>,
    problems: &mut Problems,
) {
    let Some(peg) = peg else { return };
    let nearest_m = places.map(|at| from_peg_m(peg, at)).min_by(f64::total_cmp);
    if let Some(nearest_m) = nearest_m.filter(|m| *m > FAR_M) {
        let message = format!("its nearest record lies {:.0} km from the peg", nearest_m / 1000.0);
        let help = format!("{MISPLACED} Or it is the wrong file.");
        problems.add(Level::Warning, "far-from-peg", Origin::whole(name.clone()), message, help);
    }
}

#[cfg(test)]
#[path = "beside_tests.rs"]
mod tests;
