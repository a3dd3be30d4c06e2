//! What would change the answer, finding by finding.

use super::markup::{Element, el};
use super::page::{answer, answered_of, section, told, told_for};
use crate::report::flips::{Flip, by_finding};
use crate::report::messages::Messages;
use crate::report::model::{Finding, Report};

/// The section; `None` where no change was looked for.
pub fn changes_section(m: Messages, report: &Report) -> Option<Element> {
    let found = by_finding(report);
    if found.is_empty() {
        return None;
    }
    let about = el("p").class("quiet").with(m.say("changes.about"));
    let part = section("changes", m.say("changes.title")).with(about);
    Some(found.into_iter().fold(part, |part, (finding, flips)| of_finding(m, report, part, finding, &flips)))
}

fn of_finding(m: Messages, report: &Report, part: Element, finding: &Finding, flips: &[&Flip]) -> Element {
    let title = told_for(m, report, [&finding.rule].into_iter(), "h3", &finding.title);
    let part = part.with(title);
    if flips.is_empty() {
        return part.with(el("p").with(m.say("changes.none")));
    }
    let item = |flip: &&Flip| {
        let terms = el("span").class("terms").with(effect(m, report, flip));
        el("li").with(told(m, "span", &flip.text)).with(" ").with(terms)
    };
    part.with(el("ul").all(flips.iter().map(item)))
}

/// What the change costs, and what becomes of finding and answer.
fn effect(m: Messages, report: &Report, flip: &Flip) -> String {
    let price = match flip.price {
        Some(p) if p <= 0.0 => Some(m.say("ask.free")),
        Some(p) => Some(m.fill("ask.about", &[("price", &m.money(p, &flip.currency))])),
        None => None,
    };
    let becomes = m.say(&format!("changes.{}", flip.becomes()));
    let key = if flip.verdict_after < report.verdict { "changes.worse" } else { "changes.answer" };
    let turned = flip.verdict_after != report.verdict;
    let whole =
        turned.then(|| m.fill(key, &[("answer", &answer(m, answered_of(report), flip.verdict_after))]));
    price.into_iter().chain([becomes]).chain(whole).collect::<Vec<_>>().join(" · ")
}
