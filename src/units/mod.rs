//! Quantities with their unit and their uncertainty.

mod estimate;
mod normal;
mod unit;

pub use estimate::{Combine, Estimate, NotANumber, Part};
pub use normal::standard_normal_below;
pub use unit::Unit;
