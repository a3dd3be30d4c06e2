//! How much hangs on each limit, in words and tables.

use super::page::{Page, Table};
use super::parts::{band, cell, few, percent};
use crate::tune::backtest::judged::{LimitStep, LimitSweep, RulesTest};

pub(super) fn limits(page: &mut Page, r: &RulesTest) {
    page.heading("How much hangs on each limit");
    if r.limits.is_empty() {
        page.paragraph("No rule that decided read a limit.");
        return;
    }
    let inert = |l: &&LimitSweep| l.steps.iter().all(|s| s.findings == 0);
    for limit in r.limits.iter().filter(|l| !inert(l)) {
        page.paragraph(format!(
            "{} = {} ({}), read by {} on {} records that it decided:",
            limit.limit,
            value(limit.value, limit.unit),
            limit.rules.join(", "),
            if limit.rules.len() == 1 { "that rule" } else { "these rules" },
            limit.n
        ));
        page.table(sweep(limit));
    }
    let still: Vec<&str> = r.limits.iter().filter(inert).map(|l| l.limit.as_str()).collect();
    if !still.is_empty() {
        page.paragraph(format!(
            "No finding changes anywhere from half to twice these: {}.",
            still.join(", ")
        ));
    }
    page.paragraph(
        "Each limit alone is changed; the facts stay as they are. \"cleared\" counts the records that every rule \
         reading the limit clears. A limit is not to be set by such a table: one that happens to sort these \
         records may sort the next ones worse.",
    );
}

fn sweep(limit: &LimitSweep) -> Table {
    let heads = ["limit", "findings", "answers", "deciding", "cleared", "came", "95 % band", ""];
    let row = |s: &LimitStep| {
        let some = s.cleared.n > 0;
        vec![
            format!("{}× {}", s.factor, value(s.value, limit.unit)),
            s.findings.to_string(),
            s.answers.to_string(),
            s.said.to_string(),
            s.cleared.n.to_string(),
            cell(s.cleared.share, percent),
            if some { band(s.cleared.band95) } else { "-".to_owned() },
            few(s.cleared.few && some),
        ]
    };
    let caption = format!("{}: what changes with it, and what came of what is cleared", limit.limit);
    Table::new(&caption, &heads, limit.steps.iter().map(row).collect())
}

fn value(value: f64, unit: &str) -> String {
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match unit {
        "1" | "count" | "money" => text.to_owned(),
        unit => format!("{text} {unit}"),
    }
}
