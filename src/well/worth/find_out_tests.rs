//! Toy grounds on which the worth of finding out is known by hand.

#![allow(clippy::float_cmp)]

use super::super::holes::HolePrices;
use super::super::observation::Sign;
use super::super::scenarios::Plan;
use super::super::toys::{draws, ends};
use super::*;
use crate::ground::virtual_bore::{Draws, Outcome};
use crate::units::standard_normal_below;
use Outcome::{Dry, PoorQuality, Refused, Success};

/// A success costs 1200 and a failure 900, whatever the depth.
const PLAN: Plan = Plan {
    prices: HolePrices {
        mobilisation: 870.0,
        per_metre: 0.0,
        casing_per_metre: 0.0,
        completion: 300.0,
        lift: 30.0,
        abandonment: 30.0,
    },
    give_up_m: None,
};
const NEVER_ERRS: Sign = Sign { sensitivity: 1.0, specificity: 1.0 };
const BLIND: Sign = Sign { sensitivity: 0.5, specificity: 0.5 };

fn grounds(successes: usize, all: usize) -> Draws {
    let end = |k: usize| (if k < successes { Success } else { Dry }, 10.0);
    draws(ends(&(0..all).map(end).collect::<Vec<_>>()))
}

fn worth_of(draws: &Draws, well_worth: f64, observation: Observation) -> (FindingOut, NextThings) {
    let scenarios = Scenarios::new(draws, &[PLAN], well_worth, None).unwrap();
    let next = next_to_find_out(&scenarios, &[Priced { observation, price: 100.0 }]).unwrap();
    (next.list[0].clone(), next)
}

fn close(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-6, "{found} is not {wanted}");
}

/// Raiffa & Schlaifer (1961), Applied Statistical Decision Theory: the form,
/// from memory; figures by hand, as in the tests of published hydraulics.
#[test]
fn a_sign_over_bores_agrees_with_the_published_form() {
    let sign = Sign { sensitivity: 0.9, specificity: 0.8 };
    for (successes, now, worth, bound, good_sign) in
        [(6, 120.0, 240.0, 360.0, 0.62), (4, 0.0, 180.0, 320.0, 0.48)]
    {
        let (found, next) = worth_of(&grounds(successes, 10), 2000.0, Observation::Resistivity { sign });
        close(next.brings, now);
        close(found.worth, worth);
        close(found.net, worth - 100.0);
        close(found.for_money.unwrap(), worth / 100.0);
        close(found.worth_of_knowing_all, bound);
        close(next.worth_of_knowing_all, bound);
        assert_eq!(found.results[0].seen, Seen::There);
        close(found.results[0].chance, good_sign);
        let changes = if successes == 6 { 1.0 - good_sign } else { good_sign };
        close(found.chance_of_change, changes);
        close(found.chance_of_turning, changes);
    }
}

#[test]
fn what_is_found_says_what_to_do_then() {
    let sign = Sign { sensitivity: 0.9, specificity: 0.8 };
    let (found, next) = worth_of(&grounds(6, 10), 2000.0, Observation::Resistivity { sign });
    assert_eq!(next.act, Act::Drill { method: 0 });
    let acts: Vec<_> = found.results.iter().map(|r| (r.seen, r.act)).collect();
    assert_eq!(acts, [(Seen::There, Act::Drill { method: 0 }), (Seen::NotThere, Act::Leave)]);
}

#[test]
fn a_sign_that_says_nothing_is_worth_nothing_and_one_that_never_errs_all() {
    let all = grounds(6, 10);
    assert!(worth_of(&all, 2000.0, Observation::Resistivity { sign: BLIND }).0.worth < 1e-9);
    close(worth_of(&all, 2000.0, Observation::Resistivity { sign: NEVER_ERRS }).0.worth, 360.0);
}

/// By hand: 5 good, 3 poor, 2 dry. Drilling brings 0.5·800 − 0.3·1200 − 0.2·900,
/// a loss (a well of poor water costs 870 + 300 + 30). A kit that never errs
/// says poor in the 3 and in 3/8 of the 2; else drilling brings 0.5·800 −
/// 0.2·5/8·900.
#[test]
fn a_field_kit_sees_poor_water_only() {
    let mut all = vec![(Success, 10.0); 5];
    all.extend([(PoorQuality, 10.0); 3]);
    all.extend([(Dry, 10.0); 2]);
    let (found, next) = worth_of(&draws(ends(&all)), 2000.0, Observation::QualityKit { sign: NEVER_ERRS });
    assert_eq!((next.act, next.brings), (Act::Leave, 0.0));
    close(found.worth, 400.0 - 0.2 * 0.625 * 900.0);
}

