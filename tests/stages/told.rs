//! What a report still speaks of at each stage: the peg while it can be set
//! elsewhere, the money while the hole may go deeper, the forecast and the
//! plan while the well is to be built.

use std::collections::BTreeSet;

use assert_cmd::Command;
use serde_json::Value;

fn report(site: &str, stage: &str) -> Value {
    let out = Command::cargo_bin("forebore")
        .unwrap()
        .args(["assess", &format!("docs/examples/{site}/survey.toml"), "--format", "json", "--stage", stage])
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

#[test]
fn a_report_speaks_of_what_can_still_be_chosen() {
    let stages =
        ["desk-study", "site-visit", "trial-bore", "mobilisation", "drilling", "completion", "hand-over"];
    for (place, stage) in stages.into_iter().enumerate() {
        let report = report("mill-crossing", stage);
        let told = |part: &str| !report[part].is_null();
        assert_eq!(told("free_ground"), place < 4, "{stage}");
        assert_eq!(told("worth"), place < 5, "{stage}");
        assert_eq!(told("forecast"), place < 6, "{stage}");
        assert_eq!(told("well_plan"), place < 6, "{stage}");
    }
}

#[test]
fn a_peg_is_moved_and_bored_at_only_before_the_hole_is_begun() {
    let kinds = |stage: &str| -> BTreeSet<String> {
        let report = report("plateau-market", stage);
        let flips = report["flips"].as_array().unwrap();
        flips.iter().map(|f| f["change"]["kind"].as_str().unwrap().to_owned()).collect()
    };
    let (before, after) = (kinds("mobilisation"), kinds("drilling"));
    for kind in ["move", "trial-bore"] {
        assert!(before.contains(kind) && !after.contains(kind), "{kind}: {before:?}, then {after:?}");
    }
    assert!(!after.is_empty());
}
