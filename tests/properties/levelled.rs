//! Random surveys whose wells were levelled, so that their levels may tell
//! which way the groundwater flows.

use proptest::prelude::*;

use super::random::{Plan2, neighbour, perhaps, unlevelled};

/// A random survey, of which some have their wells levelled.
pub fn plan() -> impl Strategy<Value = Plan2> {
    prop_oneof![unlevelled(), levelled()]
}

/// One whose wells stand on one slope of the water, up to the errors of
/// levels and elevations. As with all else here, records that contradict each
/// other are left out: the wells were read in one month, and a direction that
/// is stated is right to within its error.
pub fn levelled() -> impl Strategy<Value = Plan2> {
    let wells = prop::collection::vec(
        (neighbour(92), perhaps(90, 0.0..0.1_f64), perhaps(90, Just(())), -0.05..0.05_f64),
        3..7,
    );
    let water = (0.001..0.02_f64, 0.0..360.0_f64, perhaps(50, -25.0..25.0_f64), 1_i8..=12);
    (unlevelled(), wells, water, perhaps(50, 0.0..0.1_f64)).prop_map(|(mut plan, wells, water, accuracy)| {
        /// Brings the wells within the distance of near evidence, and, but
        /// for a few at the peg, so far apart that their levels differ.
        fn nearer_m(far_m: f64) -> f64 {
            if far_m < 10.0 { far_m } else { 100.0 + 0.2 * far_m }
        }
        /// And their accuracies within those of averaged readings.
        const BETTER: f64 = 0.2;
        let (gradient, towards_deg, stated_off_deg, month) = water;
        plan.flow_towards_deg = stated_off_deg.map(|off| (towards_deg + off).rem_euclid(360.0));
        let mut ground = Vec::new();
        let placed = wells.into_iter().map(|(mut w, accuracy, elevation, noise)| {
            w.distance_m = nearer_m(w.distance_m);
            w.accuracy_m = w.accuracy_m.map(|a| a * BETTER);
            w.month = w.month.map(|_| month);
            w.lowest_m = None;
            let down_m = w.distance_m * (w.bearing_deg - towards_deg).to_radians().cos();
            let height = 100.0 - gradient * down_m + w.level_m.unwrap_or(5.0) + noise;
            ground.push((w.distance_m, height));
            w.elevation_m = elevation.map(|()| height);
            w.elevation_accuracy_m = accuracy;
            w
        });
        plan.wells = placed.collect();
        // A well may stand for the peg: then the peg is as high.
        let near: Vec<_> = ground.iter().filter(|(far, _)| *far < 30.0).collect();
        plan.peg_elevation = match near[..] {
            [(_, height)] => Some((*height, accuracy)),
            _ => None,
        };
        plan
    })
}
