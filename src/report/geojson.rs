//! The report as a map: a GeoJSON FeatureCollection (RFC 7946) of the peg with
//! its verdict, hazards and what must be kept clear around them, neighbours,
//! free ground, the best spots and the flow of groundwater.
//!
//! Every feature says what it is in `feature`; lengths are in metres, areas in
//! square metres, directions in degrees from true north, as the names of the
//! properties say. Coordinates are WGS84, to a centimetre.

use serde_json::{Map, Value, json};

use super::free_ground::{Ground, Polygons, Spot, degrees, polygons};
use super::free_ground_words::way;
use super::map_plan::{MapPlan, PlanHazard, PlanWell};
use super::model::Report;
use super::{build::round, seam};
use crate::place::destination;
use crate::survey::{LonLat, Shape};

/// The report as GeoJSON, ending in a line break.
pub fn render(report: &Report) -> String {
    let peg_lon = report.peg.lon_deg;
    let mut features = vec![peg(report)];
    if let Some(ground) = &report.free_ground {
        let about = json!({
            "feature": "plot",
            "area_m2": ground.area_m2,
            "radius_m": ground.radius_m,
            "from": ground.plot_from,
        });
        features.push(feature(seam::polygons(&ground.plot), about));
        for (free_of, left) in [("stops", &ground.free_of_stops), ("cautions", &ground.free_of_cautions)] {
            features.extend(free(free_of, left));
        }
    }
    if let Some(plan) = &report.map {
        for hazard in &plan.hazards {
            features.extend(setbacks(hazard, plan));
        }
        features.extend(plan.hazards.iter().map(|h| self::hazard(h, peg_lon)));
        features.extend(plan.wells.iter().map(neighbour));
    }
    features.extend(flow(report));
    if let Some(ground) = &report.free_ground {
        let widest = ground.widest.iter().map(|s| spot("widest spot", None, s));
        features.extend(widest);
        features.extend(ground.spots.iter().enumerate().map(|(n, s)| spot("spot", Some(n + 1), s)));
    }
    // A feature a line, so that two maps can be compared.
    let features: Vec<String> = features.iter().map(Value::to_string).collect();
    format!(
        "{{\"type\":\"FeatureCollection\",\"forebore\":{},\"about\":{},\"features\":[\n{}\n]}}\n",
        json!(report.forebore),
        json!(report.authority.defers),
        features.join(",\n")
    )
}

/// A feature; properties that are not known are left out.
fn feature(geometry: Value, properties: Value) -> Value {
    let properties = match properties {
        Value::Object(all) => all.into_iter().filter(|(_, v)| !v.is_null()).collect::<Map<_, _>>(),
        _ => Map::new(),
    };
    json!({"type": "Feature", "geometry": geometry, "properties": properties})
}

fn peg(report: &Report) -> Value {
    let place = [report.peg.lon_deg, report.peg.lat_deg];
    let because: Vec<&str> =
        report.reasons.iter().filter(|r| r.alone == report.verdict).map(|r| r.rule.as_str()).collect();
    let about = json!({
        "feature": "peg",
        "name": report.peg.name,
        "verdict": report.verdict,
        "says": report.verdict.words(),
        "because": because.join(", "),
        "score": report.score,
        "stage": report.stage,
        "setting": report.peg.region,
        "visited": report.peg.visited,
        "accuracy_m": report.map.as_ref().and_then(|p| p.peg_accuracy_m),
        "from": report.peg.from,
    });
    feature(seam::points(&[place]), about)
}

fn free(free_of: &str, left: &Ground) -> Vec<Value> {
    let about = |state: &str, area_m2: f64| json!({"feature": "free ground", "free_of": free_of, "state": state, "area_m2": area_m2});
    let states = [("free", &left.free, left.free_m2), ("not known", &left.not_known, left.not_known_m2)];
    let there = states.into_iter().filter(|(_, polygons, _)| !polygons.is_empty());
    there.map(|(state, of, area_m2)| feature(seam::polygons(of), about(state, area_m2))).collect()
}

