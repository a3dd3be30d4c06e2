//! Wells being pumped.

use std::f64::consts::PI;

use forebore::well::bailer::WideWell;
use forebore::well::cooper_jacob;
use forebore::well::specific_capacity::{self, OneReading};
use forebore::well::theis::{Aquifer, MatchPoint, well_function};
use forebore::well::thiem::{self, AtDistance};
use forebore::well::well_yield::PumpedWell;

use crate::{close, near};

const MINUTES_PER_DAY: f64 = 1440.0;

/// Kruseman & de Ridder (1990), ILRI Publication 47, Oude Korendijk test, by
/// two piezometers: 370.38 m²/d, as quoted on a secondary page.
#[test]
fn thiem_in_confined_ground() {
    let near_well = AtDistance { distance_m: 30.0, level_m: 1.088 };
    let far = AtDistance { distance_m: 90.0, level_m: 0.716 };
    let t = thiem::confined_transmissivity_m2_per_day(788.0, &near_well, &far).unwrap();
    close(t, 370.38, 0.01);
}

/// A textbook exercise as quoted on a study page: 35 m of water, K 86 m/d,
/// drawdowns 8.1 and 6.7 m at 45 and 65 m; printed 5.68e4 m³/d and 24.2 m at
/// the well's wall at 2.5 m.
#[test]
fn thiem_in_unconfined_ground() {
    let near_well = AtDistance { distance_m: 45.0, level_m: 35.0 - 8.1 };
    let far = AtDistance { distance_m: 65.0, level_m: 35.0 - 6.7 };
    let rate = thiem::unconfined_rate_m3_per_day(86.0, &near_well, &far).unwrap();
    near(rate, 56_780.0, 1e-3);
    let height = thiem::unconfined_height_m(86.0, rate, 2.5, &far).unwrap();
    close(35.0 - height, 24.22, 0.05);
}

/// Wenzel (1942), US Geological Survey Water-Supply Paper 887, table of W(u),
/// here to six digits (from memory; digits reckoned apart).
#[test]
fn the_well_function() {
    for (u, w) in [
        (1e-6, 13.2383),
        (1e-4, 8.63322),
        (1e-3, 6.33154),
        (0.01, 4.03793),
        (0.05, 2.46790),
        (0.1, 1.82292),
        (0.5, 0.559774),
        (1.0, 0.219384),
        (2.0, 0.0489005),
        (5.0, 1.14830e-3),
        (9.0, 1.24474e-5),
    ] {
        near(well_function(u).unwrap(), w, 6e-6);
    }
}

/// Fetter (2001), Applied Hydrogeology, chapter 5: K 15 m/d over 20 m, S
/// 0.005, 2725 m³/d, 7 m, 1 d; printed 5.73 m (from memory).
#[test]
fn theis_and_its_straight_line() {
    let aquifer = Aquifer::new(15.0 * 20.0, 0.005).unwrap();
    let theis = aquifer.drawdown_m(2725.0, 7.0, 1.0).unwrap();
    close(theis, 5.73, 0.01);
    close(theis, 5.72449, 1e-5);
    let line = cooper_jacob::drawdown(&aquifer, 2725.0, 7.0, 1.0).unwrap();
    close(line.drawdown_m, 5.72568, 1e-4);
    assert!(line.holds);
    near(line.u, 2.0417e-4, 1e-4);
}

/// Kruseman & de Ridder (1990), ILRI Publication 47: Δs 0.375 m, t₀ 0.25 min
/// at 30 m; printed 385 m²/d and 1.7e-4 (from memory).
#[test]
fn the_straight_line_over_time() {
    let t = cooper_jacob::transmissivity_over_time_m2_per_day(788.0, 0.375).unwrap();
    near(t, 385.0, 0.01);
    near(cooper_jacob::storativity(t, 0.25 / MINUTES_PER_DAY, 30.0).unwrap(), 1.7e-4, 0.03);
}

/// Heath (1983), US Geological Survey Water-Supply Paper 2220: 9.3 m³/min, Δs
/// 1.2 m over time, 2.4 m over distance, t₀ 2.5e-5 d at 75 m, r₀ 30 km at 4 d;
/// printed 2045 m²/d and 2e-5 (from memory).
#[test]
fn the_straight_line_over_time_and_over_distance() {
    let rate = 9.3 * MINUTES_PER_DAY;
    let over_time = cooper_jacob::transmissivity_over_time_m2_per_day(rate, 1.2).unwrap();
    let over_distance = cooper_jacob::transmissivity_over_distance_m2_per_day(rate, 2.4).unwrap();
    near(over_time, 2045.0, 0.002);
    near(over_distance, over_time, 1e-12);
    near(cooper_jacob::storativity(over_time, 2.5e-5, 75.0).unwrap(), 2e-5, 0.03);
    near(cooper_jacob::storativity(over_distance, 4.0, 30_000.0).unwrap(), 2e-5, 0.03);
}

/// Heath (1983), US Geological Survey Water-Supply Paper 2220: 1.9 m³/min, W 1
/// and 1/u 1 at 2.20 m and 1.8 min, 187 m; printed 99 m²/d (from memory).
#[test]
fn the_match_point() {
    let point = MatchPoint {
        rate_m3_per_day: 1.9 * MINUTES_PER_DAY,
        distance_m: 187.0,
        drawdown_m: 2.20,
        time_day: 1.8 / MINUTES_PER_DAY,
        w: 1.0,
        u: 1.0,
    };
    let aquifer = Aquifer::from_match_point(&point).unwrap();
    near(aquifer.transmissivity_m2_per_day(), 98.97, 1e-3);
    near(aquifer.storativity(), 1.416e-5, 0.005);
}

