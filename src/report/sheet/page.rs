//! The page of the sheet: answer and dangers, what comes before the work
//! beside the plan, the table to fill in, and whose word decides.

use super::blank::{self, Blank};
use super::fit::{HEADING, Paper, Room};
use super::{before, columns, parts};
use crate::report::html::markup::{Element, Node, el};
use crate::report::html::page::{answer, answer_key, answered_of, place, told};
use crate::report::model::Report;
use crate::survey::Stage;
use crate::verdict::Answer;

const STYLE: &str = include_str!("style.css");

/// What the sheet is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// To drill, or to go on with a hole.
    Drill,
    /// To find out what is not known.
    FindOut,
    /// To do something else.
    Instead,
    /// To hand a well over.
    HandOver,
}

/// The whole page.
pub fn page(paper: &Paper, report: &Report) -> Element {
    let m = paper.m;
    let purpose = purpose(report);
    let blank = match purpose {
        Purpose::Drill => Blank::Log,
        Purpose::FindOut if parts::trial(report) => Blank::Trial,
        Purpose::FindOut => Blank::Wells,
        Purpose::Instead => Blank::Spot,
        Purpose::HandOver => Blank::Readings,
    };
    // Where no plan stands on the page there is more room.
    let danger = match purpose {
        Purpose::Instead => ("page.danger", 18.0),
        _ => ("sheet.danger", 11.0),
    };
    let mut room = paper.whole();
    let head = header(paper, report, &mut room);
    let verdict = verdict(paper, report, purpose, &mut room);
    let foot = footer(paper, report, &mut room);
    let dangers = before::dangers(paper, report, danger, &mut room);
    blank::keep_room(paper, blank, &mut room);
    let parts = parts::parts(paper, report, purpose);
    let [left, right] = columns::arrange(&parts, paper.column(room.lines));
    let main = el("main")
        .with(verdict)
        .with(dangers)
        .with(el("div").class("columns").with(el("div").all(left)).with(el("div").all(right)))
        .with(blank::table(paper, blank));
    let title = format!("{}: {}", report.peg.name, m.say("sheet.title"));
    let head_of_file = el("head")
        .with(el("meta").attr("charset", "utf-8"))
        .with(el("meta").attr("name", "viewport").attr("content", "width=device-width, initial-scale=1"))
        .with(el("meta").attr("name", "color-scheme").attr("content", "only light"))
        .with(el("title").with(title))
        .with(el("style").with(Node::Own(STYLE)));
    let size = format!("sheet s{:.0}", paper.size_pt * 10.0);
    let body = el("body").class(size).with(head).with(main).with(foot);
    el("html").attr("lang", m.language.tag()).with(head_of_file).with(body)
}

fn purpose(report: &Report) -> Purpose {
    match (report.verdict, Stage::from_name(&report.stage)) {
        (Answer::NoGo, _) => Purpose::Instead,
        (Answer::FindOut, _) => Purpose::FindOut,
        (_, Some(Stage::HandOver)) => Purpose::HandOver,
        _ => Purpose::Drill,
    }
}

fn header(paper: &Paper, report: &Report, room: &mut Room) -> Element {
    let m = paper.m;
    let name = paper.short(&report.peg.name, room.width_pt / 1.8, 1);
    let mut line = format!(
        "{} · {} · {}",
        place(m, report.peg.lat_deg, report.peg.lon_deg),
        m.fill("head.stage", &[("stage", &m.word("stage", &report.stage))]),
        m.fill("head.setting", &[("setting", &m.told(&report.peg.region).text)]),
    );
    if let Some(visited) = &report.peg.visited {
        line = format!("{line} · {}", m.fill("head.visited", &[("date", &m.date(visited))]));
    }
    let line = paper.short(&line, room.width_pt, 2);
    room.lines -= 2.0 + paper.lines(&line, room.width_pt) + 1.7;
    el("header")
        .with(el("h1").with(el("span").with(name)).with(el("small").with(m.say("sheet.title"))))
        .with(el("p").with(line))
        .with(blank::to_fill(vec![m.say("sheet.answers"), m.say("sheet.phone"), m.say("sheet.day")]))
}

fn verdict(paper: &Paper, report: &Report, purpose: Purpose, room: &mut Room) -> Element {
    let m = paper.m;
    let about = match Stage::from_name(&report.stage) {
        Some(Stage::Drilling) => "drilling",
        Some(Stage::Completion) => "completion",
        Some(Stage::HandOver) => "hand-over",
        _ => "peg",
    };
    let key = answer_key(report.verdict);
    let meaning = match (report.verdict, about) {
        (Answer::NoGo, about) => m.say(&format!("sheet.no-go-{about}")),
        (_, about) => m.say(&format!("sheet.{key}-{}", if about == "peg" { "peg" } else { "work" })),
    };
    let first = m.say(match purpose {
        Purpose::Instead => "sheet.first_instead",
        Purpose::FindOut => "sheet.first_find_out",
        Purpose::Drill if report.verdict == Answer::GoIf => "sheet.first_go_if",
        Purpose::Drill => "sheet.first_go",
        Purpose::HandOver => "sheet.first_hand_over",
    });
    let said = format!("{meaning} {first}");
    room.lines -= paper.lines(&said, room.width_pt * 0.6).max(1.8) + 1.8;
    el("section")
        .class("verdict")
        .attr("aria-labelledby", "verdict")
        .with(el("h2").attr("id", "verdict").with(answer(m, answered_of(report), report.verdict)))
        .with(el("p").with(meaning).with(" ").with(el("b").with(first)))
}

fn footer(paper: &Paper, report: &Report, room: &mut Room) -> Element {
    let m = paper.m;
    let authority = match &report.authority.name {
        Some(name) => format!("{} ({})", m.say("sheet.authority"), paper.short(name, room.width_pt / 3.0, 1)),
        None => m.say("sheet.authority"),
    };
    let fills = vec![authority, m.say("sheet.clinic"), m.say("sheet.wires"), m.say("sheet.police")];
    let defers = m.told(&report.authority.defers).text;
    let p = &report.provenance;
    let hashes = m.fill(
        "sheet.made_from",
        &[("version", &report.forebore), ("survey", &p.survey), ("region", &p.region), ("rules", &p.rules)],
    );
    room.lines -= 4.3
        + HEADING
        + paper.lines(&format!("{defers} {}", m.say("sheet.advice")), room.width_pt)
        + paper.lines(&hashes, room.width_pt);
    el("footer")
        .with(el("h2").with(m.say("sheet.call")))
        .with(blank::to_fill(fills))
        .with(el("p").with(told(m, "span", &report.authority.defers)).with(" ").with(m.say("sheet.advice")))
        .with(el("p").class("hashes").with(hashes))
}
