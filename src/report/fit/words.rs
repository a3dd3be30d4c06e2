//! The sentences of a fit.

use crate::tune::fit::{Fit, Interval, LogShare, Proposed, Topic};

pub(super) fn head(fit: &Fit) -> String {
    let proposed: usize = fit.topics.iter().map(|t| t.figures.len() + t.logs.len()).sum();
    let not: usize = fit.topics.iter().map(|t| t.not_proposed.len()).sum();
    format!(
        "Proposed by forebore {} for a trainer to review: {proposed} figures fitted to {}, read by {}, over the \
         setting {} ({}); {not} not proposed, each with the reason. Nothing here is in force before somebody names \
         this file.",
        fit.forebore,
        named(&fit.records.name, &fit.records.hash),
        named(&fit.map.name, &fit.map.hash),
        fit.region.id,
        fit.region.hash
    )
}

pub(super) fn bear_in_mind(fit: &Fit) -> Vec<String> {
    let mut all = vec![
        format!(
            "Each figure has its 95 % interval, the wells behind it and the value in force. \"Differs by more than \
             chance\" means that the value in force lies outside the interval, and no more: about one figure in \
             twenty does so by chance alone."
        ),
        format!(
            "Wells of one square of {} m are not counted as independent (fit_square_m). Where wells resemble each \
             other over longer ways than that, and nothing is said of it below, the intervals are too narrow.",
            fit.square_m
        ),
        "An interval tells how far chance goes, not whether these wells are like those to be drilled: who drilled \
         them, where, how deep and in which year is yours to judge. Failed holes are seldom written down."
            .to_owned(),
        "Columns known only after drilling were used: here the outcome is what is fitted.".to_owned(),
        "Try the file on other records than these (forebore backtest); on these it has seen the answers.".to_owned(),
    ];
    if fit.region.id == crate::region::UNSTATED {
        all.push(
            "No setting was named, so the defaults stand beneath. Whoever names this file says that the kind of \
             ground is known: better fit over the setting that is meant (--region NAME)."
                .to_owned(),
        );
    }
    all
}

pub(super) fn title(fit: &Fit) -> String {
    let title = if fit.region.id == crate::region::UNSTATED { "no setting" } else { &fit.region.title };
    format!("Fitted to {}, over: {title}", fit.records.name)
}

pub(super) fn about(fit: &Fit, base: Option<&str>) -> String {
    let fitted = "Figures of the basis local records are proposals fitted to records of wells; they hold for the \
                  ground of those wells.";
    match base {
        Some(base) => format!("{} {fitted}", base.trim()),
        None => format!("No setting was named beneath ({}). {fitted}", fit.region.id),
    }
}

fn named(name: &str, hash: &str) -> String {
    format!("{name} (sha256 {hash})")
}

fn unit(unit: &str) -> String {
    if unit == "1" { String::new() } else { format!(" {unit}") }
}

fn interval(i: &Interval, name: &str) -> String {
    match i.high {
        Some(high) => format!("{} to {high}{}", i.low, unit(name)),
        None => format!("{}{} or more, the high end not known", i.low, unit(name)),
    }
}

fn wells(f: &Proposed) -> String {
    match f.independent {
        Some(n) => format!("{} wells that count as {n:.0} independent ones", f.wells),
        None => format!("{} wells", f.wells),
    }
}

pub(super) fn beside(f: &Proposed) -> String {
    let (Some(now), Some(differs)) = (f.now, f.differs) else { return f.name.clone() };
    let from = f.now_from.as_deref().unwrap_or("?");
    format!(
        "{}: {}{}, 95 % interval {}; {}. In force: {now}{} [{from}]. {}",
        f.name,
        f.value,
        unit(f.unit),
        interval(&f.interval, f.unit),
        wells(f),
        unit(f.unit),
        verdict(differs)
    )
}

fn verdict(differs: bool) -> &'static str {
    match differs {
        true => "Differs by more than chance.",
        false => "No further apart than chance: nothing asks for a change.",
    }
}

pub(super) fn source(fit: &Fit, f: &Proposed) -> String {
    format!(
        "Fitted to {} of {}: {}; 95 % interval {}",
        wells(f),
        named(&fit.records.name, &fit.records.hash),
        f.method.trim_end_matches('.'),
        interval(&f.interval, f.unit)
    )
}

pub(super) fn log_beside(log: &LogShare) -> String {
    let refuses = match log.refuses_m {
        Some(m) => format!("refuses at {m} m"),
        None => "refuses nowhere".to_owned(),
    };
    format!(
        "\"{}\", {refuses}: share {}, 95 % interval {}. In force: {} of 1. {}",
        log.name,
        log.share,
        interval(&log.interval, "1"),
        log.now,
        verdict(log.differs)
    )
}

pub(super) fn log_source(fit: &Fit, topic: &Topic, log: &LogShare) -> String {
    format!(
        "Share fitted to {} bores of {}: product-limit estimate of the depth of refusal, squares drawn anew; 95 % \
         interval {}. Layers: {}",
        topic.wells,
        named(&fit.records.name, &fit.records.hash),
        interval(&log.interval, "1"),
        log.source
    )
}
