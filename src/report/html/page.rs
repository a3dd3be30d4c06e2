//! The page: the answer first, then what could hurt people, why, what to find
//! out, the pictures, every finding, and whose word decides.

use super::changes::changes_section;
use super::markup::{Element, el};
use super::{findings, pictures, reasons, signs};
use crate::report::messages::{Language, Messages, Told};
use crate::report::model::{Ask, Caution, HashedFile, Point, Report};
use crate::rules::Translations;
use crate::survey::Stage;
use crate::verdict::Answer;

/// The style sheet, with nothing in it that is fetched.
pub const STYLE: &str = include_str!("style.css");

/// The whole page.
pub fn page(m: Messages, report: &Report) -> Element {
    let title = format!(
        "{}{}{}",
        report.peg.name,
        m.say("mark.colon"),
        answer(m, answered_of(report), report.verdict)
    );
    let head = el("head")
        .with(el("meta").attr("charset", "utf-8"))
        .with(el("meta").attr("name", "viewport").attr("content", "width=device-width, initial-scale=1"))
        .with(el("meta").attr("name", "color-scheme").attr("content", "light dark"))
        .with(el("title").with(title))
        .with(el("style").with(super::markup::Node::Own(STYLE)));
    let main = el("main")
        .attr("id", "main")
        .with(verdict(m, report))
        .perhaps(cautions_first(m, report))
        .perhaps(deciding(m, report))
        .perhaps(asks(m, report))
        .perhaps(changes_section(m, report))
        .all(pictures::sections(m, report))
        .all(findings::sections(m, report))
        .with(cautions(m, report))
        .with(authority(m, report));
    let body = el("body")
        .with(el("a").class("skip").attr("href", "#main").with(m.say("page.skip")))
        .with(header(m, report))
        .with(main)
        .with(footer(m, report));
    el("html").attr("lang", m.language.tag()).with(head).with(body)
}

/// A section under a heading.
pub fn section(class: &'static str, heading: String) -> Element {
    el("section").class(class).with(el("h2").with(heading))
}

/// What a rule, a fact or a region says; marked where it is in English on a
/// page of another language.
pub fn told(m: Messages, tag: &'static str, english: &str) -> Element {
    let told = m.told(english);
    let element = el(tag).with(told.text);
    if told.own_words && m.language != Language::English { element.attr("lang", "en") } else { element }
}

/// What a rule says, in its translation where it has one; otherwise in its own
/// words, marked and said to be so.
pub fn told_by(m: Messages, rule: &Translations, tag: &'static str, english: &str) -> Element {
    let told = m.told_by(rule, english);
    let element = el(tag).with(told.text);
    match told.own_words {
        false => element,
        true => {
            let note = el("span")
                .class("quiet")
                .attr("lang", m.language.tag())
                .with(format!(" ({})", m.say("finding.own_words")));
            element.attr("lang", "en").with(note)
        }
    }
}

/// The translations of the rule of that name.
fn of_rule<'a>(report: &'a Report, rule: &str) -> Option<&'a Translations> {
    report.findings.iter().find(|f| f.rule == rule).map(|f| &f.translations)
}

/// What a rule is called, as [`told_by`] tells it; its name where it found
/// nothing here.
pub fn told_title(m: Messages, report: &Report, tag: &'static str, rule: &str) -> Element {
    match report.findings.iter().find(|f| f.rule == rule) {
        Some(f) => told_by(m, &f.translations, tag, &f.title),
        None => el(tag).with(rule),
    }
}

/// The same as text.
pub fn title(m: Messages, report: &Report, rule: &str) -> String {
    let found = report.findings.iter().find(|f| f.rule == rule);
    found.map_or_else(|| rule.to_owned(), |f| m.told_by(&f.translations, &f.title).text)
}

/// What somebody says on behalf of one of these rules.
pub fn told_for<'a>(
    m: Messages,
    report: &Report,
    rules: impl Iterator<Item = &'a String>,
    tag: &'static str,
    english: &str,
) -> Element {
    told_by(m, &speaks(m, report, rules, english), tag, english)
}

/// The same as plain text.
pub fn text_for<'a>(
    m: Messages,
    report: &Report,
    rules: impl Iterator<Item = &'a String>,
    english: &str,
) -> Told {
    m.told_by(&speaks(m, report, rules, english), english)
}

