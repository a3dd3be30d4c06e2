//! The cautions for the people who will dig, drill and drink.

use std::ops::RangeInclusive;

use super::model::Caution;
use crate::survey::Stage;

/// What every report says, whatever the verdict.
pub const DEFERS: &str = "This report advises; it certifies nothing. Local codes and the judgement of licensed \
    practitioners decide: where they are stricter, they hold. Show it to the authority before money is spent.";

/// A caution: when it is shown, what it says, where it is from.
struct Row {
    /// Rules whose finding, when it is not clear, brings this caution to the
    /// top.
    rules: &'static [&'static str],
    /// The stages at which it is shown.
    stages: RangeInclusive<Stage>,
    text: &'static str,
    source: &'static str,
}

const ALWAYS: RangeInclusive<Stage> = Stage::DeskStudy..=Stage::HandOver;
const WHILE_DRILLING: RangeInclusive<Stage> = Stage::Drilling..=Stage::Completion;
const AT_THE_END: RangeInclusive<Stage> = Stage::Completion..=Stage::HandOver;

const ROWS: &[Row] = &[
    Row {
        rules: &["overhead-line"],
        stages: ALWAYS,
        text: "Treat every overhead wire as live. Never raise a tower, tripod or pipe where it could touch or \
               fall on one; only the line's owner can say that it is safe.",
        source: "OSHA 29 CFR 1926.1408 table A for clearances; common practice of the trade",
    },
    Row {
        rules: &["buried-service"],
        stages: ALWAYS,
        text: "Ask the owners of pipes and cables before breaking ground, and dig the first metre by hand.",
        source: "common practice",
    },
    Row {
        rules: &["unexploded-ordnance"],
        stages: ALWAYS,
        text: "Where there was fighting, touch nothing and break no ground until the mine-action authority has \
               answered.",
        source: "common practice",
    },
    Row {
        rules: &["old-open-well"],
        stages: ALWAYS,
        text: "Never enter a well or pit, not to fetch a tool and not to rescue: bad air kills, and most who die \
               went in to help. Keep engines away from the mouth.",
        source: "NIOSH on confined spaces: would-be rescuers are more than 60 % of the dead",
    },
    Row {
        rules: &["working-room"],
        stages: ALWAYS,
        text: "Set the tower on firm, level feet with guys; nobody stands under a raised string; helmets, boots \
               and gloves; look over ropes every day; stop in lightning or strong wind.",
        source: "common practice",
    },
    Row {
        rules: &["running-sand"],
        stages: ALWAYS,
        text: "An open hole or pit can fall in. Keep people back from its edge, and never dig by hand below water \
               without lining and licensed help.",
        source: "common practice",
    },
    Row {
        rules: &[],
        stages: ALWAYS,
        text: "Cover every open hole and mud pit whenever nobody stands by it, fence it from children, and fill and \
               seal a failed hole from the bottom on the same day.",
        source: "Supreme Court of India, order of 2010 on abandoned bore wells; common practice",
    },
    Row {
        rules: &[],
        stages: ALWAYS,
        text: "Work early and in shade; each person drinks about a cup of water every 15 to 20 minutes in the heat.",
        source: "CDC/NIOSH on heat stress: 0.24 L every 15 to 20 minutes",
    },
    Row {
        rules: &[],
        stages: ALWAYS,
        text: "Handle chlorine in the open air with gloves and goggles: powder into water, never with acid or fuel, \
               out of reach of children.",
        source: "common practice",
    },
    Row {
        rules: &[],
        stages: ALWAYS,
        text: "Nobody drinks from the well before it is disinfected and its water has been tested and found fit.",
        source: "WHO Guidelines for Drinking-water Quality; common practice",
    },
    Row {
        rules: &["artesian-flow"],
        stages: WHILE_DRILLING,
        text: "Water that flows out of a hole by itself can wash the ground away under people's feet. Stop, keep \
               back from the edge, and call the water authority and a licensed crew; never try to plug it by hand.",
        source: "common practice",
    },
    Row {
        rules: &["hole-gas"],
        stages: WHILE_DRILLING,
        text: "At a smell of gas, or bubbles: engines off, no flame, everybody upwind, no head over the hole, until \
               somebody who can measure it has cleared it.",
        source: "common practice",
    },
    Row {
        rules: &["hole-caving", "hole-running-sand", "progress"],
        stages: WHILE_DRILLING,
        text: "Hands, hair, scarves and loose clothes stay away from whatever turns, swings or runs over a pulley; \
               nobody steps over a tight rope; one person alone gives the signs; let the pressure down before a hose \
               is opened.",
        source: "common practice",
    },
    Row {
        rules: &["case-here", "water-in-hole", "hole-bottom", "progress", "hole-salt", "lost-fluid"],
        stages: WHILE_DRILLING,
        text: "A hole that is given up is filled and sealed the same day, or it swallows a child or fouls the \
               groundwater: measure its depth, fill it from the bottom up through a pipe, clean sand or gravel where \
               it bore water and clay where it did not, tamp clay or cement grout into the top 3 m, round the top \
               off, and write down where it lies. The authority may ask for more.",
        source: "Supreme Court of India, order of 2010: abandoned bore wells filled from bottom to top; Ghana LI 1827 \
                 (2006) regulates the abandonment of dry holes; which fill at which depth from memory and common \
                 practice",
    },
    Row {
        rules: &["disinfection"],
        stages: AT_THE_END,
        text: "While chlorine stands in the well the pump is locked and somebody tells the users. Pump it out to \
               waste, away from fields, ponds and fish.",
        source: "common practice",
    },
];

