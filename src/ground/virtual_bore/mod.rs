//! Ten thousand virtual bores at the peg: how likely a hole made by each
//! method finds enough good water in the driest month, why it fails where it
//! fails, how deep it gets and what it yields. Metres below ground, litres a
//! second.
//!
//! Each virtual bore draws one ground (a neighbour's log, weighted, with its
//! layers thinner or thicker; below its end, what deeper logs show), one
//! dry-season level and one conductivity a layer. Every method then drills
//! that same ground, so that methods differ by what they can do and not by
//! luck. A hole stops where it is a success: at the least depth where a screen
//! of allowed length below the level gives the rate wanted for the hours
//! wanted. It fails where the ground or the method's reach stops it first.
//!
//! Every assumption is in [`VirtualBoreInputs`]; nothing here is a threshold.
//! The same inputs give the same bytes whatever the number of threads: every
//! bore has its own random numbers, from the seed and its own number.

mod by_depth;
mod drill;
mod forecast;
mod ground;
mod inputs;
mod normal;
mod supply;
#[cfg(test)]
mod tests;

pub use by_depth::{GroundAtDepth, ground_by_depth};
pub use drill::{Outcome, Reached};
pub use forecast::{
    Draws, Failures, GroundDraw, MethodForecast, PastShare, Share, Spread, VirtualBores, virtual_bores,
};
pub use inputs::{
    BelowLogs, GroundClass, InputFault, LevelDistribution, LogRange, MethodInputs, VirtualBoreInputs,
    WeightedLog, WellDesign,
};
