//! What each fact says, one behaviour a test, on small invented surveys.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::expect_used, clippy::float_cmp)]

mod flow;
mod ground;
mod hazards;
mod need;
mod search;
mod travel;
mod water;
mod work;

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::{Arc, OnceLock};

use jiff::civil::date;

use super::{AskKind, Fact, FactSource, SiteFacts, Value};
use crate::diag::{Origin, Problems, Sources};
use crate::place::destination;
use crate::region::{self, Region};
use crate::survey::*;
use crate::units::Estimate;

/// North of the equator in the dry months of the river's year.
pub(super) fn peg() -> LonLat {
    LonLat::new(-3.0, 12.0).unwrap()
}

pub(super) fn line(n: usize) -> Origin {
    Origin::new("survey.toml", n, 1)
}

pub(super) fn seen<T>(value: T) -> Option<Seen<T>> {
    Some(Seen::new(value, line(9)))
}

/// The river's region, as it comes with the binary.
pub(super) fn river() -> Arc<Region> {
    static RIVER: OnceLock<Arc<Region>> = OnceLock::new();
    let load = || {
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        Arc::new(region::load("river-alluvium", None, &mut sources, &mut problems).unwrap())
    };
    RIVER.get_or_init(load).clone()
}

/// The same with something changed.
pub(super) fn river_with(change: impl FnOnce(&mut Region)) -> Arc<Region> {
    let mut region = river().as_ref().clone();
    change(&mut region);
    Arc::new(region)
}

/// A peg about which nothing is known but where it is.
pub(super) fn bare() -> Survey {
    let at = Position { at: peg(), accuracy: Accuracy::Stated(3.0), frame: Frame::Wgs84, taped_m: None };
    Survey {
        file: "survey.toml".into(),
        region: None,
        peg: Peg {
            name: Seen::new("lower yard".to_owned(), line(2)),
            at: Seen::new(at, line(3)),
            elevation_m: None,
            elevation_accuracy_m: None,
        },
        visited: seen(date(2026, 5, 14)),
        need: Need::default(),
        plan: Plan::default(),
        looked_for: BTreeMap::new(),
        hazards: Vec::new(),
        wells: Vec::new(),
        ground: Ground::default(),
        permission: Permission::default(),
        drilling: Default::default(),
        completion: Default::default(),
        handover: Default::default(),
        plot: None,
        left_out: Vec::new(),
    }
}

/// Something taped from the peg to half a metre.
pub(super) fn taped(bearing_deg: f64, distance_m: f64) -> Position {
    Position {
        at: destination(peg(), bearing_deg, distance_m).unwrap(),
        accuracy: Accuracy::Stated(0.5),
        frame: Frame::Peg,
        taped_m: Some(distance_m),
    }
}

/// Something fixed by satellite.
pub(super) fn fixed(bearing_deg: f64, distance_m: f64, accuracy_m: f64) -> Position {
    Position {
        at: destination(peg(), bearing_deg, distance_m).unwrap(),
        accuracy: Accuracy::Stated(accuracy_m),
        frame: Frame::Wgs84,
        taped_m: None,
    }
}

pub(super) fn hazard(kind: HazardKind, name: &str, position: Position) -> Hazard {
    Hazard {
        kind,
        written_as: None,
        name: name.to_owned(),
        shape: Shape::Points(vec![position.at]),
        position,
        pit_depth_m: None,
        from: line(100),
    }
}

pub(super) fn well(name: &str, position: Position) -> Well {
    Well {
        name: name.to_owned(),
        position,
        elevation_m: None,
        elevation_accuracy_m: None,
        made: None,
        depth_m: None,
        water_level_m: None,
        measured: None,
        season: None,
        lowest_level_m: None,
        outcome: None,
        pump_broken: None,
        yield_lps: None,
        drawdown_m: None,
        log: Vec::new(),
        quality: BTreeMap::new(),
        from: line(200),
    }
}

/// A well with a level dipped in the driest month.
pub(super) fn dipped(name: &str, position: Position, level_m: f64) -> Well {
    Well { water_level_m: seen(level_m), measured: seen(date(2026, 5, 1)), ..well(name, position) }
}

pub(super) fn log(layers: &[(f64, &str)]) -> Vec<Layer> {
    layers
        .iter()
        .map(|(to_m, material)| Layer {
            to_m: *to_m,
            material: (*material).to_owned(),
            hardness: None,
            from: line(201),
        })
        .collect()
}

pub(super) fn fact_in(survey: &Survey, region: &Arc<Region>, name: &str) -> Rc<Fact> {
    SiteFacts::of_survey(survey, region.clone()).fact(name).unwrap()
}

pub(super) fn fact(survey: &Survey, name: &str) -> Rc<Fact> {
    fact_in(survey, &river(), name)
}

pub(super) fn estimate(survey: &Survey, name: &str) -> Estimate {
    match &fact(survey, name).value {
        Value::Estimate(e) => e.clone(),
        other => panic!("{name} is {other:?}"),
    }
}

/// The ends of a fact.
pub(super) fn ends(survey: &Survey, name: &str) -> (Option<f64>, Option<f64>) {
    let e = estimate(survey, name);
    (e.low(), e.high())
}

pub(super) fn is_unknown(survey: &Survey, name: &str) -> bool {
    fact(survey, name).value == Value::Unknown
}

pub(super) fn word(survey: &Survey, name: &str) -> &'static str {
    match fact(survey, name).value {
        Value::Word(w) => w,
        Value::Unknown => "unknown",
        ref other => panic!("{name} is {other:?}"),
    }
}

pub(super) fn asks(fact: &Fact, how: AskKind, words: &str) -> bool {
    fact.missing.iter().any(|m| m.how == how && m.ask.contains(words))
}