/// All cautions of a stage, those of findings that are not clear first.
pub fn cautions(stage: Stage, not_clear: impl Fn(&str) -> bool) -> Vec<Caution> {
    let rows = || ROWS.iter().filter(|row| row.stages.contains(&stage));
    let shown = |row: &&Row| row.rules.iter().any(|rule| not_clear(rule));
    let first = rows().filter(shown);
    let rest = rows().filter(|r| !shown(r));
    let told = |r: &Row, called_for| Caution { text: tidy(r.text), source: r.source.to_owned(), called_for };
    first.map(|r| told(r, true)).chain(rest.map(|r| told(r, false))).collect()
}

fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::super::messages::{Language, Messages};
    use super::*;
    use crate::rules::RuleSet;

    fn texts(stage: Stage, bad: &str) -> Vec<String> {
        cautions(stage, |rule| rule == bad).into_iter().map(|c| c.text).collect()
    }

    #[test]
    fn how_to_fill_a_hole_is_told_while_there_is_one_to_fill() {
        let filling =
            |stage| texts(stage, "").iter().any(|t| t.contains("from the bottom up through a pipe"));
        assert!(filling(Stage::Drilling) && filling(Stage::Completion));
        assert!(!filling(Stage::Mobilisation) && !filling(Stage::HandOver));
    }

    #[test]
    fn every_caution_has_its_french() {
        let m = Messages::of(Language::French);
        let defers = tidy(DEFERS);
        for text in ROWS.iter().map(|row| tidy(row.text)).chain([defers]) {
            assert!(!m.told(&text).own_words, "{text}");
        }
    }

    #[test]
    fn what_was_found_comes_first() {
        assert!(texts(Stage::Drilling, "artesian-flow")[0].contains("flows out of a hole"));
        assert!(texts(Stage::Completion, "water-in-hole")[0].contains("is given up"));
    }

    #[test]
    fn no_caution_waits_for_a_rule_that_does_not_exist() {
        let rules = RuleSet::built_in(&mut crate::diag::Sources::new(), &mut crate::diag::Problems::new());
        for rule in ROWS.iter().flat_map(|row| row.rules) {
            assert!(rules.rules.iter().any(|r| r.id == *rule), "{rule}");
        }
    }
}
