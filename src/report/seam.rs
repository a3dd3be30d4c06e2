//! Longitudes that run on beyond 180° made such as RFC 7946 (section 3.1.9)
//! wants them: what crosses the antimeridian is cut in two there.

use geo::orient::{Direction, Orient};
use geo::{BooleanOps, BoundingRect, LineString, MultiPolygon, Polygon, Rect};
use serde_json::{Value, json};

use super::build::round;
use super::free_ground::Polygons;

/// Digits of a degree: a centimetre.
const DIGITS: i32 = 7;

fn position(lon: f64, lat: f64) -> [f64; 2] {
    [round(lon, DIGITS), round(lat, DIGITS)]
}

/// A longitude from −180 to 180.
fn home(lon: f64) -> f64 {
    match lon {
        lon if lon > 180.0 => lon - 360.0,
        lon if lon < -180.0 => lon + 360.0,
        lon => lon,
    }
}

/// A point, or several.
pub(super) fn points(points: &[[f64; 2]]) -> Value {
    let all: Vec<_> = points.iter().map(|[lon, lat]| position(home(*lon), *lat)).collect();
    match all.as_slice() {
        [only] => json!({"type": "Point", "coordinates": only}),
        _ => json!({"type": "MultiPoint", "coordinates": all}),
    }
}

/// A line, or several.
pub(super) fn lines(lines: &[Vec<[f64; 2]>]) -> Value {
    let all: Vec<_> = lines.iter().flat_map(|line| cut_line(line)).collect();
    match all.as_slice() {
        [only] => json!({"type": "LineString", "coordinates": only}),
        _ => json!({"type": "MultiLineString", "coordinates": all}),
    }
}

fn cut_line(line: &[[f64; 2]]) -> Vec<Vec<[f64; 2]>> {
    let side = |lon: f64| {
        if lon > 180.0 {
            1
        } else if lon < -180.0 {
            -1
        } else {
            0
        }
    };
    let mut parts = vec![Vec::new()];
    let mut push = |at: [f64; 2], turn: i32, new: bool| {
        if new {
            parts.push(Vec::new());
        }
        if let Some(part) = parts.last_mut() {
            part.push(position(at[0] - 360.0 * f64::from(turn), at[1]));
        }
    };
    let mut before: Option<[f64; 2]> = None;
    for at in line {
        if let Some(from) = before
            && side(from[0]) != side(at[0])
        {
            let (old, new) = (side(from[0]), side(at[0]));
            let seam = 180.0 * f64::from(if new == 0 { old } else { new });
            let share = (seam - from[0]) / (at[0] - from[0]);
            let lat = from[1] + share * (at[1] - from[1]);
            push([seam, lat], old, false);
            push([seam, lat], new, true);
        }
        push(*at, side(at[0]), false);
        before = Some(*at);
    }
    parts.retain(|part| part.len() > 1);
    parts
}

/// A polygon, or several; outer rings anticlockwise, holes clockwise.
pub(super) fn polygons(polygons: &Polygons) -> Value {
    let ring =
        |places: &Vec<[f64; 2]>| LineString::from(places.iter().map(|p| (p[0], p[1])).collect::<Vec<_>>());
    let all: MultiPolygon<f64> = polygons
        .iter()
        .filter_map(|rings| {
            let (outer, holes) = rings.split_first()?;
            Some(Polygon::new(ring(outer), holes.iter().map(ring).collect()))
        })
        .collect();
    let cut =
        all.0.into_iter().flat_map(cut_polygon).collect::<MultiPolygon<f64>>().orient(Direction::Default);
    let ring = |ring: &LineString<f64>| {
        let mut places: Vec<_> = ring.coords().map(|c| position(c.x, c.y)).collect();
        // A centimetre is the finest that is written.
        places.dedup();
        places
    };
    let coordinates: Vec<Vec<Vec<[f64; 2]>>> = cut
        .iter()
        .map(|p| {
            std::iter::once(p.exterior()).chain(p.interiors()).map(ring).filter(|r| r.len() > 3).collect()
        })
        .filter(|rings: &Vec<_>| !rings.is_empty())
        .collect();
    match coordinates.as_slice() {
        [only] => json!({"type": "Polygon", "coordinates": only}),
        _ => json!({"type": "MultiPolygon", "coordinates": coordinates}),
    }
}

fn cut_polygon(polygon: Polygon<f64>) -> Vec<Polygon<f64>> {
    use geo::Translate;
    let Some(bounds) = polygon.bounding_rect() else { return Vec::new() };
    let (west, east) = (bounds.min().x, bounds.max().x);
    if west >= -180.0 && east <= 180.0 {
        return vec![polygon];
    }
    let mut parts = Vec::new();
    for turn in [-1.0_f64, 0.0, 1.0] {
        let (low, high) = (360.0 * turn - 180.0, 360.0 * turn + 180.0);
        // No wider than it must be: the grid of the cut is as fine as it is
        // small.
        let (low, high) = (low.max(west), high.min(east));
        if low >= high {
            continue;
        }
        let strip = Rect::new((low, bounds.min().y), (high, bounds.max().y)).to_polygon();
        parts.extend(polygon.intersection(&strip).into_iter().map(|p| p.translate(-360.0 * turn, 0.0)));
    }
    parts
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_cross_stays_whole() {
        let square = vec![vec![vec![[1.0, 1.0], [1.0, 2.0], [2.0, 2.0], [2.0, 1.0], [1.0, 1.0]]]];
        let value = polygons(&square);
        assert_eq!(value["type"], "Polygon");
        // Turned anticlockwise.
        assert_eq!(value["coordinates"][0][1], json!([2.0, 1.0]));
        assert_eq!(lines(&[vec![[1.0, 1.0], [2.0, 2.0]]])["type"], "LineString");
    }

    #[test]
    fn a_polygon_across_the_antimeridian_is_cut_there() {
        let square = vec![vec![vec![
            [179.999, 0.0],
            [180.002, 0.0],
            [180.002, 0.001],
            [179.999, 0.001],
            [179.999, 0.0],
        ]]];
        let value = polygons(&square);
        assert_eq!(value["type"], "MultiPolygon");
        let parts = value["coordinates"].as_array().unwrap();
        assert_eq!(parts.len(), 2);
        let lons: Vec<Vec<f64>> = parts
            .iter()
            .map(|p| p[0].as_array().unwrap().iter().map(|c| c[0].as_f64().unwrap()).collect())
            .collect();
        assert!(lons[0].iter().all(|l| (179.999..=180.0).contains(l)), "{lons:?}");
        assert!(lons[1].iter().all(|l| (-180.0..=-179.998).contains(l)), "{lons:?}");
    }

    #[test]
    fn a_line_across_the_antimeridian_is_cut_there() {
        let value = lines(&[vec![[-179.9, 0.0], [-180.1, 0.2]]]);
        assert_eq!(
            value["coordinates"],
            json!([[[-179.9, 0.0], [-180.0, 0.1]], [[180.0, 0.1], [179.9, 0.2]]])
        );
        assert_eq!(points(&[[180.5, 1.0]])["coordinates"], json!([-179.5, 1.0]));
    }
}
