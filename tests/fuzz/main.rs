//! Readers and the host of scripts on inputs that nobody meant: whatever
//! comes in, there is an answer or an error, soon, and never a panic.
//!
//! A short run with a fixed seed is part of every test run. For a longer one:
//!
//!     FOREBORE_FUZZ_SECONDS=600 FOREBORE_FUZZ_SEED=7 cargo test --release --test fuzz
//!
//! runs each target so long. An input that fails is kept under `target/fuzz/`;
//! once mended it belongs into `tests/corpus/<kind>/`, where it is run first.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

mod mutate;

use std::cell::Cell;
use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use forebore::diag::{Problems, Sources, render};
use forebore::facts::{FACTS, FactSource, FactTable, Form, SiteFacts, Value};
use forebore::region::{self, Region};
use forebore::report;
use forebore::rules::{Judge, RuleSet, Script};
use forebore::survey::{Stage, read_survey};
use forebore::tune;
use forebore::units::Estimate;
use forebore::verdict::assess;
use mutate::{Random, mutate};
use tempfile::TempDir;

/// Runs of a target in every test run.
const SHORT: usize = 60;

/// No input may take longer, even in a build without optimisation on a busy
/// machine.
const SOON: Duration = Duration::from_secs(20);

fn home(part: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(part)
}

/// Every file under a folder with one of these endings.
fn texts(folder: &str, endings: &[&str]) -> Vec<Vec<u8>> {
    fn walk(folder: &Path, endings: &[&str], found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                walk(&path, endings, found);
            } else if endings.iter().any(|e| path.to_string_lossy().ends_with(e)) {
                found.push(path);
            }
        }
    }
    let mut found = Vec::new();
    walk(&home(folder), endings, &mut found);
    found.sort();
    found.into_iter().map(|p| fs::read(p).unwrap()).collect()
}

/// Runs `target` on the corpus of its kind as it stands, and then on changed
/// inputs.
fn fuzz(kind: &str, mut seeds: Vec<Vec<u8>>, mut target: impl FnMut(&[u8])) {
    let corpus = texts(&format!("tests/corpus/{kind}"), &[""]);
    assert!(!corpus.is_empty() && !seeds.is_empty(), "no corpus of {kind}");
    let number = |name: &str| std::env::var(name).ok().and_then(|s| s.parse::<u64>().ok());
    let long = number("FOREBORE_FUZZ_SECONDS").map(Duration::from_secs);
    let kept = home("target/fuzz");
    let mut run = |input: &[u8]| {
        if long.is_some() {
            // An overflow of the stack ends the process: its input is here.
            fs::create_dir_all(&kept).unwrap();
            fs::write(kept.join(format!("last-{kind}")), input).unwrap();
        }
        let began = Instant::now();
        let ended = catch_unwind(AssertUnwindSafe(|| target(input)));
        let slow = began.elapsed() > SOON;
        if ended.is_err() || slow {
            fs::create_dir_all(&kept).unwrap();
            let path = kept.join(format!(
                "{kind}-{}",
                input.iter().fold(7_u64, |h, b| h.wrapping_mul(31) + u64::from(*b))
            ));
            fs::write(&path, input).unwrap();
            panic!(
                "{kind} {}: the input is kept at {}",
                if slow { "is slow" } else { "fails" },
                path.display()
            );
        }
    };
    corpus.iter().chain(&seeds).for_each(|input| run(input));
    seeds.extend(corpus);
    let mut random = Random(number("FOREBORE_FUZZ_SEED").unwrap_or(1));
    let began = Instant::now();
    let mut runs = 0;
    while long.map_or(runs < SHORT, |long| began.elapsed() < long) {
        let seed = seeds[random.below(seeds.len())].clone();
        let input = mutate(&seed, &seeds, &mut random);
        run(&input);
        runs += 1;
    }
    println!("{kind}: {runs} changed inputs");
}

