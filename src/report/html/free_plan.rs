//! The plot as a picture: the ground where the peg could go, and the best
//! spots on it.
//!
//! Hatched is what a hazard takes, as on the plan around the peg; tinted what
//! a search may still take; plain what is free of stops, and filled what is
//! free of conditions too.

use super::canvas::{Canvas, Frame, n, path};
use super::geometry::cut_ring;
use super::markup::{Element, el};
use super::plan::{self, SIDE, STRIP, Scale};
use super::signs::{self, Family};
use crate::place::Plane;
use crate::report::free_ground::{FreeGround, Polygons, Spot};
use crate::report::messages::Messages;
use crate::report::model::Report;
use crate::survey::LonLat;

/// The picture, with what stands beside it.
pub struct Drawn {
    /// The picture.
    pub picture: Element,
    /// Names of hazards that had no room, by their number.
    pub key: Vec<String>,
    /// Signs that it shows.
    pub families: Vec<Family>,
}

/// Rings east and north of the peg, metres.
fn rings(of: &Polygons, plane: &Plane) -> Vec<Vec<[f64; 2]>> {
    let place = |[lon, lat]: &[f64; 2]| {
        // Longitudes run on where a plot lies across the seam of the map.
        let lon = (lon + 180.0).rem_euclid(360.0) - 180.0;
        Some(plane.east_north_m(LonLat::new(lon, *lat).ok()?))
    };
    of.iter().flatten().map(|ring| ring.iter().filter_map(place).collect()).collect()
}

/// Draws the plot, with those spots numbered; `None` where the peg is no place.
pub fn draw(m: Messages, report: &Report, ground: &FreeGround, spots: &[&Spot]) -> Option<Drawn> {
    let plane = Plane::at(LonLat::new(report.peg.lon_deg, report.peg.lat_deg).ok()?);
    let plot = rings(&ground.plot, &plane);
    let corners: Vec<[f64; 2]> = plot.iter().flatten().copied().collect();
    let scale = Scale::around(&corners);
    let mut canvas = Canvas::new(SIDE, SIDE + STRIP);
    canvas.keep_off(Frame { x: 0.0, y: SIDE - 1.0, w: SIDE, h: 2.0 });
    plan::scale_bar(m, &mut canvas, &scale);
    plan::north(m, &mut canvas);
    let outline = |rings: &[Vec<[f64; 2]>]| -> String {
        let window = plan::window(&scale, 0.0);
        let cut = |ring: &Vec<[f64; 2]>| {
            let places: Vec<_> = ring.iter().map(|p| scale.spot(*p)).collect();
            path(&cut_ring(&places, window), true)
        };
        rings.iter().map(cut).collect()
    };
    let mut all = el("g").attr("clip-path", "url(#plan-frame)");
    let parts = [
        (&ground.plot, "p taken"),
        (&ground.free_of_stops.not_known, "p perhaps"),
        (&ground.free_of_stops.free, "p free"),
        (&ground.free_of_cautions.free, "p best"),
    ];
    for (of, class) in parts {
        all = all.with(el("path").class(class).attr("d", outline(&rings(of, &plane))));
    }
    let stated = ground.plot_from.is_some();
    let edge = outline(&plot);
    all = all.with(if stated {
        Family::Boundary.line(&edge)
    } else {
        el("path").class("frame").attr("d", edge)
    });
    let mut families = vec![Family::Peg];
    families.extend(stated.then_some(Family::Boundary));
    let around = report.plan.as_ref().map(|p| p.hazards.as_slice()).unwrap_or_default();
    let place =
        |h: &crate::report::plan_model::PlanHazard| plan::nearest_place(h.distance_m[1], h.bearing_deg);
    let hazards: Vec<_> = around.iter().filter(|h| scale.shows(place(h))).collect();
    for h in &hazards {
        let family = Family::of(&h.kind);
        all = all.all(plan::shape(h, family, &scale));
        families.push(family);
    }
    let frame = el("rect").class("frame").attr("x", 1).attr("y", 1);
    canvas.draw(all.with(frame.attr("width", n(SIDE - 2.0)).attr("height", n(SIDE - 2.0))));
    let peg = scale.spot([0.0, 0.0]);
    canvas.draw(Family::Peg.mark(peg));
    for [x, y] in hazards.iter().map(|h| scale.spot(place(h))).chain([peg]) {
        canvas.keep_off(Frame { x: x - 5.0, y: y - 5.0, w: 10.0, h: 10.0 });
    }
    let at = |spot: &Spot| scale.spot(plan::nearest_place(spot.move_m, spot.bearing_deg));
    for [x, y] in spots.iter().map(|s| at(s)) {
        canvas.draw(dot([x, y]));
        canvas.keep_off(Frame { x: x - 4.0, y: y - 4.0, w: 8.0, h: 8.0 });
    }
    for (number, spot) in spots.iter().enumerate() {
        canvas.near(at(spot), 4.0, &[(number + 1).to_string()], "l b");
    }
    canvas.near(peg, 8.0, &[m.say("plan.peg")], "l b");
    let letter =
        |n: usize| char::from_u32(u32::from('a') + u32::try_from(n).unwrap_or(u32::MAX)).unwrap_or('*');
    let mut key = Vec::new();
    for h in &hazards {
        let lines = super::letters::lines(&h.name, super::canvas::SIZE, 92.0, 2);
        if !canvas.near(scale.spot(place(h)), 5.0, &lines, "l") {
            // Numbers stand for spots, so hazards take letters.
            let mark = letter(key.len());
            canvas.near(scale.spot(place(h)), 5.0, &[mark.to_string()], "l");
            key.push(format!("{mark} {}", h.name));
        }
    }
    families.sort_unstable();
    families.dedup();
    let defs = report.plan.is_none().then(|| signs::plan_defs(SIDE));
    let about = m.fill("free.about", &[("n", &spots.len().to_string())]);
    Some(Drawn { picture: canvas.finish("free", &m.say("free.title"), &about, defs), key, families })
}

/// A spot for the peg.
pub fn dot([x, y]: [f64; 2]) -> Element {
    let d = format!("M{} {}a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0Z", n(x - 3.5), n(y));
    el("path").class("m spot").attr("d", d)
}
