//! What is claimed of the forecasts, on open data of Malawi (openwashdata,
//! CC BY 4.0) with the maps of docs/maps, in the setting that fits the
//! country best.

use std::path::Path;

use serde_json::Value;

use super::{Trial, common, json, run};

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

/// The forecast must know that it knows next to nothing: neighbours a
/// kilometre away tell no more than the base rate.
#[test]
fn success_is_told_at_the_base_rate_and_no_more() {
    let table = "malawi_drilling/drillingdata.csv";
    let leave = ["--forecast", "success", "--leave-out", "forward"];
    let Some(r) = on(table, "malawi-drilling.toml", &leave) else { return };
    assert_eq!(number(&r, "n") as usize + r["skipped"].as_array().unwrap().len(), 152);
    assert_eq!(number(&r, "neighbours_from_m"), 1000.0);
    let base = number(&r["baselines"]["base-rate"], "brier");
    assert!(number(&r, "brier") <= base + 0.001, "{r}");
    assert_eq!(r["skill"]["base-rate"]["verdict"], "not told apart");
    for plain in ["nearest", "idw8"] {
        assert!(number(&r, "brier") < number(&r["baselines"][plain], "brier"), "{plain}: {r}");
    }
    assert!((0.54..=0.64).contains(&number(&r, "typical")), "{r}");
}

/// Among water points with a complaint, which are called salty.
#[test]
fn salty_water_is_told_from_that_around() {
    let Some(folder) = common::open_data() else { return };
    let records = folder.join("malawi_waterpoints/waterpointfunctionality.csv").display().to_string();
    let whole = include_str!("../../docs/maps/malawi-waterpoints.toml");
    let keep = "[keep]\nwater_quality_problems_available = [\"Yes\"]\n\n[quality.salinity]";
    let map = whole.replace("no = {", "# no = {").replace("[quality.salinity]", keep);
    let t = Trial::new("unused.csv", "", &map);
    let leave = ["--forecast", "quality:salinity", "--leave-out", "one", "--region", "weathered-basement"];
    let r = json(&run(&records, &t.map, &[&leave[..], &["--format", "json"]].concat()));
    assert!(number(&r, "n") > 1700.0, "{}", r["n"]);
    check_salt(&r);
}

#[test]
#[ignore = "ten thousand records take minutes without optimisation"]
fn salty_water_is_told_from_all_water_points() {
    let table = "malawi_waterpoints/waterpointfunctionality.csv";
    let leave = ["--forecast", "quality:salinity", "--leave-out", "one", "--leave-out", "blocks:1000"];
    let Some(r) = on(table, "malawi-waterpoints.toml", &leave) else { return };
    assert_eq!(number(&r, "n") as usize + r["skipped"].as_array().unwrap().len(), 11_409);
    check_salt(&r);
    let blocks = &r["beside"][0];
    assert!(number(blocks, "auc") > 0.75 && number(blocks, "auc") < number(&r, "auc"), "{blocks}");
}

fn check_salt(r: &Value) {
    assert!(number(r, "auc") >= 0.80, "{r}");
    for plain in ["base-rate", "nearest", "idw8"] {
        assert!(number(r, "brier") < number(&r["baselines"][plain], "brier"), "{plain}: {r}");
        assert!(number(r, "log_score") < number(&r["baselines"][plain], "log_score"), "{plain}: {r}");
    }
    assert_eq!(r["skill"]["base-rate"]["verdict"], "better");
}
