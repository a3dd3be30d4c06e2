//! The hydrogeological setting: limits, priors, seasons, methods and prices,
//! each value with its unit, source, basis and the file that set it.
//!
//! Three layers are laid over one another: the built-in defaults, the
//! setting, and the user's local file (an authority's own code).

mod model;

pub use model::*;
