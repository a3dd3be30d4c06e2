//! The plan around the peg.
//!
//! Signs follow the habits of maps and engineering drawings: north is up and
//! marked, a scale bar in two tones, the phantom line of long dash and two
//! dots for a boundary (ISO 128, from memory), hatching for ground on which
//! the peg must not stand. The hatching is the distance required around each
//! hazard, the tint around it what is not known of their positions.

use super::canvas::{Align, Canvas, Frame, n, path};
use super::geometry::{Spot, Window, cut_line, cut_ring};
use super::markup::{Element, el};
use super::signs::{self, Family};
use crate::report::forecast_flow::GroundwaterFlow;
use crate::report::messages::Messages;
use crate::report::plan_model::{Plan, PlanHazard, PlanShape};

/// Side of the picture.
pub(super) const SIDE: f64 = 340.0;
const MIDDLE: f64 = SIDE / 2.0;
/// From the middle to the edge of what is drawn to scale.
const HALF: f64 = 168.0;
/// Height of the strip below for scale bar and north.
pub(super) const STRIP: f64 = 30.0;
/// How far around the peg the picture may reach, metres.
const REACHES_M: [f64; 7] = [20.0, 30.0, 50.0, 75.0, 100.0, 150.0, 250.0];
/// Things beyond the edge that are pointed at.
const POINTED_AT: usize = 6;
/// A hazard of many points shows so many.
const MOST_POINTS: usize = 100;

/// The picture, with what numbers on it stand for.
pub struct Drawn {
    /// The picture.
    pub picture: Element,
    /// Names of the numbers.
    pub key: Vec<String>,
    /// Signs that it shows.
    pub families: Vec<Family>,
}

/// How the ground is brought to the picture.
pub(super) struct Scale {
    reach_m: f64,
    per_m: f64,
    /// What lies in the middle, east and north of the peg.
    middle_m: [f64; 2],
}

impl Scale {
    /// The least that shows every hazard not yet well beyond what is wanted
    /// of it.
    fn of(plan: &Plan) -> Self {
        let matters = |h: &&PlanHazard| {
            let wanted_m = h.wanted_m.or(h.required_m).unwrap_or_default();
            h.distance_m[0] <= 1.25 * wanted_m
        };
        let of_hazards = plan.hazards.iter().filter(matters).map(|h| h.distance_m[1]);
        let nearest = plan.hazards.first().map(|h| h.distance_m[1]);
        let needed_m = of_hazards.chain(nearest).fold(0.0, f64::max) * 1.1;
        let reach_m = REACHES_M.into_iter().find(|r| *r >= needed_m).unwrap_or(REACHES_M[6]);
        Self { reach_m, per_m: HALF / reach_m, middle_m: [0.0, 0.0] }
    }

    /// One that shows all those places.
    pub(super) fn around(places: &[[f64; 2]]) -> Self {
        let ends = |axis: usize| {
            let along = places.iter().filter_map(|p| p.get(axis)).copied();
            along.fold((0.0_f64, 0.0_f64), |(low, high), x| (low.min(x), high.max(x)))
        };
        let ((west, east), (south, north)) = (ends(0), ends(1));
        let needed_m = f64::max(east - west, north - south) / 2.0 * 1.06;
        let reach_m = needed_m.max(5.0);
        let middle_m = [f64::midpoint(west, east), f64::midpoint(south, north)];
        Self { reach_m, per_m: HALF / reach_m, middle_m }
    }

    pub(super) fn spot(&self, [east, north]: [f64; 2]) -> Spot {
        let [middle_east, middle_north] = self.middle_m;
        [MIDDLE + (east - middle_east) * self.per_m, MIDDLE - (north - middle_north) * self.per_m]
    }

    pub(super) fn shows(&self, [east, north]: [f64; 2]) -> bool {
        let [middle_east, middle_north] = self.middle_m;
        (east - middle_east).abs() <= self.reach_m && (north - middle_north).abs() <= self.reach_m
    }
}

/// Where the nearest place of a thing lies, metres.
pub(super) fn nearest_place(distance_m: f64, bearing_deg: Option<f64>) -> [f64; 2] {
    let (sin, cos) = bearing_deg.unwrap_or_default().to_radians().sin_cos();
    bearing_deg.map_or([0.0, 0.0], |_| [distance_m * sin, distance_m * cos])
}