fn defaults() -> Region {
    let mut region = region::load(region::UNSTATED, None, &mut Sources::new(), &mut Problems::new()).unwrap();
    // Enough to exercise them on every input.
    region.priors.get_mut("virtual_bores").unwrap().value = 50.0;
    region
}

fn rules() -> RuleSet {
    RuleSet::built_in(&mut Sources::new(), &mut Problems::new())
}

/// Reads a survey and, where it can be used, assesses it and writes every
/// report.
struct Bench {
    folder: TempDir,
    rules: RuleSet,
    judge: Judge,
    region: Arc<Region>,
    /// Surveys assessed so far; not every one is reported on.
    runs: Cell<usize>,
}

impl Bench {
    fn new() -> Self {
        let rules = rules();
        let folder = TempDir::new().unwrap();
        for name in ["neighbours.csv", "compound.geojson"] {
            fs::copy(home("docs/examples/lower-yard").join(name), folder.path().join(name)).unwrap();
        }
        Self { judge: Judge::new(&rules), rules, region: Arc::new(defaults()), folder, runs: Cell::new(0) }
    }

    fn write(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        path
    }

    fn survey(&self, path: &Path) {
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        let survey = read_survey(path, &mut sources, &mut problems);
        render(&problems, &sources, true);
        let Some(survey) = survey else {
            assert!(problems.any_error(), "nothing to use and no error");
            return;
        };
        let facts = SiteFacts::of_survey(&survey, self.region.clone());
        for (def, fact) in facts.all() {
            if let Value::Estimate(e) = &fact.value {
                let ends = [e.low(), e.value(), e.high()];
                assert!(ends.into_iter().flatten().all(f64::is_finite), "{}: {e:?}", def.name);
            }
        }
        let site = Rc::new(facts);
        let facts: Rc<dyn FactSource> = site.clone();
        let assessment = assess(&self.judge, &facts, &self.region, Stage::Mobilisation);
        for f in &assessment.findings {
            assert!(f.outcome.word() != "broken", "{}: {}", f.rule.id, f.why);
        }
        if !self.runs.replace(self.runs.get() + 1).is_multiple_of(4) {
            return;
        }
        let report = report::build(&report::Inputs {
            survey: &survey,
            survey_sources: &sources,
            region: &self.region,
            rules: &self.rules,
            facts: &facts,
            site: Some(&site),
            free_ground: None,
            assessment: &assessment,
        });
        report::text::render(&report, false);
        report::markdown::render(&report);
        let json: serde_json::Value = serde_json::from_str(&report::json::render(&report)).unwrap();
        assert!(json["verdict"].is_string());
    }
}

#[test]
fn surveys() {
    let bench = Bench::new();
    fuzz("survey", texts("docs/examples", &["survey.toml"]), |input| {
        bench.survey(&bench.write("survey.toml", input));
    });
}

#[test]
fn tables_of_wells_and_hazards() {
    let bench = Bench::new();
    let survey = "[peg]\nname = \"x\"\nat = { lat = -3.28, lon = 12.416, accuracy_m = 3 }\n[visit]\ndate = 2026-05-02\n\
                  [files]\nwells = [\"any.csv\"]\nhazards = [\"any.txt\"]\n";
    let survey = bench.write("survey.toml", survey.as_bytes());
    fuzz("csv", texts("docs/examples", &[".csv"]), |input| {
        bench.write("any.csv", input);
        bench.write("any.txt", input);
        bench.survey(&survey);
    });
}

#[test]
fn shapes() {
    let bench = Bench::new();
    let survey = "[peg]\nname = \"x\"\nat = { lat = -3.28, lon = 12.416, accuracy_m = 3 }\n[files]\n\
                  wells = [\"any.json\"]\nhazards = [\"any.geojson\"]\n";
    let survey = bench.write("survey.toml", survey.as_bytes());
    fuzz("geojson", texts("docs/examples", &[".geojson"]), |input| {
        bench.write("any.json", input);
        bench.write("any.geojson", input);
        bench.survey(&survey);
    });
}

