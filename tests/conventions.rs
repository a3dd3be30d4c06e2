//! Habits that words forget: imports run one way, every rule has its record,
//! its cases and its limits, every figure has its source, and the generated
//! pages say what the code says.
//!
//! The pages are written anew by `FOREBORE_BLESS=1 cargo test --test conventions`.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::float_cmp)]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use forebore::diag::{Problem, Problems, Sources};
use forebore::facts::{FACTS, Form};
use forebore::region::{self, Region};
use forebore::rules::{Rule, RuleSet};
use forebore::{report, tune};

/// The floors of the house, from the top; a folder may use its own floor and
/// those below it.
const FLOORS: &[&[&str]] = &[
    &["cli"],
    &["report"],
    &["tune"],
    &["verdict"],
    &["rules"],
    &["facts"],
    &["ground", "well", "place"],
    &["region"],
    &["survey"],
    &["stats"],
    &["units", "diag"],
];

fn home() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every file under `folder` with that ending, in order, with its text.
fn files(folder: &str, ending: &str) -> Vec<(String, String)> {
    fn walk(folder: &Path, ending: &str, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display())) {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, ending, found);
            } else if path.to_string_lossy().ends_with(ending) {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    walk(&home().join(folder), ending, &mut found);
    found.sort();
    assert!(!found.is_empty(), "there is no {ending} under {folder}");
    let name = |p: &Path| p.strip_prefix(home()).unwrap().to_string_lossy().replace('\\', "/");
    found.iter().map(|p| (name(p), fs::read_to_string(p).unwrap())).collect()
}

fn show(problems: &Problems) -> String {
    let line = |p: &Problem| format!("{} {}: {} {}\n", p.at, p.code, p.message, p.help);
    problems.iter().map(line).collect()
}

fn rules() -> RuleSet {
    let mut problems = Problems::new();
    let set = RuleSet::built_in(&mut Sources::new(), &mut problems);
    assert!(problems.is_empty(), "the built-in rules are not clean:\n{}", show(&problems));
    set
}

fn defaults() -> Region {
    let mut problems = Problems::new();
    let region = region::load(region::UNSTATED, None, &mut Sources::new(), &mut problems);
    assert!(problems.is_empty(), "the built-in defaults are not clean:\n{}", show(&problems));
    region.unwrap()
}

fn none_of(wrong: Vec<String>, what: &str) {
    assert!(wrong.is_empty(), "{what}:\n  {}", wrong.join("\n  "));
}

// --- The house ------------------------------------------------------------------

fn floor(folder: &str) -> Option<usize> {
    FLOORS.iter().position(|names| names.contains(&folder))
}

/// The folders that a source text names behind `crate::`.
fn imported(text: &str) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let code = text.lines().filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    for (at, _) in code.match_indices("crate::") {
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '$') {
            continue;
        }
        let rest = &code[at + "crate::".len()..];
        let heads: Vec<&str> = match rest.strip_prefix('{') {
            Some(group) => group.split('}').next().unwrap().split(',').collect(),
            None => vec![rest],
        };
        for head in heads {
            let name: String =
                head.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            names.insert(name);
        }
    }
    names
}

#[test]
fn imports_run_one_way() {
    let mut wrong = Vec::new();
    for (file, text) in files("src", ".rs") {
        let folder = file.trim_start_matches("src/").split('/').next().unwrap();
        let Some(mine) = floor(folder) else { continue };
        for name in imported(&text) {
            if floor(&name).is_some_and(|theirs| theirs < mine) {
                wrong.push(format!("{file} uses crate::{name}, which stands above {folder}"));
            }
        }
    }
    none_of(wrong, "imports go down the list of floors only");
}

#[test]
fn every_folder_of_the_source_stands_on_a_floor() {
    let wrong = files("src", ".rs")
        .into_iter()
        .filter_map(|(file, _)| file.trim_start_matches("src/").split_once('/').map(|(f, _)| f.to_owned()))
        .filter(|folder| floor(folder).is_none())
        .collect::<BTreeSet<_>>();
    none_of(wrong.into_iter().collect(), "folders of src that FLOORS does not name");
}

