//! What the facts would be if the nearest hazard of a kind lay at a given
//! distance: by this it is found out, from the rules themselves, how far a
//! well must stand from each kind.

use super::{SiteFacts, Value};
use crate::survey::HazardKind;
use crate::units::{Estimate, Unit};

/// The fact that is the distance to the nearest hazard of a kind.
pub fn distance_fact(kind: HazardKind) -> &'static str {
    match kind {
        HazardKind::PitLatrine => "nearest_pit_latrine_m",
        HazardKind::SepticTank => "nearest_septic_tank_m",
        HazardKind::Soakaway => "nearest_soakaway_m",
        HazardKind::Sewer => "nearest_sewer_m",
        HazardKind::LivestockPen => "nearest_livestock_pen_m",
        HazardKind::ManureHeap => "nearest_manure_heap_m",
        HazardKind::Graveyard => "nearest_graveyard_m",
        HazardKind::WasteDump => "nearest_waste_dump_m",
        HazardKind::FuelStore => "nearest_fuel_store_m",
        HazardKind::SprayedField => "nearest_sprayed_field_m",
        HazardKind::OpenWater => "nearest_open_water_m",
        HazardKind::OldOpenWell => "nearest_old_open_well_m",
        HazardKind::Building => "nearest_building_m",
        HazardKind::Road => "nearest_road_m",
        HazardKind::OverheadLine => "nearest_overhead_line_m",
        HazardKind::BuriedService => "nearest_buried_service_m",
        HazardKind::Boundary => "nearest_boundary_m",
        HazardKind::Other => "nearest_other_hazard_m",
    }
}

/// Whether a fact changes with the distance to a kind, whatever its direction.
pub fn hangs_on_distance(fact: &str, kind: HazardKind) -> bool {
    fact == distance_fact(kind)
        || (fact == "nearest_faecal_source_m" && kind.is_faecal())
        || (fact == "overhead_line_margin_m" && kind == HazardKind::OverheadLine)
}

impl SiteFacts {
    /// The facts that hang on the distance to a kind, as they would be with
    /// the nearest of it, and of nothing else, exactly `distance_m` away.
    pub fn at_distance(&self, kind: HazardKind, distance_m: f64) -> Vec<(&'static str, Value)> {
        let number = |estimate: Option<Estimate>| estimate.map_or(Value::Unknown, Value::Estimate);
        let exact = |metres: f64| number(Estimate::exact(Unit::Metre, metres).ok());
        let mut facts = vec![(distance_fact(kind), exact(distance_m))];
        if kind.is_faecal() {
            facts.push(("nearest_faecal_source_m", exact(distance_m)));
        }
        if kind == HazardKind::OverheadLine {
            let margin = match &self.site.plan.tower_height_m {
                Some(height) => exact(distance_m - height.value),
                None => number(Estimate::bounded(Unit::Metre, None, Some(distance_m)).ok()),
            };
            facts.push(("overhead_line_margin_m", margin));
        }
        facts
    }

    /// What is taken off a distance before it is compared with a limit: the
    /// height of what is raised, off that to an overhead line.
    pub fn taken_off_m(&self, kind: HazardKind) -> Option<f64> {
        let height = self.site.plan.tower_height_m.as_ref();
        height.filter(|_| kind == HazardKind::OverheadLine).map(|h| h.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::def;

    #[test]
    fn every_kind_has_its_distance() {
        for kind in HazardKind::ALL {
            assert!(def(distance_fact(kind)).is_some(), "{}", kind.name());
        }
    }
}
