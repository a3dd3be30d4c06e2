//! Records written twice, in one file or in two, are kept once.

use std::collections::BTreeMap;

use super::{Hazard, Well};
use crate::diag::{Level, Origin, Problems};

/// Keeps the first of hazards that are the same in every value.
pub(crate) fn hazards_once(hazards: &mut Vec<Hazard>, problems: &mut Problems) {
    once(
        hazards,
        problems,
        "hazard",
        |h| &h.from,
        |h| {
            let pit = h.pit_depth_m.as_ref().map(|p| p.value);
            format!("{:?}", (h.kind, &h.name, &h.position, &h.shape, pit))
        },
    );
}

/// Keeps the first of wells that are the same in every value.
pub(crate) fn wells_once(wells: &mut Vec<Well>, problems: &mut Problems) {
    once(
        wells,
        problems,
        "well",
        |w| &w.from,
        |w| {
            let number = |seen: &Option<super::Seen<f64>>| seen.as_ref().map(|s| s.value);
            let made = w.made.as_ref().map(|s| s.value);
            let levels =
                (number(&w.water_level_m), number(&w.lowest_level_m), w.measured.as_ref().map(|s| s.value));
            let state = (
                w.season.as_ref().map(|s| s.value),
                w.outcome.as_ref().map(|s| s.value),
                w.pump_broken.as_ref().map(|s| s.value),
            );
            let water = (number(&w.yield_lps), number(&w.drawdown_m));
            let quality: Vec<_> = w.quality.iter().map(|(p, reading)| (*p, reading.value)).collect();
            let log: Vec<_> = w.log.iter().map(|l| (l.to_m, &l.material, &l.hardness)).collect();
            let height = (number(&w.elevation_m), number(&w.elevation_accuracy_m));
            let hole = (&w.name, &w.position, height, made, number(&w.depth_m));
            format!("{:?}", (hole, levels, state, water, quality, log))
        },
    );
}

fn once<T>(
    all: &mut Vec<T>,
    problems: &mut Problems,
    word: &str,
    from: impl Fn(&T) -> &Origin,
    values: impl Fn(&T) -> String,
) {
    let mut first: BTreeMap<String, Origin> = BTreeMap::new();
    all.retain(|record| {
        let (at, values) = (from(record), values(record));
        if let Some(earlier) = first.get(&values) {
            problems.add(
                Level::Warning,
                "repeated-record",
                at.clone(),
                format!("the same {word} as at {earlier}"),
                "It was kept once. Where there are two, give them names.",
            );
            return false;
        }
        first.insert(values, at.clone());
        true
    });
}
