//! Spots worth looking at on the free ground, judged by the rules on what is
//! known of them from the peg.

use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::rc::Rc;

use crate::facts::{FORECASTS, FactSource, Moved};
use crate::place::free_ground::{Class, EastNorth, Layout, Spot};
use crate::place::{bearing_deg, distance_m};
use crate::region::{Figure, Region};
use crate::rules::{Judge, RuleSet};
use crate::survey::{LonLat, Stage};
use crate::verdict::{Verdict, decide};

/// A spot with what the rules say of it.
#[derive(Debug, Clone)]
pub struct Judged {
    /// Where it is.
    pub at: LonLat,
    /// East and north of the peg, metres.
    pub east_north_m: EastNorth,
    /// How far from the peg, metres.
    pub far_m: f64,
    /// In which direction from the peg, degrees from north; `None` at it.
    pub bearing_deg: Option<f64>,
    /// How far it is from the nearest ground that is not free of stops,
    /// metres; below zero on such ground.
    pub clear_of_stops_m: f64,
    /// The same for ground not free of cautions.
    pub clear_of_cautions_m: f64,
    /// What it is, as to stops and as to cautions.
    pub class: [Class; 2],
    /// What the rules make of it.
    pub verdict: Verdict,
}

/// The rules, and the ground they are asked about.
pub(super) struct Judging<'a> {
    pub judge: &'a Judge,
    pub rules: &'a RuleSet,
    pub region: &'a Region,
    pub stage: Stage,
    pub limits: &'a Rc<BTreeMap<String, Figure>>,
    /// As to stops, and as to cautions.
    pub layouts: &'a [Layout; 2],
    pub peg: LonLat,
}

/// Spots that are judged at the most: each takes as long as a peg.
const MOST_JUDGED: usize = 24;

/// Spots that are offered at the most.
const MOST_OFFERED: usize = 3;

/// Spots of a lattice, about so many over the whole plot.
const LATTICE: f64 = 16.0;

/// A spot nearer to the peg than this is the peg, metres.
const SAME_M: f64 = 0.5;

