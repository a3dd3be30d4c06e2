//! Edges of lines and polygons: how near a peg they come.
//!
//! An edge is straight in longitude and latitude (RFC 7946, section 3.1.1),
//! so on the ground it is a little bent, and through the Earth more so. It is
//! kept in pieces; the bend of a piece is bounded, so its chord less the bend
//! is a bound below the distance to every place on it. The nearest place is
//! then found by halving the pieces that may hold it until the bend is a tenth
//! of a millimetre. Edges go the short way round in longitude.

use rstar::{AABB, Envelope, PointDistance, RTreeObject};

use super::ecef::Ecef;
use super::enu::NEAR_M;
use crate::survey::LonLat;

/// Pieces are no longer than this, metres, …
const PIECE_M: f64 = 1_000.0;
/// … unless an edge would then have more pieces than this.
const MOST_PIECES: f64 = 64.0;
/// A piece bent no more than this is measured as if it were straight, metres.
const STRAIGHT_M: f64 = 1e-4;
/// … and no longer than a kilometre: the height of the arc over the chord.
const SHALLOW_M: f64 = 0.02;
/// Beyond [`NEAR_M`] a bend of this share of the distance does not matter.
const FAR_SHARE: f64 = 1e-6;
/// The greatest radius of curvature of the ellipsoid (at the poles, a²/b =
/// 6 399 594 m) and 2 % for what a sphere of that size leaves out.
const CURVE_M: f64 = 1.02 * 6_399_594.0;
/// For rounding in earth-centred coordinates, metres.
const ROUNDING_M: f64 = 1e-6;

/// The change of longitude from `from` to `to` by the short way, degrees.
pub(super) fn short_way_deg(from: f64, to: f64) -> f64 {
    match to - from {
        d if d > 180.0 => d - 360.0,
        d if d < -180.0 => d + 360.0,
        d => d,
    }
}

/// Where the nearest place of a shape was found, and the square of its chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Nearest {
    pub(super) chord2: f64,
    pub(super) place: Ecef,
}

impl Nearest {
    /// The nearer of both, and always the same one of two that are equally
    /// near, whatever the order in which they were met.
    fn improve(best: &mut Option<Self>, from: Ecef, place: Ecef) {
        let key = |n: &Self| {
            let [x, y, z] = n.place.0;
            [n.chord2, x, y, z]
        };
        let new = Self { chord2: from.chord2(place), place };
        if best.as_ref().is_none_or(|old| key(&new) < key(old)) {
            *best = Some(new);
        }
    }
}

/// How far a piece leaves its chord, metres.
#[derive(Debug, Clone, Copy)]
struct Bend {
    /// Sideways, over the ground.
    sideways: f64,
    /// Upwards, by the roundness of the Earth.
    upwards: f64,
}

impl Bend {
    /// A curve leaves its chord by no more than an eighth of the greatest
    /// second derivative over a parameter from 0 to 1. With longitude and
    /// latitude linear in it (steps λ, φ in radians) that is, over the ground,
    /// R·sin φ·λ·√(4φ² + cos² φ·λ²), and downwards R·(φ² + cos² φ·λ²).
    fn of(lat_deg: f64, lon_step: f64, lat_step: f64) -> Self {
        let (one, other) = (lat_deg.to_radians(), (lat_deg + lat_step).to_radians());
        let least = if one * other <= 0.0 { 0.0 } else { one.abs().min(other.abs()) };
        let (cos, sin) = (least.cos(), one.abs().max(other.abs()).sin());
        let (lon, lat) = (lon_step.to_radians(), lat_step.to_radians());
        let across = (cos * lon) * (cos * lon);
        Self {
            sideways: CURVE_M / 8.0 * sin * lon.abs() * (4.0 * lat * lat + across).sqrt(),
            upwards: CURVE_M / 8.0 * (lat * lat + across),
        }
    }

    /// That of either half.
    fn halved(self) -> Self {
        Self { sideways: self.sideways / 4.0, upwards: self.upwards / 4.0 }
    }

    fn all(self) -> f64 {
        self.sideways + self.upwards + ROUNDING_M
    }

    /// Whether it does not matter at the distance `away_m`.
    fn is_straight(self, away_m: f64) -> bool {
        let is_far = away_m > NEAR_M && self.all() <= FAR_SHARE * away_m;
        is_far || (self.sideways <= STRAIGHT_M && self.upwards <= SHALLOW_M)
    }
}

/// A piece of an edge, or a single place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    /// The shape it is of.
    pub(super) owner: u32,
    ends: [Ecef; 2],
    lon_deg: f64,
    lat_deg: f64,
    lon_step: f64,
    lat_step: f64,
    bend: Bend,
    bounds: AABB<[f64; 3]>,
}

