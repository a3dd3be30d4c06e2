//! Chances that were given, and how much of each came: a point on the slanted
//! line is a chance that was right.

use super::canvas::{Align, Canvas, n};
use super::markup::{Element, el};

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 270.0;
/// Left edge, top and side of the field.
const FIELD: (f64, f64, f64) = (52.0, 24.0, 210.0);

/// The picture. Each spot is the mean chance, the share that came, and the
/// ends of its 95 % band.
pub fn chances_came(spots: &[[f64; 4]]) -> Element {
    let (left, top, side) = FIELD;
    let x = |chance: f64| left + chance * side;
    let y = |share: f64| top + (1.0 - share) * side;
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    for share in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let lines = format!(
            "M{} {}V{}M{} {}H{}",
            n(x(share)),
            n(top),
            n(top + side),
            n(left),
            n(y(share)),
            n(left + side)
        );
        canvas.draw(el("path").class("grid").attr("d", lines));
        let told = format!("{:.0} %", share * 100.0);
        canvas.text(x(share), top + side + 10.0, Align::Middle, &told, "l");
        canvas.text(left - 5.0, y(share), Align::End, &told, "l");
    }
    let right = format!("M{} {}L{} {}", n(x(0.0)), n(y(0.0)), n(x(1.0)), n(y(1.0)));
    canvas.draw(el("path").class("needed").attr("d", right));
    for [chance, came, low, high] in spots {
        canvas.draw(
            el("path").class("curve").attr("d", format!("M{} {}V{}", n(x(*chance)), n(y(*low)), n(y(*high)))),
        );
        let spot = el("circle").class("ink").attr("cx", n(x(*chance))).attr("cy", n(y(*came)));
        canvas.draw(spot.attr("r", 4));
    }
    canvas.text(4.0, 9.0, Align::Start, "came", "l b");
    canvas.text(left + side, HEIGHT - 9.0, Align::End, "chance given", "l b");
    let told: Vec<String> = spots
        .iter()
        .map(|[chance, came, low, high]| {
            let pct = |p: &f64| format!("{:.0} %", 100.0 * p);
            format!("given {}, came {} ({} to {})", pct(chance), pct(came), pct(low), pct(high))
        })
        .collect();
    let about = format!(
        "Points on the slanted line were right; the upright lines are 95 % bands. {}.",
        told.join("; ")
    );
    canvas.finish("came", "Of what was given a chance, how much came", &about, None)
}
