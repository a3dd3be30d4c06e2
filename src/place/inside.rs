//! Whether a peg stands inside a polygon, at whatever distance its edges are.
//!
//! Edges are straight in longitude and latitude and go the short way round,
//! so the question is answered there exactly: how many times does the ring
//! wind round the peg? Every edge that crosses the peg's meridian north of it
//! counts, +1 going west and −1 going east. A ring that goes once round the
//! Earth has a pole inside; it is taken to be the pole of the smaller side.

use rstar::{AABB, RTree, RTreeObject};

use super::edge::short_way_deg;
use super::index::Wide;
use crate::survey::LonLat;

/// Rings with more edges than this keep them in strips of longitude.
const FEW_EDGES: usize = 32;

/// Padding of boxes and strips in degrees, for rounding (0.1 mm).
const PAD_DEG: f64 = 1e-9;

/// A closed ring without its repeated last place.
#[derive(Debug)]
pub(super) struct Ring {
    /// Longitude and latitude; no two neighbours are more than 90° of
    /// longitude apart.
    places: Vec<[f64; 2]>,
    /// How often the ring winds round the north pole.
    round_north: i32,
    /// Whether a pole is inside, and so every longitude.
    round_a_pole: bool,
    /// The western end in degrees and the width of all edges.
    west: f64,
    width: f64,
    strips: Option<Strips>,
}

/// The edges that touch each of some equal strips of longitude.
#[derive(Debug)]
struct Strips {
    west: f64,
    per_degree: f64,
    edges: Vec<Vec<usize>>,
}

impl Strips {
    /// The first and last strip that `width` degrees from `lon` eastwards
    /// touch, counted on past the last.
    fn touched(&self, lon: f64, width: f64) -> [usize; 2] {
        let first = (lon - self.west).rem_euclid(360.0);
        [first, first + width].map(|lon| (lon * self.per_degree) as usize)
    }

    /// The edges that may pass the meridian `lon`; others too where the ring
    /// does not reach it.
    fn at(&self, lon: f64) -> &[usize] {
        let [at, _] = self.touched(lon, 0.0);
        self.edges.get(at % self.edges.len().max(1)).map_or(&[], Vec::as_slice)
    }
}

/// An edge of a ring: its start, its end and its way in longitude.
type Edge = ([f64; 2], [f64; 2], f64);

/// The edges of a ring, first place repeated or not.
///
/// A ring whose places all lie on the antimeridian, written now 180 and now
/// −180, has no width by the short way and was meant to go all the way round
/// (a band of the world): then its edges go the long way.
pub(super) fn ring_edges(ring: &[LonLat]) -> Vec<Edge> {
    let places: Vec<[f64; 2]> = ring.iter().map(|p| [p.lon_deg(), p.lat_deg()]).collect();
    let on_antimeridian = places.iter().all(|[lon, _]| lon.abs() >= 180.0);
    let next = places.iter().cycle().skip(1);
    let edges = places.iter().zip(next).map(|(from, to)| {
        let plain = to[0] - from[0];
        (*from, *to, if on_antimeridian { plain } else { short_way_deg(from[0], to[0]) })
    });
    edges.filter(|(from, to, lon_step)| (to[1] - from[1]).abs() + lon_step.abs() > 0.0).collect()
}

/// A longitude as seen from another, at least −180 and below 180.
fn seen_from(lon: f64, other: f64) -> f64 {
    match lon - other {
        d if d >= 180.0 => d - 360.0,
        d if d < -180.0 => d + 360.0,
        d => d,
    }
}

impl Ring {
    fn new(ring: &[LonLat]) -> Self {
        let edges = ring_edges(ring);
        // Where the ring is, unrolled, and how far north its edges run: the
        // mean of sin φ over longitude says which side of it is the smaller.
        let start = edges.first().map_or(0.0, |(from, ..)| from[0]);
        let (mut lon, mut west, mut east, mut northing) = (start, start, start, 0.0);
        let mut places = Vec::with_capacity(edges.len());
        for (from, to, lon_step) in &edges {
            let parts = (lon_step.abs() / 90.0).ceil().max(1.0);
            let (step, climb) = (lon_step / parts, (to[1] - from[1]) / parts);
            let mut i = 0.0;
            while i < parts {
                let place = [from[0] + i * step, from[1] + i * climb];
                northing += step * (place[1] + 0.5 * climb).to_radians().sin();
                places.push([seen_from(place[0], 0.0), place[1]]);
                i += 1.0;
            }
            lon += lon_step;
            (west, east) = (west.min(lon), east.max(lon));
        }
        let turns = ((lon - start) / 360.0).round();
        let north_is_inside = turns != 0.0 && northing * turns >= 0.0;
        let round_north = if north_is_inside { turns.clamp(-1e6, 1e6) as i32 } else { 0 };
        let mut ring =
            Self { places, round_north, round_a_pole: turns != 0.0, west, width: east - west, strips: None };
        ring.strips = ring.make_strips();
        ring
    }

    fn edge(&self, i: usize) -> Option<[[f64; 2]; 2]> {
        let from = *self.places.get(i)?;
        let to = *self.places.get(i + 1).or_else(|| self.places.first())?;
        Some([from, to])
    }

