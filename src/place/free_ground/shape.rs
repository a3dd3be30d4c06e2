//! A shape in the level plane at the peg, and how far a spot is from it.

use geo::algorithm::bool_ops::{FillRule, OpType};
use geo::orient::{Direction, Orient};
use geo::{BooleanOps, Coord, LineString, MultiPolygon, Polygon};

use super::EastNorth;
use crate::place::{Ecef, Offset, Plane, edge::short_way_deg};
use crate::survey::{LonLat, Shape};

/// Edges longer than this are followed in pieces, metres: straight in
/// longitude and latitude, an edge of this length leaves the straight line in
/// the plane by a few millimetres at most outside the polar regions.
const PIECE_M: f64 = 250.0;

/// … unless an edge would then have more pieces than this.
const MOST_PIECES: f64 = 4_000.0;

/// Points, lines and areas in the plane, metres.
#[derive(Debug, Clone, Default)]
pub struct FlatShape {
    /// Edges; a point is an edge without length.
    pub(super) edges: Vec<[EastNorth; 2]>,
    /// Areas that are kept clear within, too.
    pub(super) areas: Vec<Polygon<f64>>,
}

impl FlatShape {
    /// A shape on the ground.
    pub fn of(shape: &Shape, plane: &Plane) -> Self {
        let mut flat = Self::default();
        match shape {
            Shape::Points(points) => {
                flat.edges.extend(points.iter().map(|p| [place_in(plane, *p); 2]));
            }
            Shape::Lines(lines) => {
                for line in lines {
                    flat.follow(&path(line, plane));
                }
            }
            Shape::Polygons(polygons) => {
                for rings in polygons {
                    flat.add_area(&polygon(rings, plane));
                }
            }
        }
        flat
    }

    /// One spot.
    pub fn spot(place: EastNorth) -> Self {
        Self { edges: vec![[place; 2]], areas: Vec::new() }
    }

    /// A line through places.
    pub fn line(places: &[EastNorth]) -> Self {
        let mut flat = Self::default();
        flat.follow(places);
        flat
    }

    /// The rings of polygons, as lines.
    pub fn of_rings(polygons: &MultiPolygon<f64>) -> Self {
        let mut flat = Self::default();
        polygons.iter().for_each(|p| flat.follow_rings(p));
        flat
    }

    /// An area in the plane. One that crosses itself is all that it goes
    /// around, so that nothing of it is taken for free.
    pub fn area(area: &Polygon<f64>) -> Self {
        let mut flat = Self::default();
        flat.add_area(area);
        flat
    }

    fn add_area(&mut self, area: &Polygon<f64>) {
        // Its own edges, for an area so thin that nothing is left of it.
        self.follow_rings(area);
        self.areas.extend(whole(area));
    }

    fn follow(&mut self, places: &[EastNorth]) {
        if let [only] = places {
            self.edges.push([*only; 2]);
        }
        self.edges.extend(places.windows(2).filter_map(|pair| <[EastNorth; 2]>::try_from(pair).ok()));
    }

    fn follow_rings(&mut self, area: &Polygon<f64>) {
        for ring in std::iter::once(area.exterior()).chain(area.interiors()) {
            let places: Vec<_> = ring.coords().map(|c| [c.x, c.y]).collect();
            self.follow(&places);
        }
    }

    /// How far `place` is from it, metres; 0 inside an area.
    pub fn distance_m(&self, place: EastNorth) -> f64 {
        if self.areas.iter().any(|a| holds(a, place)) { 0.0 } else { self.line_distance_m(place) }
    }

