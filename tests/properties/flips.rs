//! What is said to change the answer does so when it is done, and nothing
//! less does.

use std::rc::Rc;
use std::sync::Arc;

use forebore::facts::{FactSource, SiteFacts};
use forebore::region::Region;
use forebore::rules::Finding;
use forebore::tune::flips::{Change, Flip, Trials, flips};
use forebore::units::Unit;
use forebore::verdict::{Answer, Assessment, answer_of};
use proptest::prelude::*;

use super::levelled::plan;
use super::random::{Plan2, shared};
use super::{JUDGE, any_region, config, judge};

/// The directions in which a peg is moved.
const BEARINGS: u32 = 16;

fn all(plan: &Plan2, region: &Arc<Region>) -> (Assessment, Vec<Flip>) {
    let site = Rc::new(SiteFacts::of_survey(&shared(plan), region.clone()));
    let assessment = judge(&(site.clone() as Rc<dyn FactSource>), region);
    let found = JUDGE.with(|j| flips(&Trials::new(j, region, &site, &assessment)));
    (assessment, found)
}

fn finding<'a>(assessment: &'a Assessment, rule: &str) -> &'a Finding {
    assessment.findings.iter().find(|f| f.rule.id == rule).unwrap()
}

fn after(plan: &Plan2, region: &Arc<Region>, change: &Change) -> Option<Assessment> {
    // Facts of its own, so that nothing is left over from the search.
    let fresh = Rc::new(SiteFacts::of_survey(&shared(plan), region.clone()));
    change.apply(&fresh).map(|facts| judge(&facts, region))
}

/// What the search wanted of a finding, to have been content with this.
fn wanted(f: &Flip) -> Answer {
    match f.from_alone {
        Answer::GoIf | Answer::Go => Answer::Go,
        _ => f.to_alone.min(Answer::GoIf),
    }
}

/// Each case judges a survey hundreds of times.
fn few() -> ProptestConfig {
    ProptestConfig { cases: (config().cases / 8).max(1), ..config() }
}

proptest! {
    #![proptest_config(few())]

    #[test]
    fn a_change_made_does_what_was_said(plan in plan(), region in any_region()) {
        let (before, found) = all(&plan, &region);
        for f in &found {
            let after = after(&plan, &region, &f.change).unwrap();
            let to = finding(&after, &f.rule);
            prop_assert_eq!(finding(&before, &f.rule).outcome, f.from);
            prop_assert_eq!(to.outcome, f.to, "{:?}", f);
            prop_assert_eq!(answer_of(to), f.to_alone);
            prop_assert!(f.to_alone > f.from_alone, "{:?}", f);
            prop_assert_eq!(after.verdict.answer, f.verdict_after, "{:?}", f);
        }
    }

    #[test]
    fn a_number_a_little_short_of_it_does_not(plan in plan(), region in any_region()) {
        let (_, found) = all(&plan, &region);
        for f in &found {
            let Change::Number { fact, unit, at_least, at_most, open } = &f.change else { continue };
            let step = |x: f64| if *unit == Unit::Count { 1.0 } else { 0.02 * x.abs() + 1e-4 };
            let short = [at_least.map(|a| a - step(a)), at_most.map(|b| b + step(b))];
            for x in short.into_iter().flatten() {
                let less = Change::Number {
                    fact: fact.clone(), unit: *unit, at_least: Some(x), at_most: None, open: *open,
                };
                let after = after(&plan, &region, &less).unwrap();
                prop_assert!(answer_of(finding(&after, &f.rule)) < wanted(f), "{} turns {:?}", x, f);
            }
        }
    }

    #[test]
    fn a_move_a_metre_shorter_does_not(plan in plan(), region in any_region()) {
        let (before, found) = all(&plan, &region);
        for f in &found {
            let Change::Move { distance_m, .. } = f.change else { continue };
            let distance_m = distance_m - 1.0;
            for point in (0..BEARINGS).filter(|_| distance_m > 0.0) {
                let bearing_deg = f64::from(point) * 360.0 / f64::from(BEARINGS);
                let shorter = Change::Move { bearing_deg, distance_m };
                let after = after(&plan, &region, &shorter).unwrap();
                let new_stop = after.findings.iter().any(|g| {
                    answer_of(g) == Answer::NoGo && answer_of(finding(&before, &g.rule.id)) > Answer::NoGo
                });
                let turned = answer_of(finding(&after, &f.rule)) >= wanted(f);
                prop_assert!(!turned || new_stop, "{} m to {} turns {:?}", distance_m, bearing_deg, f);
            }
        }
    }

    #[test]
    fn what_changes_the_answer_is_the_same_twice(plan in plan(), region in any_region()) {
        prop_assert_eq!(all(&plan, &region).1, all(&plan, &region).1);
    }
}
