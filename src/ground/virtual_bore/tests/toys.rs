//! Toy grounds whose answer is known.

#![allow(clippy::float_cmp)]

use super::*;
use crate::diag::{Problems, Sources};
use crate::ground::properties;
use crate::ground::survival::{BoreEnd, BoreSeen, Survival};
use crate::region::{self, Suits};
use crate::units::standard_normal_below;

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

/// By hand as above with half the transmissivity: a top at 7.5 m leaves 1.5 m,
/// where 3 m of screen fall by 1.13 m; one at 7 m needs 3.5 m of it.
#[test]
fn the_bias_allowance_asks_for_a_deeper_hole() {
    let mut inputs = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    inputs.design.bias_divisor = 2.0;
    assert_eq!(drilled(&inputs).depth_m.median, 11.5);
}

/// By hand as above: 0.01 d²/m⁵ lose 0.01·21.6² = 4.67 m more, so that the
/// top lies at 11.5 m where 5.5 m of drawdown are left.
#[test]
fn well_loss_asks_for_a_deeper_hole() {
    let mut inputs = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    inputs.design.well_loss_d2_per_m5 = 0.01;
    assert_eq!(drilled(&inputs).depth_m.median, 15.5);
}

#[test]
fn rock_lies_deeper_or_shallower_by_the_error_of_thickness() {
    let mut inputs = inputs(vec![log(1.0, &[(10.0, SandWet), (90.0, HardRock)])]);
    inputs.thickness_error = 0.3;
    for past in drilled(&inputs).past.into_iter().skip(1) {
        let expected = 1.0 - standard_normal_below((past.depth_m / 10.0).ln() / 0.3);
        assert!(
            (past.share - expected).abs() <= by_luck(expected, &inputs).max(0.002),
            "{past:?} {expected}"
        );
    }
}

/// The conductivity that just does is found without any spread; with it, the
/// share of bores that are a success is that of a lognormal above it.
#[test]
fn the_spread_of_conductivity_decides_how_many_yield_enough() {
    let mut inputs = inputs(vec![log(1.0, &[(40.0, SandWet)])]);
    let (mut low, mut high) = (0.01, 10.0);
    inputs.bores = 1;
    for _ in 0..30 {
        let k = f64::sqrt(low * high);
        inputs.ground.insert(SandWet, known(k, 1.0, false));
        if drilled(&inputs).success.value > 0.5 { high = k } else { low = k }
    }
    let k_m_per_day = LogRange { low: high / 4.0, typical: high * 1.5, high: high * 10.0 };
    inputs
        .ground
        .insert(SandWet, GroundClass { k_m_per_day, storage: 0.1, bears_water: 1.0, is_rock: false });
    inputs.bores = 5000;
    let expected = standard_normal_below(1.959_964 * 1.5_f64.ln() / 6.0_f64.ln());
    assert!((drilled(&inputs).success.value - expected).abs() < by_luck(expected, &inputs));
}

#[test]
fn ground_that_refuses_at_times_refuses_its_share() {
    let mut inputs = inputs(vec![log(1.0, &[(3.0, SoftClay), (30.0, SandWet)])]);
    inputs.methods[0].refusal.insert(SoftClay, 0.3);
    let refused = drilled(&inputs).failures.refused;
    assert!((refused - 0.3).abs() < by_luck(0.3, &inputs));
}

#[test]
fn ground_that_bears_water_at_times_is_dry_the_rest() {
    let mut inputs = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    inputs.ground.insert(SandWet, known(10.0, 0.4, false));
    let jetting = drilled(&inputs);
    assert!((jetting.success.value - 0.4).abs() < by_luck(0.4, &inputs));
    assert!((jetting.failures.dry - 0.6).abs() < by_luck(0.6, &inputs));
}

/// By hand: marks lie 4 m apart, so a screen below a top at 8 m crosses 4 m
/// of sand, of which 3 m at most are screened: 30 m²/d below 2 m of drawdown
/// give 2·4π·30/ln(2.25·30/6/(0.055²·0.1)) = 71.65 m³/d.
#[test]
fn no_more_is_screened_than_the_greatest_length() {
    let mut inputs = inputs(vec![log(1.0, &[(13.0, SandWet), (40.0, SoftClay)])]);
    (inputs.design.step_m, inputs.design.screen_max_m) = (4.0, 3.0);
    let jetting = drilled(&inputs);
    assert_eq!(jetting.depth_m.median, 13.0);
    assert!((jetting.yield_lps.median * 86.4 - 71.65).abs() < 0.01, "{:?}", jetting.yield_lps);
}

#[test]
fn no_level_lies_above_the_ground() {
    let mut inputs = inputs(vec![log(1.0, &[(40.0, SandWet)])]);
    inputs.level = LevelDistribution::Normal { median_m: -5.0, sd_m: 1.0 };
    let level = virtual_bores(&inputs).unwrap().level_m;
    assert_eq!((level.low95, level.high95), (0.0, 0.0));
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

/// A built-in region's methods and the built-in figures of every class make
/// inputs that drill.
#[test]
fn a_region_and_the_built_in_figures_make_inputs() {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let region = region::load("river-alluvium", None, &mut sources, &mut problems).unwrap();
    let refuses = |suits: Option<Suits>| match suits {
        Some(Suits::Yes) => 0.0,
        Some(Suits::Slow) => 0.1,
        Some(Suits::Cased) => 0.3,
        Some(Suits::No) | None => 1.0,
    };
    let mut inputs = inputs(vec![log(1.0, &[(3.0, SoftClay), (14.0, SandWet)])]);
    inputs.methods =
        region.methods.iter().map(|(m, profile)| MethodInputs::of(m.name(), profile, refuses)).collect();
    inputs.ground = MaterialClass::ALL
        .into_iter()
        .filter_map(|class| Some((class, GroundClass::of(properties(class)?, 0.5, 0.01))))
        .collect();
    let bores = virtual_bores(&inputs).unwrap();
    assert_eq!(bores.methods.len(), region.methods.len());
    assert!(bores.methods[bores.best].success.value > 0.5, "{:?}", bores.methods[bores.best]);
}

/// Clay to 8 m, sand below, water at 5 m: the step that ends at 8.5 m is the
/// first in which ground that bears water is met. Sand above the level counts
/// as dry.
#[test]
fn the_first_water_is_met_in_the_first_step_of_sand_below_the_level() {
    let first = |inputs: &VirtualBoreInputs| virtual_bores(inputs).unwrap().draws.grounds[0].first_water_m;
    let clay_over_sand = inputs(vec![log(1.0, &[(8.0, SoftClay), (30.0, SandWet)])]);
    assert_eq!(first(&clay_over_sand), Some(8.5));
    let all_sand = inputs(vec![log(1.0, &[(30.0, SandWet)])]);
    assert_eq!(first(&all_sand), Some(5.5));
    let sand_above_the_level = inputs(vec![log(1.0, &[(4.0, SandWet), (30.0, SoftClay)])]);
    assert_eq!(first(&sand_above_the_level), None);
}
