//! Shapes that are a single point, by the million.
//!
//! Points are packed in blocks of sixteen near neighbours under a tree of the
//! blocks' boxes. Boxes, and the places inside a block relative to its corner,
//! are kept in single precision, which halves the memory a question touches;
//! whatever that leaves in doubt is decided from the exact coordinates.

use rstar::{AABB, ParentNode, RTree, RTreeNode, RTreeObject, RTreeParams};

use super::ecef::{Ecef, most_chord_m, sure_chord_m};
use super::enu::Plane;
use super::index::Wide;

/// Points in a block.
const BLOCK: usize = 16;

/// Single precision holds earth-centred coordinates to a quarter of a metre;
/// this is more than a distance between two of them may be off, metres …
const COARSE_M: f64 = 2.0;
/// … and a distance worked out in it, as a share of all that went into it.
const COARSE_SHARE: f64 = 1e-6;

/// One point and the id of its shape.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub(super) place: Ecef,
    pub(super) id: u32,
}

/// A box around points, rounded outwards.
type Bounds = AABB<[f32; 3]>;

/// The box of one block and which block it is.
#[derive(Debug)]
struct Block {
    bounds: Bounds,
    number: usize,
}

/// The places in a block: x, y and z from the lower corner of its box. Lanes
/// without a point are NaN, which is near nothing.
#[derive(Debug)]
struct Lanes([[f32; BLOCK]; 3]);

impl RTreeObject for Block {
    type Envelope = Bounds;

    fn envelope(&self) -> Bounds {
        self.bounds
    }
}

/// The square of the distance from a box.
fn away2(bounds: &Bounds, from: [f32; 3]) -> f32 {
    let ([a, b, c], [d, e, f], [x, y, z]) = (bounds.lower(), bounds.upper(), from);
    let greater = |a: f32, b: f32| if a > b { a } else { b };
    let outside = |low: f32, high: f32, x: f32| greater(greater(low - x, x - high), 0.0);
    let (x, y, z) = (outside(a, d, x), outside(b, e, y), outside(c, f, z));
    x * x + y * y + z * z
}

/// A place in single precision.
fn coarse(place: Ecef) -> [f32; 3] {
    place.0.map(|x| x as f32)
}

/// Points in blocks.
#[derive(Debug)]
pub(super) struct Points {
    /// Block by block; only the last block may have fewer than [`BLOCK`].
    all: Vec<Point>,
    lanes: Vec<Lanes>,
    blocks: RTree<Block, Wide>,
}

/// The lower and upper corner of the box around some points.
fn corners(points: &[Point]) -> [[f64; 3]; 2] {
    let (mut low, mut high) = ([f64::MAX; 3], [f64::MIN; 3]);
    for point in points {
        for ((low, high), x) in low.iter_mut().zip(&mut high).zip(point.place.0) {
            *low = if x < *low { x } else { *low };
            *high = if x > *high { x } else { *high };
        }
    }
    [low, high]
}

/// Halves `points` across their longest extent, in whole blocks, until each
/// block holds neighbours.
fn pack(points: &mut [Point]) {
    let count = points.len();
    if count <= BLOCK {
        return;
    }
    let [[a, b, c], [x, y, z]] = corners(points);
    let (dx, dy, dz) = (x - a, y - b, z - c);
    let middle = count.div_ceil(2).next_multiple_of(BLOCK).min(count - 1);
    if dx >= dy && dx >= dz {
        points.select_nth_unstable_by(middle, |p, q| p.place.0[0].total_cmp(&q.place.0[0]));
    } else if dy >= dz {
        points.select_nth_unstable_by(middle, |p, q| p.place.0[1].total_cmp(&q.place.0[1]));
    } else {
        points.select_nth_unstable_by(middle, |p, q| p.place.0[2].total_cmp(&q.place.0[2]));
    }
    if let Some((left, right)) = points.split_at_mut_checked(middle) {
        pack(left);
        pack(right);
    }
}

impl Points {
    pub(super) fn new(mut all: Vec<Point>) -> Self {
        pack(&mut all);
        let (mut lanes, mut blocks) = (Vec::new(), Vec::new());
        for (number, points) in all.chunks(BLOCK).enumerate() {
            let [low, high] = corners(points);
            let bounds =
                AABB::from_corners(low.map(|x| (x as f32).next_down()), high.map(|x| (x as f32).next_up()));
            let mut block = Lanes([[f32::NAN; BLOCK]; 3]);
            for (axis, corner) in block.0.iter_mut().zip(bounds.lower()).enumerate() {
                let (lane, corner) = corner;
                for (x, point) in lane.iter_mut().zip(points) {
                    *x = point.place.0.get(axis).map_or(f32::NAN, |p| (p - f64::from(corner)) as f32);
                }
            }
            lanes.push(block);
            blocks.push(Block { bounds, number });
        }
        Self { all, lanes, blocks: RTree::bulk_load_with_params(blocks) }
    }

    fn of(&self, block: &Block) -> &[Point] {
        let start = block.number * BLOCK;
        self.all.get(start..).map_or(&[], |rest| rest.get(..BLOCK).unwrap_or(rest))
    }

    /// Calls `found` with every block that may have points within a chord.
    fn near<'a>(&'a self, from: Ecef, chord_m: f64, found: &mut impl FnMut(&'a Block)) {
        visit(self.blocks.root(), coarse(from), reach2(chord_m), found);
    }

