//! The trainer's bench as people run it: eject, lay over, check, try,
//! compare, pin.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

mod check;
mod compare;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

fn forebore(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_forebore")).args(args).output().unwrap()
}

fn said(args: &[&str]) -> String {
    let out = forebore(args);
    assert_eq!(out.status.code(), Some(0), "{args:?}: {}", text(&out.stderr));
    text(&out.stdout)
}

fn refused(args: &[&str]) -> String {
    let out = forebore(args);
    assert_eq!(out.status.code(), Some(2), "{args:?}: {}{}", text(&out.stdout), text(&out.stderr));
    text(&out.stderr)
}

fn json(args: &[&str]) -> Value {
    serde_json::from_str(&said(&[args, &["--format", "json"]].concat())).unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn demo(name: &str) -> String {
    let path: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "docs", "examples", name, "survey.toml"].iter().collect();
    path.display().to_string()
}

fn put(folder: &Path, name: &str, content: &str) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, content).unwrap();
}

fn path(folder: &TempDir) -> String {
    folder.path().display().to_string()
}

/// A sound rule of a trainer's own.
const RULE: &str = r#"const ABOUT = #{
    id: "termites",
    title: "Livestock near the peg",
    why: "It is a test.",
    stages: ["mobilisation"],
    reads: ["nearest_livestock_pen_m"],
    limits: ["livestock_pen_stop_m"],
    blocks_from: "mobilisation",
    ask: "tape",
    weight: 1,
    source: "None, it is a test",
    basis: "from memory",
    since: "0.1.0",
};

fn judge(site, limits) {
    let d = site.nearest_livestock_pen_m;
    if d.surely_below(limits.livestock_pen_stop_m) {
        return stop(`Too near: ${d}.`, "Move.");
    }
    if !d.surely_at_least(limits.livestock_pen_stop_m) {
        return find_out(`Perhaps too near: ${d}.`, "Tape it.");
    }
    clear(`Far enough: ${d}.`)
}
"#;

/// A folder with the rule above, changed.
fn own(change: impl Fn(&str) -> String) -> TempDir {
    let folder = TempDir::new().unwrap();
    put(folder.path(), "field/termites.rhai", &change(RULE));
    folder
}

// --- Eject and layers ------------------------------------------------------------

#[test]
fn ejected_are_rules_cases_a_guide_switches_and_editor_definitions() {
    let folder = TempDir::new().unwrap();
    let to = folder.path().join("mine").display().to_string();
    said(&["rules", "eject", &to]);
    let read = |name: &str| fs::read_to_string(Path::new(&to).join(name)).unwrap();
    assert!(read("GUIDE.md").contains("guide for trainers"));
    assert!(read("sanitary/pit-latrine.cases.toml").contains("[[case]]"));
    let definitions = read("definitions/forebore.d.rhai");
    for wanted in [
        "module static;",
        "fn get nearest_pit_latrine_m(site: Site) -> Estimate;",
        "fn get flooding(site: Site) -> Word;",
        "fn get pit_latrine_stop_m(limits: Limits) -> Limit;",
        "fn stop(why: String, act: String) -> Finding;",
    ] {
        assert!(definitions.contains(wanted), "{wanted}");
    }
    let checked = said(&["rules", "check", &to]);
    assert!(
        checked.contains("0 errors, 0 other remarks") && checked.contains("over 0 built-in rules"),
        "{checked}"
    );
}

#[test]
fn single_rules_can_be_ejected() {
    let folder = TempDir::new().unwrap();
    let to = folder.path().join("mine").display().to_string();
    said(&["rules", "eject", &to, "pit-latrine"]);
    assert!(said(&["rules", "check", &to]).starts_with("1 rules, 13 of 13 cases held"));
    let other = folder.path().join("other").display().to_string();
    assert!(refused(&["rules", "eject", &other, "pit-latrin"]).contains("did you mean pit-latrine?"));
    assert!(!Path::new(&other).exists());
}

