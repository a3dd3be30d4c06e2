//! Layering, provenance and diagnostics on invented layers over the built-in
//! defaults.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::expect_used, clippy::float_cmp)]

mod casings;
mod diagnostics;
mod layering;
mod prices;
mod random;

use std::io::Write;

use crate::diag::{Level, Problem, Problems, Sources};

use super::{BuiltIn, Region, UNSTATED};

/// Limits of no rule, so that retuning the real ones breaks no test.
const LIMITS: &str = r#"
[limits.kraal_stop_m]
value = 15
unit = "m"
stricter = "greater"
about = "Below this distance to a kraal no well is put."
source = "Invented code of distances"
basis = "published"

[limits.kraal_caution_m]
value = 30
unit = "m"
stricter = "greater"
about = "Below this distance to a kraal care is needed."
source = "Invented code of distances"
basis = "published"

[limits.bitterness_stop_mg_l]
value = 2
unit = "mg/L"
stricter = "less"
about = "Above this the water is not drunk."
source = "Invented code of waters"
basis = "published"

[limits.herd_count]
value = 4
unit = "count"
about = "Herds that share a kraal."
source = "Invented code of herds"
basis = "published"
"#;

/// A setting that says nothing but what it is.
const PLAIN_SETTING: &str = "title = \"Invented hills\"\nabout = \"Invented for the tests.\"\n";

struct Loaded {
    region: Option<Region>,
    problems: Problems,
}

impl Loaded {
    fn region(&self) -> &Region {
        self.region.as_ref().unwrap_or_else(|| panic!("no region: {:#?}", self.problems))
    }

    fn limit(&self, name: &str) -> &super::Figure {
        &self.region().limits[name]
    }

    fn prior(&self, name: &str) -> &super::Figure {
        &self.region().priors[name]
    }

    /// The one problem of that code.
    fn sole(&self, code: &str) -> &Problem {
        let all: Vec<_> = self.problems.iter().filter(|p| p.code == code).collect();
        assert_eq!(all.len(), 1, "{code}: {:#?}", self.problems);
        all[0]
    }
}

/// The region of a setting that says `setting` besides its title, with the
/// local file `local` over it; origins call them `regions/hills.toml` and
/// `code.toml`.
fn load(setting: &str, local: Option<&str>) -> Loaded {
    let setting =
        if setting.contains("title") { setting.to_owned() } else { format!("{PLAIN_SETTING}{setting}") };
    let mut files: Vec<(&str, &str)> = BuiltIn::default().defaults().collect();
    files.push(("regions/defaults/kraal.toml", LIMITS));
    files.push(("regions/hills.toml", &setting));
    load_files(&files, "hills", local)
}

fn load_files(files: &[(&str, &str)], setting: &str, local: Option<&str>) -> Loaded {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("code.toml");
    if let Some(text) = local {
        std::fs::File::create(&path).unwrap().write_all(text.as_bytes()).unwrap();
    }
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let local = local.map(|_| path.as_path());
    let region = BuiltIn::new(files).load(setting, local, &mut sources, &mut problems);
    Loaded { region, problems }
}

/// A figure's table as a layer above writes it.
fn figure(kind: &str, name: &str, value: &str, more: &str) -> String {
    format!(
        "[{kind}.{name}]\nvalue = {value}\nsource = \"Invented county code\"\nbasis = \"published\"\n{more}\n"
    )
}

#[test]
fn nothing_is_wrong_with_the_layers_these_tests_build_on() {
    let loaded = load("", None);
    assert!(loaded.problems.is_empty(), "{:#?}", loaded.problems);
    assert_eq!(loaded.region().id, "hills");
}

#[test]
fn without_a_setting_the_defaults_stand_alone() {
    let loaded = load_files(&BuiltIn::default().defaults().collect::<Vec<_>>(), UNSTATED, None);
    assert_eq!(loaded.region().id, UNSTATED);
    assert!(loaded.region().layers.iter().all(|(file, _)| file.starts_with("regions/defaults/")));
}

#[test]
fn a_setting_is_found_by_the_path_of_its_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("my-hills.toml");
    std::fs::write(&path, PLAIN_SETTING).unwrap();
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let region = super::check(&path, None, &mut sources, &mut problems).unwrap();
    assert_eq!((region.id.as_str(), region.title.as_str()), ("my-hills", "Invented hills"));
    assert!(problems.is_empty());
}

#[test]
fn a_local_file_is_checked_over_the_setting_it_is_meant_for() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("code.toml");
    std::fs::write(&path, figure("limits", "pit_latrine_stop_m", "1", "")).unwrap();
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    assert!(super::check(&path, Some("limestone"), &mut sources, &mut problems).is_some());
    let notes: Vec<_> = problems.iter().map(|p| (p.level, p.code)).collect();
    assert_eq!(notes, [(Level::Note, "laxer-local-value")]);
}

#[test]
fn the_file_shown_on_the_front_page_is_read_without_an_error() {
    let shown = include_str!("../mod.rs").split("```").nth(1).unwrap().strip_prefix("toml").unwrap();
    let shown: String = shown.lines().map(|l| format!("{}\n", l.trim_start_matches("//!"))).collect();
    let loaded = load("distance_protects = true", Some(&shown));
    assert_eq!(loaded.region().authority.as_ref().unwrap().name, "District water office");
    assert!(loaded.problems.is_empty(), "{:#?}", loaded.problems);
}

#[test]
fn a_file_that_is_no_toml_at_all_is_not_told_line_by_line() {
    let loaded = load("", Some(&"a b\n".repeat(5_000)));
    assert!(loaded.region.is_none());
    assert_eq!(loaded.problems.iter().filter(|p| p.code == "toml-syntax").count(), 20);
    assert!(loaded.sole("toml-syntax-more").message.contains("4980 more"));
}
