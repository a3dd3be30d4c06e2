//! The index at a million hazards: building it, and 100 000 pegs asking what
//! is within 200 m and what is nearest. One thread.
//!
//! `cargo bench --bench place`; the same work in Python is in
//! `place_python.py` beside this file: same points, same counts.

#![allow(clippy::unwrap_used, missing_docs)]

use std::sync::LazyLock;

use divan::Bencher;
use forebore::place::{PlaceIndex, visiting_order};
use forebore::survey::{LonLat, Shape};

const HAZARDS: u64 = 1_000_000;
const PEGS: u64 = 100_000;
const CLUSTERS: u64 = 2_000;
const RADIUS_M: f64 = 200.0;

/// The `i`th number of a stream, 0 to 1 (splitmix64; from memory).
fn draw(stream: u64, i: u64) -> f64 {
    let mut z = (stream << 40).wrapping_add(i + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}

/// Invented places in a square of two degrees: the even ones anywhere in it,
/// the odd ones about 280 m around one of the clusters.
fn place(stream: u64, i: u64) -> LonLat {
    let (x, y) = if i.is_multiple_of(2) {
        (draw(stream, 8 * i), draw(stream, 8 * i + 1))
    } else {
        let cluster = (draw(stream, 8 * i) * CLUSTERS as f64) as u64;
        let bell =
            |k| draw(stream, 8 * i + k) + draw(stream, 8 * i + k + 1) + draw(stream, 8 * i + k + 2) - 1.5;
        (draw(9, 2 * cluster) + 0.0025 * bell(1), draw(9, 2 * cluster + 1) + 0.0025 * bell(4))
    };
    LonLat::new(33.0 + 2.0 * x, -16.0 + 2.0 * y).unwrap()
}

static SHAPES: LazyLock<Vec<Shape>> =
    LazyLock::new(|| (0..HAZARDS).map(|i| Shape::Points(vec![place(1, i)])).collect());
static WHERE: LazyLock<Vec<LonLat>> = LazyLock::new(|| (0..PEGS).map(|i| place(2, i)).collect());
static INDEX: LazyLock<PlaceIndex> = LazyLock::new(build);

fn build() -> PlaceIndex {
    PlaceIndex::build((0..).zip(SHAPES.iter()).map(|(id, shape)| (id, 0, shape)))
}

fn count() -> usize {
    WHERE.iter().map(|peg| INDEX.count_within(*peg, RADIUS_M, None)).sum()
}

#[divan::bench(sample_count = 7, sample_size = 1)]
fn build_1m(bencher: Bencher) {
    LazyLock::force(&SHAPES);
    bencher.bench_local(build);
}

#[divan::bench(sample_count = 15, sample_size = 1)]
fn count_within_200_m_100k(bencher: Bencher) {
    bencher.bench_local(count);
}

/// The same pegs in an order in which neighbours follow one another, the
/// ordering included.
#[divan::bench(sample_count = 15, sample_size = 1)]
fn count_within_200_m_100k_ordered(bencher: Bencher) {
    LazyLock::force(&INDEX);
    bencher.bench_local(|| {
        let pegs = visiting_order(&WHERE).into_iter().filter_map(|i| WHERE.get(i));
        pegs.map(|peg| INDEX.count_within(*peg, RADIUS_M, None)).sum::<usize>()
    });
}

/// With distance and bearing of every hit, in order.
#[divan::bench(sample_count = 7, sample_size = 1)]
fn hits_within_200_m_100k(bencher: Bencher) {
    bencher.bench_local(|| WHERE.iter().map(|peg| INDEX.within(*peg, RADIUS_M, None).len()).sum::<usize>());
}

#[divan::bench(sample_count = 7, sample_size = 1)]
fn nearest_100k(bencher: Bencher) {
    bencher.bench_local(|| {
        WHERE.iter().filter_map(|peg| INDEX.nearest(*peg, 0)).map(|hit| hit.distance_m).sum::<f64>()
    });
}

fn main() {
    LazyLock::force(&INDEX);
    LazyLock::force(&WHERE);
    let nearest: f64 = WHERE.iter().filter_map(|peg| INDEX.nearest(*peg, 0)).map(|hit| hit.distance_m).sum();
    println!(
        "{} pegs, {} hazards: {} hits within {RADIUS_M} m, mean distance to the nearest {:.6} m",
        WHERE.len(),
        INDEX.len(),
        count(),
        nearest / WHERE.len() as f64
    );
    divan::main();
}
