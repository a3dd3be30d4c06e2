//! Where is the thing a record speaks of? A position is a latitude and
//! longitude, a grid reference, or a bearing (degrees from true north) and a
//! distance from the peg. Given several, the one with the smallest error is
//! taken, and a disagreement between them becomes its accuracy.

use geo::{Destination, Distance, Geodesic, Point};

use super::cells::Cells;
use super::faults::{Fault, Faults};
use super::grid::{self, UNKNOWN_DATUM_ERROR_M, Zone};
use super::{Accuracy, CellValue, Datum, Frame, LonLat, Position, Seen, Shape};

/// Why a record cannot be used.
#[derive(Debug)]
pub(crate) enum Unusable {
    /// All that is wrong with it.
    Faults(Vec<Fault>),
    /// It is taken from a peg whose own place is not known, which has been
    /// said already.
    NoPeg,
}

impl From<Fault> for Unusable {
    fn from(fault: Fault) -> Self {
        Unusable::Faults(vec![fault])
    }
}

/// Both values, or all that is wrong with either.
pub(crate) fn both<A, B>(
    a: Result<A, impl Into<Unusable>>,
    b: Result<B, impl Into<Unusable>>,
) -> Result<(A, B), Unusable> {
    match (a.map_err(Into::into), b.map_err(Into::into)) {
        (Ok(a), Ok(b)) => Ok((a, b)),
        (Err(Unusable::Faults(mut first)), Err(Unusable::Faults(second))) => {
            first.extend(second);
            Err(Unusable::Faults(first))
        }
        (Err(Unusable::Faults(faults)), _) | (_, Err(Unusable::Faults(faults))) => {
            Err(Unusable::Faults(faults))
        }
        _ => Err(Unusable::NoPeg),
    }
}

/// What positions may be taken from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reference {
    /// The peg, where its place is known.
    pub peg: Option<LonLat>,
    /// Accuracy of coordinates that state none, where the survey says so.
    pub accuracy_m: Option<f64>,
}

/// How to write a position, for messages.
const HOW: &str = "Write at = { lat = …, lon = …, accuracy_m = … }, or at = { easting_m = …, northing_m = …, \
                   zone = \"37S\", datum = \"WGS84\" }, or from_peg = { bearing_deg = …, distance_m = … }; \
                   in a table, columns of those names.";

/// The position a record states in numbers.
pub(crate) fn place_of(
    cells: &Cells<'_>,
    reference: Reference,
    faults: &mut Faults,
) -> Result<Position, Unusable> {
    let has = |name: &str| cells.get(name).is_some();
    let taped = (has("from_peg.bearing_deg"), has("from_peg.distance_m"));
    let degrees = (has("lat"), has("lon"));
    let grid = (has("easting_m"), has("northing_m"));
    let mut found = Vec::new();
    if taped == (true, true) {
        found.push(from_peg(cells, reference));
    }
    if degrees == (true, true) {
        // A datum beside a grid reference is that of the grid.
        let datum = if grid == (true, true) { None } else { stated_datum(cells, faults) };
        found.push(from_degrees(cells, reference, datum, faults));
    }
    if grid == (true, true) {
        found.push(from_grid(cells, reference, faults));
    }
    let from = &cells.record.from;
    let (good, bad): (Vec<_>, Vec<_>) = found.into_iter().partition(Result::is_ok);
    let mut good = good.into_iter().flatten();
    let Some(mut best) = good.next() else {
        if let Some(first) = bad.into_iter().next() {
            return first;
        }
        let halves = [
            (taped, "from_peg.bearing_deg", "from_peg.distance_m"),
            (degrees, "lat", "lon"),
            (grid, "easting_m", "northing_m"),
        ];
        for (half, first, second) in halves {
            let (there, missing) = match half {
                (true, false) => (first, second),
                (false, true) => (second, first),
                _ => continue,
            };
            return Err(Fault::of(from, "half-position", format!("{there} without {missing}"), HOW).into());
        }
        return Err(Fault::of(from, "no-position", "no position", HOW).into());
    };
    for other in good {
        agree(&mut best, &other, cells, faults);
    }
    for unusable in bad.into_iter().filter_map(Result::err) {
        if let Unusable::Faults(all) = unusable {
            all.into_iter().for_each(|fault| faults.drops_value(fault));
        }
    }
    Ok(best)
}

