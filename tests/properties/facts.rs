//! The same promises one floor below: what is known of a fact never narrows
//! by knowing less, and never gets better by standing closer.

use std::sync::Arc;

use forebore::facts::{FACTS, FORECASTS, FactSource, SiteFacts, Value};
use forebore::ground::slopes::NoSlopes;
use forebore::region::Region;
use forebore::survey::{HazardKind, Survey};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::forget::{FLOW_FORGETTABLE, FORGETTABLE, forget};
use super::levelled::{levelled, plan};
use super::random::{Plan2, Spot, spot};
use super::{any_region, config};

/// Rounding in sums of figures of some thousands.
const ROUNDING: f64 = 1e-6;

fn facts(survey: &Survey, region: &Arc<Region>) -> SiteFacts {
    SiteFacts::of_survey(survey, region.clone())
}

fn low(value: &Value) -> f64 {
    match value {
        Value::Estimate(e) => e.low().unwrap_or(f64::NEG_INFINITY),
        _ => f64::NEG_INFINITY,
    }
}

fn high(value: &Value) -> f64 {
    match value {
        Value::Estimate(e) => e.high().unwrap_or(f64::INFINITY),
        _ => f64::INFINITY,
    }
}

fn slack(x: f64) -> f64 {
    if x.is_finite() { ROUNDING * x.abs().max(1.0) } else { 0.0 }
}

/// Words of which one may turn into a later one by knowing less; "perhaps"
/// says less than yes and no do.
const WORSE: &[(&str, &[&str])] = &[
    ("level_season", &["dry", "corrected", "wet, swing unknown", "date unknown"]),
    ("pit_near", &["no", "yes", "perhaps"]),
];

fn never_narrower(
    before: &Plan2,
    after: &Plan2,
    region: &Arc<Region>,
    what: &str,
) -> Result<(), TestCaseError> {
    let (a, b) = (facts(&before.survey(), region), facts(&after.survey(), region));
    // A forecast weighs all evidence at once: it is not one of these.
    for def in FACTS.iter().filter(|d| !FORECASTS.contains(&d.name)) {
        let (a, b) = (a.fact(def.name).unwrap(), b.fact(def.name).unwrap());
        let tell = || format!("{what}: {} was {:?} and became {:?}", def.name, a.value, b.value);
        match (&a.value, &b.value) {
            (_, Value::Unknown) => prop_assert!(!b.missing.is_empty(), "{}", tell()),
            (Value::Unknown, Value::Word("perhaps")) => {}
            (Value::Unknown, _) => prop_assert!(false, "{}", tell()),
            (Value::Word(x), Value::Word(y)) => {
                let order = WORSE.iter().find(|w| w.0 == def.name).map_or(&[][..], |w| w.1);
                let place = |word: &str| order.iter().position(|o| *o == word);
                prop_assert!(x == y || place(y) > place(x), "{}", tell());
            }
            (x, y) => {
                prop_assert!(low(y) <= low(x) + slack(low(x)), "{}", tell());
                prop_assert!(high(y) >= high(x) - slack(high(x)), "{}", tell());
            }
        }
    }
    Ok(())
}

/// A taped latrine within reach of the rules.
fn source() -> impl Strategy<Value = Spot> {
    (0.0..360.0, 20.0..150.0).prop_map(|(bearing_deg, distance_m)| Spot {
        kind: HazardKind::PitLatrine,
        bearing_deg,
        distance_m,
        accuracy_m: Some(0.5),
        taped: false,
        pit_depth_m: None,
    })
}

/// Facts that grow better with their number, by hazards.
fn of_hazards(name: &str) -> bool {
    name.starts_with("nearest_") && name.ends_with("_m")
        || ["pit_to_water_m", "overhead_line_margin_m", "least_travel_time_days"].contains(&name)
}

fn never_better(before: &Plan2, after: &Plan2, region: &Arc<Region>) -> Result<(), TestCaseError> {
    let (a, b) = (facts(&before.survey(), region), facts(&after.survey(), region));
    for def in FACTS {
        let (a, b) = (a.fact(def.name).unwrap(), b.fact(def.name).unwrap());
        let tell = || format!("{} was {:?} and became {:?}", def.name, a.value, b.value);
        match def.name {
            "pit_near" => {
                let [no, perhaps, yes] = ["no", "perhaps", "yes"].map(Value::Word);
                let worse: &[Value] = match a.value {
                    Value::Word("no") => &[no, Value::Unknown, perhaps, yes],
                    Value::Word("perhaps") => &[perhaps, yes],
                    Value::Word(_) => &[yes],
                    Value::Unknown | Value::Estimate(_) => &[Value::Unknown, perhaps, yes],
                };
                prop_assert!(worse.contains(&b.value), "{}", tell());
            }
            name if of_hazards(name) => {
                // Of what nobody searched for, something at the peg itself was
                // possible all along.
                let was = if a.value == Value::Unknown { 0.0 } else { low(&a.value) };
                prop_assert!(low(&b.value) <= was + slack(was), "{}", tell());
                // Nearer, a direction is less well known: what surely lay on
                // the upper side may then lie there only perhaps.
                let side = name.contains("_up") || name == "least_travel_time_days";
                prop_assert!(side || high(&b.value) <= high(&a.value) + slack(high(&a.value)), "{}", tell());
            }
            _ => prop_assert_eq!(&a.value, &b.value, "{}", def.name),
        }
    }
    Ok(())
}

