//! Parts of the page that every back-test has.

use std::collections::BTreeMap;

use super::page::{Spot, Table};
use crate::report::skipped::reasons;
use crate::tune::backtest::{Bin, Gain, Scores};
use crate::tune::records::Skipped;


/// What was left out, as it is said.
pub(super) fn left_out(how: &str) -> String {
    match how.split_once(':') {
        Some((_, side)) => format!("whole squares of {side} m"),
        None if how == "one" => "one at a time".to_owned(),
        None => "all of the same day and later".to_owned(),
    }
}

/// Which records were too near, as a sentence behind another.
pub(super) fn near(neighbours_from_m: f64) -> String {
    match neighbours_from_m {
        m if m > 0.0 => format!(" Records nearer than {m:.0} m were not used."),
        _ => String::new(),
    }
}

/// The rows that were skipped, by reason.
pub(super) fn skipped(skipped: &[Skipped]) -> Vec<String> {
    reasons(skipped).into_iter().map(|(rows, reason)| format!("{rows} skipped: {reason}")).collect()
}

/// The table of scores, the forecast first.
pub(super) fn scores(own: &Scores, baselines: &BTreeMap<&'static str, Scores>) -> Table {
    let depth = own.mae_m.is_some();
    let heads = match depth {
        true => ["", "mean error", "in 80 % band", "band width"],
        false => ["", "Brier", "log score", "area (AUC)"],
    };
    let plain = baselines.iter().map(|(name, scores)| (*name, scores));
    let row = |(name, s): (&str, &Scores)| {
        let shown = match depth {
            true => [
                cell(s.mae_m, |m| format!("{m:.2} m")),
                cell(s.band80_coverage, percent),
                cell(s.band80_width_m, |m| format!("{m:.1} m")),
            ],
            false => [s.brier, s.log_score, s.auc].map(|x| cell(x, |x| format!("{x:.4}"))),
        };
        std::iter::once(name.to_owned()).chain(shown).collect()
    };
    Table::new("Scores", &heads, std::iter::once(("forecast", own)).chain(plain).map(row).collect())
}

/// What came of what was given a chance, with the points of a picture of it.
pub(super) fn reliability(bins: &[Bin]) -> (Table, Vec<Spot>) {
    let heads = ["chance given", "forecasts", "mean chance", "came", "95 % band", ""];
    let row = |b: &Bin| {
        vec![
            format!("{:>3.0} to {:>3.0} %", 100.0 * b.from, 100.0 * b.to),
            b.n.to_string(),
            percent(b.mean_chance),
            percent(b.share),
            band(b.band95),
            few(b.few),
        ]
    };
    let spot = |b: &Bin| [b.mean_chance, b.share, b.band95[0], b.band95[1]];
    let table = Table::new("Chances given, and what came of them", &heads, bins.iter().map(row).collect());
    (table, bins.iter().map(spot).collect())
}

/// The word that flags few.
pub(super) fn few(few: bool) -> String {
    if few { "few" } else { "" }.to_owned()
}

pub(super) fn cell(value: Option<f64>, show: impl Fn(f64) -> String) -> String {
    value.map_or_else(|| "-".to_owned(), show)
}

pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

pub(super) fn band([low, high]: [f64; 2]) -> String {
    format!("{:.0} to {:.0} %", 100.0 * low, 100.0 * high)
}

/// Does it tell more than what anybody knows? With how many squares it rests
/// on; `None` where it cannot be told.
pub(super) fn verdict_of_skill(skill: &BTreeMap<&'static str, Gain>) -> Option<(String, usize)> {
    let simplest = skill.get("median").map(|g| ("the median of the other records", g));
    let (name, gain) = simplest.or_else(|| skill.get("base-rate").map(|g| ("the base rate", g)))?;
    let told = match gain.verdict {
        "better" => format!("Yes: it is better than {name} by more than chance gives."),
        "worse" => format!("No: {name} is nearer the truth here; rely on that instead."),
        _ => format!(
            "Not shown: it cannot be told apart from {name}; where you drill tells no more than that."
        ),
    };
    Some((told, gain.squares))
}

/// What is gained on each plain forecast.
pub(super) fn gains(skill: &BTreeMap<&'static str, Gain>, squares: usize) -> String {
    let of = |g: &Gain| {
        let (digits, unit) = if g.score == "mae_m" { (2, " m") } else { (4, "") };
        // The sign of what is shown, so that nothing is not "−0".
        let shown = format!("{:+.digits$}", g.gain);
        let nothing = shown.trim_start_matches(['+', '-', '0', '.']).is_empty();
        let shown = if nothing { "0".to_owned() } else { shown };
        format!("{}{unit} ± {:.digits$}{unit} ({})", shown.replace('-', "−"), g.standard_error, g.verdict)
    };
    let all: Vec<String> = skill.iter().map(|(name, g)| format!("{name} {}", of(g))).collect();
    format!("Gain on each, with its standard error over {squares} squares of ground: {}.", all.join("; "))
}

/// What went in.
pub(super) fn provenance(version: &str, hashes: &[(&str, &str)]) -> String {
    let all: Vec<String> = hashes.iter().map(|(what, hash)| format!("{what} {hash}")).collect();
    format!("forebore {version}; content of {}.", all.join(", "))
}