/// Draws the plan.
pub fn draw(m: Messages, plan: &Plan, flow: Option<&GroundwaterFlow>) -> Drawn {
    let scale = Scale::of(plan);
    let mut canvas = Canvas::new(SIDE, SIDE + STRIP);
    let mut families: Vec<Family> = Vec::new();
    let edge = el("rect").class("frame").attr("x", 1).attr("y", 1);
    canvas.keep_off(Frame { x: 0.0, y: SIDE - 1.0, w: SIDE, h: 2.0 });
    scale_bar(m, &mut canvas, &scale);
    north(m, &mut canvas);
    canvas.keep_off(Frame { x: MIDDLE - 8.0, y: MIDDLE - 8.0, w: 16.0, h: 16.0 });
    let shown: Vec<&PlanHazard> = plan.hazards.iter().filter(|h| is_shown(h, &scale)).collect();
    let mut zones = el("g").attr("clip-path", "url(#plan-frame)");
    for wide in [true, false] {
        for h in &shown {
            zones = zones.perhaps(zone(h, &scale, wide));
        }
    }
    canvas.draw(zones);
    if let Some(flow) = flow {
        arrow(&mut canvas, flow);
    }
    let mut shapes = el("g").attr("clip-path", "url(#plan-frame)");
    for h in &shown {
        let family = Family::of(&h.kind);
        shapes = shapes.all(shape(h, family, &scale));
        families.push(family);
        keep_off_points(&mut canvas, h, &scale);
    }
    canvas.draw(shapes);
    let near_wells: Vec<_> = plan.wells.iter().filter(|w| scale.shows(w.east_north_m)).collect();
    for w in &near_wells {
        let family = Family::of_well(w.outcome.as_deref());
        let [x, y] = scale.spot(w.east_north_m);
        canvas.draw(family.mark([x, y]));
        canvas.keep_off(Frame { x: x - 5.0, y: y - 5.0, w: 10.0, h: 10.0 });
        families.push(family);
    }
    canvas.draw(edge.attr("width", n(SIDE - 2.0)).attr("height", n(SIDE - 2.0)));
    canvas.draw(Family::Peg.mark([MIDDLE, MIDDLE]));
    families.push(Family::Peg);
    canvas.near([MIDDLE, MIDDLE], 8.0, &[m.say("plan.peg")], "l b");
    for h in &shown {
        let place = nearest_place(h.distance_m[1], h.bearing_deg);
        let text = format!("{}, {}", h.name, whole(m, h.distance_m[1]));
        canvas.name(scale.spot(place), 5.0, &text, "l");
    }
    for w in &near_wells {
        canvas.name(scale.spot(w.east_north_m), 5.0, &w.name, "l w");
    }
    beyond(m, &mut canvas, plan, &scale);
    families.sort_unstable();
    families.dedup();
    let key = std::mem::take(&mut canvas.key);
    let about = about(m, plan, flow, &scale);
    let picture = canvas.finish("plan", &m.say("plan.title"), &about, Some(signs::plan_defs(SIDE)));
    Drawn { picture, key, families }
}

fn is_shown(h: &PlanHazard, scale: &Scale) -> bool {
    scale.shows(nearest_place(h.distance_m[1], h.bearing_deg))
}

/// The window a shape is cut to: so far outside the frame that nothing of a
/// zone around it is lost.
pub(super) fn window(scale: &Scale, around_m: f64) -> Window {
    let out = (around_m.min(scale.reach_m * 4.0)) * scale.per_m + 20.0;
    Window(-out, -out, SIDE + out, SIDE + out)
}

/// The shape as one path, in the picture's units.
fn outline(shape: &PlanShape, scale: &Scale, around_m: f64) -> String {
    let window = window(scale, around_m);
    let spots = |places: &Vec<[f64; 2]>| places.iter().map(|p| scale.spot(*p)).collect::<Vec<_>>();
    match shape {
        // A stroke of no length with round ends is a disc.
        PlanShape::Points(points) => {
            let inside = spots(points).into_iter().filter(|p| window.holds(*p)).take(MOST_POINTS);
            inside.map(|[x, y]| format!("M{} {}l0 0", n(x), n(y))).collect()
        }
        PlanShape::Lines(lines) => {
            lines.iter().flat_map(|l| cut_line(&spots(l), window)).map(|part| path(&part, false)).collect()
        }
        PlanShape::Areas(areas) => {
            areas.iter().flatten().map(|ring| path(&cut_ring(&spots(ring), window), true)).collect()
        }
    }
}

