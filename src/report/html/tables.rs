//! Tables: what the pictures show, in words and numbers.

use super::chances::{self, FATES};
use super::markup::{Element, Node, el};
use super::page::code;
use super::section;
use crate::report::forecast::{Banded, Forecast};
use crate::report::messages::Messages;
use crate::report::model::Report;
use crate::report::plan_model::Plan;
use crate::report::section_model::Slice;

/// Rows beyond so many are counted.
const MOST_ROWS: usize = 60;

/// A table that scrolls by itself where the page is narrow. The first cell of
/// a row names it.
pub fn table(m: Messages, caption: &str, heads: &[&str], rows: Vec<Vec<Node>>) -> Element {
    let caption = m.say(caption);
    let left = rows.len().saturating_sub(MOST_ROWS);
    let body = rows.into_iter().take(MOST_ROWS).map(|cells| {
        let cells = cells.into_iter().enumerate().map(|(n, cell)| {
            if n == 0 { el("th").attr("scope", "row").with(cell) } else { el("td").with(cell) }
        });
        el("tr").all(cells)
    });
    let heads = heads.iter().map(|h| el("th").attr("scope", "col").with(m.say(h)));
    let whole = el("table")
        .with(el("caption").with(caption.as_str()))
        .with(el("thead").with(el("tr").all(heads)))
        .with(el("tbody").all(body));
    let more = m.fill("table.more", &[("n", &left.to_string())]);
    el("div")
        .class("scroll")
        .attr("role", "region")
        .attr("tabindex", 0)
        .attr("aria-label", caption)
        .with(whole)
        .perhaps((left > 0).then(|| el("p").class("quiet").with(more)))
}

/// Hazards and wells around the peg.
pub fn plan(m: Messages, plan: &Plan) -> Vec<Element> {
    let bearing = |b: Option<f64>| b.map_or_else(|| m.say("plan.here"), |b| m.bearing(b));
    let range = |[low, _, high]: [f64; 3]| {
        m.fill("unit.range_m", &[("low", &m.number(low, 1)), ("high", &m.number(high, 1))])
    };
    let distance = |d: [f64; 3]| format!("{} ({})", m.metres(d[1]), range(d));
    let metres = |x: Option<f64>| x.map_or_else(|| m.say("plan.none"), |x| m.metres(x));
    let hazards = plan.hazards.iter().map(|h| {
        vec![
            h.name.as_str().into(),
            m.word("kind", &h.kind).into(),
            distance(h.distance_m).into(),
            bearing(h.bearing_deg).into(),
            metres(h.required_m).into(),
            metres(h.wanted_m).into(),
            code(&h.from).into(),
        ]
    });
    let depth = |x: Option<f64>| x.map_or_else(|| "–".to_owned(), |x| m.metres(x));
    let word = |table: &str, w: &Option<String>| {
        w.as_ref().map_or_else(|| m.say("plan.not_known"), |w| m.word(table, w))
    };
    let wells = plan.wells.iter().map(|w| {
        vec![
            w.name.as_str().into(),
            distance(w.distance_m).into(),
            bearing(w.bearing_deg).into(),
            word("made", &w.made).into(),
            word("became", &w.outcome).into(),
            depth(w.depth_m).into(),
            depth(w.water_level_m).into(),
            code(&w.from).into(),
        ]
    });
    let (hazards, wells): (Vec<_>, Vec<_>) = (hazards.collect(), wells.collect());
    let mut all = Vec::new();
    if hazards.is_empty() {
        all.push(el("p").with(m.say("plan.no_hazards")));
    } else {
        let heads =
            ["col.what", "col.kind", "col.distance", "col.bearing", "col.required", "col.wanted", "col.from"];
        all.push(table(m, "table.hazards", &heads, hazards));
    }
    if !wells.is_empty() {
        let heads = [
            "col.well",
            "col.distance",
            "col.bearing",
            "col.made",
            "col.became",
            "col.depth",
            "col.water",
            "col.from",
        ];
        all.push(table(m, "table.wells", &heads, wells));
    }
    all
}

