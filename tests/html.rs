//! The HTML reports on the examples, in every language.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

mod common;

use std::collections::BTreeSet;

use assert_cmd::Command;
use common::page::{faults_of_page, faults_of_pictures, parsed};

const EXAMPLES: [&str; 4] = ["lower-yard", "plateau-market", "ridge-school", "river-field"];
const LANGUAGES: [&str; 2] = ["en", "fr"];

fn page(survey: &str, language: &str) -> String {
    page_with(survey, language, &[])
}

fn page_with(survey: &str, language: &str, more: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_forebore"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["assess", survey, "--format", "html", "--lang", language])
        .args(more)
        .output()
        .unwrap();
    assert!(!output.stdout.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn example(name: &str, language: &str) -> String {
    page(&format!("docs/examples/{name}/survey.toml"), language)
}

/// Every page of every example, with its name.
fn every_page() -> impl Iterator<Item = (String, String)> {
    EXAMPLES.into_iter().flat_map(|e| LANGUAGES.map(|l| (format!("{e} in {l}"), example(e, l))))
}

#[test]
fn every_example_is_a_page_that_needs_nothing_else() {
    for (name, page) in every_page() {
        assert!(page.len() < 500_000, "{name} has {} bytes", page.len());
        assert!(page.starts_with("<!DOCTYPE html>\n<html lang="), "{name}");
        let read = parsed(&page);
        let wrong: Vec<String> = faults_of_page(&read).into_iter().chain(faults_of_pictures(&read)).collect();
        assert!(wrong.is_empty(), "{name}:\n  {}", wrong.join("\n  "));
    }
}

#[test]
fn every_example_shows_its_pictures() {
    for (name, page) in every_page() {
        let read = parsed(&page);
        let shown: BTreeSet<&str> = read
            .descendants()
            .filter(|n| n.has_tag_name("svg") && n.attribute("role") == Some("img"))
            .filter_map(|n| n.attribute("aria-labelledby")?.split('-').next())
            .collect();
        let wanted = BTreeSet::from(["plan", "free", "section", "past", "shares", "costs", "next"]);
        assert_eq!(shown, wanted, "{name}");
    }
}

#[test]
fn every_sentence_has_its_words_in_the_catalogue() {
    // A sentence that the catalogue lacks shows its key.
    let keys: Vec<String> = include_str!("../src/report/messages/en.toml")
        .lines()
        .filter_map(|l| Some(l.strip_prefix('[')?.strip_suffix(']')?.to_owned()))
        .collect();
    for (name, page) in every_page() {
        let read = parsed(&page);
        for text in read.descendants().filter(|n| n.is_text()).filter_map(|n| n.text()) {
            let key = |t: &str| {
                t.split_once('.').is_some_and(|(table, rest)| {
                    let plain = |c: char| c.is_ascii_lowercase() || c == '_' || c == '-';
                    keys.iter().any(|k| k == table) && !rest.is_empty() && rest.chars().all(plain)
                })
            };
            assert!(!key(text.trim()), "{name} shows {text:?}");
        }
    }
}

#[test]
fn the_answer_stands_before_all_else() {
    let page = example("lower-yard", "en");
    let at = |what: &str| page.find(what).unwrap_or_else(|| panic!("no {what}"));
    assert!(at("NO-GO</h2>") < at("People can be hurt"));
    assert!(at("People can be hurt") < at("<h2>Because"));
    assert!(at("<h2>Because") < at("Plan around the peg"));
}

#[test]
fn a_reason_opens_to_observation_limit_and_source() {
    let page = example("lower-yard", "en");
    let read = parsed(&page);
    let reason = read.descendants().find(|n| n.attribute("id") == Some("rule-pit-latrine")).unwrap();
    let told: String =
        reason.descendants().filter_map(|n| if n.is_text() { n.text() } else { None }).collect();
    for wanted in [
        "docs/examples/lower-yard/survey.toml:",
        "regions/defaults/sanitary.toml:",
        "built in",
        "Ethiopian health-extension teaching text",
        "fn judge(site, limits)",
    ] {
        assert!(told.contains(wanted), "{wanted} is not in the reason");
    }
}

#[test]
fn a_french_reader_reads_numbers_and_days_her_way() {
    let page = example("lower-yard", "fr");
    assert!(page.contains("<html lang=\"fr\">"));
    assert!(page.contains("14 mai 2026") && page.contains("11,8\u{a0}m"), "no French day or number");
    assert!(page.contains("NE PAS FORER"));
}

/// What a French page says in English, but for sources and scripts, which are
/// quoted as they are.
fn english_in(page: &str) -> Vec<String> {
    let read = parsed(page);
    let quoted = |n: &roxmltree::Node| ["cite", "pre"].contains(&n.tag_name().name());
    read.descendants()
        .filter(|n| n.attribute("lang") == Some("en") && !quoted(n))
        .map(|n| n.descendants().filter_map(|d| d.text().filter(|_| d.is_text())).collect())
        .collect()
}

#[test]
fn a_french_page_has_no_english_sentence() {
    let mut pages = Vec::new();
    for example in std::fs::read_dir("docs/examples").unwrap() {
        pages.push((example.unwrap().path().join("survey.toml"), "mobilisation"));
    }
    assert!(pages.len() >= 5, "{pages:?}");
    // One of which little is known, and one that was drilled and tested.
    for stage in forebore::survey::Stage::ALL {
        pages.push(("docs/examples/plateau-market/survey.toml".into(), stage.name()));
    }
    for stage in ["drilling", "completion", "hand-over"] {
        pages.push(("docs/examples/mill-crossing/survey.toml".into(), stage));
    }
    for (survey, stage) in pages {
        let page = page_with(survey.to_str().unwrap(), "fr", &["--stage", stage]);
        let english = english_in(&page);
        assert!(english.is_empty(), "{} at {stage}:\n  {}", survey.display(), english.join("\n  "));
    }
}

const GOAT: &str = r#"const ABOUT = #{
    id: "goat", title: "A goat near by", why: "Goats drink, and do not ask.",
    stages: ["site visit", "mobilisation"], reads: ["flooding"], limits: [], blocks_from: "never", ask: "look",
    weight: 1, source: "invented for a test", basis: "common practice", since: "0.1.0",
};

fn judge(site, limits) {
    if site.flooding.says("never") { return clear("The goat stays dry."); }
    caution(`The goat swims, ${site.flooding}.`, "Give the goat a boat.")
}
"#;

#[test]
fn a_rule_of_a_trainer_keeps_its_words_and_says_so_until_it_is_translated() {
    let folder = tempfile::tempdir().unwrap();
    let rules = folder.path().to_str().unwrap();
    std::fs::write(folder.path().join("goat.rhai"), GOAT).unwrap();
    let survey = "docs/examples/lower-yard/survey.toml";
    let own = page_with(survey, "fr", &["--rules", rules]);
    let english = english_in(&own).join("\n");
    for sentence in ["A goat near by", "Goats drink", "The goat swims, some years.", "Give the goat a boat."]
    {
        assert!(english.contains(sentence), "{sentence} is not marked as English: {english}");
    }
    assert!(own.contains("dans les mots de la règle, qui n&#39;est pas traduite"), "it does not say so");

    let french = "\"A goat near by\" = \"Une chèvre à côté\"\n\
        \"Goats drink, and do not ask.\" = \"Les chèvres boivent sans demander.\"\n\
        \"The goat stays dry.\" = \"La chèvre reste au sec.\"\n\
        \"The goat swims, ${site.flooding}.\" = \"La chèvre nage, ${site.flooding}.\"\n\
        \"Give the goat a boat.\" = \"Donnez-lui une barque.\"\n";
    std::fs::write(folder.path().join("goat.fr.toml"), french).unwrap();
    let told = page_with(survey, "fr", &["--rules", rules]);
    assert_eq!(english_in(&told), Vec::<String>::new());
    assert!(told.contains("La chèvre nage, certaines années.") && told.contains("Donnez-lui une barque."));
    assert!(page_with(survey, "en", &["--rules", rules]).contains("The goat swims, some years."));
}

#[test]
fn the_answer_is_about_what_the_stage_decides() {
    let page = page_with("docs/examples/mill-crossing/survey.toml", "en", &["--stage", "hand-over"]);
    assert!(page.contains("The well passes at the stage of hand-over") && !page.contains("Do not drill"));
    let page = page_with("docs/examples/plateau-market/survey.toml", "fr", &["--stage", "hand-over"]);
    assert!(!page.contains("FORER</h2>"), "nobody is told to drill a well that stands");
}

#[test]
fn what_a_survey_says_is_never_markup() {
    let folder = tempfile::tempdir().unwrap();
    let survey = folder.path().join("survey.toml");
    let hostile = "</title><script>alert(1)</script>\\\"'>& \u{202e}x";
    let text = format!(
        "[peg]\nname = \"{hostile}\"\nat = {{ lat = 1.0, lon = 2.0, accuracy_m = 4 }}\n\
         [[hazard]]\nkind = \"pit latrine\"\nname = \"{hostile}\"\nfrom_peg = {{ bearing_deg = 15, distance_m = 24.5, accuracy_m = 0.5 }}\n\
         [[well]]\nname = \"{hostile}\"\nfrom_peg = {{ bearing_deg = 90, distance_m = 30, accuracy_m = 0.5 }}\nwater_level_m = 4\n"
    );
    std::fs::write(&survey, text).unwrap();
    for language in LANGUAGES {
        let page = page(survey.to_str().unwrap(), language);
        let read = parsed(&page);
        let wrong: Vec<String> = faults_of_page(&read).into_iter().chain(faults_of_pictures(&read)).collect();
        assert!(wrong.is_empty(), "{}", wrong.join("\n  "));
        assert!(!page.contains('\u{202e}'));
    }
}
