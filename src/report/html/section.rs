//! The section of the ground at the peg: what it may be at each depth, where
//! the water stands, how deep the well has to be.
//!
//! Depth goes down, as drillers log it. The width of a fill at a depth is its
//! chance. The water stands at the sign of drawings for it, a triangle on its
//! point (ISO and national habit, from memory); bands hold it eight times in
//! ten.

use super::canvas::{Align, Canvas, Frame, n};
use super::design;
use super::markup::{Element, el};
use super::signs::Fill;
use crate::report::messages::Messages;
use crate::report::model::{Fact, FactValue, Report};
use crate::report::section_model::Slice;

const WIDTH: f64 = 340.0;
const TOP: f64 = 40.0;
const HEIGHT: f64 = 300.0;
/// The column of the ground: left edge and width.
const GROUND: (f64, f64) = (36.0, 132.0);
/// The column of the hole.
const HOLE: (f64, f64) = (184.0, 36.0);
/// Where words about the hole begin.
const WORDS: f64 = 232.0;
/// The least and greatest depth of the picture, metres.
const DEPTHS_M: (f64, f64) = (10.0, 80.0);

/// The picture with the fills in it; `None` where nothing can be forecast.
pub struct Drawn {
    /// The picture.
    pub picture: Element,
    /// The fills.
    pub fills: Vec<Fill>,
}

/// A depth with the ends of its band.
#[derive(Clone, Copy)]
struct Level {
    low_m: f64,
    middle_m: f64,
    high_m: f64,
}

fn fact_level(report: &Report, name: &str) -> Option<Level> {
    let Fact { value: FactValue::Number(middle_m), low, high, .. } = report.facts.get(name)? else {
        return None;
    };
    Some(Level { low_m: low.unwrap_or(*middle_m), middle_m: *middle_m, high_m: high.unwrap_or(*middle_m) })
}

/// Draws the section.
pub fn draw(m: Messages, report: &Report) -> Option<Drawn> {
    let forecast = report.forecast.as_ref()?;
    let slices = report.section.as_slice();
    let last = slices.last()?;
    let dry = &forecast.level.dry_year_m;
    let dry = Level { low_m: dry.band80[0], middle_m: dry.median, high_m: dry.band80[1] };
    let wet = fact_level(report, "wet_level_m");
    let needed = fact_level(report, "needed_depth_m");
    let shown_m = slices.iter().filter(|s| s.unseen < 0.9).map(|s| s.bottom_m).fold(0.0, f64::max);
    let of_well = report.well_plan.as_ref().and_then(|p| p.well.as_ref()).map_or(0.0, |w| w.depth_m[1]);
    let of_levels =
        [of_well, dry.high_m, needed.map_or(0.0, |l| l.middle_m), wet.map_or(0.0, |l| l.middle_m)];
    let wanted_m = of_levels.into_iter().fold(shown_m.min(last.bottom_m), f64::max) + 1.0;
    let deepest_m = ((wanted_m / 5.0).ceil() * 5.0).clamp(DEPTHS_M.0, DEPTHS_M.1);
    let y = |depth_m: f64| TOP + depth_m.clamp(0.0, deepest_m) / deepest_m * HEIGHT;

    let mut canvas = Canvas::new(WIDTH, TOP + HEIGHT + 12.0);
    axis(m, &mut canvas, deepest_m, &y);
    let fills = ground(m, &mut canvas, slices, deepest_m, &y);
    let well = report.well_plan.as_ref().and_then(|p| p.well.as_ref());
    let well = well.filter(|w| w.depth_m[1] <= deepest_m);
    hole(m, &mut canvas, &y, deepest_m, dry, wet);
    match well {
        Some(well) => design::draw(m, &mut canvas, well, (HOLE.0, HOLE.0 + HOLE.1), WORDS, &y),
        None => needed_depth(m, &mut canvas, &y, deepest_m, needed),
    }
    let mut defs = el("defs");
    for fill in &fills {
        defs = defs.with(fill.pattern());
    }
    let about_well = well.map(|w| design::told(m, w));
    let mut about = about(m, slices, dry, wet, needed);
    about_well.iter().for_each(|told| about.push_str(&format!(" {told}")));
    Some(Drawn { picture: canvas.finish("section", &m.say("section.title"), &about, Some(defs)), fills })
}

