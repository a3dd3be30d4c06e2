//! Rules back-tested on invented tables whose answer is known.

use std::fs;

use serde_json::Value;

use super::common::page::{faults_of_page, faults_of_pictures, parsed};
use super::{Lots, Trial, json};

const MAP: &str = "date = \"day\"\nknown_only_after = [\"deep\"]\n[place]\nlat = \"lat\"\nlon = \"lon\"\n\
                   [success]\nyes = { came = [\"yes\"] }\nno = { came = [\"no\"] }\n\
                   [hole_depth]\ncolumn = \"deep\"\nunit = \"m\"\n";
const ROOM: &str = "[survey]\nworking_room_m = \"room\"\n";
/// The limits of the rule on working room in the defaults: 2 m and 5 m.
const RULE: &str = "working-room";

/// One record every 770 m; what of each: room, and whether it came to
/// a success.
fn table(n: usize, mut what: impl FnMut(usize) -> (f64, bool)) -> String {
    let mut table = String::from("lat,lon,day,deep,room,came\n");
    for i in 0..n {
        let (room, came) = what(i);
        let (lat, lon) = (-12.0 + 0.007 * (i / 10) as f64, 33.0 + 0.007 * (i % 10) as f64);
        let came = if came { "yes" } else { "no" };
        table.push_str(&format!(
            "{lat:.5},{lon:.5},20{:02}-{:02}-{:02},{},{room},{came}\n",
            1 + i / 300,
            i / 28 % 12 + 1,
            i % 28 + 1,
            20 + i % 7
        ));
    }
    table
}

fn judged(table: &str, map: &str, rest: &[&str]) -> Value {
    Trial::new("t.csv", table, map).json(&[&["--judge"], rest].concat())
}

fn row<'a>(confusion: &'a Value, answer: &str) -> &'a Value {
    let wanted = if answer.is_empty() { Value::Null } else { Value::from(answer) };
    confusion["answers"].as_array().unwrap().iter().find(|r| r["answer"] == wanted).unwrap()
}

fn counts(row: &Value) -> (u64, u64) {
    (row["n"].as_u64().unwrap(), row["successes"].as_u64().unwrap())
}

fn rule<'a>(r: &'a Value, name: &str) -> &'a Value {
    r["rules"].as_array().unwrap().iter().find(|x| x["rule"] == name).unwrap()
}

/// Of twelve with 1 m of room three succeed, of twelve with 3 m six, of
/// sixteen with 20 m twelve.
fn forty() -> String {
    table(40, |i| match i {
        0..12 => (1.0, i < 3),
        12..24 => (3.0, i < 18),
        _ => (20.0, i < 36),
    })
}

#[test]
fn answers_and_outcomes_are_counted_as_by_hand() {
    let r = judged(&forty(), &format!("{MAP}{ROOM}"), &[]);
    assert_eq!((r["stage"].as_str(), counts(&r["records"])), (Some("desk study"), (40, 21)));
    assert_eq!(counts(row(&r["verdicts"], "no-go")), (12, 3));
    assert_eq!(counts(row(&r["verdicts"], "go-if")), (28, 18));
    assert_eq!(counts(row(&r["verdicts"], "go")), (0, 0));
    assert_eq!(counts(row(&r["said"], "no-go")), (12, 3));
    let found = &rule(&r, RULE)["found"];
    assert_eq!(
        [&found["stop"], &found["caution"], &found["clear"]].map(counts),
        [(12, 3), (12, 6), (16, 12)]
    );
    // Wilson's band of 3 of 12.
    let band = &row(&r["verdicts"], "no-go")["band95"];
    assert!((band[0].as_f64().unwrap() - 0.0889).abs() < 1e-4, "{band}");
    assert!((band[1].as_f64().unwrap() - 0.5323).abs() < 1e-4, "{band}");
    let through = &r["verdicts"]["let_through"];
    assert!((through["difference"].as_f64().unwrap() - (18.0 / 28.0 - 0.25)).abs() < 1e-6, "{through}");
    // Nothing else would let through what this rule holds back alone.
    let without = &rule(&r, RULE)["without"];
    assert_eq!((&without["let_through"], &without["let_through_successes"]), (&12.into(), &3.into()));
    let other = rule(&r, "evidence");
    assert_eq!(other["without"]["let_through"], 0);
}