/// By hand: water shallower than the auger's reach in the 6 that succeed,
/// below it in 2 that fail, and 2 are stopped by rock above it. An auger that
/// never errs tells the successes.
#[test]
fn a_trial_hole_sees_water_and_hard_ground_to_its_reach() {
    let mut all = vec![(Success, 20.0); 6];
    all.extend([(Dry, 20.0), (Dry, 20.0), (Refused, 3.0), (Refused, 3.0)]);
    let mut bores = draws(ends(&all));
    for (k, ground) in bores.grounds.iter_mut().enumerate() {
        ground.first_water_m = [Some(8.0), Some(15.0), None][[0, 0, 0, 0, 0, 0, 1, 2, 2, 0][k]];
    }
    let hole = |reach_m, sign| Observation::TrialHole { reach_m, like_method: None, sign };
    let found = worth_of(&bores, 2000.0, hole(10.0, NEVER_ERRS)).0;
    close(found.worth, 360.0);
    let seen: Vec<_> = found.results.iter().map(|r| (r.seen, (r.chance * 10.0).round())).collect();
    assert_eq!(seen, [(Seen::There, 6.0), (Seen::Stopped, 2.0), (Seen::NotThere, 2.0)]);
    // Short of the water it tells only where it is stopped.
    let short = worth_of(&bores, 2000.0, hole(5.0, NEVER_ERRS)).0;
    assert_eq!(short.results.len(), 2);
    close(short.worth, 0.2 * 900.0);
}

/// A level of 5 or 15 m, each alike; the shallow ones succeed.
fn two_levels() -> Draws {
    let mut bores = grounds(50, 100);
    for (k, ground) in bores.grounds.iter_mut().enumerate() {
        ground.level_m = if k < 50 { 5.0 } else { 15.0 };
    }
    bores
}

/// By hand: with equal stakes the reading is cut at 10 m, and with the error s
/// is wrong with the chance Φ(−5/s). The edges lie so that 10 m is one.
#[test]
fn a_level_told_with_an_error_is_worth_what_it_parts() {
    let all = two_levels();
    for error_sd_m in [0.0, 2.0, 5.0] {
        let observation = Observation::Neighbours { count: 1, alike: 0.0, level_error_sd_m: error_sd_m };
        let (found, next) = worth_of(&all, 2100.0, observation);
        assert_eq!(next.act, Act::Leave);
        let right = if error_sd_m > 0.0 { standard_normal_below(5.0 / error_sd_m) } else { 1.0 };
        close(found.worth, 0.5 * 900.0 * right - 0.5 * 900.0 * (1.0 - right));
    }
}

#[test]
fn more_neighbours_tell_more() {
    let worth = |count| {
        let observation = Observation::Neighbours { count, alike: 0.3, level_error_sd_m: 5.0 };
        worth_of(&two_levels(), 2100.0, observation).0.worth
    };
    assert!(worth(1) < worth(2) && worth(2) < worth(5));
    let observation = Observation::Neighbours { count: 0, alike: 0.3, level_error_sd_m: 5.0 };
    let bores = two_levels();
    let scenarios = Scenarios::new(&bores, &[PLAN], 1.0, None).unwrap();
    assert!(next_to_find_out(&scenarios, &[Priced { observation, price: 1.0 }]).is_err());
}

/// Two kinds of ground, each of 10 000 bores: in the one all succeed, in the
/// other none; a neighbour whose ground is surely alike tells which.
#[test]
fn a_neighbour_in_ground_that_is_alike_tells_of_the_ground() {
    let mut bores = grounds(5000, 10_000);
    for (k, ground) in bores.grounds.iter_mut().enumerate() {
        ground.log = u32::from(k >= 5000);
    }
    let ask = |alike| Observation::Neighbours { count: 1, alike, level_error_sd_m: 1.0 };
    let worth = |alike| worth_of(&bores, 2100.0, ask(alike)).0.worth;
    // Shares are drawn towards 1/2 by 20 bores in 5020, so 450·(1 − 20/5020).
    close(worth(1.0), 450.0 * (1.0 - 20.0 / 5020.0));
    close(worth(0.5), 225.0 * (1.0 - 20.0 / 5020.0));
    close(worth(0.0), 0.0);
}

#[test]
fn the_dry_season_tells_all_of_the_level_where_all_doubt_is_of_the_season() {
    let season = |season_sd_m| Observation::DrySeasonLevel { season_sd_m, error_sd_m: 0.0 };
    let worth = |sd| worth_of(&two_levels(), 2100.0, season(sd)).0.worth;
    close(worth(5.0), 450.0);
    close(worth(50.0), 450.0);
    close(worth(0.0), 0.0);
    // Half of the variance: an error of 5 m.
    close(worth(12.5f64.sqrt()), 450.0 * (2.0 * standard_normal_below(1.0) - 1.0));
}

