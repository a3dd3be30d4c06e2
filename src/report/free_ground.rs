//! Free ground as data of the report: how much of the plot is left, and where
//! the peg could go instead.

use geo::orient::{Direction, Orient};
use geo::{Area, MultiPolygon};
use schemars::JsonSchema;
use serde::Serialize;

use super::build::round;
use super::model::Point;
use crate::place::Plane;
use crate::place::free_ground::Class;
use crate::tune::free_ground as tune;
use crate::verdict::Answer;

/// Polygons in longitude and latitude (WGS84, degrees): each a list of rings,
/// the outer one anticlockwise and its holes clockwise, each closed.
/// Longitudes run on beyond 180 where a plot lies across it.
pub type Polygons = Vec<Vec<Vec<[f64; 2]>>>;

/// Where on the plot a well could stand, by distances alone, and the best
/// spots by all rules.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FreeGround {
    /// Where the survey states the plot, as file:line; null where it states
    /// none and a circle around the peg was looked at.
    pub plot_from: Option<String>,
    /// The radius of that circle, metres.
    pub radius_m: Option<f64>,
    /// Area of the plot or circle, square metres.
    pub area_m2: f64,
    /// The plot or circle.
    pub plot: Polygons,
    /// The ground where no distance stops a well or leaves it open.
    pub free_of_stops: Ground,
    /// The ground where no distance makes a condition either.
    pub free_of_cautions: Ground,
    /// How far a well must stand from each kind of hazard.
    pub required: Vec<Required>,
    /// The peg, judged as the spots are.
    pub peg: Spot,
    /// The spot farthest from trouble.
    pub widest: Option<Spot>,
    /// The best spots by the rules, the best first.
    pub spots: Vec<Spot>,
    /// Rules that were passed over for the peg and the spots.
    pub passed_over: Vec<String>,
    /// Rows and features that could not be used, and so may lie anywhere.
    pub left_out_records: usize,
}

/// What is left of the plot.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Ground {
    /// Area far enough from all hazards, and searched, square metres.
    pub free_m2: f64,
    /// Area far enough from all hazards that are known, but not searched for
    /// everything, square metres.
    pub not_known_m2: f64,
    /// The free ground.
    pub free: Polygons,
    /// The ground that is not known.
    pub not_known: Polygons,
    /// What was not searched for far enough.
    pub not_searched: Vec<NotSearched>,
}

/// A kind that was not searched for far enough to know the whole plot.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NotSearched {
    /// The kind.
    pub kind: String,
    /// How far around the peg it was searched for, metres; null: not at all.
    pub searched_m: Option<f64>,
    /// How far around the peg it would have to be, metres.
    pub needed_m: f64,
}

/// A distance that the rules ask from a kind of hazard.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Required {
    /// The kind.
    pub kind: String,
    /// For what: stops or cautions.
    pub free_of: String,
    /// The distance, metres.
    pub distance_m: f64,
    /// The rule that asks it.
    pub rule: String,
    /// The limit it comes from.
    pub limit: Option<String>,
    /// Where that was set, as file:line.
    pub limit_from: Option<String>,
}

/// A spot for the peg.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Spot {
    /// Latitude, degrees north (WGS84).
    pub lat_deg: f64,
    /// Longitude, degrees east (WGS84).
    pub lon_deg: f64,
    /// How far from the peg, metres.
    pub move_m: f64,
    /// In which direction from the peg, degrees from north; null at the peg.
    pub bearing_deg: Option<f64>,
    /// How far it is from ground not free of stops, metres; below zero on
    /// such ground.
    pub clear_of_stops_m: f64,
    /// The same for ground not free of cautions.
    pub clear_of_cautions_m: f64,
    /// As to stops: free, not known or taken.
    pub as_to_stops: String,
    /// As to cautions: free, not known or taken.
    pub as_to_cautions: String,
    /// What the rules make of it, on what is known of it from the peg.
    pub verdict: Answer,
    /// Its score, from 0 to 100.
    pub score: Option<f64>,
    /// Share of the weight of the rules that apply whose grade is known.
    pub score_known_share: f64,
    /// Why it is not better, the gravest first.
    pub reasons: Vec<Point>,
}

/// Scraps of ground smaller than this are left out, m²: no rig stands on them.
const SCRAP_M2: f64 = 0.5;

/// Digits of a degree: a centimetre.
const DEGREE_DIGITS: i32 = 7;

