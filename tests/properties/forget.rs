//! What a survey may lose.

use super::random::{Neighbour, Plan2, Spot};

/// Something that can be forgotten, by number.
pub fn forget(plan: &mut Plan2, what: usize) {
    let s = &mut plan.signs;
    let hazard = |plan: &mut Vec<Spot>, f: fn(&mut Spot)| plan.iter_mut().take(1).for_each(f);
    match what {
        0 => s.flooding = None,
        1 => s.ordnance = None,
        2 => s.boulders = None,
        3 => s.hard_laterite = None,
        4 => s.running_sand = None,
        5 => s.gravel = None,
        6 => s.fissured = None,
        7 => s.outcrop_m = None,
        8 => s.salt_water_m = None,
        9 => s.working_room_m = None,
        10 => s.access = None,
        11 => s.permit = None,
        12 => s.land = None,
        13 => s.people = None,
        14 => s.budget = None,
        15 => s.tower_height_m = None,
        16 => s.drilling_water = None,
        17 => s.lift = None,
        18 => s.start_month = None,
        19 => plan.slope = None,
        20 => plan.flow_towards_deg = None,
        21 => hazard(&mut plan.hazards, |h| h.pit_depth_m = None),
        22 => hazard(&mut plan.hazards, |h| h.accuracy_m = None),
        23 => plan.looked_for.clear(),
        24 => plan.peg_accuracy_m = None,
        25 => plan.peg_elevation = None,
        26 => plan.peg_elevation = plan.peg_elevation.map(|(e, _)| (e, None)),
        27 => plan.wells.iter_mut().next_back().into_iter().for_each(|w| w.elevation_m = None),
        28 => plan.wells.iter_mut().next_back().into_iter().for_each(|w| w.level_m = None),
        29 => plan.wells.iter_mut().next_back().into_iter().for_each(|w| w.month = None),
        _ => {
            // A test of water is forgotten of the nearest well. Farther than the
            // nearest few a bad one counts, and none is not asked for: to have
            // every well of a village tested would keep people from water.
            let tested = (38..=40).contains(&what);
            let nearest = |w: &&mut Neighbour| if tested { w.distance_m } else { 0.0 };
            let first = plan.wells.iter_mut().min_by(|a, b| nearest(a).total_cmp(&nearest(b)));
            let Some(w) = first else { return };
            match what {
                30 => w.made = None,
                31 => w.depth_m = None,
                32 => w.level_m = None,
                33 => w.month = None,
                34 => w.lowest_m = None,
                35 => w.outcome = None,
                36 => w.yield_lps = None,
                37 => w.log = None,
                38 => w.ec_us_cm = None,
                39 => w.arsenic_mg_l = None,
                40 => w.nitrate_mg_l = None,
                41 => w.pump_broken = None,
                42 => w.elevation_m = None,
                43 => w.elevation_accuracy_m = None,
                _ => w.accuracy_m = None,
            }
        }
    }
}

/// How many things [`forget`] knows.
pub const FORGETTABLE: usize = 45;

/// Those of them that bear on the way the groundwater flows.
pub const FLOW_FORGETTABLE: [usize; 13] = [19, 20, 24, 25, 26, 27, 28, 29, 32, 33, 42, 43, 44];
