//! Findings that open to what they rest on: what was seen and where it was
//! written, the limit and who set it, the rule's own text and its source.

use super::markup::{Element, Node, el};
use super::page::{code, told, told_by};
use crate::facts;
use crate::report::messages::{Language, Messages};
use crate::report::model::{Evidence, Finding, Limit};

/// Observations beyond so many of one fact are counted.
const PLACES: usize = 12;

/// One finding; `named` where its rule's name may be its place on the page.
pub fn finding(m: Messages, f: &Finding, named: bool) -> Element {
    let chip = el("span").class(format!("chip {}", f.outcome)).with(m.word("outcome", &f.outcome));
    let summary = el("summary").with(chip).with(" ").with(told_by(m, &f.translations, "span", &f.title));
    // What needs no attention is told in its line, and stays closed on paper.
    let quiet = matches!(f.outcome.as_str(), "clear" | "does-not-apply");
    let why = told_by(m, &f.translations, if quiet { "span" } else { "p" }, &f.why);
    let mut part = if quiet {
        let why = el("span").class("terms").with(why);
        el("details").class("rest").with(summary.with(m.say("mark.colon")).with(why))
    } else {
        el("details").with(summary).with(why)
    };
    if named {
        part = part.attr("id", format!("rule-{}", id(&f.rule)));
    }
    if !f.to_do.is_empty() {
        part =
            part.with(el("p").class("do").with(el("b").with(m.say("finding.do"))).with(" ").with(told_by(
                m,
                &f.translations,
                "span",
                &f.to_do,
            )));
    }
    if !f.evidence.is_empty() {
        let items = f.evidence.iter().map(|e| el("li").all(evidence(m, e, &f.limits)));
        part = part.with(el("h3").with(m.say("finding.seen"))).with(el("ul").all(items));
    }
    if !f.limits.is_empty() {
        let items = f.limits.iter().map(|l| el("li").all(limit(m, l)));
        part = part.with(el("h3").with(m.say("finding.limits"))).with(el("ul").all(items));
    }
    part.with(el("h3").with(m.say("finding.rule"))).all(rule(m, f))
}

/// The rule: why there is such a rule, its source, and its script.
fn rule(m: Messages, f: &Finding) -> Vec<Element> {
    let mut parts = Vec::new();
    if !f.rule_why.is_empty() {
        parts.push(told_by(m, &f.translations, "p", &f.rule_why));
    }
    let basis = m.word("basis", &f.basis);
    parts.push(
        el("p")
            .with(format!("{} ", m.say("finding.source")))
            .with(source(m, &f.source))
            .with(format!(" ({basis}). "))
            .with(code(&f.rule_line)),
    );
    if !f.rule_text.is_empty() {
        let script =
            el("pre").attr("tabindex", 0).attr("lang", "en").with(el("code").with(f.rule_text.trim_end()));
        parts.push(
            el("details").class("script").with(el("summary").with(m.say("finding.script"))).with(script),
        );
    }
    parts
}

/// A fact that was read, with where it came from.
fn evidence(m: Messages, e: &Evidence, limits: &[Limit]) -> Vec<Node> {
    let mut parts: Vec<Node> = Vec::new();
    let about = facts::def(&e.fact).map_or(e.fact.as_str(), |d| d.about);
    parts.push(told(m, "span", about.trim_end_matches('.')).into());
    parts.push(m.say("mark.colon").into());
    parts.push(told(m, "b", &e.is.text).into());
    if !e.is.note.is_empty() {
        parts.push(m.say("mark.semicolon").into());
        parts.push(told(m, "span", e.is.note.trim_end_matches('.')).into());
    }
    for (limit, chance) in &e.chance_below {
        if (0.005..0.995).contains(chance) {
            let value =
                limits.iter().find(|l| l.name == *limit).map_or_else(|| limit.clone(), |l| value(m, l));
            let percent = format!("{:.0}\u{a0}%", chance * 100.0);
            let with = [("limit", value.as_str()), ("chance", &percent)];
            parts
                .push(format!("{}{}", m.say("mark.semicolon"), m.fill("finding.chance_below", &with)).into());
        }
    }
    parts.push(". ".into());
    for place in e.is.from_all.iter().take(PLACES) {
        parts.push(code(place).into());
        parts.push(" ".into());
    }
    if let Some(more) = e.is.from_all.len().checked_sub(PLACES).filter(|n| *n > 0) {
        parts.push(m.fill("finding.more", &[("n", &more.to_string())]).into());
    }
    if e.is.from_all.is_empty() {
        parts.push(m.say("finding.nothing_read").into());
    }
    parts
}

/// A limit that was used, with who set it and its source.
fn limit(m: Messages, l: &Limit) -> Vec<Node> {
    let who = m.say(match l.set_by.as_str() {
        "local" => "finding.by_local",
        "setting" => "finding.by_setting",
        _ => "finding.by_default",
    });
    let mut parts: Vec<Node> = vec![
        el("b").with(value(m, l)).into(),
        format!(", {who} ").into(),
        code(&l.from).into(),
        format!(". {} ", m.say("finding.source")).into(),
        source(m, &l.source).into(),
        format!(" ({}) ", m.word("basis", &l.basis)).into(),
        el("span").class("quiet").with(el("code").with(l.name.as_str())).into(),
    ];
    for note in &l.notes {
        parts.push(". ".into());
        parts.push(told(m, "span", note.trim_end_matches('.')).into());
    }
    parts
}

/// What a source is called is told in its own words.
fn source(m: Messages, text: &str) -> Element {
    let cite = el("cite").with(text.trim_end_matches('.'));
    if m.language == Language::English { cite } else { cite.attr("lang", "en") }
}

fn value(m: Messages, l: &Limit) -> String {
    let number = m.number_text(&l.value.to_string());
    match l.unit.as_str() {
        "1" | "count" => number,
        unit => format!("{number}\u{a0}{unit}"),
    }
}

/// What may stand in the id of an element.
pub fn id(rule: &str) -> String {
    rule.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}
