//! Toy grounds whose answer is known, and promises on random ones.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp)]

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::super::material::{Classes, MaterialClass};
use super::super::survival::{BoreEnd, BoreSeen, Survival};
use super::*;
use crate::units::standard_normal_below;

use MaterialClass::{HardRock, SandWet, SoftClay, Unknown};

fn one(class: MaterialClass) -> Classes {
    [class].into_iter().collect()
}

fn log(weight: f64, layers: &[(f64, MaterialClass)]) -> WeightedLog {
    let layers = layers.iter().map(|(to_m, class)| (*to_m, one(*class))).collect();
    WeightedLog { weight, layers, ends_in_soft_ground: true }
}

fn known(k: f64, bears_water: f64, is_rock: bool) -> GroundClass {
    let k_m_per_day = LogRange { low: k, typical: k, high: k };
    GroundClass { k_m_per_day, storage: 0.1, bears_water, is_rock }
}

fn method(name: &str, max_depth_m: f64) -> MethodInputs {
    let refusal = [(SandWet, 0.0), (SoftClay, 0.0), (HardRock, 1.0)].into();
    MethodInputs { name: name.to_owned(), max_depth_m, refusal, mobilisation: 100.0, per_metre: 10.0 }
}

/// Water at exactly 5 m, sand of 10 m/d, a jetting rig that gets to 20 m.
fn inputs(logs: Vec<WeightedLog>) -> VirtualBoreInputs {
    VirtualBoreInputs {
        logs,
        prior_logs: Vec::new(),
        prior_worth: 0.0,
        thickness_error: 0.0,
        below_logs: BelowLogs::Refuses,
        level: LevelDistribution::Normal { median_m: 5.0, sd_m: 0.0 },
        ground: BTreeMap::from([
            (SandWet, known(10.0, 1.0, false)),
            (SoftClay, known(0.01, 0.0, false)),
            (HardRock, known(0.01, 0.0, true)),
        ]),
        methods: vec![method("jetting", 20.0)],
        design: WellDesign {
            rate_lps: 0.25,
            pumping_hours: 4.0,
            well_radius_m: 0.055,
            screen_min_m: 3.0,
            screen_max_m: 6.0,
            submergence_m: 1.0,
            sump_m: 1.0,
            lift_max_m: None,
            bias_divisor: 1.0,
            well_loss_d2_per_m5: 0.0,
            u_most: 0.05,
            step_m: 0.5,
        },
        poor_quality_chance: 0.0,
        bores: 2000,
        seed: 1,
    }
}

fn drilled(inputs: &VirtualBoreInputs) -> MethodForecast {
    virtual_bores(inputs).unwrap().methods.remove(0)
}

/// Four standard deviations of a share counted over so many bores.
fn by_luck(share: f64, inputs: &VirtualBoreInputs) -> f64 {
    4.0 * (share * (1.0 - share) / f64::from(inputs.bores)).sqrt()
}

#[test]
fn rock_at_five_metres_refuses_every_hole_there() {
    let jetting = drilled(&inputs(vec![log(1.0, &[(5.0, SandWet), (30.0, HardRock)])]));
    assert_eq!((jetting.failures.refused, jetting.success.value), (1.0, 0.0));
    assert_eq!((jetting.depth_m.low95, jetting.depth_m.high95), (5.0, 5.0));
    assert!(jetting.past.iter().all(|p| p.share == if p.depth_m < 5.0 { 1.0 } else { 0.0 }));
    assert_eq!(jetting.cost_per_success, None);
}

/// By hand: a top at 6.5 m leaves 0.5 m of drawdown, which needs 37 m²/d and
/// so 4 m of screen; a top at 7 m leaves 1 m, where 3 m of screen (30 m²/d)
/// fall by 21.6/(4π·30)·ln(2.25·30/6/(0.055²·0.1)) = 0.60 m. 7 + 3 + 1 = 11 m.
#[test]
fn sand_without_any_doubt_is_a_success_at_the_depth_worked_by_hand() {
    let jetting = drilled(&inputs(vec![log(1.0, &[(30.0, SandWet)])]));
    assert_eq!(jetting.success.value, 1.0);
    let depth = jetting.depth_of_success_m.unwrap();
    assert_eq!((depth.low95, depth.high95), (11.0, 11.0));
    assert!(jetting.yield_lps.low95 >= 0.25);
    assert_eq!((jetting.mean_cost, jetting.cost_per_success), (210.0, Some(210.0)));
}

