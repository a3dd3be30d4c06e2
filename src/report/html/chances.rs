//! How far down each method is likely to get, and what becomes of the holes.

use super::canvas::{Align, Canvas, SIZE, n, path};
use super::letters;
use super::markup::{Element, el};
use super::signs::swatch;
use crate::report::forecast::{Forecast, Method, Refusal};
use crate::report::messages::Messages;

const WIDTH: f64 = 340.0;
const TOP: f64 = 36.0;
const HEIGHT: f64 = 240.0;
/// The field of the curves: left edge and width.
const FIELD: (f64, f64) = (34.0, 180.0);
/// Where words about a curve begin.
const WORDS: f64 = 232.0;
/// Methods drawn; the table tells of all.
pub const METHODS_DRAWN: usize = 4;

/// The chance of getting past each depth, a curve a method; `None` where no
/// method has one.
pub fn past(m: Messages, forecast: &Forecast, needed_m: Option<f64>) -> Option<Element> {
    let drawn = curves(forecast);
    let deepest_m = drawn.iter().map(|r| r.max_depth_m).fold(0.0, f64::max);
    let deepest_m = (deepest_m / 5.0).ceil() * 5.0;
    if drawn.is_empty() || deepest_m <= 0.0 {
        return None;
    }
    let y = |depth_m: f64| TOP + depth_m / deepest_m * HEIGHT;
    let x = |chance: f64| FIELD.0 + chance * FIELD.1;
    let mut canvas = Canvas::new(WIDTH, TOP + HEIGHT + 14.0);
    grid(m, &mut canvas, deepest_m, &x, &y);
    if let Some(first) = drawn.first() {
        let low = first.past.iter().map(|p| [x(p.band80[0]), y(p.depth_m)]);
        let high = first.past.iter().rev().map(|p| [x(p.band80[1]), y(p.depth_m)]);
        let both: Vec<[f64; 2]> = low.chain(high).collect();
        canvas.draw(el("path").class("sure").attr("d", path(&both, true)));
    }
    if let Some(at) = needed_m.filter(|d| *d <= deepest_m).map(y) {
        let line = format!("M{} {}H{}", n(FIELD.0), n(at), n(FIELD.0 + FIELD.1));
        canvas.draw(el("path").class("needed").attr("d", line));
        let text = m.fill("section.needed", &[("depth", &m.depth(needed_m.unwrap_or_default()))]);
        canvas.beside(FIELD.0 + FIELD.1, at, WORDS, &text, "l b");
    }
    for (number, r) in drawn.iter().enumerate() {
        let mut places: Vec<[f64; 2]> = Vec::new();
        for p in &r.past {
            // The chance holds down to the next depth.
            if let Some([_, before]) = places.last().copied() {
                places.push([x(p.chance), before]);
            }
            places.push([x(p.chance), y(p.depth_m)]);
        }
        places.dedup();
        canvas.draw(el("path").class(format!("curve k{number}")).attr("d", path(&places, false)));
        if let Some([_, end]) = places.last() {
            canvas.beside(
                places.last().map_or(FIELD.0, |p| p[0]),
                *end,
                WORDS,
                &m.word("method", &r.method),
                "l",
            );
        }
    }
    let told: Vec<String> = drawn.iter().map(|r| told(m, r)).collect();
    let about = m.fill("past.about", &[("methods", &told.join(&m.say("mark.semicolon")))]);
    Some(canvas.finish("past", &m.say("past.title"), &about, None))
}

/// The curves of the likeliest methods, in their order.
fn curves(forecast: &Forecast) -> Vec<&Refusal> {
    let of = |method: &Method| forecast.refusal.iter().find(|r| r.method == method.method);
    forecast.methods.iter().filter_map(of).filter(|r| !r.past.is_empty()).take(METHODS_DRAWN).collect()
}

/// "hand auger: 5 m 80 %, 10 m 55 %".
pub fn told(m: Messages, r: &Refusal) -> String {
    const EVERY_M: f64 = 5.0;
    let at: Vec<String> = r
        .past
        .iter()
        .filter(|p| p.depth_m > 0.0 && (p.depth_m % EVERY_M).abs() < 1e-9)
        .map(|p| format!("{} {}", m.depth(p.depth_m), m.chance(p.chance)))
        .collect();
    format!("{}{}{}", m.word("method", &r.method), m.say("mark.colon"), at.join(", "))
}

