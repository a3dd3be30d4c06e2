//! What is filled in by hand: tables without words, and lines to write on.
//! Rows that have no room fall away whole; they are empty.

use super::fit::{Paper, Room};
use crate::report::html::markup::{Element, el};

/// Rows that there are at most.
const ROWS: usize = 40;
/// Rows that there must be room for with the smallest letters, and before
/// letters are made larger.
const LEAST_ROWS: [f64; 2] = [4.5, 8.0];
/// Height of a row, points; `style.css` has the same.
const ROW_PT: f64 = 18.0;

/// The columns of a blank table and the room each takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Blank {
    /// What is met going down.
    Log,
    /// The same of a trial bore.
    Trial,
    /// What neighbours say of their wells.
    Wells,
    /// Hazards around another spot.
    Spot,
    /// Readings of a well at hand-over.
    Readings,
}

impl Blank {
    fn key(self) -> &'static str {
        match self {
            Blank::Log => "log",
            Blank::Trial => "trial",
            Blank::Wells => "wells",
            Blank::Spot => "spot",
            Blank::Readings => "readings",
        }
    }

    fn columns(self) -> &'static [&'static str] {
        match self {
            Blank::Log | Blank::Trial => &["from", "to", "material", "hours", "lost", "water"],
            Blank::Wells => &["well", "depth", "level", "day_read", "months", "ground"],
            Blank::Spot => &["hazard", "distance", "bearing", "how_known", "searched"],
            Blank::Readings => &["day", "reading", "who"],
        }
    }
}

/// The table; takes what the page has left over.
pub fn table(paper: &Paper, blank: Blank) -> Element {
    let m = paper.m;
    let key = blank.key();
    let cells = |head: bool| {
        blank.columns().iter().map(move |c| {
            let cell = el("span").class(format!("c-{c}"));
            if head { cell.with(m.say(&format!("blank.{c}"))) } else { cell }
        })
    };
    let rows = (0..ROWS).map(|_| el("div").class("row").all(cells(false)));
    el("section")
        .class("blank")
        .with(el("h2").with(m.say(&format!("blank.{key}"))))
        .with(el("p").with(m.say(&format!("blank.{key}_how"))))
        .with(el("div").class("row head").all(cells(true)))
        .with(el("div").class("rows").attr("aria-hidden", "true").all(rows))
}

/// Takes the least room of the table.
pub fn keep_room(paper: &Paper, blank: Blank, room: &mut Room) {
    let how = paper.lines(&paper.m.say(&format!("blank.{}_how", blank.key())), room.width_pt);
    let [least, before_larger] = LEAST_ROWS;
    let rows = if paper.smallest { least } else { before_larger };
    room.lines -= 2.9 + how + rows * ROW_PT / (paper.size_pt * 1.25);
}

/// Lines to write on, each with what belongs there.
pub fn to_fill(labels: Vec<String>) -> Element {
    let line = |label| el("p").class("fill").with(el("span").with(label)).with(el("span").class("line"));
    el("div").class("fills").all(labels.into_iter().map(line))
}
