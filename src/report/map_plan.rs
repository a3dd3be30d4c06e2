//! What a plan of the peg shows: hazards, with what a well must keep from
//! them, and neighbours. For drawings and maps; not part of the JSON report.

use geo::MultiPolygon;

use crate::place::free_ground::{self as ground, FlatShape};
use crate::place::{Plane, bearing_deg, distance_m};
use crate::survey::{Accuracy, Layer, LonLat, Shape, Survey, WellOutcome};
use crate::tune::free_ground::FreeGround;

/// Everything around a peg, in the level plane at it.
#[derive(Debug, Clone)]
pub struct MapPlan {
    /// The plane: metres east and north of the peg.
    pub plane: Plane,
    /// The accuracy stated for the peg, metres.
    pub peg_accuracy_m: Option<f64>,
    /// The edge of the plot or circle that was looked at.
    pub plot_edge: FlatShape,
    /// The ground free of what stops a well.
    pub free: MultiPolygon<f64>,
    /// The same, where not everything was searched for.
    pub not_known: MultiPolygon<f64>,
    /// Hazards whose distances matter on the plot, in the order of the survey.
    pub hazards: Vec<PlanHazard>,
    /// Neighbours and trial bores, nearest first.
    pub wells: Vec<PlanWell>,
}

/// A hazard.
#[derive(Debug, Clone)]
pub struct PlanHazard {
    /// What people call it, or what it is.
    pub name: String,
    /// What it is.
    pub kind: &'static str,
    /// Where it was written, as file:line.
    pub from: String,
    /// Its shape as written.
    pub shape: Shape,
    /// Its shape in the plane.
    pub flat: FlatShape,
    /// From the peg to its nearest place, metres.
    pub distance_m: f64,
    /// The direction to that place, degrees from north; `None` inside it.
    pub bearing_deg: Option<f64>,
    /// What that place may be off as seen from the peg (95 %), metres.
    pub error_m: f64,
    /// What a well must keep from it for no stop and for no caution, metres.
    pub required_m: [Option<f64>; 2],
    /// Where it may lie: as drawn, or, taped at a compass bearing, on an arc.
    may_lie: FlatShape,
}

impl PlanHazard {
    /// The ground to be kept clear for a distance asked, its errors besides.
    pub fn setback(&self, required_m: f64) -> MultiPolygon<f64> {
        ground::setback(&self.may_lie, required_m + self.error_m)
    }
}

/// A neighbour or trial bore.
#[derive(Debug, Clone)]
pub struct PlanWell {
    /// What people call it.
    pub name: String,
    /// Where it was written, as file:line.
    pub from: String,
    /// Where it is.
    pub at: LonLat,
    /// East and north of the peg, metres.
    pub east_north_m: [f64; 2],
    /// From the peg, metres.
    pub distance_m: f64,
    /// The direction to it, degrees from north.
    pub bearing_deg: f64,
    /// The accuracy stated for it, metres.
    pub accuracy_m: Option<f64>,
    /// What became of it.
    pub outcome: Option<&'static str>,
    /// Its depth, metres.
    pub depth_m: Option<f64>,
    /// Depth to water, metres below ground.
    pub water_level_m: Option<f64>,
    /// The day of that level.
    pub measured: Option<String>,
    /// Its yield, litres a second.
    pub yield_lps: Option<f64>,
    /// What was met with depth.
    pub log: Vec<Layer>,
}

/// Wells farther than this are left to the facts, metres.
const FARTHEST_WELL_M: f64 = 2_000.0;

/// The plan of a survey.
pub fn of(survey: &Survey, found: &FreeGround) -> MapPlan {
    let plane = found.plane;
    let stated = |accuracy: Accuracy| match accuracy {
        Accuracy::Stated(m) => Some(m),
        Accuracy::UnstatedCoordinate | Accuracy::UnstatedTape => None,
    };
    let hazards = found.setbacks.iter().filter_map(|s| {
        let hazard = survey.hazards.get(s.hazard)?;
        let flat = FlatShape::of(&hazard.shape, &plane);
        let ([east, north], distance_m) = flat.nearest([0.0, 0.0])?;
        let name = hazard.name.trim();
        Some(PlanHazard {
            name: if name.is_empty() { hazard.kind.name().to_owned() } else { name.to_owned() },
            kind: hazard.kind.name(),
            from: hazard.from.to_string(),
            shape: hazard.shape.clone(),
            flat,
            distance_m,
            bearing_deg: (distance_m > 0.0).then(|| east.atan2(north).to_degrees().rem_euclid(360.0)),
            error_m: s.error_m,
            required_m: s.required_m,
            may_lie: s.shape.clone(),
        })
    });
    let peg = survey.peg.at.value.at;
    let mut wells: Vec<PlanWell> = survey
        .wells
        .iter()
        .map(|w| PlanWell {
            name: if w.name.trim().is_empty() { "well".to_owned() } else { w.name.trim().to_owned() },
            from: w.from.to_string(),
            at: w.position.at,
            east_north_m: plane.east_north_m(w.position.at),
            distance_m: distance_m(peg, w.position.at),
            bearing_deg: bearing_deg(peg, w.position.at),
            accuracy_m: stated(w.position.accuracy),
            outcome: w.outcome.as_ref().map(|o| outcome(o.value)),
            depth_m: w.depth_m.as_ref().map(|d| d.value),
            water_level_m: w.water_level_m.as_ref().map(|l| l.value),
            measured: w.measured.as_ref().map(|d| d.value.to_string()),
            yield_lps: w.yield_lps.as_ref().map(|y| y.value),
            log: w.log.clone(),
        })
        .filter(|w| w.distance_m <= FARTHEST_WELL_M)
        .collect();
    wells.sort_by(|a, b| a.distance_m.total_cmp(&b.distance_m));
    let [stops, _] = &found.levels;
    MapPlan {
        plane,
        peg_accuracy_m: stated(survey.peg.at.value.accuracy),
        plot_edge: FlatShape::of_rings(&found.plot),
        free: stops.ground.free.clone(),
        not_known: stops.ground.not_known.clone(),
        hazards: hazards.collect(),
        wells,
    }
}

fn outcome(outcome: WellOutcome) -> &'static str {
    match outcome {
        WellOutcome::InUse => "in use",
        WellOutcome::Dry => "dry",
        WellOutcome::Seasonal => "seasonal",
        WellOutcome::LowYield => "low yield",
        WellOutcome::Salty => "salty",
        WellOutcome::Contaminated => "contaminated",
        WellOutcome::RefusedOnRock => "refused on rock",
        WellOutcome::Collapsed => "collapsed",
        WellOutcome::Abandoned => "abandoned",
    }
}
