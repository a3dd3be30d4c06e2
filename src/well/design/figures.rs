//! What the region assumes of a well's design, as plain numbers whose names
//! are those of the region, so that each can be followed to its source.

use std::collections::BTreeMap;

use crate::region::{Basis, Region};
use crate::units::Part;

/// Where a figure is from.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// The source.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
}

/// The region's figures for a design; what is not said below has the unit of
/// its name.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignFigures {
    /// Of the hole, the casing and the screen.
    pub lengths: Lengths,
    /// Of the pack and the seals.
    pub filling: Filling,
    /// Of the slab.
    pub apron: Apron,
    /// Of the fluid.
    pub fluid: DrillingFluid,
    /// Of development and disinfection.
    pub finishing: Finishing,
    told: BTreeMap<&'static str, Told>,
}

/// Of the hole, the casing and the screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lengths {
    /// Least space on each side of the casing.
    pub annulus_least_mm: f64,
    /// Casing out of the ground.
    pub casing_above_ground_m: f64,
    /// Water to keep above the intake.
    pub submergence_m: f64,
    /// Least length of screen.
    pub screen_least_m: f64,
    /// Length of screen wanted.
    pub screen_usual_m: f64,
    /// Share of the slots that grains block.
    pub screen_blocked_share: f64,
    /// Greatest velocity through the slots.
    pub entrance_velocity_most_m_per_s: f64,
    /// Blind pipe below the screen.
    pub sump_m: f64,
}

/// Of the pack and the seals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Filling {
    /// Pack above the screen.
    pub pack_over_screen_m: f64,
    /// Clay on the pack.
    pub pack_seal_m: f64,
    /// Depth of the seal from the ground down.
    pub sanitary_seal_m: f64,
    /// How much bigger than its bit the hole is.
    pub wash_out_share: Part,
    /// Middle grain of the pack by that of the ground.
    pub pack_to_ground: (f64, f64),
    /// Greatest uniformity of the pack.
    pub pack_uniformity_most: f64,
    /// Share of the pack that the slots hold back.
    pub pack_retained_share: f64,
    /// Share of the ground that the slots hold back without a pack.
    pub natural_retained_share: f64,
    /// Least d₁₀ of ground that needs no pack.
    pub natural_pack_d10_least_mm: f64,
    /// Least uniformity of ground that needs no pack.
    pub natural_pack_uniformity_least: f64,
    /// Dry clay in a cubic metre of seal.
    pub seal_clay_kg_per_m3: f64,
    /// Water by cement in grout, by mass.
    pub grout_water_per_cement: f64,
    /// Density of the grains of cement.
    pub cement_grain_kg_per_m3: f64,
}

/// Of the slab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apron {
    /// Radius of the slab.
    pub radius_m: f64,
    /// Thickness of slab and drain.
    pub thickness_m: f64,
    /// Length of the drain.
    pub drain_m: f64,
    /// Width of the drain's concrete.
    pub drain_width_m: f64,
    /// Parts of sand to one of cement.
    pub sand_parts: f64,
    /// Parts of stone to one of cement.
    pub stone_parts: f64,
    /// Loose dry parts that make one of concrete.
    pub dry_ratio: f64,
    /// Concrete lost.
    pub waste_share: f64,
    /// Cement as it lies loose.
    pub cement_bulk_kg_per_m3: f64,
    /// Diameter of the bars.
    pub bar_mm: f64,
    /// Distance between the bars.
    pub bar_spacing_m: f64,
    /// Density of steel.
    pub steel_kg_per_m3: f64,
}

