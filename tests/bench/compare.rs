//! How long do a check of the built-in rules and a comparison of two sets on
//! ten thousand surveys take? The program itself is run, files and all.
//!
//! Run with `cargo bench --bench compare`. The surveys are invented: a peg
//! each, eight hazards, six wells with logs, signs, needs and papers.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

/// Surveys compared.
const SURVEYS: usize = 10_000;

struct Random(u64);

impl Random {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }

    fn one(&mut self, of: &[&'static str]) -> &'static str {
        of[self.between(0.0, of.len() as f64) as usize]
    }
}

fn survey(random: &mut Random, n: usize) -> String {
    let mut b = |low, high| random.between(low, high);
    let (lat, lon) = (b(-12.0, 12.0), b(0.0, 40.0));
    let mut text = format!(
        "region = \"river-alluvium\"\n[peg]\nname = \"peg {n}\"\nat = {{ lat = {lat:.6}, lon = {lon:.6}, accuracy_m = 4 }}\n\
         [visit]\ndate = 2026-02-10\n[need]\npeople = {:.0}\n[plan]\nmethods = [\"manual rotary jetting\", \"hand auger\"]\n\
         lift = \"rope pump\"\nbudget = {{ amount = 900, currency = \"USD\" }}\n[looked_for]\n\"pit latrine\" = 80\n\
         \"septic tank\" = 80\n\"livestock pen\" = 80\n\"waste dump\" = 120\n\"graveyard\" = 120\n\"fuel store\" = 200\n",
        b(40.0, 400.0)
    );
    for _ in 0..8 {
        let kind = random.one(&[
            "pit latrine",
            "livestock pen",
            "road",
            "building",
            "septic tank",
            "manure heap",
            "open water",
        ]);
        let (bearing, far) = (random.between(0.0, 360.0), random.between(4.0, 150.0));
        writeln!(text, "[[hazard]]\nkind = \"{kind}\"\nfrom_peg = {{ bearing_deg = {bearing:.0}, distance_m = {far:.1}, accuracy_m = 0.5 }}").unwrap();
    }
    for w in 0..6 {
        let mut b = |low, high| random.between(low, high);
        let (depth, level) = (b(8.0, 30.0), b(2.0, 9.0));
        writeln!(
            text,
            "[[well]]\nname = \"well {w}\"\nat = {{ lat = {:.6}, lon = {:.6}, accuracy_m = 5 }}\nmade = \"hand-drilled\"\n\
             depth_m = {depth:.1}\nwater_level_m = {level:.1}\nmeasured = 2025-10-12\noutcome = \"in use\"\nyield_lps = {:.2}\n\
             log = [ {{ to_m = 2.0, material = \"sandy clay\" }}, {{ to_m = {:.1}, material = \"coarse sand\" }} ]",
            lat + b(-0.004, 0.004),
            lon + b(-0.004, 0.004),
            b(0.1, 0.9),
            depth
        )
        .unwrap();
    }
    text
}

fn timed(what: &str, args: &[&str]) {
    let began = Instant::now();
    let out = Command::new(env!("CARGO_BIN_EXE_forebore")).args(args).output().unwrap();
    let seconds = began.elapsed().as_secs_f64();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let said = String::from_utf8_lossy(&out.stdout);
    let totals: Vec<&str> =
        said.lines().filter(|l| l.contains("cases held") || l.contains("change their answer")).collect();
    println!("{what}: {seconds:.2} s ({})", totals.join("; "));
}

fn main() {
    let folder = tempfile::tempdir().unwrap();
    let mut random = Random(7);
    for n in 0..SURVEYS {
        let site = folder.path().join(format!("{:02}/{n:05}", n % 100));
        fs::create_dir_all(&site).unwrap();
        fs::write(site.join("survey.toml"), survey(&mut random, n)).unwrap();
    }
    let on = folder.path().display().to_string();
    let rules = folder.path().join("rules");
    let latrine = Path::new(env!("CARGO_MANIFEST_DIR")).join("rules/sanitary/pit-latrine.rhai");
    let text = fs::read_to_string(latrine).unwrap();
    fs::create_dir_all(rules.join("sanitary")).unwrap();
    // A stricter rule: what was a condition now stops.
    let stricter = text
        .replace("d.surely_below(limits.pit_latrine_stop_m)", "d.surely_below(limits.pit_latrine_caution_m)");
    fs::write(rules.join("sanitary/pit-latrine.rhai"), stricter).unwrap();
    let rules = rules.display().to_string();

    timed("check of the built-in rules", &["rules", "check"]);
    timed("comparison of two sets", &["rules", "compare", "built-in", &rules, "--on", &on]);
    let regions =
        ["rules", "compare", "built-in", "built-in", "--on", &on, "--region-b", "weathered-basement"];
    timed("comparison of two regions", &regions);
}
