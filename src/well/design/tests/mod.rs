//! Designs on invented ground with the built-in figures.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp)]

mod edges;
mod promises;
mod refusals;
mod worked;

use crate::diag::{Problems, Sources};
use crate::ground::MaterialClass;
use crate::region::{self, Region, UNSTATED};
use crate::survey::Method;
use crate::units::Part;

use super::*;

fn region() -> Region {
    region::load(UNSTATED, None, &mut Sources::new(), &mut Problems::new()).unwrap()
}

fn figures() -> DesignFigures {
    DesignFigures::of(&region()).unwrap()
}

fn part(low: f64, value: f64, high: f64) -> Part {
    Part { low, value, high }
}

fn layer(top_m: f64, bottom_m: f64, class: MaterialClass) -> DesignLayer {
    DesignLayer { top_m, bottom_m, classes: vec![(class, 1.0)], refuses: false }
}

fn method(method: Method) -> DesignMethod {
    let region = region();
    DesignMethod::of(method, &region.methods[&method], &figures().fluid)
}

fn lift(name: &str) -> DesignLift {
    DesignLift::of(&region().lifts[name])
}

/// Sand from 5 to 20 m under clay, water at about 6 m in the driest month, a
/// direct-action pump in a hole jetted by hand.
fn valley() -> DesignInputs {
    DesignInputs {
        layers: vec![
            layer(0.0, 1.0, MaterialClass::Topsoil),
            layer(1.0, 5.0, MaterialClass::SoftClay),
            layer(5.0, 20.0, MaterialClass::SandWet),
            layer(20.0, 25.0, MaterialClass::SoftClay),
        ],
        aquifer: 2,
        dry_level_m: part(5.0, 6.0, 7.0),
        wet_level_m: part(2.0, 3.0, 4.0),
        drawdown_m: part(1.0, 2.0, 3.0),
        rate_lps: part(0.2, 0.25, 0.3),
        hours_per_day: 8.0,
        method: method(Method::ManualRotaryJetting),
        lift: lift("direct-action hand pump"),
        casings: region().casings.values().map(CasingSize::of).collect(),
        sieve: None,
    }
}

fn design(inputs: &DesignInputs) -> WellDesignSheet {
    design_well(inputs, &figures()).unwrap_or_else(|r| panic!("{r:#?}"))
}

fn refused(inputs: &DesignInputs) -> Vec<RefusalKind> {
    design_well(inputs, &figures()).unwrap_err().into_iter().map(|r| r.kind).collect()
}

fn warns(sheet: &WellDesignSheet, words: &str) -> bool {
    sheet.warnings.iter().any(|w| w.text.contains(words))
}
