//! The ground and the water in it, as far as neighbours and trial bores show
//! them: what drillers' words mean, how deep a method gets before it is
//! refused, and how deep the water stands in the driest month.

mod dictionary;
mod level;
mod log;
mod material;
pub mod microbes;
pub mod nitrate;
mod refusal;
pub mod season;
pub mod travel_time;

pub use dictionary::{Meaning, WaterHabit, read_material, water_habit};
pub use level::{LevelPriors, LevelSeason, WellLevel, level_at_peg, level_in_well, weighted_median};
pub use log::{Log, ReadLayer, UnreadLayer, WaterBand};
pub use material::{Classes, MaterialClass, Sure};
pub use refusal::{DepthBand, refusal, refuses, rock};
