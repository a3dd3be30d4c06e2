//! The cautions for the people who will dig, drill and drink.

use super::model::Caution;

/// What every report says, whatever the verdict.
pub const DEFERS: &str = "This report advises; it certifies nothing. Local codes and the judgement of licensed \
    practitioners decide: where they are stricter, they hold. Show it to the authority before money is spent.";

/// A caution: when it is shown, what it says, where it is from.
struct Row {
    /// A rule whose finding, when it is not clear, brings this caution to
    /// the top.
    rule: &'static str,
    text: &'static str,
    source: &'static str,
}

const ROWS: &[Row] = &[
    Row {
        rule: "overhead-line",
        text: "Treat every overhead wire as live. Never raise a tower, tripod or pipe where it could touch or \
               fall on one; only the line's owner can say that it is safe.",
        source: "OSHA 29 CFR 1926.1408 table A for clearances; common practice of the trade",
    },
    Row {
        rule: "buried-service",
        text: "Ask the owners of pipes and cables before breaking ground, and dig the first metre by hand.",
        source: "common practice",
    },
    Row {
        rule: "unexploded-ordnance",
        text: "Where there was fighting, touch nothing and break no ground until the mine-action authority has \
               answered.",
        source: "common practice",
    },
    Row {
        rule: "old-open-well",
        text: "Never enter a well or pit, not to fetch a tool and not to rescue: bad air kills, and most who die \
               went in to help. Keep engines away from the mouth.",
        source: "NIOSH on confined spaces: would-be rescuers are more than 60 % of the dead",
    },
    Row {
        rule: "working-room",
        text: "Set the tower on firm, level feet with guys; nobody stands under a raised string; helmets, boots \
               and gloves; look over ropes every day; stop in lightning or strong wind.",
        source: "common practice",
    },
    Row {
        rule: "running-sand",
        text: "An open hole or pit can fall in. Keep people back from its edge, and never dig by hand below water \
               without lining and licensed help.",
        source: "common practice",
    },
    Row {
        rule: "",
        text: "Cover every open hole and mud pit whenever nobody stands by it, fence it from children, and fill and \
               seal a failed hole from the bottom on the same day.",
        source: "Supreme Court of India, order of 2010 on abandoned bore wells; common practice",
    },
    Row {
        rule: "",
        text: "Work early and in shade; each person drinks about a cup of water every 15 to 20 minutes in the heat.",
        source: "CDC/NIOSH on heat stress: 0.24 L every 15 to 20 minutes",
    },
    Row {
        rule: "",
        text: "Handle chlorine in the open air with gloves and goggles: powder into water, never with acid or fuel, \
               out of reach of children.",
        source: "common practice",
    },
    Row {
        rule: "",
        text: "Nobody drinks from the well before it is disinfected and its water has been tested and found fit.",
        source: "WHO Guidelines for Drinking-water Quality; common practice",
    },
];

/// All cautions, those of findings that are not clear first.
pub fn cautions(not_clear: impl Fn(&str) -> bool) -> Vec<Caution> {
    let shown = |row: &&Row| !row.rule.is_empty() && not_clear(row.rule);
    let first = ROWS.iter().filter(shown);
    let rest = ROWS.iter().filter(|r| !shown(r));
    let told = |r: &Row, called_for| Caution { text: tidy(r.text), source: r.source.to_owned(), called_for };
    first.map(|r| told(r, true)).chain(rest.map(|r| told(r, false))).collect()
}

fn tidy(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
