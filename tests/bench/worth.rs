//! What money, giving up and the next thing to find out cost over ten
//! thousand virtual bores, three methods and six observations: 20 ms is
//! wanted for all of it together.
//!
//! Run with `cargo bench --bench worth`.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

use std::hint::black_box;

use divan::Bencher;
use forebore::diag::{Problems, Sources};
use forebore::ground::virtual_bore::{Draws, GroundDraw, Outcome, Reached};
use forebore::region;
use forebore::well::beta::Beta;
use forebore::well::cost_per_success::HoleCosts;
use forebore::well::worth::{
    GiveUpInputs, HoleMoney, HolePrices, MoneyInputs, NextThings, Plan, Priced, Scenarios, WellMoney,
    WorthFigures, give_up, give_up_dry, money, next_to_find_out,
};

const METHODS: [f32; 3] = [15.0, 20.0, 35.0];
const PRICES: HolePrices = HolePrices {
    mobilisation: 100.0,
    per_metre: 12.0,
    casing_per_metre: 8.0,
    completion: 375.0,
    lift: 500.0,
    abandonment: 30.0,
};

fn main() {
    let (money, next) = all(&bores(), &figures());
    for method in &money {
        println!("{:?}", method.cost);
    }
    println!("{:?} brings {:.0}, knowing all {:.0}", next.act, next.brings, next.worth_of_knowing_all);
    for f in &next.list {
        println!("{:.0} for {:.0}, changes {:.2}: {:?}", f.worth, f.price, f.chance_of_change, f.observation);
    }
    divan::main();
}

#[divan::bench]
fn everything(bencher: Bencher) {
    let (bores, figures) = (bores(), figures());
    bencher.bench_local(|| all(black_box(&bores), &figures));
}

#[divan::bench]
fn everything_on_one_thread(bencher: Bencher) {
    let (bores, figures) = (bores(), figures());
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    bencher.bench_local(|| pool.install(|| all(black_box(&bores), &figures)));
}

#[divan::bench]
fn money_of_three_methods(bencher: Bencher) {
    let (bores, figures) = (bores(), figures());
    bencher.bench_local(|| (0..3).map(|m| money_of(black_box(&bores), m, &figures)).collect::<Vec<_>>());
}

#[divan::bench]
fn giving_up_with_three_methods(bencher: Bencher) {
    let bores = bores();
    bencher.bench_local(|| (0..3).map(|m| plan(black_box(&bores), m, 1500.0)).collect::<Vec<_>>());
}

fn figures() -> WorthFigures {
    let region = region::load(region::UNSTATED, None, &mut Sources::new(), &mut Problems::new()).unwrap();
    WorthFigures::of(&region).unwrap()
}

fn all(bores: &Draws, figures: &WorthFigures) -> (Vec<WellMoney>, NextThings) {
    let money: Vec<_> = (0..METHODS.len()).map(|method| money_of(bores, method, figures)).collect();
    let well_worth = money.iter().filter_map(|m| Some(m.cheapest?.cost)).fold(f64::MAX, f64::min);
    let plans: Vec<_> = (0..METHODS.len()).map(|method| plan(bores, method, well_worth)).collect();
    let scenarios = Scenarios::new(bores, &plans, well_worth, None).unwrap();
    let mut things: Vec<Priced> = figures.things(Some(0)).into();
    things.push(figures.tape_again(0.1, 1300.0, 30.0));
    let next = next_to_find_out(&scenarios, &things).unwrap();
    (money, next)
}

fn money_of(bores: &Draws, method: usize, figures: &WorthFigures) -> WellMoney {
    let holes = HoleMoney::of(bores, method, PRICES).unwrap();
    let here = HoleCosts::new(holes.success.mean, holes.failure.mean).unwrap();
    let alternatives = [
        figures.another_peg(here).unwrap(),
        figures.machine_rig().unwrap(),
        figures.rainwater(180.0).unwrap(),
    ];
    let good = bores.iter().filter(|(_, ends)| ends[method].outcome == Outcome::Success).count();
    let mean = good as f64 / bores.grounds.len() as f64;
    money(&MoneyInputs {
        chance: Beta::of_mean(mean, 6.0).unwrap(),
        holes,
        price_spread_share: figures.price_spread_share,
        alternatives: &alternatives,
        wells: &[1, 5, 20],
        client_share: figures.dry_hole_client_share,
    })
    .unwrap()
}

fn plan(bores: &Draws, method: usize, well_worth: f64) -> Plan {
    let inputs =
        GiveUpInputs { draws: bores, method, prices: PRICES, well_worth, step_m: 0.5, weights: None };
    let give_up = give_up(&inputs).unwrap();
    black_box(give_up_dry(&inputs).unwrap());
    Plan { prices: PRICES, give_up_m: give_up.begin.then_some(give_up.depth_m) }
}

/// Ten thousand invented bores of twenty logs.
fn bores() -> Draws {
    let mut x = 1u32;
    let mut next = || {
        x = x.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(x >> 8) / f64::from(1u32 << 24)
    };
    let mut grounds = Vec::new();
    let mut reached = Vec::new();
    for _ in 0..10_000 {
        let log = (next() * 20.0) as u32;
        let level_m = 3.0 + 8.0 * next();
        let needed_m = (next() > 0.2).then_some(level_m + 4.0 + f64::from(log) * next());
        let refused_m = 5.0 + 60.0 * next();
        let poor = next() < 0.1;
        grounds.push(GroundDraw {
            log,
            level_m: level_m as f32,
            needed_m: needed_m.map(|m| m as f32),
            seen_to_m: 30.0,
            first_water_m: needed_m.map(|_| level_m as f32 + 1.0),
        });
        for max_m in METHODS {
            let reach_m = (refused_m as f32).min(max_m);
            let outcome = match needed_m {
                Some(needed) if needed as f32 <= reach_m && poor => Outcome::PoorQuality,
                Some(needed) if needed as f32 <= reach_m => Outcome::Success,
                _ if reach_m < max_m => Outcome::Refused,
                Some(_) => Outcome::ThinScreen,
                None => Outcome::Dry,
            };
            let found = matches!(outcome, Outcome::Success | Outcome::PoorQuality);
            let depth_m = needed_m.filter(|_| found).map_or(reach_m, |m| m as f32);
            reached.push(Reached { outcome, depth_m, reach_m, yield_lps: 0.2 });
        }
    }
    Draws::new(grounds, reached, METHODS.len()).unwrap()
}
