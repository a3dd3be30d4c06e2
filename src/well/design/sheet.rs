//! The sheet: one well in one layer, every number with what it rests on.

use serde::Serialize;

use crate::survey::Method;

use super::apron::ApronPlan;
use super::drilling::DrillingPlan;
use super::filling::FillingPlan;
use super::finishing::FinishingPlan;
use super::inputs::CasingSize;
use super::pack::PackGrain;
use super::reckoned::Reckoned;
use super::screen::EntranceCheck;

/// A well in one layer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WellDesignSheet {
    /// The layer water is taken from.
    pub aquifer: AquiferPlan,
    /// The method.
    pub method: Method,
    /// The pump or lift.
    pub lift: String,
    /// What the rate wanted gives in a day.
    pub daily_l: Reckoned,
    /// Hole, casing, screen.
    pub pipe: PipePlan,
    /// The velocity through the slots.
    pub entrance: EntranceCheck,
    /// The grains around the screen.
    pub grain: PackGrain,
    /// What fills the space around the casing.
    pub filling: FillingPlan,
    /// The slab.
    pub apron: ApronPlan,
    /// The fluid of the work.
    pub drilling: DrillingPlan,
    /// Development and disinfection.
    pub finishing: FinishingPlan,
    /// What to mind, what hurts people first.
    pub warnings: Vec<Warning>,
    /// What was assumed, in sentences.
    pub assumed: Vec<String>,
}

/// The layer water is taken from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AquiferPlan {
    /// Its place in the picture of the ground.
    pub layer: usize,
    /// Its top, metres.
    pub top_m: f64,
    /// Its bottom, metres.
    pub bottom_m: f64,
    /// What it may be.
    pub ground: String,
    /// Whether ground like that surely bears water.
    pub surely_bears_water: bool,
}

/// Hole, casing and screen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PipePlan {
    /// The pipe to buy.
    pub casing: CasingSize,
    /// Diameter of the hole.
    pub hole_mm: Reckoned,
    /// Space on each side of the casing.
    pub gap_mm: Reckoned,
    /// Depth of hole and casing.
    pub depth_m: Reckoned,
    /// Casing out of the ground.
    pub above_ground_m: Reckoned,
    /// Blind pipe from its top to the screen.
    pub blind_m: Reckoned,
    /// Top of the screen.
    pub screen_top_m: Reckoned,
    /// Bottom of the screen.
    pub screen_bottom_m: Reckoned,
    /// Length of the screen.
    pub screen_m: Reckoned,
    /// Blind, capped pipe below it.
    pub sump_m: Reckoned,
    /// The water while pumping.
    pub pumping_level_m: Reckoned,
    /// The pump's intake.
    pub intake_m: Reckoned,
}

/// Something to mind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Warning {
    /// Whether it is about people being hurt.
    pub hurts: bool,
    /// What to mind.
    pub text: String,
    /// Where it is from.
    pub source: String,
}

impl WellDesignSheet {
    /// Every number of the sheet in the order of the work.
    pub fn numbers(&self) -> Vec<&Reckoned> {
        let (p, e, g, f) = (&self.pipe, &self.entrance, &self.grain, &self.filling);
        let (a, d, w, n) = (&self.apron, &self.drilling, &self.drilling.wall, &self.finishing);
        let mut all = vec![
            &self.daily_l,
            &p.hole_mm,
            &p.gap_mm,
            &p.depth_m,
            &p.above_ground_m,
            &p.blind_m,
            &p.screen_top_m,
            &p.screen_bottom_m,
            &p.screen_m,
            &p.sump_m,
            &p.pumping_level_m,
            &p.intake_m,
            &e.velocity_m_per_s,
            &e.length_needed_m,
        ];
        all.extend(g.middle_mm.iter().chain(&g.slot_most_mm));
        all.extend([&f.pack_top_m, &f.pack_l, &f.clay_top_m, &f.clay_l, &f.clay_kg, &f.backfill_l]);
        all.extend([&f.grout_bottom_m, &f.grout_l, &f.grout_cement_kg, &f.grout_water_l]);
        all.extend([&a.radius_m, &a.concrete_l, &a.cement_kg, &a.sand_l, &a.stone_l, &a.bars_m, &a.bars_kg]);
        all.extend([&d.hole_l, &d.water_l, &d.clay_kg]);
        all.extend(d.loss.iter().flat_map(|l| [&l.water_lps, &l.thick_lps]));
        if let Some(lift) = &d.lift {
            all.push(&lift.rise_m_per_s);
            for fluid in [&lift.in_water, &lift.in_thick] {
                all.extend([&fluid.settling_m_per_s, &fluid.needed_lps]);
            }
            all.extend(lift.marsh_needed_s.iter().chain(&lift.widest_hole_mm));
        }
        all.extend([&w.head_m, &w.water_kpa, &w.thick_kpa]);
        all.extend([&n.development_h, &n.water_l]);
        all.extend(n.doses.iter().map(|d| &d.amount));
        all.push(&n.contact_h);
        all
    }
}