/// Logan (1964), Ground Water 2, 35–37: 1.22 confined and 2.43 unconfined for
/// log₁₀(R/r) = 3.33 (from memory).
#[test]
fn logans_factors() {
    close(specific_capacity::logan_factor(), 1.22034, 1e-5);
    close(2.0 * specific_capacity::logan_factor(), 2.4407, 1e-4);
    close(specific_capacity::logan_confined_m2_per_day(21.6, 4.0).unwrap(), 6.588, 0.01);
    // 2.43·Q/(s(2m − s)) of a unit well in a unit aquifer.
    close(specific_capacity::logan_unconfined_m_per_day(1.0, 1.0, 5.5).unwrap(), 0.243, 1e-12);
}

/// Cooper & Jacob (1946) for hand-pumped wells, reckoned apart; Logan's rule
/// reads high for the short tests and low for the long one.
#[test]
fn one_drawdown_in_a_small_well() {
    let hours = |h: f64| h / 24.0;
    for (lps, drawdown_m, time_day, radius_m, storativity, wanted, logan_high) in [
        (0.25, 4.0, hours(4.0), 0.055, 1e-3, 5.795, true),
        (0.25, 4.0, hours(4.0), 0.055, 0.1, 3.613, true),
        (0.2, 6.0, hours(6.0), 0.0575, 1e-3, 3.013, true),
        (1.0, 5.0, 1.0, 0.0575, 1e-3, 22.766, false),
    ] {
        let rate_m3_per_day = lps * forebore::well::theis::M3_PER_DAY_IN_LPS;
        let reading = OneReading { rate_m3_per_day, drawdown_m, time_day, radius_m, storativity };
        let got = specific_capacity::jacob(&reading).unwrap();
        assert!(got.holds);
        near(got.transmissivity_m2_per_day, wanted, 2e-4);
        let logan = specific_capacity::logan_confined_m2_per_day(rate_m3_per_day, drawdown_m).unwrap();
        assert_eq!(logan > got.transmissivity_m2_per_day, logan_high);
    }
}

/// MacDonald, Barker & Davies (2008), Hydrogeology Journal 16, 1065–1075: for
/// 17.5 L/min over 10 min in the poorest ground that serves 250 people (T 0.85
/// m²/d), the minutes to half and three quarters of the rise by the well's
/// inches (from memory). Drawdowns reckoned apart for S 0.01; those of the
/// printed table are 5 to 15 % less.
#[test]
fn the_bailer_test() {
    let aquifer = Aquifer::new(0.85, 0.01).unwrap();
    let (rate, bailed) = (17.5e-3 * MINUTES_PER_DAY, 10.0 / MINUTES_PER_DAY);
    for (inches, half, three_quarters, drawdown) in
        [(4.0, 6.0, 14.0, 10.3), (5.0, 9.0, 21.0, 7.9), (6.0, 12.0, 28.0, 6.2), (8.0, 19.0, 46.0, 4.0)]
    {
        let radius = inches * 0.0254 / 2.0;
        let got = WideWell::new(aquifer, radius, radius).unwrap().bailed(rate, bailed).unwrap();
        near(got.half_risen_day * MINUTES_PER_DAY, half, 0.05);
        near(got.three_quarters_risen_day * MINUTES_PER_DAY, three_quarters, 0.05);
        close(got.greatest_drawdown_m, drawdown, 0.06);
    }
    let tight = WideWell::new(Aquifer::new(0.85, 1e-3).unwrap(), 0.0508, 0.0508).unwrap();
    let got = tight.bailed(rate, bailed).unwrap();
    close(got.greatest_drawdown_m, 12.4, 0.06);
    close(got.half_risen_day * MINUTES_PER_DAY, 7.4, 0.06);
    close(got.three_quarters_risen_day * MINUTES_PER_DAY, 16.9, 0.06);
}

/// The draw of 250 people (6.25 m³/d, MacDonald, Barker & Davies 2008) through
/// a dry season of 180 days; drawdowns reckoned apart.
#[test]
fn a_dry_season_of_drawing() {
    for (transmissivity, drawdown) in [(0.85, 10.8), (1.0, 9.26), (5.0, 2.01)] {
        let well = PumpedWell {
            aquifer: Aquifer::new(transmissivity, 1e-3).unwrap(),
            unconfined_m: None,
            radius_m: 0.0575,
            well_loss_day2_per_m5: 0.0,
            bias: 1.0,
            others: Vec::new(),
        };
        near(well.drawdown(6.25, 180.0).unwrap().total_m, drawdown, 0.003);
        near(well.yield_for(drawdown, 180.0).unwrap().rate_m3_per_day, 6.25, 0.003);
    }
}

/// The same two heads give the same Thiem figure by Theis once the well has
/// run long: Δs = Q/(2πT)·ln(r₂/r₁).
#[test]
fn theis_ends_in_thiem() {
    let aquifer = Aquifer::new(370.38, 1.7e-4).unwrap();
    let at = |r| aquifer.drawdown_m(788.0, r, 100.0).unwrap();
    near(at(30.0) - at(90.0), 788.0 / (2.0 * PI * 370.38) * 3f64.ln(), 1e-5);
    close(at(30.0) - at(90.0), 1.088 - 0.716, 1e-4);
}
