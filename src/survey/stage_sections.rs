//! `[drilling]`, `[completion]` and `[handover]` of a survey: what is written
//! down once work has begun.

use std::collections::BTreeMap;

use super::cells::Cells;
use super::faults::{Faults, WrittenIn};
use super::keys::{RecordKind, WELL_KEYS};
use super::toml_record::{quality, rows};
use super::toml_table::{Table, no_advice};
use super::toml_value::Bounds;
use super::{Completion, Drilling, HandOver, Inspected, Parameter, Reading, Seen, stage_entry};
use crate::diag::{Level, Problems};

const fn bounds(unit: &'static str, least: f64, most: f64) -> Bounds {
    Bounds { unit, least, most }
}

/// The deepest that is believed of a hole, metres.
const DEPTH: Bounds = bounds("m", 0.0, 2_000.0);
const DIAMETER: Bounds = bounds("mm", 10.0, 5_000.0);

pub(crate) fn drilling(top: &mut Table<'_>, problems: &mut Problems) -> Drilling {
    let Some(mut table) = top.section("drilling", problems) else { return Drilling::default() };
    let help = "Write [[drilling.progress]] with depth_m = …, once for each stretch drilled.";
    let log = rows(&mut table, "progress", help, RecordKind::Progress, problems);
    let drilling = Drilling {
        method: table.word("method", problems),
        started: table.date("started", problems),
        hole_mm: table.number("hole_mm", DIAMETER, problems),
        casing: table.word("casing", problems),
        agreed_depth_m: table.number("agreed_depth_m", DEPTH, problems),
        water_level_m: table.number("water_level_m", DEPTH, problems),
        measured: table.date("measured", problems),
        progress: stage_entry::progress(&log, WrittenIn::Survey, problems).used,
    };
    table.finish(no_advice, problems);
    drilling
}

pub(crate) fn completion(top: &mut Table<'_>, problems: &mut Problems) -> Completion {
    let Some(mut table) = top.section("completion", problems) else { return Completion::default() };
    let completion = Completion {
        depth_m: table.number("depth_m", DEPTH, problems),
        casing_mm: table.number("casing_mm", DIAMETER, problems),
        screen_top_m: table.number("screen_top_m", DEPTH, problems),
        screen_bottom_m: table.number("screen_bottom_m", DEPTH, problems),
        pack_top_m: table.number("pack_top_m", DEPTH, problems),
        clay_top_m: table.number("clay_top_m", DEPTH, problems),
        clay_bottom_m: table.number("clay_bottom_m", DEPTH, problems),
        sanitary_seal_m: table.number("sanitary_seal_m", DEPTH, problems),
        developed_hours: table.number("developed_hours", bounds("h", 0.0, 1_000.0), problems),
        clear_of_sand: table.yes_no("clear_of_sand", problems),
    };
    table.finish(no_advice, problems);
    let c = &completion;
    let pairs = [
        (&c.screen_top_m, &c.screen_bottom_m, "the screen"),
        (&c.screen_bottom_m, &c.depth_m, "the casing below the screen"),
        (&c.clay_top_m, &c.clay_bottom_m, "the clay seal"),
    ];
    for (above, below, what) in pairs {
        if let (Some(above), Some(below)) = (above, below)
            && above.value > below.value
        {
            let message =
                format!("{what} would end at {} m, above {} m where it begins", below.value, above.value);
            let help = "Depths count downwards from the ground; check which of the two was meant.";
            problems.error("upside-down", below.from.clone(), message, help);
        }
    }
    completion
}

pub(crate) fn handover(top: &mut Table<'_>, problems: &mut Problems) -> HandOver {
    let Some(mut table) = top.section("handover", problems) else { return HandOver::default() };
    let help = "Write [[handover.test]] with time_min, level_m and rate_lps, once for each reading.";
    let test = rows(&mut table, "test", help, RecordKind::Test, problems);
    let handover = HandOver {
        pump: table.text("pump", problems),
        pump_depth_m: table.number("pump_depth_m", DEPTH, problems),
        rest_level_m: table.number("rest_level_m", DEPTH, problems),
        bailed: table.yes_no("bailed", problems),
        test: stage_entry::test(&test, WrittenIn::Survey, problems).used,
        sampled: table.date("sampled", problems),
        quality: own_quality(&mut table, problems),
        disinfected: table.date("disinfected", problems),
        dose_mg_l: table.number("dose_mg_l", bounds("mg/L", 0.0, 100_000.0), problems),
        contact_h: table.number("contact_h", bounds("h", 0.0, 1_000.0), problems),
        smell_gone: table.yes_no("smell_gone", problems),
        apron_m: table.number("apron_m", bounds("m", 0.0, 20.0), problems),
        caretaker_trained: table.yes_no("caretaker_trained", problems),
        inspection: inspection(&mut table, problems),
    };
    table.finish(no_advice, problems);
    if let (Some(sampled), Some(disinfected)) = (&handover.sampled, &handover.disinfected)
        && sampled.value < disinfected.value
    {
        let message = format!(
            "the water was taken on {}, before the well was disinfected on {}",
            sampled.value, disinfected.value
        );
        let help = "What was found then says nothing of germs now; take water again.";
        problems.add(Level::Warning, "sampled-before", sampled.from.clone(), message, help);
    }
    handover
}

fn own_quality(table: &mut Table<'_>, problems: &mut Problems) -> BTreeMap<Parameter, Seen<Reading>> {
    let record = quality(table, problems);
    let cells = Cells::new(&record, &[WELL_KEYS]);
    let mut faults = Faults::new(WrittenIn::Survey);
    let each = Parameter::ALL.into_iter().filter_map(|parameter| {
        Some((parameter, cells.reading(&format!("quality.{}", parameter.key()), &mut faults)?))
    });
    let readings = each.collect();
    faults.give(problems);
    readings
}

fn inspection(table: &mut Table<'_>, problems: &mut Problems) -> BTreeMap<Inspected, Seen<bool>> {
    let Some(mut inner) = table.table("inspection", problems) else { return BTreeMap::new() };
    let answers = Inspected::ALL
        .into_iter()
        .filter_map(|(question, key)| Some((question, inner.yes_no(key, problems)?)))
        .collect();
    inner.finish(no_advice, problems);
    answers
}