/// Polygons of the plane at a peg in longitude and latitude.
pub(super) fn polygons(of: &MultiPolygon<f64>, plane: &Plane) -> Polygons {
    let peg_lon = plane.place().lon_deg();
    let place = |c: &geo::Coord<f64>| {
        let at = plane.lon_lat([c.x, c.y])?;
        Some(degrees(at.lon_deg(), at.lat_deg(), peg_lon))
    };
    let ring = |ring: &geo::LineString<f64>| ring.coords().filter_map(place).collect::<Vec<_>>();
    of.orient(Direction::Default)
        .iter()
        .map(|p| std::iter::once(p.exterior()).chain(p.interiors()).map(ring).collect())
        .collect()
}

fn without_scraps(of: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    of.iter().filter(|p| p.unsigned_area() >= SCRAP_M2).cloned().collect()
}

/// Rounded degrees, the longitude within half a turn of the peg's.
pub(super) fn degrees(lon_deg: f64, lat_deg: f64, peg_lon_deg: f64) -> [f64; 2] {
    let lon_deg = match lon_deg - peg_lon_deg {
        d if d > 180.0 => lon_deg - 360.0,
        d if d < -180.0 => lon_deg + 360.0,
        _ => lon_deg,
    };
    [round(lon_deg, DEGREE_DIGITS), round(lat_deg, DEGREE_DIGITS)]
}

/// The report's view of free ground.
pub fn of(found: &tune::FreeGround) -> FreeGround {
    let plane = &found.plane;
    let ground = |level: &tune::LevelGround| Ground {
        free_m2: round(level.ground.free_m2(), 0),
        not_known_m2: round(level.ground.not_known_m2(), 0),
        free: polygons(&without_scraps(&level.ground.free), plane),
        not_known: polygons(&without_scraps(&level.ground.not_known), plane),
        not_searched: level
            .not_searched
            .iter()
            .map(|n| NotSearched {
                kind: n.kind.name().to_owned(),
                searched_m: n.searched_m,
                needed_m: n.needed_m.ceil(),
            })
            .collect(),
    };
    let [stops, cautions] = &found.levels;
    FreeGround {
        plot_from: found.stated.as_ref().map(ToString::to_string),
        radius_m: found.radius_m,
        area_m2: round(found.plot_m2, 0),
        plot: polygons(&found.plot, plane),
        free_of_stops: ground(stops),
        free_of_cautions: ground(cautions),
        required: found.required.iter().map(required).collect(),
        peg: spot(&found.peg),
        widest: found.widest.as_ref().map(spot),
        spots: found.spots.iter().map(spot).collect(),
        passed_over: found.passed_over.clone(),
        left_out_records: found.left_out,
    }
}

fn required(r: &tune::Requirement) -> Required {
    let free_of = match r.level {
        tune::Level::Stops => "stops",
        tune::Level::Cautions => "cautions",
    };
    Required {
        kind: r.kind.name().to_owned(),
        free_of: free_of.to_owned(),
        distance_m: round(r.distance_m, 3),
        rule: r.rule.clone(),
        limit: r.limit.as_ref().map(|l| l.name.clone()),
        limit_from: r.limit.as_ref().map(|l| l.set_by.from.to_string()),
    }
}

fn class(class: Class) -> String {
    match class {
        Class::Free => "free",
        Class::NotKnown => "not known",
        Class::Taken => "taken",
    }
    .to_owned()
}

fn spot(of: &tune::Judged) -> Spot {
    let verdict = &of.verdict;
    let [stops, cautions] = of.class;
    Spot {
        lat_deg: round(of.at.lat_deg(), DEGREE_DIGITS),
        lon_deg: round(of.at.lon_deg(), DEGREE_DIGITS),
        move_m: round(of.far_m, 1),
        bearing_deg: of.bearing_deg.map(|b| round(b, 0).rem_euclid(360.0)),
        clear_of_stops_m: round(of.clear_of_stops_m, 1),
        clear_of_cautions_m: round(of.clear_of_cautions_m, 1),
        as_to_stops: class(stops),
        as_to_cautions: class(cautions),
        verdict: verdict.answer,
        score: verdict.score.value.map(|s| round(s, 1)),
        score_known_share: round(verdict.score.known_share, 3),
        reasons: verdict
            .reasons
            .iter()
            .map(|p| Point { rule: p.rule.clone(), alone: p.alone, text: p.text.clone() })
            .collect(),
    }
}