/// A stretch of a piece between two values of its parameter.
#[derive(Clone, Copy)]
struct Stretch {
    t: [f64; 2],
    ends: [Ecef; 2],
    bend: Bend,
}

impl Stretch {
    /// The nearest place on the chord, as a share of it, and its distance.
    fn on_chord(&self, from: Ecef) -> (f64, f64) {
        let [a, b] = self.ends;
        let (along, to) = (a.to(b), a.to(from));
        let dot = |u: [f64; 3], v: [f64; 3]| u.iter().zip(v).map(|(a, b)| a * b).sum::<f64>();
        let length2 = dot(along, along);
        let share = if length2 > 0.0 { (dot(along, to) / length2).clamp(0.0, 1.0) } else { 0.0 };
        let ([x, y, z], [u, v, w]) = (a.0, along);
        (share, from.chord_m(Ecef([x + share * u, y + share * v, z + share * w])))
    }

    /// No place of the stretch has a shorter chord.
    fn least_chord_m(&self, from: Ecef) -> f64 {
        (self.on_chord(from).1 - self.bend.all()).max(0.0)
    }
}

impl Piece {
    /// A single place.
    pub(super) fn single(owner: u32, [lon_deg, lat_deg]: [f64; 2]) -> Self {
        Self::new(owner, [lon_deg, lat_deg], [0.0, 0.0], [Ecef::at_degrees(lon_deg, lat_deg); 2])
    }

    fn new(
        owner: u32,
        [lon_deg, lat_deg]: [f64; 2],
        [lon_step, lat_step]: [f64; 2],
        ends: [Ecef; 2],
    ) -> Self {
        let bend = Bend::of(lat_deg, lon_step, lat_step);
        let ([a, b], pad) = (ends.map(|end| AABB::from_point(end.0)), bend.all());
        let (low, high) = (a.merged(&b).lower(), a.merged(&b).upper());
        let bounds = AABB::from_corners(low.map(|x| x - pad), high.map(|x| x + pad));
        Self { owner, ends, lon_deg, lat_deg, lon_step, lat_step, bend, bounds }
    }

    /// Puts the pieces of the edge from `[lon, lat]` to another into `pieces`;
    /// `lon_step` is the way it goes in longitude.
    pub(super) fn of_edge(owner: u32, from: [f64; 2], to: [f64; 2], lon_step: f64, pieces: &mut Vec<Self>) {
        let ([lon, lat], lat_step) = (from, to[1] - from[1]);
        let bend = Bend::of(lat, lon_step, lat_step);
        let length_m = (8.0 * CURVE_M * bend.upwards).sqrt();
        let count = (length_m / PIECE_M).ceil().clamp(1.0, MOST_PIECES);
        let point = |i: f64| [lon + lon_step * (i / count), lat + lat_step * (i / count)];
        let last = Ecef::at_degrees(to[0], to[1]);
        let (mut i, mut start) = (0.0, Ecef::at_degrees(lon, lat));
        while i < count {
            let next = i + 1.0;
            let [end_lon, end_lat] = point(next);
            let end = if next < count { Ecef::at_degrees(end_lon, end_lat) } else { last };
            pieces.push(Self::new(owner, point(i), [lon_step / count, lat_step / count], [start, end]));
            (i, start) = (next, end);
        }
    }

    /// The same for an edge of a line.
    pub(super) fn of_line(owner: u32, from: LonLat, to: LonLat, pieces: &mut Vec<Self>) {
        let lon_step = short_way_deg(from.lon_deg(), to.lon_deg());
        let [from, to] = [from, to].map(|at| [at.lon_deg(), at.lat_deg()]);
        Self::of_edge(owner, from, to, lon_step, pieces);
    }

    fn whole(&self) -> Stretch {
        Stretch { t: [0.0, 1.0], ends: self.ends, bend: self.bend }
    }

    fn place(&self, t: f64) -> Ecef {
        Ecef::at_degrees(self.lon_deg + t * self.lon_step, self.lat_deg + t * self.lat_step)
    }

    /// No place of the piece has a shorter chord to `from`.
    pub(super) fn least_chord_m(&self, from: Ecef) -> f64 {
        self.whole().least_chord_m(from)
    }

    /// Makes `best` the nearest place of the piece where that is nearer.
    pub(super) fn improve(&self, from: Ecef, best: &mut Option<Nearest>) {
        self.search(from, self.whole(), self.least_chord_m(from), best);
    }