#[test]
fn a_rule_that_truly_tells_is_told_from_one_that_does_not() {
    // Room and success go together, with one in five the other way round.
    let mut lots = Lots::new(7);
    let tells = table(120, |i| (if i % 2 == 0 { 1.0 } else { 20.0 }, (i % 2 == 1) != (lots.draw() < 0.2)));
    let r = judged(&tells, &format!("{MAP}{ROOM}"), &[]);
    assert_eq!(rule(&r, RULE)["tells"]["verdict"], "tells", "{}", rule(&r, RULE));
    assert_eq!(r["verdicts"]["let_through"]["verdict"], "tells");

    let mut lots = Lots::new(8);
    let by_lot = table(120, |_| (if lots.draw() < 0.5 { 1.0 } else { 20.0 }, lots.draw() < 0.6));
    let r = judged(&by_lot, &format!("{MAP}{ROOM}"), &[]);
    for what in [&rule(&r, RULE)["tells"], &r["verdicts"]["let_through"], &r["said"]["let_through"]] {
        assert_eq!(what["verdict"], "not told apart", "{what}");
        assert!(what["band95"][0].as_f64() < Some(0.0) && what["band95"][1].as_f64() > Some(0.0));
    }
    assert!(r["chance"]["skill"]["base-rate"]["verdict"] != "better", "{}", r["chance"]);
}

#[test]
fn a_trainers_own_rule_is_judged_in_place_of_the_built_in_one() {
    let t = Trial::new("t.csv", forty(), &format!("{MAP}{ROOM}"));
    let folder = t.folder().join("rules/safety");
    fs::create_dir_all(&folder).unwrap();
    let built_in = include_str!("../../rules/safety/working-room.rhai");
    // What was cleared is stopped and the other way round.
    let turned = built_in
        .replace("surely_below(limits.working_room_stop_m)", "surely_above(limits.working_room_caution_m)")
        .replace("if !room.surely_at_least", "if room.surely_above");
    fs::write(folder.join("working-room.rhai"), turned).unwrap();
    let rules = t.folder().join("rules").display().to_string();
    let own = t.json(&["--judge", "--rules", &rules]);
    assert_eq!(counts(&rule(&own, RULE)["found"]["stop"]), (16, 12), "{}", rule(&own, RULE));
    let built_in = t.json(&["--judge"]);
    assert_ne!(own["provenance"]["rules"], built_in["provenance"]["rules"]);
    assert_eq!(own["provenance"]["records"], built_in["provenance"]["records"]);
    assert_eq!(own["verdicts"]["let_through"]["verdict"], "tells the wrong way", "{own}");
}

#[test]
fn a_limit_is_swept_and_what_it_clears_is_counted() {
    let r = judged(&forty(), &format!("{MAP}{ROOM}"), &[]);
    let limits = r["limits"].as_array().unwrap();
    let of = |name: &str| limits.iter().find(|l| l["limit"] == name).unwrap();
    let (stop, caution) = (of("working_room_stop_m"), of("working_room_caution_m"));
    assert_eq!((stop["value"].as_f64(), stop["n"].as_u64()), (Some(2.0), Some(40)));
    let step = |l: &Value, factor: f64| -> Value {
        l["steps"].as_array().unwrap().iter().find(|s| s["factor"] == factor).unwrap().clone()
    };
    let as_is = step(stop, 1.0);
    assert_eq!((&as_is["findings"], &as_is["answers"], &as_is["said"]), (&0.into(), &0.into(), &0.into()));
    assert_eq!(counts(&as_is["cleared"]), (16, 12));
    // At 4 m those with 3 m are stopped too.
    let twice = step(stop, 2.0);
    assert_eq!((&twice["findings"], &twice["answers"]), (&12.into(), &12.into()), "{twice}");
    // At 2.5 m of room wanted those with 3 m are cleared, one half of which
    // succeeded: 18 of 28.
    let half = step(caution, 0.5);
    assert_eq!((counts(&half["cleared"]), &half["findings"]), ((28, 18), &12.into()), "{half}");
    assert_eq!(half["answers"], 0, "other rules still ask");
    assert_eq!(limits.iter().filter(|l| l["n"] == 0).count(), 0);
}

