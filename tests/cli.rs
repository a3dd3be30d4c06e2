//! The binary as people run it.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

fn forebore(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_forebore")).args(args).output().unwrap()
}

fn demo(name: &str) -> String {
    let path: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "docs", "examples", name, "survey.toml"].iter().collect();
    path.display().to_string()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn json(args: &[&str]) -> Value {
    let out = forebore(&[args, &["--format", "json"]].concat());
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

fn write(folder: &Path, name: &str, content: impl AsRef<[u8]>) -> String {
    let path = folder.join(name);
    fs::write(&path, content).unwrap();
    path.display().to_string()
}

#[test]
fn the_demos_give_the_four_verdicts() {
    for (name, verdict) in [
        ("lower-yard", "no-go"),
        ("plateau-market", "find-out"),
        ("ridge-school", "go-if"),
        ("river-field", "go"),
    ] {
        assert_eq!(json(&["assess", &demo(name)])["verdict"], verdict, "{name}");
    }
}

#[test]
fn the_main_demo_shows_every_outcome() {
    let report = json(&["assess", &demo("lower-yard")]);
    let outcomes: Vec<_> =
        report["findings"].as_array().unwrap().iter().map(|f| f["outcome"].as_str().unwrap()).collect();
    for wanted in ["clear", "caution", "stop", "find-out", "does-not-apply"] {
        assert!(outcomes.contains(&wanted), "{wanted}: {outcomes:?}");
    }
}

#[test]
fn the_json_keeps_its_contract() {
    let report = json(&["assess", &demo("lower-yard")]);
    for key in [
        "forebore",
        "verdict",
        "stage",
        "score",
        "reasons",
        "conditions",
        "asks",
        "findings",
        "facts",
        "provenance",
        "cautions",
    ] {
        assert!(!report[key].is_null(), "{key}");
    }
    for finding in report["findings"].as_array().unwrap() {
        for key in ["rule", "title", "outcome", "why", "do", "source", "limits", "evidence"] {
            assert!(finding.get(key).is_some(), "{key} in {finding}");
        }
        for limit in finding["limits"].as_array().unwrap() {
            assert!(
                limit["value"].is_number()
                    && ["defaults", "setting", "local"].contains(&limit["set_by"].as_str().unwrap())
            );
        }
        for evidence in finding["evidence"].as_array().unwrap() {
            for key in ["fact", "value", "unit", "low", "high", "from"] {
                assert!(evidence.get(key).is_some(), "{key} in {evidence}");
            }
        }
    }
    for part in ["survey", "region", "rules"] {
        assert_eq!(report["provenance"][part].as_str().unwrap().len(), 16);
    }
}

#[test]
fn every_field_of_the_report_stands_in_its_schema() {
    let out = forebore(&["schema"]);
    let schema: Value = serde_json::from_slice(&out.stdout).unwrap();
    let report = json(&["assess", &demo("lower-yard")]);
    for key in report.as_object().unwrap().keys() {
        assert!(schema["properties"].get(key).is_some(), "{key}");
    }
    for key in report["findings"][0].as_object().unwrap().keys() {
        assert!(schema["$defs"]["Finding"]["properties"].get(key).is_some(), "{key}");
    }
}

#[test]
fn a_setback_says_value_ends_and_chance() {
    let report = json(&["assess", &demo("lower-yard")]);
    let latrine = report["findings"].as_array().unwrap().iter().find(|f| f["rule"] == "pit-latrine").unwrap();
    let evidence = &latrine["evidence"][0];
    let of = |key: &str| evidence[key].as_f64().unwrap();
    assert!(of("low") < of("value") && of("value") < of("high"), "{evidence}");
    assert!(evidence["chance_below"]["pit_latrine_stop_m"].as_f64().unwrap() > 0.99);
    assert!(
        evidence["from"].as_str().unwrap().starts_with("survey.toml:")
            || evidence["from"].as_str().unwrap().contains("survey.toml:")
    );
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    for format in ["text", "markdown", "json"] {
        let run = || forebore(&["assess", &demo("lower-yard"), "--format", format]).stdout;
        assert_eq!(run(), run(), "{format}");
    }
}

#[test]
fn the_text_report_fits_eighty_columns_and_a_pipe_gets_no_colour() {
    for name in ["lower-yard", "plateau-market", "ridge-school", "river-field"] {
        let report = text(&forebore(&["assess", &demo(name)]).stdout);
        for line in report.lines() {
            assert!(line.chars().count() <= 80 || !line.trim().contains(' '), "{line}");
        }
        assert!(!report.contains('\u{1b}'));
    }
}

#[test]
fn every_report_defers_to_local_codes_and_warns_those_who_dig() {
    for name in ["lower-yard", "plateau-market", "ridge-school", "river-field"] {
        for format in ["text", "markdown", "json"] {
            let out = forebore(&["assess", &demo(name), "--format", format]);
            let report = text(&out.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(report.contains("it certifies nothing. Local codes"), "{name} {format}");
            assert!(report.contains("Never enter a well or pit"), "{name} {format}");
        }
    }
}

#[test]
fn the_exit_code_tells_a_verdict_below_what_was_asked() {
    let code = |args: &[&str]| forebore(args).status.code().unwrap();
    assert_eq!(code(&["assess", &demo("lower-yard")]), 0);
    assert_eq!(code(&["assess", &demo("lower-yard"), "--fail-unless", "go-if"]), 1);
    assert_eq!(code(&["assess", &demo("ridge-school"), "--fail-unless", "go-if"]), 0);
    assert_eq!(code(&["assess", &demo("ridge-school"), "--fail-unless", "go"]), 1);
    assert_eq!(code(&["assess", &demo("river-field"), "--fail-unless", "go"]), 0);
    assert_eq!(code(&["assess", "no-such-file.toml"]), 2);
    assert_eq!(code(&["assess"]), 2);
}

#[test]
fn all_problems_of_a_survey_are_told_at_once_and_nothing_is_assessed() {
    let folder = TempDir::new().unwrap();
    let survey = write(
        folder.path(),
        "survey.toml",
        "[peg]\nnmae = \"Yard\"\nat = { lat = 95.0, lon = 10.0 }\n\n[need]\npeople = \"many\"\n\n[files]\nwells = [\"nowhere.csv\"]\n",
    );
    let out = forebore(&["assess", &survey]);
    assert_eq!(out.status.code(), Some(2));
    assert!(out.stdout.is_empty());
    let errors = text(&out.stderr);
    for wanted in [":2:", "name", ":3:", ":6:", "nowhere.csv"] {
        assert!(errors.contains(wanted), "{wanted} in {errors}");
    }
}

#[test]
fn a_row_that_cannot_be_read_is_told_and_holds_the_verdict_back() {
    let folder = TempDir::new().unwrap();
    let field = Path::new(&demo("river-field")).parent().unwrap().to_owned();
    for entry in fs::read_dir(field).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), folder.path().join(entry.file_name())).unwrap();
    }
    let survey = folder.path().join("survey.toml");
    let before = fs::read_to_string(&survey).unwrap();
    write(folder.path(), "more.csv", "kind,lat,lon,accuracy_m\npit latrine,somewhere,39.1,3\n");
    fs::write(&survey, format!("{before}\n[[files.hazards]]\npath = \"more.csv\"\n")).unwrap();
    let out = forebore(&["assess", &survey.display().to_string(), "--format", "json"]);
    let errors = text(&out.stderr);
    assert_eq!(out.status.code(), Some(0), "{errors}");
    assert!(errors.contains("more.csv:2:13"), "{errors}");
    let report: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(report["verdict"], "find-out");
}

