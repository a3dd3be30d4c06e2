//! Inputs that the tests share.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp)]

mod by_depth;
mod promises;
mod toys;

use std::collections::BTreeMap;

use super::super::material::{Classes, MaterialClass};
use super::*;

use MaterialClass::{HardRock, SandWet, SoftClay};

fn one(class: MaterialClass) -> Classes {
    [class].into_iter().collect()
}

fn log(weight: f64, layers: &[(f64, MaterialClass)]) -> WeightedLog {
    let layers = layers.iter().map(|(to_m, class)| (*to_m, one(*class))).collect();
    WeightedLog { weight, layers, ends_in_soft_ground: true, error_share: 1.0 }
}

fn known(k: f64, bears_water: f64, is_rock: bool) -> GroundClass {
    let k_m_per_day = LogRange { low: k, typical: k, high: k };
    GroundClass { k_m_per_day, storage: 0.1, bears_water, is_rock }
}

fn method(name: &str, max_depth_m: f64) -> MethodInputs {
    let refusal = [(SandWet, 0.0), (SoftClay, 0.0), (HardRock, 1.0)].into();
    MethodInputs { name: name.to_owned(), max_depth_m, refusal, mobilisation: 100.0, per_metre: 10.0 }
}

/// Water at exactly 5 m, sand of 10 m/d, a jetting rig that gets to 20 m.
fn inputs(logs: Vec<WeightedLog>) -> VirtualBoreInputs {
    VirtualBoreInputs {
        logs,
        prior_logs: Vec::new(),
        prior_worth: 0.0,
        thickness_error: 0.0,
        below_logs: BelowLogs::Refuses,
        level: LevelDistribution::Normal { median_m: 5.0, sd_m: 0.0 },
        ground: BTreeMap::from([
            (SandWet, known(10.0, 1.0, false)),
            (SoftClay, known(0.01, 0.0, false)),
            (HardRock, known(0.01, 0.0, true)),
        ]),
        methods: vec![method("jetting", 20.0)],
        design: WellDesign {
            rate_lps: 0.25,
            pumping_hours: 4.0,
            well_radius_m: 0.055,
            screen_min_m: 3.0,
            screen_max_m: 6.0,
            submergence_m: 1.0,
            sump_m: 1.0,
            lift_max_m: None,
            bias_divisor: 1.0,
            well_loss_d2_per_m5: 0.0,
            u_most: 0.05,
            step_m: 0.5,
        },
        poor_quality_chance: 0.0,
        bores: 2000,
        seed: 1,
    }
}

fn drilled(inputs: &VirtualBoreInputs) -> MethodForecast {
    virtual_bores(inputs).unwrap().methods.remove(0)
}

/// Four standard deviations of a share counted over so many bores.
fn by_luck(share: f64, inputs: &VirtualBoreInputs) -> f64 {
    4.0 * (share * (1.0 - share) / f64::from(inputs.bores)).sqrt()
}