/// Every string that stands where the code of a problem stands.
fn codes(text: &str) -> Vec<String> {
    let mut codes = Vec::new();
    let mut literal = |rest: &str| {
        if let Some(rest) = rest.trim_start().strip_prefix('"') {
            codes.push(rest.split('"').next().unwrap().to_owned());
        }
    };
    for mark in [".error(", "code: ", "fault("] {
        text.match_indices(mark).for_each(|(at, _)| literal(&text[at + mark.len()..]));
    }
    for (at, mark) in text.match_indices("Level::") {
        if let Some((_, rest)) = text[at + mark.len()..].split_once(|c: char| !c.is_alphanumeric()) {
            literal(rest);
        }
    }
    codes
}

#[test]
fn codes_of_problems_are_kebab_case() {
    let kebab = |code: &str| {
        !code.is_empty()
            && code.split('-').all(|part| {
                !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
            })
    };
    let all: Vec<(String, String)> = files("src", ".rs")
        .into_iter()
        .flat_map(|(file, text)| codes(&text).into_iter().map(move |code| (file.clone(), code)))
        .collect();
    assert!(all.len() > 20, "only {} codes were found: this test no longer sees them", all.len());
    let wrong = all.into_iter().filter(|(_, code)| !kebab(code)).map(|(f, c)| format!("{f}: {c:?}"));
    none_of(wrong.collect(), "codes are kebab-case words such as \"unknown-key\"");
}

// --- Rules ----------------------------------------------------------------------

#[test]
fn every_rule_has_a_record_without_fault() {
    let set = rules();
    assert!(set.rules.len() >= 35, "only {} rules are built in", set.rules.len());
    let broken =
        set.rules.iter().filter_map(|r| Some(format!("{}: {}", r.file, r.about.as_ref().err()?.message)));
    none_of(broken.collect(), "rules whose record or script is broken");
}

#[test]
fn names_of_rules_are_unique() {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    let mut wrong = Vec::new();
    for rule in rules().rules {
        if let Some(other) = seen.insert(rule.id.clone(), rule.file.to_string()) {
            wrong.push(format!("{} stands in {other} and in {}", rule.id, rule.file));
        }
    }
    none_of(wrong, "rules of one name");
}

#[test]
fn every_rule_has_its_cases_beside_it() {
    let missing = |r: &Rule| {
        let cases = Path::new(r.file.as_ref()).with_extension("cases.toml");
        (!home().join(&cases).is_file()).then(|| cases.display().to_string())
    };
    none_of(rules().rules.iter().filter_map(|r| missing(r)).collect(), "case files that are missing");
}

#[test]
fn every_rule_is_told_in_french_too() {
    let set = rules();
    let wrong = set.rules.iter().flat_map(|r| {
        let told = r.translations.get("fr");
        let missing = r.spots.sentences.iter().filter(move |(s, _)| told.is_none_or(|t| !t.has(s)));
        missing.map(|(s, at)| format!("{at}: {s}"))
    });
    none_of(wrong.collect(), "sentences without French in RULE.fr.toml");
}

#[test]
fn no_translation_stands_without_its_rule() {
    let alone = files("rules", ".fr.toml").into_iter().map(|(file, _)| file);
    let alone = alone.filter(|file| !home().join(file.replace(".fr.toml", ".rhai")).is_file());
    none_of(alone.collect(), "translations without a rule");
}

#[test]
fn no_cases_stand_without_their_rule() {
    let alone = files("rules", ".cases.toml")
        .into_iter()
        .map(|(file, _)| file)
        .filter(|file| !home().join(file.replace(".cases.toml", ".rhai")).is_file());
    none_of(alone.collect(), "case files without a rule");
}

