//! Scripts and folders that mean harm: each ends in an error with its place,
//! soon and in little memory, and never passes a site.
//!
//! The scripts lie in `tests/hostile/`, one attempt a file, named for it.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::time::{Duration, Instant};

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// What a run may take. It is well under a second where nothing else runs.
const SOON: Duration = Duration::from_secs(5);

/// Address space that a run may take, KiB.
const MEMORY_KIB: u32 = 600_000;

fn forebore(args: &[&str]) -> Output {
    let limited = cfg!(target_os = "linux");
    let mut command = if limited {
        let mut shell = Command::new("sh");
        shell.arg("-c").arg(format!("ulimit -v {MEMORY_KIB} && exec \"$0\" \"$@\""));
        shell.arg(env!("CARGO_BIN_EXE_forebore"));
        shell
    } else {
        Command::new(env!("CARGO_BIN_EXE_forebore"))
    };
    let began = Instant::now();
    let out = command.args(args).timeout(4 * SOON).output().unwrap();
    assert!(began.elapsed() < SOON, "{args:?} took {:?}", began.elapsed());
    let said = text(&out.stderr);
    assert!(out.status.code().is_some() && !said.contains("panicked"), "{args:?}: {said}");
    out
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn path(path: &Path) -> String {
    path.display().to_string()
}

fn home(part: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(part)
}

fn hostile_scripts() -> Vec<PathBuf> {
    let mut all: Vec<_> = fs::read_dir(home("tests/hostile")).unwrap().map(|e| e.unwrap().path()).collect();
    all.sort();
    assert!(all.len() > 60, "{}", all.len());
    all
}

/// A folder with one sound rule in it.
fn folder() -> TempDir {
    let folder = TempDir::new().unwrap();
    fs::create_dir(folder.path().join("sanitary")).unwrap();
    let latrine = "sanitary/pit-latrine";
    for ending in ["rhai", "cases.toml"] {
        let from = home(&format!("rules/{latrine}.{ending}"));
        fs::copy(from, folder.path().join(format!("{latrine}.{ending}"))).unwrap();
    }
    folder
}

fn check(folder: &Path) -> Output {
    forebore(&["rules", "check", &path(folder)])
}

fn river_field() -> String {
    path(&home("docs/examples/river-field/survey.toml"))
}

/// All of them at once: together they take less than one of them may.
#[test]
fn every_hostile_script_is_an_error_with_its_place() {
    let folder = folder();
    for script in hostile_scripts() {
        fs::copy(&script, folder.path().join("sanitary").join(script.file_name().unwrap())).unwrap();
    }
    let out = check(folder.path());
    let said = text(&out.stderr);
    assert_eq!(out.status.code(), Some(2), "{said}");
    for script in hostile_scripts() {
        let name = script.file_name().unwrap();
        let here = format!("{}:", path(&folder.path().join("sanitary").join(name)));
        let located = said.lines().filter(|l| l.starts_with("error: ")).any(|line| {
            let after = line.split_once(&here).map(|(_, after)| after);
            // What is no text at all has no lines.
            after.is_some_and(|a| a.starts_with(|c: char| c.is_ascii_digit()) || a.contains("cannot be read"))
        });
        assert!(located, "{name:?}: {said}");
    }
    let rules = hostile_scripts().len() + 1;
    let wanted = format!("{rules} rules, 13 of 13 cases held");
    assert!(text(&out.stdout).starts_with(&wanted), "the sound rule is still checked: {}", text(&out.stdout));
}

#[test]
fn no_hostile_script_passes_a_site_and_none_reaches_anything() {
    let folder = folder();
    for script in hostile_scripts() {
        fs::copy(&script, folder.path().join("sanitary").join(script.file_name().unwrap())).unwrap();
    }
    let rules = path(folder.path());
    let out = forebore(&["assess", &river_field(), "--rules", &rules, "--format", "json"]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let report: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(report["verdict"], "find-out");
    let findings = report["findings"].as_array().unwrap();
    for script in hostile_scripts() {
        let id = script.file_stem().unwrap().to_string_lossy().into_owned();
        let found = findings.iter().find(|f| f["rule"] == id.as_str()).unwrap_or_else(|| panic!("{id}"));
        let outcome = found["outcome"].as_str().unwrap();
        assert_eq!(outcome, "broken", "{id}: {}", found["why"]);
    }
    let said = text(&out.stdout);
    assert!(!said.contains("root:") && !said.contains("uid="), "something was read or run");
}

#[test]
fn folders_that_are_none_are_refused() {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("rules.rhai");
    fs::write(&file, "").unwrap();
    for no_folder in [path(&file), path(&folder.path().join("nowhere")), String::new(), "\u{1}".to_owned()] {
        let out = forebore(&["assess", &river_field(), "--rules", &no_folder]);
        assert_eq!(out.status.code(), Some(2), "{no_folder}");
        assert!(text(&out.stdout).is_empty(), "nothing is assessed with rules that are not there");
    }
}

#[test]
fn folders_too_deep_or_too_full_are_refused() {
    let deep = folder();
    fs::create_dir_all(deep.path().join("a/b/c/d/e/f")).unwrap();
    let out = check(deep.path());
    assert!(
        text(&out.stderr).contains("rule-folder") && out.status.code() == Some(2),
        "{}",
        text(&out.stderr)
    );
    let full = folder();
    for n in 0..5_100 {
        fs::write(full.path().join(format!("{n}.txt")), "").unwrap();
    }
    let out = check(full.path());
    assert!(
        text(&out.stderr).contains("rule-folder") && out.status.code() == Some(2),
        "{}",
        text(&out.stderr)
    );
}

#[test]
fn folders_with_more_rules_than_anybody_reads_are_refused() {
    let (many, long) = (folder(), folder());
    for n in 0..510 {
        fs::write(many.path().join(format!("sanitary/{n}.rhai")), "x").unwrap();
    }
    for n in 0..40 {
        fs::write(long.path().join(format!("sanitary/{n}.rhai")), "x".repeat(32_000)).unwrap();
    }
    for folder in [many, long] {
        let out = check(folder.path());
        assert!(
            text(&out.stderr).contains("rule-folder") && out.status.code() == Some(2),
            "{}",
            text(&out.stderr)
        );
    }
}

#[test]
fn worked_cases_that_mean_harm_are_errors() {
    let long_key = format!("[[case]]\n{} = 1", "a".repeat(100_000));
    for cases in [
        "[".repeat(100_000),
        format!("a = {}", "[".repeat(50_000)),
        format!("a = {}", "{a=".repeat(50_000)),
        format!("{}a = 1", "a.".repeat(50_000)),
        long_key,
        "[[case]]\nname = \"x\"\noutcome = \"clear\"\nfacts = { nearest_pit_latrine_m = inf }".to_owned(),
        "[[case]]\nname = \"x\"\noutcome = \"clear\"\nfacts = { nearest_pit_latrine_m = { low = nan } }".to_owned(),
        "[[case]]\nname = \"x\"\noutcome = \"clear\"\nfacts = { nearest_pit_latrine_m = 1e308 }\nlimits = { pit_latrine_stop_m = nan, pit_latrine_caution_m = -inf }".to_owned(),
        "x".repeat(2_000_000),
        "\0".repeat(1000),
    ] {
        let folder = folder();
        fs::write(folder.path().join("sanitary/pit-latrine.cases.toml"), &cases).unwrap();
        let out = check(folder.path());
        let head: String = cases.chars().take(40).collect();
        assert_eq!(out.status.code(), Some(2), "{head}: {}", text(&out.stderr));
        assert!(text(&out.stderr).contains("pit-latrine.cases.toml"), "{head}: {}", text(&out.stderr));
    }
}

#[test]
fn nothing_is_switched_off_by_a_file_that_is_wrong() {
    for (off, says) in [
        ("[switch_off.pit-latrine]\n", "reason"),
        ("[switch_off.pit-latrine]\nreason = \"\"\n", "without a reason"),
        ("[switch_off.pit-latrin]\nreason = \"x\"\n", "Did you mean pit-latrine?"),
        ("[switch_off]\n\"*\" = { reason = \"all\" }\n", "there is no rule *"),
        ("[switchoff.pit-latrine]\nreason = \"x\"\n", "switch_off"),
        ("switch_off = [[[[[", "switched-off.toml:1"),
    ] {
        let folder = folder();
        fs::write(folder.path().join("switched-off.toml"), off).unwrap();
        let out = forebore(&["assess", &river_field(), "--rules", &path(folder.path())]);
        assert_eq!(out.status.code(), Some(2), "{off}");
        assert!(
            text(&out.stderr).contains(says) && text(&out.stdout).is_empty(),
            "{off}: {}",
            text(&out.stderr)
        );
    }
}

#[cfg(unix)]
mod unix {
    use std::os::unix::ffi::OsStrExt;
    use std::os::unix::fs::symlink;

    use super::*;

    #[test]
    fn a_link_in_place_of_a_rule_is_never_followed_and_never_passes() {
        let secret = TempDir::new().unwrap();
        let elsewhere = secret.path().join("secret.txt");
        fs::write(&elsewhere, "the secret of somebody else").unwrap();
        for target in
            [elsewhere.as_path(), Path::new("/dev/zero"), Path::new("/dev/tty"), Path::new("nowhere")]
        {
            let folder = folder();
            let link = folder.path().join("sanitary/septic-tank.rhai");
            symlink(target, &link).unwrap();
            let out = check(folder.path());
            let said = text(&out.stderr);
            assert!(
                said.contains("septic-tank.rhai: the rule cannot be read: it is a link"),
                "{target:?}: {said}"
            );
            assert_eq!(out.status.code(), Some(2));
            assert!(!said.contains("secret of"), "{said}");
            let rules = path(folder.path());
            let out = forebore(&["assess", &river_field(), "--rules", &rules, "--format", "json"]);
            let report: Value = serde_json::from_slice(&out.stdout).unwrap();
            assert_eq!(report["verdict"], "find-out", "a rule that is not there holds the site back");
        }
    }

    #[test]
    fn a_link_in_place_of_cases_is_never_followed() {
        let folder = folder();
        let cases = folder.path().join("sanitary/pit-latrine.cases.toml");
        fs::remove_file(&cases).unwrap();
        symlink("/dev/zero", &cases).unwrap();
        let out = check(folder.path());
        assert!(
            text(&out.stderr).contains("it is a link") && out.status.code() == Some(2),
            "{}",
            text(&out.stderr)
        );
    }

    #[test]
    fn links_to_folders_and_in_place_of_the_switches_are_refused() {
        let looped = folder();
        symlink(looped.path(), looped.path().join("again")).unwrap();
        let out = check(looped.path());
        assert!(
            text(&out.stderr).contains("rule-link") && out.status.code() == Some(2),
            "{}",
            text(&out.stderr)
        );
        let off = folder();
        let real = off.path().join("real.txt");
        fs::write(&real, "[switch_off.pit-latrine]\nreason = \"x\"\n").unwrap();
        symlink(&real, off.path().join("switched-off.toml")).unwrap();
        let out = check(off.path());
        assert!(
            text(&out.stderr).contains("it is a link") && out.status.code() == Some(2),
            "{}",
            text(&out.stderr)
        );
    }

    #[test]
    fn a_pipe_is_not_waited_for() {
        let folder = folder();
        let pipe = folder.path().join("sanitary/septic-tank.rhai");
        let cases = folder.path().join("sanitary/pit-latrine.cases.toml");
        fs::remove_file(&cases).unwrap();
        for at in [&pipe, &cases] {
            assert!(std::process::Command::new("mkfifo").arg(at).status().unwrap().success());
        }
        let out = check(folder.path());
        assert_eq!(out.status.code(), Some(2));
        assert_eq!(text(&out.stderr).matches("it is not a plain file").count(), 2, "{}", text(&out.stderr));
    }

    #[test]
    fn names_that_are_no_text_and_names_that_point_outside_are_only_names() {
        let folder = folder();
        let script = fs::read(home("rules/sanitary/pit-latrine.rhai")).unwrap();
        let mut names = vec![std::ffi::OsStr::from_bytes(b"\xff\xfe.rhai")];
        names.extend(
            ["...rhai", "\u{1b}[31m.rhai", "a\nb.rhai", "-rf.rhai", "%2e%2e.rhai"].map(std::ffi::OsStr::new),
        );
        for name in &names {
            fs::write(folder.path().join("sanitary").join(name), &script).unwrap();
        }
        let out = check(folder.path());
        assert_eq!(out.status.code(), Some(2));
        let said = text(&out.stderr);
        assert!(said.matches("is not the file's name").count() >= names.len(), "{said}");
    }

    #[test]
    fn surveys_and_regions_that_never_end_are_refused() {
        for args in [
            vec!["assess", "/dev/zero"],
            vec!["assess", "/dev/urandom"],
            vec!["regions", "check", "/dev/zero"],
            vec!["rules", "compare", "built-in", "built-in", "--on", "/dev/zero"],
        ] {
            assert_eq!(forebore(&args).status.code(), Some(2), "{args:?}");
        }
        let river = river_field();
        assert_eq!(forebore(&["assess", &river, "--local", "/dev/zero"]).status.code(), Some(2));
        let folder = TempDir::new().unwrap();
        let survey = folder.path().join("survey.toml");
        let peg = "[peg]\nname = \"x\"\nat = { lat = 1.0, lon = 1.0, accuracy_m = 3 }\n[files]\nwells = [\"w.csv\"]\n";
        fs::write(&survey, peg).unwrap();
        symlink("/dev/zero", folder.path().join("w.csv")).unwrap();
        assert_eq!(forebore(&["assess", &path(&survey)]).status.code(), Some(2));
    }
}
