//! What ten thousand virtual bores cost: 20 neighbours and 3 methods, and how
//! it grows with the neighbours.
//!
//! Run with `cargo bench --bench virtual_bores`.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used)]

use std::collections::BTreeMap;
use std::hint::black_box;

use divan::Bencher;
use forebore::ground::virtual_bore::{
    BelowLogs, GroundClass, LevelDistribution, MethodInputs, VirtualBoreInputs, WeightedLog, WellDesign,
    virtual_bores,
};
use forebore::ground::{Classes, MaterialClass, properties};

fn main() {
    let bores = virtual_bores(&inputs(20)).unwrap();
    for m in &bores.methods {
        println!(
            "{:<24} success {:.3} ({:.2} to {:.2}), refused {:.3}, dry {:.3}, thin {:.3}, low yield {:.3}, poor {:.3}, \
             depth {:.1} m",
            m.name,
            m.success.value,
            m.success.band80.low,
            m.success.band80.high,
            m.failures.refused,
            m.failures.dry,
            m.failures.thin_screen,
            m.failures.low_yield,
            m.failures.poor_quality,
            m.depth_m.median
        );
    }
    divan::main();
}

#[divan::bench(args = [0, 20, 200, 1000])]
fn ten_thousand_bores_and_three_methods(bencher: Bencher, neighbours: u32) {
    let inputs = inputs(neighbours);
    bencher.bench_local(|| virtual_bores(black_box(&inputs)).unwrap());
}

#[divan::bench]
fn ten_thousand_bores_on_one_thread(bencher: Bencher) {
    let inputs = inputs(20);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    bencher.bench_local(|| pool.install(|| virtual_bores(black_box(&inputs))).unwrap());
}

/// Invented neighbours: clay over sand over weathered rock, each a little
/// different, some ending early, some in words nobody understands.
fn inputs(neighbours: u32) -> VirtualBoreInputs {
    use MaterialClass::{HardRock, SandDry, SandWet, Saprolite, SoftClay, StiffClay, Topsoil};
    let any_of = |classes: &[MaterialClass]| classes.iter().copied().collect::<Classes>();
    let log = |k: u32| {
        let wobble = f64::from(k * 7 % 11) / 10.0;
        let mut layers = vec![
            (0.5, any_of(&[Topsoil])),
            (2.0 + wobble, any_of(&[SoftClay, StiffClay])),
            (6.0 + 2.0 * wobble, any_of(&[SandDry, SandWet])),
            (8.0 + 3.0 * wobble, any_of(&[SoftClay])),
            (14.0 + 5.0 * wobble, any_of(&[SandDry, SandWet])),
        ];
        if k.is_multiple_of(5) {
            layers.push((19.5, Classes::unknown()));
        }
        if k.is_multiple_of(3) {
            layers.push((22.0, any_of(&[Saprolite])));
            layers.push((30.0, any_of(&[HardRock])));
        }
        WeightedLog {
            weight: 1.0 / (1.0 + f64::from(k)),
            layers,
            ends_in_soft_ground: true,
            error_share: 1.0,
        }
    };
    let known: BTreeMap<_, _> = MaterialClass::ALL
        .into_iter()
        .filter_map(|class| Some((class, GroundClass::of(properties(class)?, 0.5, 0.01))))
        .collect();
    let method = |name: &str, max_depth_m: f64, clay: f64| MethodInputs {
        name: name.to_owned(),
        max_depth_m,
        refusal: known
            .iter()
            .map(|(class, ground)| {
                let chance = if ground.is_rock { 1.0 } else { 0.0 };
                (*class, if *class == StiffClay { clay } else { chance })
            })
            .collect(),
        mobilisation: 100.0,
        per_metre: 12.0,
    };
    VirtualBoreInputs {
        logs: (0..neighbours).map(log).collect(),
        prior_logs: (0..5).map(|k| log(3 * k)).collect(),
        prior_worth: 1.0,
        thickness_error: 0.25,
        below_logs: BelowLogs::Refuses,
        level: LevelDistribution::Normal { median_m: 7.0, sd_m: 2.0 },
        methods: vec![
            method("hand auger", 15.0, 0.3),
            method("sludging", 20.0, 0.1),
            method("manual rotary jetting", 35.0, 0.05),
        ],
        ground: known,
        design: WellDesign {
            rate_lps: 0.25,
            pumping_hours: 8.0,
            well_radius_m: 0.0575,
            screen_min_m: 3.0,
            screen_max_m: 6.0,
            submergence_m: 1.0,
            sump_m: 1.0,
            lift_max_m: Some(25.0),
            bias_divisor: 2.0,
            well_loss_d2_per_m5: 1e-4,
            u_most: 0.05,
            step_m: 0.5,
        },
        poor_quality_chance: 0.1,
        bores: 10_000,
        seed: 20,
    }
}