/// The ground around a hazard on which the peg must not stand; where `wide`,
/// with what is not known of the positions around it.
fn zone(h: &PlanHazard, scale: &Scale, wide: bool) -> Option<Element> {
    let required_m = h.required_m.filter(|r| *r > 0.0)?;
    let out_m = if wide { required_m + h.error_m } else { required_m };
    let d = outline(&h.shape, scale, required_m + h.error_m);
    let width = (2.0 * out_m * scale.per_m).min(20.0 * SIDE);
    let filled = matches!(h.shape, PlanShape::Areas(_));
    let class = match (wide, filled) {
        (true, false) => "zw",
        (true, true) => "zw fw",
        (false, false) => "zh",
        (false, true) => "zh fh",
    };
    (!d.is_empty()).then(|| el("path").class(class).attr("stroke-width", n(width)).attr("d", d))
}

/// The hazard itself.
pub(super) fn shape(h: &PlanHazard, family: Family, scale: &Scale) -> Vec<Element> {
    match &h.shape {
        PlanShape::Points(points) => {
            let shown = points.iter().filter(|p| scale.shows(**p)).take(MOST_POINTS);
            shown.map(|p| family.mark(scale.spot(*p))).collect()
        }
        PlanShape::Lines(_) => vec![family.line(&outline(&h.shape, scale, 0.0))],
        PlanShape::Areas(_) => vec![family.area(&outline(&h.shape, scale, 0.0))],
    }
}

fn keep_off_points(canvas: &mut Canvas, h: &PlanHazard, scale: &Scale) {
    if let PlanShape::Points(points) = &h.shape {
        for p in points.iter().filter(|p| scale.shows(**p)).take(MOST_POINTS) {
            let [x, y] = scale.spot(*p);
            canvas.keep_off(Frame { x: x - 4.0, y: y - 4.0, w: 8.0, h: 8.0 });
        }
    }
}

/// Which way the groundwater flows, with its spread: a wedge on the side it
/// comes from and an arrow through the peg.
fn arrow(canvas: &mut Canvas, flow: &GroundwaterFlow) {
    const LONG: f64 = 118.0;
    const WIDE: f64 = 130.0;
    let Some(towards) = flow.towards_deg.or(flow.stated_towards_deg) else { return };
    let at = |bearing: f64, r: f64| {
        let (sin, cos) = bearing.to_radians().sin_cos();
        [MIDDLE + r * sin, MIDDLE - r * cos]
    };
    let from = towards + 180.0;
    if let Some(half) = flow.half_band_deg.filter(|_| flow.towards_deg.is_some()) {
        let half = half.clamp(1.0, 179.0);
        let ([ax, ay], [bx, by]) = (at(from - half, WIDE), at(from + half, WIDE));
        let large = u8::from(half > 90.0);
        let d = format!(
            "M{} {}L{} {}A{} {} 0 {large} 1 {} {}Z",
            n(MIDDLE),
            n(MIDDLE),
            n(ax),
            n(ay),
            n(WIDE),
            n(WIDE),
            n(bx),
            n(by)
        );
        canvas.draw(el("path").class("spread").attr("d", d));
    }
    let ([tx, ty], [hx, hy]) = (at(from, LONG), at(towards, 34.0));
    let class = if flow.towards_deg.is_some() { "flow" } else { "flow stated" };
    canvas.draw(el("path").class(class).attr("d", format!("M{} {}L{} {}", n(tx), n(ty), n(hx), n(hy))));
    let ([lx, ly], [rx, ry]) = (at(towards - 16.0, 25.0), at(towards + 16.0, 25.0));
    canvas.draw(el("path").class("head").attr("d", path(&[[hx, hy], [lx, ly], [rx, ry]], true)));
}

