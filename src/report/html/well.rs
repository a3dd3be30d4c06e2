//! The well that the ground asks for, in words and numbers: dangers of the
//! work first, then the figures with their formulas and sources, then the
//! bill.

use super::markup::{Element, Node, el};
use super::page::{section, told};
use super::tables::table;
use super::{costs, design};
use crate::report::messages::Messages;
use crate::report::model::Report;
use crate::report::well_plan::{BillOfQuantities, Number, Sheet, WellPlan};

/// The section, where the report has a plan of a well.
pub fn well_section(m: Messages, report: &Report) -> Option<Element> {
    let plan = report.well_plan.as_ref()?;
    let lift = m.say(if plan.lift_planned { "well.lift_planned" } else { "well.lift_cheapest" });
    let by = m.fill(
        "well.by",
        &[
            ("method", &m.word("method", &plan.method)),
            ("lift", &m.told(&plan.lift).text),
            ("why", &lift),
            ("ground", &m.told(&plan.ground).text),
        ],
    );
    let mut part = section("well", m.say("well.title")).with(el("p").with(by));
    if !plan.likelier.is_empty() {
        let grounds: Vec<String> = plan.likelier.iter().map(|g| m.told(g).text).collect();
        part = part.with(
            el("p").with(m.fill("well.likelier", &[("grounds", &grounds.join(&m.say("mark.semicolon")))])),
        );
    }
    Some(match &plan.well {
        Some(well) => part.all(drawn_up(m, plan, well)),
        None => part.all(refused(m, plan)),
    })
}

fn refused(m: Messages, plan: &WellPlan) -> Vec<Element> {
    let heading = el("p").with(el("b").with(m.say("well.none")));
    if plan.refused.is_empty() {
        return vec![heading, el("p").with(m.say("well.no_layer"))];
    }
    let items = plan
        .refused
        .iter()
        .map(|r| el("li").with(told(m, "span", &r.reason)).with(" ").with(told(m, "span", &r.remedy)));
    vec![heading, el("ul").all(items)]
}

fn drawn_up(m: Messages, plan: &WellPlan, well: &Sheet) -> Vec<Element> {
    let ground = m.fill(
        "well.aquifer",
        &[
            ("ground", &m.told(&well.aquifer).text),
            ("depths", &m.depths(well.aquifer_m[0], well.aquifer_m[1])),
        ],
    );
    let mut all = vec![el("p").with(ground).with(" ").with(design::told(m, well))];
    let dangers: Vec<_> = well.warnings.iter().filter(|w| w.hurts).collect();
    if !dangers.is_empty() {
        let items = dangers.iter().map(|w| told(m, "li", &w.text));
        let heading = el("h3").with(m.say("well.dangers"));
        all.push(el("div").class("danger").with(heading).with(el("ul").all(items)));
    }
    let mind: Vec<_> = well.warnings.iter().filter(|w| !w.hurts).collect();
    if !mind.is_empty() {
        all.push(el("h3").with(m.say("well.mind")));
        all.push(el("ul").all(mind.iter().map(|w| told(m, "li", &w.text))));
    }
    for other in &plan.others {
        let with = [
            ("ground", m.told(&other.aquifer).text),
            ("depths", m.depths(other.aquifer_m[0], other.aquifer_m[1])),
            ("depth", m.depth(other.depth_m[1])),
        ];
        let with = with.each_ref().map(|(k, v)| (*k, v.as_str()));
        all.push(el("p").with(m.fill("well.deeper", &with)));
    }
    let numbers = opens(m, "well.numbers", vec![numbers(m, &well.numbers)]);
    all.push(numbers);
    if !well.assumed.is_empty() {
        let items = well.assumed.iter().map(|a| told(m, "li", a));
        all.push(opens(m, "well.assumed", vec![el("ul").all(items)]));
    }
    match (&plan.bill, &plan.no_bill) {
        (Some(bill), _) => all.extend(bill_of(m, bill)),
        (None, Some(why)) => {
            let why = told(m, "span", why);
            all.push(el("p").with(el("b").with(m.say("well.no_bill"))).with(" ").with(why));
        }
        (None, None) => {}
    }
    all
}

/// Parts behind a line that opens them.
fn opens(m: Messages, key: &str, parts: Vec<Element>) -> Element {
    el("details").class("words").with(el("summary").with(m.say(key))).all(parts)
}

fn numbers(m: Messages, numbers: &[Number]) -> Element {
    let rows = numbers.iter().map(|number| {
        let source: Vec<String> = number.sources.iter().map(|s| s.trim_end_matches('.').to_owned()).collect();
        let cells: Vec<Node> = vec![
            told(m, "span", &number.what).into(),
            told(m, "span", &number.text).into(),
            told(m, "span", &number.says).into(),
            el("cite").class("quiet").attr("lang", "en").with(source.join("; ")).into(),
        ];
        cells
    });
    table(m, "well.numbers", &["col.figure", "col.value", "col.means", "col.source"], rows.collect())
}

fn bill_of(m: Messages, bill: &BillOfQuantities) -> Vec<Element> {
    let money = |x: &String| costs::whole(m, x, &bill.currency);
    let rows = bill.lines.iter().map(|line| {
        let quantity = format!("{} {}", m.number_text(&line.quantity[1]), m.told(&line.unit).text);
        let cells: Vec<Node> = vec![
            told(m, "span", &line.item).into(),
            quantity.into(),
            m.number_text(&line.each).into(),
            money(&line.amount[1]).into(),
            format!("{} – {}", money(&line.amount[0]), money(&line.amount[2])).into(),
            el("cite").class("quiet").attr("lang", "en").with(line.source.as_str()).into(),
        ];
        cells
    });
    let heads = ["col.item", "col.quantity", "col.each", "col.amount", "col.range", "col.source"];
    let rows = rows.collect();
    vec![
        el("h3").with(m.say("well.bill")),
        el("p").with(costs::bill_told(m, bill)),
        opens(m, "well.bill_lines", vec![table(m, "well.bill", &heads, rows)]),
    ]
}