/// Bearing and distance from the peg.
fn from_peg(cells: &Cells<'_>, reference: Reference) -> Result<Position, Unusable> {
    let line = both(needed(cells, "from_peg.bearing_deg"), needed(cells, "from_peg.distance_m"));
    let ((bearing, distance), accuracy) = both(line, cells.checked("from_peg.accuracy_m"))?;
    let peg = reference.peg.ok_or(Unusable::NoPeg)?;
    let place = Geodesic.destination(Point::new(peg.lon_deg(), peg.lat_deg()), bearing, distance);
    let at = LonLat::new(place.x(), place.y())
        .map_err(|e| Fault::of(&cells.record.from, "not-on-earth", e.to_string(), HOW))?;
    let accuracy = accuracy.map_or(Accuracy::UnstatedTape, |a| Accuracy::Stated(a.value));
    Ok(Position { at, accuracy, frame: Frame::Peg, taped_m: Some(distance) })
}

/// Latitude and longitude.
fn from_degrees(
    cells: &Cells<'_>,
    reference: Reference,
    datum: Option<Stated>,
    faults: &mut Faults,
) -> Result<Position, Unusable> {
    let swapped = |fault: Fault| {
        let size = |name: &str| match cells.get(name).map(|c| &c.value) {
            Some(CellValue::Number(x)) => x.abs(),
            _ => f64::NAN,
        };
        let help = match (size("lat"), size("lon")) {
            (lat, lon) if lat > 180.0 || lon > 180.0 => {
                "Latitudes lie between -90 and 90, longitudes between -180 and 180. Metres of a grid go under \
                 easting_m and northing_m, with zone and datum."
            }
            (lat, lon) if lat > 90.0 && lon <= 90.0 => {
                "Latitudes lie between -90 and 90; latitude and longitude look exchanged."
            }
            _ => return fault,
        };
        Fault { code: "not-on-earth", help: help.to_owned(), ..fault }
    };
    let accuracy = accuracy(cells, reference, faults);
    let (lat, lon) = both(needed(cells, "lat").map_err(swapped), needed(cells, "lon").map_err(swapped))?;
    if lat.abs() < 1e-9 && lon.abs() < 1e-9 {
        return Err(Fault::of(
            &cells.record.from,
            "zero-position",
            "latitude 0, longitude 0 is in the sea off Africa",
            "Devices write it when they have no position; write the true one.",
        )
        .into());
    }
    let earth = |e: super::LonLatError| Fault::of(&cells.record.from, "not-on-earth", e.to_string(), HOW);
    let at = LonLat::new(lon, lat).map_err(earth)?;
    let (at, frame) = match &datum {
        None => (at, Frame::Wgs84),
        Some(Stated::NotKnown) => (at, unknown_datum()),
        Some(Stated::Known(datum)) => (on(datum.value, at, cells)?, frame(datum.value)),
    };
    if let Some(Stated::Known(datum)) = &datum {
        warn_elsewhere(datum, at, faults);
    }
    Ok(Position { at, accuracy, frame, taped_m: None })
}

