//! Fitted to open data of Malawi (openwashdata, CC BY 4.0) with the maps of
//! docs/maps.

use std::path::Path;

use serde_json::Value;
use tempfile::TempDir;

use super::{common, figure, forebore, text, why_not};

fn args(table: &str, map: &str) -> Option<[String; 7]> {
    let folder = common::open_data()?;
    let map = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/maps").join(map);
    let (table, map) = (folder.join(table).display().to_string(), map.display().to_string());
    let word = str::to_owned;
    Some([
        word("regions"),
        word("fit"),
        table,
        word("--map"),
        map,
        word("--region"),
        word("weathered-basement"),
    ])
}

fn run(args: &[String; 7], rest: &[&str]) -> String {
    let args: Vec<&str> = args.iter().map(String::as_str).chain(rest.iter().copied()).collect();
    text(&forebore(&args).output().unwrap())
}

#[test]
fn levels_of_pumping_tests_hold_the_fall_that_is_not_known_and_a_trend_is_no_range() {
    let Some(args) = args("malawi_pumping_tests/pumpingtests.csv", "malawi-pumping-tests.toml") else {
        return;
    };
    let fit: Value = serde_json::from_str(&run(&args, &["--format", "json"])).unwrap();
    let mid = figure(&fit, "level_prior_mid_m").unwrap();
    assert_eq!((mid["wells"].as_u64(), mid["differs"].as_bool()), (Some(199), Some(false)), "{mid}");
    // 6.4 m as read; nobody knows which fall of 0 to 6 m most of them await.
    let ends = [&mid["interval"]["low"], &mid["interval"]["high"]].map(|v| v.as_f64().unwrap());
    assert!(ends[0] < 6.4 && ends[1] > 9.9, "{mid}");
    assert!(mid["independent"].as_f64().unwrap() < 180.0, "{mid}");
    assert!(why_not(&fit, "level_range_m").contains("a trend across districts"));
    assert!(why_not(&fit, "swing_low_m").contains("different wells"));
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("malawi.toml").display().to_string();
    run(&args, &["--out", &out]);
    text(&forebore(&["regions", "check", &out]).output().unwrap());
}

/// 87 of 148 holes gave a usable well.
#[test]
fn success_of_machine_drilled_holes_is_their_share() {
    let Some(args) = args("malawi_drilling/drillingdata.csv", "malawi-drilling.toml") else { return };
    let fit: Value = serde_json::from_str(&run(&args, &["--format", "json"])).unwrap();
    let share = figure(&fit, "success_prior_share").unwrap();
    assert_eq!((share["value"].as_f64(), share["wells"].as_u64()), (Some(0.59), Some(148)), "{share}");
    assert_eq!(
        (share["interval"]["low"].as_f64(), share["interval"]["high"].as_f64()),
        (Some(0.5), Some(0.67))
    );
    assert!(why_not(&fit, "level_prior_mid_m").contains("count as 34 independent ones"));
}
