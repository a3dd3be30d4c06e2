//! What the check of rules tells.

use super::*;

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
