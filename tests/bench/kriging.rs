//! What a forecast of the depth to water costs.
//!
//! Run with `cargo bench --bench kriging`.

#![allow(missing_docs, clippy::unwrap_used)]

use divan::Bencher;
use forebore::ground::flow::{WaterLevel, flow};
use forebore::ground::kriging::{Kriging, Sample, Spot, Trend};
use forebore::ground::variogram::{Shape, Variogram};
use forebore::ground::water_table::{
    Options, Place, Reading, WaterTableModel, WaterTablePrior, depth_to_water,
};

fn main() {
    divan::main();
}

/// Places that fill a square of 20 km, by multiples of two irrational
/// numbers, and a smooth depth with a part of its own.
fn wells(n: u32) -> Vec<Reading> {
    let part = |k: u32, of: f64| (f64::from(k) * of).fract();
    let well = |k: u32| {
        let (east_m, north_m) = (2e4 * part(k, 0.754_877_666), 2e4 * part(k, 0.569_840_29));
        let depth_m = 10.0 + 4.0 * (east_m / 3e3).sin() + 3.0 * part(k, 0.618_033_99);
        Reading { east_m, north_m, depth_m, error_sd_m: 0.2, elevation_m: None }
    };
    (1..=n).map(well).collect()
}

fn prior() -> WaterTablePrior {
    WaterTablePrior::of_band(2.0, 8.0, 22.0, 500.0).unwrap()
}

const PEG: Place = Place { east_m: 1e4, north_m: 1e4, elevation_m: None };

/// One place, the covariance of all wells factored for it.
#[divan::bench(args = [20, 50, 100, 200, 400])]
fn kriging_of_one_place(bencher: Bencher, n: u32) {
    let samples: Vec<Sample> = wells(n)
        .iter()
        .map(|w| Sample { spot: Spot::new([w.east_m, w.north_m]), value: w.depth_m, error_sd: w.error_sd_m })
        .collect();
    let variogram = Variogram::of(Shape::Exponential, 2.0, 8.0, 3e3).unwrap();
    bencher.bench(|| {
        let kriging = Kriging::new(variogram.clone(), Trend::Constant, &samples).unwrap();
        kriging.at(Spot::new([1e4, 1e4])).unwrap().mean
    });
}

/// The same with nothing known but the wells: learning included.
#[divan::bench(args = [0, 5, 20, 50, 200, 400])]
fn depth_to_water_learning(bencher: Bencher, n: u32) {
    let wells = wells(n);
    bencher.bench(|| depth_to_water(&prior(), &wells, PEG, Options::default()).unwrap().median_m);
}

/// One more place among wells that were learnt from before.
#[divan::bench(args = [20, 200, 10_000])]
fn depth_to_water_once_learnt(bencher: Bencher, n: u32) {
    let model = WaterTableModel::learn(&prior(), &wells(n), Options::default()).unwrap();
    bencher.bench(|| model.at(PEG).unwrap().median_m);
}

#[divan::bench(args = [3, 20, 200])]
fn direction_of_flow(bencher: Bencher, n: u32) {
    let levels: Vec<WaterLevel> = wells(n)
        .iter()
        .map(|w| WaterLevel {
            east_m: w.east_m,
            north_m: w.north_m,
            level_m: 500.0 - w.east_m / 100.0 - w.depth_m,
            error_sd_m: 0.3,
        })
        .collect();
    bencher.bench(|| flow(&levels, 15.0).unwrap().chance_up_gradient(90.0, 30.0));
}
