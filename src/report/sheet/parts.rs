//! The parts of the sheet between the dangers and the table to fill in, by
//! what the sheet is for.

use super::columns::{Gives, Part};
use super::fit::{Entry, HEADING, Paper};
use super::page::Purpose;
use super::{before, bill, instead, plan, stop};
use crate::report::html::markup::el;
use crate::report::model::{Ask, Report};
use crate::survey::Stage;

/// The parts, in their order.
pub fn parts<'a>(paper: &'a Paper, report: &'a Report, purpose: Purpose) -> Vec<Part<'a>> {
    let list = |heading, class, entries: Vec<Entry>, gives| listed(paper, heading, class, entries, gives);
    let asks =
        |which: &dyn Fn(&Ask) -> bool| before::asks(paper, report, report.asks.iter().filter(|a| which(a)));
    // What the authority is asked comes before all else.
    let asked_first = |which: &dyn Fn(&Ask) -> bool| {
        let mut all = before::authority(paper, report);
        all.extend(asks(which));
        all
    };
    let conditions = || before::conditions(paper, report);
    let all = match purpose {
        Purpose::Drill => vec![
            Some(depths(paper, report, true)),
            list("sheet.conditions", "tick", conditions(), Gives::Late),
            list("sheet.asks", "tick", asked_first(&|_| true), Gives::First),
            list("stop.title", "plain", stop::entries(paper, report), Gives::No),
            Some(bring(paper, report)),
        ],
        Purpose::FindOut => vec![
            list("sheet.asks_first", "tick", asked_first(&|a| a.blocks), Gives::Late),
            Some(depths(paper, report, false)),
            list("stop.title_trial", "plain", stop::entries(paper, report), Gives::No)
                .filter(|_| trial(report)),
            list("sheet.asks_later", "tick", asks(&|a| !a.blocks), Gives::First),
        ],
        Purpose::Instead => vec![
            list("sheet.because", "plain", before::reasons(paper, report), Gives::Late),
            list("sheet.instead", "tick", instead::entries(paper, report), Gives::Late),
            list("sheet.asks_no_go", "tick", asked_first(&|_| true), Gives::First),
        ],
        Purpose::HandOver => vec![
            list("sheet.conditions_hand_over", "tick", conditions(), Gives::Late),
            list("sheet.asks", "tick", asked_first(&|_| true), Gives::First),
        ],
    };
    all.into_iter().flatten().collect()
}

/// Whether there is a hole to log: one is asked for, or one is being made.
pub fn trial(report: &Report) -> bool {
    let at_work = matches!(Stage::from_name(&report.stage), Some(Stage::Drilling | Stage::Completion));
    at_work || report.asks.iter().any(|a| a.how == "trial bore")
}

fn listed<'a>(
    paper: &'a Paper,
    heading: &'static str,
    class: &'static str,
    entries: Vec<Entry>,
    gives: Gives,
) -> Option<Part<'a>> {
    if entries.is_empty() {
        return None;
    }
    let needed = paper.needed(&entries, paper.column(0.0).width_pt) + HEADING;
    let make = Box::new(move |room: &mut _| {
        let heading = paper.heading(paper.m.say(heading), room);
        el("section").with(heading).perhaps(paper.list(class, &entries, room))
    });
    Some(Part { needed, gives, make })
}

fn depths<'a>(paper: &'a Paper, report: &'a Report, whole: bool) -> Part<'a> {
    let make = move |room: &mut _| {
        let heading = if whole { "depth.title" } else { "sheet.expected" };
        let heading = paper.heading(paper.m.say(heading), room);
        el("section").with(heading).all(plan::depths(paper, report, whole, room))
    };
    // It says by itself how much room it took.
    let mut room = paper.column(0.0);
    let _ = make(&mut room);
    Part { needed: -room.lines, gives: Gives::No, make: Box::new(make) }
}

fn bring<'a>(paper: &'a Paper, report: &'a Report) -> Part<'a> {
    let needed = bill::needed(paper, report, paper.column(0.0).width_pt) + HEADING;
    let make = Box::new(move |room: &mut _| {
        let heading = paper.heading(paper.m.say("sheet.bring"), room);
        el("section").with(heading).all(bill::quantities(paper, report, room))
    });
    Part { needed, gives: Gives::Late, make }
}
