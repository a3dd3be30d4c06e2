//! Whether the chance of success that an assessment tells was right.

use super::page::Page;
use super::parts::{gains, percent, reliability, scores, verdict_of_skill};
use crate::tune::backtest::judged::ChanceTest;

pub(super) fn chances(page: &mut Page, c: &ChanceTest) {
    page.heading("Is the chance of success right?");
    page.table(scores(&c.scores, &c.baselines));
    page.paragraph(format!(
        "The chance is that of the assessment, from {:.0} virtual bores at each of {} records{}. Brier and log \
         score: the less the better; the log score counts a chance as no nearer to 0 or 1 than {}. Area: the \
         chance that a success was given more than a failure; 0.5 is drawing lots. base-rate: the share of all \
         other records; nearest: as the nearest other; idw8: the share of the eight nearest, weighted by \
         1/distance².",
        c.virtual_bores,
        c.n,
        if c.untold > 0 { format!(" ({} were told none)", c.untold) } else { String::new() },
        c.log_score_clip
    ));
    page.paragraph(skill(c));
    if let (Some(typical), Some(base)) = (c.typical, c.base_rate) {
        page.paragraph(format!(
            "It says {} for a typical record; {} came to a success.",
            percent(typical),
            percent(base)
        ));
    }
    page.heading("Of what was given a chance, how much came");
    page.reliability(reliability(&c.reliability));
}

pub(super) fn skill(c: &ChanceTest) -> String {
    match verdict_of_skill(&c.skill) {
        Some((verdict, squares)) => format!("{verdict} {}", gains(&c.skill, squares)),
        None => "Too few records, or all in one place: it cannot be told.".to_owned(),
    }
}
