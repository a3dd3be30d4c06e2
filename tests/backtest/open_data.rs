//! What is claimed of the forecasts, on open data of Malawi (openwashdata,
//! CC BY 4.0) with the maps of docs/maps, in the setting that fits the
//! country best.

use std::path::Path;

use serde_json::Value;

use super::{common, json, run};

fn on(table: &str, map: &str, rest: &[&str]) -> Option<Value> {
    let folder = common::open_data()?;
    let map = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/maps").join(map);
    let (table, map) = (folder.join(table).display().to_string(), map.display().to_string());
    let rest = [rest, &["--region", "weathered-basement", "--format", "json"]].concat();
    Some(json(&run(&table, &map, &rest)))
}

fn number(of: &Value, name: &str) -> f64 {
    of[name].as_f64().unwrap()
}

#[test]
fn depths_to_water_are_told_no_worse_than_by_plain_means_and_with_an_honest_band() {
    let table = "malawi_pumping_tests/pumpingtests.csv";
    let leave = ["--forecast", "depth-to-water", "--leave-out", "one"];
    let Some(r) = on(table, "malawi-pumping-tests.toml", &leave) else { return };
    assert_eq!(number(&r, "n") as usize + r["skipped"].as_array().unwrap().len(), 203);
    for plain in ["idw8", "median"] {
        assert!(number(&r, "mae_m") <= number(&r["baselines"][plain], "mae_m"), "{plain}: {r}");
    }
    assert!((0.75..=0.85).contains(&number(&r, "band80_coverage")), "{r}");
}
