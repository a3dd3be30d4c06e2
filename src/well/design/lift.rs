//! Whether the fluid brings the sand up: the settling of the coarsest grain
//! on the way against the velocity of the fluid, in water and in thickened
//! fluid; and what would, where neither does.

use serde::Serialize;

use crate::units::{OutOfRange, Part, Unit};

use super::super::settling::{Fluid, Grains, QUARTZ_KG_M3};
use super::super::uphole::{Rise, TIMES_SETTLING, widest_hole_mm};
use super::figures::DesignFigures;
use super::formulas;
use super::inputs::{Circulation, DesignInputs};
use super::reckoned::{Naming, Reckoned, over, rising};

/// Water in the Marsh funnel, s a US quart.
const WATER_MARSH_S: f64 = 26.0;
/// Water, kg/m³.
const WATER_KG_M3: f64 = 1000.0;

/// Whether a flow is enough.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Enough {
    /// At the worst of it.
    Surely,
    /// At the likely, not at the worst.
    Likely,
    /// Only at the best of it.
    Hardly,
    /// Not at all.
    No,
}

/// What one fluid does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FluidLift {
    /// Its time in the Marsh funnel, s a US quart.
    pub marsh_s: f64,
    /// How fast the coarsest grain sinks in it.
    pub settling_m_per_s: Reckoned,
    /// The flow that lifts it.
    pub needed_lps: Reckoned,
    /// Whether the flow at hand does.
    pub enough: Enough,
}

/// Whether cuttings come up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CuttingsLift {
    /// Whether the pump is worked by hand.
    pub by_hand: bool,
    /// The coarsest grain to bring up.
    pub grain_mm: Part,
    /// How fast the fluid rises.
    pub rise_m_per_s: Reckoned,
    /// In plain water.
    pub in_water: FluidLift,
    /// In thickened fluid.
    pub in_thick: FluidLift,
    /// The time in the Marsh funnel that the likely grain needs; `None` where
    /// no fluid that is worked with is thick enough.
    pub marsh_needed_s: Option<Reckoned>,
    /// The widest hole in which plain water would do; `None` where the fluid
    /// rises inside the pipe.
    pub widest_hole_mm: Option<Reckoned>,
    /// What to do, in a sentence or two.
    pub says: String,
}

/// Plain water.
pub(super) fn water() -> Result<Fluid, OutOfRange> {
    Fluid::by_marsh_funnel(WATER_KG_M3, WATER_MARSH_S)
}

/// Fluid of that time in the funnel; its density grows from that of water to
/// that of the region's thickened fluid.
pub(super) fn fluid(marsh_s: f64, figures: &DesignFigures) -> Result<Fluid, OutOfRange> {
    let f = &figures.fluid;
    let way = ((marsh_s - WATER_MARSH_S) / (f.thick_marsh_s - WATER_MARSH_S)).clamp(0.0, 1.0);
    let way = if way.is_finite() { way } else { 1.0 };
    Fluid::by_marsh_funnel(WATER_KG_M3 + way * (f.thick_kg_per_m3 - WATER_KG_M3), marsh_s)
}

/// The coarsest grain of the layers down to the aquifer; `None` where nothing
/// is known of any of them.
fn coarsest_mm(inputs: &DesignInputs) -> Option<Part> {
    let mut coarsest: Option<Part> = None;
    for (place, layer) in inputs.layers.iter().enumerate().take(inputs.aquifer + 1) {
        let grains = match (&inputs.sieve, place == inputs.aquifer) {
            (Some(s), true) => {
                Some(Part { low: s.at_share(0.8), value: s.at_share(0.9), high: s.at_share(1.0) })
            }
            _ => layer.grains_mm().map(|(_, coarsest)| coarsest),
        };
        let Some(g) = grains else { continue };
        coarsest = Some(coarsest.map_or(g, |c| Part {
            low: c.low.max(g.low),
            value: c.value.max(g.value),
            high: c.high.max(g.high),
        }));
    }
    coarsest
}

/// The flow and the room it rises in.
struct Way {
    rise: Rise,
    flow_lps: Part,
    by_hand: bool,
    pipe_mm: Option<f64>,
    rests_on: &'static [&'static str],
}

