//! The host's promises, on small scripts.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::{Did, Finding, Judge, Outcome, RuleSet, Script, Told};
use crate::diag::{Origin, Problems, Sources};
use crate::facts::{FactSource, FactTable, Value};
use crate::region::{Basis, Figure, Layer, SetBy};
use crate::survey::Stage;
use crate::units::{Estimate, Unit};

const HEAD: &str = r#"const ABOUT = #{
    id: "probe", title: "A probe", why: "It is a test.", stages: ["mobilisation", "desk study"],
    reads: [READS], limits: [LIMITS], blocks_from: "mobilisation", ask: "tape", weight: 2,
    source: "none", basis: "common practice", since: "0.1.0",
};
"#;

fn script(reads: &str, limits: &str, body: &str) -> String {
    let head = HEAD.replace("READS", reads).replace("LIMITS", limits);
    format!("{head}fn judge(site, limits) {{\n{body}\n}}\n")
}

fn load(text: &str) -> (RuleSet, Problems) {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = RuleSet::of([Script::new("rules/test/probe.rhai", text)], &mut sources, &mut problems);
    (set, problems)
}

fn limit(name: &str, value: f64) -> Figure {
    Figure {
        name: name.into(),
        value,
        unit: Unit::Metre,
        stricter: None,
        source: "test".into(),
        basis: Basis::CommonPractice,
        about: String::new(),
        set_by: SetBy { layer: Layer::Defaults, from: Origin::whole("test") },
        notes: Vec::new(),
    }
}

fn run_at(stage: Stage, text: &str, latrine: Option<Estimate>) -> Finding {
    let (set, _) = load(text);
    let mut facts = FactTable::default();
    if let Some(d) = latrine {
        facts.state("nearest_pit_latrine_m", Value::Estimate(d));
    }
    facts.state("flooding", Value::Word("never"));
    let facts: Rc<dyn FactSource> = Rc::new(facts);
    let limits = BTreeMap::from([("pit_stop_m".to_owned(), limit("pit_stop_m", 15.0))]);
    Judge::new(&set).judge_one("probe", stage, &facts, &Rc::new(limits)).unwrap()
}

fn run(text: &str, latrine: Option<Estimate>) -> Finding {
    run_at(Stage::Mobilisation, text, latrine)
}

fn metres(low: f64, value: f64, high: f64) -> Option<Estimate> {
    Estimate::band(Unit::Metre, low, value, high).ok()
}

