//! Which way the groundwater flows, for the report: the plane through the
//! levels with how sure it is, what the levels leave possible, what the survey
//! states, and how sure each source of fouling is to lie up-gradient.
//!
//! The plane of least squares (`ground::flow`) says what is likely. It is a
//! forecast: no fact and so no verdict rests on it, because one more well may
//! turn it. Facts rest on the directions that the levels leave possible
//! (`ground::slopes`) and on the direction stated.

use std::cmp::Ordering;

use super::flow_side::{FlowSide, Head, one_day};
use super::hazards::kinds;
use super::near::{Source, hazard_name};
use super::sector::Within;
use super::sheet::Sheet;
use super::{Missing, SiteFacts};
use crate::ground::flow::{Flow, HALF_BAND_95, NoFlow, WaterLevel, flow};
use crate::survey::HazardKind;
use crate::units::Part;

/// What is known of the flow of groundwater at a peg.
#[derive(Debug, Clone, PartialEq)]
pub struct GroundwaterFlow {
    /// The wells with level and elevation, nearest first.
    pub wells: Vec<String>,
    /// How many of them were read within a few days of each other, where the
    /// plane rests on those; `None`: on levels brought to the driest month.
    pub of_one_day: Option<usize>,
    /// The likeliest direction, or why there is none.
    pub plane: Result<LevelPlane, String>,
    /// The directions that the levels leave possible, or why they exclude
    /// none. Facts rest on these.
    pub possible: Result<PossibleFlow, String>,
    /// The direction the survey states, degrees from north.
    pub stated_towards_deg: Option<f64>,
    /// The levels exclude the direction stated: one of them is wrong, and
    /// both are allowed for.
    pub contradicts_stated: bool,
    /// Sources of fouling around the peg, nearest first.
    pub sources: Vec<SourceSide>,
    /// What would make it better known.
    pub missing: Vec<Missing>,
}

/// The plane of least squares through the levels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelPlane {
    /// Where the water likely flows to, degrees from north.
    pub towards_deg: f64,
    /// The angle to either side within which it flows with 95 %.
    pub half_band_deg: f64,
    /// Fall of the water, metres a metre.
    pub gradient: Part,
    /// What the plane leaves of the levels, root of the mean square, metres.
    pub misfit_m: f64,
    /// How many wells it rests on.
    pub wells: usize,
}

/// The directions and slopes that the levels leave possible.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PossibleFlow {
    /// The middle of where the water may flow to, degrees from north.
    pub towards_deg: f64,
    /// How far to either side of it it may.
    pub half_angle_deg: f64,
    /// Gentlest and steepest fall, metres a metre.
    pub gradient: (f64, f64),
}

/// Whether a source lies up-gradient, as facts take it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UpGradient {
    /// By every direction that is left.
    Surely,
    /// By some direction that is left.
    Perhaps,
    /// By none.
    No,
}

/// A source of fouling and the side it lies on.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceSide {
    /// What people call it, or what it is.
    pub name: String,
    /// What it is.
    pub kind: HazardKind,
    /// How far from the peg, metres.
    pub distance: Part,
    /// Its direction from the peg, degrees from north; `None` where the peg is
    /// inside it.
    pub bearing_deg: Option<f64>,
    /// Whether it lies up-gradient.
    pub up_gradient: UpGradient,
    /// The chance that it does by the plane; `None` without one. Its
    /// direction from the peg is taken as exact.
    pub chance: Option<f64>,
}

impl From<Within> for UpGradient {
    fn from(within: Within) -> Self {
        match within {
            Within::Surely => UpGradient::Surely,
            Within::Perhaps => UpGradient::Perhaps,
            Within::No => UpGradient::No,
        }
    }
}

impl SiteFacts {
    /// What is known of the flow of groundwater at the peg, for the report.
    ///
    /// # Errors
    /// What to do where the region lacks a figure for it.
    pub fn flow(&self) -> Result<GroundwaterFlow, Missing> {
        let slope = self.water_slope()?;
        let mut sheet = Sheet::new();
        let side = self.flow_side(&mut sheet)?;
        let (plane, of_one_day) = self.plane(&slope.heads)?;
        let sources = self.sources_by_side(HazardKind::can_foul, side.as_ref(), plane.as_ref().ok())?;
        let possible = slope.possible.as_ref().map(|p| PossibleFlow {
            towards_deg: p.towards().middle_deg,
            half_angle_deg: p.towards().half_angle_deg,
            gradient: p.gradient(),
        });
        Ok(GroundwaterFlow {
            wells: slope.heads.iter().map(|h| h.name.clone()).collect(),
            of_one_day,
            plane: plane.as_ref().map(told).map_err(NoFlow::to_string),
            possible: possible.map_err(ToString::to_string),
            stated_towards_deg: self.site.ground.groundwater_towards_deg.as_ref().map(|d| d.value),
            contradicts_stated: side.is_some_and(|s| s.contradict),
            sources,
            missing: sheet.unknown().missing,
        })
    }

