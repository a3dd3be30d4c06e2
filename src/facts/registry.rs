//! The names of all facts that rules may read.

use crate::units::Unit;

/// What a fact's value looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A quantity in that unit.
    Number(Unit),
    /// One of these words.
    Word(&'static [&'static str]),
}

/// One fact that rules may read.
#[derive(Debug, Clone, Copy)]
pub struct FactDef {
    /// Its name, with the unit in it.
    pub name: &'static str,
    /// What its value looks like.
    pub form: Form,
    /// What it means, in a sentence.
    pub about: &'static str,
}

/// The fact of that name.
pub fn def(name: &str) -> Option<&'static FactDef> {
    FACTS.iter().find(|d| d.name == name)
}

const M: Form = Form::Number(Unit::Metre);
const COUNT: Form = Form::Number(Unit::Count);
const RATIO: Form = Form::Number(Unit::One);
const MG_L: Form = Form::Number(Unit::MilligramPerLitre);
const YES_NO: Form = Form::Word(&["yes", "no"]);

const fn fact(name: &'static str, form: Form, about: &'static str) -> FactDef {
    FactDef { name, form, about }
}

/// Facts that weigh all evidence at once. One observation the less may make
/// them brighter, so no rule may clear or refuse a peg by them: it may add a
/// condition.
pub const FORECASTS: &[&str] = &["success_chance_pct"];

const M2_PER_DAY: Form = Form::Number(Unit::SquareMetrePerDay);
const HOURS: Form = Form::Number(Unit::Hour);

