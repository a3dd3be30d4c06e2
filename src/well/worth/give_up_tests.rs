//! Toy grounds on which the best depth to give up is known by hand.

#![allow(clippy::float_cmp)]

use super::super::toys::{draws, ends};
use super::*;
use Outcome::{Dry, PoorQuality, Refused, Success};

const PRICES: HolePrices = HolePrices {
    mobilisation: 100.0,
    per_metre: 20.0,
    casing_per_metre: 0.0,
    completion: 200.0,
    lift: 0.0,
    abandonment: 30.0,
};

fn inputs(draws: &Draws, well_worth: f64) -> GiveUpInputs<'_> {
    GiveUpInputs { draws, method: 0, prices: PRICES, well_worth, step_m: 1.0, weights: None }
}

fn close(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-6, "{found} is not {wanted}");
}

/// Water is met with the same chance in every metre of 20; what is left over
/// is dry at the reach.
fn geometric(chance: f64) -> (Draws, Vec<f64>) {
    let mut all: Vec<_> = (1..=20).map(|k| (Success, k as f32)).collect();
    all.push((Dry, 20.0));
    let mut weights: Vec<f64> = (0..20).map(|k| chance * (1.0 - chance).powi(k)).collect();
    weights.push((1.0 - chance).powi(20));
    (draws(ends(&all)), weights)
}

/// By hand: (1 − 0.9²⁰) of the holes bring 1000 − 200, the rest lose 30; the
/// metres are (1 − 0.9²⁰)/0.1 on average.
#[test]
fn a_strike_as_likely_in_every_metre_is_drilled_to_the_reach_where_a_metre_pays() {
    let (draws, weights) = geometric(0.1);
    let plan = give_up(&GiveUpInputs { weights: Some(&weights), ..inputs(&draws, 1000.0) }).unwrap();
    let left = 0.9f64.powi(20);
    assert_eq!((plan.begin, plan.depth_m, plan.why), (true, 20.0, WhyGiveUp::WorthItToReach));
    close(plan.worth, (1.0 - left) * 800.0 - left * 30.0 - 20.0 * (1.0 - left) / 0.1 - 100.0);
    close(plan.mean_depth_m, (1.0 - left) / 0.1);
    close(plan.chance, 1.0 - left);
    close(plan.mean_cost, (1.0 - left) * 200.0 + left * 30.0 + 20.0 * (1.0 - left) / 0.1 + 100.0);
    // A metre costs 20 and brings a tenth of 800 + 30 at every depth.
    assert!(plan.steps.iter().all(|s| s.gain > 0.0));
    close(plan.steps.last().unwrap().gain, 0.1 * 830.0 - 20.0);
    close(plan.steps[10].open, 0.9f64.powi(10));
}

/// Where a metre costs more than its tenth of a chance brings, none is
/// drilled: 0.1·(340 − 200 + 30) is 17.
#[test]
fn a_strike_as_likely_in_every_metre_is_left_where_a_metre_does_not_pay() {
    let (draws, weights) = geometric(0.1);
    let plan = give_up(&GiveUpInputs { weights: Some(&weights), ..inputs(&draws, 340.0) }).unwrap();
    assert_eq!((plan.begin, plan.worth), (false, 0.0));
    let WhyGiveUp::NotWorthBeginning { chance, needed_chance } = plan.why else { panic!("{plan:?}") };
    close(chance, 1.0 - 0.9f64.powi(20));
    // (100 + 20·8.784 + 30)/(140 + 30): more than any chance.
    assert_eq!(needed_chance, None);
}

/// By hand: water by 8 m in half of the holes, in one of ten at 30 m only.
/// Beyond 8 m the 5 open holes drill 22 m more for one success in five:
/// 440 for 0.2·(1000 − 200 + 30) = 166 each.
fn two_layers() -> Draws {
    let mut all = vec![(Success, 8.0); 5];
    all.push((Success, 30.0));
    all.extend([(Dry, 30.0); 4]);
    draws(ends(&all))
}

#[test]
fn a_second_aquifer_too_deep_to_pay_for_is_not_drilled_for() {
    let draws = two_layers();
    let plan = give_up(&inputs(&draws, 1000.0)).unwrap();
    assert_eq!((plan.begin, plan.depth_m), (true, 8.0));
    close(plan.worth, 0.5 * 800.0 - 0.5 * 30.0 - 160.0 - 100.0);
    close(plan.worth_to_reach, 0.6 * 800.0 - 0.4 * 30.0 - 20.0 * (0.5 * 8.0 + 0.5 * 30.0) - 100.0);
    let WhyGiveUp::TooFewBelow { chance, needed_chance, more_m, more_cost } = plan.why else {
        panic!("{plan:?}")
    };
    close(chance, 0.2);
    close(needed_chance.unwrap(), 440.0 / 830.0);
    close(more_m, 22.0);
    close(more_cost, 440.0);
}

#[test]
fn the_same_aquifer_is_drilled_for_where_a_well_is_worth_more() {
    let draws = two_layers();
    // 0.2·(V − 200 + 30) is 440 at V = 2370.
    assert_eq!(give_up(&inputs(&draws, 2369.0)).unwrap().depth_m, 8.0);
    let plan = give_up(&inputs(&draws, 2371.0)).unwrap();
    assert_eq!((plan.depth_m, plan.why), (30.0, WhyGiveUp::WorthItToReach));
}