#[test]
fn a_report_is_written_whole_or_not_at_all() {
    let folder = TempDir::new().unwrap();
    let to = folder.path().join("report.md").display().to_string();
    let out = forebore(&["assess", &demo("river-field"), "--format", "markdown", "--out", &to]);
    assert_eq!(out.status.code(), Some(0));
    assert!(out.stdout.is_empty());
    assert!(fs::read_to_string(&to).unwrap().starts_with("# "));
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    let nowhere = folder.path().join("no/such/folder/report.md").display().to_string();
    assert_eq!(forebore(&["assess", &demo("river-field"), "--out", &nowhere]).status.code(), Some(2));
}

#[test]
fn a_new_survey_folder_can_be_assessed_as_it_stands() {
    let folder = TempDir::new().unwrap();
    let to = folder.path().join("mine");
    let out = forebore(&["new", &to.display().to_string()]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let survey = to.join("survey.toml").display().to_string();
    let local = to.join("local.toml").display().to_string();
    let out = forebore(&["assess", &survey, "--local", &local]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    assert_eq!(forebore(&["new", &to.display().to_string()]).status.code(), Some(2), "never overwritten");
}

#[test]
fn ejected_rules_judge_as_the_built_in_ones() {
    let folder = TempDir::new().unwrap();
    let to = folder.path().join("rules").display().to_string();
    assert_eq!(forebore(&["rules", "eject", &to]).status.code(), Some(0));
    let out = forebore(&["rules", "check", &to]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let (built_in, ejected) =
        (json(&["assess", &demo("lower-yard")]), json(&["assess", &demo("lower-yard"), "--rules", &to]));
    assert_eq!(built_in["verdict"], ejected["verdict"]);
    assert_eq!(built_in["provenance"]["rules"], ejected["provenance"]["rules"]);
}

#[test]
fn a_broken_rule_is_shown_with_its_place_and_never_passes() {
    let folder = TempDir::new().unwrap();
    let to = folder.path().join("rules");
    forebore(&["rules", "eject", &to.display().to_string()]);
    let latrine = to.join("sanitary/pit-latrine.rhai");
    let script = fs::read_to_string(&latrine).unwrap().replace("surely_below", "surely_bellow");
    fs::write(&latrine, script).unwrap();
    let rules = to.display().to_string();
    let out = forebore(&["assess", &demo("river-field"), "--rules", &rules, "--format", "json"]);
    assert_eq!(out.status.code(), Some(0));
    assert!(text(&out.stderr).contains("pit-latrine.rhai:"), "{}", text(&out.stderr));
    let report: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(report["verdict"], "find-out");
    let finding = report["findings"].as_array().unwrap().iter().find(|f| f["rule"] == "pit-latrine").unwrap();
    assert_eq!(finding["outcome"], "broken");
    assert_eq!(forebore(&["rules", "check", &rules]).status.code(), Some(2));
}

#[test]
fn the_built_in_rules_hold_all_their_cases() {
    let out = forebore(&["rules", "check"]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    assert!(text(&out.stdout).contains("0 errors, 0 other remarks"), "{}", text(&out.stdout));
}

#[test]
fn rules_and_regions_can_be_listed_and_shown() {
    let list = text(&forebore(&["rules", "list"]).stdout);
    assert!(list.contains("pit-latrine") && list.contains("sanitary"));
    let shown = text(&forebore(&["rules", "show", "pit-latrine"]).stdout);
    assert!(shown.contains("pit_latrine_stop_m = 15 m") && shown.contains("fn judge"));
    let out = forebore(&["rules", "show", "pit-latrin"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("did you mean pit-latrine?"));
    let list = text(&forebore(&["regions", "list"]).stdout);
    for setting in [
        "river-alluvium",
        "coastal-sand",
        "clay-delta",
        "weathered-basement",
        "laterite-plateau",
        "limestone",
        "volcanic",
    ] {
        assert!(list.contains(setting), "{setting}");
        let out = forebore(&["regions", "show", setting]);
        assert_eq!(out.status.code(), Some(0));
        assert!(text(&out.stdout).contains("pit_latrine_stop_m"));
    }
}

#[test]
fn the_stricter_of_region_and_local_file_holds_and_the_report_says_who_set_it() {
    let folder = TempDir::new().unwrap();
    let entry = |value: f64| {
        format!(
            "[authority]\nname = \"Invented district water office\"\nask = [\"Ask for its code.\"]\n\n[limits.pit_latrine_stop_m]\nvalue = {value}\nunit = \"m\"\nsource = \"invented code\"\nbasis = \"published\"\n"
        )
    };
    let limit = |local: &str| {
        let report = json(&["assess", &demo("lower-yard"), "--local", local]);
        let findings = report["findings"].as_array().unwrap().clone();
        let latrine = findings.into_iter().find(|f| f["rule"] == "pit-latrine").unwrap();
        assert_eq!(report["authority"]["name"], "Invented district water office");
        latrine["limits"]
            .as_array()
            .unwrap()
            .iter()
            .find(|l| l["name"] == "pit_latrine_stop_m")
            .unwrap()
            .clone()
    };
    let strict = limit(&write(folder.path(), "strict.toml", entry(50.0)));
    assert_eq!((strict["value"].as_f64(), strict["set_by"].as_str()), (Some(50.0), Some("local")));
    let lax = limit(&write(folder.path(), "lax.toml", entry(3.0)));
    assert!(lax["value"].as_f64().unwrap() > 3.0);
    assert!(lax["notes"][0].as_str().unwrap().contains("3"), "{lax}");
}

#[test]
fn every_stage_is_judged_and_a_stage_nobody_knows_is_not() {
    for stage in
        ["desk-study", "site-visit", "trial-bore", "mobilisation", "drilling", "completion", "hand-over"]
    {
        let out = forebore(&["assess", &demo("river-field"), "--stage", stage]);
        assert_eq!(out.status.code(), Some(0), "{stage}");
    }
    let out = forebore(&["assess", &demo("river-field"), "--stage", "opening-feast"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&out.stderr).contains("hand-over"));
}

#[test]
fn a_peg_that_passes_is_no_hole_and_no_well_that_passes() {
    for stage in ["drilling", "completion", "hand-over"] {
        let out = forebore(&["assess", &demo("river-field"), "--stage", stage, "--format", "json"]);
        let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        assert_eq!(report["verdict"], "find-out", "{stage}: {:#}", report["reasons"]);
    }
}

#[test]
fn random_bytes_as_any_input_are_an_error_and_never_a_panic() {
    let folder = TempDir::new().unwrap();
    let mut state = 0x2545_F491_4F6C_DD1D_u64;
    for round in 0..24 {
        let bytes: Vec<u8> = (0..round * 40)
            .map(|_| {
                state ^= state << 13;
                state ^= state >> 7;
                state ^= state << 17;
                if round % 2 == 0 { state as u8 } else { b"[]{}=\",\n#.;<-9aePn "[state as usize % 19] }
            })
            .collect();
        let junk = write(folder.path(), "junk.toml", &bytes);
        write(folder.path(), "junk.csv", &bytes);
        write(folder.path(), "junk.geojson", &bytes);
        let survey = write(
            folder.path(),
            "survey.toml",
            "[peg]\nname = \"x\"\nat = { lat = 1.0, lon = 1.0, accuracy_m = 3 }\n[files]\nwells = [\"junk.csv\"]\nhazards = [\"junk.geojson\"]\n",
        );
        for args in [
            vec!["assess", junk.as_str()],
            vec!["assess", &survey],
            vec!["assess", &survey, "--region", &junk],
            vec!["assess", &survey, "--local", &junk],
            vec!["regions", "check", &junk],
        ] {
            let out = forebore(&args);
            let code = out.status.code();
            assert!(code == Some(0) || code == Some(2), "{args:?}: {}", text(&out.stderr));
            assert!(!text(&out.stderr).contains("panicked"), "{args:?}: {}", text(&out.stderr));
        }
    }
}
