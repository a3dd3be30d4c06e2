//! The result of a back-test: JSON, and text for a trainer, readable at 80
//! columns.

use textwrap::{Options, WordSplitter, fill};

use super::rounded;
use super::skipped::reasons;
use crate::tune::backtest::{BackTest, Gain};

/// Columns that are filled at the most.
const WIDTH: usize = 79;

/// The result as indented JSON, ending in a line break. Numbers carry no more
/// than six decimals.
///
/// # Errors
/// When it cannot be written, which does not happen to a result.
pub fn json(result: &BackTest) -> Result<String, serde_json::Error> {
    rounded::json(result)
}

/// The result as text.
pub fn text(result: &BackTest) -> String {
    let mut page = String::new();
    whole(&mut page, result);
    for other in &result.beside {
        heading(&mut page, &format!("Beside it: leave out {}", left_out(other)));
        scores(&mut page, other);
        paragraph(&mut page, &skill(other));
    }
    heading(&mut page, "What this does not show");
    for line in limits(result) {
        item(&mut page, "- ", &line);
    }
    page.push('\n');
    let p = &result.provenance;
    paragraph(
        &mut page,
        &format!(
            "forebore {}; content of records {}, map {}, region {}.",
            result.forebore, p.records, p.map, p.region
        ),
    );
    page
}

fn whole(page: &mut String, r: &BackTest) {
    paragraph(page, &format!("Back-test of {}: {}", r.forecast, r.asked));
    let near = match r.neighbours_from_m {
        m if m > 0.0 => format!(" Records nearer than {m:.0} m were not used."),
        _ => String::new(),
    };
    paragraph(
        page,
        &format!(
            "{} records were each forecast from others only; left out: {}.{near} Region: {}. {} rows were skipped.",
            r.n,
            left_out(r),
            r.region,
            r.skipped.len()
        ),
    );
    for (rows, reason) in reasons(&r.skipped) {
        item(page, "- ", &format!("{rows} skipped: {reason}"));
    }
    heading(page, "Scores beside forecasts anybody can make");
    scores(page, r);
    paragraph(page, &explained(r));
    heading(page, "Does it carry skill?");
    paragraph(page, &skill(r));
    if let (Some(typical), Some(base)) = (r.typical, r.base_rate) {
        paragraph(
            page,
            &format!(
                "It says {:.0} % for a typical {}; {:.0} % came out yes.",
                100.0 * typical,
                if r.depths_m.is_empty() { "record" } else { "bore and depth" },
                100.0 * base
            ),
        );
    }
    if let Some(typical) = r.typical_m {
        paragraph(page, &format!("It says {typical:.1} m for a typical record."));
    }
    if !r.reliability.is_empty() {
        heading(page, "Of what was given a chance, how much came");
        page.push_str("  chance given   forecasts   mean chance   came    95 % band\n");
        for b in &r.reliability {
            page.push_str(&format!(
                "  {:>3.0} to {:>3.0} %   {:>9}   {:>9.0} %   {:>3.0} %   {:>3.0} to {:.0} %\n",
                100.0 * b.from,
                100.0 * b.to,
                b.n,
                100.0 * b.mean_chance,
                100.0 * b.share,
                100.0 * b.band95[0],
                100.0 * b.band95[1]
            ));
        }
    }
    if !r.notes.is_empty() {
        heading(page, "Bear in mind");
        r.notes.iter().for_each(|n| item(page, "! ", n));
    }
}

fn left_out(r: &BackTest) -> String {
    match r.leave_out.split_once(':') {
        Some((_, side)) => format!("whole squares of {side} m"),
        None if r.leave_out == "one" => "one at a time".to_owned(),
        None => "all of the same day and later".to_owned(),
    }
}

/// The table of scores, the forecast first.
fn scores(page: &mut String, r: &BackTest) {
    let depth = r.scores.mae_m.is_some();
    let heads: [&str; 3] = match depth {
        true => ["mean error", "in 80 % band", "band width"],
        false => ["Brier", "log score", "area (AUC)"],
    };
    page.push_str(&format!("  {:<12} {:>13} {:>13} {:>13}\n", "", heads[0], heads[1], heads[2]));
    let plain = r.baselines.iter().map(|(name, scores)| (*name, scores));
    for (name, s) in std::iter::once(("forecast", &r.scores)).chain(plain) {
        let shown = match depth {
            true => [
                cell(s.mae_m, |m| format!("{m:.2} m")),
                cell(s.band80_coverage, |c| format!("{:.0} %", 100.0 * c)),
                cell(s.band80_width_m, |m| format!("{m:.1} m")),
            ],
            false => [s.brier, s.log_score, s.auc].map(|x| cell(x, |x| format!("{x:.4}"))),
        };
        page.push_str(&format!("  {name:<12} {:>13} {:>13} {:>13}\n", shown[0], shown[1], shown[2]));
    }
    page.push('\n');
}

fn cell(value: Option<f64>, show: impl Fn(f64) -> String) -> String {
    value.map_or_else(|| "-".to_owned(), show)
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
    let simplest = r.skill.get("median").map(|g| ("the median of the other records", g));
    let simplest = simplest.or_else(|| r.skill.get("base-rate").map(|g| ("the base rate", g)));
    let Some((name, gain)) = simplest else {
        return "Too few records, or all in one place: it cannot be told.".to_owned();
    };
    let first = match gain.verdict {
        "better" => format!("Yes: it is better than {name} by more than chance gives."),
        "worse" => format!("No: {name} is nearer the truth here; rely on that instead."),
        _ => format!(
            "Not shown: it cannot be told apart from {name}; where you drill tells no more than that."
        ),
    };
    let of = |g: &Gain| {
        let (digits, unit) = if g.score == "mae_m" { (2, " m") } else { (4, "") };
        // The sign of what is shown, so that nothing is not "−0".
        let shown = format!("{:+.digits$}", g.gain);
        let shown =
            if shown.trim_start_matches(['+', '-', '0', '.']).is_empty() { "0".to_owned() } else { shown };
        format!("{}{unit} ± {:.digits$}{unit} ({})", shown.replace('-', "−"), g.standard_error, g.verdict)
    };
    let all: Vec<String> = r.skill.iter().map(|(name, g)| format!("{name} {}", of(g))).collect();
    format!(
        "{first} Gain on each, with its standard error over {} squares of ground: {}.",
        gain.squares,
        all.join("; ")
    )
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

fn heading(page: &mut String, title: &str) {
    page.push_str(&format!("\n{title}\n"));
}

fn paragraph(page: &mut String, text: &str) {
    item(page, "", text);
}

fn item(page: &mut String, indent: &str, text: &str) {
    let blank = " ".repeat(indent.chars().count());
    let options = Options::new(WIDTH)
        .initial_indent(indent)
        .subsequent_indent(&blank)
        .word_splitter(WordSplitter::NoHyphenation);
    page.push_str(&fill(text, options));
    page.push('\n');
}
