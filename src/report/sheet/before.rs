//! Lists of the sheet that come before the work: dangers, conditions, what to
//! find out and whom to ask.

use std::iter;

use super::fit::{Entry, Paper, Room};
use crate::report::html::markup::{Element, el};
use crate::report::model::{Ask, Caution, Report};
use crate::verdict::Answer;

/// Where people can be hurt: what something found here calls for in full, all
/// else in a line each; where that takes more lines in a column than `most`,
/// each in a line. Full width, in two columns.
pub fn dangers(paper: &Paper, report: &Report, (heading, most): (&str, f64), room: &mut Room) -> Element {
    // Two columns inside the border; one entry may go over whole.
    let mut column = paper.column(0.0);
    column.width_pt -= 10.0;
    let told = |whole: bool| -> Vec<Entry> {
        let text = |c: &'_ Caution| if whole && c.called_for { c.text.clone() } else { c.short.clone() };
        report.cautions.iter().map(|c| Entry::told(paper.m, &text(c))).collect()
    };
    let lines = |entries: &[Entry]| paper.needed(entries, column.width_pt) / 2.0 + 0.8;
    // None is left out: rather all stand in a line each.
    let entries = Some(told(true)).filter(|all| lines(all) <= most).unwrap_or_else(|| told(false));
    let needed = lines(&entries);
    column.lines = f64::INFINITY;
    room.lines -= needed + 1.5;
    el("section").class("danger").with(el("h2").with(paper.m.say(heading))).perhaps(paper.list(
        "plain",
        &entries,
        &mut column,
    ))
}

/// What a go hangs on, each to be ticked.
pub fn conditions(paper: &Paper, report: &Report) -> Vec<Entry> {
    report.conditions.iter().map(|p| Entry::told_for(paper.m, report, iter::once(&p.rule), &p.text)).collect()
}

/// What to find out: by which act, at what price, before when.
pub fn asks<'a>(paper: &Paper, report: &Report, asks: impl Iterator<Item = &'a Ask>) -> Vec<Entry> {
    let m = paper.m;
    asks.map(|ask| {
        let price = match ask.price {
            Some(p) if p <= 0.0 => m.say("ask.free"),
            Some(p) => m.fill("ask.about", &[("price", &m.money(p, &ask.currency))]),
            None => m.say("ask.no_price"),
        };
        let mut terms = format!("{}; {price}", m.word("how", &ask.how));
        if !ask.blocks {
            let stage = m.word("stage", &ask.before);
            terms = format!("{terms}; {}", m.fill("ask.before", &[("stage", &stage)]));
        }
        Entry::told_for(m, report, ask.rules.iter(), &ask.ask).terms(terms).answer()
    })
    .collect()
}

/// What to ask the authority.
pub fn authority(paper: &Paper, report: &Report) -> Vec<Entry> {
    report.authority.ask.iter().map(|ask| Entry::told(paper.m, ask).answer()).collect()
}

/// The points that rule it out.
pub fn reasons(paper: &Paper, report: &Report) -> Vec<Entry> {
    let decide = report.reasons.iter().filter(|p| p.alone == Answer::NoGo);
    decide.map(|p| Entry::told_for(paper.m, report, iter::once(&p.rule), &p.text)).collect()
}
