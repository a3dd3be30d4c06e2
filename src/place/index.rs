//! Which hazards or wells are nearest to a peg, and which lie within a
//! distance of it: an index over points, lines and polygons anywhere on
//! Earth, built once and shared by any number of pegs.
//!
//! Shapes are kept in earth-centred coordinates, where longitude has no seam
//! and a pole is a place like any other. Up to 20 km from the peg distances
//! follow from the chord (errors below 0.001 mm for points, 0.1 mm for the
//! nearest place of a line or polygon); farther by the ellipsoidal geodesic
//! to the place that is nearest through the Earth (which of the places of one
//! long shape that is may then be wrong by 0.002 % of the distance up to
//! 1 000 km, and by 0.2 % beyond).

use std::collections::BTreeMap;

use rstar::{AABB, RStarInsertionStrategy, RTree, RTreeParams};

use super::ecef::{Ecef, most_chord_m};
use super::edge::{Nearest, Piece};
use super::enu::Plane;
use super::inside::{Area, Areas, ring_edges};
use super::points::{Point, Points};
use crate::survey::{LonLat, Shape};

/// Nodes of up to 16 children: half again as fast as the crate's own 6.
#[derive(Debug)]
pub(super) struct Wide;

impl RTreeParams for Wide {
    const MIN_SIZE: usize = 6;
    const MAX_SIZE: usize = 16;
    const REINSERTION_COUNT: usize = 4;
    type DefaultInsertionStrategy = RStarInsertionStrategy;
}

/// A shape near a peg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// The id it was indexed under.
    pub id: u32,
    /// The group it was indexed under.
    pub group: u16,
    /// From the peg to its nearest place, metres; 0 inside a polygon.
    pub distance_m: f64,
    /// The direction to that place, degrees from north; `None` where the peg
    /// is inside it or on it.
    pub bearing_deg: Option<f64>,
    /// Whether the peg is inside a polygon of it.
    pub inside: bool,
}

/// Shapes in groups (a kind of hazard, say), to be asked by distance.
#[derive(Debug, Default)]
pub struct PlaceIndex {
    groups: BTreeMap<u16, Group>,
    count: usize,
}

/// The shapes of one group.
#[derive(Debug)]
struct Group {
    points: Points,
    wide: WideShapes,
}

/// Shapes that are more than one point.
#[derive(Debug)]
struct WideShapes {
    /// By owner.
    ids: Vec<u32>,
    pieces: RTree<Piece, Wide>,
    areas: Areas,
}

/// What one group is made from.
#[derive(Default)]
struct Parts {
    points: Vec<Point>,
    ids: Vec<u32>,
    pieces: Vec<Piece>,
    areas: Vec<Area>,
}

/// Where a wide shape lies from a peg.
struct Found {
    owner: u32,
    distance_m: f64,
    /// `None`: the peg is inside.
    place: Option<Ecef>,
}

impl PlaceIndex {
    /// An index over shapes, each with its id and group. Ids need not be
    /// unique; each item is a shape of its own.
    pub fn build<'a>(items: impl IntoIterator<Item = (u32, u16, &'a Shape)>) -> Self {
        let mut parts: BTreeMap<u16, Parts> = BTreeMap::new();
        let mut count = 0;
        for (id, group, shape) in items {
            parts.entry(group).or_default().add(id, shape);
            count += 1;
        }
        let groups = parts.into_iter().map(|(group, parts)| (group, parts.into_group())).collect();
        Self { groups, count }
    }

    /// How many shapes there are.
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// The nearest shape of a group; of several equally near the one of
    /// lowest id.
    pub fn nearest(&self, at: LonLat, group: u16) -> Option<Hit> {
        let (shapes, from) = (self.groups.get(&group)?, Plane::at(at));
        let point = shapes.points.nearest(&from).map(|(point, d)| hit_point(&from, group, point, d));
        let wide = shapes.wide.nearest(&from).map(|found| shapes.wide.hit(&from, group, &found));
        point.into_iter().chain(wide).min_by(by_distance)
    }

    /// The shapes within `radius_m` of `at`, each once, by distance, then id:
    /// exactly those whose [`Hit::distance_m`] is at most `radius_m`.
    pub fn within(&self, at: LonLat, radius_m: f64, group: Option<u16>) -> Vec<Hit> {
        let from = Plane::at(at);
        let mut hits = Vec::new();
        for (group, shapes) in self.searched(radius_m, group) {
            shapes.points.within(&from, radius_m, |point, d| hits.push(hit_point(&from, group, point, d)));
            let wide = shapes.wide.within(&from, radius_m);
            hits.extend(wide.iter().map(|found| shapes.wide.hit(&from, group, found)));
        }
        hits.sort_by(by_distance);
        hits
    }

    /// How many shapes [`PlaceIndex::within`] would return.
    pub fn count_within(&self, at: LonLat, radius_m: f64, group: Option<u16>) -> usize {
        let from = Plane::at(at);
        let count = |shapes: &Group| {
            shapes.points.count_within(&from, radius_m) + shapes.wide.within(&from, radius_m).len()
        };
        self.searched(radius_m, group).map(|(_, shapes)| count(shapes)).sum()
    }

    /// The groups asked for; none where the radius is below zero or NaN.
    fn searched(&self, radius_m: f64, group: Option<u16>) -> impl Iterator<Item = (u16, &Group)> {
        let (low, high) = group.map_or((0, u16::MAX), |g| (g, g));
        self.groups.range(low..=high).filter(move |_| radius_m >= 0.0).map(|(group, shapes)| (*group, shapes))
    }
}