#[test]
fn what_is_known_only_afterwards_is_refused_in_the_survey() {
    let after = format!("{MAP}[survey]\nworking_room_m = \"deep\"\n");
    let told = Trial::new("t.csv", forty(), &after).fails(&["--judge"]);
    assert!(told.contains("known-only-after") && told.contains("\"deep\" is used for the survey"), "{told}");
    let outcome = format!("{MAP}[survey]\nboulders = \"came\"\n");
    let told = Trial::new("t.csv", forty(), &outcome).fails(&["--judge"]);
    assert!(told.contains("outcome-as-predictor") && told.contains("map.toml:13:12"), "{told}");
    let depth =
        format!("{MAP}[survey]\nworking_room_m = \"deep\"\n").replace("known_only_after = [\"deep\"]\n", "");
    assert!(Trial::new("t.csv", forty(), &depth).fails(&["--judge"]).contains("outcome-as-predictor"));
}

#[test]
fn a_record_is_judged_the_same_whatever_became_of_it() {
    // Its own outcome and depth turned round, all others as they were.
    let map = format!("{MAP}{ROOM}[wells]\nmade = \"hand-drilled\"\nworked = \"in use\"\nfailed = \"dry\"\n");
    let found = |table: &str| -> Vec<String> {
        let r = judged(table, &map, &["--leave-out", "one"]);
        let told = |x: &Value| {
            let found = x["found"].as_object().unwrap().iter();
            let counts: Vec<String> = found.map(|(word, s)| format!("{word} {}", s["n"])).collect();
            format!("{} {}", x["rule"], counts.join(", "))
        };
        r["rules"].as_array().unwrap().iter().map(told).collect()
    };
    // Alone far from the others: it is nobody's neighbour.
    let mut table = forty();
    table.push_str("-13.5,34.5,2005-01-01,31,20,");
    let (yes, no) = (format!("{table}yes\n"), format!("{table}no\n").replace(",31,20,no", ",7,20,no"));
    assert_eq!(found(&yes), found(&no));
}

#[test]
fn every_way_of_leaving_out_is_judged_and_stands_beside_the_first() {
    let leave = ["--leave-out", "forward", "--leave-out", "one", "--leave-out", "blocks:3000"];
    let map = format!("{MAP}{ROOM}[wells]\nworked = \"in use\"\nfailed = \"dry\"\n");
    let r = judged(&forty(), &map, &leave);
    assert_eq!(r["leave_out"], "forward");
    let skipped = r["skipped"].as_array().unwrap();
    assert_eq!(r["records"]["n"].as_u64().unwrap() + skipped.len() as u64, 40);
    assert!(skipped[0]["why"].as_str().unwrap().contains("first by date"));
    let beside: Vec<(&str, u64)> = r["beside"]
        .as_array()
        .unwrap()
        .iter()
        .map(|b| (b["leave_out"].as_str().unwrap(), b["records"]["n"].as_u64().unwrap()))
        .collect();
    assert_eq!(beside, [("one", 40), ("blocks:3000", 40)]);
    // What neighbours say depends on who may be one.
    let dry = |r: &Value| rule(r, "failing-neighbours")["found"].clone();
    assert_ne!(dry(&r["beside"][0]), dry(&r["beside"][1]));
}

#[test]
fn neighbours_are_what_the_map_says_they_are() {
    // All but one worked.
    let table = forty().replace(",no\n", ",yes\n").replacen(",yes\n", ",no\n", 1);
    let silent = judged(&table, &format!("{MAP}{ROOM}"), &[]);
    let told = judged(&table, &format!("{MAP}{ROOM}[wells]\nworked = \"in use\"\nfailed = \"dry\"\n"), &[]);
    let found = |r: &Value| rule(r, "failing-neighbours")["found"].clone();
    assert_ne!(found(&silent), found(&told));
    assert_eq!(found(&silent)["clear"], Value::Null, "unknown outcomes clear nothing");
    assert!(found(&told)["clear"]["n"].as_u64().unwrap() > 20, "{:?}", found(&told));
    let wrong = format!("{MAP}[wells]\nworked = \"well enough\"\nfaled = \"dry\"\n");
    let told = Trial::new("t.csv", forty(), &wrong).fails(&["--judge"]);
    assert!(told.contains("unknown-word") && told.contains("Did you mean failed?"), "{told}");
}

