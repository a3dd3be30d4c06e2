//! The promises rule by rule, on random facts about the marks of each rule's
//! own limits: a rule that is told less, or more vaguely, never passes the
//! site for it.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::OnceLock;

use forebore::diag::{Problems, Sources};
use forebore::facts::{self, FactSource, FactTable, Form, Value};
use forebore::region::{self, Figure};
use forebore::rules::{Finding, Judge, Outcome, Rule, RuleSet};
use forebore::survey::Stage;
use forebore::units::{Estimate, Unit};
use forebore::verdict::{Answer, answer_of};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

/// Random draws for each rule.
const DRAWS: u32 = 400;

fn rules() -> &'static RuleSet {
    static RULES: OnceLock<RuleSet> = OnceLock::new();
    RULES.get_or_init(|| {
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        let set = RuleSet::built_in(&mut sources, &mut problems);
        assert!(problems.is_empty(), "{problems:?}");
        set
    })
}

fn limits() -> Rc<BTreeMap<String, Figure>> {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    Rc::new(region::load(region::UNSTATED, None, &mut sources, &mut problems).unwrap().limits)
}

/// A fact as it is told to a rule.
#[derive(Debug, Clone)]
enum Told {
    Nothing,
    Word(&'static str),
    Number(Unit, Option<f64>, Option<f64>, Option<f64>),
}

impl Told {
    fn value(&self) -> Value {
        match *self {
            Told::Nothing => Value::Unknown,
            Told::Word(word) => Value::Word(word),
            Told::Number(unit, Some(low), Some(value), Some(high)) => {
                Value::Estimate(Estimate::band(unit, low, value, high).unwrap())
            }
            Told::Number(unit, low, _, high) => Value::Estimate(Estimate::bounded(unit, low, high).unwrap()),
        }
    }

    /// The same, known less well.
    fn vaguer(&self, how: u8, by: f64) -> Self {
        match (self, how) {
            (Told::Number(unit, low, value, high), 0) => {
                Told::Number(*unit, low.map(|l| l - by), *value, high.map(|h| h + by))
            }
            (Told::Number(unit, low, value, high), 1) => {
                Told::Number(*unit, low.map(|l| l - by), *value, *high)
            }
            (Told::Number(unit, low, value, high), 2) => {
                Told::Number(*unit, *low, *value, high.map(|h| h + by))
            }
            _ => Told::Nothing,
        }
    }
}

fn told(form: Form, marks: &[f64]) -> BoxedStrategy<Told> {
    let marks = marks.to_vec();
    match form {
        Form::Word(words) => prop_oneof![
            4 => prop::sample::select(words.to_vec()).prop_map(Told::Word),
            1 => Just(Told::Nothing),
        ]
        .boxed(),
        Form::Number(unit) => {
            let near = (
                prop::sample::select(if marks.is_empty() { vec![0.0] } else { marks }),
                prop::sample::select(vec![0.0, 0.001, -0.001, 1.0, -1.0, 0.3, -0.3, 3.0, -3.0]),
            )
                .prop_map(|(mark, off)| mark + off * mark.abs().max(1.0));
            let three = prop::collection::vec(near, 3).prop_map(|mut x| {
                x.sort_by(f64::total_cmp);
                x
            });
            prop_oneof![
                5 => three.clone().prop_map(move |x| Told::Number(unit, Some(x[0]), Some(x[1]), Some(x[2]))),
                2 => three.clone().prop_map(move |x| Told::Number(unit, Some(x[0]), Some(x[0]), Some(x[0]))),
                1 => three.clone().prop_map(move |x| Told::Number(unit, Some(x[0]), None, None)),
                1 => three.prop_map(move |x| Told::Number(unit, None, None, Some(x[2]))),
                1 => Just(Told::Nothing),
            ]
            .boxed()
        }
    }
}

fn each_rule(check: impl Fn(&Rule, &dyn Fn(&[Told], Stage) -> Finding, &[Told], usize, &Told)) {
    let (judge, limits) = (Judge::new(rules()), limits());
    for rule in &rules().rules {
        let about = rule.about.as_ref().unwrap();
        if about.reads.is_empty() {
            continue;
        }
        let marks: Vec<f64> = about.limits.iter().map(|l| limits[l].value).collect();
        let facts: Vec<_> =
            about.reads.iter().map(|name| told(facts::def(name).unwrap().form, &marks)).collect();
        let run = |told: &[Told], stage: Stage| {
            let mut table = FactTable::default();
            for (name, told) in about.reads.iter().zip(told) {
                table.state(name.as_str(), told.value());
            }
            let table: Rc<dyn FactSource> = Rc::new(table);
            judge.judge_one(&rule.id, stage, &table, &limits).unwrap()
        };
        let less = (0..about.reads.len(), 0..4_u8, prop::sample::select(vec![0.001, 0.3, 2.0, 20.0, 1000.0]));
        let config = ProptestConfig { cases: DRAWS, failure_persistence: None, ..ProptestConfig::default() };
        let done = TestRunner::new(config).run(&(facts, less), |(told, (which, how, by))| {
            check(rule, &run, &told, which, &told[which].vaguer(how, by));
            Ok(())
        });
        if let Err(error) = done {
            panic!("{}: {error}", rule.id);
        }
    }
}

#[test]
fn knowing_less_of_one_fact_never_clears_a_rule() {
    each_rule(|rule, run, told, which, vaguer| {
        let about = rule.about.as_ref().unwrap();
        let mut less = told.to_vec();
        less[which] = vaguer.clone();
        for stage in [Stage::DeskStudy, Stage::Mobilisation, Stage::HandOver] {
            let (before, after) = (run(told, stage), run(&less, stage));
            assert_ne!(before.outcome, Outcome::Broken, "{}", before.why);
            let passes = |f: &Finding| matches!(f.outcome, Outcome::Clear | Outcome::DoesNotApply);
            assert!(passes(&before) || !passes(&after), "{told:?} {:?} -> {less:?}", before.outcome);
            if about.blocks_at(stage) && answer_of(&before) <= Answer::FindOut {
                assert!(answer_of(&after) <= Answer::FindOut, "{told:?} {:?} -> {less:?}", before.outcome);
            }
        }
    });
}

#[test]
fn a_rule_that_knows_nothing_never_passes_the_site() {
    let (judge, limits) = (Judge::new(rules()), limits());
    let nothing: Rc<dyn FactSource> = Rc::new(FactTable::default());
    for rule in rules().rules.iter().filter(|r| !r.about.as_ref().unwrap().reads.is_empty()) {
        for stage in Stage::ALL {
            let finding = judge.judge_one(&rule.id, stage, &nothing, &limits).unwrap();
            assert!(answer_of(&finding) < Answer::Go, "{} at {}", rule.id, stage.name());
        }
    }
}
