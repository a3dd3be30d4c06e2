//! The example surveys and the template do what their pages say.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::float_cmp)]

use std::collections::BTreeSet;
use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

fn forebore(args: &[&str]) -> Command {
    let mut command = Command::cargo_bin("forebore").unwrap();
    command.current_dir(env!("CARGO_MANIFEST_DIR")).args(args);
    command
}

/// The report on a survey, and what was said of its files.
fn assessed(survey: &str, more: &[&str]) -> (Value, String) {
    let args = [&["assess", survey, "--format", "json"], more].concat();
    let output = forebore(&args).output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(0), "{survey} could not be assessed:\n{said}");
    (serde_json::from_slice(&output.stdout).unwrap(), said)
}

fn outcome<'a>(report: &'a Value, rule: &str) -> &'a Value {
    let of = |f: &&Value| f["rule"] == rule;
    &report["findings"].as_array().unwrap().iter().find(of).unwrap()["outcome"]
}

const LOWER_YARD: &str = "docs/examples/lower-yard/survey.toml";

#[test]
fn the_lower_yard_is_a_no_go() {
    let (report, _) = assessed(LOWER_YARD, &[]);
    assert_eq!(report["verdict"], "no-go");
    assert_eq!(outcome(&report, "pit-latrine"), "stop");
    assert_eq!(outcome(&report, "fuel-store"), "find-out");
}

#[test]
fn the_lower_yard_shows_every_outcome() {
    let (report, _) = assessed(LOWER_YARD, &[]);
    let findings = report["findings"].as_array().unwrap();
    let shown: BTreeSet<&str> = findings.iter().map(|f| f["outcome"].as_str().unwrap()).collect();
    let all = BTreeSet::from(["clear", "caution", "stop", "find-out", "does-not-apply"]);
    assert_eq!(shown, all);
}

#[test]
fn the_district_of_the_lower_yard_stops_what_the_defaults_let_pass() {
    let (report, _) = assessed(LOWER_YARD, &["--local", "docs/examples/lower-yard/local.toml"]);
    assert_eq!(outcome(&report, "livestock-pen"), "stop");
    let (report, _) = assessed(LOWER_YARD, &[]);
    assert_eq!(outcome(&report, "livestock-pen"), "caution");
}

#[test]
fn a_row_without_a_position_is_named_and_left_out() {
    let (report, said) = assessed(LOWER_YARD, &[]);
    assert!(said.contains("neighbours.csv:7"), "{said}");
    assert_eq!(report["facts"]["left_out_records"]["value"], 1.0);
}

#[test]
fn the_ridge_school_is_a_go_if() {
    let (report, said) = assessed("docs/examples/ridge-school/survey.toml", &[]);
    assert_eq!(report["verdict"], "go-if", "{:#}", report["reasons"]);
    assert_eq!(said, "");
}

#[test]
fn the_plateau_market_is_to_be_found_out_first() {
    let (report, _) = assessed("docs/examples/plateau-market/survey.toml", &[]);
    assert_eq!(report["verdict"], "find-out", "{:#}", report["reasons"]);
    assert_eq!(report["asks"][0]["blocks"], true);
}

#[test]
fn the_river_field_is_a_plain_go() {
    let (report, said) = assessed("docs/examples/river-field/survey.toml", &[]);
    assert_eq!(report["verdict"], "go", "{:#}", report["reasons"]);
    assert_eq!(said, "");
}

#[test]
fn a_new_folder_assesses_as_it_stands() {
    let folder = tempfile::tempdir().unwrap();
    let site = folder.path().join("site");
    forebore(&["new", site.to_str().unwrap()]).assert().success();
    let survey = site.join("survey.toml");
    let (_, said) = assessed(survey.to_str().unwrap(), &[]);
    assert_eq!(said, "");
    let local = site.join("local.toml");
    let (report, said) = assessed(survey.to_str().unwrap(), &["--local", local.to_str().unwrap()]);
    assert_eq!(said, "");
    let latrine = report["findings"].as_array().unwrap().iter().find(|f| f["rule"] == "pit-latrine").unwrap();
    assert!(latrine["limits"].as_array().unwrap().iter().any(|l| l["set_by"] == "local"), "{latrine:#}");
}

#[test]
fn every_example_has_its_page() {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/examples");
    for entry in std::fs::read_dir(examples).unwrap() {
        let folder = entry.unwrap().path();
        let survey = std::fs::read_to_string(folder.join("survey.toml")).unwrap();
        let top: String = survey.lines().take_while(|l| l.starts_with('#')).collect();
        assert!(top.contains("INVENTED"), "{} does not say that it is invented", folder.display());
        assert!(folder.join("README.md").is_file(), "{} has no README.md", folder.display());
    }
}
