//! The field sheets of the examples, in every language.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

mod common;

use std::sync::LazyLock;

use assert_cmd::Command;
use common::page::{faults_of_page, parsed};
use roxmltree::Document;

const LANGUAGES: [&str; 2] = ["en", "fr"];
/// Surveys with the stages they are looked at.
const SURVEYS: [(&str, &str); 7] = [
    ("lower-yard", "mobilisation"),
    ("plateau-market", "mobilisation"),
    ("ridge-school", "mobilisation"),
    ("river-field", "mobilisation"),
    ("mill-crossing", "drilling"),
    ("mill-crossing", "completion"),
    ("mill-crossing", "hand-over"),
];

fn run(survey: &str, arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_forebore"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["assess", survey])
        .args(arguments)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn example(name: &str) -> String {
    format!("docs/examples/{name}/survey.toml")
}

/// Name and stage of a survey, language, sheet.
type Made = (&'static str, &'static str, &'static str, String);

/// Every sheet, made once.
fn all() -> &'static [Made] {
    static ALL: LazyLock<Vec<Made>> = LazyLock::new(|| {
        let made = |(name, stage)| {
            LANGUAGES.map(|l| {
                let arguments = ["--format", "sheet", "--stage", stage, "--lang", l];
                (name, stage, l, run(&example(name), &arguments))
            })
        };
        SURVEYS.into_iter().flat_map(made).collect()
    });
    &ALL
}

fn sheet(name: &str, stage: &str, language: &str) -> String {
    let made = all().iter().find(|m| (m.0, m.1, m.2) == (name, stage, language));
    made.expect("a sheet that is made").3.clone()
}

fn every_sheet() -> impl Iterator<Item = (String, String)> {
    all().iter().map(|(name, stage, l, page)| (format!("{name} at {stage} in {l}"), page.clone()))
}

fn words(page: &Document<'_>) -> String {
    let texts = page.descendants().filter(|n| n.is_text() && !n.parent().unwrap().has_tag_name("style"));
    texts.filter_map(|n| n.text()).collect::<Vec<_>>().join(" ")
}

/// How many things a list shows, and how many it says it leaves out.
fn shown_and_left(page: &Document<'_>, class: &str) -> (usize, usize) {
    let items = page.descendants().filter(|n| {
        n.has_tag_name("li") && n.parent_element().and_then(|p| p.attribute("class")) == Some(class)
    });
    let (left, shown): (Vec<_>, Vec<_>) = items.partition(|n| n.attribute("class") == Some("left"));
    let number = |text: &str| text.split(' ').next().unwrap().parse::<usize>().unwrap();
    (shown.len(), left.iter().map(|n| number(n.text().unwrap())).sum())
}

#[test]
fn every_sheet_needs_nothing_else() {
    for (name, page) in every_sheet() {
        assert!(page.len() < 60_000, "{name} has {} bytes", page.len());
        let wrong = faults_of_page(&parsed(&page));
        assert!(wrong.is_empty(), "{name}:\n  {}", wrong.join("\n  "));
    }
}

#[test]
fn every_sheet_is_black_on_white() {
    let page = sheet("ridge-school", "mobilisation", "en");
    let style = page.split("<style>").nth(1).unwrap().split("</style>").next().unwrap();
    let colours: Vec<&str> = style.match_indices('#').map(|(at, _)| &style[at..at + 4]).collect();
    assert_eq!(colours, ["#fff", "#000"]);
    for grey in ["rgb", "hsl", "gray", "grey", "opacity", "gradient", "color-mix", "background-"] {
        assert!(!style.contains(grey), "{grey}");
    }
}

#[test]
fn every_sentence_has_its_words_in_the_catalogue() {
    // A sentence that the catalogue lacks shows its key.
    for (name, page) in every_sheet() {
        for table in
            ["sheet", "depth", "stop", "blank", "page", "ask", "head", "col", "unit", "well", "worth"]
        {
            let read = parsed(&page);
            let keys = words(&read);
            let key = keys.split_whitespace().find(|w| {
                w.strip_prefix(table).and_then(|r| r.strip_prefix('.')).is_some_and(|r| !r.is_empty())
            });
            assert!(key.is_none(), "{name} shows {key:?}");
        }
    }
}

#[test]
fn dangers_are_told_before_all_else_and_none_is_left_out() {
    for (name, stage) in SURVEYS {
        let report: serde_json::Value =
            serde_json::from_str(&run(&example(name), &["--format", "json", "--stage", stage])).unwrap();
        for language in LANGUAGES {
            let page = sheet(name, stage, language);
            let read = parsed(&page);
            let danger = read.descendants().find(|n| n.attribute("class") == Some("danger")).unwrap();
            let told = danger.descendants().filter(|n| n.has_tag_name("li")).count();
            assert_eq!(told, report["cautions"].as_array().unwrap().len(), "{name} in {language}");
            assert!(page.find("class=\"danger\"").unwrap() < page.find("class=\"columns\"").unwrap());
        }
    }
}

#[test]
fn a_go_tells_depths_quantities_when_to_stop_and_has_a_log() {
    for name in ["ridge-school", "river-field"] {
        let page = sheet(name, "mobilisation", "en");
        let told = words(&parsed(&page));
        for wanted in [
            "screen from",
            "grout, ground down to",
            "plain pipe",
            "When to stop",
            "give up there",
            "fluid lost",
        ] {
            assert!(told.contains(wanted), "{name}: {wanted}");
        }
        assert!(page.matches("class=\"row\"").count() > 20, "{name} has no log");
    }
}

#[test]
fn a_no_go_has_no_plan_to_drill_but_what_to_do_instead() {
    for language in LANGUAGES {
        let page = sheet("lower-yard", "mobilisation", language);
        for plan in ["class=\"depths\"", "class=\"bill\"", "c-material"] {
            assert!(!page.contains(plan), "{plan} in {language}");
        }
    }
    let told = words(&parsed(&sheet("lower-yard", "mobilisation", "en")));
    for plan in
        ["When to stop", "give up", "screen", "What to bring", "plain pipe", "Chance of a well", "Log"]
    {
        assert!(!told.contains(plan), "{plan}");
    }
    for wanted in
        ["Do not drill at this peg", "A pit latrine lies too near", "What to do instead", "Try another spot"]
    {
        assert!(told.contains(wanted), "{wanted}");
    }
}

#[test]
fn a_find_out_first_tells_no_quantities_and_says_it_is_no_plan() {
    let page = sheet("plateau-market", "mobilisation", "en");
    let told = words(&parsed(&page));
    assert!(!page.contains("class=\"bill\"") && !told.contains("screen from"));
    assert!(told.contains("Not a plan: order nothing by it."));
}

#[test]
fn what_is_left_out_is_counted() {
    let report: serde_json::Value =
        serde_json::from_str(&run(&example("plateau-market"), &["--format", "json"])).unwrap();
    let asks = report["asks"].as_array().unwrap().len();
    for language in LANGUAGES {
        let page = sheet("plateau-market", "mobilisation", language);
        let (shown, left) = shown_and_left(&parsed(&page), "tick");
        assert!(shown > 5 && left > 0, "{shown} shown, {left} left out: the example no longer overflows");
        assert_eq!(shown + left, asks, "{language}");
    }
}

#[test]
fn the_content_of_what_it_was_made_from_stands_at_the_foot() {
    let report: serde_json::Value =
        serde_json::from_str(&run(&example("river-field"), &["--format", "json"])).unwrap();
    let page = sheet("river-field", "mobilisation", "en");
    let foot = page.split("<footer>").nth(1).unwrap();
    for of in ["survey", "region", "rules"] {
        assert!(foot.contains(report["provenance"][of].as_str().unwrap()), "{of}");
    }
    assert!(foot.contains("Local codes and the judgement of licensed practitioners decide"));
}

/// A survey far longer than a page, with everything too long in it.
fn endless(folder: &std::path::Path) -> std::path::PathBuf {
    use std::fmt::Write as _;
    let long = "very long name of a place ".repeat(60);
    let mut text = format!("[peg]\nname = \"{long}\"\nat = {{ lat = 1.0, lon = 2.0, accuracy_m = 4 }}\n");
    for n in 0..60 {
        writeln!(
            text,
            "[[hazard]]\nkind = \"pit latrine\"\nname = \"{long} {n}\"\nfrom_peg = {{ bearing_deg = {n}, distance_m = {} }}\n\
             [[well]]\nname = \"{long} {n}\"\nfrom_peg = {{ bearing_deg = {n}, distance_m = {} }}",
            30 + n,
            60 + n
        )
        .unwrap();
    }
    let survey = folder.join("survey.toml");
    std::fs::write(&survey, text).unwrap();
    survey
}

/// Pages of a PDF as a browser prints it.
fn pages(pdf: &[u8]) -> usize {
    let text: String = pdf.iter().map(|b| char::from(*b)).collect();
    ["/Type /Page", "/Type/Page"]
        .iter()
        .map(|tag| text.match_indices(tag).filter(|(at, _)| !text[at + tag.len()..].starts_with('s')).count())
        .sum()
}

#[test]
fn every_sheet_prints_on_one_page_of_a4() {
    let browser = std::env::var("CHROMIUM").unwrap_or_else(|_| "chromium".to_owned());
    if std::process::Command::new(&browser).arg("--version").output().is_err() {
        eprintln!("!!! no {browser}: that sheets print on one page was NOT tried");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let endless = endless(folder.path());
    let mut sheets: Vec<(String, String)> = every_sheet().collect();
    sheets.extend(LANGUAGES.map(|l| {
        let page = run(endless.to_str().unwrap(), &["--format", "sheet", "--lang", l]);
        (format!("an endless survey in {l}"), page)
    }));
    for (name, page) in sheets {
        let file = folder.path().join("sheet.html");
        let pdf = folder.path().join("sheet.pdf");
        std::fs::write(&file, &page).unwrap();
        let printed = std::process::Command::new(&browser)
            .args(["--headless=new", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"])
            .arg(format!("--user-data-dir={}", folder.path().join("browser").display()))
            .arg(format!("--print-to-pdf={}", pdf.display()))
            .arg(&file)
            .output()
            .unwrap();
        assert!(printed.status.success(), "{name}: {}", String::from_utf8_lossy(&printed.stderr));
        assert_eq!(pages(&std::fs::read(&pdf).unwrap()), 1, "{name}");
        std::fs::remove_file(&pdf).unwrap();
    }
}
