//! What changes between two sets of rules, or two regions.

use super::*;

fn examples() -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/examples").display().to_string()
}

#[test]
fn the_same_rules_change_nothing() {
    let compared = json(&["rules", "compare", "built-in", "built-in", "--on", &examples()]);
    assert_eq!(
        (&compared["sites"], &compared["answers_changed"], &compared["only_findings_changed"]),
        (&5.into(), &0.into(), &0.into())
    );
    assert_eq!(compared["rules"], Value::Array(Vec::new()));
}

#[test]
fn a_stricter_rule_changes_the_sites_it_must_and_is_named() {
    let folder = own(|rule| rule.replace("!d.surely_at_least(limits.livestock_pen_stop_m)", "true"));
    let rules = path(&folder);
    let compared = json(&["rules", "compare", "built-in", &rules, "--on", &examples()]);
    let changed = compared["changed"].as_array().unwrap();
    assert_eq!(changed.len(), 3, "two goes and a go-if are held back: {compared}");
    for site in changed {
        assert_eq!(site["b"], "find-out");
        assert_eq!(site["because"].as_array().unwrap().len(), 1);
        let because = &site["because"][0];
        assert_eq!((&because["rule"], &because["decides"]), (&"termites".into(), &true.into()));
        assert!(because["a"].is_null() && because["b"]["outcome"] == "find-out", "{because}");
    }
    assert_eq!(compared["rules"][0]["decides"], 3);
    let told = said(&["rules", "compare", "built-in", &rules, "--on", &examples()]);
    let (totals, sites) = (told.find("3 change their answer").unwrap(), told.find("River field").unwrap());
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
