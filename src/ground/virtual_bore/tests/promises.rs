//! What holds on any ground.

use proptest::prelude::*;

use super::super::drill::{Column, Wanted};
use super::super::ground::{DrawnGround, Grounds};
use super::*;
use crate::stats::Random;

/// A ground in which everything is uncertain.
fn uncertain() -> VirtualBoreInputs {
    let mut inputs = inputs(vec![
        log(1.0, &[(3.0, SoftClay), (12.0, SandWet)]),
        log(0.6, &[(5.0, SandWet), (9.0, SoftClay), (15.0, SandWet), (30.0, HardRock)]),
        log(0.2, &[(8.0, SoftClay), (18.0, MaterialClass::Unknown)]),
    ]);
    inputs.logs[2].layers[1].1 = Classes::unknown();
    inputs.prior_logs = vec![log(1.0, &[(6.0, SoftClay), (25.0, SandWet)])];
    inputs.prior_worth = 1.0;
    inputs.thickness_error = 0.3;
    inputs.level = LevelDistribution::Normal { median_m: 7.0, sd_m: 3.0 };
    let k_m_per_day = LogRange { low: 0.1, typical: 2.0, high: 100.0 };
    inputs
        .ground
        .insert(SandWet, GroundClass { k_m_per_day, storage: 0.2, bears_water: 0.9, is_rock: false });
    inputs.methods = vec![method("auger", 12.0), method("jetting", 25.0)];
    inputs.methods[0].refusal.insert(SoftClay, 0.2);
    inputs.poor_quality_chance = 0.1;
    inputs
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let inputs = uncertain();
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        format!("{:?}", pool.install(|| virtual_bores(&inputs)).unwrap())
    };
    let one = with(1);
    assert!(one == with(2) && one == with(4));
}

#[test]
fn another_seed_draws_other_bores_to_the_same_end() {
    let mut inputs = uncertain();
    let one = virtual_bores(&inputs).unwrap();
    inputs.seed = 2;
    let two = virtual_bores(&inputs).unwrap();
    assert!(one.draws != two.draws);
    let apart = one.methods[1].success.value - two.methods[1].success.value;
    assert!(apart.abs() < 2.0_f64.sqrt() * by_luck(0.5, &inputs));
}

fn some_layers() -> impl Strategy<Value = Vec<(f64, Classes)>> {
    let class = prop::sample::select(vec![
        one(SandWet),
        one(SoftClay),
        one(HardRock),
        [SandWet, SoftClay].into_iter().collect(),
        [SandWet, HardRock].into_iter().collect(),
        Classes::unknown(),
    ]);
    prop::collection::vec((0.1..9.0f64, class), 0..6).prop_map(|rows| {
        let mut to_m = 0.0;
        rows.into_iter()
            .map(|(thick_m, classes)| {
                to_m += thick_m;
                (to_m, classes)
            })
            .collect()
    })
}

fn some_log() -> impl Strategy<Value = WeightedLog> {
    (0.01..2.0f64, some_layers(), any::<bool>()).prop_map(|(weight, layers, ends_in_soft_ground)| {
        WeightedLog { weight, layers, ends_in_soft_ground, error_share: 1.0 }
    })
}

prop_compose! {
    fn some_inputs()(
        logs in prop::collection::vec(some_log(), 1..6),
        prior_logs in prop::collection::vec(some_log(), 0..3),
        numbers in (0.0..2.0f64, 0.0..0.8f64, -5.0..25.0f64, 0.0..6.0f64, 0.0..1.0f64, 0.0..1.0f64),
        design in (0.01..2.0f64, 0.1..48.0f64, 0.1..8.0f64, 0.0..8.0f64, 0.05..3.0f64, 1.0..3.0f64),
        other in (any::<bool>(), any::<u64>(), 1e-6..100.0f64, 1.0..300.0f64, 0.0..1.0f64),
    ) -> VirtualBoreInputs {
        let (prior_worth, thickness_error, median_m, sd_m, poor, clay_refuses) = numbers;
        let (rate_lps, pumping_hours, screen_min_m, more_m, step_m, bias_divisor) = design;
        let (goes_on, seed, k, spread, bears_water) = other;
        let mut i = inputs(logs);
        i.logs.push(log(0.5, &[(10.0, SandWet)]));
        i.prior_logs = prior_logs;
        (i.prior_worth, i.thickness_error, i.poor_quality_chance) = (prior_worth, thickness_error, poor);
        i.level = LevelDistribution::Normal { median_m, sd_m };
        i.below_logs = if goes_on { BelowLogs::GoesOn } else { BelowLogs::Refuses };
        i.methods = vec![method("auger", 11.3), method("jetting", 24.0)];
        i.methods[0].refusal.insert(SoftClay, clay_refuses);
        let k_m_per_day = LogRange { low: k / spread, typical: k, high: k * spread };
        i.ground.insert(SandWet, GroundClass { k_m_per_day, storage: 0.2, bears_water, is_rock: false });
        i.design = WellDesign {
            rate_lps, pumping_hours, screen_min_m, screen_max_m: screen_min_m + more_m, step_m, bias_divisor,
            well_loss_d2_per_m5: prior_worth / 1000.0, ..i.design
        };
        (i.bores, i.seed) = (60, seed);
        i
    }
}

fn successes(inputs: &VirtualBoreInputs) -> Vec<bool> {
    virtual_bores(inputs).unwrap().draws.reached.iter().map(|r| r.outcome == Outcome::Success).collect()
}

