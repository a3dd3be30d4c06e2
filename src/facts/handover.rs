//! What must be known before people drink: the well's own water, its
//! disinfection, how well it is closed off, and who looks after it.

use super::completion::said;
use super::quality::about;
use super::sheet::{Answer, Sheet, estimate};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::survey::{Inspected, Parameter, Seen};
use crate::units::{Estimate, Unit};

pub(super) const WORKS: Works = &[
    ("well_ec_us_cm", |s| own(s, Parameter::Ec)),
    ("well_arsenic_mg_l", |s| own(s, Parameter::Arsenic)),
    ("well_fluoride_mg_l", |s| own(s, Parameter::Fluoride)),
    ("well_nitrate_mg_l", |s| own(s, Parameter::Nitrate)),
    ("well_iron_mg_l", |s| own(s, Parameter::Iron)),
    ("well_manganese_mg_l", |s| own(s, Parameter::Manganese)),
    ("well_e_coli_cfu_100ml", |s| own(s, Parameter::Ecoli)),
    ("sampled_after_disinfection", sampled_after),
    ("disinfection_mg_l", |s| {
        let ask =
            "Disinfect the well with the dose that the design sheet gives, and write down the dose in mg/L.";
        figure(s.site.handover.dose_mg_l.as_ref(), Unit::MilligramPerLitre, ask)
    }),
    ("disinfection_h", |s| {
        let ask = "Write down for how many hours the chlorine stood in the well.";
        figure(s.site.handover.contact_h.as_ref(), Unit::Hour, ask)
    }),
    ("chlorine_smell_gone", |s| {
        let ask = "Pump the well until the smell of chlorine is gone, and write it down.";
        said(&s.site.handover.smell_gone, AskKind::Look, ask)
    }),
    ("inspection_yes_pct", inspection),
    ("apron_m", |s| {
        let ask = "Tape how far the apron reaches from the pump.";
        figure(s.site.handover.apron_m.as_ref(), Unit::Metre, ask)
    }),
    ("caretaker_trained", |s| {
        let ask = "Ask who looks after the pump and whether they were trained, and write it down.";
        said(&s.site.handover.caretaker_trained, AskKind::Ask, ask)
    }),
];

const HUNDRED: f64 = 100.0;

/// A reading of the well's own water. "Less than x" is anything from nothing
/// to x; fewer than one germ in the sample is none.
fn own(s: &SiteFacts, parameter: Parameter) -> Answer {
    let (name, unit, how) = about(parameter);
    let mut sheet = Sheet::new();
    let Some(reading) = sheet.take_any(s.site.handover.quality.get(&parameter)).copied() else {
        sheet.ask(how, format!("Test the water of the new well itself for {name}."));
        return Ok(sheet.unknown());
    };
    let none = parameter == Parameter::Ecoli && reading.below && reading.value <= super::quality::ONE_GERM;
    let high = if none { 0.0 } else { reading.value };
    let low = if reading.below { 0.0 } else { reading.value };
    sheet.number(Estimate::band(unit, low.min(high), f64::midpoint(low.min(high), high), high))
}

/// Whether the water was taken after the well was disinfected: germs found or
/// not found before say nothing of it.
fn sampled_after(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let sampled = sheet.take_any(s.site.handover.sampled.as_ref()).copied();
    let disinfected = sheet.take_any(s.site.handover.disinfected.as_ref()).copied();
    match sampled.zip(disinfected) {
        Some((sampled, disinfected)) => sheet.word(if sampled >= disinfected { "yes" } else { "no" }),
        None => {
            let ask =
                "Write down the day the well was disinfected and the day its water was taken for testing.";
            sheet.ask(AskKind::Write, ask);
            Ok(sheet.unknown())
        }
    }
}

fn figure(seen: Option<&Seen<f64>>, unit: Unit, ask: &str) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(seen).copied() {
        Some(x) => sheet.number(Estimate::exact(unit, x)),
        None => {
            sheet.ask(AskKind::Write, ask);
            Ok(sheet.unknown())
        }
    }
}

/// Share of the questions of the sanitary inspection that were answered with
/// yes, a risk; a question that was not answered may be one.
fn inspection(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let (mut yes, mut open) = (0_u32, 0_u32);
    for (question, _) in Inspected::ALL {
        match sheet.take_any(s.site.handover.inspection.get(&question)) {
            Some(true) => {
                yes += 1;
                sheet.note(format!("yes: {}", question.question()));
            }
            Some(false) => {}
            None => {
                open += 1;
                sheet.ask(AskKind::Look, format!("Look, and write down yes or no: {}?", question.question()));
            }
        }
    }
    let all = u32::try_from(Inspected::ALL.len()).unwrap_or(1);
    if open == all {
        return Ok(sheet.unknown());
    }
    let pct = |n: u32| f64::from(n) / f64::from(all) * HUNDRED;
    let value = (open == 0).then(|| pct(yes));
    sheet.number(estimate(Unit::Percent, Some(pct(yes)), value, Some(pct(yes + open))))
}
