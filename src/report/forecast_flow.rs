//! The flow of groundwater and the way of germs as data of the report.

use schemars::JsonSchema;
use serde::Serialize;

use super::build::round;
use crate::facts::{self, UpGradient};

/// Which way the groundwater flows. The plane decides nothing; facts rest on
/// the directions that the levels leave possible and on the one stated.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct GroundwaterFlow {
    /// Wells with level and elevation, nearest first.
    pub wells: Vec<String>,
    /// Where it likely flows to, degrees from north; null without a plane.
    pub towards_deg: Option<f64>,
    /// The angle to either side of that within which it flows with 95 %.
    pub half_band_deg: Option<f64>,
    /// Fall, metres a metre: low, likely, high.
    pub gradient: Option<[f64; 3]>,
    /// Why there is no plane.
    pub no_plane: Option<String>,
    /// The direction stated in the survey.
    pub stated_towards_deg: Option<f64>,
    /// The levels exclude what is stated.
    pub contradicts_stated: bool,
    /// What may foul, nearest first.
    pub sources: Vec<FlowSource>,
}

/// A source of fouling: its side, and how long its germs may take.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FlowSource {
    /// What people call it.
    pub name: String,
    /// What it is.
    pub kind: String,
    /// Its distance from the peg, metres.
    pub distance_m: f64,
    /// Its direction from the peg, degrees from north.
    pub bearing_deg: Option<f64>,
    /// Whether it lies up-gradient, as facts take it: surely, perhaps, no.
    pub up_gradient: String,
    /// The chance that it does by the plane.
    pub chance: Option<f64>,
    /// For sources of faecal germs: days of the fastest water.
    pub fastest_days: Option<f64>,
    /// At the likely figures.
    pub likely_days: Option<f64>,
}

/// Sources beyond so many are left to the facts.
const SOURCES: usize = 12;

/// What is known of flow and travel; `None` where the region lacks figures.
pub fn of(site: &facts::SiteFacts) -> Option<GroundwaterFlow> {
    let flow = site.flow().ok()?;
    let travel = site.travel().ok();
    let days = |name: &str, distance_m: f64| {
        let sources = travel.iter().flat_map(|t| &t.sources);
        sources
            .filter(|s| s.source.name == name && s.source.distance.value.total_cmp(&distance_m).is_eq())
            .map(|s| (s.fastest_days, s.likely_days))
            .next()
    };
    let plane = flow.plane.as_ref().ok();
    let sources = flow.sources.iter().take(SOURCES).map(|s| {
        let days = days(&s.name, s.distance.value);
        FlowSource {
            name: s.name.clone(),
            kind: s.kind.name().to_owned(),
            distance_m: round(s.distance.value, 1),
            bearing_deg: s.bearing_deg.map(|b| round(b, 0)),
            up_gradient: match s.up_gradient {
                UpGradient::Surely => "surely",
                UpGradient::Perhaps => "perhaps",
                UpGradient::No => "no",
            }
            .to_owned(),
            chance: s.chance.map(|c| round(c, 3)),
            fastest_days: days.map(|d| round(d.0, 1)),
            likely_days: days.and_then(|d| d.1).map(|d| round(d, 0)),
        }
    });
    Some(GroundwaterFlow {
        wells: flow.wells.clone(),
        towards_deg: plane.map(|p| round(p.towards_deg, 0)),
        half_band_deg: plane.map(|p| round(p.half_band_deg, 0)),
        gradient: plane.map(|p| [p.gradient.low, p.gradient.value, p.gradient.high].map(|g| round(g, 5))),
        no_plane: flow.plane.as_ref().err().cloned(),
        stated_towards_deg: flow.stated_towards_deg,
        contradicts_stated: flow.contradicts_stated,
        sources: sources.collect(),
    })
}
