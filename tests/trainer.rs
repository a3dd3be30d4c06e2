//! The trainer's bench as people run it: eject, lay over, check, try,
//! compare, pin.

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

// --- Check -----------------------------------------------------------------------

/// Each fault, the line and code it is told with, and what is suggested.
#[test]
fn every_fault_is_told_at_its_own_line_with_a_suggestion() {
    let replace = |from: &'static str, to: &'static str| move |rule: &str| rule.replace(from, to);
    type Change = Box<dyn Fn(&str) -> String>;
    let all: Vec<(Change, &str, &str)> = vec![
        (
            Box::new(replace("site.nearest_livestock_pen_m", "site.nearest_livestok_pen_m")),
            ":17:18: there is no fact",
            "Did you mean nearest_livestock_pen_m?",
        ),
        (
            Box::new(replace("limits.livestock_pen_stop_m)", "limits.livestock_pen_stp_m)")),
            ":18:30: livestock_pen_stp_m is read",
            "Did you mean livestock_pen_stop_m?",
        ),
        (
            Box::new(replace("surely_below", "surely_bellow")),
            ":18:10: surely_bellow is called",
            "Did you mean surely_below?",
        ),
        (Box::new(replace("    why: \"It is a test.\",\n", "")), ":1:1: ABOUT has no why", "Add why"),
        (Box::new(replace("None, it is a test", " ")), ":11:5: source is empty", "Say it in words."),
        (
            Box::new(replace("\"from memory\"", "\"memory\"")),
            ":12:5: basis: \"memory\" is not known",
            "from memory",
        ),
        (
            Box::new(replace("livestock_pen_stop_m", "livestock_pen_stopp_m")),
            ":18:30: the region sets no limit",
            "Did you mean livestock_pen_stop_m?",
        ),
        (
            Box::new(replace("!d.surely_at_least", "d.surely_below")),
            ":22:16: this find_out is never reached",
            "an earlier line answers first",
        ),
        (
            Box::new(replace("    clear(`Far enough: ${d}.`)\n", "")),
            ":24:1: The rule itself failed",
            "It fails with nearest_livestock_pen_m =",
        ),
        (
            Box::new(replace("livestock_pen_stop_m", "arsenic_stop_mg_l")),
            ":18:10: nearest_livestock_pen_m in m is compared with arsenic_stop_mg_l in mg/L",
            "own unit",
        ),
        (
            Box::new(replace("return stop(`Too near: ${d}.`, \"Move.\")", "loop { }")),
            ":19:9: ",
            "unexpected 'loop'",
        ),
        (
            Box::new(replace("return stop(`Too near: ${d}.`", "return caution(`Too near: ${d}.`")),
            ":8:5: not knowing would hold",
            "never",
        ),
    ];
    for (change, told, help) in all {
        let folder = own(change);
        let said = refused(&["rules", "check", &path(&folder)]);
        assert!(said.contains(&format!("termites.rhai{told}")), "{told}: {said}");
        assert!(said.contains(help), "{help}: {said}");
    }
}