#[test]
fn a_level_that_is_known_need_not_be_measured() {
    let observation = Observation::DrySeasonLevel { season_sd_m: 1.0, error_sd_m: 0.1 };
    assert_eq!(worth_of(&grounds(5, 10), 2100.0, observation).0.worth, 0.0);
}

#[test]
fn the_list_is_ranked_by_value_for_money() {
    let sign = Sign { sensitivity: 0.9, specificity: 0.8 };
    let all = grounds(6, 10);
    let scenarios = Scenarios::new(&all, &[PLAN], 2000.0, None).unwrap();
    let tape = Observation::TapeAgain { chance_below: 0.1, loss: 1230.0, sign: NEVER_ERRS };
    let things = [
        Priced { observation: Observation::Resistivity { sign: BLIND }, price: 50.0 },
        Priced { observation: Observation::Resistivity { sign }, price: 300.0 },
        Priced { observation: tape, price: 6.0 },
        Priced { observation: Observation::Resistivity { sign }, price: 120.0 },
        Priced { observation: Observation::QualityKit { sign: BLIND }, price: 0.0 },
    ];
    let next = next_to_find_out(&scenarios, &things).unwrap();
    let prices: Vec<_> = next.list.iter().map(|f| f.price).collect();
    assert_eq!(prices, [6.0, 120.0, 300.0, 0.0, 50.0]);
    // 0.9·120 − 0.1·1230 is a loss; with the tape 0.9·120 are left.
    close(next.list[0].worth, 108.0);
    assert_eq!(next.list[0].results[0].act, Act::Leave);
    assert_eq!(next.list[3].for_money, None);
}

/// The sixth bore is ruled out, and with it the only one that was stopped.
#[test]
fn a_bore_that_is_ruled_out_shows_nothing() {
    let mut all = vec![(Success, 20.0); 3];
    all.extend([(Dry, 20.0), (Dry, 20.0), (Refused, 3.0)]);
    let bores = draws(ends(&all));
    let weights = [1.0, 1.0, 1.0, 1.0, 1.0, 0.0];
    let scenarios = Scenarios::new(&bores, &[PLAN], 2000.0, Some(&weights)).unwrap();
    let observation = Observation::TrialHole { reach_m: 5.0, like_method: Some(0), sign: NEVER_ERRS };
    let next = next_to_find_out(&scenarios, &[Priced { observation, price: 1.0 }]).unwrap();
    close(next.brings, 0.6 * 800.0 - 0.4 * 900.0);
    assert_eq!(next.list[0].results.iter().map(|r| r.seen).collect::<Vec<_>>(), [Seen::NotThere]);
}

#[test]
fn nothing_is_worth_more_than_knowing_all() {
    let mut bores = two_levels();
    for (k, ground) in bores.grounds.iter_mut().enumerate() {
        ground.log = k as u32 % 7;
        ground.first_water_m = (k % 3 > 0).then_some(k as f32 / 5.0);
    }
    for k in 0..=20 {
        let right = 0.5 + f64::from(k) / 40.0;
        let sign = Sign { sensitivity: right, specificity: 1.0 - right / 2.0 };
        for observation in [
            Observation::Resistivity { sign },
            Observation::QualityKit { sign },
            Observation::TrialHole { reach_m: 12.0, like_method: Some(0), sign },
            Observation::Neighbours { count: 3, alike: right, level_error_sd_m: right },
            Observation::DrySeasonLevel { season_sd_m: right, error_sd_m: 0.2 },
        ] {
            for well_worth in [1300.0, 2100.0, 5000.0] {
                let found = worth_of(&bores, well_worth, observation).0;
                assert!(found.worth <= found.worth_of_knowing_all, "{found:?}");
                let sum: f64 = found.results.iter().map(|r| r.chance).sum();
                close(sum, 1.0);
            }
        }
    }
}

#[test]
fn figures_that_are_none_are_refused() {
    let bores = grounds(5, 10);
    let scenarios = Scenarios::new(&bores, &[PLAN], 2000.0, None).unwrap();
    let bad = Sign { sensitivity: 1.5, specificity: f64::NAN };
    for observation in [
        Observation::Resistivity { sign: bad },
        Observation::TrialHole { reach_m: f64::NAN, like_method: None, sign: NEVER_ERRS },
        Observation::Neighbours { count: 2, alike: 2.0, level_error_sd_m: 1.0 },
        Observation::DrySeasonLevel { season_sd_m: f64::INFINITY, error_sd_m: 1.0 },
        Observation::TapeAgain { chance_below: 0.5, loss: -1.0, sign: NEVER_ERRS },
    ] {
        assert!(
            next_to_find_out(&scenarios, &[Priced { observation, price: 1.0 }]).is_err(),
            "{observation:?}"
        );
    }
    let observation = Observation::Resistivity { sign: NEVER_ERRS };
    assert!(next_to_find_out(&scenarios, &[Priced { observation, price: -1.0 }]).is_err());
}
