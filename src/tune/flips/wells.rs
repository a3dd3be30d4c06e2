//! More evidence: wells and trial bores that nobody has found or made yet, and
//! that say the same as one that is known.
//!
//! They are copies of the nearest well that tells of both water and ground,
//! or, where there is none, of the nearest that tells of water.

use std::rc::Rc;
use std::sync::Arc;

use crate::facts::{FactSource, Shared, SiteFacts};
use crate::place::{destination, distance_m};
use crate::survey::{Accuracy, Frame, Made, Position, Seen, Well};

/// Facts that wells and trial bores tell.
pub(super) const TELLING: &[&str] = &[
    "evidence_points",
    "dry_level_m",
    "wet_level_m",
    "level_season",
    "level_agreement_m",
    "newest_level_age_a",
    "lift_margin_m",
    "needed_depth_m",
    "reach_margin_m",
    "method_reach_m",
    "methods_that_fit",
    "saturated_m",
    "soft_cover_m",
    "hard_laterite_m",
    "running_sand",
    "boulders",
    "gravel_on_the_way",
    "yield_per_need",
    "pit_to_water_m",
    "cost_per_budget",
    "drilling_water_ratio",
];

/// A trial bore at the peg lies so far from it, metres.
const BESIDE_M: f64 = 2.0;

/// Directions in which more wells are set, so that no two stand together.
const TURN_DEG: f64 = 100.0;

/// Wells that are asked for lie within this distance of the peg, metres.
pub(super) fn within_m(site: &SiteFacts) -> Option<f64> {
    site.shared().region.priors.get("near_evidence_radius_m").map(|f| f.value)
}

fn template(site: &SiteFacts) -> Option<&Well> {
    let peg = site.site().peg.at.value.at;
    let farthest_m = site.shared().region.priors.get("evidence_radius_m")?.value;
    let far = |w: &&Well| distance_m(peg, w.position.at);
    let near = site.shared().wells.iter().filter(|w| far(w) <= farthest_m);
    let wet: Vec<&Well> = near.filter(|w| w.water_level_m.is_some() || w.lowest_level_m.is_some()).collect();
    let best = |logged: bool| {
        wet.iter().copied().filter(|w| !logged || !w.log.is_empty()).min_by(|a, b| {
            far(a).total_cmp(&far(b)).then_with(|| (&a.name, &a.from).cmp(&(&b.name, &b.from)))
        })
    };
    best(true).or_else(|| best(false))
}

/// What people call the well that the others are like.
pub(super) fn like(site: &SiteFacts) -> Option<String> {
    let well = template(site)?;
    let name = well.name.trim();
    Some(if name.is_empty() { format!("the well of {}", well.from) } else { name.to_owned() })
}

/// The facts with so many more wells.
pub(super) fn more(site: &SiteFacts, count: usize) -> Option<Rc<dyn FactSource>> {
    let away_m = within_m(site)? / 2.0;
    let like = template(site)?;
    let made = match like.made.as_ref().map(|m| m.value) {
        Some(Made::TrialBore) | None => Made::Dug,
        Some(made) => made,
    };
    let wells = (0..count).filter_map(|n| copy(site, like, made, TURN_DEG * n as f64, away_m));
    with(site, wells.collect())
}

/// The facts with a trial bore at the peg.
pub(super) fn trial_bore(site: &SiteFacts) -> Option<Rc<dyn FactSource>> {
    let bore = copy(site, template(site)?, Made::TrialBore, 0.0, BESIDE_M)?;
    with(site, vec![Well { outcome: None, pump_broken: None, ..bore }])
}

fn copy(site: &SiteFacts, like: &Well, made: Made, bearing_deg: f64, away_m: f64) -> Option<Well> {
    let from = like.from.clone();
    let position = Position {
        at: destination(site.site().peg.at.value.at, bearing_deg, away_m)?,
        accuracy: Accuracy::Stated(0.0),
        frame: Frame::Peg,
        taped_m: Some(away_m),
    };
    Some(Well {
        name: String::new(),
        position,
        elevation_m: None,
        elevation_accuracy_m: None,
        made: Some(Seen::new(made, from)),
        ..like.clone()
    })
}

fn with(site: &SiteFacts, more: Vec<Well>) -> Option<Rc<dyn FactSource>> {
    let shared = site.shared();
    let mut wells = shared.wells.clone();
    wells.extend(more);
    let shared = Shared::new(shared.hazards.clone(), wells, shared.region.clone());
    Some(Rc::new(SiteFacts::for_peg(Arc::new(shared), Arc::new(site.site().clone()))))
}