    /// Every point within `radius_m` with its distance.
    pub(super) fn within(&self, from: &Plane, radius_m: f64, mut found: impl FnMut(&Point, f64)) {
        let most = most_chord_m(radius_m);
        self.near(from.origin(), most, &mut |block| {
            for point in self.of(block) {
                let chord2 = from.origin().chord2(point.place);
                if chord2 <= most * most {
                    let distance_m = from.distance_by_chord_m(point.place, chord2.sqrt());
                    if distance_m <= radius_m {
                        found(point, distance_m);
                    }
                }
            }
        });
    }

    /// How many points are within `radius_m`.
    pub(super) fn count_within(&self, from: &Plane, radius_m: f64) -> usize {
        let (most, sure) = (most_chord_m(radius_m), sure_chord_m(radius_m));
        let mut count = 0;
        self.near(from.origin(), most, &mut |block| {
            let Some(lanes) = self.lanes.get(block.number) else { return };
            let (sure_count, maybe_count) = lanes.count(block, from.origin(), sure, most);
            count += sure_count;
            if maybe_count > sure_count {
                count -= sure_count;
                let is_within = |p: &&Point| from.distance_m(p.place) <= radius_m;
                count += self.of(block).iter().filter(is_within).count();
            }
        });
        count
    }

    /// The nearest point and its distance; of several the one of lowest id.
    pub(super) fn nearest(&self, from: &Plane) -> Option<(&Point, f64)> {
        let mut best = Best { point: None, most: f64::MAX, reach2: f32::INFINITY };
        self.search(self.blocks.root(), from, coarse(from.origin()), &mut best);
        best.point
    }

    /// Looks for a better point in a node, in its nearest children first.
    fn search<'a>(&'a self, node: &'a ParentNode<Block>, from: &Plane, at: [f32; 3], best: &mut Best<'a>) {
        for children in node.children().chunks(Wide::MAX_SIZE) {
            let mut away = [f32::INFINITY; Wide::MAX_SIZE];
            for (away, child) in away.iter_mut().zip(children) {
                *away = away2(&child.envelope(), at);
            }
            // Few children are ever looked into: to find the nearest again and
            // again is quicker than to sort them.
            loop {
                let nearest = away.iter_mut().zip(children).reduce(|a, b| if *b.0 < *a.0 { b } else { a });
                match nearest {
                    Some((away, child)) if *away <= best.reach2 && *away < f32::INFINITY => {
                        *away = f32::INFINITY;
                        match child {
                            RTreeNode::Leaf(block) => self.improve(block, from, best),
                            RTreeNode::Parent(inner) => self.search(inner, from, at, best),
                        }
                    }
                    _ => break,
                }
            }
        }
    }

    fn improve<'a>(&'a self, block: &Block, from: &Plane, best: &mut Best<'a>) {
        for point in self.of(block) {
            let chord = from.origin().chord_m(point.place);
            if chord <= best.most {
                let distance_m = from.distance_by_chord_m(point.place, chord);
                if best.point.is_none_or(|(p, d)| (distance_m, point.id) < (d, p.id)) {
                    *best = Best::new(point, distance_m);
                }
            }
        }
    }
}

/// The best point so far, and what must be nearer than it.
struct Best<'a> {
    point: Option<(&'a Point, f64)>,
    most: f64,
    reach2: f32,
}

impl<'a> Best<'a> {
    fn new(point: &'a Point, distance_m: f64) -> Self {
        let most = most_chord_m(distance_m);
        Self { point: Some((point, distance_m)), most, reach2: reach2(most) }
    }
}

/// The square of a chord and of all that single precision may be off in it.
fn reach2(chord_m: f64) -> f32 {
    let reach = (chord_m * (1.0 + COARSE_SHARE) + COARSE_M) as f32;
    reach * reach
}

impl Lanes {
    /// How many points are surely within a chord `sure`, and how many may be
    /// within a chord `most`.
    #[inline]
    fn count(&self, block: &Block, from: Ecef, sure: f64, most: f64) -> (usize, usize) {
        let ([a, b, c], [x, y, z]) = (block.bounds.lower().map(f64::from), from.0);
        let ([x, y, z], [xs, ys, zs]) = ([x - a, y - b, z - c], &self.0);
        // All that is added and subtracted is no greater than this.
        let doubt = COARSE_SHARE * (x.abs() + y.abs() + z.abs() + most);
        let square = |chord: f64| (chord * chord.abs()) as f32;
        let (sure2, most2) = (square(sure - doubt), square(most + doubt));
        let (x, y, z) = (x as f32, y as f32, z as f32);
        let (mut surely, mut maybe) = (0_u32, 0_u32);
        for ((px, py), pz) in xs.iter().zip(ys).zip(zs) {
            let (dx, dy, dz) = (px - x, py - y, pz - z);
            let chord2 = dx * dx + dy * dy + dz * dz;
            surely += u32::from(chord2 <= sure2);
            maybe += u32::from(chord2 <= most2);
        }
        (surely as usize, maybe as usize)
    }
}

/// Calls `found` with every block within a distance whose square is `reach2`.
fn visit<'a>(node: &'a ParentNode<Block>, from: [f32; 3], reach2: f32, found: &mut impl FnMut(&'a Block)) {
    for child in node.children() {
        match child {
            RTreeNode::Leaf(block) if away2(&block.bounds, from) <= reach2 => found(block),
            RTreeNode::Parent(inner) if away2(&inner.envelope(), from) <= reach2 => {
                visit(inner, from, reach2, found);
            }
            _ => {}
        }
    }
}
