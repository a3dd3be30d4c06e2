//! What the three stages may lose, one reading at a time. `row` picks the row
//! of a log, a test or a table, counted round.

use forebore::survey::{Inspected, Parameter, Progress, Survey, TestReading};

pub type Loss = (&'static str, fn(&mut Survey, usize));

pub fn log(survey: &mut Survey, row: usize, change: impl FnOnce(&mut Progress)) {
    let rows = &mut survey.drilling.progress;
    let n = rows.len();
    if let Some(row) = rows.get_mut(row % n.max(1)) {
        change(row);
    }
}

pub fn test(survey: &mut Survey, row: usize, change: impl FnOnce(&mut TestReading)) {
    let rows = &mut survey.handover.test;
    let n = rows.len();
    // A stride, so that twelve numbers reach early, late and rising levels.
    if let Some(row) = rows.get_mut((row * 5) % n.max(1)) {
        change(row);
    }
}

pub fn parameter(row: usize) -> Parameter {
    Parameter::ALL[row % Parameter::ALL.len()]
}

pub fn question(row: usize) -> Inspected {
    Inspected::ALL[row % Inspected::ALL.len()].0
}

pub const LOSSES: &[Loss] = &[
    ("the method", |s, _| s.drilling.method = None),
    ("the hole's diameter", |s, _| s.drilling.hole_mm = None),
    ("temporary casing", |s, _| s.drilling.casing = None),
    ("the agreed depth", |s, _| s.drilling.agreed_depth_m = None),
    ("the hole's level", |s, _| s.drilling.water_level_m = None),
    ("the day of that level", |s, _| s.drilling.measured = None),
    ("minutes", |s, row| log(s, row, |r| r.minutes = None)),
    ("material", |s, row| log(s, row, |r| r.material = None)),
    ("hardness", |s, row| log(s, row, |r| r.hardness = None)),
    ("fluid loss", |s, row| log(s, row, |r| r.fluid_loss = None)),
    ("litres of fluid lost", |s, row| log(s, row, |r| r.fluid_loss_l_per_m = None)),
    ("water strike", |s, row| log(s, row, |r| r.water_strike = None)),
    ("flow", |s, row| log(s, row, |r| r.flows_out = None)),
    ("caving", |s, row| log(s, row, |r| r.caving = None)),
    ("gas", |s, row| log(s, row, |r| r.gas = None)),
    ("salt", |s, row| log(s, row, |r| r.ec_us_cm = None)),
    ("the whole log", |s, _| s.drilling.progress.clear()),
    ("the casing's depth", |s, _| s.completion.depth_m = None),
    ("the casing's diameter", |s, _| s.completion.casing_mm = None),
    ("the screen's top", |s, _| s.completion.screen_top_m = None),
    ("the screen's bottom", |s, _| s.completion.screen_bottom_m = None),
    ("the pack's top", |s, _| s.completion.pack_top_m = None),
    ("the clay's top", |s, _| s.completion.clay_top_m = None),
    ("the clay's bottom", |s, _| s.completion.clay_bottom_m = None),
    ("the sanitary seal", |s, _| s.completion.sanitary_seal_m = None),
    ("development", |s, _| s.completion.developed_hours = None),
    ("sand", |s, _| s.completion.clear_of_sand = None),
    ("the pump", |s, _| s.handover.pump = None),
    ("the pump's depth", |s, _| s.handover.pump_depth_m = None),
    ("the level at rest", |s, _| s.handover.rest_level_m = None),
    ("whether it was bailed", |s, _| s.handover.bailed = None),
    ("a level of the test", |s, row| test(s, row, |r| r.level_m = None)),
    ("the first rate", |s, _| s.handover.test.iter_mut().take(1).for_each(|r| r.rate_lps = None)),
    ("the stop", |s, _| {
        s.handover.test.iter_mut().filter(|r| r.rate_lps.as_ref().is_some_and(|q| q.value <= 0.0)).for_each(
            |r| {
                r.rate_lps = None;
            },
        );
    }),
    ("a row of the test", |s, row| {
        let n = s.handover.test.len();
        // The first row and that of the stop carry the rates.
        let at = (row * 5) % n.max(1);
        if s.handover.test.get(at).is_some_and(|r| r.rate_lps.is_none()) {
            s.handover.test.remove(at);
        }
    }),
    ("the whole test", |s, _| s.handover.test.clear()),
    ("the day of sampling", |s, _| s.handover.sampled = None),
    ("quality", |s, row| {
        s.handover.quality.remove(&parameter(row));
    }),
    ("the day of disinfection", |s, _| s.handover.disinfected = None),
    ("the dose", |s, _| s.handover.dose_mg_l = None),
    ("the contact", |s, _| s.handover.contact_h = None),
    ("the smell", |s, _| s.handover.smell_gone = None),
    ("the apron", |s, _| s.handover.apron_m = None),
    ("the caretaker", |s, _| s.handover.caretaker_trained = None),
    ("an answer of the inspection", |s, row| {
        s.handover.inspection.remove(&question(row));
    }),
    ("the whole inspection", |s, _| s.handover.inspection.clear()),
    ("the neighbours' levels", |s, row| {
        let n = s.wells.len();
        if let Some(well) = s.wells.get_mut(row % n.max(1)) {
            well.water_level_m = None;
        }
    }),
    ("the people", |s, _| s.need.people = None),
    ("animals and gardens", |s, _| s.need.other_litres_per_day = None),
];
