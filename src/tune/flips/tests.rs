//! What turns a finding, on small invented surveys.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::expect_used, clippy::float_cmp)]

use std::rc::Rc;
use std::sync::Arc;

use super::{Change, Flip, PlanFigure, Trials, flips};
use crate::diag::{Problems, Sources};
use crate::facts::{FactSource, SiteFacts, Value};
use crate::region::{self, Region};
use crate::rules::{Judge, Outcome, RuleSet};
use crate::survey::{self, Method, Stage};
use crate::verdict::{Answer, assess};

/// A peg among nothing, everything about it searched for.
const BARE: &str = r#"
[peg]
name = "Invented yard"
at = { lat = 12.0, lon = -3.0, accuracy_m = 3 }
[visit]
date = 2026-05-14
"#;

fn region(change: impl FnOnce(&mut Region)) -> Arc<Region> {
    let mut region = region::load("river-alluvium", None, &mut Sources::new(), &mut Problems::new()).unwrap();
    change(&mut region);
    Arc::new(region)
}

/// The facts of a survey, its file written for the occasion.
fn site(more: &str, region: &Arc<Region>) -> Rc<SiteFacts> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("survey.toml");
    std::fs::write(&file, format!("{BARE}{more}")).unwrap();
    let mut problems = Problems::new();
    let survey = survey::read_survey(&file, &mut Sources::new(), &mut problems);
    assert!(problems.is_empty(), "{problems:?}");
    Rc::new(SiteFacts::of_survey(&survey.unwrap(), region.clone()))
}

fn found(more: &str, region: &Arc<Region>) -> Vec<Flip> {
    let site = site(more, region);
    let set = RuleSet::built_in(&mut Sources::new(), &mut Problems::new());
    let judge = Judge::new(&set);
    let facts: Rc<dyn FactSource> = site.clone();
    let assessment = assess(&judge, &facts, region, Stage::Mobilisation);
    flips(&Trials::new(&judge, region, &site, &assessment))
}

fn of(more: &str, rule: &str) -> Vec<Flip> {
    found(more, &region(|_| {})).into_iter().filter(|f| f.rule == rule).collect()
}

/// A latrine north of the peg, searched for far around.
fn latrine(distance_m: f64) -> String {
    format!(
        "[looked_for]\n\"pit latrine\" = 200\n[[hazard]]\nkind = \"pit latrine\"\nname = \"latrine\"\n\
         from_peg = {{ bearing_deg = 0, distance_m = {distance_m}, accuracy_m = 0.01 }}\n"
    )
}

#[test]
fn the_peg_moves_away_from_a_latrine_as_far_as_the_stop_asks() {
    let exact = region(|r| r.priors.get_mut("bearing_error_deg").unwrap().value = 0.0);
    let flips = found(&latrine(10.5), &exact);
    let flip = flips.iter().find(|f| f.rule == "pit-latrine").unwrap();
    // From 10.5 m to 15 m: 4.5 m, in whole metres 5.
    assert_eq!(flip.change, Change::Move { bearing_deg: 180.0, distance_m: 5.0 });
    assert_eq!((flip.from, flip.to), (Outcome::Stop, Outcome::Caution));
}

#[test]
fn a_compass_that_is_off_makes_the_move_longer() {
    let flips = of(&latrine(10.5), "pit-latrine");
    // Ten degrees off at 10.5 m are 1.8 m: from 8.7 m to 15 m.
    assert_eq!(flips[0].change, Change::Move { bearing_deg: 180.0, distance_m: 7.0 });
}

#[test]
fn a_move_says_what_was_seen_at_the_old_peg_only() {
    let flips = of(&latrine(10.5), "pit-latrine");
    assert!(flips[0].text.contains("bearing 180 (south)") && flips[0].text.contains("look at them there"));
    let room = format!("{}[ground]\nworking_room_m = 12\nslope_pct = 2\n", latrine(10.5));
    let flips = of(&room, "pit-latrine");
    assert!(!flips[0].text.contains("look at them there"), "{}", flips[0].text);
}