/// By hand: at 20 m the best of all screens is 6 m long (0.3 m²/d) below 7 m
/// of drawdown, and 7·4π·0.3/ln(2.25·0.3/6/(0.055²·0.1)) = 4.5 m³/d, a fifth
/// of what is wanted.
#[test]
fn tight_sand_yields_too_little() {
    let mut inputs = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    inputs.ground.insert(SandWet, known(0.05, 1.0, false));
    let jetting = drilled(&inputs);
    assert_eq!(jetting.failures.low_yield, 1.0);
    assert!((jetting.yield_lps.median * 86.4 - 4.46).abs() < 0.01, "{:?}", jetting.yield_lps);
}

#[test]
fn sand_too_thin_for_the_screen_says_so() {
    let jetting = drilled(&inputs(vec![log(1.0, &[(8.0, SandWet), (30.0, SoftClay)])]));
    assert_eq!(jetting.failures.thin_screen, 1.0);
    let jetting = drilled(&inputs(vec![log(1.0, &[(4.0, SandWet), (30.0, SoftClay)])]));
    assert_eq!(jetting.failures.dry, 1.0);
}

#[test]
fn sand_under_clay_is_reached() {
    let jetting = drilled(&inputs(vec![log(1.0, &[(10.0, SoftClay), (14.0, SandWet), (30.0, SoftClay)])]));
    assert_eq!(jetting.success.value, 1.0);
    assert_eq!(jetting.depth_m.median, 14.0);
}

#[test]
fn the_level_alone_decides_how_many_are_dry() {
    let mut inputs = inputs(vec![log(1.0, &[(40.0, SandWet)])]);
    inputs.level = LevelDistribution::Normal { median_m: 18.0, sd_m: 3.0 };
    inputs.ground.insert(SandWet, known(1000.0, 1.0, false));
    inputs.bores = 10_000;
    let jetting = drilled(&inputs);
    let dry = 1.0 - standard_normal_below(2.0 / 3.0);
    assert!((jetting.failures.dry - dry).abs() < by_luck(dry, &inputs), "{:?}", jetting.failures);
    // The top of the least screen may lie no deeper than 16 m, and 6 m of
    // drawdown are left above it, less the submergence and next to nothing
    // for the pumping.
    let success = standard_normal_below((15.0 - 0.012 - 18.0) / 3.0);
    assert!((jetting.success.value - success).abs() < by_luck(success, &inputs), "{:?}", jetting.success);
}

#[test]
fn quantiles_of_the_level_are_followed() {
    let mut inputs = inputs(vec![log(1.0, &[(40.0, SandWet)])]);
    inputs.level = LevelDistribution::Quantiles(vec![(0.0, 4.0), (0.5, 10.0), (1.0, 30.0)]);
    let level = virtual_bores(&inputs).unwrap().level_m;
    assert!((level.median - 10.0).abs() < 0.6 && level.low95 > 4.0 && level.high95 < 30.0, "{level:?}");
    assert!((level.high80 - 26.0).abs() < 1.0);
}

#[test]
fn a_lift_that_does_not_reach_the_water_gives_none() {
    let mut inputs = inputs(vec![log(1.0, &[(40.0, SandWet)])]);
    inputs.design.lift_max_m = Some(5.0);
    assert_eq!(drilled(&inputs).failures.low_yield, 1.0);
    inputs.design.lift_max_m = Some(7.0);
    assert_eq!(drilled(&inputs).success.value, 1.0);
}

#[test]
fn poor_water_is_counted_by_its_chance() {
    let mut inputs = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    inputs.poor_quality_chance = 0.3;
    let jetting = drilled(&inputs);
    assert!((jetting.failures.poor_quality - 0.3).abs() < by_luck(0.3, &inputs));
    assert!((jetting.success.value + jetting.failures.poor_quality - 1.0).abs() < 1e-12);
}

