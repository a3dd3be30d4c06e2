//! What the region files that come with the binary must hold together with
//! the rest of the program.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeSet;

use forebore::diag::{Problems, Sources, render};
use forebore::facts::AskKind;
use forebore::region::{self, Basis, Region, UNSTATED};
use forebore::survey::Method;

fn load(id: &str) -> Region {
    let mut sources = Sources::new();
    let mut problems = Problems::new();
    let region = region::load(id, None, &mut sources, &mut problems);
    assert!(problems.is_empty(), "{id}:\n{}", render(&problems, &sources, false));
    region.unwrap()
}

fn all() -> Vec<Region> {
    let ids = region::settings().into_iter().map(|(id, _)| id);
    ids.chain([UNSTATED.to_owned()]).map(|id| load(&id)).collect()
}

#[test]
fn every_built_in_region_loads_without_a_problem() {
    assert_eq!(all().len(), region::settings().len() + 1);
}

#[test]
fn the_settings_people_name_are_there() {
    let ids: BTreeSet<_> = region::settings().into_iter().map(|(id, _)| id).collect();
    for id in [
        "river-alluvium",
        "gravel-alluvium",
        "coastal-sand",
        "clay-delta",
        "weathered-basement",
        "laterite-plateau",
        "limestone",
        "volcanic",
    ] {
        assert!(ids.contains(id), "{id} is missing from {ids:?}");
    }
}

#[test]
fn every_region_has_the_same_limits_and_priors_each_with_source_and_purpose() {
    let plain = load(UNSTATED);
    for region in all() {
        assert!(region.limits.keys().eq(plain.limits.keys()), "{}", region.id);
        assert!(region.priors.keys().eq(plain.priors.keys()), "{}", region.id);
        for figure in region.limits.values().chain(region.priors.values()) {
            assert!(figure.source.len() >= 10, "{} {}: {}", region.id, figure.name, figure.source);
            assert!(figure.about.ends_with('.'), "{} {}: {}", region.id, figure.name, figure.about);
            assert!(figure.value.is_finite() && figure.value >= 0.0, "{} {}", region.id, figure.name);
        }
    }
}

#[test]
fn a_source_that_says_common_practice_does_not_claim_more() {
    for region in all() {
        for figure in region.limits.values().chain(region.priors.values()) {
            let says = figure.source.starts_with("Common practice");
            let claims = figure.basis == Basis::Published;
            assert!(!(says && claims), "{} {}: {}", region.id, figure.name, figure.source);
        }
    }
}

#[test]
fn every_method_and_every_way_of_finding_out_has_its_figures() {
    for region in all() {
        assert!(region.methods.keys().eq(Method::ALL.iter()), "{}", region.id);
        let asks: BTreeSet<_> = region.asks.keys().map(String::as_str).collect();
        assert_eq!(asks, AskKind::ALL.map(AskKind::name).into(), "{}", region.id);
        let kinds: BTreeSet<_> = region::ASK_KINDS.into();
        assert_eq!(kinds, AskKind::ALL.map(AskKind::name).into());
    }
}

#[test]
fn looking_and_asking_come_cheaper_than_boring() {
    for region in all() {
        let price = |kind: AskKind| region.asks.get(kind.name()).map(|a| a.price.value);
        let prices: Vec<_> = AskKind::ALL.into_iter().map(price).collect();
        assert!(prices.is_sorted(), "{}: {prices:?}", region.id);
    }
}

#[test]
fn distance_alone_is_not_trusted_in_open_ground_or_where_the_setting_is_not_stated() {
    let trusted = |id: &str| load(id).distance_protects;
    for id in ["limestone", "volcanic", "gravel-alluvium", UNSTATED] {
        assert!(!trusted(id), "{id}");
    }
    assert!(trusted("river-alluvium"));
}

#[test]
fn open_ground_keeps_latrines_farther_off() {
    let stop = |id: &str| load(id).limits.get("pit_latrine_stop_m").map(|f| f.value);
    for id in ["limestone", "volcanic", "gravel-alluvium", "laterite-plateau"] {
        assert!(stop(id) > stop(UNSTATED), "{id}");
    }
}

#[test]
fn no_month_is_known_where_nobody_stated_the_setting() {
    let calendar = load(UNSTATED).calendar;
    assert!(calendar.wet_months.is_empty() && calendar.driest_months.is_empty());
}

#[test]
fn a_settings_months_hold_on_its_own_side_of_the_equator() {
    let calendar = load("weathered-basement").calendar;
    assert!(calendar.holds_at(-13.9) && !calendar.holds_at(13.9));
}

#[test]
fn a_reading_of_unstated_accuracy_is_taken_for_a_loose_one() {
    let least = load(UNSTATED).priors.get("unstated_accuracy_m").map(|f| f.value);
    assert!(least >= Some(50.0), "{least:?}");
}