/// Whether every success of `worse` is one of `better`.
fn never_more(worse: &[bool], better: &[bool]) -> bool {
    worse.iter().zip(better).all(|(w, b)| !w || *b)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn every_number_is_one_and_every_bore_is_counted_once(inputs in some_inputs()) {
        let bores = virtual_bores(&inputs).unwrap();
        let told = format!("{bores:?}");
        prop_assert!(!told.contains("NaN") && !told.contains("inf"));
        for m in &bores.methods {
            let f = m.failures;
            let all = m.success.value + f.refused + f.dry + f.thin_screen + f.low_yield + f.poor_quality;
            prop_assert!((all - 1.0).abs() < 1e-9);
            prop_assert!(m.success.band95.low <= m.success.value && m.success.value <= m.success.band95.high);
            prop_assert!(m.past.windows(2).all(|w| w[1].share <= w[0].share));
        }
        for (ground, reached) in bores.draws.iter() {
            for r in reached {
                prop_assert!(r.depth_m <= r.reach_m + 1e-4 && r.yield_lps >= 0.0);
                if r.outcome == Outcome::Success {
                    prop_assert!(ground.needed_m.is_some());
                    prop_assert!(f64::from(r.yield_lps) >= inputs.design.rate_lps * 0.999_999, "{r:?}");
                }
            }
        }
    }

    /// The search for the least depth against the yield of every depth.
    #[test]
    fn no_shallower_hole_gives_enough(inputs in some_inputs()) {
        let Some(grounds) = Grounds::new(&inputs) else { return Ok(()) };
        let wanted = Wanted::new(inputs.design, 24.0, 0.0);
        let (mut ground, mut column) = (DrawnGround::default(), Column::default());
        for bore in 0..10 {
            grounds.draw(&mut Random::of_draw(inputs.seed, bore), &mut ground);
            column.take(&ground, &wanted);
            let least = column.least_depth_m(ground.level_m, &wanted);
            let gives = |depth_m: f64| column.yield_lps(depth_m, ground.level_m, &wanted);
            let rate = inputs.design.rate_lps;
            if let Some(least) = least {
                prop_assert!(gives(least) >= rate * (1.0 - 1e-9));
                prop_assert!(gives(least - inputs.design.step_m / 2.0) < rate);
            } else {
                prop_assert!(gives(30.0) < rate * (1.0 + 1e-9));
            }
        }
    }

    /// Whatever a caller puts in, it gets numbers or a fault.
    #[test]
    fn numbers_however_wild_give_numbers_or_a_fault(
        mut inputs in some_inputs(),
        which in 0usize..16,
        wild in prop::sample::select(vec![
            0.0, -1.0, 1e-300, 1e-31, 1e-30, 1e-9, 1e9, 1e12, 1e300, f64::NAN, f64::INFINITY, -1e12,
        ]),
    ) {
        let place = match which {
            0 => &mut inputs.design.rate_lps,
            1 => &mut inputs.design.pumping_hours,
            2 => &mut inputs.design.well_radius_m,
            3 => &mut inputs.design.screen_max_m,
            4 => &mut inputs.design.submergence_m,
            5 => &mut inputs.design.sump_m,
            6 => &mut inputs.design.bias_divisor,
            7 => &mut inputs.design.well_loss_d2_per_m5,
            8 => &mut inputs.design.u_most,
            9 => &mut inputs.thickness_error,
            10 => &mut inputs.prior_worth,
            11 => &mut inputs.methods[0].max_depth_m,
            12 => &mut inputs.methods[0].per_metre,
            13 => &mut inputs.ground.get_mut(&SandWet).unwrap().k_m_per_day.high,
            14 => &mut inputs.ground.get_mut(&SandWet).unwrap().storage,
            _ => &mut inputs.logs[0].weight,
        };
        *place = wild;
        if let Ok(bores) = virtual_bores(&inputs) {
            let told = format!("{bores:?}");
            prop_assert!(!told.contains("NaN") && !told.contains("inf"));
        }
    }

    #[test]
    fn a_deeper_level_never_makes_a_success(mut inputs in some_inputs(), deeper_m in 0.0..5.0f64) {
        let before = successes(&inputs);
        if let LevelDistribution::Normal { median_m, .. } = &mut inputs.level {
            *median_m += deeper_m;
        }
        prop_assert!(never_more(&successes(&inputs), &before));
    }

    #[test]
    fn ground_that_refuses_more_never_makes_a_success(
        mut inputs in some_inputs(),
        class in prop::sample::select(vec![SandWet, SoftClay]),
        more in 0.0..1.0f64,
    ) {
        let before = successes(&inputs);
        for method in &mut inputs.methods {
            let chance = method.refusal.get_mut(&class).unwrap();
            *chance = (*chance + more).min(1.0);
        }
        prop_assert!(never_more(&successes(&inputs), &before));
    }

    #[test]
    fn asking_more_of_the_well_never_makes_a_success(mut inputs in some_inputs(), more in 1.0..2.0f64) {
        let before = successes(&inputs);
        inputs.design.rate_lps *= more;
        inputs.design.bias_divisor *= more;
        inputs.design.submergence_m *= more;
        inputs.poor_quality_chance = (inputs.poor_quality_chance * more).min(1.0);
        prop_assert!(never_more(&successes(&inputs), &before));
    }

    #[test]
    fn tighter_ground_never_makes_a_success(mut inputs in some_inputs(), tighter in 1.0..20.0f64) {
        let before = successes(&inputs);
        for ground in inputs.ground.values_mut() {
            let k = &mut ground.k_m_per_day;
            (k.low, k.typical, k.high) = (k.low / tighter, k.typical / tighter, k.high / tighter);
        }
        prop_assert!(never_more(&successes(&inputs), &before));
    }
}