fn way(inputs: &DesignInputs) -> Result<Option<Way>, OutOfRange> {
    const BY_HAND: &[&str] = &["drill_pipe_mm", "mud_pump_low_lps", "mud_pump_mid_lps", "mud_pump_high_lps"];
    const BY_MOTOR: &[&str] =
        &["drill_pipe_mm", "jetting_pump_low_lps", "jetting_pump_mid_lps", "jetting_pump_high_lps"];
    const IN_PIPE: &[&str] =
        &["sludging_pipe_bore_mm", "sludging_low_lps", "sludging_mid_lps", "sludging_high_lps"];
    Ok(match inputs.method.circulation {
        Circulation::None => None,
        Circulation::Annulus { pipe_mm, flow_lps, by_hand } => Some(Way {
            rise: Rise::between(inputs.method.hole_mm, pipe_mm)?,
            flow_lps,
            by_hand,
            pipe_mm: Some(pipe_mm),
            rests_on: if by_hand { BY_HAND } else { BY_MOTOR },
        }),
        Circulation::InPipe { bore_mm, flow_lps } => Some(Way {
            rise: Rise::between(bore_mm, 0.0)?,
            flow_lps,
            by_hand: true,
            pipe_mm: None,
            rests_on: IN_PIPE,
        }),
    })
}

/// Whether cuttings come up; `None` where no fluid runs or no grain is known.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn plan(
    inputs: &DesignInputs,
    figures: &DesignFigures,
) -> Result<Option<CuttingsLift>, OutOfRange> {
    let (Some(way), Some(grain)) = (way(inputs)?, coarsest_mm(inputs)) else { return Ok(None) };
    let rise = rising(way.flow_lps, |q| way.rise.velocity_m_per_s(q))?;
    let in_water = in_fluid(&way, grain, rise, WATER_MARSH_S, figures)?;
    let in_thick = in_fluid(&way, grain, rise, figures.fluid.thick_marsh_s, figures)?;
    let marsh_needed_s = marsh_needed(grain, rise, figures)?;
    let widest_hole_mm = match way.pipe_mm {
        Some(pipe_mm) => Some(widest(pipe_mm, &way, &in_water, figures)?),
        None => None,
    };
    let rise_m_per_s = Naming {
        what: "uphole velocity",
        unit: Unit::MetrePerSecond,
        formula: &formulas::UPHOLE,
        figures: way.rests_on,
    }
    .number(rise, "How fast the fluid rises with the cuttings.".to_owned(), figures)?;
    let mut lift = CuttingsLift {
        by_hand: way.by_hand,
        grain_mm: grain,
        rise_m_per_s,
        in_water,
        in_thick,
        marsh_needed_s,
        widest_hole_mm,
        says: String::new(),
    };
    lift.says = said(&lift, figures);
    Ok(Some(lift))
}

fn in_fluid(
    way: &Way,
    grain: Part,
    rise: Part,
    marsh_s: f64,
    figures: &DesignFigures,
) -> Result<FluidLift, OutOfRange> {
    let fluid = if marsh_s > WATER_MARSH_S { fluid(marsh_s, figures)? } else { water()? };
    let settling = rising(grain, |d| fluid.settling_m_per_s(d, QUARTZ_KG_M3, Grains::Natural))?;
    let needed = rising(settling, |w| way.rise.flow_lps(TIMES_SETTLING * w))?;
    let lifted = |rise: f64, settling: f64| rise >= TIMES_SETTLING * settling;
    let enough = if lifted(rise.low, settling.high) {
        Enough::Surely
    } else if lifted(rise.value, settling.value) {
        Enough::Likely
    } else if lifted(rise.high, settling.low) {
        Enough::Hardly
    } else {
        Enough::No
    };
    let naming = Naming {
        what: "settling of the coarsest grain",
        unit: Unit::MetrePerSecond,
        formula: &formulas::SETTLING,
        figures: &["thick_fluid_marsh_s", "thick_fluid_kg_per_m3"],
    };
    let in_what = format!("in fluid of {} s a US quart", Unit::One.show(marsh_s));
    Ok(FluidLift {
        marsh_s,
        settling_m_per_s: naming.number(settling, format!("How fast it sinks {in_what}."), figures)?,
        needed_lps: Naming {
            what: "flow that lifts it",
            unit: Unit::LitrePerSecond,
            formula: &formulas::UPHOLE,
            figures: way.rests_on,
        }
        .number(needed, format!("So much has to run {in_what}."), figures)?,
        enough,
    })
}

