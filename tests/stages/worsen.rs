//! Readings made worse. Each names the rules for which the reading says
//! something good as well, and which may therefore improve.

use forebore::survey::{FluidLoss, HoleCasing, Reading, Seen, Survey};

use super::lose::{log, parameter, question, test};

/// What is worse, how it is made so by a share, and the rules it may help.
pub type Worse = (&'static str, fn(&mut Survey, usize, f64), &'static [&'static str]);

fn add(seen: &mut Option<Seen<f64>>, by: f64) {
    if let Some(seen) = seen {
        seen.value = (seen.value + by).max(0.0);
    }
}

fn more(reading: &mut Seen<Reading>, by: f64, least: f64) {
    let value = reading.value.value * (1.0 + 20.0 * by) + least;
    reading.value = Reading { value, below: false };
}

fn say(seen: &mut Option<Seen<bool>>, value: bool) {
    if let Some(seen) = seen {
        seen.value = value;
    }
}

/// Other ground where some was written down.
fn ground(row: &mut forebore::survey::Progress, material: &str) {
    row.material.iter_mut().for_each(|m| *m = material.to_owned());
    row.hardness = None;
}

pub const WORSE: &[Worse] = &[
    ("a deeper level in the hole", |s, _, by| add(&mut s.drilling.water_level_m, 12.0 * by), &[]),
    ("more minutes", |s, row, by| log(s, row, |r| add(&mut r.minutes, 900.0 * by)), &[]),
    ("a depth agreed less deep", |s, _, by| add(&mut s.drilling.agreed_depth_m, -20.0 * by), &[]),
    (
        "less casing",
        |s, _, _| {
            if let Some(casing) = &mut s.drilling.casing {
                casing.value =
                    if casing.value == HoleCasing::Set { HoleCasing::AtHand } else { HoleCasing::None };
            }
        },
        &[],
    ),
    ("caving", |s, row, _| log(s, row, |r| say(&mut r.caving, true)), &[]),
    ("gas", |s, row, _| log(s, row, |r| say(&mut r.gas, true)), &[]),
    ("flow", |s, row, _| log(s, row, |r| say(&mut r.flows_out, true)), &[]),
    (
        "more fluid lost",
        |s, row, by| {
            log(s, row, |r| {
                add(&mut r.fluid_loss_l_per_m, 40.0 * by);
                if let Some(loss) = &mut r.fluid_loss {
                    loss.value =
                        if loss.value == FluidLoss::None { FluidLoss::Some } else { FluidLoss::Total };
                }
            })
        },
        &[],
    ),
    (
        "granite on the way",
        |s, row, _| log(s, row, |r| ground(r, "fresh granite")),
        &["hole-running-sand", "hole-boulders", "hole-bottom"],
    ),
    (
        "granite at the bottom",
        |s, _, _| {
            s.drilling
                .progress
                .last_mut()
                .into_iter()
                .for_each(|r| r.material = Some("fresh granite".to_owned()));
        },
        &["hole-running-sand", "hole-boulders"],
    ),
    (
        "clay instead",
        |s, row, _| log(s, row, |r| ground(r, "stiff clay")),
        &["hole-running-sand", "hole-boulders", "hole-bottom"],
    ),
    (
        "saltier water",
        |s, row, by| {
            log(s, row, |r| {
                r.ec_us_cm.iter_mut().for_each(|ec| more(ec, by, 0.0));
            })
        },
        &[],
    ),
    ("a seal less deep", |s, _, by| add(&mut s.completion.sanitary_seal_m, -6.0 * by), &[]),
    ("a pack less high", |s, _, by| add(&mut s.completion.pack_top_m, 3.0 * by), &[]),
    ("a clay seal less thick", |s, _, by| add(&mut s.completion.clay_top_m, by), &[]),
    ("casing less long", |s, _, by| add(&mut s.completion.depth_m, -by), &[]),
    (
        "casing less narrow",
        |s, _, by| add(&mut s.completion.casing_mm, 30.0 * by),
        &["tested-yield", "least-yield", "pump-setting"],
    ),
    ("less development", |s, _, by| add(&mut s.completion.developed_hours, -4.0 * by), &[]),
    ("sand", |s, _, _| say(&mut s.completion.clear_of_sand, false), &[]),
    (
        "a screen that ends higher",
        |s, _, by| add(&mut s.completion.screen_bottom_m, -4.0 * by),
        &["annulus-and-sump"],
    ),
    ("a pump less deep", |s, _, by| add(&mut s.handover.pump_depth_m, -6.0 * by), &[]),
    // Deeper while it is pumped, so much more has come back afterwards.
    (
        "a deeper level in the test",
        |s, row, by| {
            // Bailed deeper and as high again afterwards, the well fills faster.
            let bailed = s.handover.bailed.as_ref().is_some_and(|b| b.value);
            let stop = s.handover.test.iter().rev().find(|r| r.rate_lps.is_some()).map(|r| r.time_min);
            test(s, row, |r| {
                let pumped = !bailed && r.time_min > 0.0;
                if pumped || stop.is_some_and(|stop| r.time_min > stop) {
                    add(&mut r.level_m, 5.0 * by);
                }
            });
        },
        &["recovery"],
    ),
    (
        "a lower rate",
        |s, _, by| {
            s.handover.test.iter_mut().for_each(|r| {
                if let Some(rate) = &mut r.rate_lps {
                    rate.value *= 1.0 - 0.9 * by;
                }
            });
        },
        &[],
    ),
    (
        "more of a poison",
        |s, row, by| {
            s.handover.quality.entry(parameter(row)).and_modify(|r| more(r, by, 0.0));
        },
        &[],
    ),
    (
        "germs",
        |s, _, by| {
            s.handover.quality.entry(forebore::survey::Parameter::Ecoli).and_modify(|r| more(r, by, 1.0));
        },
        &[],
    ),
    ("a weaker dose", |s, _, by| add(&mut s.handover.dose_mg_l, -90.0 * by), &[]),
    ("less time", |s, _, by| add(&mut s.handover.contact_h, -20.0 * by), &[]),
    ("a smell", |s, _, _| say(&mut s.handover.smell_gone, false), &[]),
    ("a smaller apron", |s, _, by| add(&mut s.handover.apron_m, -by), &[]),
    ("no caretaker", |s, _, _| say(&mut s.handover.caretaker_trained, false), &[]),
    (
        "a risk seen",
        |s, row, _| {
            s.handover.inspection.entry(question(row)).and_modify(|a| a.value = true);
        },
        &[],
    ),
    ("more people", |s, _, by| add(&mut s.need.people, 2_000.0 * by), &[]),
];