fn grid(m: Messages, canvas: &mut Canvas, deepest_m: f64, x: &impl Fn(f64) -> f64, y: &impl Fn(f64) -> f64) {
    for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let line = format!("M{} {}V{}", n(x(share)), n(TOP), n(TOP + HEIGHT));
        canvas.draw(el("path").class("grid").attr("d", line));
        canvas.text(x(share), TOP - 8.0, Align::Middle, &m.number(share * 100.0, 0), "l");
    }
    canvas.text(x(1.0) + 18.0, TOP - 8.0, Align::Start, &m.say("past.chance"), "l");
    let every_m = if deepest_m > 40.0 { 10.0 } else { 5.0 };
    let mut depth_m = 0.0;
    while depth_m <= deepest_m {
        let line = format!("M{} {}H{}", n(FIELD.0), n(y(depth_m)), n(FIELD.0 + FIELD.1));
        canvas.draw(el("path").class("grid").attr("d", line));
        canvas.text(FIELD.0 - 5.0, y(depth_m), Align::End, &m.number(depth_m, 0), "l");
        depth_m += every_m;
    }
    canvas.text(4.0, TOP - 24.0, Align::Start, &m.say("section.depth"), "l");
}

/// What may become of a hole, in the order of the bars.
pub const FATES: [&str; 6] = ["success", "refused", "dry", "thin-screen", "low-yield", "poor-quality"];

/// The share of each fate.
pub fn fates(method: &Method) -> [f64; 6] {
    [method.success, method.refused, method.dry, method.thin_screen, method.low_yield, method.poor_quality]
}

/// What becomes of the holes, a bar a method; `None` without a method.
pub fn shares(m: Messages, forecast: &Forecast) -> Option<Element> {
    const ROW: f64 = 42.0;
    const BAR: (f64, f64) = (4.0, 332.0);
    let methods: Vec<&Method> = forecast.methods.iter().take(METHODS_DRAWN).collect();
    if methods.is_empty() {
        return None;
    }
    #[allow(clippy::cast_precision_loss, reason = "a handful of methods")]
    let mut canvas = Canvas::new(WIDTH, ROW * methods.len() as f64 + 6.0);
    let mut top = 2.0;
    for method in &methods {
        let success = m.fill("shares.success", &[("chance", &m.chance(method.success))]);
        canvas.text(BAR.0, top + 8.0, Align::Start, &m.word("method", &method.method), "l b");
        canvas.text(BAR.0 + BAR.1, top + 8.0, Align::End, &success, "l");
        let all = fates(method);
        let sum: f64 = all.iter().sum::<f64>().max(1e-9);
        let mut left = BAR.0;
        for (share, fate) in all.iter().zip(FATES) {
            let wide = share / sum * BAR.1;
            if wide > 0.0 {
                let bar =
                    el("rect").class(format!("fate {fate}")).attr("x", n(left)).attr("y", n(top + 16.0));
                canvas.draw(bar.attr("width", n(wide)).attr("height", 18));
                let text = m.chance(*share);
                if letters::width(&text, SIZE) + 6.0 < wide {
                    canvas.text(left + wide / 2.0, top + 25.0, Align::Middle, &text, "l halo");
                }
            }
            left += wide;
        }
        top += ROW;
    }
    let told: Vec<String> = methods.iter().map(|method| fates_told(m, method)).collect();
    let about = m.fill("shares.about", &[("methods", &told.join(" "))]);
    Some(canvas.finish("shares", &m.say("shares.title"), &about, Some(fate_defs())))
}

fn fates_told(m: Messages, method: &Method) -> String {
    let parts: Vec<String> = fates(method)
        .iter()
        .zip(FATES)
        .filter(|(share, _)| **share > 0.0)
        .map(|(share, fate)| format!("{} {}", m.say(&format!("fate.{fate}")), m.chance(*share)))
        .collect();
    format!("{}{}{}.", m.word("method", &method.method), m.say("mark.colon"), parts.join(", "))
}

/// A small picture of a fate for the key.
pub fn fate_swatch(fate: &str) -> Element {
    let sign = el("rect").class(format!("fate {fate}")).attr("x", 1).attr("y", 1);
    swatch(sign.attr("width", 30).attr("height", 16))
}

/// Each way to fail has a pattern of its own, so that none hangs on colour.
fn fate_defs() -> Element {
    let pattern = |id: &str, strokes: &str| {
        el("pattern")
            .attr("id", format!("p-{id}"))
            .attr("patternUnits", "userSpaceOnUse")
            .attr("width", 8)
            .attr("height", 8)
            .with(el("rect").class(format!("pg {id}")).attr("width", 8).attr("height", 8))
            .with(el("path").class("gs").attr("d", strokes.to_owned()))
    };
    el("defs")
        .with(pattern("refused", "M1 4h6M4 1v6"))
        .with(pattern("dry", ""))
        .with(pattern("thin-screen", "M0 4h8"))
        .with(pattern("low-yield", "M2 2h.1M6 6h.1"))
        .with(pattern("poor-quality", "M0 8L8 0"))
}