#[test]
fn a_rule_of_the_same_name_takes_the_place_of_the_built_in_one() {
    let folder = TempDir::new().unwrap();
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("rules/sanitary/flooding.rhai"))
        .unwrap();
    put(
        folder.path(),
        "flooding.rhai",
        &text.replace("Nobody remembers flood water", "We know of no flood water"),
    );
    let report = json(&["assess", &demo("river-field"), "--rules", &path(&folder)]);
    let findings = report["findings"].as_array().unwrap();
    let flooding: Vec<_> = findings.iter().filter(|f| f["rule"] == "flooding").collect();
    assert_eq!(flooding.len(), 1);
    assert!(flooding[0]["why"].as_str().unwrap().starts_with("We know of no flood water"));
    assert_eq!(flooding[0]["topic"], "sanitary", "it keeps the topic of the rule it replaces");
    assert_eq!(findings.len(), json(&["assess", &demo("river-field")])["findings"].as_array().unwrap().len());
}

#[test]
fn a_rule_of_another_name_is_added_and_what_is_not_in_the_folder_stays() {
    let folder = own(str::to_owned);
    let (before, after) = (
        json(&["assess", &demo("river-field")]),
        json(&["assess", &demo("river-field"), "--rules", &path(&folder)]),
    );
    let count = |r: &Value| r["findings"].as_array().unwrap().len();
    assert_eq!(count(&after), count(&before) + 1);
    assert_ne!(before["provenance"]["rules"], after["provenance"]["rules"]);
    assert!(said(&["rules", "list", "--rules", &path(&folder)]).contains("termites"));
}

#[test]
fn a_rule_switched_off_is_not_asked_and_every_report_says_why() {
    let folder = TempDir::new().unwrap();
    put(
        folder.path(),
        "switched-off.toml",
        "# ours\n[switch_off.boundary]\nreason = \"The plot is common land.\"\n",
    );
    let rules = path(&folder);
    let report = json(&["assess", &demo("river-field"), "--rules", &rules]);
    assert!(report["findings"].as_array().unwrap().iter().all(|f| f["rule"] != "boundary"));
    let off = report["switched_off"].as_array().unwrap().iter().find(|o| o["rule"] == "boundary").unwrap();
    assert_eq!(off["reason"], "The plot is common land.");
    let set_by = off["set_by"].as_str().unwrap();
    assert!(set_by.starts_with("rules ") && set_by.ends_with("switched-off.toml:2"), "{set_by}");
    for format in ["text", "markdown"] {
        let shown = said(&["assess", &demo("river-field"), "--rules", &rules, "--format", format]);
        assert!(shown.contains("The plot is common land."), "{format}");
    }
    assert!(said(&["rules", "list", "--rules", &rules]).contains("boundary is switched off"));
    assert!(refused(&["rules", "show", "boundary", "--rules", &rules]).contains("The plot is common land."));
}

// --- Try -------------------------------------------------------------------------

