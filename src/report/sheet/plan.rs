//! The plan of a well: depths, and what to bring.

use super::fit::{Paper, Room};
use crate::report::html::costs;
use crate::report::html::markup::{Element, Node, el};
use crate::report::html::page::told;
use crate::report::model::Report;
use crate::report::well_plan::{BillOfQuantities, Line, Sheet, WellPlan};

/// Depths that there may be, with room to write down what was made. Without a
/// plan only what the ground lets expect.
pub fn depths(paper: &Paper, report: &Report, whole: bool, room: &mut Room) -> Vec<Element> {
    let m = paper.m;
    let mut all = Vec::new();
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
        all.push(table(paper, &rows, room));
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

fn table(paper: &Paper, rows: &[(&str, [f64; 3])], room: &mut Room) -> Element {
    let m = paper.m;
    // The name of a row has about half of the width.
    let lines = |key: &str| paper.lines(&m.say(&format!("depth.{key}")), room.width_pt * 0.48);
    let needed: f64 = rows.iter().map(|(key, _)| lines(key) + 0.35).sum();
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
    room.lines -= needed + 2.6;
    let heads = ["what", "low", "likely", "high", "found"];
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

/// What to bring and to pay for, or why it is not told.
pub fn quantities(paper: &Paper, report: &Report, room: &mut Room) -> Vec<Element> {
    let m = paper.m;
    let plan = report.well_plan.as_ref();
    let Some(bill) = plan.and_then(|p| p.bill.as_ref()) else {
        let why = plan.and_then(|p| p.no_bill.as_deref()).map(|why| told(m, "span", why));
        room.lines -= 3.0;
        return vec![el("p").with(m.say("sheet.no_bill")).with(" ").perhaps(why)];
    };
    let money = |x: &String| costs::whole(m, x, &bill.currency);
    let with = [
        ("total", money(&bill.total[1])),
        ("low", money(&bill.total[0])),
        ("high", money(&bill.total[2])),
        ("kept", money(&bill.contingency[1])),
        ("dry", money(&bill.dry_hole[1])),
    ];
    let with = with.each_ref().map(|(k, v)| (*k, v.as_str()));
    let total = m.fill("well.bill_told", &with);
    let after = paper.lines(&total, room.width_pt) + 0.3;
    room.lines -= after;
    let table = bill_table(paper, bill, room);
    vec![table, el("p").with(total)]
}

fn bill_table(paper: &Paper, bill: &BillOfQuantities, room: &mut Room) -> Element {
    let m = paper.m;
    room.lines -= 2.6;
    let mut rows: Vec<Element> = Vec::new();
    for line in &bill.lines {
        let name = m.told(&line.item).text;
        let lines = paper.lines(&name, room.width_pt * 0.44) + 0.25;
        let last = rows.len() + 1 == bill.lines.len();
        if lines + if last { 0.0 } else { 1.3 } > room.lines {
            break;
        }
        room.lines -= lines;
        rows.push(row(paper, line, bill));
    }
    let left = bill.lines.len() - rows.len();
    if left > 0 {
        let text = paper.left_out(left);
        rows.push(el("tr").with(el("td").attr("colspan", 5).class("left").with(text)));
    }
    let priced = m.fill("sheet.price", &[("currency", &bill.currency)]);
    let heads = [m.say("col.item"), m.say("depth.likely"), m.say("sheet.up_to"), m.say("sheet.unit"), priced];
    let heads = heads.map(|h| el("th").attr("scope", "col").with(h));
    el("table").class("bill").with(el("thead").with(el("tr").all(heads))).with(el("tbody").all(rows))
}

fn row(paper: &Paper, line: &Line, bill: &BillOfQuantities) -> Element {
    let m = paper.m;
    let [_, likely, high] = &line.quantity;
    let up_to = if likely == high { String::new() } else { amount(paper, high) };
    let cells: [Node; 4] = [
        amount(paper, likely).into(),
        up_to.into(),
        m.told(&line.unit).text.into(),
        // The currency stands in the head.
        costs::whole(m, &line.amount[1], &bill.currency).replace(&bill.currency, "").trim().into(),
    ];
    let cells = cells.into_iter().enumerate().map(|(n, cell)| {
        let cell = el("td").with(cell);
        if n == 2 { cell } else { cell.class("n") }
    });
    el("tr").with(told(m, "th", &line.item).attr("scope", "row")).all(cells)
}

/// A quantity as it is bought: whole numbers as they are, others up to two
/// figures, rounded up.
fn amount(paper: &Paper, plain: &str) -> String {
    let Ok(x) = plain.parse::<f64>() else { return plain.to_owned() };
    if x <= 0.0 || !x.is_finite() || x.fract() == 0.0 {
        return paper.m.number(x, 0);
    }
    let by = 10_f64.powf(x.log10().floor() - 1.0);
    paper.m.number((x / by - 1e-9).ceil() * by, if by < 1.0 { 3 } else { 0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::messages::{Language, Messages};

    #[test]
    fn quantities_are_rounded_up_to_what_is_bought() {
        let paper = Paper::new(Messages::of(Language::English), 8.0);
        let shown = |x: &str| amount(&paper, x);
        assert_eq!(["225", "838.93", "21.23", "0.01", "5217.9"].map(shown), ["225", "840", "22", "0.01", "5300"]);
    }
}
