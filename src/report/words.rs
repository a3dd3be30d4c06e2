//! Sentences that more than one format uses.

use super::model::{Ask, Evidence, Finding, Limit, Point, Report};
use crate::survey::Stage;
use crate::verdict::Answer;

/// The text with a capital first letter.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// What the answer means, in a sentence.
pub fn meaning(report: &Report) -> String {
    let stage = &report.stage;
    let (what, stop) = match Stage::from_name(stage) {
        Some(Stage::Drilling) => ("hole", "Do not go on with this hole."),
        Some(Stage::Completion) => ("hole", "Do not complete this hole so."),
        Some(Stage::HandOver) => ("well", "Do not hand this well over: nobody drinks from it yet."),
        _ => ("peg", "Do not drill at this peg."),
    };
    match report.verdict {
        Answer::NoGo => format!("{stop} At the stage of {stage} at least one thing rules it out."),
        Answer::FindOut => {
            format!("It cannot be told yet. At the stage of {stage} something must be found out first.")
        }
        Answer::GoIf => format!("The {what} passes at the stage of {stage} if every condition below is met."),
        Answer::Go => {
            format!("The {what} passes at the stage of {stage}: nothing that was asked speaks against it.")
        }
    }
}

/// The score with the share of it that is known.
pub fn score(report: &Report) -> String {
    match report.score {
        Some(score) => {
            let share = report.score_known_share * 100.0;
            let rest = if share < 99.5 { " (the rest is not known)" } else { "" };
            format!(
                "score {score:.0} of 100, from {share:.0} % of the weight{rest}; it ranks pegs, it decides nothing"
            )
        }
        None => "no score: no grade is known".to_owned(),
    }
}

/// Where the peg is.
pub fn place(report: &Report) -> String {
    let side =
        |x: f64, plus: &str, minus: &str| format!("{:.5}° {}", x.abs(), if x < 0.0 { minus } else { plus });
    format!("{}, {}", side(report.peg.lat_deg, "N", "S"), side(report.peg.lon_deg, "E", "W"))
}

/// Price and purpose of an ask.
pub fn ask_terms(ask: &Ask) -> String {
    let price = match ask.price {
        Some(0.0) => "costs nothing but time".to_owned(),
        Some(p) => format!("about {p:.0} {}", ask.currency),
        None => "price not set".to_owned(),
    };
    let when =
        if ask.blocks { "the stage waits for it".to_owned() } else { format!("before {}", ask.before) };
    format!("{}; {price}; {when}; for {}", ask.how, ask.rules.join(", "))
}

/// A fact that was read, with where it came from and the chances.
pub fn evidence(e: &Evidence, limits: &[Limit]) -> String {
    let mut text = format!("{}: {}", e.fact, e.is.text);
    if !e.is.note.is_empty() {
        text.push_str(&format!("; {}", e.is.note.trim_end_matches('.')));
    }
    for (limit, chance) in &e.chance_below {
        let value = limits.iter().find(|l| l.name == *limit).map(value_of);
        if (0.005..0.995).contains(chance) {
            let value = value.unwrap_or_else(|| limit.clone());
            text.push_str(&format!("; chance of being below {value}: {:.0} %", chance * 100.0));
        }
    }
    match e.is.from_all.as_slice() {
        [] => {}
        [one] => text.push_str(&format!(" [{one}]")),
        [first, rest @ ..] if rest.len() <= 3 => text.push_str(&format!(" [{first}, {}]", rest.join(", "))),
        [first, rest @ ..] => text.push_str(&format!(" [{first} and {} more]", rest.len())),
    }
    text
}

/// A limit that was used, with who set it and its source.
pub fn limit(l: &Limit) -> String {
    let mut text = format!("{}: {}", l.name, value_of(l));
    let who = match l.set_by.as_str() {
        "local" => "set by the local file",
        "setting" => "set by the setting",
        _ => "built in",
    };
    text.push_str(&format!(", {who} [{}]: {}", l.from, l.source.trim_end_matches('.')));
    if l.basis != "published" && !l.source.contains(&l.basis) {
        text.push_str(&format!(" ({})", l.basis));
    }
    for note in &l.notes {
        text.push_str(&format!(". {}", note.trim_end_matches('.')));
    }
    text
}

/// A limit's value with its unit.
fn value_of(l: &Limit) -> String {
    match l.unit.as_str() {
        "1" | "count" => l.value.to_string(),
        unit => format!("{} {unit}", l.value),
    }
}

/// The points that decide, under their heading; empty for a plain go.
pub fn deciding(report: &Report) -> (&'static str, Vec<&Point>) {
    match report.verdict {
        Answer::GoIf => ("Go if", report.conditions.iter().collect()),
        answer => ("Because", report.reasons.iter().filter(|p| p.alone == answer).collect()),
    }
}

/// The heading over what is to be found out.
pub fn asks_heading(report: &Report) -> &'static str {
    match report.verdict {
        Answer::NoGo => "Also not known, in case the reasons above can be mended (cheapest first)",
        Answer::FindOut => "Find out, cheapest first",
        Answer::GoIf | Answer::Go => "Still to be found out, cheapest first",
    }
}

/// The findings that need attention, gravest first, in groups with a
/// heading.
pub fn groups(report: &Report) -> Vec<(&'static str, Vec<&Finding>)> {
    let pick =
        |want: &dyn Fn(&Finding) -> bool| report.findings.iter().filter(|f| want(f)).collect::<Vec<_>>();
    let of = |outcome: &'static str| move |f: &Finding| f.outcome == outcome;
    [
        ("What rules the peg out", pick(&of("stop"))),
        ("Rules that failed themselves", pick(&of("broken"))),
        ("What must be found out first", pick(&|f| f.outcome == "find-out" && f.blocks)),
        (
            if report.verdict >= Answer::GoIf {
                "What the go hangs on"
            } else {
                "What a go would hang on besides"
            },
            pick(&of("caution")),
        ),
        ("What must be known before a later stage", pick(&|f| f.outcome == "find-out" && !f.blocks)),
    ]
    .into_iter()
    .filter(|(_, list)| !list.is_empty())
    .collect()
}

/// The titles of findings of one outcome.
pub fn with_outcome<'a>(report: &'a Report, outcome: &str) -> Vec<&'a Finding> {
    report.findings.iter().filter(|f| f.outcome == outcome).collect()
}
