//! The proposed well in the section: casing, screen, pack and seals, as a
//! drawing of a well shows them, at the likeliest depths.

use super::canvas::{Canvas, n};
use super::markup::el;
use crate::report::messages::Messages;
use crate::report::well_plan::Sheet;

/// Half the width of the casing.
const CASING: f64 = 7.0;
/// Its wall is a line so far inside the edge of the seals.
const CAP: f64 = 7.0;

/// Draws the well between the walls of the hole. `y` brings a depth to the
/// picture.
pub fn draw(
    m: Messages,
    canvas: &mut Canvas,
    w: &Sheet,
    (left, right): (f64, f64),
    words: f64,
    y: &impl Fn(f64) -> f64,
) {
    let middle = f64::midpoint(left, right);
    let [depth, screen_top, screen_bottom] = [w.depth_m[1], w.screen_top_m[1], w.screen_bottom_m[1]].map(y);
    let [pack, clay, grout] = [w.pack_top_m[1], w.clay_top_m[1], w.grout_bottom_m[1]].map(y);
    let ground = y(0.0);
    let sides = [(left, middle - CASING), (middle + CASING, right)];
    let mut filled = |top: f64, bottom: f64, class: &'static str| {
        if bottom <= top {
            return;
        }
        for (from, to) in sides {
            let part = el("rect").class(class).attr("x", n(from)).attr("y", n(top));
            canvas.draw(part.attr("width", n(to - from)).attr("height", n(bottom - top)));
        }
    };
    filled(ground, grout, "well-grout");
    filled(grout, clay, "well-fill");
    filled(clay, pack, "well-clay");
    filled(pack, depth, "well-pack");
    let wall = |x: f64| {
        format!("M{} {}V{}M{} {}V{}", n(x), n(ground - CAP), n(screen_top), n(x), n(screen_bottom), n(depth))
    };
    let cap = format!("M{} {}h{}", n(middle - CASING), n(ground - CAP), n(2.0 * CASING));
    let foot = format!("M{} {}h{}", n(middle - CASING), n(depth), n(2.0 * CASING));
    let walls = format!("{}{}{cap}{foot}", wall(middle - CASING), wall(middle + CASING));
    canvas.draw(el("path").class("well-pipe").attr("d", walls));
    for x in [middle - CASING, middle + CASING] {
        let slots = format!("M{} {}V{}", n(x), n(screen_top), n(screen_bottom));
        canvas.draw(el("path").class("well-screen").attr("d", slots));
    }
    let parts = [
        ("design.grout", f64::midpoint(ground, grout), m.depth(w.grout_bottom_m[1])),
        ("design.clay", f64::midpoint(clay, pack), m.depths(w.clay_top_m[1], w.pack_top_m[1])),
        (
            "design.screen",
            f64::midpoint(screen_top, screen_bottom),
            m.depths(w.screen_top_m[1], w.screen_bottom_m[1]),
        ),
        ("design.foot", depth, m.depth(w.depth_m[1])),
    ];
    for (key, at, depths) in parts {
        canvas.beside(right, at, words, &m.fill(key, &[("depth", &depths)]), "l");
    }
}

/// The well in words.
pub fn told(m: Messages, w: &Sheet) -> String {
    let range = |d: [f64; 3]| m.depths(d[0], d[2]);
    m.fill(
        "design.about",
        &[
            ("hole", &m.number(w.hole_mm, 0)),
            ("casing", &w.casing),
            ("depth", &m.depth(w.depth_m[1])),
            ("depths", &range(w.depth_m)),
            ("top", &m.depth(w.screen_top_m[1])),
            ("bottom", &m.depth(w.screen_bottom_m[1])),
            ("pack", &m.depth(w.pack_top_m[1])),
            ("clay", &m.depth(w.clay_top_m[1])),
            ("grout", &m.depth(w.grout_bottom_m[1])),
        ],
    )
}