    /// Every source of some kinds that may lie within the radius of near
    /// evidence, with the side it lies on.
    pub(super) fn sources_by_side(
        &self,
        which: fn(HazardKind) -> bool,
        side: Option<&FlowSide>,
        plane: Option<&Flow>,
    ) -> Result<Vec<SourceSide>, Missing> {
        let radius_m = self.prior("near_evidence_radius_m")?;
        let spread_deg = self.flow_spread_deg()?;
        let mut all = Vec::new();
        for kind in kinds(which) {
            let found = self.sources_until(kind, |_, complete_m| complete_m >= radius_m)?;
            all.extend(found.into_iter().filter(|f| f.distance.low <= radius_m));
        }
        let key = |s: &Source| self.hazard(s).map(|h| (hazard_name(h), h.from.clone()));
        all.sort_by(|a, b| match a.distance.value.total_cmp(&b.distance.value) {
            Ordering::Equal => key(a).cmp(&key(b)),
            other => other,
        });
        let told = |source: &Source| {
            let hazard = self.hazard(source)?;
            let within = side.map_or(Within::Perhaps, |s| s.holds(&self.site.peg.at.value, hazard, source));
            let chance = |p: &Flow| source.bearing_deg.map_or(1.0, |b| p.chance_up_gradient(b, spread_deg));
            Some(SourceSide {
                name: hazard_name(hazard),
                kind: hazard.kind,
                distance: source.distance,
                bearing_deg: source.bearing_deg,
                up_gradient: within.into(),
                chance: plane.map(chance),
            })
        };
        Ok(all.iter().filter_map(told).collect())
    }

    /// The plane through the levels that were read on one day, where that are
    /// three or more, or else through those of the driest month.
    pub(super) fn plane(&self, heads: &[Head]) -> Result<(Result<Flow, NoFlow>, Option<usize>), Missing> {
        let days = self.prior("one_reading_days")?;
        let least_angle_deg = self.prior("flow_least_angle_deg")?;
        let steepest = self.prior("hydraulic_gradient_high")?;
        let uneven_m = self.prior("water_table_unevenness_m")?;
        let level = |h: &Head, depth: f64, depth_error_m: f64| {
            let height_error_m = (h.height.1 - h.height.0) / 2.0;
            let squares =
                [height_error_m, depth_error_m, uneven_m, steepest * h.place_error_m].map(|e| e * e);
            WaterLevel {
                east_m: h.at[0],
                north_m: h.at[1],
                level_m: f64::midpoint(h.height.0, h.height.1) - depth,
                error_sd_m: squares.iter().sum::<f64>().sqrt() / HALF_BAND_95,
            }
        };
        let group = day_group(heads, days);
        if group.len() >= 3 {
            let levels: Vec<_> =
                group.iter().filter_map(|h| h.read.map(|(_, depth, error)| level(h, depth, error))).collect();
            return Ok((flow(&levels, least_angle_deg), Some(group.len())));
        }
        let dry = |h: &Head| level(h, h.dry.value, (h.dry.high - h.dry.low) / 2.0);
        let levels: Vec<_> = heads.iter().map(dry).collect();
        Ok((flow(&levels, least_angle_deg), None))
    }
}

/// The most wells that were read within so many days.
fn day_group(heads: &[Head], days: f64) -> Vec<&Head> {
    let mut best: Vec<&Head> = Vec::new();
    for (first, ..) in heads.iter().filter_map(|h| h.read) {
        let holds = |h: &&Head| h.read.is_some_and(|(day, ..)| day >= first && one_day(day, first, days));
        let group: Vec<_> = heads.iter().filter(holds).collect();
        if group.len() > best.len() {
            best = group;
        }
    }
    best
}

fn told(plane: &Flow) -> LevelPlane {
    let half = HALF_BAND_95 * plane.gradient_sd;
    LevelPlane {
        towards_deg: plane.azimuth_deg,
        half_band_deg: plane.half_band_deg(0.95),
        gradient: Part {
            low: (plane.gradient - half).max(0.0),
            value: plane.gradient,
            high: plane.gradient + half,
        },
        misfit_m: plane.misfit_m,
        wells: plane.wells,
    }
}