/// Of the fluid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrillingFluid {
    /// Outer diameter of the drill pipe.
    pub drill_pipe_mm: f64,
    /// Flow of a mud pump worked by hand.
    pub mud_pump_lps: Part,
    /// Flow of a motor pump that jets.
    pub jetting_pump_lps: Part,
    /// Bore of the pipe in which sludge rises.
    pub sludging_pipe_bore_mm: f64,
    /// Flow that sludging lifts.
    pub sludging_lps: Part,
    /// Thickened fluid in the Marsh funnel, s a US quart.
    pub thick_marsh_s: f64,
    /// Its density.
    pub thick_kg_per_m3: f64,
    /// The thickest fluid worked with, s a US quart.
    pub marsh_most_s: f64,
    /// Bentonite in the fluid.
    pub clay_kg_per_m3: Part,
    /// How long thickened fluid may run into open sand.
    pub loss_h: f64,
    /// Least height of the fluid above the ground's water.
    pub head_least_m: f64,
    /// Volumes of the hole to have on site.
    pub hole_volumes: f64,
    /// Water that fills the pits.
    pub pits_l: f64,
    /// Water for jetting in open circulation.
    pub jetting_l: f64,
}

/// Of development and disinfection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finishing {
    /// Hours of surging and bailing.
    pub development_h: Part,
    /// Dose of chlorine.
    pub dose_mg_l: Part,
    /// Water to dose, in contents of the casing.
    pub water_ratio: f64,
    /// How long the dose stands.
    pub contact_h: f64,
    /// Chlorine available in high-test hypochlorite.
    pub hypochlorite_share: f64,
    /// Chlorine available in bleaching powder.
    pub powder_share: f64,
    /// Chlorine available in household bleach, kg/L.
    pub bleach_share: f64,
}

/// Takes figures of a region and remembers those it does not have.
struct Take<'a> {
    region: &'a Region,
    told: BTreeMap<&'static str, Told>,
    missing: Vec<&'static str>,
}

impl Take<'_> {
    /// The figure of that name; what a missing one gives is never used.
    fn one(&mut self, name: &'static str) -> f64 {
        let Some(figure) = self.region.priors.get(name) else {
            self.missing.push(name);
            return 0.0;
        };
        self.told.insert(name, Told { source: figure.source.clone(), basis: figure.basis });
        figure.value
    }

    fn range(&mut self, low: &'static str, mid: &'static str, high: &'static str) -> Part {
        spanning([self.one(low), self.one(mid), self.one(high)])
    }
}

/// The range of three figures, the middle one the likeliest.
fn spanning(figures: [f64; 3]) -> Part {
    let [low, value, high] = figures;
    Part { low: low.min(value).min(high), value, high: high.max(value).max(low) }
}

impl DesignFigures {
    /// Those of a region.
    ///
    /// # Errors
    /// The names of all priors that the region does not have.
    pub fn of(region: &Region) -> Result<Self, Vec<&'static str>> {
        let mut take = Take { region, told: BTreeMap::new(), missing: Vec::new() };
        let lengths = Lengths {
            annulus_least_mm: take.one("annulus_least_mm"),
            casing_above_ground_m: take.one("casing_above_ground_m"),
            submergence_m: take.one("submergence_m"),
            screen_least_m: take.one("screen_m"),
            screen_usual_m: take.one("screen_usual_m"),
            screen_blocked_share: take.one("screen_blocked_share"),
            entrance_velocity_most_m_per_s: take.one("entrance_velocity_most_m_per_s"),
            sump_m: take.one("sump_m"),
        };
        let (filling, apron) = (Filling::of(&mut take), Apron::of(&mut take));
        let (fluid, finishing) = (DrillingFluid::of(&mut take), Finishing::of(&mut take));
        if take.missing.is_empty() {
            Ok(Self { lengths, filling, apron, fluid, finishing, told: take.told })
        } else {
            Err(take.missing)
        }
    }

    /// Where the figure of that name in the region is from; `None` where the
    /// design does not use it.
    pub fn told(&self, name: &str) -> Option<&Told> {
        self.told.get(name)
    }
}

