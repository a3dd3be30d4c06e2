//! The forecast of the depth to water on real wells, each forecast from the
//! others: pumping tests and drilling records of Malawi 2018 to 2024
//! (openwashdata, CC BY 4.0). The prior is that of weathered basement.
#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use forebore::ground::water_table::{Options, Reading, WaterTableModel, WaterTablePrior};
use forebore::place::Plane;
use forebore::survey::LonLat;

/// Rows that have a place and a level, in the plane at the first of them.
fn readings(rows: impl Iterator<Item = (Option<f64>, Option<f64>, Option<f64>)>) -> Vec<Reading> {
    let known: Vec<(LonLat, f64)> = rows
        .filter_map(|(lat, lon, depth)| Some((LonLat::new(lon?, lat?).ok()?, depth?)))
        .filter(|(at, depth)| *depth > 0.0 && (-18.0..-9.0).contains(&at.lat_deg()))
        .collect();
    let plane = Plane::at(known[0].0);
    known
        .into_iter()
        .map(|(at, depth_m)| {
            let [east_m, north_m] = plane.east_north_m(at);
            Reading { east_m, north_m, depth_m, error_sd_m: 0.1, elevation_m: None }
        })
        .collect()
}

fn check(readings: &[Reading]) {
    let prior = WaterTablePrior::of_band(2.0, 8.0, 22.0, 300.0).unwrap();
    let model = WaterTableModel::learn(&prior, readings, Options::default()).unwrap();
    let skill = model.skill().unwrap();
    assert!(skill.carries_skill, "{skill:?}");
    assert!(skill.mae_m <= skill.mae_median_m && skill.mae_m <= skill.mae_idw8_m, "{skill:?}");
    assert!((0.75..=0.85).contains(&skill.coverage80), "{skill:?}");
}

/// Levels of the pumping tests are read from a reference point whose height
/// above ground is taken off where it can be one: up to 2 m.
#[test]
fn depths_of_tested_wells_are_forecast_from_each_other() {
    let Some(folder) = common::open_data() else { return };
    let rows = common::rows(&folder.join("malawi_pumping_tests/pumpingtests.csv"));
    let number = |row: &std::collections::BTreeMap<String, String>, name: &str| row[name].parse::<f64>().ok();
    let wells = readings(rows.iter().map(|row| {
        let height = number(row, "reference_level").filter(|h| (0.0..2.0).contains(h)).unwrap_or(0.0);
        let level = number(row, "static_water_level").filter(|level| *level > 0.0);
        (number(row, "latitude"), number(row, "longitude"), level.map(|level| level - height))
    }));
    assert!(wells.len() >= 195, "{}", wells.len());
    check(&wells);
}

#[test]
fn depths_of_drilled_wells_are_forecast_from_each_other() {
    let Some(folder) = common::open_data() else { return };
    let rows = common::rows(&folder.join("malawi_drilling/drillingdata.csv"));
    let wells = readings(rows.iter().map(|row| {
        let number = |name: &str| row[name].parse::<f64>().ok();
        (number("latitude"), number("longtude"), number("static_water_level_post_dev"))
    }));
    assert!(wells.len() >= 80, "{}", wells.len());
    check(&wells);
}
