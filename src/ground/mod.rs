//! The ground and the water in it, as far as neighbours and trial bores show
//! them: what drillers' words mean, how deep a method gets before it is
//! refused, how deep the water stands in the driest month, and which way it
//! flows.

mod dictionary;
pub mod flow;
pub mod idw;
pub mod kriging;
mod level;
mod log;
mod material;
mod refusal;
pub mod scores;
pub mod variogram;
pub mod water_table;
mod wedge;

pub use dictionary::{Meaning, WaterHabit, read_material, water_habit};
pub use level::{LevelPriors, LevelSeason, WellLevel, level_at_peg, level_in_well, weighted_median};
pub use log::{Log, ReadLayer, UnreadLayer, WaterBand};
pub use material::{Classes, MaterialClass, Sure};
pub use refusal::{DepthBand, refusal, refuses, rock};
