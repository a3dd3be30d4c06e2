//! The plane through the heads of the Wolfcamp aquifer (Harper & Furr 1986;
//! Cressie 1993, section 4.1) against the least squares of R.
#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use forebore::ground::flow::{WaterLevel, flow};

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