#[test]
fn columns_of_the_survey_are_read_in_their_own_words_and_units() {
    let table =
        forty().replace(",room,", ",room_ft,").replace(",20,yes", ",65,yes").replace(",20,no", ",65,no");
    let feet = format!("{MAP}[survey]\nworking_room_m = {{ column = \"room_ft\", unit = \"ft\" }}\n");
    let r = judged(&table, &feet, &[]);
    assert_eq!(r["observed"][0], "working_room_m");
    assert_eq!(counts(&rule(&r, RULE)["found"]["clear"]), (16, 12));

    let words = format!(
        "{MAP}[survey]\nstart = \"day\"\nflooding = {{ column = \"came\", words = {{ yes = \"never\" }} }}\naccess = \"day\"\n"
    )
    .replace(
        "[success]\nyes = { came = [\"yes\"] }\nno = { came = [\"no\"] }",
        "[success]\nyes = { deep = [\"20\"] }\notherwise = \"no\"",
    )
    .replace("known_only_after = [\"deep\"]\n", "");
    let r = judged(&forty(), &words, &[]);
    let note = r["notes"].as_array().unwrap().iter().find(|n| n.as_str().unwrap().contains("access"));
    assert!(note.unwrap().as_str().unwrap().contains("could not be read"), "{}", r["notes"]);
    assert!(rule(&r, "flooding")["decided"].as_u64().unwrap() > 0);

    let told = Trial::new("t.csv", forty(), &format!("{MAP}[survey]\nworkingroom_m = \"room\"\n"));
    assert!(told.fails(&["--judge"]).contains("Did you mean working_room_m?"));
}

#[test]
fn small_numbers_are_flagged_in_words() {
    let few = table(12, |i| (if i < 4 { 1.0 } else { 20.0 }, i % 3 > 0));
    let t = Trial::new("t.csv", &few, &format!("{MAP}{ROOM}"));
    let r = t.json(&["--judge"]);
    assert_eq!(row(&r["verdicts"], "no-go")["few"], true);
    assert_eq!(rule(&r, RULE)["tells"]["verdict"], "too few");
    let notes = r["notes"].to_string();
    assert!(notes.contains("Only 12 records were judged") && notes.contains("Only 4 of 12 records failed"));
    let text = String::from_utf8(t.run(&["--judge"]).stdout).unwrap();
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("so few that nothing can be compared") && text.contains("   few\n"), "{text}");
    // The forecast says the same of its table of chances.
    let text = String::from_utf8(t.run(&["--forecast", "success"]).stdout).unwrap();
    assert!(text.contains("Of what was given a chance") && text.contains("   few\n"), "{text}");
    // The trainer may set what is few.
    let local = t.folder().join("local.toml");
    let three =
        "[priors.backtest_group_least]\nvalue = 3\nsource = \"invented\"\nbasis = \"common practice\"\n";
    fs::write(&local, three).unwrap();
    let r = t.json(&["--judge", "--local", &local.display().to_string()]);
    assert_eq!((&r["few"], &row(&r["verdicts"], "no-go")["few"]), (&Value::from(3.0), &false.into()));
}

