//! After a NO-GO: what to do instead. Nothing here reads like a plan to drill.

use super::fit::{Entry, Paper};
use crate::report::flips::ChangeOf;
use crate::report::free_ground::Spot;
use crate::report::html::page;
use crate::report::model::Report;
use crate::verdict::Answer;

/// Spots that are told.
const SPOTS: usize = 2;

/// What to do instead: mend it, go elsewhere on the plot, or take the water
/// by another way.
pub fn entries(paper: &Paper, report: &Report) -> Vec<Entry> {
    let m = paper.m;
    let stops = report.findings.iter().filter(|f| f.outcome == "stop" && !f.to_do.is_empty());
    let mut all: Vec<Entry> =
        stops.map(|f| Entry::told_for(m, report, std::iter::once(&f.rule), &f.to_do)).collect();
    let spots = spots(report);
    all.extend(spots.iter().map(|s| Entry::said(spot(paper, s))));
    // A move is told by a spot, where one is known.
    let moves = |change: &ChangeOf| matches!(change, ChangeOf::Move { .. });
    let turned = report.flips.iter().filter(|f| f.from_alone == Answer::NoGo && f.to_alone > Answer::NoGo);
    all.extend(turned.filter(|f| spots.is_empty() || !moves(&f.change)).map(|f| Entry::told(m, &f.text)));
    if spots.is_empty() {
        all.push(Entry::said(m.say("sheet.no_spot")));
    }
    all.extend(report.worth.as_ref().filter(|w| !w.alternatives.is_empty()).map(|w| {
        let others: Vec<String> = w
            .alternatives
            .iter()
            .map(|a| format!("{} {}", m.told(&a.what).text, m.money(a.cost, &w.currency)))
            .collect();
        Entry::said(m.fill("worth.others", &[("others", &others.join(", "))]))
    }));
    all
}

/// The spots that do better than the peg, the best first.
fn spots(report: &Report) -> Vec<&Spot> {
    let ground = report.free_ground.as_ref();
    let spots = ground.into_iter().flat_map(|g| &g.spots);
    spots.filter(|s| s.verdict > Answer::NoGo && s.bearing_deg.is_some()).take(SPOTS).collect()
}

fn spot(paper: &Paper, spot: &Spot) -> String {
    let m = paper.m;
    m.fill(
        "sheet.spot",
        &[
            ("distance", &format!("{}\u{a0}m", m.number(spot.move_m.max(1.0), 0))),
            ("bearing", &m.bearing(spot.bearing_deg.unwrap_or_default())),
            ("place", &page::place(m, spot.lat_deg, spot.lon_deg)),
            ("answer", &page::answer(m, "peg", spot.verdict)),
        ],
    )
}
