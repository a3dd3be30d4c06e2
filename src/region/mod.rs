//! The hydrogeological setting: limits, priors, seasons, methods and prices,
//! each value with its unit, source, basis and the file that set it.
//!
//! Three layers are laid over one another: the built-in defaults, the
//! setting, and the user's local file (an authority's own code).

mod currency;
mod draft;
mod entry;
mod finish;
mod lay;
mod layer_file;
mod load;
mod model;
mod names;
mod walk;

#[cfg(test)]
mod tests;

pub use load::{BuiltIn, UNSTATED, check, load, settings};
pub use model::*;
pub use names::{ASK_KINDS, MATERIAL_CLASSES};