/// Metres at the left, and what the two columns are above them.
fn axis(m: Messages, canvas: &mut Canvas, deepest_m: f64, y: &impl Fn(f64) -> f64) {
    let every_m = if deepest_m > 40.0 { 10.0 } else { 5.0 };
    let mut depth_m = 0.0;
    while depth_m <= deepest_m {
        let at = y(depth_m);
        let d = format!("M{} {}H{}", n(GROUND.0 - 4.0), n(at), n(GROUND.0));
        canvas.draw(el("path").class("tick").attr("d", d));
        canvas.text(GROUND.0 - 6.0, at, Align::End, &m.number(depth_m, 0), "l");
        depth_m += every_m;
    }
    canvas.text(4.0, TOP - 26.0, Align::Start, &m.say("section.depth"), "l");
    canvas.text(GROUND.0 + GROUND.1 / 2.0, TOP - 9.0, Align::Middle, &m.say("section.ground"), "l b");
    canvas.text(HOLE.0 + HOLE.1 / 2.0, TOP - 9.0, Align::Middle, &m.say("section.hole"), "l b");
}

/// The share of each fill in a slice, in their order.
fn shares(slice: &Slice) -> Vec<(Fill, f64)> {
    Fill::ALL
        .into_iter()
        .map(|fill| {
            let of_classes: f64 =
                slice.may_be.iter().filter(|c| Fill::of(&c.ground) == fill).map(|c| c.chance).sum();
            let besides = match fill {
                Fill::Rock => slice.refuses,
                Fill::Unseen => slice.unseen,
                _ => 0.0,
            };
            (fill, of_classes + besides)
        })
        .collect()
}

/// A fill in one slice: left and right edge, top and bottom.
#[derive(Clone, Copy)]
struct Patch {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
}

fn ground(
    m: Messages,
    canvas: &mut Canvas,
    slices: &[Slice],
    deepest_m: f64,
    y: &impl Fn(f64) -> f64,
) -> Vec<Fill> {
    let mut patches: Vec<(Fill, Vec<Patch>)> = Fill::ALL.into_iter().map(|f| (f, Vec::new())).collect();
    for slice in slices.iter().filter(|s| s.top_m < deepest_m) {
        let all = shares(slice);
        let sum: f64 = all.iter().map(|s| s.1).sum::<f64>().max(1e-9);
        let mut left = GROUND.0;
        for ((_, share), (_, list)) in all.iter().zip(&mut patches) {
            let right = left + share / sum * GROUND.1;
            if *share > 0.0 {
                list.push(Patch { left, right, top: y(slice.top_m), bottom: y(slice.bottom_m) });
            }
            left = right;
        }
    }
    patches.retain(|(_, list)| !list.is_empty());
    for (fill, list) in &patches {
        let d: String = list
            .iter()
            .map(|p| format!("M{} {}H{}V{}H{}Z", n(p.left), n(p.top), n(p.right), n(p.bottom), n(p.left)))
            .collect();
        canvas.draw(el("path").attr("fill", format!("url(#f-{})", fill.key())).attr("d", d));
    }
    let frame = el("rect").class("edge").attr("x", n(GROUND.0)).attr("y", n(TOP));
    canvas.draw(frame.attr("width", n(GROUND.1)).attr("height", n(HEIGHT)));
    for (fill, list) in &patches {
        name(m, canvas, *fill, list);
    }
    patches.into_iter().map(|(fill, _)| fill).collect()
}

/// Names a fill in the middle of the longest stretch that has room for the
/// name.
fn name(m: Messages, canvas: &mut Canvas, fill: Fill, list: &[Patch]) {
    let name = m.say(&format!("fill.{}", fill.key()));
    let room = super::letters::width(&name, super::canvas::SIZE);
    let mut runs: Vec<(f64, f64)> = Vec::new();
    for p in list.iter().filter(|p| p.right - p.left >= room) {
        match runs.last_mut() {
            Some(last) if (last.1 - p.top).abs() < 1e-6 => last.1 = p.bottom,
            _ => runs.push((p.top, p.bottom)),
        }
    }
    let Some((top, bottom)) = runs.into_iter().max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))) else {
        return;
    };
    let y = f64::midpoint(top, bottom);
    let Some(p) = list.iter().find(|p| p.bottom > y) else { return };
    if bottom - top > 1.2 * super::canvas::SIZE {
        canvas.text(f64::midpoint(p.left, p.right), y, Align::Middle, &name, "l halo");
    }
}