#[test]
fn every_case_holds_and_leaves_nothing_untried() {
    let (set, region) = (rules(), defaults());
    let mut problems = Problems::new();
    let text_of = |path: &str| fs::read_to_string(home().join(path)).ok().map(Ok);
    let report = tune::check(&set, |_| true, &region.limits, text_of, &mut Sources::new(), &mut problems);
    assert!(problems.is_empty(), "cases that fail or that are missing:\n{}", show(&problems));
    assert_eq!(report.held, report.run);
    assert!(report.run >= 4 * set.rules.len(), "only {} cases for {} rules", report.run, set.rules.len());
}

/// Otherwise a site would be better off with a hazard than with its absence
/// unproved: the one is a condition, the other would block.
#[test]
fn a_rule_on_hazards_that_cannot_stop_the_site_never_blocks_it() {
    let set = rules();
    let wrong = set.rules.iter().filter_map(|rule| {
        let about = rule.about.as_ref().ok()?;
        let hazards = about.reads.iter().any(|f| f.starts_with("nearest_"));
        let blocks = hazards && !rule.can_give.contains(&"stop") && about.blocks_from.is_some();
        blocks.then(|| rule.id.clone())
    });
    none_of(wrong.collect(), "rules on hazards without a stop, whose blocks_from is not \"never\"");
}

#[test]
fn every_limit_a_rule_reads_is_set_by_the_defaults() {
    let region = defaults();
    let mut wrong = Vec::new();
    for rule in rules().rules {
        let limits = rule.about.as_ref().unwrap().limits.clone();
        wrong.extend(
            limits
                .into_iter()
                .filter(|l| !region.limits.contains_key(l))
                .map(|l| format!("{}: {l}", rule.id)),
        );
    }
    none_of(wrong, "limits that no built-in default sets");
}

#[test]
fn every_default_limit_is_read_by_a_rule() {
    let read: BTreeSet<String> =
        rules().rules.iter().flat_map(|r| r.about.as_ref().unwrap().limits.clone()).collect();
    let idle = defaults().limits.into_keys().filter(|l| !read.contains(l));
    none_of(idle.collect(), "default limits that no rule reads");
}

#[test]
fn a_setting_switches_off_and_weighs_only_rules_that_exist() {
    let known: BTreeSet<String> = rules().rules.iter().map(|r| r.id.clone()).collect();
    let mut wrong = Vec::new();
    for (id, _) in region::settings() {
        let region = region::load(&id, None, &mut Sources::new(), &mut Problems::new()).unwrap();
        let named = region.switched_off.keys().chain(region.weights.keys());
        wrong.extend(named.filter(|r| !known.contains(*r)).map(|r| format!("{id}: {r}")));
    }
    none_of(wrong, "rules that a setting names and nobody has");
}

// --- Sources --------------------------------------------------------------------

#[test]
fn every_setting_reads_without_a_problem() {
    let settings = region::settings();
    assert!(settings.len() >= 7, "only {} settings are built in", settings.len());
    for (id, _) in settings {
        let mut problems = Problems::new();
        let region = region::load(&id, None, &mut Sources::new(), &mut problems);
        assert!(
            region.is_some() && problems.is_empty(),
            "the setting {id} is not clean:\n{}",
            show(&problems)
        );
    }
}

/// Dotted names of figures and tables that give no source or no basis.
fn without_source(path: &str, value: &toml::Value, wrong: &mut Vec<String>) {
    let Some(table) = value.as_table() else { return };
    let words = |key: &str| table.get(key).and_then(|v| v.as_str()).is_some_and(|s| !s.trim().is_empty());
    let figure = table.contains_key("value") || table.contains_key("wet_months");
    if figure && !(words("source") && words("basis")) || table.contains_key("suits") && !words("source") {
        wrong.push(path.to_owned());
    }
    for (key, inner) in table {
        without_source(&format!("{path}.{key}"), inner, wrong);
    }
}

#[test]
fn every_figure_of_a_region_names_its_source_and_basis() {
    let mut wrong = Vec::new();
    for (file, text) in files("regions", ".toml") {
        without_source(&file, &toml::from_str(&text).unwrap(), &mut wrong);
    }
    none_of(wrong, "figures without source or basis");
}

