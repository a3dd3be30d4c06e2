//! When to stop drilling: the depth to give up at with its reason, and what a
//! crew meets that stops it whatever the depth.

use super::fit::{Entry, Paper};
use crate::report::html::costs;
use crate::report::model::Report;
use crate::report::worth::MethodWorth;

/// What stops a crew at any depth; common practice, as the sheet says.
const SIGNS: [&str; 7] = ["refusal", "caving", "fluid", "flow", "gas", "found", "weather"];

/// The entries, give-up depth first.
pub fn entries(paper: &Paper, report: &Report) -> Vec<Entry> {
    let m = paper.m;
    let mut all: Vec<Entry> = Vec::new();
    match method(report) {
        Some(method) => {
            all.push(Entry::said(costs::give_up(m, method)));
            let dry_m = method.give_up.still_dry_m;
            if method.give_up.begin && dry_m > 0.0 && dry_m < method.give_up.depth_m {
                all.push(Entry::said(m.fill("stop.still_dry", &[("depth", &m.depth(dry_m))])));
            }
        }
        None => all.push(Entry::said(m.say("stop.no_depth"))),
    }
    all.push(salt(paper, report));
    all.extend(SIGNS.iter().map(|sign| Entry::said(m.say(&format!("stop.{sign}")))));
    all
}

/// The method of the plan; else the one whose plan brings most.
fn method(report: &Report) -> Option<&MethodWorth> {
    let worth = report.worth.as_ref()?;
    let planned = report.well_plan.as_ref().map(|p| p.method.as_str());
    worth.methods.iter().find(|w| Some(w.method.as_str()) == planned).or_else(|| worth.methods.first())
}

/// Salt, with the limit that the report used where a meter reads it.
fn salt(paper: &Paper, report: &Report) -> Entry {
    let limits = report.findings.iter().flat_map(|f| &f.limits);
    let stops = limits.filter(|l| l.unit == "µS/cm" && l.name.ends_with("_stop_us_cm"));
    let least = stops.map(|l| l.value).fold(f64::INFINITY, f64::min);
    Entry::said(if least.is_finite() {
        paper.m.fill("stop.salt_above", &[("limit", &format!("{}\u{a0}µS/cm", paper.m.number(least, 0)))])
    } else {
        paper.m.say("stop.salt")
    })
}