/// The translations of the rule that knows the sentence: most asks are those
/// of a fact, whatever rule waits for it.
fn speaks<'a>(
    m: Messages,
    report: &Report,
    mut rules: impl Iterator<Item = &'a String>,
    english: &str,
) -> Translations {
    let knows = |rule: &&'a String| of_rule(report, rule).is_some_and(|t| !m.told_by(t, english).own_words);
    rules.find(knows).and_then(|rule| of_rule(report, rule)).cloned().unwrap_or_default()
}

/// A place in a file, or a hash.
pub fn code(text: &str) -> Element {
    el("code").with(text)
}

/// An answer in words, about what [`answered_of`] says or a peg.
pub fn answer(m: Messages, about: &str, answer: Answer) -> String {
    m.say(&format!("answer.{about}.{}", answer_key(answer)))
}

/// What the answer is about at the stage that was asked.
pub fn answered_of(report: &Report) -> &'static str {
    match Stage::from_name(&report.stage) {
        Some(Stage::Drilling) => "hole",
        Some(Stage::Completion) => "casing",
        Some(Stage::HandOver) => "well",
        _ => "peg",
    }
}

/// The answer's key in the catalogue.
pub fn answer_key(answer: Answer) -> &'static str {
    match answer {
        Answer::NoGo => "no-go",
        Answer::FindOut => "find-out",
        Answer::GoIf => "go-if",
        Answer::Go => "go",
    }
}

/// A place in degrees.
pub fn place(m: Messages, lat_deg: f64, lon_deg: f64) -> String {
    let side = |x: f64, plus: &str, minus: &str| {
        let side = m.say(&format!("quarter.{}", if x < 0.0 { minus } else { plus }));
        format!("{}°\u{a0}{side}", m.number_text(&format!("{:.5}", x.abs())))
    };
    format!("{}, {}", side(lat_deg, "n", "s"), side(lon_deg, "e", "w"))
}

fn header(m: Messages, report: &Report) -> Element {
    let place = place(m, report.peg.lat_deg, report.peg.lon_deg);
    let mut lines = el("p")
        .class("head")
        .with(place)
        .with(" · ")
        .with(m.fill("head.stage", &[("stage", &m.word("stage", &report.stage))]))
        .with(" · ")
        .with(el("span").with(m.fill("head.setting", &[("setting", &m.told(&report.peg.region).text)])));
    if let Some(visited) = &report.peg.visited {
        lines = lines.with(" · ").with(m.fill("head.visited", &[("date", &m.date(visited))]));
    }
    el("header").with(el("h1").with(report.peg.name.as_str())).with(lines)
}

fn verdict(m: Messages, report: &Report) -> Element {
    let key = answer_key(report.verdict);
    let stage = m.word("stage", &report.stage);
    let whole = report.score_known_share > 0.995;
    let score = match report.score {
        Some(score) => m.fill(
            if whole { "head.score_all" } else { "head.score" },
            &[
                ("score", &m.number(score, 0)),
                ("share", &format!("{}\u{a0}%", m.number(report.score_known_share * 100.0, 0))),
            ],
        ),
        None => m.say("head.no_score"),
    };
    el("section")
        .class(format!("verdict {key}"))
        .attr("aria-labelledby", "verdict")
        .with(answer_sign(report.verdict))
        .with(
            el("div")
                .with(el("h2").attr("id", "verdict").with(answer(m, answered_of(report), report.verdict)))
                .with(
                    el("p").with(
                        m.fill(&format!("meaning.{}.{key}", answered_of(report)), &[("stage", &stage)]),
                    ),
                )
                .with(el("p").class("small").with(score)),
        )
}

/// Each answer has a form of its own: the eight-sided plate for stop, a
/// question, a tick on a condition, a tick.
fn answer_sign(answer: Answer) -> Element {
    let d = match answer {
        Answer::NoGo => "M14 4h20l10 10v20l-10 10h-20l-10 -10v-20ZM15 15l18 18M33 15l-18 18",
        Answer::FindOut => "M24 4a20 20 0 1 0 .1 0ZM17 19a7 7 0 1 1 9 6.5q-2 1 -2 5M24 36.5v.5",
        Answer::GoIf => "M24 4L45 42H3ZM24 18v11M24 35v.5",
        Answer::Go => "M24 4a20 20 0 1 0 .1 0ZM14 25l7 7l13 -16",
    };
    let sign = el("path").attr("d", d);
    el("svg").class("sign").attr("viewBox", "0 0 48 48").attr("aria-hidden", "true").with(sign)
}