    /// The nearest place of it, and how far that is; `place` itself inside an
    /// area. `None` for an empty shape.
    pub fn nearest(&self, place: EastNorth) -> Option<(EastNorth, f64)> {
        if self.areas.iter().any(|a| holds(a, place)) {
            return Some((place, 0.0));
        }
        let nearest = |edge: &[EastNorth; 2]| {
            let near = on_edge(edge, place);
            (near, (near[0] - place[0]).hypot(near[1] - place[1]))
        };
        self.edges.iter().map(nearest).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Its points, and the edges of its lines and areas.
    pub fn edges(&self) -> &[[EastNorth; 2]] {
        &self.edges
    }

    /// How far `place` is from its points, lines and edges.
    pub(super) fn line_distance_m(&self, place: EastNorth) -> f64 {
        self.edges.iter().map(|edge| from_edge2(edge, place)).fold(f64::INFINITY, f64::min).sqrt()
    }

    /// Leaves out the edges farther than `reach_m` from a box; whether anything
    /// is left.
    pub(super) fn keep_near(&mut self, low: EastNorth, high: EastNorth, reach_m: f64) -> bool {
        let apart = |edge: &[EastNorth; 2], axis: usize| {
            let get = |p: &EastNorth| p.get(axis).copied().unwrap_or_default();
            let ends = edge.each_ref().map(get);
            let [a, b] = [get(&low), get(&high)];
            ends.iter().all(|x| *x < a - reach_m) || ends.iter().all(|x| *x > b + reach_m)
        };
        // An area around the box has edges anywhere.
        if self.areas.is_empty() {
            self.edges.retain(|edge| !apart(edge, 0) && !apart(edge, 1));
            return !self.edges.is_empty();
        }
        use geo::BoundingRect;
        self.areas.iter().filter_map(BoundingRect::bounding_rect).any(|b| {
            let edge = [[b.min().x, b.min().y], [b.max().x, b.max().y]];
            !apart(&edge, 0) && !apart(&edge, 1)
        })
    }
}

/// The place of an edge that is nearest.
fn on_edge([[ax, ay], [bx, by]]: &[EastNorth; 2], [x, y]: EastNorth) -> EastNorth {
    let (ux, uy) = (bx - ax, by - ay);
    let length2 = ux * ux + uy * uy;
    let t = if length2 > 0.0 { (((x - ax) * ux + (y - ay) * uy) / length2).clamp(0.0, 1.0) } else { 0.0 };
    [ax + t * ux, ay + t * uy]
}

/// The square of the distance from an edge.
fn from_edge2(edge: &[EastNorth; 2], [x, y]: EastNorth) -> f64 {
    let [u, v] = on_edge(edge, [x, y]);
    (x - u) * (x - u) + (y - v) * (y - v)
}

/// Whether a ring goes around `place`.
fn ring_holds(ring: &LineString<f64>, [x, y]: EastNorth) -> bool {
    let crosses = |a: &Coord<f64>, b: &Coord<f64>| {
        (a.y > y) != (b.y > y) && x < a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x)
    };
    ring.0.windows(2).filter(|pair| matches!(pair, [a, b] if crosses(a, b))).count() % 2 == 1
}

fn holds(area: &Polygon<f64>, place: EastNorth) -> bool {
    ring_holds(area.exterior(), place) && !area.interiors().iter().any(|hole| ring_holds(hole, place))
}

/// Whether any of the polygons holds `place`.
pub(super) fn inside(polygons: &MultiPolygon<f64>, place: EastNorth) -> bool {
    polygons.iter().any(|p| holds(p, place))
}

/// A polygon as one or more that do not cross themselves, outer rings
/// anticlockwise and holes clockwise.
pub(super) fn whole(area: &Polygon<f64>) -> MultiPolygon<f64> {
    let nothing = MultiPolygon::new(Vec::new());
    area.orient(Direction::Default)
        .boolean_op_with_fill_rule(&nothing, OpType::Union, FillRule::NonZero)
        .orient(Direction::Default)
}

/// So far below the plane lies the other half of the Earth, metres; …
const OTHER_SIDE_M: f64 = -5e6;

/// … and so far away it is put, so that none of it comes near the peg.
const FAR_AWAY_M: f64 = 2e7;

/// Where a place lies in the plane.
fn place_in(plane: &Plane, at: LonLat) -> EastNorth {
    let Offset { east_m, north_m, up_m } = plane.offset(Ecef::of(at));
    if up_m > OTHER_SIDE_M {
        return [east_m, north_m];
    }
    let level = east_m.hypot(north_m).max(1.0);
    [FAR_AWAY_M * east_m / level + 1.0, FAR_AWAY_M * north_m / level + FAR_AWAY_M.copysign(north_m)]
}

/// The places of a line, long edges in pieces.
fn path(line: &[LonLat], plane: &Plane) -> Vec<EastNorth> {
    let mut places: Vec<EastNorth> = line.first().map(|p| place_in(plane, *p)).into_iter().collect();
    for pair in line.windows(2) {
        let [from, to] = pair else { continue };
        let [[ax, ay], [bx, by]] = [from, to].map(|p| place_in(plane, *p));
        let pieces = ((bx - ax).hypot(by - ay) / PIECE_M).ceil().clamp(1.0, MOST_PIECES);
        let lon_step = short_way_deg(from.lon_deg(), to.lon_deg());
        let mut i = 1.0;
        while i < pieces {
            let lon = from.lon_deg() + lon_step * (i / pieces);
            let lat = from.lat_deg() + (to.lat_deg() - from.lat_deg()) * (i / pieces);
            let lon = if lon > 180.0 {
                lon - 360.0
            } else if lon < -180.0 {
                lon + 360.0
            } else {
                lon
            };
            places.extend(LonLat::new(lon, lat).ok().map(|p| place_in(plane, p)));
            i += 1.0;
        }
        places.push([bx, by]);
    }
    places
}

/// A polygon of places in the plane.
pub(super) fn polygon(rings: &[Vec<LonLat>], plane: &Plane) -> Polygon<f64> {
    let ring = |places: &Vec<LonLat>| LineString::from(path(places, plane));
    let mut rings = rings.iter().map(ring);
    let outer = rings.next().unwrap_or_else(|| LineString::new(Vec::new()));
    Polygon::new(outer, rings.collect())
}

impl Plane {
    /// A polygon on the ground, its outer ring and its holes, in this plane.
    pub fn polygon(&self, rings: &[Vec<LonLat>]) -> Polygon<f64> {
        polygon(rings, self)
    }
}
