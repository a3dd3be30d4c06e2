//! The way groundwater flows, from published levels.

use super::common;

use forebore::ground::flow::{WaterLevel, flow};
use forebore::ground::slopes::{Difference, PossibleSlopes, possible_slopes};

fn level(east_m: f64, north_m: f64, level_m: f64) -> WaterLevel {
    WaterLevel { east_m, north_m, level_m, error_sd_m: 0.0 }
}

/// The slopes that wells leave possible, each level known to a millimetre.
fn possible(wells: &[WaterLevel]) -> PossibleSlopes {
    const ERROR_M: f64 = 0.001;
    let mut differences = Vec::new();
    for (i, a) in wells.iter().enumerate() {
        for b in &wells[i + 1..] {
            let rise = b.level_m - a.level_m;
            let (east_m, north_m) = (b.east_m - a.east_m, b.north_m - a.north_m);
            let (low_m, high_m) = (rise - 2.0 * ERROR_M, rise + 2.0 * ERROR_M);
            differences.push(Difference { east_m, north_m, low_m, high_m });
        }
    }
    possible_slopes(&differences, 0.1).unwrap()
}

/// Wells W1, W2 and W7 of US EPA, On-line tools for site assessment; the page
/// prints no answer, the figures follow from the plane's formula.
#[test]
fn three_wells_of_the_site_assessment_page() {
    let wells = [level(190.0, 163.0, 90.24), level(138.0, 153.0, 90.27), level(217.0, 43.0, 90.01)];
    let flow = flow(&wells, 15.0).unwrap();
    assert!((flow.gradient - 1.937_753e-3).abs() < 1e-9, "{flow:?}");
    assert!((flow.azimuth_deg - 152.115).abs() < 0.001, "{flow:?}");
    let possible = possible(&wells);
    let (towards, (low, high)) = (possible.towards(), possible.gradient());
    assert!((towards.middle_deg - 152.115).abs() < towards.half_angle_deg, "{towards:?}");
    assert!(low < flow.gradient && flow.gradient < high);
}

/// The three wells of Heath 1983, US Geological Survey Water-Supply Paper 2220
/// (figures from memory): 26.26, 26.20 and 26.07 m, the outer two 215 m apart.
/// The middle level lies 68 m from the high well, and the low well 133 m from
/// the contour through it: 0.13 m in 133 m.
#[test]
fn three_wells_by_the_graphical_method() {
    let along_m = (26.26 - 26.20) / (26.26 - 26.07) * 215.0;
    assert!((along_m - 67.89_f64).abs() < 0.01, "{along_m}");
    // The contour leaves the line of the outer wells at this angle; where on
    // it the middle well stands changes nothing.
    let angle = (133.0 / (215.0 - along_m)).asin();
    for far_m in [80.0, 120.0] {
        let middle = level(along_m + far_m * angle.cos(), far_m * angle.sin(), 26.20);
        let wells = [level(0.0, 0.0, 26.26), middle, level(215.0, 0.0, 26.07)];
        let flow = flow(&wells, 15.0).unwrap();
        assert!((flow.gradient - 9.774e-4).abs() < 1e-6, "{flow:?}");
        // At right angles to the contour, down towards the low well.
        let down_deg = 90.0 + (90.0 - angle.to_degrees());
        assert!((flow.azimuth_deg - down_deg).abs() < 1e-6, "{flow:?} {down_deg}");
    }
}

/// The heads of the Wolfcamp aquifer (Harper & Furr 1986; Cressie 1993,
/// section 4.1) against the least squares of R.
#[test]
fn the_wolfcamp_plane_is_that_of_least_squares() {
    let Some(folder) = common::open_data() else { return };
    let levels: Vec<WaterLevel> = common::rows(&folder.join("b_hydro/wolfcamp.csv"))
        .iter()
        .map(|row| WaterLevel {
            east_m: row["x_km"].parse::<f64>().unwrap() * 1000.0,
            north_m: row["y_km"].parse::<f64>().unwrap() * 1000.0,
            level_m: row["head_m"].parse().unwrap(),
            error_sd_m: 0.0,
        })
        .collect();
    assert_eq!(levels.len(), 85);
    let flow = flow(&levels, 15.0).unwrap();
    assert!((flow.azimuth_deg - 48.307_727_889).abs() < 1e-6, "{flow:?}");
    assert!((flow.gradient - 1.712_058_708_6e-3).abs() < 1e-10, "{flow:?}");
    assert!((flow.r_squared - 0.890_895_744_6).abs() < 1e-9, "{flow:?}");
    assert!((flow.level_at_peg_m - 607.770_661_415_6).abs() < 1e-7, "{flow:?}");
}
