//! What reaches a well from a hazard.

use forebore::ground::microbes::{
    BetweenGrains, HARDY_VIRUSES, MOST_ORGANISMS, days_for_nine_tenths, die_off_log10, log10_per_day,
};
use forebore::ground::nitrate::NitrogenBalance;
use forebore::ground::travel_time::{Openings, Seepage, TravelRisk, fixed_radius_m, travel_risk};
use forebore::units::Part;

use crate::{close, near};

fn seepage(conductivity: f64, gradient: f64, porosity: f64) -> Seepage {
    let just = |value| Part { low: value, value, high: value };
    Seepage::new(just(conductivity), just(gradient), just(porosity)).unwrap()
}

/// The viruses of the Dutch waterworks' model (BTO 2012.015), as printed by a
/// public implementation of it: k 0.7993188853572424 a day.
#[test]
fn attachment_to_grains() {
    let phage = BetweenGrains {
        porosity: 0.33,
        grain_mm: 0.25,
        microbe_m: 2.33e-8,
        sticking_share: 0.001,
        temperature_c: 10.0,
        viscosity_pa_s: 497e-6 * 999.703 / 52.5f64.powf(1.5),
        velocity_m_per_day: 0.01,
    };
    near(phage.attachment_per_day().unwrap(), 0.7993188853572424, 1e-13);
    close(phage.removal_log10(0.149, 0.01).unwrap(), 0.4118, 5e-5);
}

/// v = K·i/n and t = L/v by hand; the second is the boundary of 50 days.
#[test]
fn travel_time() {
    for (k, i, n, distance, velocity, days) in [
        (10.0, 0.01, 0.30, 100.0, 1.0 / 3.0, 300.0),
        (500.0, 0.005, 0.25, 500.0, 10.0, 50.0),
        // Heath 1983, US Geological Survey Water-Supply Paper 2220 (from
        // memory): sand, 0.3 m/d, and clay, 0.00002 m/d.
        (60.0, 0.001, 0.20, 30.0, 0.3, 100.0),
        (1e-4, 0.1, 0.50, 1.0, 2e-5, 50_000.0),
        // A training text's well at 75 m from a hazard; printed 0.25 m/d and 300 d.
        (1.0, 0.05, 0.2, 75.0, 0.25, 300.0),
    ] {
        let water = seepage(k, i, n);
        near(water.velocity_m_per_day().unwrap().high, velocity, 1e-12);
        near(water.time_over(distance).unwrap().fastest_day, days, 1e-12);
    }
    let sand = seepage(10.0, 0.01, 0.30);
    close(sand.distance_in_m(25.0).unwrap().high, 8.3, 0.05);
    close(sand.distance_in_m(50.0).unwrap().high, 16.7, 0.05);
    close(seepage(500.0, 0.005, 0.25).distance_in_m(25.0).unwrap().high, 250.0, 1e-9);
    assert_eq!(travel_risk(Openings::Pores, 50.0).unwrap(), TravelRisk::VeryLow);
}

/// The worst ground of each row of the ARGOSS guideline (British Geological
/// Survey CR/01/142, 2001; rows from memory) over 25 days at a slope of 0.01.
#[test]
fn twenty_five_days_in_each_ground() {
    for (k, n, distance) in
        [(0.1, 0.1, 0.25), (10.0, 0.1, 25.0), (10.0, 0.05, 50.0), (100.0, 0.2, 125.0), (1000.0, 0.2, 1250.0)]
    {
        near(seepage(k, 0.01, n).distance_in_m(25.0).unwrap().high, distance, 1e-12);
    }
}

/// Hantzsche & Finnemore (1992), Ground Water 30, 490–499, as quoted in two
/// studies: 3.19 mg/L, and 13.3 and 22.9 mg/L at a house an acre.
#[test]
fn nitrogen_balance() {
    let plain = NitrogenBalance {
        waste_depth: 1.07,
        waste_n_mg_l: 45.0,
        lost_share: 0.30,
        recharge_depth: 11.25,
        recharge_n_mg_l: 0.5,
    };
    close(plain.n_mg_l().unwrap(), 3.19, 0.005);
    let dense = NitrogenBalance {
        waste_depth: 2.0,
        waste_n_mg_l: 40.0,
        lost_share: 0.25,
        recharge_depth: 3.0,
        recharge_n_mg_l: 2.2,
    };
    close(dense.n_mg_l().unwrap(), 13.3, 0.05);
    let high = NitrogenBalance { waste_n_mg_l: 60.0, lost_share: 0.10, ..dense };
    close(high.n_mg_l().unwrap(), 22.9, 0.05);
}

/// Illinois Administrative Code 35 IAC 671, Appendix A: r = √(Qt/(4524·nH)) in
/// cubic feet a day, minutes and feet; for 5 m³/d, 50 days, n 0.21 and 10 ft
/// that is 36.6 ft.
#[test]
fn the_fixed_radius() {
    const M_PER_FT: f64 = 0.3048;
    let in_feet = (5.0 / M_PER_FT.powi(3) * 50.0 * 1440.0 / (4524.0 * 0.21 * 10.0)).sqrt();
    let r = fixed_radius_m(5.0, 50.0, 0.21, 10.0 * M_PER_FT).unwrap();
    close(r, 11.15, 0.005);
    near(r / M_PER_FT, in_feet, 1e-4);
    close(r / M_PER_FT, 36.6, 0.05);
}

/// John & Rose (2005), Environmental Science & Technology 39, 7345–7356
/// (volume and pages from memory).
#[test]
fn fifty_days_of_dying() {
    let after = |rate| die_off_log10(rate, 50.0).unwrap();
    close(after(MOST_ORGANISMS.0), 3.5, 1e-12);
    close(after(MOST_ORGANISMS.1), 5.0, 1e-12);
    close(after(HARDY_VIRUSES.0), 1.0, 1e-12);
    close(after(HARDY_VIRUSES.1), 2.0, 1e-12);
}

/// E. coli in groundwater with oxygen, 0.023 an hour, quoted by Lisle (2016),
/// US Geological Survey.
#[test]
fn coliforms_by_the_day() {
    let rate = log10_per_day(0.023).unwrap();
    close(rate, 0.24, 0.005);
    close(days_for_nine_tenths(rate).unwrap(), 4.2, 0.05);
}
