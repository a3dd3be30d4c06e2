//! What to bring and to pay for: a row for each thing that is measured, and a
//! line for what is paid once.

use super::fit::{Paper, Room};
use crate::report::html::costs;
use crate::report::html::markup::{Element, Node, el};
use crate::report::html::page::told;
use crate::report::model::Report;
use crate::report::well_plan::{BillOfQuantities, Line};

/// What the head of the table takes, lines.
const HEAD: f64 = 1.5;
/// What a row takes besides its text, lines.
const ROW: f64 = 0.17;

/// What is counted in no unit: the work, a fee, a set of parts.
fn once(line: &Line) -> bool {
    line.unit == "once"
}

/// Lines that all of it takes.
pub fn needed(paper: &Paper, report: &Report, width_pt: f64) -> f64 {
    let Some(bill) = bill(report) else { return 3.0 };
    let rows: f64 = bill.lines.iter().filter(|l| !once(l)).map(|l| row_lines(paper, l, width_pt)).sum();
    let texts = [paid_once(paper, bill), Some(costs::bill_told(paper.m, bill))];
    let texts: f64 = texts.iter().flatten().map(|t| paper.lines(t, width_pt) + 0.3).sum();
    HEAD + rows + texts
}

fn bill(report: &Report) -> Option<&BillOfQuantities> {
    report.well_plan.as_ref()?.bill.as_ref()
}

fn row_lines(paper: &Paper, line: &Line, width_pt: f64) -> f64 {
    paper.lines(&paper.m.told(&line.item).text, width_pt * 0.455) + ROW
}

/// An amount without its currency, which stands in the head.
fn bare(paper: &Paper, amount: &str, bill: &BillOfQuantities) -> String {
    if amount.parse::<f64>().is_ok_and(|x| x > 0.0 && x < 0.5) {
        return paper.m.fill("unit.under", &[("x", "1")]);
    }
    costs::whole(paper.m, amount, &bill.currency).replace(&bill.currency, "").trim().to_owned()
}

fn paid_once(paper: &Paper, bill: &BillOfQuantities) -> Option<String> {
    let m = paper.m;
    let things: Vec<String> = bill
        .lines
        .iter()
        .filter(|l| once(l))
        .map(|l| format!("{} {}", m.told(&l.item).text, bare(paper, &l.amount[1], bill)))
        .collect();
    (!things.is_empty()).then(|| m.fill("sheet.once", &[("things", &things.join(", "))]))
}

/// What to bring and to pay for, or why it is not told.
pub fn quantities(paper: &Paper, report: &Report, room: &mut Room) -> Vec<Element> {
    let m = paper.m;
    let Some(bill) = bill(report) else {
        let why = report.well_plan.as_ref().and_then(|p| p.no_bill.as_deref());
        let why = why.map(|why| told(m, "span", &paper.short(why, room.width_pt, 2)));
        return vec![el("p").with(m.say("sheet.no_bill")).with(" ").perhaps(why)];
    };
    let texts = [paid_once(paper, bill), Some(costs::bill_told(paper.m, bill))];
    let texts: Vec<String> = texts.into_iter().flatten().collect();
    room.lines -= texts.iter().map(|t| paper.lines(t, room.width_pt) + 0.3).sum::<f64>();
    let mut all = vec![table(paper, bill, room)];
    all.extend(texts.into_iter().map(|t| el("p").with(t)));
    all
}

fn table(paper: &Paper, bill: &BillOfQuantities, room: &mut Room) -> Element {
    let m = paper.m;
    room.lines -= HEAD;
    let mut rows: Vec<Element> = Vec::new();
    let measured: Vec<&Line> = bill.lines.iter().filter(|l| !once(l)).collect();
    let needed: f64 = measured.iter().map(|l| row_lines(paper, l, room.width_pt)).sum();
    let kept = if needed <= room.lines + 1e-6 { -1e-6 } else { 1.3 };
    for line in &measured {
        let lines = row_lines(paper, line, room.width_pt);
        if lines + kept > room.lines {
            break;
        }
        room.lines -= lines;
        rows.push(row(paper, line, bill));
    }
    let left = measured.len() - rows.len();
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
        bare(paper, &line.amount[1], bill).into(),
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
        let paper = Paper::new(Messages::of(Language::English), 8.0, true);
        let shown = |x: &str| amount(&paper, x);
        assert_eq!(
            ["225", "838.93", "21.23", "0.01", "5217.9"].map(shown),
            ["225", "840", "22", "0.01", "5300"]
        );
    }
}
