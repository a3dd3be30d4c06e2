//! Changes as sentences.

use super::{Change, PlanFigure};
use crate::facts::{self, FactSource, SiteFacts, Value};
use crate::units::Unit;

/// The change, as a sentence to those at the peg.
pub(super) fn sentence(change: &Change, site: &SiteFacts) -> String {
    match change {
        Change::Move { bearing_deg, distance_m } => {
            let whole = bearing_deg.round();
            format!(
                "Move the peg {} to bearing {whole:03.0} ({}), tape and search again from there.{}",
                Unit::Metre.show(*distance_m),
                towards(*bearing_deg),
                beyond_room(site, *distance_m)
            )
        }
        Change::Number { fact, unit, at_least, at_most, open } => {
            let show = |x: f64| unit.show(x);
            let wanted = match (at_least, at_most) {
                (Some(a), Some(b)) => format!("{} to {}", show(*a), show(*b)),
                (Some(a), None) => format!("{} or more", show(*a)),
                // Nothing of the kind is ever less than none.
                (None, Some(b)) if *b <= 0.0 && *unit == Unit::Count => "none".to_owned(),
                (None, Some(b)) if *b <= 0.0 => show(*b),
                (None, Some(b)) => format!("{} or less", show(*b)),
                (None, None) => "any value".to_owned(),
            };
            format!("{}: {wanted}{}.", about(fact), now(site, fact, *open))
        }
        Change::Word { fact, words, open } => {
            let words: Vec<_> = words.iter().map(|w| format!("\"{w}\"")).collect();
            format!("{}: {}{}.", about(fact), words.join(" or "), now(site, fact, *open))
        }
        Change::Wells { count, within_m, like } => {
            let within = Unit::Metre.show(*within_m);
            match count {
                1 => format!("Find one more well within {within} that says the same as {like}."),
                n => format!("Find {n} more wells within {within} that say the same as {like}."),
            }
        }
        Change::TrialBore { like } => {
            format!("Make a trial bore at the peg that meets the same ground and water as {like}.")
        }
        Change::Figure { which, from, to } => figure(*which, *from, *to, site),
        Change::Method { method, instead } => {
            let how = if *instead { "instead of those planned" } else { "at hand as well" };
            format!("Have {} {how}.", method.name())
        }
        Change::Lift { lift } => match site.site().plan.lift.as_ref() {
            Some(planned) => format!("Plan a {lift} instead of a {}.", planned.value),
            None => format!("Plan a {lift}."),
        },
        Change::Start { on } => match site.site().plan.start.as_ref() {
            Some(planned) => format!("Start the work on {on} or soon after, instead of {}.", planned.value),
            None => format!("Start the work on {on} or soon after."),
        },
    }
}

/// Signs that were seen only where the old peg stands.
fn beyond_room(site: &SiteFacts, distance_m: f64) -> &'static str {
    let room = site.site().ground.working_room_m.as_ref();
    if room.is_some_and(|r| r.value > distance_m) {
        ""
    } else {
        " Slope, floods and working room were seen at the old peg only: look at them there too."
    }
}

fn figure(which: PlanFigure, from: f64, to: f64, site: &SiteFacts) -> String {
    let plain = |x: f64| if x < 10.0 { format!("{x:.1}") } else { format!("{x:.0}") };
    match which {
        PlanFigure::People => {
            format!("{} people draw water here instead of {}, the others elsewhere.", plain(to), plain(from))
        }
        PlanFigure::Budget => {
            let currency = site.site().plan.budget.as_ref().map_or("", |b| b.value.currency.as_str());
            format!("Set aside {} {currency} instead of {}.", plain(to), plain(from))
        }
        PlanFigure::DrillingWater => {
            format!("Bring {} litres of drilling water a day instead of {}.", plain(to), plain(from))
        }
        PlanFigure::TowerHeight => {
            format!("Raise nothing higher than {} m, instead of {} m.", plain(to), plain(from))
        }
    }
}

fn about(fact: &str) -> String {
    let about = facts::def(fact).map_or(fact, |d| d.about);
    about.split(';').next().unwrap_or(about).trim_end_matches('.').to_owned()
}

fn now(site: &SiteFacts, fact: &str, open: bool) -> String {
    let known = match site.fact(fact).map(|f| f.value.clone()) {
        Some(Value::Estimate(e)) => e.to_string(),
        Some(Value::Word(w)) => format!("\"{w}\""),
        Some(Value::Unknown) | None => return "; not known so far".to_owned(),
    };
    if open { format!(", known for sure; so far: {known}") } else { format!(", where it is {known}") }
}

/// The direction in words.
fn towards(bearing_deg: f64) -> &'static str {
    const NAMES: [&str; 8] =
        ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    let eighth = (bearing_deg.rem_euclid(360.0) / 45.0).round() as usize;
    NAMES.get(eighth % NAMES.len()).copied().unwrap_or("north")
}