#[test]
fn logs_are_drawn_by_their_weight() {
    let logs = vec![log(3.0, &[(30.0, SandWet)]), log(1.0, &[(3.0, SoftClay), (30.0, HardRock)])];
    let inputs = inputs(logs);
    let jetting = drilled(&inputs);
    assert!((jetting.success.value - 0.75).abs() < by_luck(0.75, &inputs));
}

#[test]
fn the_prior_weighs_what_it_is_said_to_be_worth() {
    let mut inputs = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    inputs.prior_logs = vec![log(5.0, &[(3.0, SoftClay), (30.0, HardRock)])];
    inputs.prior_worth = 1.0;
    let bores = virtual_bores(&inputs).unwrap();
    assert!((bores.methods[0].success.value - 0.5).abs() < by_luck(0.5, &inputs));
    assert_eq!((bores.worth, bores.prior_share), (2.0, 0.5));
    inputs.logs.clear();
    assert_eq!(drilled(&inputs).failures.refused, 1.0);
}

#[test]
fn few_logs_leave_the_chance_wide_open_however_many_bores_are_drawn() {
    let mut inputs = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    let few = drilled(&inputs).success;
    assert!(few.drawing95.low > 0.99 && few.band95.low < 0.25, "{few:?}");
    inputs.logs = vec![inputs.logs[0].clone(); 40];
    assert!(drilled(&inputs).success.band95.low > 0.9);
}

/// Depth past refusal by virtual bores against the product-limit curve over
/// the same logs, several of which ended before any rock.
#[test]
fn bores_are_refused_as_the_survival_curve_says() {
    let mut inputs = inputs(Vec::new());
    let mut seen = Vec::new();
    for (depth, rock, weight) in [
        (4.0, true, 1.0),
        (6.0, false, 0.8),
        (7.0, true, 0.5),
        (9.0, false, 0.5),
        (11.0, true, 0.9),
        (13.0, false, 0.2),
        (16.0, true, 0.4),
        (30.0, false, 0.3),
    ] {
        let mut layers = vec![(depth, SandWet)];
        layers.extend(rock.then_some((depth + 10.0, HardRock)));
        inputs.logs.push(log(weight, &layers));
        let end = if rock { BoreEnd::Refused } else { BoreEnd::Censored };
        seen.push(BoreSeen { depth_m: depth, end, weight });
    }
    inputs.bores = 20_000;
    let curve = Survival::fit(&seen, &[], 0.0).unwrap();
    for past in drilled(&inputs).past {
        let expected = curve.past(past.depth_m).unwrap().chance;
        assert!((past.share - expected).abs() <= by_luck(expected, &inputs), "{past:?} {expected}");
    }
}

#[test]
fn a_log_refused_at_its_end_refuses_there() {
    let mut refused = log(1.0, &[(7.0, SandWet)]);
    refused.ends_in_soft_ground = false;
    let jetting = drilled(&inputs(vec![refused, log(0.0, &[(30.0, SandWet)])]));
    assert_eq!((jetting.failures.refused, jetting.depth_m.median), (1.0, 7.0));
    assert_eq!(jetting.unseen, 0.0);
}

#[test]
fn ground_below_every_log_is_what_the_inputs_say() {
    let mut inputs = inputs(vec![log(1.0, &[(8.0, SandWet)])]);
    let refusing = drilled(&inputs);
    assert_eq!((refusing.failures.refused, refusing.unseen), (1.0, 1.0));
    inputs.below_logs = BelowLogs::GoesOn;
    let going_on = drilled(&inputs);
    assert_eq!((going_on.success.value, going_on.unseen), (1.0, 1.0));
}

#[test]
fn a_layer_nobody_understands_is_what_other_logs_show_there() {
    let mut vague = log(1.0, &[(4.0, SoftClay)]);
    vague.layers.push((25.0, Classes::unknown()));
    let rock = log(0.5, &[(4.0, SoftClay), (25.0, HardRock)]);
    let sand = log(1.5, &[(4.0, SoftClay), (25.0, SandWet)]);
    let inputs = inputs(vec![vague, rock, sand]);
    let jetting = drilled(&inputs);
    assert!((jetting.success.value - 0.75).abs() < by_luck(0.75, &inputs), "{:?}", jetting.success);
}

