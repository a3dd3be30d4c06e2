//! The sections with pictures: each a picture, its key, and the same in words.

use super::chances::{self, FATES, fate_swatch};
use super::markup::{Element, el};
use super::page::{key, section, signs_key};
use super::{costs, free_ground, plan, section as ground, tables, well};
use crate::report::messages::Messages;
use crate::report::model::{FactValue, Report};

/// The sections that the report has something for.
pub fn sections(m: Messages, report: &Report) -> Vec<Element> {
    let mut all = Vec::new();
    all.extend(plan_section(m, report));
    all.extend(free_ground::free_section(m, report));
    all.extend(ground_section(m, report));
    all.extend(chances_section(m, report));
    all.extend(well::well_section(m, report));
    all.extend(costs::worth_section(m, report));
    all
}

/// A picture with what belongs beside it.
fn figure(picture: Element, beside: Vec<Element>) -> Element {
    el("figure").with(picture).with(el("figcaption").all(beside))
}

/// What a picture shows, as tables that open.
fn in_words(m: Messages, parts: Vec<Element>) -> Element {
    el("details").class("words").with(el("summary").with(m.say("page.in_words"))).all(parts)
}

fn plan_section(m: Messages, report: &Report) -> Option<Element> {
    let model = report.plan.as_ref()?;
    let flow = report.groundwater_flow.as_ref();
    let drawn = plan::draw(m, model, flow);
    let mut beside = vec![signs_key(m, &drawn.families)];
    if model.hazards.iter().any(|h| h.required_m.is_some()) {
        beside.push(key([
            (zone_swatch("zh"), m.say("sign.keep_off")),
            (zone_swatch("zw"), m.say("sign.uncertain")),
        ]));
    }
    let towards = flow.and_then(|f| f.towards_deg);
    let stated = flow.and_then(|f| f.stated_towards_deg);
    let text = match (towards, flow.and_then(|f| f.half_band_deg), stated) {
        (Some(to), Some(half), _) => {
            m.fill("plan.flow", &[("towards", &m.bearing(to)), ("half", &m.number(half, 0))])
        }
        (_, _, Some(to)) => m.fill("plan.flow_stated", &[("towards", &m.bearing(to))]),
        _ => m.say("plan.no_flow"),
    };
    beside.push(el("p").with(text));
    if !drawn.key.is_empty() {
        beside.push(el("p").with(m.say("plan.numbers")));
        beside.push(el("ol").class("numbers").all(drawn.key.iter().map(|k| el("li").with(k.as_str()))));
    }
    if model.left_off > 0 {
        beside.push(
            el("p").class("quiet").with(m.fill("plan.left_off", &[("n", &model.left_off.to_string())])),
        );
    }
    let part = section("picture", m.say("plan.title")).with(figure(drawn.picture, beside));
    Some(part.with(in_words(m, tables::plan(m, model))))
}

fn zone_swatch(class: &'static str) -> Element {
    super::signs::swatch(el("path").class(class).attr("stroke-width", 12).attr("d", "M6 9h20"))
}

fn part_swatch(class: &'static str) -> Element {
    let part = el("rect").class(class).attr("x", 1).attr("y", 1).attr("width", 30).attr("height", 16);
    super::signs::swatch(part)
}

fn needed_m(report: &Report) -> Option<f64> {
    match report.facts.get("needed_depth_m")?.value {
        FactValue::Number(x) => Some(x),
        _ => None,
    }
}

fn ground_section(m: Messages, report: &Report) -> Option<Element> {
    let drawn = ground::draw(m, report)?;
    let mut beside = vec![
        el("p").with(m.say("section.how_to_read")),
        key(drawn.fills.iter().map(|f| (f.swatch(), m.say(&format!("fill.{}", f.key()))))),
    ];
    if report.well_plan.as_ref().is_some_and(|p| p.well.is_some()) {
        let parts = ["well-grout", "well-fill", "well-clay", "well-pack"];
        beside.push(key(parts.map(|part| (part_swatch(part), m.say(&format!("design.{part}"))))));
    }
    let mut words = vec![tables::ground(m, &report.section)];
    words.extend(tables::levels(m, report));
    Some(
        section("picture", m.say("section.title"))
            .with(el("p").class("quiet").with(m.say("page.forecast")))
            .with(figure(drawn.picture, beside))
            .with(in_words(m, words)),
    )
}

fn chances_section(m: Messages, report: &Report) -> Option<Element> {
    let forecast = report.forecast.as_ref()?;
    let past = chances::past(m, forecast, needed_m(report));
    let shares = chances::shares(m, forecast);
    if past.is_none() && shares.is_none() {
        return None;
    }
    let mut part =
        section("picture", m.say("page.chances")).with(el("p").class("quiet").with(m.say("page.forecast")));
    if let Some(picture) = past {
        part = part
            .with(el("h3").with(m.say("past.title")))
            .with(figure(picture, vec![el("p").with(m.say("past.how_to_read"))]))
            .with(in_words(m, vec![tables::past(m, forecast)]));
    }
    if let Some(picture) = shares {
        let legend = key(FATES.map(|fate| (fate_swatch(fate), m.say(&format!("fate.{fate}")))));
        let w = &forecast.wanted;
        let wanted = m.fill(
            "shares.wanted",
            &[
                ("rate", &m.number(w.rate_lps, 2)),
                ("hours", &m.number(w.pumping_hours, 0)),
                ("bores", &forecast.virtual_bores.to_string()),
                ("worth", &m.number(forecast.worth_bores, 1)),
                ("seed", &forecast.seed.to_string()),
            ],
        );
        let mut words = vec![tables::fates(m, forecast)];
        words.extend(tables::quality(m, forecast));
        part = part
            .with(el("h3").with(m.say("shares.title")))
            .with(figure(picture, vec![legend, el("p").with(wanted)]))
            .with(in_words(m, words));
    }
    Some(part)
}