#[test]
fn regions() {
    let bench = Bench::new();
    let finite = |region: &Region| {
        let all = region.limits.values().chain(region.priors.values());
        assert!(all.into_iter().all(|f| f.value.is_finite()));
    };
    let mut seeds = texts("regions", &[".toml"]);
    seeds.extend(texts("docs/examples", &["local.toml"]));
    fuzz("region", seeds, |input| {
        let path = bench.write("local.toml", input);
        for (setting, local) in [(path.to_str().unwrap(), None), (region::UNSTATED, Some(path.as_path()))] {
            let (mut sources, mut problems) = (Sources::new(), Problems::new());
            let region = region::load(setting, local, &mut sources, &mut problems);
            render(&problems, &sources, true);
            assert_eq!(region.is_none(), problems.any_error());
            region.iter().for_each(finite);
        }
    });
}

/// Some facts, of every form.
fn some_facts(random: &mut Random) -> Rc<dyn FactSource> {
    let mut table = FactTable::default();
    for def in FACTS {
        let value = match def.form {
            Form::Word(words) => Value::Word(random.one(words)),
            Form::Number(unit) => {
                let ends: [f64; 7] = [0.0, -1.0, 1e308, -1e308, 15.0, 30.0, 1e-300];
                let mut end = || ends[random.below(ends.len())];
                let (a, b, c) = (end(), end(), end());
                Value::Estimate(Estimate::band(unit, a.min(b), a.max(b), a.max(b).max(c)).unwrap())
            }
        };
        if random.below(5) > 0 {
            table.state(def.name, value);
        }
    }
    Rc::new(table)
}

#[test]
fn scripts() {
    let limits = Rc::new(defaults().limits);
    let mut random = Random(3);
    let mut seeds = texts("rules", &[".rhai"]);
    seeds.extend(texts("tests/hostile", &[".rhai"]));
    fuzz("rule", seeds, |input| {
        let text = String::from_utf8_lossy(input).into_owned();
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        // The file bears the name the record says, or every change would be
        // one fault the same.
        let id = text.split_once("id: \"").and_then(|(_, rest)| Some(rest.split_once('"')?.0.to_owned()));
        let id = id.filter(|id| id.chars().all(|c| c.is_alphanumeric() || c == '-') && !id.is_empty());
        let id = id.unwrap_or_else(|| "any".to_owned());
        let script = Script::new(format!("rules/own/{id}.rhai"), text);
        let set = RuleSet::of([script], &mut sources, &mut problems);
        render(&problems, &sources, true);
        let judge = Judge::new(&set);
        for _ in 0..3 {
            let found = judge.judge_one(&id, Stage::Mobilisation, &some_facts(&mut random), &limits).unwrap();
            assert!(found.grade.is_none_or(|g| (0.0..=100.0).contains(&g)));
            let sound = set.rules[0].about.is_ok();
            assert!(sound || found.outcome.word() == "broken", "a rule with a fault judged");
        }
    });
}

#[test]
fn worked_cases() {
    let limits = defaults().limits;
    let texts_of: BTreeMap<&str, &str> = [
        ("pit-latrine", include_str!("../../rules/sanitary/pit-latrine.rhai")),
        ("flooding", include_str!("../../rules/sanitary/flooding.rhai")),
        ("method-fit", include_str!("../../rules/ground/method-fit.rhai")),
    ]
    .into();
    let scripts = texts_of.iter().map(|(id, text)| Script::new(format!("rules/own/{id}.rhai"), *text));
    let set = RuleSet::of(scripts, &mut Sources::new(), &mut Problems::new());
    fuzz("cases", texts("rules", &[".cases.toml"]), |input| {
        let text = String::from_utf8_lossy(input).into_owned();
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        let text_of = |_: &str| Some(Ok(text.clone()));
        let report = tune::check(&set, |_| true, &limits, text_of, &mut sources, &mut problems);
        render(&problems, &sources, true);
        assert!(report.held <= report.run && report.rules == 3);
    });
}
