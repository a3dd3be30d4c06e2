//! The pumping test "Oude Korendijk" in the Netherlands: 788 m³/d from a
//! confined sand of 7 m, drawdowns in piezometers at 30 and 90 m. Readings:
//! Kruseman & de Ridder (1990), Analysis and Evaluation of Pumping Test Data,
//! ILRI Publication 47, as kept in the public documentation of the TTim
//! library, whose two-parameter fits are the figures to meet.

use forebore::well::fit::{DrawdownReading, TheisFit, fit_theis};
use forebore::well::steps::Pumping;

use crate::near;

const THICKNESS_M: f64 = 7.0;
const MINUTES_PER_DAY: f64 = 1440.0;

/// Minutes and metres at 30 m.
const AT_30_M: [(f64, f64); 34] = [
    (0.1, 0.04),
    (0.25, 0.08),
    (0.5, 0.13),
    (0.7, 0.18),
    (1.0, 0.23),
    (1.4, 0.28),
    (1.9, 0.33),
    (2.33, 0.36),
    (2.8, 0.39),
    (3.36, 0.42),
    (4.0, 0.45),
    (5.35, 0.5),
    (6.8, 0.54),
    (8.3, 0.57),
    (8.7, 0.58),
    (10.0, 0.6),
    (13.1, 0.64),
    (18.0, 0.68),
    (27.0, 0.742),
    (33.0, 0.753),
    (41.0, 0.779),
    (48.0, 0.793),
    (59.0, 0.819),
    (80.0, 0.855),
    (95.0, 0.873),
    (139.0, 0.915),
    (181.0, 0.935),
    (245.0, 0.966),
    (300.0, 0.99),
    (360.0, 1.007),
    (480.0, 1.05),
    (600.0, 1.053),
    (728.0, 1.072),
    (830.0, 1.088),
];

/// Minutes and metres at 90 m.
const AT_90_M: [(f64, f64); 35] = [
    (1.5, 0.015),
    (2.0, 0.021),
    (2.16, 0.023),
    (2.66, 0.044),
    (3.0, 0.054),
    (3.5, 0.075),
    (4.0, 0.09),
    (4.33, 0.104),
    (5.5, 0.133),
    (6.0, 0.153),
    (7.5, 0.178),
    (9.0, 0.206),
    (13.0, 0.25),
    (15.0, 0.275),
    (18.0, 0.305),
    (25.0, 0.348),
    (30.0, 0.364),
    (40.0, 0.404),
    (53.0, 0.429),
    (60.0, 0.444),
    (75.0, 0.467),
    (90.0, 0.494),
    (105.0, 0.507),
    (120.0, 0.528),
    (150.0, 0.55),
    (180.0, 0.569),
    (248.0, 0.593),
    (301.0, 0.614),
    (363.0, 0.636),
    (422.0, 0.657),
    (542.0, 0.679),
    (602.0, 0.688),
    (680.0, 0.701),
    (785.0, 0.718),
    (845.0, 0.716),
];

fn readings(distance_m: f64, read: &[(f64, f64)]) -> Vec<DrawdownReading> {
    let reading = |&(minutes, drawdown_m): &(f64, f64)| DrawdownReading {
        distance_m,
        time_day: minutes / MINUTES_PER_DAY,
        drawdown_m,
    };
    read.iter().map(reading).collect()
}

fn fit(readings: &[DrawdownReading]) -> TheisFit {
    fit_theis(&Pumping::steady(788.0).unwrap(), readings).unwrap()
}

/// Printed: K 66.086 m/d, Ss 2.541e-5 1/m, RMSE 0.05006 m.
#[test]
fn both_piezometers_together_agree_with_the_published_fit() {
    let mut both = readings(30.0, &AT_30_M);
    both.extend(readings(90.0, &AT_90_M));
    let fit = fit(&both);
    assert_eq!(fit.readings, 69);
    near(fit.transmissivity_m2_per_day / THICKNESS_M, 66.086, 1e-4);
    near(fit.storativity / THICKNESS_M, 2.541e-5, 1e-4);
    near(fit.rmse_m, 0.05006, 1e-4);
    // Reckoned apart: T 462.617 m²/d, S 1.77878e-4, RMSE 0.0500603 m.
    near(fit.transmissivity_m2_per_day, 462.617, 2e-6);
    near(fit.storativity, 1.77878e-4, 5e-6);
    near(fit.rmse_m, 0.0500603, 1e-6);
}

/// Printed: K 68.64 m/d, Ss 1.607e-5 1/m, RMSE 0.03166 m.
#[test]
fn the_near_piezometer_alone_agrees_with_the_published_fit() {
    let fit = fit(&readings(30.0, &AT_30_M));
    near(fit.transmissivity_m2_per_day / THICKNESS_M, 68.64, 2e-4);
    near(fit.storativity / THICKNESS_M, 1.607e-5, 5e-4);
    near(fit.rmse_m, 0.03166, 2e-4);
}

/// Reckoned apart by a search in sections with arbitrary precision: T 501.0546
/// m²/d, S 2.03789e-4.
#[test]
fn the_far_piezometer_alone_agrees_with_another_program() {
    let fit = fit(&readings(90.0, &AT_90_M));
    near(fit.transmissivity_m2_per_day, 501.0546, 1e-6);
    near(fit.storativity, 2.03789e-4, 2e-6);
}