/// Though the ground from 8 to 30 m gives nothing of itself, what lies below
/// may be worth passing it.
#[test]
fn barren_ground_is_passed_for_what_lies_below() {
    let mut all = vec![(Success, 30.0); 9];
    all.push((Dry, 30.0));
    let draws = draws(ends(&all));
    let plan = give_up(&inputs(&draws, 2000.0)).unwrap();
    assert_eq!(plan.depth_m, 30.0);
    close(plan.worth, 0.9 * 1800.0 - 0.1 * 30.0 - 600.0 - 100.0);
}

#[test]
fn ground_that_is_dry_everywhere_is_not_begun() {
    let draws = draws(ends(&[(Dry, 20.0), (Refused, 4.0)]));
    let plan = give_up(&inputs(&draws, 1e4)).unwrap();
    assert_eq!((plan.begin, plan.worth, plan.chance, plan.depth_m), (false, 0.0, 0.0, 0.0));
    let WhyGiveUp::NotWorthBeginning { chance, needed_chance } = plan.why else { panic!("{plan:?}") };
    assert_eq!(chance, 0.0);
    // 100 to begin, 12 m on average and 30, of 10 000 − 200 + 30.
    close(needed_chance.unwrap(), (100.0 + 240.0 + 30.0) / (9800.0 + 30.0));
}

#[test]
fn a_certain_success_is_worth_a_well_less_its_cost() {
    let draws = draws(ends(&[(Success, 12.0)]));
    let plan = give_up(&inputs(&draws, 1000.0)).unwrap();
    assert_eq!((plan.begin, plan.chance, plan.why), (true, 1.0, WhyGiveUp::WorthItToReach));
    close(plan.worth, 1000.0 - PRICES.success(12.0));
    close(plan.mean_cost, PRICES.success(12.0));
    assert_eq!(plan.depth_m, 12.0);
}

/// By hand: below 8 m nothing succeeds, in 4 m that the ground lets be drilled.
#[test]
fn where_nothing_lies_below_the_reason_says_so() {
    let draws = draws(ends(&[(Success, 8.0), (Success, 8.0), (Refused, 12.0)]));
    let plan = give_up(&inputs(&draws, 2000.0)).unwrap();
    assert_eq!((plan.depth_m, plan.why), (8.0, WhyGiveUp::NothingBelow { more_m: 4.0, more_cost: 80.0 }));
}

#[test]
fn water_that_turns_out_bad_costs_the_well() {
    let draws = draws(ends(&[(Success, 10.0), (PoorQuality, 10.0)]));
    let plan = give_up(&inputs(&draws, 2000.0)).unwrap();
    close(plan.worth, 0.5 * 1800.0 - 0.5 * 230.0 - 200.0 - 100.0);
}

/// A cheap stand-in for chance: the ends of some bores.
fn any_ends(seed: u32) -> Vec<(Outcome, f32)> {
    let mut x = seed.wrapping_mul(2_654_435_761) | 1;
    let mut next = |most: u32| {
        x = x.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (x >> 16) % most
    };
    let outcomes = [Success, Refused, Dry, PoorQuality, Success];
    (0..40).map(|_| (outcomes[next(5) as usize], next(120) as f32 / 4.0)).collect()
}

/// With nothing but the depth known a plan is a depth, so every one can be
/// tried.
#[test]
fn no_other_depth_brings_more() {
    for seed in 0..60 {
        let all = any_ends(seed);
        let drawn = draws(ends(&all));
        for worth in [500.0, 1000.0, 3000.0] {
            let plan = give_up(&inputs(&drawn, worth)).unwrap();
            for stop in 0..=30 {
                let stop = f64::from(stop);
                let brings = |&(outcome, depth_m): &(Outcome, f32)| {
                    let depth_m = f64::from(depth_m);
                    let ended = stop > 0.0 && depth_m <= stop;
                    let drilled = -20.0 * depth_m.min(stop) - 100.0;
                    drilled
                        + match outcome {
                            _ if !ended => {
                                if stop > 0.0 {
                                    -30.0
                                } else {
                                    0.0
                                }
                            }
                            Success => worth - 200.0,
                            PoorQuality => -230.0,
                            _ => -30.0,
                        }
                };
                let other = all.iter().map(brings).sum::<f64>() / all.len() as f64;
                assert!(plan.worth_if_begun >= other - 1e-6, "{seed} {worth} {stop}: {other} {plan:?}");
                if (plan.depth_m - stop).abs() < 1e-9 && stop > 0.0 {
                    close(plan.worth_if_begun, other);
                }
            }
            assert!(plan.worth >= plan.worth_to_reach.max(0.0) - 1e-9);
        }
    }
}

#[test]
fn figures_that_are_none_are_refused() {
    let some = draws(ends(&[(Success, 12.0)]));
    assert!(give_up(&inputs(&some, f64::NAN)).is_err());
    assert!(give_up(&GiveUpInputs { method: 1, ..inputs(&some, 1.0) }).is_err());
    assert!(give_up(&GiveUpInputs { step_m: 0.0, ..inputs(&some, 1.0) }).is_err());
    assert!(give_up(&GiveUpInputs { step_m: 1e-9, ..inputs(&some, 1.0) }).is_err());
    assert!(give_up(&GiveUpInputs { weights: Some(&[0.0]), ..inputs(&some, 1.0) }).is_err());
    assert!(give_up(&GiveUpInputs { weights: Some(&[]), ..inputs(&some, 1.0) }).is_err());
    assert!(give_up(&inputs(&Draws::default(), 1.0)).is_err());
}