impl Judging<'_> {
    /// Rules that forecast: they weigh all evidence around a peg at once, and
    /// a spot has not its own yet.
    pub fn passed_over(&self) -> Vec<String> {
        let forecasts = |reads: &[String]| reads.iter().any(|f| FORECASTS.contains(&f.as_str()));
        let rules = self.rules.rules.iter();
        rules
            .filter(|r| r.about.as_ref().is_ok_and(|a| forecasts(&a.reads) && a.stages.contains(&self.stage)))
            .filter(|r| !self.region.switched_off.contains_key(&r.id))
            .map(|r| r.id.clone())
            .collect()
    }

    /// What the rules make of facts at a place.
    pub fn judged(&self, at: LonLat, facts: &Rc<dyn FactSource>) -> Judged {
        let passed_over = self.passed_over();
        let off =
            |rule: &str| self.region.switched_off.contains_key(rule) || passed_over.iter().any(|p| p == rule);
        let findings = self.judge.judge(self.stage, facts, self.limits, off);
        let verdict = decide(self.stage, &findings, &self.region.weights, &self.region.asks);
        let east_north_m = crate::place::Plane::at(self.peg).east_north_m(at);
        let [stops, cautions] = self.layouts;
        let far_m = distance_m(self.peg, at);
        Judged {
            at,
            east_north_m,
            far_m,
            bearing_deg: (far_m > 0.0).then(|| bearing_deg(self.peg, at)),
            clear_of_stops_m: stops.clearance_m(east_north_m),
            clear_of_cautions_m: cautions.clearance_m(east_north_m),
            class: [stops.class_of(east_north_m), cautions.class_of(east_north_m)],
            verdict,
        }
    }

    /// The widest spot, and the best ones, the best first.
    pub fn spots(&self, moved: &Moved, area_m2: f64) -> (Option<Judged>, Vec<Judged>) {
        let size_m = area_m2.max(0.0).sqrt();
        let fine_m = (size_m / 300.0).clamp(0.1, 5.0);
        let apart_m = (size_m / 8.0).max(2.0);
        let (widest_at, places) = self.candidates(moved, size_m, fine_m, apart_m);
        let plane = moved.plane();
        let mut judged: Vec<Judged> = places
            .iter()
            .filter_map(|p| plane.lon_lat(*p))
            .map(|at| self.judged(at, &(Rc::new(moved.at(at)) as Rc<dyn FactSource>)))
            .collect();
        let away_m = |j: &Judged, at: EastNorth| (j.east_north_m[0] - at[0]).hypot(j.east_north_m[1] - at[1]);
        let widest = widest_at
            .and_then(|at| judged.iter().min_by(|a, b| away_m(a, at).total_cmp(&away_m(b, at))).cloned());
        let score = |j: &Judged| j.verdict.score.value.map_or(-1.0, |s| s.round());
        judged.sort_by(|a, b| {
            Reverse(a.verdict.answer)
                .cmp(&Reverse(b.verdict.answer))
                .then(score(b).total_cmp(&score(a)))
                .then(a.far_m.total_cmp(&b.far_m))
        });
        let mut offered: Vec<Judged> = Vec::new();
        for spot in judged {
            let apart = |other: &Judged| {
                let [x, y] = other.east_north_m;
                (spot.east_north_m[0] - x).hypot(spot.east_north_m[1] - y) >= apart_m
            };
            if offered.len() < MOST_OFFERED && offered.iter().all(apart) {
                offered.push(spot);
            }
        }
        (widest, offered)
    }

    /// The widest spots, those that mean the shortest move, and a lattice; the
    /// widest of the best ground, that is wide enough to be found again, apart.
    fn candidates(
        &self,
        moved: &Moved,
        size_m: f64,
        fine_m: f64,
        apart_m: f64,
    ) -> (Option<EastNorth>, Vec<EastNorth>) {
        let [stops, cautions] = self.layouts;
        let mut places: Vec<EastNorth> = Vec::new();
        let mut add = |spot: Option<Spot>| {
            let Some(spot) = spot.filter(|s| s.from_peg_m() >= SAME_M) else { return };
            let new = |p: &EastNorth| (p[0] - spot.at[0]).hypot(p[1] - spot.at[1]) >= SAME_M;
            if places.len() < MOST_JUDGED && places.iter().all(new) {
                places.push(spot.at);
            }
        };
        let needed = |far_m: f64| moved.setting_out_m(far_m);
        let mut widest: Option<(bool, Spot)> = None;
        for known in [true, false] {
            for layout in [cautions, stops] {
                let spot = layout.widest(known, fine_m);
                if let Some(spot) = spot {
                    let enough = spot.clearance_m >= needed(spot.from_peg_m());
                    if widest.is_none_or(|(before, _)| enough && !before) {
                        widest = Some((enough, spot));
                    }
                }
                add(spot);
            }
        }
        for known in [true, false] {
            for layout in [cautions, stops] {
                add(layout.nearest(known, fine_m.max(0.25), &needed));
            }
        }
        for layout in [cautions, stops] {
            layout.widest_spots(false, fine_m, apart_m, 3).into_iter().for_each(|s| add(Some(s)));
        }
        let step_m = size_m / LATTICE.sqrt();
        for at in lattice(stops, step_m) {
            let clearance_m = stops.clearance_m(at);
            if clearance_m >= 0.0 {
                add(Some(Spot { at, clearance_m }));
            }
        }
        (widest.map(|(_, spot)| spot.at).filter(|at| at[0].hypot(at[1]) >= SAME_M), places)
    }
}

/// A lattice over a plot, from the middle of its first square.
fn lattice(layout: &Layout, step_m: f64) -> Vec<EastNorth> {
    use geo::BoundingRect;
    let Some(bounds) = layout.plot.bounding_rect().filter(|_| step_m > 0.0) else { return Vec::new() };
    // Saturates, and no plot is so thin that more would help.
    let count = |length: f64| ((length / step_m).ceil().clamp(1.0, 40.0)) as u32;
    let at = |low: f64, length: f64, n: u32, of: u32| low + length * (f64::from(n) + 0.5) / f64::from(of);
    let (columns, rows) = (count(bounds.width()), count(bounds.height()));
    (0..rows)
        .flat_map(|row| {
            (0..columns).map(move |column| {
                [
                    at(bounds.min().x, bounds.width(), column, columns),
                    at(bounds.min().y, bounds.height(), row, rows),
                ]
            })
        })
        .collect()
}
