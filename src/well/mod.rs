//! The well itself, reckoned from depths, diameters and prices: how deep it
//! must go below the water, what drilling water and money it takes, and what
//! it gives in a day. Plain formulas on plain numbers; the ends of a range are
//! put in one by one by whoever calls. [`design`] puts them together into one
//! sheet for one well, [`bill`] into what it costs.

pub mod annulus;
pub mod bailer;
pub mod bailer_rise;
pub mod beta;
pub mod bill;
pub mod chlorine;
pub mod cooper_jacob;
mod cost;
pub mod cost_per_success;
pub mod darcy;
mod depth;
pub mod design;
mod drilling_water;
pub mod dupuit;
pub mod entrance;
pub mod fit;
pub mod ghyben_herzberg;
pub mod grain;
pub mod hvorslev;
mod least_squares;
pub mod line;
pub mod recovery;
pub mod settling;
mod special;
pub mod specific_capacity;
pub mod steps;
mod supply;
pub mod theis;
pub mod thiem;
pub mod uphole;
pub mod value_of_information;
pub mod wall_support;
pub mod water;
pub mod well_yield;
pub mod worth;
pub mod yield_test;

pub use cost::WellPrices;
pub use depth::BelowLevel;
pub use drilling_water::{DrillingWater, hole_volume_l};
pub use supply::litres_per_day;
