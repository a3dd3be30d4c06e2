//! The fluid of the work: how much water and clay stand ready, what open
//! ground swallows, what holds the wall.

use serde::Serialize;

use crate::units::{OutOfRange, Part, Unit};

use super::super::darcy::{Layer, Layered};
use super::super::drilling_water::{DrillingWater, hole_volume_l};
use super::super::hvorslev::OpenLength;
use super::super::theis::M3_PER_DAY_IN_LPS;
use super::super::wall_support::OpenHole;
use super::depths::Cases;
use super::figures::DesignFigures;
use super::formulas;
use super::inputs::{Circulation, DesignInputs};
use super::lift::{CuttingsLift, Enough, fluid, plan as lift_plan, water};
use super::reckoned::{Naming, Reckoned, exactly, over, rising};

/// The fluid of the work.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DrillingPlan {
    /// What the hole holds.
    pub hole_l: Reckoned,
    /// Clean water to have on site.
    pub water_l: Reckoned,
    /// Bentonite to have on site.
    pub clay_kg: Reckoned,
    /// What the ground below the water swallows; `None` where the hole is not
    /// kept full, or nothing is known of the ground.
    pub loss: Option<FluidLoss>,
    /// Whether cuttings come up; `None` where no fluid runs or no grain is
    /// known.
    pub lift: Option<CuttingsLift>,
    /// What holds the wall.
    pub wall: WallPlan,
}

/// What open ground swallows while the hole is full to the ground.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FluidLoss {
    /// Of plain water.
    pub water_lps: Reckoned,
    /// Of thickened fluid.
    pub thick_lps: Reckoned,
}

/// What holds the wall of the open hole.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WallPlan {
    /// How high a full hole stands above the ground's water: least in the
    /// wettest month.
    pub head_m: Reckoned,
    /// Support of the wall at the bottom by plain water; nothing where the
    /// hole is not kept full.
    pub water_kpa: Reckoned,
    /// The same by thickened fluid.
    pub thick_kpa: Reckoned,
    /// Whether the head is what is asked.
    pub head_enough: Enough,
}

/// The plan for those cases.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn plan(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    cases: &Cases,
) -> Result<DrillingPlan, OutOfRange> {
    let bottom = cases.over(|d| d.bottom);
    let hole = rising(bottom, |depth| Ok(hole_volume_l(inputs.method.hole_mm, depth)))?;
    let lift = lift_plan(inputs, figures)?;
    let loss = loss(inputs, figures, bottom.value)?;
    let water = water_on_site(inputs, figures, bottom, loss.as_ref());
    let clay = clay(inputs, figures, water, lift.as_ref(), loss.as_ref());
    Ok(DrillingPlan {
        hole_l: Naming { what: "content of the hole", unit: Unit::Litre, formula: &formulas::WELL_WATER, figures: &[] }
            .number(hole, "Without wash-out.".to_owned(), figures)?,
        water_l: Naming {
            what: "drilling water",
            unit: Unit::Litre,
            formula: &formulas::DRILLING_WATER,
            figures: &["drilling_water_hole_volumes", "drilling_water_pits_l", "washbore_water_l", "fluid_loss_h"],
        }
        .number(
            water,
            match inputs.method.circulation {
                Circulation::None => "None: this method does not keep the hole full.".to_owned(),
                _ => "Clean water on site before the hole is begun; have more within reach.".to_owned(),
            },
            figures,
        )?,
        clay_kg: Naming {
            what: "bentonite for the fluid",
            unit: Unit::Kilogram,
            formula: &formulas::BULK,
            figures: &["mud_clay_low_kg_per_m3", "mud_clay_mid_kg_per_m3", "mud_clay_high_kg_per_m3"],
        }
        .number(
            clay,
            "Only where sand caves in, fluid is lost or sand stays down; thin the fluid and clear the hole before the screen goes in.".to_owned(),
            figures,
        )?,
        loss,
        lift,
        wall: wall(inputs, figures, bottom.value)?,
    })
}

fn water_on_site(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    bottom: Part,
    loss: Option<&FluidLoss>,
) -> Part {
    const SECONDS_PER_HOUR: f64 = 3600.0;
    let f = &figures.fluid;
    let stock = DrillingWater { hole_volumes: f.hole_volumes, pits_l: f.pits_l };
    let litres = |depth: f64| match inputs.method.circulation {
        Circulation::None => 0.0,
        Circulation::Annulus { by_hand: false, .. } => f.jetting_l,
        _ => stock.needed_l(inputs.method.hole_mm, depth),
    };
    let lost = loss.map_or(0.0, |l| l.thick_lps.likely * f.loss_h * SECONDS_PER_HOUR);
    Part { low: litres(bottom.low), value: litres(bottom.value), high: litres(bottom.high) + lost }
}

/// Bentonite: none where plain water may do, what the fluid on site takes
/// where it does not.
fn clay(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    water: Part,
    lift: Option<&CuttingsLift>,
    loss: Option<&FluidLoss>,
) -> Part {
    const LITRES_PER_M3: f64 = 1000.0;
    let (pump, recirculates) = match inputs.method.circulation {
        Circulation::Annulus { flow_lps, by_hand, .. } => (flow_lps, by_hand),
        Circulation::InPipe { flow_lps, .. } => (flow_lps, true),
        Circulation::None => return exactly(0.0),
    };
    if !recirculates {
        return exactly(0.0);
    }
    let in_water = lift.map(|l| l.in_water.enough);
    let lost = |loss_lps: f64, pump_lps: f64| loss_lps > pump_lps;
    let surely = in_water == Some(Enough::No) || loss.is_some_and(|l| lost(l.water_lps.low, pump.high));
    let likely = surely
        || in_water == Some(Enough::Hardly)
        || loss.is_some_and(|l| lost(l.water_lps.likely, pump.value));
    let per = figures.fluid.clay_kg_per_m3;
    let kg = |on: bool, per_m3: f64, litres: f64| if on { per_m3 * litres / LITRES_PER_M3 } else { 0.0 };
    Part {
        low: kg(surely, per.low, water.low),
        value: kg(likely, per.value, water.value),
        high: kg(true, per.high, water.high),
    }
}