/// The ends, which rules judge by, are the same but for rounding. The likely
/// value may lie at the brink of a weighted median and fall to either side,
/// since the ground curves and a mirrored site is a little another one.
fn same(a: &Value, b: &Value) -> bool {
    let near = |x: Option<f64>, y: Option<f64>| match (x, y) {
        (Some(x), Some(y)) => (x - y).abs() <= slack(x),
        (x, y) => x.is_none() && y.is_none(),
    };
    match (a, b) {
        (Value::Estimate(a), Value::Estimate(b)) => {
            near(a.low(), b.low()) && a.value().is_some() == b.value().is_some() && near(a.high(), b.high())
        }
        (a, b) => a == b,
    }
}

/// The promises about the flow would be empty if levels never told it.
#[test]
fn levels_tell_the_direction_in_many_of_the_random_surveys() {
    let mut runner = TestRunner::deterministic();
    let region = super::regions()[0].clone();
    let told = (0..200).filter(|_| {
        let plan = levelled().new_tree(&mut runner).unwrap().current();
        let flow = facts(&plan.survey(), &region).flow().unwrap();
        assert!(!flow.contradicts_stated, "{flow:?}");
        assert_ne!(flow.possible, Err(NoSlopes::Contradict.to_string()), "{flow:?}");
        flow.possible.is_ok()
    });
    let told = told.count();
    assert!(told >= 40, "only {told} of 200");
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn another_hazard_never_betters_a_fact(plan in plan(), more in spot(), region in any_region()) {
        let mut worse = plan.clone();
        worse.hazards.push(more);
        never_better(&plan, &worse, &region)?;
    }

    #[test]
    fn a_hazard_moved_nearer_never_betters_a_fact(
        plan in plan(), which in any::<prop::sample::Index>(), by in 0.0..1.0_f64, region in any_region()
    ) {
        let mut worse = plan.clone();
        if !plan.hazards.is_empty() {
            worse.hazards[which.index(plan.hazards.len())].distance_m *= by;
        }
        never_better(&plan, &worse, &region)?;
    }

    #[test]
    fn a_worse_accuracy_never_narrows_a_fact(
        plan in plan(), by in 1.0..30.0_f64, what in 0..3_u8, region in any_region()
    ) {
        let widen = |a: &mut Option<f64>| *a = a.map(|a| a * by);
        let mut less = plan.clone();
        match what {
            0 => widen(&mut less.peg_accuracy_m),
            1 => less.hazards.iter_mut().for_each(|h| widen(&mut h.accuracy_m)),
            _ => less.wells.iter_mut().for_each(|w| widen(&mut w.accuracy_m)),
        }
        never_narrower(&plan, &less, &region, "accuracy")?;
    }

    #[test]
    fn searching_less_far_never_narrows_a_fact(plan in plan(), by in 0.0..1.0_f64, region in any_region()) {
        let mut less = plan.clone();
        less.looked_for.values_mut().for_each(|r| *r *= by);
        never_narrower(&plan, &less, &region, "looked for")?;
    }

    #[test]
    fn forgetting_an_observation_never_narrows_a_fact(
        plan in plan(), what in 0..FORGETTABLE, region in any_region()
    ) {
        let mut less = plan.clone();
        forget(&mut less, what);
        never_narrower(&plan, &less, &region, &format!("forgetting {what}"))?;
    }

    /// The same where all hangs on the flow: everything was searched for, there
    /// are sources on many sides, and what is forgotten bears on the levels.
    #[test]
    fn forgetting_what_tells_the_flow_never_narrows_a_fact(
        plan in levelled(), sources in prop::collection::vec(source(), 3..12),
        what in prop::sample::select(FLOW_FORGETTABLE.to_vec()), basement in any::<bool>()
    ) {
        let region = &super::regions()[usize::from(basement)];
        let mut plan = plan;
        plan.hazards = sources;
        plan.looked_for = HazardKind::ALL.into_iter().map(|k| (k, 400.0)).collect();
        let mut less = plan.clone();
        forget(&mut less, what);
        never_narrower(&plan, &less, region, &format!("forgetting {what}"))?;
    }

    #[test]
    fn turned_or_mirrored_every_fact_is_the_same(
        plan in plan(), by in 0.0..360.0_f64, mirror in any::<bool>(), region in any_region()
    ) {
        let a = facts(&plan.survey(), &region);
        let b = facts(&plan.turned(by, mirror).survey(), &region);
        // A virtual bore at the brink may fall either way by rounding.
        for def in FACTS.iter().filter(|d| !FORECASTS.contains(&d.name)) {
            let (a, b) = (a.fact(def.name).unwrap(), b.fact(def.name).unwrap());
            prop_assert!(same(&a.value, &b.value), "{}: {:?} and {:?}", def.name, a.value, b.value);
        }
    }

    #[test]
    fn the_order_of_hazards_and_wells_changes_no_fact(plan in plan(), region in any_region()) {
        let survey = plan.survey();
        let mut other = survey.clone();
        other.hazards.reverse();
        other.wells.reverse();
        let (a, b) = (facts(&survey, &region), facts(&other, &region));
        for def in FACTS {
            prop_assert_eq!(a.fact(def.name).unwrap(), b.fact(def.name).unwrap(), "{}", def.name);
        }
    }
}
