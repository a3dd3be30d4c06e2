//! How the chance varies from place to place, and what that makes of the
//! wells near one.

use super::OccurrencePrior;
use super::depth::{Depths, Level};
use super::near::{Near, Seen, Spots};
use super::system::System;

/// How the chance varies from place to place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Field {
    pub(super) worth_wells: f64,
    pub(super) length_m: f64,
    pub(super) depths: Depths,
}

/// A spot near a place, with those of its wells that count.
#[derive(Debug, Clone, Copy)]
pub(super) struct Counted {
    pub(super) near: Near,
    pub(super) seen: Seen,
}

impl Field {
    /// What a place has in common with a well so far away.
    pub(super) fn alike(&self, distance_m: f64, place: &Level, well: &Level) -> f64 {
        (-distance_m / self.length_m).exp() * self.depths.alike(place, well)
    }

    pub(super) fn levels(&self, spots: &Spots) -> Vec<Level> {
        spots.all.iter().map(|s| self.depths.level(s.depth)).collect()
    }

    /// What spots near a place have in common with it and each other;
    /// `apart_m` as [`apart_m`] gives it. `None` where one is no spot.
    pub(super) fn system(
        &self,
        place: &Level,
        counted: &[Counted],
        apart_m: &[f64],
        levels: &[Level],
    ) -> Option<System> {
        let here: Vec<&Level> = counted.iter().map(|c| levels.get(c.near.spot)).collect::<Option<_>>()?;
        let n = here.len().max(1);
        let mut each = vec![0.0; here.len() * here.len()];
        let rows = each.chunks_exact_mut(n).zip(apart_m.chunks_exact(n));
        for (i, ((row, apart_m), level)) in rows.zip(&here).enumerate() {
            for ((cell, apart_m), other) in row.iter_mut().zip(apart_m).zip(&here).take(i) {
                *cell = self.alike(*apart_m, level, other);
            }
        }
        mirrored(&mut each, here.len());
        let alike = |(c, level): (&Counted, &&Level)| self.alike(c.near.distance_m, place, level);
        Some(System {
            each,
            place: counted.iter().zip(&here).map(alike).collect(),
            wells: counted.iter().map(|c| c.seen.n).collect(),
        })
    }
}

/// Distances between spots, row by row; below the diagonal only.
pub(super) fn apart_m(counted: &[Counted], spots: &Spots) -> Vec<f64> {
    let at: Vec<[f64; 2]> =
        counted.iter().map(|c| spots.all.get(c.near.spot).map_or([0.0; 2], |s| s.at)).collect();
    let mut apart = vec![0.0; at.len() * at.len()];
    for (i, (row, a)) in apart.chunks_exact_mut(at.len().max(1)).zip(&at).enumerate() {
        for (cell, b) in row.iter_mut().zip(&at).take(i) {
            let [dx, dy] = [a[0] - b[0], a[1] - b[1]];
            *cell = (dx * dx + dy * dy).sqrt();
        }
    }
    apart
}

/// Fills the upper triangle from the lower, and the diagonal with 1.
fn mirrored(each: &mut [f64], n: usize) {
    for i in 0..n {
        for j in 0..i {
            let below = each.get(i * n + j).copied().unwrap_or(0.0);
            if let Some(above) = each.get_mut(j * n + i) {
                *above = below;
            }
        }
        if let Some(own) = each.get_mut(i * n + i) {
            *own = 1.0;
        }
    }
}

/// The base rate: of all wells, with the region's chance as more of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Base {
    pub(super) prior: OccurrencePrior,
    pub(super) seen: Seen,
    /// Where nothing is learnt the region's chance is the base rate.
    pub(super) learnt: bool,
}

impl Base {
    pub(super) fn chance(&self, seen: Seen) -> f64 {
        let OccurrencePrior { chance, worth_wells, .. } = self.prior;
        if !self.learnt {
            return chance;
        }
        (worth_wells * chance + seen.yes) / (worth_wells + seen.n)
    }

    pub(super) fn without(&self, yes: f64) -> f64 {
        self.chance(self.seen.without(Seen::of(yes)))
    }
}

/// What wells of those weights make of a base rate.
pub(super) fn told(base: f64, counted: &[Counted], weights: &[f64]) -> f64 {
    let pull = |(c, a): (&Counted, &f64)| a * (c.seen.yes / c.seen.n - base);
    let chance = base + counted.iter().zip(weights).map(pull).sum::<f64>();
    chance.clamp(1e-12, 1.0 - 1e-12)
}

/// The spots near a well's spot, and the other wells of its own.
pub(super) fn others(spots: &Spots, i: usize, yes: f64, near: &[Near]) -> Vec<Counted> {
    let seen = |spot: usize| spots.all.get(spot).map(|s| s.seen);
    let beside = seen(i)
        .map(|own| Counted { near: Near { spot: i, distance_m: 0.0 }, seen: own.without(Seen::of(yes)) })
        .filter(|own| own.seen.n > 0.5);
    beside
        .into_iter()
        .chain(near.iter().filter_map(|n| Some(Counted { near: *n, seen: seen(n.spot)? })))
        .collect()
}