#[test]
fn a_class_that_is_not_told_apart_is_each_of_them_alike() {
    let mut either = log(1.0, &[(4.0, SandWet)]);
    either.layers.push((25.0, [SandWet, HardRock].into_iter().collect()));
    let inputs = inputs(vec![either]);
    assert!((drilled(&inputs).success.value - 0.5).abs() < by_luck(0.5, &inputs));
}

#[test]
fn a_log_reads_alike_however_finely_it_is_written() {
    let coarse = inputs(vec![log(1.0, &[(4.0, SoftClay), (24.0, SandWet)])]);
    let rows: Vec<_> = [(2.0, SoftClay), (4.0, SoftClay)]
        .into_iter()
        .chain((5..=24).map(|m| (f64::from(m), SandWet)))
        .collect();
    let mut fine = inputs(vec![log(1.0, &rows)]);
    fine.thickness_error = 0.3;
    let coarse = VirtualBoreInputs { thickness_error: 0.3, ..coarse };
    assert_eq!(virtual_bores(&coarse), virtual_bores(&fine));
}

#[test]
fn methods_drill_the_same_grounds() {
    let mut inputs =
        inputs(vec![log(1.0, &[(30.0, SandWet)]), log(1.0, &[(9.0, SandWet), (30.0, HardRock)])]);
    inputs.thickness_error = 0.4;
    inputs.methods = vec![method("auger", 10.0), method("jetting", 20.0), method("twin", 20.0)];
    inputs.methods[2].per_metre = 8.0;
    let bores = virtual_bores(&inputs).unwrap();
    assert_eq!(bores.best, 2, "the cheaper of two that do alike");
    for (_, reached) in bores.draws.iter() {
        assert_eq!(reached[1], reached[2]);
        assert!(reached[0].reach_m <= reached[1].reach_m);
    }
}

#[test]
fn inputs_that_say_nothing_are_refused() {
    let good = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    let fault = |change: &dyn Fn(&mut VirtualBoreInputs)| {
        let mut bad = good.clone();
        change(&mut bad);
        virtual_bores(&bad).unwrap_err()
    };
    assert_eq!(fault(&|i| i.logs.clear()), InputFault::NoGround);
    assert_eq!(fault(&|i| i.logs[0].weight = 0.0), InputFault::NoGround);
    assert_eq!(fault(&|i| i.methods.clear()), InputFault::NoMethod);
    assert_eq!(fault(&|i| i.bores = 0), InputFault::NoBores);
    assert_eq!(fault(&|i| i.logs[0].layers.push((3.0, one(SoftClay)))), InputFault::Layers);
    assert_eq!(
        fault(&|i| i.logs[0].layers.push((40.0, one(MaterialClass::Silt)))),
        InputFault::Ground("silt")
    );
    assert_eq!(
        fault(&|i| i.methods[0].refusal.retain(|class, _| *class != SandWet)),
        InputFault::Ground("sand_wet")
    );
    assert_eq!(fault(&|i| i.design.step_m = 1e-9), InputFault::Step);
    assert_eq!(fault(&|i| i.design.rate_lps = f64::NAN), InputFault::Number("rate"));
    assert_eq!(
        fault(&|i| i.level = LevelDistribution::Quantiles(Vec::new())),
        InputFault::Number("water level")
    );
    assert_eq!(fault(&|i| i.design.u_most = 0.5), InputFault::Number("greatest u"));
}

/// A ground in which everything is uncertain.
fn uncertain() -> VirtualBoreInputs {
    let mut inputs = inputs(vec![
        log(1.0, &[(3.0, SoftClay), (12.0, SandWet)]),
        log(0.6, &[(5.0, SandWet), (9.0, SoftClay), (15.0, SandWet), (30.0, HardRock)]),
        log(0.2, &[(8.0, SoftClay), (18.0, Unknown)]),
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
    (0.01..2.0f64, some_layers(), any::<bool>())
        .prop_map(|(weight, layers, ends_in_soft_ground)| WeightedLog { weight, layers, ends_in_soft_ground })
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
