//! What a report still speaks of at each stage: the peg while it can be set
//! elsewhere, the money while the hole may go deeper, the forecast and the
//! plan while the well is to be built.

use assert_cmd::Command;
use serde_json::Value;

fn report(stage: &str) -> Value {
    let out = Command::cargo_bin("forebore")
        .unwrap()
        .args(["assess", "docs/examples/mill-crossing/survey.toml", "--format", "json", "--stage", stage])
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
        let report = report(stage);
        let told = |part: &str| !report[part].is_null();
        assert_eq!(told("free_ground"), place < 4, "{stage}");
        assert_eq!(told("worth"), place < 5, "{stage}");
        assert_eq!(told("forecast"), place < 6, "{stage}");
        assert_eq!(told("well_plan"), place < 6, "{stage}");
        let moves = |flip: &Value| ["move", "trial-bore"].iter().any(|kind| flip["change"]["kind"] == *kind);
        let moved = report["flips"].as_array().unwrap().iter().filter(|f| moves(f)).count();
        assert!(moved == 0 || place < 4, "{stage}: {moved} changes to the peg");
    }
}
