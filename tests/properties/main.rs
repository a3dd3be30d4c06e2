//! The product's promises on random surveys: silence is never a pass,
//! standing closer never makes a site safer, and knowing less never clears
//! it.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

#[path = "../common/mod.rs"]
mod common;
mod drawn;
mod facts;
mod flips;
mod forget;
mod levelled;
mod random;

use std::rc::Rc;
use std::sync::{Arc, OnceLock};

use forebore::diag::{Problems, Sources};
use forebore::facts::{FACTS, FORECASTS, Fact, FactSource, SiteFacts, Value};
use forebore::region::{self, Region};
use forebore::report;
use forebore::rules::{Finding, Judge, Outcome, RuleSet};
use forebore::survey::{Stage, Survey};
use forebore::verdict::{Answer, Assessment, answer_of, assess};
use forget::{FORGETTABLE, forget};
use levelled::plan;
use proptest::prelude::*;
use random::{Plan2, shared, spot};

const STAGE: Stage = Stage::Mobilisation;

fn regions() -> &'static [Arc<Region>] {
    static REGIONS: OnceLock<Vec<Arc<Region>>> = OnceLock::new();
    REGIONS.get_or_init(|| {
        let load = |name: &str| {
            let (mut sources, mut problems) = (Sources::new(), Problems::new());
            let mut region = region::load(name, None, &mut sources, &mut problems).unwrap();
            // Enough to exercise them on every random survey.
            region.priors.get_mut("virtual_bores").unwrap().value = 50.0;
            Arc::new(region)
        };
        vec![load("river-alluvium"), load("weathered-basement"), load("limestone"), load(region::UNSTATED)]
    })
}

fn rules() -> &'static RuleSet {
    static RULES: OnceLock<RuleSet> = OnceLock::new();
    RULES.get_or_init(|| RuleSet::built_in(&mut Sources::new(), &mut Problems::new()))
}

thread_local! {
    static JUDGE: Judge = Judge::new(rules());
}

fn facts_of(survey: &Arc<Survey>, region: &Arc<Region>) -> Rc<dyn FactSource> {
    Rc::new(SiteFacts::of_survey(survey, region.clone()))
}

fn judge(facts: &Rc<dyn FactSource>, region: &Region) -> Assessment {
    JUDGE.with(|judge| assess(judge, facts, region, STAGE))
}

fn assess_plan(plan: &Plan2, region: &Arc<Region>) -> Assessment {
    judge(&facts_of(&shared(plan), region), region)
}

fn blocks(finding: &Finding) -> bool {
    finding.rule.about.as_ref().unwrap().blocks_at(STAGE)
}

/// Whether a rule reads a forecast. Of all evidence weighed at once, one bad
/// piece the less may look better: such a rule may therefore neither clear nor
/// refuse nor hold back, and is only held to that.
fn forecasts(finding: &Finding) -> bool {
    let about = finding.rule.about.as_ref().unwrap();
    about.reads.iter().any(|read| FORECASTS.contains(&read.as_str()))
}

fn decides_nothing(finding: &Finding) -> bool {
    matches!(finding.outcome, Outcome::Caution | Outcome::DoesNotApply)
        || !blocks(finding) && finding.outcome == Outcome::FindOut
}

/// Knowing less: no finding becomes clear that was not, and where not knowing
/// blocks, nothing that refused or held back lets go.
fn never_cleared(before: &Assessment, after: &Assessment, what: &str) -> Result<(), TestCaseError> {
    for (b, a) in before.findings.iter().zip(&after.findings) {
        prop_assert_eq!(&b.rule.id, &a.rule.id);
        if forecasts(b) {
            prop_assert!(
                decides_nothing(b) && decides_nothing(a),
                "{}: {:?}, {:?}",
                b.rule.id,
                b.outcome,
                a.outcome
            );
            continue;
        }
        let passes = |f: &Finding| matches!(f.outcome, Outcome::Clear | Outcome::DoesNotApply);
        prop_assert!(
            passes(b) || !passes(a),
            "{}: {} was {:?} ({}) and became {:?} ({})",
            what,
            b.rule.id,
            b.outcome,
            b.why,
            a.outcome,
            a.why
        );
        if blocks(b) && answer_of(b) <= Answer::FindOut {
            prop_assert!(
                answer_of(a) <= Answer::FindOut,
                "{}: {} was {:?} ({}) and became {:?} ({})",
                what,
                b.rule.id,
                b.outcome,
                b.why,
                a.outcome,
                a.why
            );
        }
    }
    Ok(())
}