/// Easting and northing.
fn from_grid(cells: &Cells<'_>, reference: Reference, faults: &mut Faults) -> Result<Position, Unusable> {
    let from = &cells.record.from;
    let outside = |e: String| {
        Fault::of(
            from,
            "outside-grid",
            e,
            "Eastings lie between 100 000 and 900 000 m, northings between 0 and 10 000 000 m; perhaps the two \
             are exchanged, or digits are missing.",
        )
    };
    let metres = |name: &str| needed(cells, name).map_err(|f| outside(f.message));
    let accuracy = accuracy(cells, reference, faults);
    let stated = stated_datum(cells, faults);
    let reference_m = both(metres("easting_m"), metres("northing_m"));
    let ((easting, northing), zone) = both(reference_m, stated_zone(cells))?;
    if stated.is_none() {
        faults.warns(Fault::of(
            from,
            "no-datum",
            "no datum is stated for a grid reference",
            format!(
                "Add datum = \"WGS84\", or the datum of the map it was read from. Until then it counts as off by \
                 up to {UNKNOWN_DATUM_ERROR_M} m, so that it clears no distance shorter than that."
            ),
        ));
    }
    let known = match &stated {
        Some(Stated::Known(datum)) => Some(datum),
        _ => None,
    };
    let wgs84 = Datum::named("WGS 84").map_err(|e| outside(e.to_string()))?;
    let at = grid::from_grid(easting, northing, zone, known.map_or(wgs84, |d| d.value))
        .map_err(|e| outside(e.to_string()))?;
    if zone.perhaps_band_s(at) {
        faults.warns(zone_warning(cells, zone, at));
    }
    if let Some(datum) = known {
        warn_elsewhere(datum, at, faults);
    }
    let frame = known.map_or_else(unknown_datum, |d| frame(d.value));
    Ok(Position { at, accuracy, frame, taped_m: None })
}

/// A shape on the datum its record states; on WGS 84 where it states none,
/// as RFC 7946 has it.
pub(crate) fn shape_of(
    cells: &Cells<'_>,
    shape: &Shape,
    reference: Reference,
    faults: &mut Faults,
) -> Result<(Position, Shape), Unusable> {
    let move_all = |datum: &Datum, places: &[LonLat]| {
        places.iter().map(|p| on(datum, *p, cells)).collect::<Result<Vec<_>, Fault>>()
    };
    let (shape, frame) = match stated_datum(cells, faults) {
        None => (shape.clone(), Frame::Wgs84),
        Some(Stated::NotKnown) => (shape.clone(), unknown_datum()),
        Some(Stated::Known(datum)) => {
            let go = |places: &Vec<LonLat>| move_all(datum.value, places);
            let moved = match shape {
                Shape::Points(points) => Shape::Points(go(points)?),
                Shape::Lines(lines) => Shape::Lines(lines.iter().map(go).collect::<Result<_, _>>()?),
                Shape::Polygons(polygons) => {
                    let rings = |polygon: &Vec<Vec<LonLat>>| polygon.iter().map(go).collect::<Result<_, _>>();
                    Shape::Polygons(polygons.iter().map(rings).collect::<Result<_, _>>()?)
                }
            };
            (moved, frame(datum.value))
        }
    };
    let first = match &shape {
        Shape::Points(points) => points.first(),
        Shape::Lines(lines) => lines.iter().flatten().next(),
        Shape::Polygons(polygons) => polygons.iter().flatten().flatten().next(),
    };
    let empty = || Fault::of(&cells.record.from, "no-position", "an empty shape", HOW);
    let at = *first.ok_or_else(empty)?;
    let accuracy = accuracy(cells, reference, faults);
    Ok((Position { at, accuracy, frame, taped_m: None }, shape))
}

fn stated_zone(cells: &Cells<'_>) -> Result<Zone, Fault> {
    let (Some(written), Some(cell)) = (cells.text("zone"), cells.get("zone")) else {
        return Err(Fault::of(
            &cells.record.from,
            "no-zone",
            "a grid reference without its zone",
            "Add zone = \"37S\": the number of the zone, and N or S for the half of the Earth.",
        ));
    };
    Zone::parse(&written.value).map_err(|error| {
        let help = "Write the number of the zone and N or S, such as \"37S\" (37 south). Other letters are \
                    bands of latitude: C to M south, P to X north.";
        Fault::in_cell(cell, "bad-zone", format!("zone {error}"), help)
    })
}