/// The hole with the water in it.
fn hole(
    m: Messages,
    canvas: &mut Canvas,
    y: &impl Fn(f64) -> f64,
    deepest_m: f64,
    dry: Level,
    wet: Option<Level>,
) {
    let (left, right) = (HOLE.0, HOLE.0 + HOLE.1);
    canvas.keep_off(Frame { x: left, y: TOP, w: HOLE.1, h: HEIGHT });
    let ground = format!("M{} {}H{}", n(left - 10.0), n(TOP), n(right + 10.0));
    let walls =
        format!("M{} {}V{}M{} {}V{}", n(left), n(TOP), n(TOP + HEIGHT), n(right), n(TOP), n(TOP + HEIGHT));
    canvas.draw(el("path").class("tick").attr("d", format!("{ground}{walls}")));
    let levels = [(wet, "wet", "section.wet"), (Some(dry), "dry", "section.dry")];
    for (level, class, key) in levels {
        let Some(l) = level.filter(|l| l.middle_m <= deepest_m) else { continue };
        let (top, bottom, at) = (y(l.low_m), y(l.high_m), y(l.middle_m));
        let band = el("rect").class(format!("band {class}")).attr("x", n(left)).attr("y", n(top));
        canvas.draw(band.attr("width", n(HOLE.1)).attr("height", n((bottom - top).max(1.0))));
        let middle = f64::midpoint(left, right);
        let sign = format!("M{} {}H{}M{} {}l-5 -8h10Z", n(left), n(at), n(right), n(middle), n(at));
        canvas.draw(el("path").class(format!("level {class}")).attr("d", sign));
        let with = [("middle", m.depth(l.middle_m)), ("range", m.depths(l.low_m, l.high_m))];
        let with = with.each_ref().map(|(k, v)| (*k, v.as_str()));
        canvas.beside(right, at, WORDS, &m.fill(key, &with), "l");
    }
}

/// The depth that the well needs, where no well is drawn.
fn needed_depth(
    m: Messages,
    canvas: &mut Canvas,
    y: &impl Fn(f64) -> f64,
    deepest_m: f64,
    needed: Option<Level>,
) {
    let (left, right) = (HOLE.0, HOLE.0 + HOLE.1);
    if let Some(l) = needed.filter(|l| l.middle_m <= deepest_m) {
        let at = y(l.middle_m);
        let line = format!("M{} {}H{}", n(left - 6.0), n(at), n(right + 6.0));
        canvas.draw(el("path").class("needed").attr("d", line));
        let text = m.fill("section.needed", &[("depth", &m.depth(l.middle_m))]);
        canvas.beside(right + 6.0, at, WORDS, &text, "l b");
    }
}

/// The likeliest ground of a slice, with its chance.
pub fn likeliest(slice: &Slice) -> (Fill, f64) {
    let greatest = shares(slice).into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
    greatest.unwrap_or((Fill::Unseen, 1.0))
}

fn about(m: Messages, slices: &[Slice], dry: Level, wet: Option<Level>, needed: Option<Level>) -> String {
    let mut runs: Vec<(Fill, f64, f64)> = Vec::new();
    for slice in slices {
        let (fill, _) = likeliest(slice);
        match runs.last_mut() {
            Some(last) if last.0 == fill => last.2 = slice.bottom_m,
            _ => runs.push((fill, slice.top_m, slice.bottom_m)),
        }
    }
    let told: Vec<String> = runs
        .iter()
        .map(|(fill, top, bottom)| {
            format!(
                "{}{}{}",
                m.depths(*top, *bottom),
                m.say("mark.colon"),
                m.say(&format!("fill.{}", fill.key()))
            )
        })
        .collect();
    let level = |key: &str, l: Level| {
        let (middle, range) = (m.depth(l.middle_m), m.depths(l.low_m, l.high_m));
        m.fill(key, &[("middle", &middle), ("range", &range)])
    };
    let mut parts = vec![m.fill("section.about", &[("layers", &told.join(&m.say("mark.semicolon")))])];
    parts.extend(wet.map(|l| format!("{}.", level("section.wet", l))));
    parts.push(format!("{}.", level("section.dry", dry)));
    parts
        .extend(needed.map(|l| format!("{}.", m.fill("section.needed", &[("depth", &m.depth(l.middle_m))]))));
    parts.join(" ")
}