/// Facts of a site of which one is told otherwise.
struct Retold {
    inner: Rc<dyn FactSource>,
    name: &'static str,
    fact: Rc<Fact>,
}

impl FactSource for Retold {
    fn fact(&self, name: &str) -> Option<Rc<Fact>> {
        if name == self.name { Some(self.fact.clone()) } else { self.inner.fact(name) }
    }
}

fn config() -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|c| c.parse().ok()).unwrap_or(192);
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

/// A region that a failed test names instead of printing it whole.
#[derive(Clone)]
struct Shown(Arc<Region>);

impl std::fmt::Debug for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0.title)
    }
}

impl std::ops::Deref for Shown {
    type Target = Arc<Region>;

    fn deref(&self) -> &Arc<Region> {
        &self.0
    }
}

fn any_region() -> impl Strategy<Value = Shown> {
    (0..4_usize).prop_map(|i| Shown(regions()[i].clone()))
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn another_hazard_never_improves_the_verdict(plan in plan(), more in spot(), region in any_region()) {
        let mut worse = plan.clone();
        worse.hazards.push(more);
        let (before, after) = (assess_plan(&plan, &region), assess_plan(&worse, &region));
        for (b, a) in before.findings.iter().zip(&after.findings) {
            prop_assert!(answer_of(a) <= answer_of(b), "{}: {:?} {} -> {:?} {}", b.rule.id, b.outcome, b.why, a.outcome, a.why);
        }
        prop_assert!(after.verdict.answer <= before.verdict.answer);
    }

    #[test]
    fn a_hazard_moved_nearer_never_improves_the_verdict(
        plan in plan(), which in any::<prop::sample::Index>(), by in 0.0..1.0_f64, region in any_region()
    ) {
        prop_assume!(!plan.hazards.is_empty());
        let mut worse = plan.clone();
        let i = which.index(plan.hazards.len());
        worse.hazards[i].distance_m *= by;
        let (before, after) = (assess_plan(&plan, &region), assess_plan(&worse, &region));
        for (b, a) in before.findings.iter().zip(&after.findings) {
            prop_assert!(answer_of(a) <= answer_of(b), "{}: {:?} {} -> {:?} {}", b.rule.id, b.outcome, b.why, a.outcome, a.why);
        }
        prop_assert!(after.verdict.answer <= before.verdict.answer);
    }

    #[test]
    fn a_worse_accuracy_never_clears(plan in plan(), by in 1.0..10.0_f64, region in any_region()) {
        let before = assess_plan(&plan, &region);
        let widen = |a: &mut Option<f64>| *a = a.map(|a| a * by);
        let mut peg = plan.clone();
        widen(&mut peg.peg_accuracy_m);
        never_cleared(&before, &assess_plan(&peg, &region), "the peg's position")?;
        let mut hazards = plan.clone();
        hazards.hazards.iter_mut().for_each(|h| widen(&mut h.accuracy_m));
        never_cleared(&before, &assess_plan(&hazards, &region), "the hazards' positions")?;
        let mut wells = plan.clone();
        wells.wells.iter_mut().for_each(|w| widen(&mut w.accuracy_m));
        never_cleared(&before, &assess_plan(&wells, &region), "the wells' positions")?;
    }

    #[test]
    fn searching_less_far_never_clears(plan in plan(), by in 0.0..1.0_f64, region in any_region()) {
        let mut less = plan.clone();
        less.looked_for.values_mut().for_each(|r| *r *= by);
        never_cleared(&assess_plan(&plan, &region), &assess_plan(&less, &region), "looked for")?;
    }

    #[test]
    fn forgetting_an_observation_never_clears(plan in plan(), what in 0..FORGETTABLE, region in any_region()) {
        let mut less = plan.clone();
        forget(&mut less, what);
        never_cleared(&assess_plan(&plan, &region), &assess_plan(&less, &region), &format!("forgetting {what}"))?;
    }

    #[test]
    fn a_fact_made_unknown_never_clears(plan in plan(), which in 0..FACTS.len(), region in any_region()) {
        let inner = facts_of(&shared(&plan), &region);
        let name = FACTS[which].name;
        let known = inner.fact(name).unwrap();
        let unknown = Fact {
            value: Value::Unknown,
            missing: vec![forebore::facts::Missing::new(forebore::facts::AskKind::Ask, "Find it out.")],
            ..known.as_ref().clone()
        };
        let retold: Rc<dyn FactSource> = Rc::new(Retold { inner: inner.clone(), name, fact: Rc::new(unknown) });
        let before = judge(&inner, &region);
        let after = judge(&retold, &region);
        for (b, a) in before.findings.iter().zip(&after.findings) {
            let passes = |f: &Finding| matches!(f.outcome, Outcome::Clear | Outcome::DoesNotApply);
            prop_assert!(passes(b) || !passes(a), "{name}: {} {:?} -> {:?}", b.rule.id, b.outcome, a.outcome);
            if blocks(b) && answer_of(b) <= Answer::FindOut {
                prop_assert!(answer_of(a) <= Answer::FindOut, "{name}: {} {:?} -> {:?}", b.rule.id, b.outcome, a.outcome);
            }
        }
    }

    #[test]
    fn a_fact_made_wider_never_clears(
        plan in plan(), which in 0..FACTS.len(), by in 0.0..50.0_f64, open in 0..3_u8, region in any_region()
    ) {
        let inner = facts_of(&shared(&plan), &region);
        let name = FACTS[which].name;
        let known = inner.fact(name).unwrap();
        let Value::Estimate(e) = &known.value else { return Ok(()) };
        let wide = e.clone()
            .perhaps_down_to(if open == 1 { None } else { e.low().map(|l| l - by) })
            .perhaps_up_to(if open == 2 { None } else { e.high().map(|h| h + by) });
        let fact = Fact { value: Value::Estimate(wide), ..known.as_ref().clone() };
        let retold: Rc<dyn FactSource> = Rc::new(Retold { inner: inner.clone(), name, fact: Rc::new(fact) });
        let (before, after) = (judge(&inner, &region), judge(&retold, &region));
        never_cleared(&before, &after, name)?;
        for (b, a) in before.findings.iter().zip(&after.findings) {
            prop_assert!(!forecasts(b) || answer_of(a) <= answer_of(b), "{name}: {} {:?} -> {:?}", b.rule.id, b.outcome, a.outcome);
        }
    }

    #[test]
    fn a_plain_go_rests_on_no_unknown(plan in plan(), region in any_region()) {
        let assessment = assess_plan(&plan, &region);
        for f in &assessment.findings {
            if answer_of(f) == Answer::Go {
                for e in &f.evidence {
                    prop_assert!(e.fact.value != Value::Unknown, "{}: {}", f.rule.id, e.name);
                }
            }
        }
        if assessment.verdict.answer == Answer::Go {
            prop_assert!(assessment.verdict.asks.is_empty());
        }
    }

    #[test]
    fn turned_or_mirrored_it_is_the_same_site(plan in plan(), by in 0.0..360.0_f64, mirror in any::<bool>(), region in any_region()) {
        let (before, after) = (assess_plan(&plan, &region), assess_plan(&plan.turned(by, mirror), &region));
        for (b, a) in before.findings.iter().zip(&after.findings) {
            prop_assert_eq!(b.outcome, a.outcome, "{}: {} -> {}", b.rule.id, b.why, a.why);
        }
        prop_assert_eq!(before.verdict.answer, after.verdict.answer);
    }

    #[test]
    fn the_order_of_the_input_changes_no_byte(plan in plan(), seed in any::<u64>(), region in any_region()) {
        let survey = plan.survey();
        let mut other = survey.clone();
        let mut state = seed;
        let mut shuffle = |n: usize| { state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407); (state >> 33) as usize % n.max(1) };
        for i in (1..other.hazards.len()).rev() { other.hazards.swap(i, shuffle(i + 1)); }
        for i in (1..other.wells.len()).rev() { other.wells.swap(i, shuffle(i + 1)); }
        other.plan.methods.reverse();
        prop_assert_eq!(json(survey, &region), json(other, &region));
    }

    #[test]
    fn no_number_in_a_report_is_beyond_counting(plan in plan(), region in any_region()) {
        let text = json(plan.survey(), &region);
        let odd = |word: &str| matches!(word, "NaN" | "inf" | "infinity");
        prop_assert!(!text.split(|c: char| !c.is_alphanumeric()).any(odd));
        prop_assert!(serde_json::from_str::<serde_json::Value>(&text).is_ok());
    }
}

fn json(survey: Survey, region: &Arc<Region>) -> String {
    let survey = Arc::new(survey);
    let facts = facts_of(&survey, region);
    let assessment = judge(&facts, region);
    let report = report::build(&report::Inputs {
        survey: &survey,
        survey_sources: &Sources::new(),
        region,
        rules: rules(),
        facts: &facts,
        site: None,
        free_ground: None,
        assessment: &assessment,
    });
    report::json::render(&report)
}
