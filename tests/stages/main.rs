//! The promises at the stages of drilling, completion and hand-over, on
//! surveys drawn at random around the mill crossing: forgetting a reading
//! never clears, and a worse reading never improves.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

mod lose;
mod random;
mod told;
mod worsen;

use std::path::Path;
use std::rc::Rc;
use std::sync::{Arc, OnceLock};

use forebore::diag::{Problems, Sources};
use forebore::facts::{FactSource, SiteFacts};
use forebore::region::{self, Region};
use forebore::rules::{Judge, Outcome, RuleSet};
use forebore::survey::{Stage, Survey, read_survey};
use forebore::verdict::{Answer, Assessment, answer_of, assess};
use lose::LOSSES;
use proptest::prelude::*;
use random::{Drawn, drawn};
use worsen::WORSE;

const STAGES: [Stage; 3] = [Stage::Drilling, Stage::Completion, Stage::HandOver];

fn rules() -> &'static RuleSet {
    static RULES: OnceLock<RuleSet> = OnceLock::new();
    RULES.get_or_init(|| RuleSet::built_in(&mut Sources::new(), &mut Problems::new()))
}

fn region() -> Arc<Region> {
    static REGION: OnceLock<Arc<Region>> = OnceLock::new();
    REGION
        .get_or_init(|| {
            let region = region::load("river-alluvium", None, &mut Sources::new(), &mut Problems::new());
            Arc::new(region.unwrap())
        })
        .clone()
}

/// The example, in which everything is known.
fn whole() -> Survey {
    static WHOLE: OnceLock<Survey> = OnceLock::new();
    let read = || {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/examples/mill-crossing/survey.toml");
        let mut problems = Problems::new();
        let survey = read_survey(&path, &mut Sources::new(), &mut problems).unwrap();
        assert!(problems.is_empty(), "{problems:?}");
        survey
    };
    WHOLE.get_or_init(read).clone()
}

thread_local! {
    static JUDGE: Judge = Judge::new(rules());
}

/// What is found at each of the three stages.
fn found(survey: &Survey) -> Vec<Assessment> {
    let region = region();
    let facts: Rc<dyn FactSource> = Rc::new(SiteFacts::of_survey(survey, region.clone()));
    STAGES.iter().map(|stage| JUDGE.with(|judge| assess(judge, &facts, &region, *stage))).collect()
}

fn config() -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|c| c.parse().ok()).unwrap_or(192);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// The survey as drawn, with some readings lost already.
fn told(drawn: &Drawn, lost: &[(usize, usize)]) -> Survey {
    let mut survey = whole();
    drawn.apply(&mut survey);
    lost.iter().for_each(|(what, row)| LOSSES[*what].1(&mut survey, *row));
    survey
}

fn losses() -> impl Strategy<Value = Vec<(usize, usize)>> {
    prop_oneof![3 => Just(Vec::new()), 1 => prop::collection::vec((0..LOSSES.len(), 0..12_usize), 1..8)]
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn forgetting_a_reading_never_clears(
        drawn in drawn(), lost in losses(), what in 0..LOSSES.len(), row in 0..12_usize
    ) {
        let survey = told(&drawn, &lost);
        let mut less = survey.clone();
        LOSSES[what].1(&mut less, row);
        let name = LOSSES[what].0;
        for (before, after) in found(&survey).iter().zip(&found(&less)) {
            let stage = before.verdict.stage;
            for (b, a) in before.findings.iter().zip(&after.findings) {
                let passes = |o: Outcome| matches!(o, Outcome::Clear | Outcome::DoesNotApply);
                prop_assert!(
                    passes(b.outcome) || !passes(a.outcome),
                    "{name} at {}: {} was {:?} ({}) and became {:?} ({})",
                    stage.name(), b.rule.id, b.outcome, b.why, a.outcome, a.why
                );
                let blocks = b.rule.about.as_ref().unwrap().blocks_at(stage);
                if blocks && answer_of(b) <= Answer::FindOut {
                    prop_assert!(
                        answer_of(a) <= Answer::FindOut,
                        "{name} at {}: {} was {:?} ({}) and became {:?} ({})",
                        stage.name(), b.rule.id, b.outcome, b.why, a.outcome, a.why
                    );
                }
            }
        }
    }

    #[test]
    fn a_worse_reading_never_improves(
        drawn in drawn(), lost in losses(), what in 0..WORSE.len(), row in 0..12_usize, by in 0.01..1.0_f64
    ) {
        let survey = told(&drawn, &lost);
        let mut worse = survey.clone();
        let (name, make, but) = WORSE[what];
        make(&mut worse, row, by);
        for (before, after) in found(&survey).iter().zip(&found(&worse)) {
            for (b, a) in before.findings.iter().zip(&after.findings) {
                if but.contains(&b.rule.id.as_str()) {
                    continue;
                }
                prop_assert!(
                    answer_of(a) <= answer_of(b),
                    "{name} by {by} at {}: {} was {:?} ({}) and became {:?} ({})",
                    before.verdict.stage.name(), b.rule.id, b.outcome, b.why, a.outcome, a.why
                );
            }
        }
    }
}

#[test]
fn the_surveys_that_are_drawn_reach_every_answer_of_the_new_rules() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut seen = std::collections::BTreeSet::new();
    let mut runner = TestRunner::deterministic();
    let drawn = (0..150).map(|_| {
        let drawn = (drawn(), losses()).new_tree(&mut runner).unwrap().current();
        told(&drawn.0, &drawn.1)
    });
    let lost = (0..LOSSES.len()).flat_map(|what| (0..7).map(move |row| (what, row))).map(|(what, row)| {
        let mut survey = whole();
        LOSSES[what].1(&mut survey, row);
        survey
    });
    for survey in drawn.chain(lost) {
        for assessment in found(&survey) {
            let new = |t: &str| ["drilling", "completion", "handover"].contains(&t);
            let of = assessment.findings.iter().filter(|f| new(&f.rule.topic));
            seen.extend(of.map(|f| (f.rule.id.clone(), format!("{:?}", f.outcome))));
        }
    }
    let missing: Vec<_> = rules()
        .rules
        .iter()
        .filter(|r| ["drilling", "completion", "handover"].contains(&r.topic.as_str()))
        .flat_map(|r| ["Clear", "FindOut"].map(|o| (r.id.clone(), o.to_owned())))
        .filter(|pair| !seen.contains(pair))
        .collect();
    assert!(missing.is_empty(), "never drawn: {missing:?}");
    for rule in [
        "case-here",
        "progress",
        "hole-caving",
        "water-in-hole",
        "tested-yield",
        "well-germs",
        "disinfection",
    ] {
        assert!(seen.contains(&(rule.to_owned(), "Stop".to_owned())), "{rule} never stopped anything");
    }
}
