//! What a judgement costs: a rule in its script beside the same judgement in
//! plain Rust, and whole pegs.
//!
//! Run with `cargo bench --bench rules`.

#![allow(missing_docs, clippy::unwrap_used)]

use std::hint::black_box;
use std::rc::Rc;

use divan::Bencher;
use forebore::diag::{Problems, Sources};
use forebore::facts::{FactSource, FactTable, Value};
use forebore::region;
use forebore::rules::{Judge, RuleSet};
use forebore::survey::Stage;
use forebore::units::{Estimate, Unit};

fn main() {
    divan::main();
}

fn rules() -> RuleSet {
    RuleSet::built_in(&mut Sources::new(), &mut Problems::new())
}

fn distance() -> Estimate {
    Estimate::band(Unit::Metre, 23.0, 24.5, 26.0).unwrap()
}

/// The judgement of the rule on pit latrines, in plain Rust, with its words.
fn plain_rust(d: &Estimate, stop_m: f64, caution_m: f64) -> (u8, String, f64) {
    if d.surely_below(stop_m) {
        return (0, format!("A pit latrine lies too near: {d}, where at least {stop_m} m is required."), 0.0);
    }
    if !d.surely_at_least(stop_m) {
        return (
            1,
            format!("A pit latrine may lie nearer than {stop_m} m. What is known of the nearest: {d}."),
            0.0,
        );
    }
    if !d.surely_at_least(caution_m) {
        let why = format!("Distance to the nearest pit latrine: {d}; {caution_m} m or more is wanted.");
        return (2, why, d.grade(stop_m, caution_m));
    }
    (3, format!("No pit latrine lies within {caution_m} m. What is known of the nearest: {d}."), 100.0)
}

#[divan::bench]
fn one_rule_in_plain_rust(bencher: Bencher) {
    let d = distance();
    bencher.bench_local(|| plain_rust(black_box(&d), black_box(15.0), black_box(30.0)));
}

#[divan::bench]
fn one_rule_in_its_script(bencher: Bencher) {
    let (judge, facts, limits) = (Judge::new(&rules()), facts(), limits());
    bencher.bench_local(|| judge.judge_one(black_box("pit-latrine"), Stage::Mobilisation, &facts, &limits));
}

#[divan::bench]
fn every_rule_on_one_peg_nothing_known(bencher: Bencher) {
    let judge = Judge::new(&rules());
    let facts: Rc<dyn FactSource> = Rc::new(FactTable::default());
    let limits = limits();
    bencher.bench_local(|| judge.judge(Stage::Mobilisation, &facts, &limits, |_| false));
}

#[divan::bench]
fn load_and_inspect_the_built_in_rules() -> RuleSet {
    rules()
}

#[divan::bench]
fn compile_the_built_in_rules(bencher: Bencher) {
    let set = rules();
    bencher.bench_local(|| Judge::new(black_box(&set)));
}

fn facts() -> Rc<dyn FactSource> {
    let mut table = FactTable::default();
    table.state("nearest_pit_latrine_m", Value::Estimate(distance()));
    Rc::new(table)
}

fn limits() -> Rc<std::collections::BTreeMap<String, region::Figure>> {
    let region = region::load(region::UNSTATED, None, &mut Sources::new(), &mut Problems::new()).unwrap();
    Rc::new(region.limits)
}
