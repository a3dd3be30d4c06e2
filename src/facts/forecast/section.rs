//! The ground by depth at the peg, as virtual bores meet it.

use crate::facts::SiteFacts;
use crate::ground::virtual_bore::{GroundAtDepth, ground_by_depth};

impl SiteFacts {
    /// The chance of each class of ground in slices of `step_m`, down to where
    /// the deepest method gets; `None` where nothing can be forecast.
    pub fn ground_by_depth(&self, step_m: f64) -> Option<Vec<GroundAtDepth>> {
        let forecast = self.forecast().ok()?;
        let inputs = &forecast.bores.inputs;
        let deepest_m = inputs.methods.iter().map(|m| m.max_depth_m).fold(0.0, f64::max);
        ground_by_depth(inputs, step_m, deepest_m).ok()
    }
}