/// The ground by depth: each stretch with the same likeliest ground.
pub fn ground(m: Messages, slices: &[Slice]) -> Element {
    let mut runs: Vec<(f64, f64, &Slice)> = Vec::new();
    for slice in slices {
        match runs.last_mut() {
            Some(last) if section::likeliest(last.2).0 == section::likeliest(slice).0 => {
                last.1 = slice.bottom_m
            }
            _ => runs.push((slice.top_m, slice.bottom_m, slice)),
        }
    }
    let rows = runs.iter().map(|(top, bottom, first)| {
        let middle = f64::midpoint(*top, *bottom);
        let at = slices.iter().find(|s| s.bottom_m >= middle).unwrap_or(first);
        let mut may: Vec<String> = at
            .may_be
            .iter()
            .filter(|c| c.chance >= 0.05)
            .map(|c| format!("{} {}", m.word("ground", &c.ground), m.chance(c.chance)))
            .collect();
        may.extend(
            (at.refuses >= 0.05).then(|| format!("{} {}", m.say("section.refuses"), m.chance(at.refuses))),
        );
        may.extend((at.unseen >= 0.05).then(|| format!("{} {}", m.say("fill.unseen"), m.chance(at.unseen))));
        vec![m.depths(*top, *bottom).into(), may.join(", ").into()]
    });
    table(m, "table.ground", &["col.depths", "col.may_be"], rows.collect())
}

/// The levels of the water.
pub fn levels(m: Messages, report: &Report) -> Option<Element> {
    let f = &report.forecast.as_ref()?.level;
    let row = |key: &str, b: &Banded| -> Vec<Node> {
        let ends = |[low, high]: [f64; 2]| m.depths(low, high);
        vec![m.say(key).into(), m.depth(b.median).into(), ends(b.band80).into(), ends(b.band95).into()]
    };
    let rows = vec![
        row("level.dry_year", &f.dry_year_m),
        row("level.average_year", &f.average_year_m),
        row("level.without_wells", &f.without_wells_m),
    ];
    Some(table(m, "table.levels", &["col.level", "col.middle", "col.band80", "col.band95"], rows))
}

/// How far down each method gets.
pub fn past(m: Messages, forecast: &Forecast) -> Element {
    let rows = forecast.refusal.iter().map(|r| {
        let told = chances::told(m, r);
        let at = told.split_once(&m.say("mark.colon")).map_or(String::new(), |(_, at)| at.to_owned());
        vec![m.word("method", &r.method).into(), at.into(), m.depth(r.max_depth_m).into()]
    });
    table(m, "table.past", &["col.method", "col.past", "col.own_limit"], rows.collect())
}

/// What becomes of the holes.
pub fn fates(m: Messages, forecast: &Forecast) -> Element {
    let rows = forecast.methods.iter().map(|method| {
        let mut cells: Vec<Node> = vec![m.word("method", &method.method).into()];
        cells.extend(chances::fates(method).iter().map(|share| m.chance(*share).into()));
        let [low, high] = method.success_band80;
        let band = format!("{} – {}", m.chance(low), m.chance(high));
        cells.push(band.into());
        let deep = method.depth_of_success_m.as_ref();
        cells.push(deep.map_or_else(|| "–".to_owned(), |d| m.depths(d.band80[0], d.band80[1])).into());
        cells
    });
    let fates = FATES.map(|fate| format!("fate.{fate}"));
    let mut heads = vec!["col.method"];
    heads.extend(fates.iter().map(String::as_str));
    heads.extend(["col.success_band", "col.success_depth"]);
    table(m, "table.fates", &heads, rows.collect())
}

/// How likely the water exceeds a limit; `None` where nothing can be said.
pub fn quality(m: Messages, forecast: &Forecast) -> Option<Element> {
    let rows: Vec<Vec<Node>> = forecast
        .quality
        .iter()
        .map(|q| {
            let limit =
                format!("{}\u{a0}{}", m.number_text(&q.value.to_string()), q.unit.replace("uS", "µS"));
            let [low, high] = q.band80;
            let wells = if q.wells == 0 { m.say("quality.no_well") } else { q.wells.to_string() };
            vec![
                m.told(&q.name).text.into(),
                limit.into(),
                m.chance(q.chance).into(),
                format!("{} – {}", m.chance(low), m.chance(high)).into(),
                wells.into(),
            ]
        })
        .collect();
    let heads = ["col.measure", "col.limit", "col.chance_above", "col.band80", "col.wells"];
    (!rows.is_empty()).then(|| table(m, "table.quality", &heads, rows))
}