fn setbacks(hazard: &PlanHazard, plan: &MapPlan) -> Vec<Value> {
    let [stops, cautions] = hazard.required_m;
    let of = |(free_of, required_m): (&str, f64)| {
        let about = json!({
            "feature": "setback",
            "of": hazard.name,
            "kind": hazard.kind,
            "free_of": free_of,
            "required_m": required_m,
            "position_error_m": round(hazard.error_m, 1),
            "drawn_m": round(required_m + hazard.error_m, 1),
        });
        feature(seam::polygons(&polygons(&hazard.setback(required_m), &plan.plane)), about)
    };
    let levels = [("cautions", cautions), ("stops", stops)];
    levels.into_iter().filter_map(|(name, m)| Some(of((name, m?)))).collect()
}

fn hazard(hazard: &PlanHazard, peg_lon: f64) -> Value {
    let [stops, cautions] = hazard.required_m;
    let about = json!({
        "feature": "hazard",
        "name": hazard.name,
        "kind": hazard.kind,
        "distance_m": round(hazard.distance_m, 1),
        "bearing_deg": hazard.bearing_deg.map(|b| round(b, 0)),
        "position_error_m": round(hazard.error_m, 1),
        "stop_distance_m": stops,
        "caution_distance_m": cautions,
        "from": hazard.from,
    });
    feature(geometry(&hazard.shape, peg_lon), about)
}

fn geometry(shape: &Shape, peg_lon: f64) -> Value {
    let place = |at: &LonLat| degrees(at.lon_deg(), at.lat_deg(), peg_lon);
    let path = |line: &Vec<LonLat>| line.iter().map(place).collect::<Vec<_>>();
    match shape {
        Shape::Points(points) => seam::points(&points.iter().map(place).collect::<Vec<_>>()),
        Shape::Lines(lines) => seam::lines(&lines.iter().map(path).collect::<Vec<_>>()),
        Shape::Polygons(of) => {
            let of: Polygons = of.iter().map(|rings| rings.iter().map(path).collect()).collect();
            seam::polygons(&of)
        }
    }
}

fn neighbour(well: &PlanWell) -> Value {
    let about = json!({
        "feature": "neighbour",
        "name": well.name,
        "distance_m": round(well.distance_m, 0),
        "bearing_deg": round(well.bearing_deg, 0),
        "accuracy_m": well.accuracy_m,
        "outcome": well.outcome,
        "depth_m": well.depth_m,
        "water_level_m": well.water_level_m,
        "measured": well.measured,
        "yield_lps": well.yield_lps,
        "from": well.from,
    });
    feature(seam::points(&[[well.at.lon_deg(), well.at.lat_deg()]]), about)
}

fn spot(what: &str, rank: Option<usize>, spot: &Spot) -> Value {
    let held: Vec<&str> =
        spot.reasons.iter().filter(|r| r.alone == spot.verdict).map(|r| r.rule.as_str()).collect();
    let about = json!({
        "feature": what,
        "rank": rank,
        "move": way(spot),
        "move_m": spot.move_m,
        "bearing_deg": spot.bearing_deg,
        "verdict": spot.verdict,
        "because": held.join(", "),
        "score": spot.score,
        "as_to_stops": spot.as_to_stops,
        "as_to_cautions": spot.as_to_cautions,
        "clear_of_stops_m": spot.clear_of_stops_m,
        "clear_of_cautions_m": spot.clear_of_cautions_m,
    });
    feature(seam::points(&[[spot.lon_deg, spot.lat_deg]]), about)
}

/// The arrow of the flow is so long, metres.
const ARROW_M: f64 = 50.0;

/// A line from the peg the way the groundwater flows: by the levels where they
/// say, or else as the survey states it.
fn flow(report: &Report) -> Option<Value> {
    let flow = report.groundwater_flow.as_ref()?;
    let (towards_deg, by) = match (flow.towards_deg, flow.stated_towards_deg) {
        (Some(deg), _) => (deg, "levels"),
        (None, Some(deg)) => (deg, "survey"),
        (None, None) => return None,
    };
    let from = LonLat::new(report.peg.lon_deg, report.peg.lat_deg).ok()?;
    let to = destination(from, towards_deg, ARROW_M)?;
    let place = |at: LonLat| degrees(at.lon_deg(), at.lat_deg(), report.peg.lon_deg);
    let about = json!({
        "feature": "groundwater flow",
        "towards_deg": towards_deg,
        "half_band_deg": flow.half_band_deg.filter(|_| by == "levels"),
        "by": by,
        "length_m": ARROW_M,
    });
    Some(feature(seam::lines(&[vec![place(from), place(to)]]), about))
}
