//! The well itself, reckoned from depths, diameters and prices: how deep it
//! must go below the water, what drilling water and money it takes, and what
//! it gives in a day. Plain formulas on plain numbers; the ends of a range are
//! put in one by one by whoever calls.

mod cost;
mod depth;
mod drilling_water;
mod supply;

pub use cost::WellPrices;
pub use depth::BelowLevel;
pub use drilling_water::{DrillingWater, hole_volume_l};
pub use supply::litres_per_day;