#[test]
fn every_rule_says_what_its_source_is_worth() {
    // A rule is founded no better than the weakest limit it rests on.
    let region = defaults();
    let rank = |basis: region::Basis| basis as u8;
    let mut wrong = Vec::new();
    for rule in rules().rules {
        let about = rule.about.as_ref().unwrap();
        for figure in about.limits.iter().filter_map(|l| region.limits.get(l)) {
            if rank(figure.basis) > rank(about.basis) {
                let (mine, theirs) = (about.basis.name(), figure.basis.name());
                wrong.push(format!("{} says {mine}, its limit {} is {theirs}", rule.id, figure.name));
            }
        }
    }
    none_of(wrong, "rules that claim a better basis than their limits have");
}

// --- Generated pages ------------------------------------------------------------

const WRITTEN: &str = "<!-- Written by the program: FOREBORE_BLESS=1 cargo test --test conventions -->\n";

/// Compares a page with what it ought to say, or writes it where asked.
fn current(page: &str, wanted: &str) {
    let path = home().join(page);
    if std::env::var_os("FOREBORE_BLESS").is_some() {
        fs::write(&path, wanted).unwrap();
    }
    let found = fs::read_to_string(&path).unwrap_or_default().replace("\r\n", "\n");
    assert!(
        found == wanted,
        "{page} does not say what the code says; run FOREBORE_BLESS=1 cargo test --test conventions"
    );
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

#[test]
fn the_page_of_facts_is_current() {
    let mut page = format!(
        "{WRITTEN}# Facts\n\nWhat a rule may read as `site.NAME`. A number is an *Estimate*: a value with the ends of \
         its 95 % band. A word is one of those listed. A fact that nobody observed ends the rule that reads it, which \
         then finds *find out*.\n\n| fact | unit, or words | meaning |\n|---|---|---|\n"
    );
    for fact in FACTS {
        let form = match fact.form {
            Form::Number(unit) if unit.name() == "1" => "ratio".to_owned(),
            Form::Number(unit) => unit.name().to_owned(),
            Form::Word(words) => words.join(", "),
        };
        writeln!(page, "| `{}` | {} | {} |", fact.name, cell(&form), cell(fact.about)).unwrap();
    }
    current("docs/facts.md", &page);
}

#[test]
fn the_manual_of_the_rules_is_current() {
    let pages = report::manual::pages(&rules(), &defaults().limits, "the built-in defaults");
    for (name, page) in &pages {
        current(&format!("docs/rules/{name}"), &format!("{WRITTEN}{page}"));
    }
    // A topic that is gone leaves no page behind.
    let known: BTreeSet<_> = pages.iter().map(|(name, _)| format!("docs/rules/{name}")).collect();
    let left = files("docs/rules", ".md").into_iter().map(|(file, _)| file).filter(|f| !known.contains(f));
    none_of(left.collect(), "pages of the manual without a topic");
}

#[test]
fn the_schema_of_the_report_is_current() {
    current("docs/report.schema.json", &report::json::schema());
}

/// The commands that the gallery's page gives.
#[test]
fn the_gallery_is_current() {
    let readme = fs::read_to_string(home().join("docs/gallery/README.md")).unwrap();
    let mut shown = BTreeSet::new();
    for command in readme.lines().filter_map(|l| l.strip_prefix("    forebore ")) {
        let (command, page) = command.split_once(" --out ").expect("a page of the gallery goes to a file");
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_forebore"))
            .current_dir(home())
            .args(command.split(' '))
            .output()
            .unwrap();
        assert!(output.status.success(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
        current(page, &String::from_utf8(output.stdout).unwrap());
        shown.insert(page.to_owned());
    }
    for example in fs::read_dir(home().join("docs/examples")).unwrap() {
        let page = format!("docs/gallery/{}.html", example.unwrap().file_name().to_string_lossy());
        assert!(shown.contains(&page), "no command in the gallery makes {page}");
    }
    let left =
        files("docs/gallery", ".html").into_iter().map(|(file, _)| file).filter(|f| !shown.contains(f));
    none_of(left.collect(), "pages of the gallery that no command makes");
}