#[test]
fn the_text_fits_a_terminal_and_says_what_it_does_not_show() {
    let t = Trial::new("t.csv", forty(), &format!("{MAP}{ROOM}"));
    let text =
        String::from_utf8(t.run(&["--judge", "--leave-out", "one", "--leave-out", "blocks:3000"]).stdout);
    let text = text.unwrap();
    for wanted in [
        "40 records were each judged",
        "the place, working_room_m",
        "What the rules answered, and what came",
        "NO-GO",
        "What the rules said that decided",
        "no rule decided",
        "Does each rule tell anything?",
        "What would change without each rule",
        "How much hangs on each limit",
        "Is the chance of success right?",
        "Of what was given a chance, how much came",
        "Beside it: leave out whole squares of 3000 m",
        "What this does not show",
    ] {
        assert!(text.contains(wanted), "{wanted}\n{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
}

#[test]
fn pages_of_rules_and_forecasts_need_nothing_else() {
    let t = Trial::new("t.csv", forty(), &format!("{MAP}{ROOM}"));
    for what in [&["--judge"][..], &["--judge", "--leave-out", "forward"], &["--forecast", "success"]] {
        let out = t.run(&[what, &["--format", "html"]].concat());
        assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
        let page = String::from_utf8(out.stdout).unwrap();
        assert!(page.starts_with("<!DOCTYPE html>\n<html lang=\"en\">") && !page.contains("http"));
        let read = parsed(&page);
        let wrong: Vec<String> = faults_of_page(&read).into_iter().chain(faults_of_pictures(&read)).collect();
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        assert_eq!(read.descendants().filter(|n| n.attribute("role") == Some("img")).count(), 1);
        assert!(page.contains("prefers-color-scheme: dark"));
        let md = String::from_utf8(t.run(&[what, &["--format", "markdown"]].concat()).stdout).unwrap();
        assert!(md.starts_with("# Back-test of ") && md.contains("\n| ") && md.contains("---:"), "{md}");
        let wide = |l: &str| l.matches('|').count() - l.matches("\\|").count();
        for block in md.split("\n\n").filter(|b| b.starts_with("| ")) {
            let widths: Vec<usize> = block.lines().map(wide).collect();
            assert!(widths.iter().all(|w| *w == widths[0]), "{block}");
        }
    }
}

#[test]
fn one_of_forecast_and_judge_is_asked_and_what_belongs_to_judge_only_with_it() {
    let t = Trial::new("t.csv", forty(), &format!("{MAP}{ROOM}"));
    assert!(t.fails(&[]).contains("--judge"));
    assert!(t.fails(&["--judge", "--forecast", "success"]).contains("cannot be used with"));
    assert!(t.fails(&["--forecast", "success", "--stage", "drilling"]).contains("--stage"));
    let lacks = MAP.replace("[success]\nyes = { came = [\"yes\"] }\nno = { came = [\"no\"] }\n", "");
    let told = Trial::new("t.csv", forty(), &lacks).fails(&["--judge"]);
    assert!(told.contains("map-lacks") && told.contains("[success]"), "{told}");
}

#[test]
fn a_later_stage_waits_for_more() {
    let r = judged(&forty(), &format!("{MAP}{ROOM}"), &["--stage", "mobilisation"]);
    assert_eq!(r["stage"], "mobilisation");
    assert_eq!(counts(row(&r["verdicts"], "go-if")), (0, 0));
    assert_eq!(counts(row(&r["verdicts"], "find-out")), (28, 18));
    assert_eq!(counts(row(&r["said"], "no-go")), (12, 3));
}

/// Every line that docs/backtest.md shows of its example is printed, in that
/// order.
#[test]
fn the_example_of_the_docs_is_current() {
    let docs = include_str!("../../docs/backtest.md");
    let (_, example) = docs.split_once("### An example").unwrap();
    let command = example.lines().find_map(|l| l.strip_prefix("    forebore backtest ")).unwrap();
    let shown = example.split("```").nth(1).unwrap().strip_prefix("text\n").unwrap();
    let mut run = assert_cmd::Command::new(env!("CARGO_BIN_EXE_forebore"));
    run.current_dir(env!("CARGO_MANIFEST_DIR")).arg("backtest").args(command.split(' '));
    let printed = String::from_utf8(run.output().unwrap().stdout).unwrap();
    let mut lines = printed.lines();
    for wanted in shown.lines().filter(|l| *l != "[…]") {
        assert!(lines.any(|l| l == wanted), "not printed (any more, or here): {wanted}\n{printed}");
    }
    assert!(shown.lines().count() > 30);
}

#[test]
fn judging_gives_the_same_bytes_on_any_number_of_threads() {
    let t = Trial::new("t.csv", table(150, |i| (1.0 + (i % 9) as f64, i % 5 > 1)), &format!("{MAP}{ROOM}"));
    let with = |threads: &str| {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_forebore"));
        let args = ["backtest", &t.records, "--map", &t.map, "--judge", "--leave-out", "forward", "--format"];
        command.env("RAYON_NUM_THREADS", threads).args(args).arg("json").output().unwrap()
    };
    let first = with("1");
    assert_eq!(json(&first)["leave_out"], "forward");
    assert_eq!(first.stdout, with("3").stdout);
}
