//! The plan of a well: depths, with room for what was made.

use super::fit::{Paper, Room};
use crate::report::html::markup::{Element, el};
use crate::report::model::Report;
use crate::report::well_plan::{Sheet, WellPlan};

/// Depths that there may be, with room to write down what was made. Without a
/// plan only what the ground lets expect.
pub fn depths(paper: &Paper, report: &Report, whole: bool, room: &mut Room) -> Vec<Element> {
    let m = paper.m;
    let mut all = Vec::new();
    if !whole {
        let text = m.say("sheet.provisional");
        room.lines -= paper.lines(&text, room.width_pt) + 0.3;
        all.push(el("p").with(el("b").with(text)));
    }
    if let Some(best) = report.forecast.as_ref().and_then(|f| f.methods.first()) {
        let [low, high] = best.success_band80;
        let text = m.fill(
            "sheet.chance",
            &[("chance", &m.chance(best.success)), ("low", &m.chance(low)), ("high", &m.chance(high))],
        );
        room.lines -= paper.lines(&text, room.width_pt) + 0.3;
        all.push(el("p").with(text));
    }
    let plan = report.well_plan.as_ref();
    let well = plan.and_then(|p| p.well.as_ref());
    let mut rows: Vec<(&str, [f64; 3])> = Vec::new();
    if let Some(f) = &report.forecast {
        let b = &f.level.dry_year_m;
        rows.push(("water", [b.band95[0], b.median, b.band95[1]]));
    }
    if let Some(w) = well {
        rows.push(("hole", w.depth_m));
        if whole {
            rows.extend(made(w));
        }
    }
    if rows.is_empty() {
        let text = m.say("sheet.no_depths");
        room.lines -= paper.lines(&text, room.width_pt);
        all.push(el("p").with(text));
    } else {
        all.push(table(paper, &rows, if whole { "made" } else { "found" }, room));
    }
    if whole && let Some(plan) = plan {
        all.extend(how(paper, plan, room));
    }
    all
}

/// What is built, from the bottom of the pipe up.
fn made(w: &Sheet) -> [(&'static str, [f64; 3]); 6] {
    [
        ("screen_top", w.screen_top_m),
        ("screen_bottom", w.screen_bottom_m),
        ("pack", w.pack_top_m),
        ("clay", w.clay_top_m),
        ("grout", w.grout_bottom_m),
        ("pumping", w.pumping_level_m),
    ]
}

fn table(paper: &Paper, rows: &[(&str, [f64; 3])], blank: &str, room: &mut Room) -> Element {
    let m = paper.m;
    // The name of a row has about half of the width.
    let lines = |key: &str| paper.lines(&m.say(&format!("depth.{key}")), room.width_pt * 0.48);
    let needed: f64 = rows.iter().map(|(key, _)| lines(key) + 0.17).sum();
    let half = |x: f64| m.number((2.0 * x).round() / 2.0, 1);
    let body = rows.iter().map(|(key, [low, likely, high])| {
        let cell = |x: f64| el("td").class("n").with(half(x));
        el("tr")
            .with(el("th").attr("scope", "row").with(m.say(&format!("depth.{key}"))))
            .with(cell(*low))
            .with(el("td").class("n b").with(half(*likely)))
            .with(cell(*high))
            .with(el("td").class("box"))
    });
    let body: Vec<Element> = body.collect();
    room.lines -= needed + 1.5;
    let heads = ["what", "low", "likely", "high", blank];
    let heads = heads.map(|h| el("th").attr("scope", "col").with(m.say(&format!("depth.{h}"))));
    el("table").class("depths").with(el("thead").with(el("tr").all(heads))).with(el("tbody").all(body))
}

/// Method, casing and lift, or why there is no well.
fn how(paper: &Paper, plan: &WellPlan, room: &mut Room) -> Vec<Element> {
    let m = paper.m;
    let mut all = Vec::new();
    if let Some(w) = &plan.well {
        let text = m.fill(
            "sheet.by",
            &[
                ("method", &m.word("method", &plan.method)),
                ("hole", &m.number(w.hole_mm, 0)),
                ("casing", &w.casing),
                ("lift", &m.told(&plan.lift).text),
            ],
        );
        all.push(text);
        if !plan.likelier.is_empty() {
            let grounds: Vec<String> = plan.likelier.iter().map(|g| m.told(g).text).collect();
            all.push(m.fill("well.likelier", &[("grounds", &grounds.join("; "))]));
        }
    } else {
        all.push(format!("{} {}", m.say("well.none"), m.say("sheet.no_well")));
    }
    let all = all.into_iter().map(|text| {
        let text = paper.short(&text, room.width_pt, 5);
        room.lines -= paper.lines(&text, room.width_pt) + 0.3;
        el("p").with(text)
    });
    all.collect()
}
