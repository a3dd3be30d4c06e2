//! Shapes that are a single point, by the million: packed in small blocks of
//! near neighbours, with a tree over the blocks' boxes.

use rstar::{AABB, PointDistance, RTree, RTreeObject};

use super::ecef::{Ecef, least_geodesic_m, most_chord_m, sure_chord_m};
use super::enu::Plane;
use super::index::Wide;

/// Points in a block at most. Measured: blocks of 8 to 32 query equally fast,
/// fewer are slower to build.
const BLOCK: usize = 16;

/// One point and the id of its shape.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub(super) place: Ecef,
    pub(super) id: u32,
}

/// Neighbouring points: a range of [`Points::all`] and its box.
#[derive(Debug)]
struct Block {
    start: usize,
    end: usize,
    bounds: AABB<[f64; 3]>,
}

impl RTreeObject for Block {
    type Envelope = AABB<[f64; 3]>;

    fn envelope(&self) -> Self::Envelope {
        self.bounds
    }
}

impl PointDistance for Block {
    fn distance_2(&self, point: &[f64; 3]) -> f64 {
        self.bounds.distance_2(point)
    }
}

/// Points in blocks.
#[derive(Debug)]
pub(super) struct Points {
    all: Vec<Point>,
    blocks: RTree<Block, Wide>,
}

/// The box around some points.
fn bounds(points: &[Point]) -> AABB<[f64; 3]> {
    let (mut low, mut high) = ([f64::MAX; 3], [f64::MIN; 3]);
    for point in points {
        let axes = low.iter_mut().zip(&mut high).zip(point.place.0);
        axes.for_each(|((low, high), x)| (*low, *high) = (low.min(x), high.max(x)));
    }
    AABB::from_corners(low, high)
}

/// Halves `points` across their longest extent until blocks are small.
fn pack(points: &mut [Point], start: usize, blocks: &mut Vec<Block>) {
    let bounds = bounds(points);
    let count = points.len();
    if count <= BLOCK {
        blocks.push(Block { start, end: start + count, bounds });
        return;
    }
    let ([a, b, c], [x, y, z]) = (bounds.lower(), bounds.upper());
    let (dx, dy, dz) = (x - a, y - b, z - c);
    let on = |axis: fn(&Point) -> f64| move |p: &Point, q: &Point| axis(p).total_cmp(&axis(q));
    // Whole blocks on the left, so that few are half empty.
    let middle = count.div_ceil(2).next_multiple_of(BLOCK).min(count - 1);
    let (left, ..) = if dx >= dy && dx >= dz {
        points.select_nth_unstable_by(middle, on(|p| p.place.0[0]))
    } else if dy >= dz {
        points.select_nth_unstable_by(middle, on(|p| p.place.0[1]))
    } else {
        points.select_nth_unstable_by(middle, on(|p| p.place.0[2]))
    };
    let split = left.len();
    if let Some((left, right)) = points.split_at_mut_checked(split) {
        pack(left, start, blocks);
        pack(right, start + split, blocks);
    }
}

impl Points {
    pub(super) fn new(mut all: Vec<Point>) -> Self {
        let mut blocks = Vec::with_capacity(all.len() / BLOCK * 2);
        if !all.is_empty() {
            pack(&mut all, 0, &mut blocks);
        }
        Self { all, blocks: RTree::bulk_load_with_params(blocks) }
    }

    fn of(&self, block: &Block) -> &[Point] {
        self.all.get(block.start..block.end).unwrap_or_default()
    }

    /// The blocks that may hold points within a chord of `chord_m`.
    fn near(&self, from: &Plane, chord_m: f64) -> impl Iterator<Item = &[Point]> {
        let [low, high] = [-chord_m, chord_m].map(|r| from.origin().0.map(|x| x + r));
        self.blocks.locate_in_envelope_intersecting(AABB::from_corners(low, high)).map(|block| self.of(block))
    }

    /// Every point within `radius_m` with its distance.
    pub(super) fn within(&self, from: &Plane, radius_m: f64, mut found: impl FnMut(&Point, f64)) {
        let most = most_chord_m(radius_m);
        for point in self.near(from, most).flatten() {
            let chord2 = from.origin().chord2(point.place);
            if chord2 <= most * most {
                let distance_m = from.distance_by_chord_m(point.place, chord2.sqrt());
                if distance_m <= radius_m {
                    found(point, distance_m);
                }
            }
        }
    }

    /// How many points are within `radius_m`.
    pub(super) fn count_within(&self, from: &Plane, radius_m: f64) -> usize {
        let (most, sure) = (most_chord_m(radius_m), sure_chord_m(radius_m));
        let (most2, sure2) = (most * most, sure * sure);
        let mut count = 0;
        for block in self.near(from, most) {
            for point in block {
                let chord2 = from.origin().chord2(point.place);
                // Nearly all are decided by the chord alone.
                let is_within = chord2 <= sure2
                    || (chord2 <= most2 && from.distance_by_chord_m(point.place, chord2.sqrt()) <= radius_m);
                count += usize::from(is_within);
            }
        }
        count
    }

    /// The nearest point and its distance; of several the one of lowest id.
    pub(super) fn nearest(&self, from: &Plane) -> Option<(&Point, f64)> {
        let mut best: Option<(&Point, f64)> = None;
        let mut most2 = f64::INFINITY;
        for (block, chord2) in self.blocks.nearest_neighbor_iter_with_distance_2(from.origin().0) {
            let beyond = |best: f64| least_geodesic_m(chord2.sqrt()) > best + 1e-6;
            if chord2 > most2 || best.is_some_and(|(_, best)| beyond(best)) {
                break;
            }
            for point in self.of(block) {
                let chord2 = from.origin().chord2(point.place);
                if chord2 > most2 {
                    continue;
                }
                let distance_m = from.distance_by_chord_m(point.place, chord2.sqrt());
                if best.is_none_or(|(p, d)| (distance_m, point.id) < (d, p.id)) {
                    best = Some((point, distance_m));
                    most2 = most_chord_m(distance_m).powi(2);
                }
            }
        }
        best
    }
}
