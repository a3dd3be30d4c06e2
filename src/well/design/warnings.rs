//! What to mind in the work that the sheet describes, what hurts people
//! first; and what the sheet assumed.

use crate::ground::{MaterialClass, Sure};
use crate::units::Unit;

use super::depths::Cases;
use super::figures::DesignFigures;
use super::inputs::{Circulation, DesignInputs, bears_water};
use super::lift::Enough;
use super::pack::{PackNeed, SlotFit};
use super::sheet::{Warning, WellDesignSheet};

/// Cautions of every well: what is said and where it is from.
const ALWAYS: &[(&str, &str)] = &[
    (
        "Never enter the hole, a well or a pit, not to fetch a tool and not to rescue.",
        "NIOSH on confined spaces: would-be rescuers are more than 60 % of the dead",
    ),
    (
        "Cover hole and pits whenever nobody stands by them, fence them from children, and fill the pits at the end.",
        "Supreme Court of India, order of 2010 on abandoned bore wells; common practice",
    ),
    (
        "Handle chlorine in the open air with gloves and goggles: powder into water, never water into powder, never with acid, ammonia or fuel, out of reach of children.",
        "common practice",
    ),
    (
        "Nobody drinks from the well before it is disinfected, the chlorine is pumped out and the water has been tested and found fit.",
        "WHO Guidelines for Drinking-water Quality; common practice",
    ),
    (
        "Cement burns skin and eyes: gloves, boots and water to wash with. Dust of clay and cement stays out of the lungs: mix up-wind, with the nose covered.",
        "common practice",
    ),
    ("Lift pipe with tripod and rope; nobody stands under a raised string.", "common practice"),
    (
        "Local codes and licensed practitioners decide on casing, seal and disinfection: where they ask more, that holds.",
        "common practice",
    ),
];

fn m(x: f64) -> String {
    Unit::Metre.show(x)
}

/// The warnings of a sheet.
pub(super) fn warnings(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    cases: &Cases,
    sheet: &WellDesignSheet,
) -> Vec<Warning> {
    let hurts =
        |text: &str, source: &str| Warning { hurts: true, text: text.to_owned(), source: source.to_owned() };
    let mut all: Vec<Warning> = wall(inputs, figures, sheet);
    all.extend(ALWAYS.iter().map(|(text, source)| hurts(text, source)));
    let mut minds = Vec::new();
    water(inputs, figures, cases, sheet, &mut minds);
    screen(inputs, cases, sheet, &mut minds);
    fluid(inputs, sheet, &mut minds);
    all.extend(minds.into_iter().map(|text| Warning {
        hurts: false,
        text,
        source: "common practice".to_owned(),
    }));
    all
}

/// Whether the hole stands.
fn wall(inputs: &DesignInputs, figures: &DesignFigures, sheet: &WellDesignSheet) -> Vec<Warning> {
    let mut all = Vec::new();
    let least = figures.fluid.head_least_m;
    let mut warn = |text: String| {
        all.push(Warning {
            hurts: true,
            text,
            source: "common practice: fluid 1 to 2 m above the ground's water, always".to_owned(),
        });
    };
    if matches!(inputs.method.circulation, Circulation::None) {
        warn("Below the water nothing holds the wall of this hole but temporary casing: set it before loose ground is opened, and keep people back from the edge.".to_owned());
        return all;
    }
    match sheet.drilling.wall.head_enough {
        Enough::Surely => {}
        Enough::Likely | Enough::Hardly => warn(format!(
            "In the wettest months a full hole stands less than {} above the ground's water and loose sand caves in: drill in the dry months, or raise the fluid with a stand-pipe or temporary casing.",
            m(least)
        )),
        Enough::No => warn(format!(
            "A full hole stands less than {} above the ground's water in any month: loose sand caves in unless the fluid is raised with a stand-pipe or temporary casing.",
            m(least)
        )),
    }
    if inputs.wet_level_m.low < 0.0 {
        warn("The water may rise above the ground in wet months: an open hole could flow. Drill only while it stands lower, with weighting material at hand.".to_owned());
    }
    all
}

fn water(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    cases: &Cases,
    sheet: &WellDesignSheet,
    minds: &mut Vec<String>,
) {
    if cases.worst.is_none() {
        minds.push(format!(
            "Should the driest level be at its deepest ({}), {} of this layer are left for a screen of {} and for the drawdown: the well may fail in dry years.",
            m(inputs.dry_level_m.high),
            m(cases.left_at_worst),
            m(figures.lengths.screen_least_m)
        ));
    }
    if cases.likely.screen_top < inputs.dry_level_m.high {
        minds.push(format!(
            "The screen begins at {}; should the driest level be at its deepest ({}), its upper part stands dry.",
            m(cases.likely.screen_top),
            m(inputs.dry_level_m.high)
        ));
    }
    let pumping = sheet.pipe.pumping_level_m.part();
    if pumping.high > cases.likely.screen_top {
        minds.push(format!(
            "Pumping may draw the water down to {}, into the screen, which begins at {}: it then takes in air and clogs. Test the yield before the pump is bought.",
            m(pumping.high),
            m(cases.likely.screen_top)
        ));
    }
    if sheet.pipe.intake_m.high > cases.likely.screen_top {
        minds.push(
            "The intake may have to hang opposite the slots: hang it as high as the test allows.".to_owned(),
        );
    }
    if pumping.high > inputs.lift.max_m {
        minds.push(format!(
            "The {} lifts from {} at most; pumping may draw the water down to {}.",
            inputs.lift.name,
            m(inputs.lift.max_m),
            m(pumping.high)
        ));
    }
}

