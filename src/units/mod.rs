//! Quantities with their unit and their uncertainty.

mod amount;
mod estimate;
mod normal;
pub mod range;
mod unit;

pub use amount::{Amount, AmountFault, Currency, decimal};
pub use estimate::{Combine, Estimate, NotANumber, Part};
pub use normal::standard_normal_below;
pub use range::OutOfRange;
pub use unit::Unit;