    /// As many strips as there are edges, but fewer where edges are so wide
    /// that each would stand in many.
    fn make_strips(&self) -> Option<Strips> {
        let count = self.places.len();
        if count <= FEW_EDGES {
            return None;
        }
        let width = (self.width + 8.0 * PAD_DEG).min(360.0);
        let step = |i| self.edge(i).map_or(0.0, |[from, to]| short_way_deg(from[0], to[0]));
        let widths: f64 = (0..count).map(|i| step(i).abs()).sum();
        let strips = (count as f64 * (3.0 * width / widths.max(width)).min(1.0)).floor().max(1.0);
        let mut strips = Strips {
            west: self.west - 4.0 * PAD_DEG,
            per_degree: strips / width,
            edges: vec![Vec::new(); strips as usize],
        };
        for i in 0..count {
            let ([from, _], step) = (self.edge(i)?, step(i));
            let [first, last] = strips.touched(from[0] + step.min(0.0) - PAD_DEG, step.abs() + 2.0 * PAD_DEG);
            for at in first..=last {
                // After the last strip of a ring that goes all the way round
                // comes the first.
                let at = at % strips.edges.len();
                if let Some(strip) = strips.edges.get_mut(at) {
                    strip.push(i);
                }
            }
        }
        Some(strips)
    }

    /// How often the ring winds round `peg`.
    fn winds(&self, peg: LonLat) -> i32 {
        let crossing = |i: usize| {
            let Some([from, to]) = self.edge(i) else { return 0 };
            let (a, b) = (seen_from(from[0], peg.lon_deg()), seen_from(to[0], peg.lon_deg()));
            // With edges of 90° at most, a difference of more than 180° is one
            // that passes on the far side of the Earth.
            if (a < 0.0) == (b < 0.0) || (b - a).abs() > 180.0 {
                return 0;
            }
            let lat = from[1] - a / (b - a) * (to[1] - from[1]);
            match lat > peg.lat_deg() {
                true if b > a => -1,
                true => 1,
                false => 0,
            }
        };
        let crossings: i32 = match &self.strips {
            None => (0..self.places.len()).map(crossing).sum(),
            Some(strips) => strips.at(peg.lon_deg()).iter().map(|i| crossing(*i)).sum(),
        };
        self.round_north + crossings
    }

    fn holds(&self, peg: LonLat) -> bool {
        self.winds(peg) != 0
    }
}

/// A polygon: its outer ring and its holes.
#[derive(Debug)]
pub(super) struct Area {
    owner: u32,
    outer: Ring,
    holes: Vec<Ring>,
}

impl Area {
    /// `None` for a polygon without a ring.
    pub(super) fn new(owner: u32, rings: &[Vec<LonLat>]) -> Option<Self> {
        let (outer, holes) = rings.split_first()?;
        Some(Self { owner, outer: Ring::new(outer), holes: holes.iter().map(|h| Ring::new(h)).collect() })
    }

    fn holds(&self, peg: LonLat) -> bool {
        self.outer.holds(peg) && !self.holes.iter().any(|hole| hole.holds(peg))
    }

    /// The boxes of longitude and latitude in which it may hold a peg.
    fn boxes(&self) -> Vec<AABB<[f64; 2]>> {
        let ring = &self.outer;
        let lats = ring.places.iter().map(|[_, lat]| *lat);
        let (south, north) = lats.fold((90.0, -90.0), |(s, n): (f64, f64), lat| (s.min(lat), n.max(lat)));
        let (south, north) = match (ring.round_a_pole, ring.round_north) {
            (false, _) => (south, north),
            (true, 0) => (-90.0, north),
            (true, _) => (south, 90.0),
        };
        let make = |west: f64, east: f64| {
            AABB::from_corners([west - PAD_DEG, south - PAD_DEG], [east + PAD_DEG, north + PAD_DEG])
        };
        if ring.places.is_empty() {
            return Vec::new();
        }
        if ring.round_a_pole || ring.width >= 360.0 {
            return vec![make(-180.0, 180.0)];
        }
        let turned = [-360.0, 0.0, 360.0].map(|turn| (ring.west + turn, ring.west + turn + ring.width));
        let seen = turned.into_iter().filter(|(west, east)| *west <= 180.0 && *east >= -180.0);
        seen.map(|(west, east)| make(west, east)).collect()
    }
}

/// The box of one polygon.
#[derive(Debug)]
struct AreaBox {
    area: usize,
    bounds: AABB<[f64; 2]>,
}

impl RTreeObject for AreaBox {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        self.bounds
    }
}

/// Polygons, to be asked which of them hold a peg.
#[derive(Debug)]
pub(super) struct Areas {
    areas: Vec<Area>,
    boxes: RTree<AreaBox, Wide>,
}

impl Areas {
    pub(super) fn new(areas: Vec<Area>) -> Self {
        let boxes = areas.iter().enumerate();
        let boxes = boxes
            .flat_map(|(area, a)| a.boxes().into_iter().map(move |bounds| AreaBox { area, bounds }))
            .collect();
        Self { areas, boxes: RTree::bulk_load_with_params(boxes) }
    }

    /// The shapes that hold `peg`, each once, in order.
    pub(super) fn holding(&self, peg: LonLat) -> Vec<u32> {
        let point = AABB::from_point([peg.lon_deg(), peg.lat_deg()]);
        let near = self.boxes.locate_in_envelope_intersecting(point);
        let near = near.filter_map(|b| self.areas.get(b.area));
        let mut owners: Vec<u32> = near.filter(|area| area.holds(peg)).map(|area| area.owner).collect();
        owners.sort_unstable();
        owners.dedup();
        owners
    }
}
