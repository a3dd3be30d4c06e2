//! What lies below the peg: the water table, the way the water flows and how
//! much is known of both.

pub mod flow;
pub mod idw;
pub mod kriging;
pub mod scores;
pub mod variogram;
mod wedge;
