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
