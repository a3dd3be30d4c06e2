//! Which shape is this geometry? Longitude before latitude on WGS84
//! (RFC 7946); nothing empty, open or off the Earth gets through.

use super::super::{LonLat, Shape};
use super::json::{Members, items, numbers};

/// Collections inside collections that are followed; RFC 7946 (section 3.1.8)
/// asks for none.
const DEEPEST: usize = 8;

/// What is wrong with a geometry, and the piece of text it is wrong in.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fault<'t> {
    pub at: &'t str,
    pub code: &'static str,
    pub message: String,
    pub help: &'static str,
}

/// A shape, and what else its coordinates told.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Part<'t> {
    /// The geometry's piece of text.
    pub at: &'t str,
    /// The shape.
    pub shape: Shape,
    /// The third number of a point and its position, unless it is 0, as
    /// programs write that do not know it.
    pub altitude: Option<(f64, &'t str)>,
    /// Rings that had to be closed.
    pub closed: Vec<&'t str>,
}

/// The shapes of a geometry: one, or those of a collection.
pub(super) fn parts(geometry: &str) -> Vec<Result<Part<'_>, Fault<'_>>> {
    let mut found = Vec::new();
    collect(geometry, 0, &mut found);
    found
}

fn collect<'t>(geometry: &'t str, depth: usize, found: &mut Vec<Result<Part<'t>, Fault<'t>>>) {
    let members = match object(geometry) {
        Ok(members) => members,
        Err(fault) => return found.push(Err(fault)),
    };
    let kind = match members.text("type") {
        Ok(kind) => kind.unwrap_or_default(),
        Err(twice) => return found.push(Err(stands_twice(twice.0))),
    };
    if kind != "GeometryCollection" {
        return found.push(one(geometry, &kind, &members));
    }
    let inner = match members.get("geometries") {
        Ok(inner) => inner.and_then(items).unwrap_or_default(),
        Err(twice) => return found.push(Err(stands_twice(twice.0))),
    };
    if inner.is_empty() {
        found.push(Err(empty(geometry)));
    } else if depth == DEEPEST {
        found.push(Err(fault(
            geometry,
            "deep-collection",
            "collections stand inside one another too deep".to_owned(),
            "Write each geometry as a feature of its own.",
        )));
    } else {
        for geometry in inner {
            collect(geometry, depth + 1, found);
        }
    }
}

fn object(geometry: &str) -> Result<Members<'_>, Fault<'_>> {
    Members::of(geometry).ok_or_else(|| {
        fault(
            geometry,
            "not-a-geometry",
            "this is no geometry".to_owned(),
            "A geometry has a type and coordinates.",
        )
    })
}

fn one<'t>(geometry: &'t str, kind: &str, members: &Members<'t>) -> Result<Part<'t>, Fault<'t>> {
    if !["Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon"].contains(&kind) {
        return Err(fault(
            geometry,
            "not-a-geometry",
            format!("{kind:?} is no type of geometry"),
            "GeoJSON knows Point, LineString, Polygon, each with Multi before it, and GeometryCollection.",
        ));
    }
    let coordinates = members.get("coordinates").map_err(|twice| stands_twice(twice.0))?;
    let coordinates = coordinates.ok_or_else(|| empty(geometry))?;
    let mut altitude = None;
    let mut closed = Vec::new();
    let shape = match kind {
        "Point" => {
            let (at, height) = place(coordinates)?;
            altitude = height.filter(|h| h.abs() > 0.0).map(|h| (h, coordinates));
            Shape::Points(vec![at])
        }
        "MultiPoint" => Shape::Points(each(coordinates, |p| Ok(place(p)?.0))?),
        "LineString" => Shape::Lines(vec![line(coordinates)?]),
        "MultiLineString" => Shape::Lines(each(coordinates, line)?),
        "Polygon" => Shape::Polygons(vec![each(coordinates, |r| ring(r, &mut closed))?]),
        _ => Shape::Polygons(each(coordinates, |p| each(p, |r| ring(r, &mut closed)))?),
    };
    Ok(Part { at: geometry, shape, altitude, closed })
}

/// Every item of a list that is not empty.
fn each<'t, T>(
    text: &'t str,
    mut read: impl FnMut(&'t str) -> Result<T, Fault<'t>>,
) -> Result<Vec<T>, Fault<'t>> {
    match items(text) {
        Some(items) if items.is_empty() => Err(empty(text)),
        Some(items) => items.into_iter().map(&mut read).collect(),
        None => Err(fault(
            text,
            "not-coordinates",
            "these are no coordinates of such a geometry".to_owned(),
            "Check the brackets: a position is [longitude, latitude], a line a list of positions, a polygon a list of rings.",
        )),
    }
}

fn line(text: &str) -> Result<Vec<LonLat>, Fault<'_>> {
    let places = each(text, |p| Ok(place(p)?.0))?;
    if places.len() < 2 {
        return Err(fault(
            text,
            "short-line",
            "a line of a single place".to_owned(),
            "A line has two places or more; a single one is a Point.",
        ));
    }
    Ok(places)
}

fn ring<'t>(text: &'t str, closed: &mut Vec<&'t str>) -> Result<Vec<LonLat>, Fault<'t>> {
    let mut places = each(text, |p| Ok(place(p)?.0))?;
    let open = places.first() != places.last();
    if open && let Some(first) = places.first().copied() {
        places.push(first);
    }
    if places.len() < 4 {
        return Err(fault(
            text,
            "short-ring",
            format!("a ring of {} places", places.len()),
            "A ring has four places or more, the last of them the first again.",
        ));
    }
    if open {
        closed.push(text);
    }
    Ok(places)
}

/// A position, and its altitude where it has one.
fn place(text: &str) -> Result<(LonLat, Option<f64>), Fault<'_>> {
    let bad = |message: String, help| Err(fault(text, "not-a-position", message, help));
    let found = numbers(text).unwrap_or_default();
    let (Some(lon), Some(lat)) = (found.first().copied(), found.get(1).copied()) else {
        if items(text).is_some_and(|i| i.is_empty()) {
            return Err(empty(text));
        }
        let shown: String = text.chars().take(40).collect();
        return bad(
            format!("{shown} is not a position"),
            "Write [longitude, latitude] in decimal degrees, as two finite numbers.",
        );
    };
    match LonLat::new(lon, lat) {
        Ok(at) => Ok((at, found.get(2).copied())),
        Err(error) if lat.abs() <= 180.0 && lon.abs() <= 90.0 => {
            bad(error.to_string(), "The two look swapped: in GeoJSON the longitude comes first.")
        }
        Err(error) => bad(
            error.to_string(),
            "GeoJSON holds degrees on WGS84 alone; give a grid reference as easting_m and northing_m in a table.",
        ),
    }
}

fn empty(at: &str) -> Fault<'_> {
    fault(
        at,
        "empty-geometry",
        "the geometry has no place".to_owned(),
        "Draw it, or take the feature out if it is nowhere.",
    )
}

pub(super) fn stands_twice(at: &str) -> Fault<'_> {
    fault(at, "repeated-member", "this member stands twice in one object".to_owned(), "Keep the right one.")
}

fn fault<'t>(at: &'t str, code: &'static str, message: String, help: &'static str) -> Fault<'t> {
    Fault { at, code, message, help }
}