fn by_distance(a: &Hit, b: &Hit) -> std::cmp::Ordering {
    a.distance_m.total_cmp(&b.distance_m).then(a.id.cmp(&b.id)).then(a.group.cmp(&b.group))
}

fn hit_point(from: &Plane, group: u16, point: &Point, distance_m: f64) -> Hit {
    Hit { id: point.id, group, distance_m, bearing_deg: from.bearing_deg(point.place), inside: false }
}

impl Parts {
    fn add(&mut self, id: u32, shape: &Shape) {
        if let Shape::Points(points) = shape
            && let [only] = points.as_slice()
        {
            self.points.push(Point { place: Ecef::of(*only), id });
            return;
        }
        // An index of four thousand million wide shapes fits no memory.
        let owner = u32::try_from(self.ids.len()).unwrap_or(u32::MAX);
        self.ids.push(id);
        let pieces = &mut self.pieces;
        let single = |at: &LonLat| Piece::single(owner, [at.lon_deg(), at.lat_deg()]);
        match shape {
            Shape::Points(points) => pieces.extend(points.iter().map(single)),
            Shape::Lines(lines) => {
                for line in lines {
                    let before = pieces.len();
                    for pair in line.windows(2) {
                        if let [from, to] = pair
                            && from != to
                        {
                            Piece::of_line(owner, *from, *to, pieces);
                        }
                    }
                    // A line that goes nowhere is still somewhere.
                    if pieces.len() == before {
                        pieces.extend(line.first().map(single));
                    }
                }
            }
            Shape::Polygons(polygons) => {
                for rings in polygons {
                    for ring in rings {
                        let before = pieces.len();
                        for (from, to, lon_step) in ring_edges(ring) {
                            Piece::of_edge(owner, from, to, lon_step, pieces);
                        }
                        if pieces.len() == before {
                            pieces.extend(ring.first().map(single));
                        }
                    }
                    self.areas.extend(Area::new(owner, rings));
                }
            }
        }
    }

    fn into_group(self) -> Group {
        let wide = WideShapes {
            ids: self.ids,
            pieces: RTree::bulk_load_with_params(self.pieces),
            areas: Areas::new(self.areas),
        };
        Group { points: Points::new(self.points), wide }
    }
}

impl WideShapes {
    fn hit(&self, from: &Plane, group: u16, found: &Found) -> Hit {
        let id = self.ids.get(found.owner as usize).copied().unwrap_or_default();
        let bearing_deg = found.place.and_then(|place| from.bearing_deg(place));
        Hit { id, group, distance_m: found.distance_m, bearing_deg, inside: found.place.is_none() }
    }

    fn within(&self, from: &Plane, radius_m: f64) -> Vec<Found> {
        let mut found = self.with_chords_within(from, most_chord_m(radius_m));
        found.retain(|found| found.distance_m <= radius_m);
        found
    }

    fn nearest(&self, from: &Plane) -> Option<Found> {
        let holding = self.areas.holding(from.place());
        let best = |found: Vec<Found>| {
            let key = |f: &Found| (f.distance_m, self.ids.get(f.owner as usize).copied().unwrap_or_default());
            found.into_iter().min_by(|a, b| {
                let ((d, i), (e, j)) = (key(a), key(b));
                d.total_cmp(&e).then(i.cmp(&j))
            })
        };
        // Standing inside one shape and on the edge of another, both are at 0.
        if !holding.is_empty() {
            return best(self.with_chords_within(from, most_chord_m(0.0)));
        }
        let first = self.pieces.nearest_neighbor_iter(from.origin().0).next()?;
        let mut place = None;
        first.improve(from.origin(), &mut place);
        // Nothing nearer than that place is beyond its distance. The shape it
        // belongs to may have a place that is nearer through the Earth and yet
        // a hair farther over the ground.
        let reach_m = most_chord_m(from.distance_m(place?.place) * 1.01);
        best(self.with_chords_within(from, reach_m))
    }

    /// The shapes with a place within a chord of `reach_m` or with the peg
    /// inside.
    fn with_chords_within(&self, from: &Plane, reach_m: f64) -> Vec<Found> {
        if self.ids.is_empty() {
            return Vec::new();
        }
        let holding = self.areas.holding(from.place());
        let origin = from.origin();
        let [low, high] = [-reach_m, reach_m].map(|r| origin.0.map(|x| x + r));
        let near = self.pieces.locate_in_envelope_intersecting(AABB::from_corners(low, high));
        let mut near: Vec<(u32, f64, &Piece)> = near
            .filter(|piece| holding.binary_search(&piece.owner).is_err())
            .map(|piece| (piece.owner, piece.least_chord_m(origin), piece))
            .filter(|(_, least, _)| *least <= reach_m)
            .collect();
        near.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut found: Vec<Found> =
            holding.iter().map(|owner| Found { owner: *owner, distance_m: 0.0, place: None }).collect();
        for shape in near.chunk_by(|a, b| a.0 == b.0) {
            let mut best: Option<Nearest> = None;
            for (_, least, piece) in shape {
                if best.is_some_and(|best| least * least > best.chord2) {
                    break;
                }
                piece.improve(origin, &mut best);
            }
            if let (Some(best), Some((owner, ..))) = (best, shape.first()) {
                let distance_m = from.distance_by_chord_m(best.place, best.chord2.sqrt());
                found.push(Found { owner: *owner, distance_m, place: Some(best.place) });
            }
        }
        found
    }
}
