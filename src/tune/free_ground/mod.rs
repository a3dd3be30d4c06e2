//! Where on the plot could the peg go instead? The ground free of stops and
//! the ground free of cautions, by the distances that the rules in force ask,
//! and the best spots on it, judged by the same rules.
//!
//! What the rules ask besides distances (which way the ground falls and the
//! water flows, pits near the water table, the ground itself, papers) is left
//! out of the areas, and judged at the spots.

mod required;
mod spots;
#[cfg(test)]
mod tests;

use std::rc::Rc;
use std::sync::Arc;

use geo::{Area, MultiPolygon};

use self::required::Bench;
use self::spots::Judging;
use crate::diag::Origin;
use crate::facts::{AskKind, FactSource, Missing, Moved, SiteFacts};
use crate::place::free_ground::{self as ground, FlatShape, Layout, Trouble};
use crate::place::{Plane, distance_m};
use crate::region::Region;
use crate::rules::{Judge, RuleSet};
use crate::survey::{Frame, HazardKind, Plot, Stage, Survey};

pub use required::{Level, Requirement};
pub use spots::Judged;

/// What a peg's plot has to offer.
#[derive(Debug)]
pub struct FreeGround {
    /// The level plane at the peg: polygons are in metres east and north.
    pub plane: Plane,
    /// The ground that was looked at.
    pub plot: MultiPolygon<f64>,
    /// Its area, m².
    pub plot_m2: f64,
    /// Where the survey states the plot; otherwise it is a circle.
    pub stated: Option<Origin>,
    /// The radius of that circle, metres.
    pub radius_m: Option<f64>,
    /// How far a well must stand from each kind.
    pub required: Vec<Requirement>,
    /// The hazards that matter, in the order of the survey.
    pub setbacks: Vec<Setback>,
    /// The ground left, free of stops, and free of cautions too.
    pub levels: [LevelGround; 2],
    /// The peg itself, judged by the same rules as the spots.
    pub peg: Judged,
    /// The spot farthest from trouble.
    pub widest: Option<Judged>,
    /// The best spots, the best first.
    pub spots: Vec<Judged>,
    /// Rules that were passed over for peg and spots.
    pub passed_over: Vec<String>,
    /// Rows and features that could not be used: they may lie anywhere.
    pub left_out: usize,
}

/// A hazard with the ground that must be kept clear around it.
#[derive(Debug)]
pub struct Setback {
    /// Which of the survey's hazards.
    pub hazard: usize,
    /// Where it may lie, in the plane.
    pub shape: FlatShape,
    /// What its position may be off, as seen from the peg, metres.
    pub error_m: f64,
    /// What a well must keep from it, for stops and for cautions, metres;
    /// `None` where no rule asks anything.
    pub required_m: [Option<f64>; 2],
}

/// The ground left at one level.
#[derive(Debug)]
pub struct LevelGround {
    /// Free of what.
    pub level: Level,
    /// The plot with what takes ground of it: it says of any spot what it is.
    pub layout: Layout,
    /// The ground as polygons, for drawing.
    pub ground: ground::FreeGround,
    /// Kinds that were not searched for far enough for the whole plot, those
    /// that leave most open first.
    pub not_searched: Vec<NotSearched>,
}

/// A kind that was not searched for far enough.
#[derive(Debug, Clone, PartialEq)]
pub struct NotSearched {
    /// The kind.
    pub kind: HazardKind,
    /// How far around the peg it was searched for, metres.
    pub searched_m: Option<f64>,
    /// So far around the peg it would have to be for the whole plot.
    pub needed_m: f64,
}

/// What free ground is worked out from.
pub struct Inputs<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// The region.
    pub region: &'a Arc<Region>,
    /// The rules.
    pub rules: &'a RuleSet,
    /// The same, compiled.
    pub judge: &'a Judge,
    /// The peg's facts.
    pub facts: &'a Rc<SiteFacts>,
    /// The stage asked.
    pub stage: Stage,
}

/// The free ground around a peg.
///
/// # Errors
/// What to do where the region lacks a figure for it.
pub fn free_ground(inputs: &Inputs<'_>) -> Result<FreeGround, Missing> {
    let Inputs { survey, region, rules, judge, facts, stage } = inputs;
    let limits = Rc::new(region.limits.clone());
    let required = Bench { judge, rules, region, stage: *stage, facts, limits: &limits }.required();
    let moved = Moved::of_survey(survey, (*region).clone())?;
    let plane = moved.plane();
    let (bare, radius_m) = match &survey.plot {
        Some(plot) => (stated(plot, &plane), None),
        None => {
            let radius = region.priors.get("free_ground_radius_m").ok_or_else(|| {
                Missing::new(
                    AskKind::Write,
                    "Write the plot's corners into the survey, or the prior free_ground_radius_m into the region's file.",
                )
            })?;
            (Layout::round(radius.value, Vec::new(), None), Some(radius.value))
        }
    };
    let farthest_m = farthest_m(&bare.plot);
    let setbacks = setbacks(&required, &moved, farthest_m);
    let layouts = Level::ALL.map(|level| {
        let mut troubles: Vec<Trouble> = setbacks.iter().filter_map(|s| s.trouble(level)).collect();
        if let Some(plot) = &survey.plot {
            troubles.extend(edge(plot, &bare, &required, level, &moved));
        }
        let (known_m, open) = searched(survey, &required, level, farthest_m);
        (bare.with(troubles, known_m).pruned(), open)
    });
    let [(stops, stops_open), (cautions, cautions_open)] = layouts;
    let layouts = [stops, cautions];
    let judging = Judging {
        judge,
        rules,
        region,
        stage: *stage,
        limits: &limits,
        layouts: &layouts,
        peg: survey.peg.at.value.at,
    };
    let own: Rc<dyn FactSource> = (*facts).clone();
    let peg = judging.judged(survey.peg.at.value.at, &own);
    let plot_m2 = bare.plot.unsigned_area();
    let (widest, spots) = judging.spots(&moved, plot_m2);
    let passed_over = judging.passed_over();
    let [stops, cautions] = layouts;
    let level = |level, layout: Layout, not_searched| {
        let ground = layout.free_ground();
        LevelGround { level, layout, ground, not_searched }
    };
    Ok(FreeGround {
        plane,
        plot_m2,
        plot: bare.plot,
        stated: survey.plot.as_ref().map(|p| p.from.clone()),
        radius_m,
        required,
        setbacks,
        levels: [level(Level::Stops, stops, stops_open), level(Level::Cautions, cautions, cautions_open)],
        peg,
        widest,
        spots,
        passed_over,
        left_out: survey.left_out.len(),
    })
}