impl Filling {
    fn of(take: &mut Take<'_>) -> Self {
        Self {
            pack_over_screen_m: take.one("pack_over_screen_m"),
            pack_seal_m: take.one("pack_seal_m"),
            sanitary_seal_m: take.one("sanitary_seal_m"),
            wash_out_share: take.range("wash_out_low_share", "wash_out_mid_share", "wash_out_high_share"),
            pack_to_ground: (take.one("pack_to_ground_low_ratio"), take.one("pack_to_ground_high_ratio")),
            pack_uniformity_most: take.one("pack_uniformity_most_ratio"),
            pack_retained_share: take.one("pack_retained_share"),
            natural_retained_share: take.one("natural_retained_share"),
            natural_pack_d10_least_mm: take.one("natural_pack_d10_least_mm"),
            natural_pack_uniformity_least: take.one("natural_pack_uniformity_least_ratio"),
            seal_clay_kg_per_m3: take.one("seal_clay_kg_per_m3"),
            grout_water_per_cement: take.one("grout_water_per_cement_ratio"),
            cement_grain_kg_per_m3: take.one("cement_grain_kg_per_m3"),
        }
    }
}

impl Apron {
    fn of(take: &mut Take<'_>) -> Self {
        Self {
            radius_m: take.one("apron_radius_m"),
            thickness_m: take.one("apron_thickness_m"),
            drain_m: take.one("apron_drain_m"),
            drain_width_m: take.one("apron_drain_width_m"),
            sand_parts: take.one("concrete_sand_ratio"),
            stone_parts: take.one("concrete_stone_ratio"),
            dry_ratio: take.one("concrete_dry_ratio"),
            waste_share: take.one("concrete_waste_share"),
            cement_bulk_kg_per_m3: take.one("cement_bulk_kg_per_m3"),
            bar_mm: take.one("apron_bar_mm"),
            bar_spacing_m: take.one("apron_bar_spacing_m"),
            steel_kg_per_m3: take.one("steel_kg_per_m3"),
        }
    }
}

impl DrillingFluid {
    fn of(take: &mut Take<'_>) -> Self {
        Self {
            drill_pipe_mm: take.one("drill_pipe_mm"),
            mud_pump_lps: take.range("mud_pump_low_lps", "mud_pump_mid_lps", "mud_pump_high_lps"),
            jetting_pump_lps: take.range(
                "jetting_pump_low_lps",
                "jetting_pump_mid_lps",
                "jetting_pump_high_lps",
            ),
            sludging_pipe_bore_mm: take.one("sludging_pipe_bore_mm"),
            sludging_lps: take.range("sludging_low_lps", "sludging_mid_lps", "sludging_high_lps"),
            thick_marsh_s: take.one("thick_fluid_marsh_s"),
            thick_kg_per_m3: take.one("thick_fluid_kg_per_m3"),
            marsh_most_s: take.one("marsh_most_s"),
            clay_kg_per_m3: take.range(
                "mud_clay_low_kg_per_m3",
                "mud_clay_mid_kg_per_m3",
                "mud_clay_high_kg_per_m3",
            ),
            loss_h: take.one("fluid_loss_h"),
            head_least_m: take.one("fluid_head_least_m"),
            hole_volumes: take.one("drilling_water_hole_volumes"),
            pits_l: take.one("drilling_water_pits_l"),
            jetting_l: take.one("washbore_water_l"),
        }
    }
}

impl Finishing {
    fn of(take: &mut Take<'_>) -> Self {
        Self {
            development_h: take.range("development_low_h", "development_mid_h", "development_high_h"),
            dose_mg_l: take.range(
                "chlorine_dose_low_mg_l",
                "chlorine_dose_mid_mg_l",
                "chlorine_dose_high_mg_l",
            ),
            water_ratio: take.one("chlorine_water_ratio"),
            contact_h: take.one("chlorine_contact_h"),
            hypochlorite_share: take.one("high_test_hypochlorite_share"),
            powder_share: take.one("bleaching_powder_share"),
            bleach_share: take.one("household_bleach_share"),
        }
    }
}
