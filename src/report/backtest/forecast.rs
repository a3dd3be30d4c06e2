//! What a back-test of a forecast found, in words and tables.

use super::page::Page;
use super::parts::{gains, left_out, near, provenance, reliability, scores, skipped, verdict_of_skill};
use crate::tune::backtest::BackTest;

/// The whole page.
pub(super) fn page(r: &BackTest) -> Page {
    let mut page = Page::new(format!("Back-test of {}", r.forecast));
    page.lead(format!("Back-test of {}: {}", r.forecast, r.asked));
    page.paragraph(format!(
        "{} records were each forecast from others only; left out: {}.{} Region: {}. {} rows were skipped.",
        r.n,
        left_out(&r.leave_out),
        near(r.neighbours_from_m),
        r.region,
        r.skipped.len()
    ));
    page.items(skipped(&r.skipped));
    page.heading("Scores beside forecasts anybody can make");
    page.table(scores(&r.scores, &r.baselines));
    page.paragraph(explained(r));
    page.heading("Does it carry skill?");
    page.paragraph(skill(r));
    if let (Some(typical), Some(base)) = (r.typical, r.base_rate) {
        page.paragraph(format!(
            "It says {:.0} % for a typical {}; {:.0} % came out yes.",
            100.0 * typical,
            if r.depths_m.is_empty() { "record" } else { "bore and depth" },
            100.0 * base
        ));
    }
    if let Some(typical) = r.typical_m {
        page.paragraph(format!("It says {typical:.1} m for a typical record."));
    }
    if !r.reliability.is_empty() {
        page.heading("Of what was given a chance, how much came");
        page.reliability(reliability(&r.reliability));
    }
    if !r.notes.is_empty() {
        page.heading("Bear in mind");
        page.warnings(r.notes.clone());
    }
    for other in &r.beside {
        page.heading(&format!("Beside it: leave out {}", left_out(&other.leave_out)));
        page.table(scores(&other.scores, &other.baselines));
        page.paragraph(skill(other));
    }
    page.heading("What this does not show");
    page.items(limits(r));
    let p = &r.provenance;
    page.footer(provenance(r.forebore, &[("records", &p.records), ("map", &p.map), ("region", &p.region)]));
    page
}

fn explained(r: &BackTest) -> String {
    match r.scores.mae_m {
        Some(_) => "Mean error: the less the better. The 80 % band should hold about 80 of 100; a band that \
                    holds more is too wide, one that holds fewer claims too much. median: of all other \
                    records; nearest: the nearest other; idw8: the eight nearest, weighted by 1/distance²."
            .to_owned(),
        None => {
            let pairs = match r.depths_m.as_slice() {
                [] => String::new(),
                [first, .., last] => {
                    format!(
                        " Each bore is scored at every 5 m from {first:.0} to {last:.0} m where it is known."
                    )
                }
                [only] => format!(" Each bore is scored at {only:.0} m where it is known."),
            };
            format!(
                "Brier and log score: the less the better; the log score counts a chance as no nearer to 0 or 1 \
                 than {}. Area: the chance that a yes was given more than a no; 0.5 is drawing lots. base-rate: \
                 the share of all other records; nearest: as the nearest other; idw8: the share of the eight \
                 nearest, weighted by 1/distance².{pairs}",
                r.log_score_clip
            )
        }
    }
}

/// One plain sentence or two: does it tell more than what anybody knows?
fn skill(r: &BackTest) -> String {
    match verdict_of_skill(&r.skill) {
        Some((verdict, squares)) => format!("{verdict} {}", gains(&r.skill, squares)),
        None => "Too few records, or all in one place: it cannot be told.".to_owned(),
    }
}

fn limits(r: &BackTest) -> Vec<String> {
    let mut lines = vec![
        "It speaks of wells like these records: other ground, other drillers or other methods (machine-drilled \
         against hand-drilled) may differ. Records of wells that were never drilled are missing."
            .to_owned(),
    ];
    match r.forecast.as_str() {
        "depth-to-water" => lines.push(
            "Levels are taken as read, whatever the month: it does not show how deep water falls in the driest \
             month."
                .to_owned(),
        ),
        "refusal" => lines.push(
            "Bores that ended before the ground refused them count only as deep as they went.".to_owned(),
        ),
        "success" => lines.push("What counts as a success is what the map says, not yield or quality.".to_owned()),
        _ => lines.push(
            "A low chance of bad water is no test of water: nobody drinks from a well before its water was \
             tested."
                .to_owned(),
        ),
    }
    let blocked = r.leave_out != "one" || r.beside.iter().any(|b| b.leave_out != "one");
    if !blocked && r.neighbours_from_m <= 0.0 {
        lines.push(
            "Left out one at a time, a record may be forecast from its next-door neighbour: a new place far from \
             all records is forecast worse. Leave out blocks to see how much."
                .to_owned(),
        );
    }
    lines.push("A forecast may add a condition or stop a site; it never clears one.".to_owned());
    lines
}
