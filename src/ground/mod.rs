//! The ground and the water in it, as far as neighbours and trial bores show
//! them: what drillers' words mean and what soil and rock are by hand, how
//! deep a method gets before it is refused, how deep the water stands in the
//! driest month and which way it flows, how well ground lets water through,
//! and what thousands of virtual bores drilled from all of that come to.

mod dictionary;
pub mod flow;
mod grain_size;
pub mod idw;
mod interval;
pub mod kriging;
mod level;
mod log;
mod material;
pub mod microbes;
pub mod nitrate;
pub mod occurrence;
mod properties;
mod refusal;
pub mod scores;
pub mod season;
pub mod slopes;
mod soil_by_feel;
mod survival;
pub mod travel_time;
pub mod variogram;
pub mod virtual_bore;
pub mod water_table;
mod wedge;

pub use dictionary::{Meaning, WaterHabit, read_material, water_habit};
pub use grain_size::{GrainSize, grain_size};
pub use interval::ChanceBand;
pub use level::{
    LevelPriors, LevelSeason, WellLevel, level_at_peg, level_in_well, season_of_reading, weighted_median,
};
pub use log::{Log, ReadLayer, UnreadLayer, WaterBand};
pub use material::{Classes, MaterialClass, Sure};
pub use properties::{Properties, PropertyRange, properties};
pub use refusal::{DepthBand, refusal, refuses, refuses_all, rock};
pub use soil_by_feel::{ClayByThumb, HammerGrade, HandDrillable, Ribbon, Texture};
pub use survival::{BadBore, BoreEnd, BoreSeen, PastDepth, Survival, SurvivalStep};
