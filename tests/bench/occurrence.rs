//! What a forecast of a yes or no costs: aims are 5 ms for one place among
//! 200 wells, and 20 s for learning from 10,000 with each of them left out.
//!
//! Run with `cargo bench --bench occurrence`.

#![allow(missing_docs, clippy::unwrap_used)]

use divan::Bencher;
use forebore::ground::occurrence::{
    Observation, OccurrenceModel, OccurrencePrior, Options, Place, how_likely,
};

fn main() {
    divan::main();
}

/// Places that fill a square of 20 km, by multiples of irrational numbers; the
/// chance is a smooth wave.
fn wells(n: u32, depths: bool) -> Vec<Observation> {
    let part = |k: u32, of: f64| (f64::from(k) * of).fract();
    let well = |k: u32| {
        let (east_m, north_m) = (2e4 * part(k, 0.754_877_666), 2e4 * part(k, 0.569_840_29));
        let chance = 0.5 + 0.4 * (east_m / 3e3).sin() * (north_m / 4e3).cos();
        let yes = f64::from(u8::from(part(k, 0.618_033_99) < chance));
        Observation { east_m, north_m, depth_m: depths.then(|| 10.0 + 50.0 * part(k, 0.414_213_56)), yes }
    };
    (1..=n).map(well).collect()
}

const PRIOR: OccurrencePrior = OccurrencePrior { chance: 0.5, worth_wells: 5.0, length_m: 1000.0 };
const PEG: Place = Place { east_m: 1e4, north_m: 1e4, depth_m: Some([15.0, 25.0]) };

/// One place among wells that were learnt from before.
#[divan::bench(args = [20, 200, 10_000])]
fn once_learnt(bencher: Bencher, n: u32) {
    let model = OccurrenceModel::learn(&PRIOR, &wells(n, false), Options::default()).unwrap();
    bencher.bench(|| model.at(PEG).unwrap().chance);
}

/// The same without a third of them, named one by one.
#[divan::bench(args = [200, 10_000])]
fn once_learnt_without_some(bencher: Bencher, n: u32) {
    let model = OccurrenceModel::learn(&PRIOR, &wells(n, false), Options::default()).unwrap();
    bencher.bench(|| model.at_without(PEG, |i| i % 3 == 0).unwrap().chance);
}

/// Learning included.
#[divan::bench(args = [0, 5, 20, 50, 200])]
fn learning(bencher: Bencher, n: u32) {
    let wells = wells(n, false);
    bencher.bench(|| how_likely(&PRIOR, &wells, PEG, Options::default()).unwrap().chance);
}

#[divan::bench(args = [false, true], sample_count = 3, sample_size = 1)]
fn learning_from_ten_thousand(bencher: Bencher, depths: bool) {
    let wells = wells(10_000, depths);
    bencher.bench(|| OccurrenceModel::learn(&PRIOR, &wells, Options::default()).unwrap().skill());
}