#[test]
fn at_a_moved_peg_less_is_known() {
    let region = region(|_| {});
    let more =
        "[looked_for]\nsewer = 60\n[ground]\nflooding = \"never\"\nworking_room_m = 5\noutcrop_m = 100\n";
    let site = site(more, &region);
    let near = Change::Move { bearing_deg: 90.0, distance_m: 3.0 }.apply(&site).unwrap();
    let far = Change::Move { bearing_deg: 90.0, distance_m: 20.0 }.apply(&site).unwrap();
    let low = |facts: &Rc<dyn FactSource>, name: &str| match &facts.fact(name).unwrap().value {
        Value::Estimate(e) => e.low(),
        _ => None,
    };
    assert_eq!((low(&near, "nearest_sewer_m"), low(&far, "nearest_sewer_m")), (Some(57.0), Some(40.0)));
    assert_eq!(near.fact("flooding").unwrap().value, Value::Word("never"));
    assert_eq!(far.fact("flooding").unwrap().value, Value::Unknown);
    assert_eq!(far.fact("working_room_m").unwrap().value, Value::Unknown);
    let outcrop = |facts: &Rc<dyn FactSource>| match facts.fact("outcrop_m").unwrap().value.clone() {
        Value::Estimate(e) => (e.low().unwrap(), e.high().unwrap()),
        _ => panic!("not a number"),
    };
    let here = outcrop(&(site as Rc<dyn FactSource>));
    let there = outcrop(&far);
    assert!((here.0 - there.0 - 20.0).abs() < 1e-9 && (there.1 - here.1 - 20.0).abs() < 1e-9);
}

#[test]
fn a_move_does_not_run_into_another_stop() {
    // A line runs where the latrine would be fled to.
    let second = format!(
        "{}[[hazard]]\nkind = \"overhead line\"\nfrom_peg = {{ bearing_deg = 180, distance_m = 10, accuracy_m = 0.01 }}\n",
        latrine(10.5)
    );
    let flips = of(&second, "pit-latrine");
    let Change::Move { bearing_deg, distance_m } = flips[0].change else { panic!("{:?}", flips[0]) };
    let region = region(|_| {});
    let set = RuleSet::built_in(&mut Sources::new(), &mut Problems::new());
    let line = |bearing_deg: f64| {
        let facts = Change::Move { bearing_deg, distance_m }.apply(&site(&second, &region)).unwrap();
        let limits = Rc::new(region.limits.clone());
        Judge::new(&set).judge_one("overhead-line", Stage::Mobilisation, &facts, &limits).unwrap().outcome
    };
    assert_eq!(line(180.0), Outcome::Stop);
    assert_ne!(line(bearing_deg), Outcome::Stop);
}

#[test]
fn what_nobody_searched_for_is_not_cured_by_a_move() {
    let flips = of("", "fuel-store");
    assert_eq!(flips.len(), 1);
    let Change::Number { fact, at_least, at_most, open, .. } = &flips[0].change else { panic!() };
    let limit = region(|_| {}).limits["fuel_store_stop_m"].value;
    assert_eq!(
        (fact.as_str(), *at_least, *at_most, *open),
        ("nearest_fuel_store_m", Some(limit), None, true)
    );
}

#[test]
fn a_reading_beyond_the_limit_turns_at_the_limit() {
    let well = "[[well]]\nname = \"bore\"\nfrom_peg = { bearing_deg = 0, distance_m = 3, accuracy_m = 0.1 }\n\
                made = \"trial bore\"\ndepth_m = 20\nwater_level_m = 5\nquality = { iron_mg_l = 1.5 }\n";
    let flips = of(well, "iron");
    let Change::Number { at_least, at_most, open, .. } = &flips[0].change else { panic!("{:?}", flips[0]) };
    let limit = region(|_| {}).limits["iron_caution_mg_l"].value;
    assert_eq!((*at_least, *at_most, *open), (None, Some(limit), false));
    assert!(flips[0].text.contains("where it is"), "{}", flips[0].text);
    assert_eq!(flips[0].price, None);
}

#[test]
fn a_paper_not_yet_in_hand_turns_by_its_word() {
    let flips = of("[permission]\npermit = \"applied\"\n", "permit");
    let Change::Word { words, .. } = &flips[0].change else { panic!("{:?}", flips[0]) };
    assert_eq!(*words, ["yes", "not needed"]);
}

#[test]
fn bad_news_that_hands_the_matter_to_another_rule_is_no_help() {
    // Of fast ground the rule on travel time says nothing; another stops it.
    let flips = of(&latrine(60.0), "travel-time");
    let words = flips.iter().filter(|f| matches!(f.change, Change::Word { .. }));
    assert_eq!(words.count(), 0, "{flips:?}");
}

