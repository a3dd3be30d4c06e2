//! The spot farthest from trouble, and the nearest that is far enough from it:
//! by halving squares, in none of which a better spot can be than its middle
//! promises (distance changes by no more than one walks).

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use geo::BoundingRect;

use super::{EastNorth, Layout, Trouble};

/// A spot on a layout.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// East and north of the peg, metres.
    pub at: EastNorth,
    /// How far it is from what would take it, metres.
    pub clearance_m: f64,
}

impl Spot {
    /// How far it is from the peg.
    pub fn from_peg_m(&self) -> f64 {
        self.at[0].hypot(self.at[1])
    }
}

/// Squares are halved no longer than this: a bound on time, reached by no
/// plot that people draw.
const MOST_SQUARES: usize = 40_000;

/// A square with the troubles that may matter in it.
struct Square {
    /// The greater, the earlier it is halved.
    promise: f64,
    middle: EastNorth,
    half_m: f64,
    near: std::rc::Rc<Vec<usize>>,
}

impl Square {
    fn key(&self) -> (f64, f64, f64) {
        (self.promise, self.middle[1], self.middle[0])
    }
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Square {}

impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Square {
    fn cmp(&self, other: &Self) -> Ordering {
        let ((a, b, c), (x, y, z)) = (self.key(), other.key());
        a.total_cmp(&x).then(b.total_cmp(&y)).then(c.total_cmp(&z))
    }
}

/// What is looked for: how good a spot is, given its clearance, and how good
/// any within `reach_m` of it may be. `None`: it will not do.
struct Aim<'a> {
    good: &'a dyn Fn(Spot) -> Option<f64>,
    promise: &'a dyn Fn(Spot, f64) -> Option<f64>,
}

impl Layout {
    /// The spot farthest from what would take it, to within `fine_m`; of
    /// those that were searched only, where `known` says so. `None` where
    /// nothing as wide as `fine_m` is left.
    pub fn widest(&self, known: bool, fine_m: f64) -> Option<Spot> {
        let limit = self.limit(known)?;
        let reach = |s: Spot| s.clearance_m.min(limit - s.from_peg_m());
        self.search(
            fine_m,
            &Aim {
                good: &|s| Some(reach(s)).filter(|r| *r >= 0.0),
                promise: &|s, by| Some(reach(s) + by).filter(|r| *r >= 0.0),
            },
        )
    }

    /// The spots farthest from what would take them, the best first, no two
    /// nearer to each other than `apart_m`; `count` at the most.
    pub fn widest_spots(&self, known: bool, fine_m: f64, apart_m: f64, count: usize) -> Vec<Spot> {
        let mut layout = self.clone();
        let mut found = Vec::new();
        while found.len() < count {
            let Some(spot) = layout.widest(known, fine_m) else { break };
            found.push(Spot { clearance_m: self.clearance_m(spot.at), ..spot });
            let shape = super::FlatShape::spot(spot.at);
            layout.troubles.push(Trouble { shape, keep_m: apart_m });
        }
        found
    }

    /// The spot nearest to the peg whose clearance is at least `needed_m` of
    /// its distance from the peg, to within `fine_m`. `needed_m` must not fall
    /// with the distance.
    pub fn nearest(&self, known: bool, fine_m: f64, needed_m: &dyn Fn(f64) -> f64) -> Option<Spot> {
        let limit = self.limit(known)?;
        self.search(
            fine_m,
            &Aim {
                good: &|s| {
                    let far = s.from_peg_m();
                    (s.clearance_m >= needed_m(far) && far <= limit).then_some(-far)
                },
                promise: &|s, by| {
                    let least = (s.from_peg_m() - by).max(0.0);
                    (s.clearance_m + by >= needed_m(least) && least <= limit).then_some(-least)
                },
            },
        )
    }

    fn limit(&self, known: bool) -> Option<f64> {
        if known { self.known_m } else { Some(f64::INFINITY) }
    }

    fn search(&self, fine_m: f64, aim: &Aim<'_>) -> Option<Spot> {
        let bounds = self.plot.bounding_rect()?;
        let (width, height) = (bounds.width(), bounds.height());
        let half_m = width.max(height) / 2.0;
        if !(half_m.is_finite() && fine_m > 0.0) {
            return None;
        }
        let all = std::rc::Rc::new((0..self.troubles.len()).collect::<Vec<_>>());
        let middle = [bounds.center().x, bounds.center().y];
        let mut best: Option<(f64, Spot)> = None;
        let mut heap = BinaryHeap::new();
        // The peg itself first: where it will do, nothing is nearer.
        for (place, half_m) in [([0.0, 0.0], 0.0), (middle, half_m)] {
            heap.extend(self.square(place, half_m, &all, aim, &mut best));
        }
        let mut halved = 0;
        while let Some(square) = heap.pop() {
            let enough = best.as_ref().is_some_and(|(good, _)| square.promise <= good + fine_m);
            if enough || halved > MOST_SQUARES {
                break;
            }
            halved += 1;
            // Smaller than a quarter of what matters nothing is looked into.
            if square.half_m < fine_m / 4.0 {
                continue;
            }
            let half_m = square.half_m / 2.0;
            for (east, north) in [(-half_m, -half_m), (half_m, -half_m), (-half_m, half_m), (half_m, half_m)]
            {
                let middle = [square.middle[0] + east, square.middle[1] + north];
                heap.extend(self.square(middle, half_m, &square.near, aim, &mut best));
            }
        }
        best.map(|(_, spot)| spot)
    }

    /// A square to be halved, unless nothing in it will do; its middle is
    /// tried.
    fn square(
        &self,
        middle: EastNorth,
        half_m: f64,
        near: &std::rc::Rc<Vec<usize>>,
        aim: &Aim<'_>,
        best: &mut Option<(f64, Spot)>,
    ) -> Option<Square> {
        let to_corner_m = half_m * std::f64::consts::SQRT_2;
        let each: Vec<(usize, f64)> = near
            .iter()
            .filter_map(|n| self.troubles.get(*n).map(|t| (*n, t.shape.distance_m(middle) - t.keep_m)))
            .collect();
        let clearance_m = each.iter().map(|(_, m)| *m).fold(self.inside_m(middle), f64::min);
        let spot = Spot { at: middle, clearance_m };
        if clearance_m >= 0.0
            && let Some(good) = (aim.good)(spot)
            && best.as_ref().is_none_or(|(old, _)| good > *old)
        {
            *best = Some((good, spot));
        }
        let promise = (aim.promise)(spot, to_corner_m)?;
        // Only what may be the least anywhere in the square goes on with it.
        let kept: Vec<usize> =
            each.iter().filter(|(_, m)| *m <= clearance_m + 2.0 * to_corner_m).map(|(n, _)| *n).collect();
        let near = if kept.len() < near.len() { std::rc::Rc::new(kept) } else { near.clone() };
        (clearance_m + to_corner_m >= 0.0 && half_m > 0.0).then_some(Square { promise, middle, half_m, near })
    }
}
