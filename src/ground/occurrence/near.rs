//! Wells gathered into spots, and which spots are near.

use std::collections::BTreeMap;

use rayon::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

use super::Observation;
use super::depth::Depth;

/// Wells at one place and depth, to the metre: nothing tells them apart.
#[derive(Debug, Clone)]
pub(super) struct Spot {
    pub(super) at: [f64; 2],
    pub(super) depth: Depth,
    pub(super) seen: Seen,
    /// Their places in the list of observations.
    pub(super) wells: Vec<usize>,
}

/// What was seen at some wells together.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Seen {
    /// How many wells.
    pub(super) n: f64,
    /// How many of them are a yes.
    pub(super) yes: f64,
    /// The variance of that from unsure readings.
    pub(super) unsure: f64,
}

impl Seen {
    pub(super) fn of(yes: f64) -> Self {
        Self { n: 1.0, yes, unsure: yes * (1.0 - yes) }
    }

    pub(super) fn with(self, other: Self) -> Self {
        Self { n: self.n + other.n, yes: self.yes + other.yes, unsure: self.unsure + other.unsure }
    }

    pub(super) fn without(self, other: Self) -> Self {
        let less = |a: f64, b: f64| (a - b).max(0.0);
        let (n, yes) = (less(self.n, other.n), less(self.yes, other.yes));
        Self { n, yes: yes.min(n), unsure: less(self.unsure, other.unsure) }
    }

    pub(super) fn all(observations: &[Observation]) -> Self {
        observations.iter().fold(Self::default(), |all, o| all.with(Self::of(o.yes)))
    }
}

/// A spot near a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Near {
    pub(super) spot: usize,
    pub(super) distance_m: f64,
}

/// All spots with an index.
#[derive(Debug, Clone)]
pub(super) struct Spots {
    pub(super) all: Vec<Spot>,
    tree: RTree<GeomWithData<[f64; 2], usize>>,
    nearest: usize,
}

impl Spots {
    pub(super) fn of(observations: &[Observation], nearest: usize) -> Self {
        let metre = |x: f64| x.round() as i64;
        let mut by_place: BTreeMap<(i64, i64, Option<i64>), Spot> = BTreeMap::new();
        for (i, o) in observations.iter().enumerate() {
            let key = (metre(o.east_m), metre(o.north_m), o.depth_m.map(metre));
            let spot = by_place.entry(key).or_insert_with(|| Spot {
                at: [o.east_m, o.north_m],
                depth: o.depth_m.map_or(Depth::Unknown, |z| Depth::Between(z, z)),
                seen: Seen::default(),
                wells: Vec::new(),
            });
            spot.seen = spot.seen.with(Seen::of(o.yes));
            spot.wells.push(i);
        }
        let all: Vec<Spot> = by_place.into_values().collect();
        let points = all.iter().enumerate().map(|(i, s)| GeomWithData::new(s.at, i)).collect();
        Self { all, tree: RTree::bulk_load(points), nearest }
    }

    /// The nearest spots that are wanted, nearest first, equal ones in their
    /// order.
    pub(super) fn near(&self, at: [f64; 2], wanted: impl Fn(usize) -> bool) -> Vec<Near> {
        let mut near: Vec<Near> = Vec::with_capacity(self.nearest.min(self.all.len()) + 1);
        let by_distance = self.tree.nearest_neighbor_iter_with_distance_2(at);
        for (point, distance2) in by_distance.filter(|(point, _)| wanted(point.data)) {
            let distance_m = distance2.max(0.0).sqrt();
            // All that are as near as the last, so that their order decides.
            if near.len() >= self.nearest && near.last().is_some_and(|last| distance_m > last.distance_m) {
                break;
            }
            near.push(Near { spot: point.data, distance_m });
        }
        near.sort_by(|a, b| a.distance_m.total_cmp(&b.distance_m).then(a.spot.cmp(&b.spot)));
        near.truncate(self.nearest);
        near
    }

    /// For each spot the others near it.
    pub(super) fn near_each(&self) -> Vec<Vec<Near>> {
        self.all.par_iter().enumerate().map(|(i, spot)| self.near(spot.at, |j| j != i)).collect()
    }
}