#[test]
fn work_in_the_rains_turns_by_waiting_for_the_dry_months() {
    let flips = of("[plan]\nstart = 2026-08-03\n", "season");
    let region = region(|_| {});
    let Change::Start { on } = &flips[0].change else { panic!("{:?}", flips[0]) };
    assert!(
        region.calendar.driest_months.contains(&on.month())
            || !region.calendar.wet_months.contains(&on.month())
    );
    assert_eq!((on.day(), flips[0].price), (1, Some(0.0)));
}

/// A trial bore that tells of water and ground.
const BORE: &str = r#"
[[well]]
name = "bore"
from_peg = { bearing_deg = 0, distance_m = 3, accuracy_m = 0.1 }
made = "trial bore"
depth_m = 20
water_level_m = 6
measured = 2026-05-14
season = "dry"
yield_lps = 0.25
log = [ { to_m = 2, material = "silt" }, { to_m = 20, material = "medium sand" } ]
"#;

#[test]
fn fewer_people_turn_a_want_of_water() {
    let need = "[need]\npeople = 600\nlitres_per_person_day = 20\nother_litres_per_day = 0\n\
                [plan]\nlift = \"direct-action hand pump\"\n";
    let flips = of(&format!("{need}{BORE}"), "demand");
    let figure = flips.iter().find_map(|f| match f.change {
        Change::Figure { which: PlanFigure::People, from, to } => Some((from, to)),
        _ => None,
    });
    let (from, to) = figure.unwrap();
    // A day's water by what each has, both from the region and the survey.
    let region = region(|_| {});
    let lps = region.lifts["direct-action hand pump"].flow_lps.value.min(0.25);
    let most = lps * 3600.0 * region.priors["pumping_hours_per_day"].value / 20.0;
    assert_eq!(from, 600.0);
    assert!(to <= most && to > 0.9 * most, "{to} of {most}");
}

#[test]
fn a_larger_sum_turns_a_want_of_money() {
    let plan = "[plan]\nmethods = [\"sludging\"]\nlift = \"rope pump\"\nbudget = { amount = 300, currency = \"USD\" }\n";
    let flips = of(&format!("{plan}{BORE}"), "budget");
    let flip = flips.iter().find(|f| matches!(f.change, Change::Figure { which: PlanFigure::Budget, .. }));
    let flip = flip.unwrap_or_else(|| panic!("{flips:?}"));
    let Change::Figure { from, to, .. } = flip.change else { panic!() };
    assert_eq!(flip.price, Some(to - from));
    assert!(to > from && flip.text.contains("USD"), "{}", flip.text);
}

#[test]
fn a_method_that_does_without_fluid_turns_a_want_of_drilling_water() {
    let plan = "[plan]\nmethods = [\"sludging\"]\ndrilling_water_l_per_day = 50\n";
    let flips = of(&format!("{plan}{BORE}"), "drilling-water");
    let methods: Vec<Method> = flips
        .iter()
        .filter_map(|f| match f.change {
            Change::Method { method, .. } => Some(method),
            _ => None,
        })
        .collect();
    let region = region(|_| {});
    assert_eq!(methods.len(), 1, "{flips:?}");
    assert!(!region.methods[&methods[0]].needs_fluid);
}

#[test]
fn two_wells_of_which_nothing_else_is_known_want_one_more_like_them() {
    let more = BORE.replace("distance_m = 3", "distance_m = 300").replace("trial bore", "hand-drilled");
    let second = more.replace("bearing_deg = 0", "bearing_deg = 90").replace("\"bore\"", "\"second\"");
    let flips = of(&format!("{more}{second}"), "evidence");
    let counts: Vec<usize> = flips
        .iter()
        .filter_map(|f| match &f.change {
            Change::Wells { count, .. } => Some(*count),
            _ => None,
        })
        .collect();
    let wanted = region(|_| {}).limits["evidence_points_caution_count"].value;
    assert_eq!(counts, [(wanted - 2.0) as usize], "{flips:?}");
}

#[test]
fn the_cheapest_stands_first_and_few_are_told() {
    let flips = found(&format!("{}{BORE}", latrine(20.0)), &region(|_| {}));
    assert!(!flips.is_empty());
    let price = |f: &Flip| f.price.unwrap_or(f64::MAX);
    for pair in flips.windows(2).filter(|p| p[0].rule == p[1].rule) {
        assert!(price(&pair[0]) <= price(&pair[1]), "{pair:?}");
    }
    for f in &flips {
        assert!(flips.iter().filter(|g| g.rule == f.rule).count() <= 3);
        assert!(f.to_alone > f.from_alone && f.from_alone < Answer::Go, "{f:?}");
    }
}