fn stated(plot: &Plot, plane: &Plane) -> Layout {
    let polygons: Vec<_> = plot.polygons.iter().map(|rings| plane.polygon(rings)).collect();
    Layout::new(&polygons, Vec::new(), None)
}

/// The farthest place of a plot from the peg, metres.
fn farthest_m(plot: &MultiPolygon<f64>) -> f64 {
    use geo::CoordsIter;
    plot.coords_iter().map(|c| c.x.hypot(c.y)).fold(0.0, f64::max)
}

fn of(required: &[Requirement], kind: HazardKind, level: Level) -> Option<f64> {
    required.iter().find(|r| r.kind == kind && r.level == level).map(|r| r.distance_m)
}

impl Setback {
    fn trouble(&self, level: Level) -> Option<Trouble> {
        let keep_m = match (level, self.required_m) {
            // What stops a well is a caution, too.
            (Level::Stops, [stops, _]) => stops?,
            (Level::Cautions, [stops, cautions]) => cautions.into_iter().chain(stops).reduce(f64::max)?,
        };
        Some(Trouble { shape: self.shape.clone(), keep_m: keep_m + self.error_m })
    }
}

/// The hazards whose setback may reach the plot.
fn setbacks(required: &[Requirement], moved: &Moved, farthest_m: f64) -> Vec<Setback> {
    let plane = moved.plane();
    let most_m = required.iter().map(|r| r.distance_m).fold(0.0, f64::max);
    let worst_m = moved.hazards().iter().map(|h| moved.error_of_hazard_m(h)).fold(0.0, f64::max);
    let near = moved.hazards_within(farthest_m + most_m + worst_m);
    let setback = |n: usize| {
        let hazard = moved.hazards().get(n)?;
        let required_m = Level::ALL.map(|level| of(required, hazard.kind, level));
        let error_m = moved.error_of_hazard_m(hazard);
        Some(Setback { hazard: n, shape: FlatShape::of(&hazard.shape, &plane), error_m, required_m })
    };
    near.into_iter().filter_map(setback).collect()
}

/// The edge of a stated plot, from which the rules on boundaries ask their
/// distance.
fn edge(
    plot: &Plot,
    bare: &Layout,
    required: &[Requirement],
    level: Level,
    moved: &Moved,
) -> Option<Trouble> {
    let asked_m = of(required, HazardKind::Boundary, level)?;
    let error = |corner: &crate::survey::Position| {
        let far_m = distance_m(moved.plane().place(), corner.at);
        let sideways_m = if corner.frame == Frame::Peg { moved.sideways_m(far_m) } else { 0.0 };
        moved.error_m(corner).hypot(sideways_m)
    };
    let error_m = plot.corners.iter().map(error).fold(0.0, f64::max);
    Some(Trouble { shape: FlatShape::of_rings(&bare.plot), keep_m: asked_m + error_m })
}

/// Within what distance of the peg everything that is asked was searched for,
/// and which kinds were not searched for far enough.
fn searched(
    survey: &Survey,
    required: &[Requirement],
    level: Level,
    farthest_m: f64,
) -> (Option<f64>, Vec<NotSearched>) {
    let mut known_m = Some(f64::MAX);
    let mut open = Vec::new();
    for kind in HazardKind::ALL {
        let each = Level::ALL.into_iter().filter(|l| *l <= level).filter_map(|l| of(required, kind, l));
        let Some(asked_m) = each.reduce(f64::max) else { continue };
        let searched_m = survey.looked_for.get(&kind).map(|l| l.value);
        let kind_m = searched_m.map(|s| s - asked_m).filter(|m| *m >= 0.0);
        known_m = known_m.zip(kind_m).map(|(a, b)| a.min(b));
        if kind_m.is_none_or(|m| m < farthest_m) {
            open.push(NotSearched { kind, searched_m, needed_m: asked_m + farthest_m });
        }
    }
    // What was not searched for at all leaves most open, then what falls the
    // shortest.
    let short_m = |n: &NotSearched| n.searched_m.map_or(f64::INFINITY, |s| n.needed_m - s);
    open.sort_by(|a, b| short_m(b).total_cmp(&short_m(a)));
    (known_m, open)
}
