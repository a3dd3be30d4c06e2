//! What lies around the peg as data of the report: hazards with their shapes
//! and the distance each must keep, neighbours, and how well all of it is
//! known. Metres east and north of the peg.

use schemars::JsonSchema;
use serde::Serialize;

use super::build::round;
use crate::facts::{Around, SiteFacts};
use crate::place::Plane;
use crate::region::Region;
use crate::survey::words::Word;
use crate::survey::{Hazard, HazardKind, LonLat, Shape, Well};
use crate::units::Part;

/// So far around the peg the plan reaches, metres: farther than any distance
/// that a code asks for, and near enough that ground is flat.
const REACH_M: f64 = 1000.0;
/// Hazards and wells beyond so many are counted, not drawn.
const MOST: usize = 200;

/// What lies around the peg.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Plan {
    /// Hazards, nearest first.
    pub hazards: Vec<PlanHazard>,
    /// Neighbours and trial bores, nearest first.
    pub wells: Vec<PlanWell>,
    /// Hazards and wells within reach that are too many to list.
    pub left_off: usize,
    /// How far around the peg all of this reaches, metres.
    pub reach_m: f64,
}

/// A hazard on the plan.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PlanHazard {
    /// What people call it.
    pub name: String,
    /// What it is.
    pub kind: String,
    /// Its shape: points, lines or areas.
    pub shape: PlanShape,
    /// Its distance from the peg: low, likely, high.
    pub distance_m: [f64; 3],
    /// The direction to its nearest place, degrees from north.
    pub bearing_deg: Option<f64>,
    /// How far that distance may be off, nineteen times in twenty.
    pub error_m: f64,
    /// The least distance required, where a limit sets one.
    pub required_m: Option<f64>,
    /// The distance wanted, where a limit sets one.
    pub wanted_m: Option<f64>,
    /// Where it was written.
    pub from: String,
}

/// A shape, as places east and north of the peg.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PlanShape {
    /// Points.
    Points(Vec<[f64; 2]>),
    /// Lines.
    Lines(Vec<Vec<[f64; 2]>>),
    /// Areas, each an outer ring and its holes.
    Areas(Vec<Vec<Vec<[f64; 2]>>>),
}

/// A neighbour on the plan.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PlanWell {
    /// What people call it.
    pub name: String,
    /// East and north of the peg.
    pub east_north_m: [f64; 2],
    /// Its distance from the peg: low, likely, high.
    pub distance_m: [f64; 3],
    /// The direction to it, degrees from north.
    pub bearing_deg: Option<f64>,
    /// How far that distance may be off, nineteen times in twenty.
    pub error_m: f64,
    /// How it was made, where known.
    pub made: Option<String>,
    /// What became of it, where known.
    pub outcome: Option<String>,
    /// Its depth.
    pub depth_m: Option<f64>,
    /// The depth to water as it was read.
    pub water_level_m: Option<f64>,
    /// Where it was written.
    pub from: String,
}

/// The plan; `None` where the region does not say how well an unstated
/// position is known.
pub fn of(site: &SiteFacts) -> Option<Plan> {
    let plane = Plane::at(site.site().peg.at.value.at);
    let (hazards, wells) = (site.hazards_around(REACH_M).ok()?, site.wells_around(REACH_M).ok()?);
    let left_off = hazards.len().saturating_sub(MOST) + wells.len().saturating_sub(MOST);
    let region = &site.shared().region;
    Some(Plan {
        hazards: hazards.iter().take(MOST).map(|h| hazard(h, &plane, region)).collect(),
        wells: wells.iter().take(MOST).map(|w| well(w, &plane)).collect(),
        left_off,
        reach_m: REACH_M,
    })
}

/// The limits on a kind's distance carry its name.
fn limit(region: &Region, kind: HazardKind, which: &str) -> Option<f64> {
    let kind = match kind {
        HazardKind::FuelStore => "fuel_store".to_owned(),
        kind => kind.name().replace(' ', "_"),
    };
    region.limits.get(&format!("{kind}_{which}_m")).map(|l| l.value)
}

fn hazard(h: &Around<'_, Hazard>, plane: &Plane, region: &Region) -> PlanHazard {
    PlanHazard {
        name: h.name.clone(),
        kind: h.thing.kind.name().to_owned(),
        shape: shape(&h.thing.shape, plane),
        distance_m: ends(&h.distance),
        bearing_deg: h.bearing_deg.map(|b| round(b, 1)),
        error_m: round(h.distance.high - h.distance.value, 2),
        required_m: limit(region, h.thing.kind, "stop"),
        wanted_m: limit(region, h.thing.kind, "caution"),
        from: h.thing.from.to_string(),
    }
}

fn well(w: &Around<'_, Well>, plane: &Plane) -> PlanWell {
    let thing = w.thing;
    PlanWell {
        name: w.name.clone(),
        east_north_m: place(thing.position.at, plane),
        distance_m: ends(&w.distance),
        bearing_deg: w.bearing_deg.map(|b| round(b, 1)),
        error_m: round(w.distance.high - w.distance.value, 2),
        made: thing.made.as_ref().map(|m| m.value.word().to_owned()),
        outcome: thing.outcome.as_ref().map(|o| o.value.word().to_owned()),
        depth_m: thing.depth_m.as_ref().map(|d| d.value),
        water_level_m: thing.water_level_m.as_ref().map(|d| d.value),
        from: thing.from.to_string(),
    }
}

fn shape(shape: &Shape, plane: &Plane) -> PlanShape {
    let row = |places: &Vec<LonLat>| places.iter().map(|p| place(*p, plane)).collect::<Vec<_>>();
    match shape {
        Shape::Points(points) => PlanShape::Points(row(points)),
        Shape::Lines(lines) => PlanShape::Lines(lines.iter().map(row).collect()),
        Shape::Polygons(areas) => {
            PlanShape::Areas(areas.iter().map(|rings| rings.iter().map(row).collect()).collect())
        }
    }
}

fn place(at: LonLat, plane: &Plane) -> [f64; 2] {
    plane.east_north_m(at).map(|x| round(x, 2))
}

fn ends(distance: &Part) -> [f64; 3] {
    [distance.low, distance.value, distance.high].map(|x| round(x, 2))
}