/// The cautions that something found at this peg calls for.
fn cautions_first(m: Messages, report: &Report) -> Option<Element> {
    let called: Vec<&Caution> = report.cautions.iter().filter(|c| c.called_for).collect();
    let items = called.iter().map(|c| told(m, "li", &c.text));
    (!called.is_empty()).then(|| section("danger", m.say("page.danger")).with(el("ul").all(items)))
}

/// The points that decide, each with a way to its finding.
fn deciding(m: Messages, report: &Report) -> Option<Element> {
    let (heading, points): (&str, Vec<&Point>) = match report.verdict {
        Answer::GoIf => ("page.go_if", report.conditions.iter().collect()),
        answer => ("page.because", report.reasons.iter().filter(|p| p.alone == answer).collect()),
    };
    let item = |p: &&Point| {
        let to = el("a").attr("href", format!("#rule-{}", reasons::id(&p.rule))).with(m.say("page.why"));
        el("li").with(told_for(m, report, [&p.rule].into_iter(), "span", &p.text)).with(" ").with(to)
    };
    (!points.is_empty())
        .then(|| section("because", m.say(heading)).with(el("ul").all(points.iter().map(item))))
}

fn asks(m: Messages, report: &Report) -> Option<Element> {
    let heading = match report.verdict {
        Answer::NoGo => "page.asks_no_go",
        Answer::FindOut => "page.asks_find_out",
        Answer::GoIf | Answer::Go => "page.asks_go",
    };
    let item = |ask: &Ask| {
        let price = match ask.price {
            Some(p) if p <= 0.0 => m.say("ask.free"),
            Some(p) => m.fill("ask.about", &[("price", &m.money(p, &ask.currency))]),
            None => m.say("ask.no_price"),
        };
        let when = if ask.blocks {
            m.say("ask.blocks")
        } else {
            m.fill("ask.before", &[("stage", &m.word("stage", &ask.before))])
        };
        let how = m.word("how", &ask.how);
        let terms = el("span").class("terms").with(format!("{how} · {price} · {when}"));
        el("li").with(told_for(m, report, ask.rules.iter(), "span", &ask.ask)).with(" ").with(terms)
    };
    (!report.asks.is_empty())
        .then(|| section("asks", m.say(heading)).with(el("ol").all(report.asks.iter().map(item))))
}

fn cautions(m: Messages, report: &Report) -> Element {
    let items = report.cautions.iter().map(|c| {
        let from = told(m, "cite", &c.source).class("quiet");
        el("li").with(told(m, "span", &c.text)).with(" ").with(from)
    });
    section("cautions", m.say("page.cautions")).with(el("ul").all(items))
}

fn authority(m: Messages, report: &Report) -> Element {
    let a = &report.authority;
    let mut part = section("authority", m.say("page.who_decides")).with(told(m, "p", &a.defers));
    if let Some(name) = &a.name {
        part = part.with(el("p").with(m.fill("page.here_that_is", &[("name", name)])));
    }
    if !a.ask.is_empty() {
        part = part.with(el("ul").all(a.ask.iter().map(|ask| told(m, "li", ask))));
    }
    part
}

/// What the report was made from, so that another may make it again.
fn footer(m: Messages, report: &Report) -> Element {
    let p = &report.provenance;
    let row = |f: &HashedFile| el("li").with(code(&f.file)).with(" ").with(code(&f.sha256));
    let whole = |key: &str, hash: &str| el("li").with(format!("{} ", m.say(key))).with(code(hash));
    el("footer")
        .with(el("h2").with(m.say("page.made_from")))
        .with(
            el("ul")
                .with(el("li").with(format!("forebore {}", report.forebore)))
                .with(whole("page.hash_survey", &p.survey))
                .with(whole("page.hash_region", &p.region))
                .with(whole("page.hash_rules", &p.rules)),
        )
        .with(
            el("details")
                .with(el("summary").with(m.say("page.files")))
                .with(el("ul").all(p.survey_files.iter().chain(&p.region_layers).map(row))),
        )
        .with(el("p").class("quiet").with(m.say("page.palette")))
}

/// The key to signs or fills: a small picture and its name each.
pub fn key(rows: impl IntoIterator<Item = (Element, String)>) -> Element {
    el("ul").class("key").all(rows.into_iter().map(|(sign, name)| el("li").with(sign).with(name)))
}

/// The key to the signs of a plan.
pub fn signs_key(m: Messages, families: &[signs::Family]) -> Element {
    key(families.iter().map(|f| (f.swatch(), m.say(&format!("sign.{}", f.key())))))
}
