//! Water quality of the neighbours: the worst of those near enough to matter.

use super::near::well_name;
use super::sheet::{Answer, Sheet};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::survey::{Parameter, Reading, Well};
use crate::units::{Combine, Estimate, Part, Unit};

pub(super) const WORKS: Works = &[
    ("neighbour_ec_us_cm", |s| worst(s, Parameter::Ec)),
    ("neighbour_arsenic_mg_l", |s| worst(s, Parameter::Arsenic)),
    ("neighbour_fluoride_mg_l", |s| worst(s, Parameter::Fluoride)),
    ("neighbour_nitrate_mg_l", |s| worst(s, Parameter::Nitrate)),
    ("neighbour_iron_mg_l", |s| worst(s, Parameter::Iron)),
    ("neighbour_manganese_mg_l", |s| worst(s, Parameter::Manganese)),
    ("neighbour_e_coli_cfu_100ml", |s| worst(s, Parameter::Ecoli)),
];

/// One colony in the sample of 100 mL.
pub(super) const ONE_GERM: f64 = 1.0;

/// The parameter in words, its unit, and how it is tested.
pub(super) fn about(parameter: Parameter) -> (&'static str, Unit, AskKind) {
    match parameter {
        Parameter::Ec => ("electrical conductivity", Unit::MicrosiemensPerCm, AskKind::FieldKit),
        Parameter::Arsenic => ("arsenic", Unit::MilligramPerLitre, AskKind::FieldKit),
        Parameter::Fluoride => ("fluoride", Unit::MilligramPerLitre, AskKind::FieldKit),
        Parameter::Nitrate => ("nitrate", Unit::MilligramPerLitre, AskKind::FieldKit),
        Parameter::Iron => ("iron", Unit::MilligramPerLitre, AskKind::FieldKit),
        Parameter::Manganese => ("manganese", Unit::MilligramPerLitre, AskKind::Laboratory),
        Parameter::Ecoli => ("E. coli", Unit::CfuPer100Ml, AskKind::Laboratory),
    }
}

/// Everything that one kind of test has still to tell of a well: the same ask
/// for each of them, since it is done in one go.
fn test_of(well: &Well, how: AskKind) -> String {
    let open = Parameter::ALL.into_iter().filter(|p| !well.quality.contains_key(p)).map(about);
    let names: Vec<_> = open.filter(|a| a.2 == how).map(|a| a.0).collect();
    let by = if how == AskKind::Laboratory { "Have a laboratory test" } else { "Test with a field kit" };
    format!("{by} the water of {} for {}.", well_name(well), names.join(", "))
}

/// The greatest reading of the neighbours. "Less than x" is anything from
/// nothing to x. One of the nearest few without a reading may have any value.
fn worst(s: &SiteFacts, parameter: Parameter) -> Answer {
    let (name, unit, how) = about(parameter);
    let mut sheet = Sheet::new();
    let near_few: Vec<usize> = s.nearest_around("quality_radius_m")?.iter().map(|c| c.id).collect();
    let around = s.around("quality_radius_m")?;
    let mut sure = Vec::new();
    let mut perhaps: Option<f64> = None;
    let mut untested = Vec::new();
    for c in &around {
        let Some(reading) = sheet.take_any(c.well.quality.get(&parameter)).copied() else {
            if near_few.contains(&c.id) {
                untested.push(c.well);
            }
            continue;
        };
        // Fewer than one germ in the sample is none.
        let none = parameter == Parameter::Ecoli && reading.below && reading.value <= ONE_GERM;
        let reading = if none { Reading { value: 0.0, below: false } } else { reading };
        let low = if reading.below { 0.0 } else { reading.value };
        let part = Part { low, value: f64::midpoint(low, reading.value), high: reading.value };
        if c.sure {
            sure.push((part, well_name(c.well)));
        } else {
            perhaps = Some(perhaps.map_or(part.high, |p: f64| p.max(part.high)));
            s.ask_where(&mut sheet, &c.well.position, &well_name(c.well));
        }
    }
    if sure.is_empty() {
        match untested.first() {
            Some(nearest) => sheet.ask(how, test_of(nearest, how)),
            None => sheet
                .ask(how, format!("Test the water of a well near the peg, or of a trial bore, for {name}.")),
        }
        return Ok(sheet.unknown());
    }
    for well in &untested {
        sheet.ask(how, test_of(well, how));
    }
    if let Some((_, name)) = sure.iter().max_by(|a, b| a.0.high.total_cmp(&b.0.high).then(b.1.cmp(&a.1))) {
        sheet.note(format!("greatest in {name}"));
    }
    let parts = sure.into_iter().map(|s| s.0).collect();
    let made = Estimate::combined(unit, Combine::Greatest, parts).map(|e| {
        let e = perhaps.map_or_else(|| e.clone(), |p| e.clone().perhaps_up_to(Some(p)));
        if !untested.is_empty() { e.perhaps_up_to(None) } else { e }
    });
    sheet.number(made)
}