/// The least time in the funnel of a fluid in which the grain sinks at half
/// the rise; `None` where none up to the thickest does.
fn marsh_for(grain_mm: f64, rise_m_per_s: f64, figures: &DesignFigures) -> Result<Option<f64>, OutOfRange> {
    const HALVINGS: u32 = 50;
    let lifted = |marsh_s: f64| -> Result<bool, OutOfRange> {
        let settling = fluid(marsh_s, figures)?.settling_m_per_s(grain_mm, QUARTZ_KG_M3, Grains::Natural)?;
        Ok(rise_m_per_s >= TIMES_SETTLING * settling)
    };
    let (mut thin, mut thick) = (WATER_MARSH_S, figures.fluid.marsh_most_s);
    if lifted(thin)? {
        return Ok(Some(thin));
    }
    if thick <= thin || !lifted(thick)? {
        return Ok(None);
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(thin, thick);
        if lifted(middle)? {
            thick = middle;
        } else {
            thin = middle;
        }
    }
    Ok(Some(thick))
}

fn marsh_needed(grain: Part, rise: Part, figures: &DesignFigures) -> Result<Option<Reckoned>, OutOfRange> {
    let most = figures.fluid.marsh_most_s;
    let Some(likely) = marsh_for(grain.value, rise.value, figures)? else { return Ok(None) };
    let best = marsh_for(grain.low, rise.high, figures)?.unwrap_or(likely);
    let worst = marsh_for(grain.high, rise.low, figures)?;
    let says = match worst {
        Some(_) => "Thicken the fluid until a US quart takes so long through the Marsh funnel.".to_owned(),
        None => format!(
            "Thicken the fluid until a US quart takes so long; for the coarsest grain at the least flow even {} s is not enough.",
            Unit::One.show(most)
        ),
    };
    Naming {
        what: "time in the Marsh funnel",
        unit: Unit::Second,
        formula: &formulas::SETTLING,
        figures: &["thick_fluid_marsh_s", "thick_fluid_kg_per_m3", "marsh_most_s"],
    }
    .number(over(likely, &[best, worst.unwrap_or(most)]), says, figures)
    .map(Some)
}

fn widest(
    pipe_mm: f64,
    way: &Way,
    water: &FluidLift,
    figures: &DesignFigures,
) -> Result<Reckoned, OutOfRange> {
    let w = &water.settling_m_per_s;
    let part = Part {
        low: widest_hole_mm(pipe_mm, way.flow_lps.low, w.high)?,
        value: widest_hole_mm(pipe_mm, way.flow_lps.value, w.likely)?,
        high: widest_hole_mm(pipe_mm, way.flow_lps.high, w.low)?,
    };
    Naming {
        what: "widest hole that plain water clears",
        unit: Unit::Millimetre,
        formula: &formulas::UPHOLE,
        figures: way.rests_on,
    }
    .number(
        part,
        "With the drill pipe as stated; a pilot hole may be so narrow and be reamed after.".to_owned(),
        figures,
    )
}

fn said(lift: &CuttingsLift, figures: &DesignFigures) -> String {
    let pump = if lift.by_hand { "worked by hand" } else { "at hand" };
    let grain = Unit::Millimetre.show(lift.grain_mm.value);
    match (lift.in_water.enough, lift.in_thick.enough) {
        (Enough::Surely, _) => format!("Plain water lifts the cuttings with the pump {pump}."),
        (Enough::Likely, thick) => format!(
            "Plain water lifts grains of {grain} with the pump {pump}; coarser ones {}.",
            if thick == Enough::Surely {
                "need thickened fluid"
            } else {
                "may stay down even in thickened fluid"
            }
        ),
        (_, Enough::Surely | Enough::Likely) => format!(
            "The pump {pump} cannot lift grains of {grain} in plain water: thicken the fluid{}{}.",
            lift.marsh_needed_s
                .as_ref()
                .map_or(String::new(), |m| format!(" to {} s in the Marsh funnel", Unit::One.show(m.likely))),
            narrower(lift)
        ),
        _ => format!(
            "The pump {pump} cannot lift grains of {grain}, in plain water or in fluid of {} s: {}{}.",
            Unit::One.show(figures.fluid.thick_marsh_s),
            lift.marsh_needed_s.as_ref().map_or_else(
                || "bring a stronger pump, or a method that brings sand up with the tool or inside the pipe"
                    .to_owned(),
                |m| format!("thicken it to {} s", Unit::One.show(m.likely))
            ),
            narrower(lift)
        ),
    }
}

fn narrower(lift: &CuttingsLift) -> String {
    lift.widest_hole_mm.as_ref().map_or(String::new(), |hole| {
        format!(", or drill a pilot hole no wider than {} and ream it", Unit::Millimetre.show(hole.likely))
    })
}