#[test]
fn a_rule_is_tried_step_by_step() {
    let told = said(&["rules", "try", "pit-latrine", &demo("lower-yard")]);
    for wanted in [
        "  17  let d = site.nearest_pit_latrine_m;",
        "read nearest_pit_latrine_m: 11.8 m (11.4 m to 12.2 m)",
        "survey.toml:",
        "limit pit_latrine_stop_m = 15 m [regions/defaults/sanitary.toml:11]",
        "is nearest_pit_latrine_m surely below 15 m (pit_latrine_stop_m)? yes",
        "  19  return stop(",
        "=> stop, grade 0; alone it would make NO-GO",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    assert!(!told.contains("  23  ") && !told.contains("  27  "), "no branch that was not taken: {told}");
}

#[test]
fn a_sweep_shows_where_the_answer_flips() {
    let told = said(&[
        "rules",
        "try",
        "pit-latrine",
        &demo("lower-yard"),
        "--sweep",
        "nearest_pit_latrine_m=0..60",
        "--sweep",
        "pit_latrine_stop_m=5..60",
    ]);
    // 11.8 m is known to 0.39 m either way; the limits are 15 m and 30 m.
    for wanted in [
        "0 m to 14.61 m               stop (line 19)",
        "14.61 m to 15.39 m           find-out, and the stage waits for it (line 23)",
        "15.39 m to 30.39 m           caution (line 27)",
        "30.39 m to 60 m              clear (line 31)",
        "5 m to 11.41 m               caution (line 27)",
        "12.19 m to 60 m              stop (line 19)",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    let told = said(&["rules", "try", "flooding", &demo("ridge-school"), "--sweep", "flooding"]);
    assert!(told.contains("every year                   stop") && told.contains("unknown"), "{told}");
}

#[test]
fn a_sweep_of_what_the_rule_does_not_read_is_refused() {
    let river = demo("river-field");
    let run = |sweep: &str| refused(&["rules", "try", "pit-latrine", &river, "--sweep", sweep]);
    assert!(run("nearest_pit_latrin_m=0..9").contains("did you mean nearest_pit_latrine_m?"));
    assert!(run("nearest_road_m=0..9").contains("does not read nearest_road_m"));
    for wrong in
        ["nearest_pit_latrine_m=9..0", "nearest_pit_latrine_m=nan..inf", "nearest_pit_latrine_m=0..1e300"]
    {
        assert!(run(wrong).contains("FROM..TO"), "{wrong}");
    }
    assert!(run("nearest_pit_latrine_m").contains("FROM..TO"));
}

// --- Pinned sets -----------------------------------------------------------------

#[test]
fn only_the_approved_rules_and_region_are_used() {
    let report = json(&["assess", &demo("river-field")]);
    let hash = |part: &str| report["provenance"][part].as_str().unwrap().to_owned();
    let (rules, region) = (hash("rules"), hash("region"));
    let river = demo("river-field");
    said(&["assess", &river, "--expect", &rules, "--expect", &region]);
    said(&["assess", &river, "--expect", &format!("rules:{rules}"), "--expect", &format!("region:{region}")]);
    let folder = own(str::to_owned);
    for args in [
        vec!["assess", &river, "--expect", "0000000000000000"],
        vec!["assess", &river, "--rules", &path(&folder), "--expect", &rules],
        vec!["assess", &river, "--region", "limestone", "--expect", &region],
        vec!["rules", "check", &path(&folder), "--expect", &rules],
    ] {
        let out = forebore(&args);
        assert_eq!(out.status.code(), Some(2), "{args:?}");
        assert!(out.stdout.is_empty() && text(&out.stderr).contains("not the approved"), "{args:?}");
    }
}

#[test]
fn the_hash_to_pin_is_that_of_reports_and_does_not_hang_on_where_files_lie() {
    let (here, there) = (own(str::to_owned), own(str::to_owned));
    let local = "currency = \"USD\"\n";
    put(here.path(), "local.toml", local);
    put(there.path(), "other-name.toml", local);
    let hashes = |folder: &TempDir, file: &str| {
        let local = folder.path().join(file).display().to_string();
        said(&["rules", "hash", "--rules", &path(folder), "--region", "river-alluvium", "--local", &local])
    };
    let printed = hashes(&here, "local.toml");
    assert_eq!(printed, hashes(&there, "other-name.toml"));
    let local = here.path().join("local.toml").display().to_string();
    let report = json(&[
        "assess",
        &demo("river-field"),
        "--rules",
        &path(&here),
        "--region",
        "river-alluvium",
        "--local",
        &local,
    ]);
    for part in ["rules", "region"] {
        assert!(printed.contains(report["provenance"][part].as_str().unwrap()), "{part}: {printed}");
    }
    put(here.path(), "switched-off.toml", "[switch_off.boundary]\nreason = \"x\"\n");
    assert_ne!(printed, hashes(&here, "local.toml"), "what is switched off is part of the set");
}

#[test]
fn the_manual_of_ones_own_rules_can_be_written() {
    let folder = own(str::to_owned);
    let to = folder.path().join("manual").display().to_string();
    said(&["rules", "manual", &to, "--rules", &path(&folder)]);
    let page = fs::read_to_string(Path::new(&to).join("field.md")).unwrap();
    assert!(page.contains("## termites") && page.contains("`livestock_pen_stop_m` = "), "{page}");
    assert!(
        fs::read_to_string(Path::new(&to).join("README.md"))
            .unwrap()
            .contains("[termites](field.md#termites)")
    );
}