/// Every fact, by topic.
pub const FACTS: &[FactDef] = &[
    // Distances from the peg, nearest edge to the peg.
    fact("nearest_pit_latrine_m", M, "Distance to the nearest pit latrine."),
    fact("nearest_septic_tank_m", M, "Distance to the nearest septic tank."),
    fact("nearest_soakaway_m", M, "Distance to the nearest soakaway."),
    fact("nearest_sewer_m", M, "Distance to the nearest sewer or drain that carries sewage."),
    fact("nearest_livestock_pen_m", M, "Distance to the nearest place where animals are kept."),
    fact("nearest_manure_heap_m", M, "Distance to the nearest manure heap."),
    fact("nearest_graveyard_m", M, "Distance to the nearest burial ground."),
    fact("nearest_waste_dump_m", M, "Distance to the nearest waste dump."),
    fact("nearest_fuel_store_m", M, "Distance to the nearest fuel or chemical store."),
    fact("nearest_sprayed_field_m", M, "Distance to the nearest field treated with pesticide or fertiliser."),
    fact("nearest_open_water_m", M, "Distance to the nearest river, lake, pond or ditch."),
    fact("nearest_old_open_well_m", M, "Distance to the nearest unsealed or disused well."),
    fact("nearest_building_m", M, "Distance to the nearest building."),
    fact("nearest_road_m", M, "Distance to the nearest road or track with vehicles."),
    fact("nearest_overhead_line_m", M, "Distance to the nearest overhead line."),
    fact("nearest_buried_service_m", M, "Distance to the nearest buried pipe or cable."),
    fact("nearest_boundary_m", M, "Distance to the nearest edge of the plot."),
    fact("nearest_other_hazard_m", M, "Distance to the nearest hazard of no listed kind."),
    fact("nearest_faecal_source_m", M, "Distance to the nearest source of faecal germs of any kind."),
    fact("slopes", YES_NO, "Whether the ground at the peg falls enough for fouling to run down it."),
    fact(
        "nearest_upslope_source_m",
        M,
        "Distance to the nearest source of fouling that lies, or may lie, up-slope.",
    ),
    fact(
        "nearest_upgradient_source_m",
        M,
        "Distance to the nearest source of fouling that lies, or may lie, up-gradient.",
    ),
    fact(
        "nearest_upgradient_faecal_source_m",
        M,
        "Distance to the nearest source of faecal germs that lies, or may lie, up-gradient.",
    ),
    fact(
        "least_travel_time_days",
        Form::Number(Unit::Day),
        "Time that groundwater takes to the peg from the nearest source of faecal germs that lies, or may lie, up-gradient.",
    ),
    fact(
        "pit_near",
        Form::Word(&["yes", "perhaps", "no"]),
        "Whether a pit lies near enough to the peg for its bottom to matter.",
    ),
    fact(
        "pit_to_water_m",
        M,
        "Least height of a pit's bottom above the wet-season water table, over pits near enough to matter; negative: in the water.",
    ),
    fact(
        "fast_ground",
        YES_NO,
        "Whether water runs fast through the ground (gravel, fissures, caves), so that distance does not protect.",
    ),
    fact(
        "flooding",
        Form::Word(&["never", "some years", "every year"]),
        "How often the peg is under flood water.",
    ),
    fact("slope_pct", Form::Number(Unit::Percent), "Fall of the ground at the peg."),
    // Safety.
    fact(
        "overhead_line_margin_m",
        M,
        "Distance to the nearest overhead line, less the height of the tower or longest raised pipe.",
    ),
    fact(
        "unexploded_ordnance",
        Form::Word(&["none known", "cleared", "suspected"]),
        "Whether explosives from past fighting may lie in the ground.",
    ),
    fact("working_room_m", M, "Radius of level, clear ground around the peg."),
    // Ground.
    fact(
        "methods_that_fit",
        COUNT,
        "How many of the methods at hand can reach the needed depth through this ground.",
    ),
    fact("method_reach_m", M, "Greatest depth that the best method at hand can reach through this ground."),
    fact("reach_margin_m", M, "Depth the best method can reach, less the depth that is needed."),
    fact(
        "needed_depth_m",
        M,
        "Depth the well needs: driest-month level, drawdown, submergence, screen and sump.",
    ),
    fact("soft_cover_m", M, "Thickness of ground soft enough for hand methods, down to rock."),
    fact("outcrop_m", M, "Distance to the nearest rock outcrop."),
    fact("boulders", YES_NO, "Whether boulders or cobbles were met, seen or told of on the way down."),
    fact("hard_laterite_m", M, "Thickness of hard laterite on the way down."),
    fact("running_sand", YES_NO, "Whether running sand was met or told of on the way down."),
    fact("gravel_on_the_way", YES_NO, "Whether gravel that loses drilling fluid lies on the way down."),
    fact("fluid_methods_only", YES_NO, "Whether every method at hand needs the hole kept full of fluid."),
    // Water.
    fact("evidence_points", COUNT, "Neighbours near enough to count as evidence, trial bores included."),
    fact("level_agreement_m", M, "How far the dry-season levels of the neighbours lie apart."),
    fact(
        "newest_level_age_a",
        Form::Number(Unit::Year),
        "Age of the newest water-level reading at the time of the visit.",
    ),
    fact("dry_level_m", M, "Depth to water at the peg in the driest month, below ground."),
    fact("wet_level_m", M, "Depth to water at the peg in the wettest month, below ground."),
    fact(
        "level_season",
        Form::Word(&["dry", "corrected", "wet, swing unknown", "date unknown"]),
        "What season the water levels stand for.",
    ),
    fact(
        "lift_margin_m",
        M,
        "Depth the planned pump can lift from, less the depth of the pumping level in the driest month.",
    ),
    fact(
        "saturated_m",
        M,
        "Thickness of water-bearing ground below the driest-month level that the best method can reach.",
    ),
    fact("failing_neighbours", COUNT, "Neighbours near the peg that are dry or fail in some months."),
    fact("salt_water_m", M, "Distance to the sea, a salt lake or salty ground."),
    fact("salty_neighbours", COUNT, "Neighbours near the peg given up or known as salty."),
    // Quality of the neighbours, the worst of those near enough to matter.
    fact(
        "neighbour_ec_us_cm",
        Form::Number(Unit::MicrosiemensPerCm),
        "Electrical conductivity of the neighbours' water.",
    ),
    fact("neighbour_arsenic_mg_l", MG_L, "Arsenic in the neighbours' water."),
    fact("neighbour_fluoride_mg_l", MG_L, "Fluoride in the neighbours' water."),
    fact("neighbour_nitrate_mg_l", MG_L, "Nitrate (as NO3) in the neighbours' water."),
    fact("neighbour_iron_mg_l", MG_L, "Iron in the neighbours' water."),
    fact("neighbour_manganese_mg_l", MG_L, "Manganese in the neighbours' water."),
    fact("neighbour_e_coli_cfu_100ml", Form::Number(Unit::CfuPer100Ml), "E. coli in the neighbours' water."),
    fact("contaminated_neighbours", COUNT, "Neighbours near the peg known as fouled."),
    // Need.
    fact("need_l_per_day", Form::Number(Unit::LitrePerDay), "Litres a day the users need."),
    fact("yield_per_need", RATIO, "Litres a day a well here may plausibly give, by those needed."),
    fact(
        "repairable_neighbours",
        COUNT,
        "Neighbours within walking distance whose well is good and only the pump is broken.",
    ),
    // Permission, work and money.
    fact("permit", Form::Word(&["yes", "applied", "not needed", "no"]), "State of the permit to drill."),
    fact(
        "land_consent",
        Form::Word(&["yes", "applied", "not needed", "no"]),
        "State of the consent of whoever holds the land.",
    ),
    fact("work_season", Form::Word(&["dry", "wet", "between"]), "Season in which drilling is to start."),
    fact(
        "access",
        Form::Word(&["vehicle", "cart", "on foot", "none"]),
        "How things can be brought to the peg in the season of the work.",
    ),
    fact(
        "drilling_water_ratio",
        RATIO,
        "Drilling water that can be brought in a day, by what a day's drilling needs.",
    ),
    fact("cost_per_budget", RATIO, "Rough cost of one well here, by the money set aside."),
    // Forecasts.
    fact(
        "success_chance_pct",
        Form::Number(Unit::Percent),
        "Chance that a hole made here by the best method at hand is a success, by virtual bores.",
    ),
    // The hole while it goes down.
    fact("hole_depth_m", M, "Depth of the hole."),
    fact("hole_depth_margin_m", M, "Depth of the hole, less the depth the well needs."),
    fact("depth_left_m", M, "Way down that is left to the method at work and to what the payer agreed to."),
    fact(
        "drilling_rate_m_per_h",
        Form::Number(Unit::MetrePerHour),
        "Metres gained in an hour over the last hours at work.",
    ),
    fact(
        "tries_without_progress",
        COUNT,
        "Rows at the end of the drilling log in which next to nothing was gained.",
    ),
    fact(
        "bottom_refuses",
        YES_NO,
        "Whether the ground at the bottom of the hole refuses the method at work.",
    ),
    fact("hole_met_boulders", YES_NO, "Whether the hole met boulders or cobbles."),
    fact("hole_met_running_sand", YES_NO, "Whether the hole met running sand."),
    fact("fluid_lost_in_gravel", YES_NO, "Whether all drilling fluid was lost in gravel."),
    fact(
        "fluid_loss",
        Form::Word(&["none", "some", "total"]),
        "The worst loss of drilling fluid on the way down.",
    ),
    fact("fluid_lost_hole_volumes", RATIO, "All drilling fluid that was lost, by what the hole holds."),
    fact("method_needs_fluid", YES_NO, "Whether the method at work needs the hole kept full of fluid."),
    fact("hole_casing", Form::Word(&["none", "at hand", "set"]), "Temporary casing."),
    fact("hole_caves", YES_NO, "Whether the wall of the hole caves in or holds the string tight."),
    fact("hole_flows_out", YES_NO, "Whether water flows out of the hole by itself."),
    fact("hole_gas", YES_NO, "Whether gas was smelt or bubbled in the hole."),
    fact("first_strike_m", M, "Depth at which water was first struck."),
    fact(
        "hole_saturated_m",
        M,
        "Thickness of water-bearing ground the hole met below the driest-month level.",
    ),
    fact(
        "hole_ec_us_cm",
        Form::Number(Unit::MicrosiemensPerCm),
        "Electrical conductivity of the saltiest water the hole struck.",
    ),
    // The well as it is to be set.
    fact(
        "hole_dry_level_m",
        M,
        "Depth to water in the hole in the driest month: the deeper of what the hole and its neighbours say.",
    ),
    fact("screen_m", M, "Length of the screen."),
    fact("screen_below_dry_m", M, "Depth of the top of the screen, less the driest-month level."),
    fact("screen_in_water_m", M, "Length of screen in water-bearing ground below the driest-month level."),
    fact("pack_over_screen_m", M, "Height of the gravel pack above the top of the screen."),
    fact("clay_seal_m", M, "Thickness of the clay seal on the gravel pack."),
    fact("sanitary_seal_m", M, "Depth to which the space around the casing is sealed from the ground down."),
    fact("sump_m", M, "Length of blank casing below the screen."),
    fact("annulus_mm", Form::Number(Unit::Millimetre), "Diameter of the hole, less that of the casing."),
    fact("developed_h", HOURS, "Hours of surging and bailing."),
    fact("clear_of_sand", YES_NO, "Whether the water came clear and without sand after that."),
    // The yield test.
    fact(
        "tested_transmissivity_m2_per_day",
        M2_PER_DAY,
        "Transmissivity by the yield test; its low end with the region's divisor for what such tests promise too much.",
    ),
    fact("tested_specific_capacity_m2_per_day", M2_PER_DAY, "Rate by drawdown at the end of the yield test."),
    fact("tested_h", HOURS, "Hours for which the well was drawn from in the yield test."),
    fact(
        "tested_recovery_pct",
        Form::Number(Unit::Percent),
        "Share of the drawdown that has come back when the well stood for as long as it was drawn from.",
    ),
    fact(
        "tested_drawdown_m",
        M,
        "Drawdown by the users' need at the end of a day of drawing in the driest month, by the yield test.",
    ),
    fact(
        "pump_cover_m",
        M,
        "Water above the intake of the pump at the end of a day of drawing in the driest month.",
    ),
    fact(
        "tested_yield_lps",
        Form::Number(Unit::LitrePerSecond),
        "What the well and its pump give for the hours of a day in the driest month, by the yield test.",
    ),
    fact("tested_yield_per_need", RATIO, "The same in a day, by the litres that are needed."),
    // The well's own water, and what is looked at before people drink.
    fact(
        "well_ec_us_cm",
        Form::Number(Unit::MicrosiemensPerCm),
        "Electrical conductivity of the well's own water.",
    ),
    fact("well_arsenic_mg_l", MG_L, "Arsenic in the well's own water."),
    fact("well_fluoride_mg_l", MG_L, "Fluoride in the well's own water."),
    fact("well_nitrate_mg_l", MG_L, "Nitrate (as NO3) in the well's own water."),
    fact("well_iron_mg_l", MG_L, "Iron in the well's own water."),
    fact("well_manganese_mg_l", MG_L, "Manganese in the well's own water."),
    fact("well_e_coli_cfu_100ml", Form::Number(Unit::CfuPer100Ml), "E. coli in the well's own water."),
    fact(
        "sampled_after_disinfection",
        YES_NO,
        "Whether the water was taken for testing after the well was disinfected.",
    ),
    fact("disinfection_mg_l", MG_L, "Chlorine in the well while it was disinfected."),
    fact("disinfection_h", HOURS, "Hours for which that chlorine stood in the well."),
    fact("chlorine_smell_gone", YES_NO, "Whether the smell of chlorine was pumped out."),
    fact(
        "inspection_yes_pct",
        Form::Number(Unit::Percent),
        "Share of the questions of the sanitary inspection that were answered with yes, a risk.",
    ),
    fact("apron_m", M, "How far the apron reaches from the pump."),
    fact("caretaker_trained", YES_NO, "Whether somebody of the users was trained to look after the pump."),
    // Records.
    fact("left_out_records", COUNT, "Rows and features of the survey's files that could not be used."),
];

#[cfg(test)]
mod tests {
    use super::FACTS;

    #[test]
    fn names_are_unique() {
        let mut names: Vec<_> = FACTS.iter().map(|d| d.name).collect();
        names.sort_unstable();
        let before = names.len();
        names.dedup();
        assert_eq!(names.len(), before);
    }
}