fn screen(inputs: &DesignInputs, cases: &Cases, sheet: &WellDesignSheet, minds: &mut Vec<String>) {
    let e = &sheet.entrance;
    if !e.passes {
        minds.push(format!(
            "{} Or draw no more than {}, or take wider pipe or pipe with more slots.",
            e.velocity_m_per_s.says,
            Unit::LitrePerSecond.show(e.rate_allowed_lps)
        ));
    } else if let Some(tight) = e.tight_ground_limit_m_per_s.filter(|t| e.velocity_m_per_s.high > *t) {
        minds.push(format!(
            "Should the layer be as tight as ground of its kind may be, TI 814-01 (1998) allows {} through the slots: a longer screen is wanted then.",
            Unit::MetrePerSecond.show(tight)
        ));
    }
    match (sheet.grain.need, sheet.grain.slot_fits, &sheet.grain.slot_most_mm) {
        (_, SlotFit::TooWide | SlotFit::SieveFirst, Some(slot)) => minds.push(slot.says.clone()),
        (PackNeed::HoldsGround, _, None) => {
            minds.push("How coarse the ground is, is not known: buy no pack and no screen before a sample is sieved.".to_owned());
        }
        _ => {}
    }
    if let Some(layer) = bridged(inputs, cases) {
        minds.push(format!(
            "The pack would reach up through tight ground into {layer}: two layers with water are never joined. Keep the pack below the tight ground and seal it there."
        ));
    }
}

/// The water-bearing layer above that the pack would join to the aquifer.
fn bridged(inputs: &DesignInputs, cases: &Cases) -> Option<String> {
    let pack_top = cases.over(|d| d.pack_top).low;
    let above = inputs.layers.iter().take(inputs.aquifer).rev().take_while(|l| l.bottom_m > pack_top);
    let mut through_tight = false;
    for layer in above {
        match layer.may_be().are(bears_water) {
            Sure::No => through_tight = true,
            _ if through_tight => return Some(layer.may_be().to_string()),
            _ => {}
        }
    }
    None
}

fn fluid(inputs: &DesignInputs, sheet: &WellDesignSheet, minds: &mut Vec<String>) {
    let d = &sheet.drilling;
    if let Some(lift) = d.lift.as_ref().filter(|l| l.in_water.enough != Enough::Surely) {
        minds.push(lift.says.clone());
    }
    let pump = match inputs.method.circulation {
        Circulation::None => None,
        Circulation::Annulus { flow_lps, .. } | Circulation::InPipe { flow_lps, .. } => Some(flow_lps),
    };
    if let (Some(loss), Some(pump)) = (&d.loss, pump)
        && loss.water_lps.likely > pump.value
    {
        minds.push(format!(
            "Plain water runs into this ground at {}, faster than the pump brings it ({}): have clay, bran or husks at hand, and ask first whether this is the layer wanted.",
            Unit::LitrePerSecond.show(loss.water_lps.likely),
            Unit::LitrePerSecond.show(pump.value)
        ));
    }
    let runs = inputs
        .layers
        .iter()
        .take(inputs.aquifer + 1)
        .any(|l| l.may_be().contains(MaterialClass::RunningSand) && !l.may_be().is_unknown());
    if runs {
        minds.push("Sand on the way may run into the hole: keep it full to the brim, also while rods are changed, and have temporary casing at hand.".to_owned());
    }
    if d.clay_kg.high > 0.0 {
        minds.push("Natural mud or dung is never used from the layer wanted downwards; bentonite is thinned and washed out before the screen is developed.".to_owned());
    }
}

/// What the sheet assumed.
pub(super) fn assumed(inputs: &DesignInputs, sheet: &WellDesignSheet) -> Vec<String> {
    let mut all = vec![
        format!(
            "One picture of the ground: {} from {} to {}.",
            sheet.aquifer.ground,
            m(sheet.aquifer.top_m),
            m(sheet.aquifer.bottom_m)
        ),
        format!(
            "{} makes a hole of {} and reaches {}.",
            capital(inputs.method.method.name()),
            Unit::Millimetre.show(inputs.method.hole_mm),
            m(inputs.method.max_depth_m)
        ),
        "The casing stands in the middle of the hole, held by centralisers.".to_owned(),
    ];
    if !sheet.aquifer.surely_bears_water {
        all.push("That the layer bears water: ground like that does so only at times.".to_owned());
    }
    if !sheet.grain.sieved && sheet.grain.ground_mm.is_some() {
        all.push("The grains by the kind of ground alone; a sieved sample replaces them.".to_owned());
    }
    match inputs.method.circulation {
        Circulation::None => {}
        Circulation::Annulus { pipe_mm, flow_lps, .. } => all.push(format!(
            "A drill pipe of {} and a pump of {}.",
            Unit::Millimetre.show(pipe_mm),
            super::reckoned::shown(flow_lps, Unit::LitrePerSecond)
        )),
        Circulation::InPipe { bore_mm, flow_lps } => all.push(format!(
            "A drill pipe of {} bore that brings up {}.",
            Unit::Millimetre.show(bore_mm),
            super::reckoned::shown(flow_lps, Unit::LitrePerSecond)
        )),
    }
    all
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}