/// A datum as a record states it.
enum Stated {
    Known(Seen<&'static Datum>),
    /// Stated, but in no list.
    NotKnown,
}

fn stated_datum(cells: &Cells<'_>, faults: &mut Faults) -> Option<Stated> {
    let (written, cell) = (cells.text("datum")?, cells.get("datum")?);
    match Datum::named(&written.value) {
        Ok(datum) => Some(Stated::Known(Seen::new(datum, written.from))),
        Err(error) => {
            let suggestion = error.suggestion.map(|s| format!("Did you mean \"{s}\"? "));
            faults.drops_value(Fault::in_cell(
                cell,
                "unknown-datum",
                format!("datum {error}"),
                format!(
                    "{}Write the name of the datum as it stands on the map; where nobody knows it, leave it out.",
                    suggestion.unwrap_or_default()
                ),
            ));
            Some(Stated::NotKnown)
        }
    }
}

fn on(datum: &Datum, at: LonLat, cells: &Cells<'_>) -> Result<LonLat, Fault> {
    grid::from_datum(at, datum).ok_or_else(|| {
        Fault::of(&cells.record.from, "not-on-earth", format!("no such place on {}", datum.name), HOW)
    })
}

fn frame(datum: &Datum) -> Frame {
    if datum.is_wgs84() {
        return Frame::Wgs84;
    }
    Frame::Datum { name: datum.name.as_str().into(), shift_error_m: datum.shift_error_m }
}

fn unknown_datum() -> Frame {
    Frame::UnknownDatum { shift_error_m: UNKNOWN_DATUM_ERROR_M }
}

fn accuracy(cells: &Cells<'_>, reference: Reference, faults: &mut Faults) -> Accuracy {
    let stated = cells.number("accuracy_m", faults).map(|a| a.value);
    stated.or(reference.accuracy_m).map_or(Accuracy::UnstatedCoordinate, Accuracy::Stated)
}

fn needed(cells: &Cells<'_>, name: &str) -> Result<f64, Fault> {
    let missing = || Fault::of(&cells.record.from, "no-position", format!("no {name}"), HOW);
    cells.checked(name)?.map(|seen| seen.value).ok_or_else(missing)
}

fn warn_elsewhere(datum: &Seen<&'static Datum>, at: LonLat, faults: &mut Faults) {
    let Seen { value: datum, from } = datum;
    if !datum.covers(at.lat_deg(), at.lon_deg()) {
        faults.warns(Fault::of(
            from,
            "datum-elsewhere",
            format!("{} is not in use there", datum.name),
            format!("It is the datum of {}. Check the datum and the zone.", datum.used_in),
        ));
    }
}

fn zone_warning(cells: &Cells<'_>, zone: Zone, at: LonLat) -> Fault {
    Fault::of(
        &cells.record.from,
        "zone-letter",
        format!("S was read as south of the equator, and the place lies at latitude {:.1}", at.lat_deg()),
        format!(
            "Where the band of latitude S (32 to 40 degrees north) is meant, write \"{}N\".",
            zone.number()
        ),
    )
}

/// Holds a second statement of the same place against the first.
fn agree(best: &mut Position, other: &Position, cells: &Cells<'_>, faults: &mut Faults) {
    let point = |p: &Position| Point::new(p.at.lon_deg(), p.at.lat_deg());
    let apart_m = Geodesic.distance(point(best), point(other));
    if apart_m <= 3.0 * (allowance_m(best) + allowance_m(other)) {
        return;
    }
    best.accuracy = match best.accuracy {
        Accuracy::Stated(m) => Accuracy::Stated(m.max(apart_m)),
        _ => Accuracy::Stated(apart_m),
    };
    faults.warns(Fault::of(
        &cells.record.from,
        "positions-disagree",
        format!("two positions of one thing lie {apart_m:.0} m apart"),
        "The first was taken, with that distance as its accuracy; check both.",
    ));
}

/// A generous error of a position, metres: 10 m for a satellite receiver that
/// states none and a tenth of a taped distance (common practice).
fn allowance_m(position: &Position) -> f64 {
    let own = match position.accuracy {
        Accuracy::Stated(m) => m,
        Accuracy::UnstatedCoordinate => 10.0,
        Accuracy::UnstatedTape => position.taped_m.unwrap_or(0.0) / 10.0,
    };
    let shift = match position.frame {
        Frame::Datum { shift_error_m, .. } | Frame::UnknownDatum { shift_error_m } => shift_error_m,
        Frame::Wgs84 | Frame::Peg => 0.0,
    };
    own + shift
}