/// What the ground between the water and the bottom swallows of a hole full
/// to the ground.
fn loss(
    inputs: &DesignInputs,
    figures: &DesignFigures,
    bottom: f64,
) -> Result<Option<FluidLoss>, OutOfRange> {
    if matches!(inputs.method.circulation, Circulation::None) {
        return Ok(None);
    }
    let level = inputs.dry_level_m.value.max(0.0);
    let Some(k) = conductivity(inputs, level, bottom)? else { return Ok(None) };
    const MM_PER_M: f64 = 1000.0;
    // A short or wide opening is not what the formula was made for.
    let Ok(open) = OpenLength::new(bottom - level, inputs.method.hole_mm / MM_PER_M / 2.0) else {
        return Ok(None);
    };
    let of_water = rising(k, |k| Ok(open.loss_m3_per_day(k, level)? / M3_PER_DAY_IN_LPS))?;
    let (thin, thick) = (water()?, fluid(figures.fluid.thick_marsh_s, figures)?);
    let nu = |f: &super::super::settling::Fluid| f.viscosity_pa_s() / f.density_kg_m3();
    let of_thick = rising(of_water, |q| Ok(q * nu(&thin) / nu(&thick)))?;
    let naming = Naming {
        what: "loss of plain water",
        unit: Unit::LitrePerSecond,
        formula: &formulas::LOSS,
        figures: &[],
    };
    let says = "While the hole is full to the ground and its wall bare.".to_owned();
    let thick_naming = Naming {
        what: "loss of thickened fluid",
        figures: &["thick_fluid_marsh_s", "thick_fluid_kg_per_m3"],
        ..naming
    };
    Ok(Some(FluidLoss {
        water_lps: naming.number(of_water, says, figures)?,
        thick_lps: thick_naming.number(
            of_thick,
            "Before cake forms on the wall, which then checks it further.".to_owned(),
            figures,
        )?,
    }))
}

/// The conductivity along the layers between two depths; `None` where it is
/// not known of all of them.
fn conductivity(inputs: &DesignInputs, from: f64, to: f64) -> Result<Option<Part>, OutOfRange> {
    let mut known = [Vec::new(), Vec::new(), Vec::new()];
    for layer in &inputs.layers {
        let thickness_m = layer.bottom_m.min(to) - layer.top_m.max(from);
        if thickness_m <= 0.0 {
            continue;
        }
        let Some(k) = layer.conductivity_m_per_day() else { return Ok(None) };
        for (layers, conductivity) in known.iter_mut().zip([k.low, k.value, k.high]) {
            layers.push(Layer { thickness_m, conductivity });
        }
    }
    let [low, value, high] = &known;
    // A gap in the picture is not known either.
    let seen: f64 = low.iter().map(|l| l.thickness_m).sum();
    if low.is_empty() || seen < to - from - 1e-6 {
        return Ok(None);
    }
    let along = |layers: &[Layer]| Ok(Layered::of(layers)?.along);
    Ok(Some(Part { low: along(low)?, value: along(value)?, high: along(high)? }))
}

fn wall(inputs: &DesignInputs, figures: &DesignFigures, bottom: f64) -> Result<WallPlan, OutOfRange> {
    let f = &figures.fluid;
    let full = !matches!(inputs.method.circulation, Circulation::None);
    let (wet, dry) = (inputs.wet_level_m, inputs.dry_level_m);
    let middle = f64::midpoint(wet.value, dry.value);
    let head = over(middle, &[wet.low, dry.high]);
    let support = |fluid_kg_m3: f64| {
        rising(head, |table_depth_m| {
            // A hole that is not kept full fills to the ground's water by
            // itself: nothing holds the wall.
            if !full {
                return Ok(0.0);
            }
            OpenHole { fluid_kg_m3, fluid_depth_m: 0.0, table_depth_m }.support_kpa(bottom)
        })
    };
    let (thin, thick) = (water()?.density_kg_m3(), fluid(f.thick_marsh_s, figures)?.density_kg_m3());
    let head_enough = if !full {
        Enough::No
    } else if head.low >= f.head_least_m {
        Enough::Surely
    } else if head.value >= f.head_least_m {
        Enough::Likely
    } else if head.high >= f.head_least_m {
        Enough::Hardly
    } else {
        Enough::No
    };
    let naming = Naming {
        what: "head of a full hole",
        unit: Unit::Metre,
        formula: &formulas::SUPPORT,
        figures: &["fluid_head_least_m"],
    };
    let kpa = Naming { what: "support of the wall by plain water", unit: Unit::Kilopascal, ..naming };
    let says = format!(
        "From the wettest to the driest month; at least {} always holds the wall.",
        Unit::Metre.show(f.head_least_m)
    );
    let at_bottom = "At the bottom of the hole, kept full to the ground; loose sand caves in at nothing.";
    Ok(WallPlan {
        head_m: naming.number(head, says, figures)?,
        water_kpa: kpa.number(support(thin)?, at_bottom.to_owned(), figures)?,
        thick_kpa: Naming { what: "support of the wall by thickened fluid", ..kpa }.number(
            support(thick)?,
            at_bottom.to_owned(),
            figures,
        )?,
        head_enough,
    })
}