    fn search(&self, from: Ecef, stretch: Stretch, least_m: f64, best: &mut Option<Nearest>) {
        let Stretch { t: [t0, t1], ends: [a, b], bend } = stretch;
        if bend.is_straight(least_m) {
            let place = match stretch.on_chord(from).0 {
                share if share <= 0.0 => a,
                share if share >= 1.0 => b,
                share => self.place(t0 + share * (t1 - t0)),
            };
            return Nearest::improve(best, from, place);
        }
        // Each halving makes the bend four times smaller: there are at most a
        // score of them, even for an edge half-way round the Earth.
        let t = 0.5 * (t0 + t1);
        let (middle, bend) = (self.place(t), bend.halved());
        let halves = [
            Stretch { t: [t0, t], ends: [a, middle], bend },
            Stretch { t: [t, t1], ends: [middle, b], bend },
        ];
        let [one, other] = halves.map(|half| (half.least_chord_m(from), half));
        let [first, second] = if one.0 <= other.0 { [one, other] } else { [other, one] };
        for (least, half) in [first, second] {
            if best.is_none_or(|best| least * least <= best.chord2) {
                self.search(from, half, least, best);
            }
        }
    }
}

impl RTreeObject for Piece {
    type Envelope = AABB<[f64; 3]>;

    fn envelope(&self) -> Self::Envelope {
        self.bounds
    }
}

impl PointDistance for Piece {
    /// Of the bound, not of the nearest place.
    fn distance_2(&self, point: &[f64; 3]) -> f64 {
        let least = self.least_chord_m(Ecef(*point));
        least * least
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn pieces(from: [f64; 2], to: [f64; 2]) -> Vec<Piece> {
        let mut pieces = Vec::new();
        Piece::of_edge(0, from, to, short_way_deg(from[0], to[0]), &mut pieces);
        pieces
    }

    #[test]
    fn the_short_way_crosses_the_antimeridian() {
        assert_eq!(short_way_deg(179.0, -179.0), 2.0);
        assert_eq!(short_way_deg(-179.5, 179.5), -1.0);
        assert_eq!(short_way_deg(-90.0, 90.0), 180.0);
    }

    #[test]
    fn an_edge_longer_than_a_kilometre_is_split() {
        let whole = pieces([33.0, -14.0], [33.0, -13.9]);
        assert!((11..=13).contains(&whole.len()), "{} pieces", whole.len());
        assert_eq!(pieces([33.0, -14.0], [33.001, -14.0]).len(), 1);
    }

    proptest! {
        /// The bound that everything rests on, for edges of any length.
        #[test]
        fn an_edge_never_leaves_the_bend_around_its_chord(
            lon in -180.0..180.0, lat in -90.0..90.0f64, lon_step in -180.0..180.0, to_lat in -90.0..90.0,
            size in 0.0..1.0f64, t in 0.0..1.0,
        ) {
            let lat_step = (to_lat - lat) * size;
            let ends = [Ecef::at_degrees(lon, lat), Ecef::at_degrees(lon + lon_step * size, lat + lat_step)];
            let piece = Piece::new(0, [lon, lat], [lon_step * size, lat_step], ends);
            prop_assert!(piece.least_chord_m(piece.place(t)) == 0.0);
            let box_ = piece.envelope();
            let grown = AABB::from_corners(box_.lower(), box_.upper());
            prop_assert!(grown.distance_2(&piece.place(t).0) == 0.0);
        }

        /// Against thousands of places along the edge.
        #[test]
        fn the_nearest_place_is_found(
            lon in -180.0..180.0, lat in -89.0..89.0f64, turn in -1.0..1.0f64, climb in -1.0..1.0f64,
            east in -2.0..2.0f64, north in -2.0..2.0f64, small in 0.0..4.0f64,
        ) {
            let size = 10f64.powf(-small);
            let to = [lon + turn * size, (lat + climb * size).clamp(-90.0, 90.0)];
            let from = Ecef::at_degrees(lon + east * size, (lat + north * size).clamp(-90.0, 90.0));
            let mut best = None;
            let mut all = Vec::new();
            Piece::of_edge(0, [lon, lat], to, to[0] - lon, &mut all);
            for piece in &all {
                piece.improve(from, &mut best);
            }
            let at = |i: f64| Ecef::at_degrees(lon + (to[0] - lon) * i, lat + (to[1] - lat) * i);
            let steps = 4_000;
            let brute = (0..=steps).map(|i| from.chord_m(at(f64::from(i) / f64::from(steps)))).fold(f64::MAX, f64::min);
            let got = best.unwrap().chord2.sqrt();
            // Places along the edge are this far apart.
            let apart = 111_400.0 * 2f64.sqrt() * size / f64::from(steps);
            let allowed = 1e-4 + if brute > NEAR_M { FAR_SHARE * brute } else { 0.0 };
            prop_assert!(got <= brute + allowed, "{got} found, {brute} there");
            prop_assert!(got >= brute - apart, "{got} found, {brute} there");
        }
    }
}