fn latrine_rule() -> String {
    script(
        r#""nearest_pit_latrine_m""#,
        r#""pit_stop_m""#,
        "let d = site.nearest_pit_latrine_m;
         if d.surely_below(limits.pit_stop_m) { return stop(`A latrine at ${d}, ${limits.pit_stop_m} required.`, \"Move the peg.\"); }
         if !d.surely_at_least(limits.pit_stop_m) { return find_out(\"Not sure.\", \"Tape it.\"); }
         clear(`Far enough: ${d}.`, d.grade(limits.pit_stop_m, limits.pit_stop_m))",
    )
}

#[test]
fn a_sound_rule_loads_without_a_problem() {
    let (_, problems) = load(&latrine_rule());
    assert!(problems.is_empty(), "{problems:?}");
}

#[test]
fn a_finding_carries_what_the_script_read() {
    let f = run(&latrine_rule(), metres(9.0, 10.0, 11.0));
    assert_eq!(f.outcome, Outcome::Stop);
    assert_eq!(f.why, "A latrine at 10 m (9 m to 11 m), 15 m required.");
    assert_eq!(f.evidence[0].name, "nearest_pit_latrine_m");
    assert!(f.evidence[0].chance_below[0].1 > 0.999);
    assert_eq!(f.limits[0].name, "pit_stop_m");
    assert_eq!(f.at.line, 8);
}

#[test]
fn reading_what_nobody_observed_is_a_find_out_that_blocks_where_the_rule_says() {
    let f = run(&latrine_rule(), None);
    assert_eq!((f.outcome, f.blocks), (Outcome::FindOut, true));
    assert!(f.why.contains("nearest pit latrine"), "{}", f.why);
    assert_eq!(f.at.line, 7);
    let f = run_at(Stage::DeskStudy, &latrine_rule(), None);
    assert_eq!((f.outcome, f.blocks), (Outcome::FindOut, false));
}

#[test]
fn a_rule_told_that_a_fact_is_unknown_cannot_pass_the_site() {
    let text = script(
        r#""nearest_pit_latrine_m""#,
        "",
        "if !site.known(\"nearest_pit_latrine_m\") { return clear(\"No news is good news.\"); }
         clear(\"Fine.\")",
    );
    assert_eq!(run(&text, None).outcome, Outcome::FindOut);
    assert_eq!(run(&text, metres(1.0, 1.0, 1.0)).outcome, Outcome::Clear);
}

/// Scripts that must load with a problem and be shown as broken.
#[test]
fn what_a_rule_may_not_contain_is_refused_with_its_place() {
    let reads = r#""nearest_pit_latrine_m""#;
    for (reads, body, code) in [
        (
            reads,
            "let d = site.nearest_pit_latrine_m; if d < 30.0 { return stop(\"a\", \"b\"); } clear(\"c\")",
            "rule-operator",
        ),
        (reads, "let d = site.nearest_pit_latrine_m; let x = 30; clear(\"c\")", "rule-number"),
        ("", "clear(site.nearest_pit_latrine_m)", "undeclared-read"),
        (reads, "clear(\"c\")", "unread"),
        (r#""nearest_pit_latrin_m""#, "site.nearest_pit_latrin_m; clear(\"c\")", "unknown-fact"),
        ("", "loop { } clear(\"c\")", "rule-syntax"),
        ("", "eval(\"1\"); clear(\"c\")", "rule-syntax"),
        ("", "import \"x\" as y; clear(\"c\")", "rule-syntax"),
        ("", "try { clear(\"c\") } catch { }", "rule-syntax"),
        ("", "throw \"x\"; clear(\"c\")", "rule-syntax"),
        ("", "sleep(1.0); clear(\"c\")", "rule-call"),
        ("", "judge(site, limits)", "rule-call"),
        ("", "let f = |x| x; clear(\"c\")", "rule-syntax"),
        ("", "site[\"nearest_pit_latrine_m\"]; clear(\"c\")", "rule-index"),
        ("", "let s = site; s.nearest_pit_latrine_m; clear(\"c\")", "rule-property"),
        ("", "clear(unheard_of)", "rule-syntax"),
        ("", "cleer(\"c\")", "rule-call"),
    ] {
        let text = script(reads, "", body);
        let (_, problems) = load(&text);
        let codes: Vec<_> = problems.iter().map(|p| p.code).collect();
        assert!(codes.contains(&code), "{body}: {problems:?}");
        assert!(problems.iter().all(|p| p.at.line > 0 || p.code == "rule-judge"), "{body}: {problems:?}");
        let f = run(&text, metres(1.0, 1.0, 1.0));
        assert_eq!((f.outcome, f.blocks), (Outcome::Broken, true), "{body}");
    }
}

#[test]
fn a_script_that_gives_no_finding_is_broken() {
    let f = run(&script("", "", "let x = \"clear\"; x"), None);
    assert_eq!(f.outcome, Outcome::Broken);
    assert!(f.why.contains("string"), "{}", f.why);
}

#[test]
fn a_word_that_is_never_the_answer_is_refused_at_its_line() {
    let text = script(r#""flooding""#, "", "if site.flooding.says(\"nevr\") { }\nclear(\"c\")");
    let (_, problems) = load(&text);
    let found = problems.iter().find(|p| p.code == "unknown-word").unwrap();
    assert_eq!((found.at.line, found.at.column, found.help.as_str()), (7, 23, "Did you mean \"never\"?"));
    assert_eq!(run(&text, None).outcome, Outcome::Broken);
}

/// Each is told by reading the script, at its own line, with how to mend it.
#[test]
fn what_a_fact_cannot_answer_is_refused_without_running_the_rule() {
    let (number, word, limit) = (r#""nearest_pit_latrine_m""#, r#""flooding""#, r#""pit_stop_m""#);
    for (reads, limits, body, code, says) in [
        (
            number,
            "",
            "let d = site.nearest_pit_latrine_m; d.says(\"far\"); clear(\"c\")",
            "fact-form",
            "surely_below",
        ),
        (number, "", "site.nearest_pit_latrine_m.says(\"far\"); clear(\"c\")", "fact-form", "surely_below"),
        (
            word,
            limit,
            "let w = site.flooding; w.surely_below(limits.pit_stop_m); clear(\"c\")",
            "fact-form",
            "says",
        ),
        (
            number,
            "",
            "let d = site.nearest_pit_latrine_m; d.surely_below(d); clear(\"c\")",
            "not-a-limit",
            "limits.",
        ),
        (
            number,
            "",
            "let d = site.nearest_pit_latrine_m; d.surely_below(\"15\"); clear(\"c\")",
            "not-a-limit",
            "limits.",
        ),
        (
            number,
            limit,
            "let d = site.nearest_pit_latrine_m; let l = limits.pit_stop_m; l.surely_below(l); clear(\"c\")",
            "fact-form",
            "Ask the fact",
        ),
        (
            number,
            limit,
            "site.nearest_pit_latrine_m.surely_below(limits.pit_stop_m, limits.pit_stop_m); clear(\"c\")",
            "rule-arguments",
            "Write",
        ),
        (number, "", "site.nearest_pit_latrine_m; stop(\"c\")", "rule-arguments", "stop(why, act)"),
        (
            number,
            "",
            "let d = site.nearest_pit_latrine_m; d.surely_bellow(d); clear(\"c\")",
            "rule-call",
            "surely_below",
        ),
        (number, "", "let d = site.nearest_pit_latrine_m; cleer(\"c\")", "rule-call", "Did you mean clear?"),
        (
            number,
            "",
            "let latrine = site.nearest_pit_latrine_m; clear(`${latrin}`)",
            "rule-syntax",
            "latrine",
        ),
        (
            number,
            limit,
            "let d = site.nearest_pit_latrine_m; d.surely_below(limits.pit_stp_m); d.surely_above(limits.pit_stop_m); clear(\"c\")",
            "undeclared-read",
            "Did you mean pit_stop_m?",
        ),
    ] {
        let (_, problems) = load(&script(reads, limits, body));
        let found = problems.iter().find(|p| p.code == code);
        let found = found.unwrap_or_else(|| panic!("{body}: {problems:?}"));
        assert!(found.help.contains(says) && found.at.line == 7 && found.at.column > 0, "{body}: {found:?}");
    }
}

#[test]
fn what_is_compared_is_known_with_its_place() {
    let (set, _) = load(&latrine_rule());
    let spots = &set.rules[0].spots;
    let compared: Vec<_> =
        spots.compared.iter().map(|(f, l, at)| (f.as_str(), l.as_str(), at.line)).collect();
    assert_eq!(compared[0], ("nearest_pit_latrine_m", "pit_stop_m", 8));
    assert_eq!(
        spots.made.iter().map(|(made, at)| (*made, at.line)).collect::<Vec<_>>(),
        [("stop", 8), ("find_out", 9), ("clear", 10)]
    );
}

#[test]
fn a_trace_tells_every_step_with_its_line() {
    let (set, _) = load(&latrine_rule());
    let mut facts = FactTable::default();
    facts.state("nearest_pit_latrine_m", Value::Estimate(metres(14.0, 16.0, 18.0).unwrap()));
    let facts: Rc<dyn FactSource> = Rc::new(facts);
    let limits = Rc::new(BTreeMap::from([("pit_stop_m".to_owned(), limit("pit_stop_m", 15.0))]));
    let (finding, steps) = Judge::new(&set).trace("probe", Stage::Mobilisation, &facts, &limits).unwrap();
    assert_eq!((finding.outcome, finding.at.line), (Outcome::FindOut, 9));
    let asked: Vec<_> = steps
        .iter()
        .filter_map(|s| match &s.did {
            Did::Asked { question, answer } => Some((s.at.line, question.as_str(), answer.as_str())),
            _ => None,
        })
        .collect();
    assert_eq!(
        asked,
        [
            (8, "is nearest_pit_latrine_m surely below 15 m (pit_stop_m)?", "no"),
            (9, "is nearest_pit_latrine_m surely at least 15 m (pit_stop_m)?", "no"),
        ]
    );
    assert!(
        matches!(&steps[0].did, Did::Fact(name, _) if name == "nearest_pit_latrine_m" && steps[0].at.line == 7)
    );
}

#[test]
fn a_limit_that_the_region_does_not_set_breaks_the_rule() {
    let text = script(
        r#""nearest_pit_latrine_m""#,
        r#""pit_stp_m""#,
        "site.nearest_pit_latrine_m.surely_below(limits.pit_stp_m); clear(\"c\")",
    );
    let f = run(&text, metres(1.0, 1.0, 1.0));
    assert_eq!(f.outcome, Outcome::Broken);
    assert!(f.why.contains("did you mean pit_stop_m"), "{}", f.why);
}

#[test]
fn texts_that_grow_without_end_are_stopped() {
    let steps: String = (0..12).map(|i| format!("let y{i} = `${{x}}${{x}}${{x}}`; x = y{i};\n")).collect();
    let grow = format!("let x = \"0123456789012345678901234567890123456789\";\n{steps}clear(x)");
    let f = run(&script("", "", &grow), None);
    assert_eq!(f.outcome, Outcome::Broken, "{}", f.why);
}

#[test]
fn a_grade_outside_its_scale_breaks_the_rule() {
    assert_eq!(run(&script("", "", "clear(\"c\", 101)"), None).outcome, Outcome::Broken);
    assert_eq!(run(&script("", "", "clear(\"c\", 100)"), None).grade, Some(100.0));
}

#[test]
fn comparing_facts_by_an_operator_is_an_error_and_not_false() {
    let engine = super::engine::engine();
    let ast = engine.compile("fn f(a, b) { a < b } fn g(a, b) { b >= a }").unwrap();
    let (quantity, _) = super::script::sample();
    for other in [rhai::Dynamic::from(30.0), 30_i64.into(), "30".into(), rhai::Dynamic::UNIT, true.into()] {
        for f in ["f", "g"] {
            let given =
                engine.call_fn::<bool>(&mut rhai::Scope::new(), &ast, f, (quantity.clone(), other.clone()));
            assert!(given.is_err(), "{f} {other:?}");
        }
    }
}

#[test]
fn a_record_with_several_faults_reports_them_all() {
    let text = "const ABOUT = #{ id: \"other\", titel: \"x\", stages: [\"someday\"], weight: 0 };\nfn judge(site, limits) { clear(\"c\") }";
    let (_, problems) = load(text);
    let all: Vec<_> = problems.iter().map(|p| p.message.as_str()).collect();
    for wanted in [
        "ABOUT has no title",
        "unknown key titel in ABOUT",
        "stages: \"someday\" is not known",
        "weight is not a number above 0",
    ] {
        assert!(all.iter().any(|m| m.contains(wanted)), "{wanted}: {all:?}");
    }
}

/// A probe with a translation beside it.
fn told_in_french(french: &str) -> (RuleSet, Vec<String>) {
    let text = script(
        "\"nearest_pit_latrine_m\"",
        "",
        "let d = site.nearest_pit_latrine_m;\nclear(`It is ${d} away.`)",
    );
    let mut script = Script::new("rules/test/probe.rhai", text);
    let file = "rules/test/probe.fr.toml".into();
    script.translations.push(Told { language: "fr", file, text: Ok(french.into()) });
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let set = RuleSet::of([script], &mut sources, &mut problems);
    (set, problems.iter().map(|p| format!("{} {}", p.code, p.at)).collect())
}

#[test]
fn a_translation_has_the_sentences_and_holes_of_its_rule() {
    let right = "\"It is ${d} away.\" = \"À ${d}.\"\n\"A probe\" = \"Une sonde\"\n";
    let (set, wrong) = told_in_french(right);
    assert_eq!(wrong, Vec::<String>::new());
    let french = &set.rules[0].translations["fr"];
    assert!(french.has("It is ${d} away.") && french.has("A probe") && !french.has("It is a test."));

    let cases = [
        ("\"It was ${d} away.\" = \"À ${d}.\"\n", "translation-stale"),
        ("\"It is ${d} away.\" = \"À ${e}.\"\n", "translation-holes"),
        ("\"It is ${d} away.\" = \"Loin.\"\n", "translation-holes"),
        ("\"A probe\" = \" \"\n", "translation-holes"),
        ("\"A probe\" = 3\n", "translation"),
        ("\"A probe\" = \n", "translation"),
    ];
    for (text, code) in cases {
        let (set, wrong) = told_in_french(text);
        assert_eq!(wrong.len(), 1, "{text}: {wrong:?}");
        assert!(wrong[0].starts_with(&format!("{code} rules/test/probe.fr.toml:1")), "{text}: {wrong:?}");
        assert!(set.rules[0].about.is_ok(), "a wrong translation breaks no rule");
    }
}

#[test]
fn a_translation_is_part_of_the_content() {
    let (plain, _) = told_in_french("");
    let (told, _) = told_in_french("\"A probe\" = \"Une sonde\"\n");
    assert_ne!(plain.hash(), told.hash());
}