#[test]
fn a_rule_without_cases_and_a_rule_that_can_never_stop_are_warned_of() {
    let folder = own(str::to_owned);
    let out = forebore(&["rules", "check", &path(&folder)]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    assert!(text(&out.stderr).contains("no-cases"));
    let judge = RULE.find("fn judge").unwrap();
    let folder = own(|rule| {
        let head = rule[..judge]
            .replace("[\"livestock_pen_stop_m\"]", "[]")
            .replace("\"mobilisation\",\n    ask", "\"never\",\n    ask");
        format!(
            "{head}fn judge(site, limits) {{\n    let d = site.nearest_livestock_pen_m;\n    clear(`${{d}}`)\n}}\n"
        )
    });
    let out = forebore(&["rules", "check", &path(&folder)]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    assert!(text(&out.stderr).contains("rhai:18:5: the rule can never stop a site"), "{}", text(&out.stderr));
}

#[test]
fn a_failing_case_and_an_outcome_that_no_case_reaches_are_told() {
    let folder = own(str::to_owned);
    let case = "[[case]]\nname = \"near\"\nfacts = { nearest_livestock_pen_m = 3 }\nlimits = { livestock_pen_stop_m = 15 }\n";
    put(folder.path(), "field/termites.cases.toml", &format!("{case}outcome = \"clear\"\n"));
    let said = refused(&["rules", "check", &path(&folder)]);
    assert!(
        said.contains("termites.cases.toml:5:11: case \"near\" of termites: found stop, not clear"),
        "{said}"
    );
    put(folder.path(), "field/termites.cases.toml", &format!("{case}outcome = \"stop\"\n"));
    let out = forebore(&["rules", "check", &path(&folder)]);
    assert_eq!(out.status.code(), Some(0));
    for wanted in [
        "no case of termites reaches clear",
        "no case of termites reaches find-out",
        "both sides of livestock_pen_stop_m",
    ] {
        assert!(text(&out.stderr).contains(wanted), "{wanted}");
    }
}

#[test]
fn a_limit_of_ones_own_is_known_to_the_check_from_a_local_file() {
    let folder = own(|rule| rule.replace("livestock_pen_stop_m", "termites_stop_m"));
    let local = folder.path().join("local.toml");
    let limit = "[limits.termites_stop_m]\nvalue = 5\nunit = \"m\"\nstricter = \"greater\"\nabout = \"Ours.\"\nsource = \"Invented\"\nbasis = \"from memory\"\n";
    fs::write(&local, limit).unwrap();
    assert!(refused(&["rules", "check", &path(&folder)]).contains("limit-not-set"));
    said(&["rules", "check", &path(&folder), "--local", &local.display().to_string()]);
}

// --- Try -------------------------------------------------------------------------

#[test]
fn a_rule_is_tried_step_by_step() {
    let told = said(&["rules", "try", "pit-latrine", &demo("lower-yard")]);
    for wanted in [
        "  17  let d = site.nearest_pit_latrine_m;",
        "read nearest_pit_latrine_m: 11.8 m (11.4 m to 12.2 m)",
        "survey.toml:59",
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

// --- Compare ---------------------------------------------------------------------

fn examples() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/examples").display().to_string()
}

#[test]
fn the_same_rules_change_nothing() {
    let compared = json(&["rules", "compare", "built-in", "built-in", "--on", &examples()]);
    assert_eq!(
        (&compared["sites"], &compared["answers_changed"], &compared["only_findings_changed"]),
        (&4.into(), &0.into(), &0.into())
    );
    assert_eq!(compared["rules"], Value::Array(Vec::new()));
}

#[test]
fn a_stricter_rule_changes_the_sites_it_must_and_is_named() {
    let folder = own(|rule| rule.replace("!d.surely_at_least(limits.livestock_pen_stop_m)", "true"));
    let rules = path(&folder);
    let compared = json(&["rules", "compare", "built-in", &rules, "--on", &examples()]);
    let changed = compared["changed"].as_array().unwrap();
    assert_eq!(changed.len(), 2, "a go and a go-if are held back: {compared}");
    for site in changed {
        assert_eq!(site["b"], "find-out");
        assert_eq!(site["because"].as_array().unwrap().len(), 1);
        let because = &site["because"][0];
        assert_eq!((&because["rule"], &because["decides"]), (&"termites".into(), &true.into()));
        assert!(because["a"].is_null() && because["b"]["outcome"] == "find-out", "{because}");
    }
    assert_eq!(compared["rules"][0]["decides"], 2);
    let told = said(&["rules", "compare", "built-in", &rules, "--on", &examples()]);
    let (totals, sites) = (told.find("2 change their answer").unwrap(), told.find("River field").unwrap());
    assert!(totals < sites && told.contains("because of termites: not asked -> find-out, blocks"), "{told}");
    let back = said(&["rules", "compare", &rules, "built-in", "--on", &demo("river-field")]);
    assert!(back.contains("FIND OUT FIRST -> GO (better: look twice)"), "{back}");
}

#[test]
fn regions_are_compared_in_the_same_way() {
    let compared = json(&[
        "rules",
        "compare",
        "built-in",
        "built-in",
        "--on",
        &demo("river-field"),
        "--region-a",
        "river-alluvium",
        "--region-b",
        "limestone",
    ]);
    assert_eq!(compared["answers_changed"], 1);
    assert!(compared["b"].as_str().unwrap().contains("Limestone"));
}

#[test]
fn the_pegs_of_a_table_are_compared_around_a_survey() {
    let folder = own(|rule| rule.replace("livestock_pen_stop_m", "pit_latrine_caution_m"));
    let pegs = folder.path().join("pegs.csv");
    fs::write(&pegs, "name,lat,lon,accuracy_m\nhere,12.41555,-3.28010,4\nthere,12.41655,-3.28010,4\n")
        .unwrap();
    let pegs = pegs.display().to_string();
    let args = ["rules", "compare", "built-in", &path(&folder), "--on", &pegs];
    assert!(refused(&args).contains("--around"));
    let compared = json(&[&args[..], &["--around", &demo("river-field")]].concat());
    assert_eq!(compared["sites"], 2, "{compared}");
}

#[test]
fn a_survey_that_cannot_be_used_is_told_and_the_rest_is_compared() {
    let folder = TempDir::new().unwrap();
    put(folder.path(), "broken/survey.toml", "[peg]\nnmae = \"x\"\n");
    put(folder.path(), "good/survey.toml", &fs::read_to_string(demo("river-field")).unwrap());
    put(folder.path(), "good/local.toml", "# no survey\n");
    let compared = json(&["rules", "compare", "built-in", "built-in", "--on", &path(&folder)]);
    assert_eq!(compared["sites"], 1, "{compared}");
    assert!(compared["unused"][0]["file"].as_str().unwrap().ends_with("broken/survey.toml"));
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