/// A bar in two tones, of a length that is easy to read.
pub(super) fn scale_bar(m: Messages, canvas: &mut Canvas, scale: &Scale) {
    let wanted_m = scale.reach_m / 2.0;
    let lengths = [5.0, 10.0, 20.0, 50.0, 100.0];
    let length_m = lengths.into_iter().rev().find(|l| *l <= wanted_m).unwrap_or(5.0);
    let (x, y, half) = (10.0, SIDE + STRIP - 10.0, length_m * scale.per_m / 2.0);
    let bar = |at: f64, class| {
        el("rect").class(class).attr("x", n(at)).attr("y", n(y)).attr("width", n(half)).attr("height", 5)
    };
    canvas.draw(bar(x, "bar full"));
    canvas.draw(bar(x + half, "bar"));
    canvas.keep_off(Frame { x, y, w: 2.0 * half, h: 5.0 });
    canvas.text(x, y - 8.0, Align::Start, "0", "l");
    canvas.text(x + 2.0 * half, y - 8.0, Align::Middle, &m.metres(length_m), "l");
}

pub(super) fn north(m: Messages, canvas: &mut Canvas) {
    let (x, y) = (SIDE - 24.0, SIDE + 6.0);
    canvas.draw(el("path").class("ink").attr("d", path(&[[x, y], [x + 6.0, y + 20.0], [x, y + 15.0]], true)));
    canvas
        .draw(el("path").class("open").attr("d", path(&[[x, y], [x - 6.0, y + 20.0], [x, y + 15.0]], true)));
    canvas.keep_off(Frame { x: x - 7.0, y, w: 14.0, h: 20.0 });
    canvas.text(x + 10.0, y + 10.0, Align::Start, &m.say("quarter.n"), "l b");
}

/// Hazards and wells that lie beyond the edge, pointed at from it.
fn beyond(m: Messages, canvas: &mut Canvas, plan: &Plan, scale: &Scale) {
    let hazards = plan.hazards.iter().filter(|h| !is_shown(h, scale));
    let hazards = hazards.map(|h| (h.distance_m[1], h.bearing_deg, &h.name));
    let wells = plan.wells.iter().filter(|w| !scale.shows(w.east_north_m));
    let wells = wells.map(|w| (w.distance_m[1], w.bearing_deg, &w.name));
    let mut all: Vec<_> = hazards.chain(wells).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.2.cmp(b.2)));
    for (distance_m, bearing_deg, name) in all.into_iter().take(POINTED_AT) {
        let Some(bearing) = bearing_deg else { continue };
        let (sin, cos) = bearing.to_radians().sin_cos();
        let r = (HALF - 6.0) / sin.abs().max(cos.abs()).max(1e-9);
        let at = |r: f64, aside: f64| [MIDDLE + r * sin + aside * cos, MIDDLE - r * cos + aside * sin];
        let mark = path(&[at(r + 5.0, 0.0), at(r - 4.0, 4.0), at(r - 4.0, -4.0)], true);
        canvas.draw(el("path").class("far").attr("d", mark));
        let [x, y] = at(r, 0.0);
        canvas.keep_off(Frame { x: x - 3.0, y: y - 3.0, w: 6.0, h: 6.0 });
        canvas.name([x, y], 5.0, &format!("{name}, {}", whole(m, distance_m)), "l w");
    }
}

/// A distance as short as it can be told: the table has its tenths.
fn whole(m: Messages, distance_m: f64) -> String {
    if distance_m < 20.0 { m.metres(distance_m) } else { m.metres(distance_m.round()) }
}

/// What the picture shows, for those who do not see it.
fn about(m: Messages, plan: &Plan, flow: Option<&GroundwaterFlow>, scale: &Scale) -> String {
    let mut text = m.fill(
        "plan.about",
        &[
            ("reach", &m.metres(scale.reach_m)),
            ("hazards", &plan.hazards.len().to_string()),
            ("wells", &plan.wells.len().to_string()),
        ],
    );
    if let Some(h) = plan.hazards.first() {
        let bearing = h.bearing_deg.map_or_else(|| m.say("plan.here"), |b| m.bearing(b));
        let with =
            [("name", h.name.as_str()), ("distance", &m.metres(h.distance_m[1])), ("bearing", &bearing)];
        text.push_str(&format!(" {}", m.fill("plan.about_nearest", &with)));
    }
    if let Some(towards) = flow.and_then(|f| f.towards_deg.or(f.stated_towards_deg)) {
        text.push_str(&format!(" {}", m.fill("plan.about_flow", &[("towards", &m.bearing(towards))])));
    }
    text
}
