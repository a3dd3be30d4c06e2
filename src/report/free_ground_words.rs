//! Free ground in sentences, for every format that is read.

use super::free_ground::{FreeGround, Ground, Spot};
use super::words::capital;
use crate::verdict::Answer;

/// The heading.
pub const HEADING: &str = "Free ground: where the peg could go";

/// Kinds that are named; beyond them a number is enough.
const NAMED: usize = 4;

/// What is said, each with what it is about.
pub fn paragraphs(ground: &FreeGround) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut say = |about: &str, text: String| all.push((about.to_owned(), text));
    say("looked at", looked_at(ground));
    say("free of what stops a well", left(&ground.free_of_stops, ground.area_m2));
    say("free of what makes a condition", left(&ground.free_of_cautions, ground.area_m2));
    let peg = &ground.peg;
    say("the peg as it is", format!("{}; {}.", judged(peg), clear(peg)));
    let better: Vec<&Spot> = ground.spots.iter().filter(|s| is_better(s, peg)).collect();
    for spot in &better {
        say(
            &format!("move the peg {}", way(spot)),
            format!("{}; {}.{}", judged(spot), clear(spot), because(spot)),
        );
    }
    if better.is_empty() {
        let text = match ground.spots.first() {
            None => "Nothing is left of the plot, so there is no spot to move the peg to.".to_owned(),
            Some(best) => format!(
                "No spot that was tried does better than the peg by the same rules. The best of the others is {}: {}.",
                way(best),
                judged(best)
            ),
        };
        say("move the peg", text);
    }
    if let Some(widest) = &ground.widest {
        say("farthest from trouble", format!("{}; {}.", way(widest), clear(widest)));
    }
    say("how to take this", caveats(ground));
    all
}

fn looked_at(ground: &FreeGround) -> String {
    match (&ground.plot_from, ground.radius_m) {
        (Some(from), _) => format!("The plot of {} [{from}].", area(ground.area_m2)),
        (None, Some(radius_m)) => format!(
            "The ground within {radius_m} m of the peg, {}, since the survey states no plot; whose it is was not asked.",
            area(ground.area_m2)
        ),
        (None, None) => "Nothing.".to_owned(),
    }
}

fn left(ground: &Ground, all_m2: f64) -> String {
    let share = |m2: f64| if all_m2 > 0.0 { 100.0 * m2 / all_m2 } else { 0.0 };
    let amount = |m2: f64| match m2 {
        m2 if m2 < 0.5 => "none of it".to_owned(),
        m2 => format!("{} ({:.0} %)", area(m2), share(m2)),
    };
    if ground.not_known_m2 < 0.5 {
        return format!("{}.", capital(&amount(ground.free_m2)));
    }
    let mut kinds: Vec<String> = ground
        .not_searched
        .iter()
        .take(NAMED)
        .map(|n| match n.searched_m {
            Some(m) => format!("{} (searched to {m} m, {} m needed)", n.kind, n.needed_m),
            None => format!("{} (not searched for, {} m needed)", n.kind, n.needed_m),
        })
        .collect();
    let more = ground.not_searched.len().saturating_sub(NAMED);
    if more > 0 {
        kinds.push(format!("{more} more kinds"));
    }
    format!(
        "{}; {} more would be, if a search finds nothing: {}.",
        capital(&amount(ground.free_m2)),
        amount(ground.not_known_m2),
        kinds.join(", ")
    )
}

/// "GO IF, score 71".
fn judged(spot: &Spot) -> String {
    match spot.score {
        Some(score) => format!("{}, score {score:.0}", spot.verdict.words()),
        None => format!("{}, no score", spot.verdict.words()),
    }
}

/// "23 m to bearing 140° (SE)".
pub fn way(spot: &Spot) -> String {
    match spot.bearing_deg {
        Some(bearing) => {
            format!("{:.0} m to bearing {bearing:.0}° ({})", spot.move_m.max(1.0), wind(bearing))
        }
        None => "where it is".to_owned(),
    }
}

/// The name of a direction.
pub fn wind(bearing_deg: f64) -> &'static str {
    const WINDS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    // Saturates; a bearing is at least 0 and below 360.
    let eighth = (bearing_deg / 45.0).round() as usize % WINDS.len();
    WINDS.get(eighth).copied().unwrap_or("N")
}

fn clear(spot: &Spot) -> String {
    let state = |class: &str, clear_m: f64, of: &str| match class {
        "taken" if clear_m > -0.5 => format!("at the edge of ground that is not free of {of}"),
        "taken" => format!("{:.0} m inside ground that is not free of {of}", -clear_m),
        "not known" => {
            format!("free of {of} only if a search finds nothing, {clear_m:.0} m from the nearest")
        }
        _ => format!("free of {of}, {clear_m:.0} m from the nearest"),
    };
    if spot.as_to_cautions != "taken" {
        return state(&spot.as_to_cautions, spot.clear_of_cautions_m, "cautions");
    }
    let stops = state(&spot.as_to_stops, spot.clear_of_stops_m, "stops");
    if spot.as_to_stops == "taken" { stops } else { format!("{stops}, not of cautions") }
}

/// The rules that hold a spot back.
fn because(spot: &Spot) -> String {
    let rules: Vec<&str> =
        spot.reasons.iter().filter(|r| r.alone == spot.verdict).map(|r| r.rule.as_str()).collect();
    let what = match spot.verdict {
        Answer::Go => return String::new(),
        Answer::GoIf => "Its conditions",
        Answer::FindOut => "To be found out",
        Answer::NoGo => "Ruled out by",
    };
    let more = rules.len().saturating_sub(NAMED);
    let named = rules.iter().take(NAMED).copied().collect::<Vec<_>>().join(", ");
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!(" {what}: {named}{more}.")
}

/// By the verdict, then the score in whole points.
pub fn is_better(spot: &Spot, than: &Spot) -> bool {
    let key = |s: &Spot| (s.verdict, s.score.map_or(-1, |s| s.round() as i64));
    key(spot) > key(than)
}

fn caveats(ground: &FreeGround) -> String {
    let mut text =
        "Areas go by distances alone, each hazard taken at its worse end; the spots were judged by all \
                    rules on what is known of them from the peg, as if set out from it with tape and compass."
            .to_owned();
    if !ground.passed_over.is_empty() {
        text.push_str(&format!(" Passed over for peg and spots: {}.", ground.passed_over.join(", ")));
    }
    if ground.left_out_records > 0 {
        let (records, lie) =
            if ground.left_out_records == 1 { ("record", "lies") } else { ("records", "lie") };
        text.push_str(&format!(
            " {} {records} of the survey could not be used, and may stand for something that {lie} here.",
            ground.left_out_records
        ));
    }
    text.push_str(
        " Before a well is put there: look at the ground, tape the distances anew, change the peg in the survey and \
         assess again.",
    );
    text
}

/// An area with as many digits as it is worth.
fn area(m2: f64) -> String {
    let (value, digits, unit) = area_parts(m2);
    format!("{value:.digits$} {unit}")
}

/// The same as a rounded value, its digits after the point and its unit.
pub fn area_parts(m2: f64) -> (f64, usize, &'static str) {
    let step = match m2 {
        m2 if m2 < 100.0 => 1.0,
        m2 if m2 < 1_000.0 => 10.0,
        m2 if m2 < 20_000.0 => 100.0,
        m2 => return (m2 / 10_000.0, 1, "ha"),
    };
    ((m2 / step).round() * step, 0, "m²")
}
