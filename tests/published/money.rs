//! Money and chance.

use forebore::well::beta::Beta;
use forebore::well::cost_per_success::HoleCosts;
use forebore::well::value_of_information::{Trial, TrialWorth};

use crate::close;

/// Independent tries: C_s + (1 − p)/p·C_f, the arithmetic of the geometric
/// distribution.
#[test]
fn the_cost_of_one_working_well() {
    let costs = HoleCosts::new(1000.0, 400.0).unwrap();
    close(costs.per_success(0.8).unwrap(), 1100.0, 1e-9);
    close(costs.per_success(0.5).unwrap(), 1400.0, 1e-9);
}

/// C_f·(1/p₀ − 1/p₁), the relation of Smith (2003), Waterlines 22(1).
#[test]
fn what_better_siting_is_worth() {
    let costs = HoleCosts::new(5000.0, 3000.0).unwrap();
    close(costs.siting_worth(0.5, 0.8).unwrap(), 2250.0, 1e-9);
}

fn trial(chance: f64) -> TrialWorth {
    let trial = Trial {
        chance,
        benefit: 2000.0,
        success_cost: 1200.0,
        failure_cost: 900.0,
        sensitivity: 0.9,
        specificity: 0.8,
    };
    trial.worth().unwrap()
}

/// Raiffa & Schlaifer (1961), Applied Statistical Decision Theory: the form,
/// from memory;
/// figures by hand.
#[test]
fn a_trial_hole_where_drilling_pays_already() {
    let known = trial(0.6);
    close(known.value_without, 120.0, 1e-9);
    close(known.good_sign, 0.62, 1e-12);
    close(known.after_good_sign.unwrap(), 0.870968, 1e-6);
    close(known.after_bad_sign.unwrap(), 0.157895, 1e-6);
    close(known.worth, 240.0, 1e-9);
    close(known.worth_of_knowing_all, 360.0, 1e-9);
    // Only a bad sign changes what is done.
    close(known.chance_of_change, 0.38, 1e-12);
}

/// As above.
#[test]
fn a_trial_hole_where_drilling_does_not_pay_yet() {
    let known = trial(0.4);
    assert_eq!(known.value_without, 0.0);
    close(known.good_sign, 0.48, 1e-12);
    close(known.after_good_sign.unwrap(), 0.75, 1e-12);
    close(known.after_bad_sign.unwrap(), 0.0769231, 1e-7);
    close(known.worth, 180.0, 1e-9);
    close(known.worth_of_knowing_all, 320.0, 1e-9);
    close(known.chance_of_change, 0.48, 1e-12);
}

/// Beta(4, 1) and two good holes of five make 6/10.
#[test]
fn learning_from_neighbours() {
    close(Beta::new(4.0, 1.0).unwrap().after(2.0, 3.0).unwrap().mean(), 0.6, 1e-12);
}
