//! The hydrogeological setting: limits, priors, seasons, methods and prices,
//! each value with its unit, source, basis and the file that set it.
//!
//! Three layers are laid over one another: the built-in defaults, the
//! setting, and the user's local file (an authority's own code). A file of
//! any layer looks like this one; every part may be left out where a layer
//! beneath has it:
//!
//! ```toml
//! title = "Lower valley"                # a setting's; a local file needs none
//! about = "What ground it stands for."
//! distance_protects = true              # false in karst, open rock, gravel
//! currency = "KES"
//!
//! [exchange]                            # what one of the currency beneath is worth
//! value = 130
//! source = "…"
//! basis = "published"
//!
//! [limits.pit_latrine_stop_m]
//! value = 50
//! source = "County code, section 4"     # with value and basis always needed
//! basis = "published"                   # or "common practice", "from memory", "local records"
//! unit = "m"                            # unit, about and stricter are those of
//! about = "…"                           # the layer beneath where it has them
//! # relax = "why"                       # local file: take a laxer value all the same
//!
//! [priors.swing_high_m]                 # the same keys, without stricter and relax
//! value = 4
//! source = "…"
//! basis = "common practice"
//!
//! [season]                              # months are 1 to 12; latitudes may be left out
//! wet_months = [4, 5]
//! driest_months = [9, 10]
//! lat_from_deg = -5
//! lat_to_deg = 5
//! source = "…"
//! basis = "published"
//!
//! [methods."hand auger"]                # max_depth_m, hole_mm, per_metre, mobilisation
//! max_depth_m = { value = 12, source = "…", basis = "published" }
//! needs_fluid = false
//! suits = { stiff_clay = "no" }         # yes, slow, cased or no; then source is needed
//! source = "…"
//!
//! [lifts."rope pump"]                   # max_m, flow_lps, price, needs_casing_mm
//! [casings."uPVC 63 mm"]                # outer_mm, inner_mm, slot_mm, open_share, per_metre, slotted_per_metre
//! [asks.tape]                           # what, price
//! [expected_logs."sand over clay"]      # a layer that names any replaces all beneath
//! share = 0.6                           # how common, beside the others
//! layers = [{ to_m = 8, ground = "sand_wet" }, { to_m = 20, ground = "stiff_clay" }]
//! ends = "soft"                         # or "refused": on what refuses hand tools
//! source = "…"
//! basis = "common practice"
//! [authority]
//! name = "District water office"
//! ask = ["Is a permit needed for a hand-drilled well?"]
//! [switch_off.boundary]
//! reason = "The plot is common land."
//! [weights]
//! arsenic = 5
//! ```

mod currency;
mod draft;
mod entry;
mod expected_log;
mod finish;
mod lay;
mod layer_file;
mod load;
mod model;
mod names;
pub(crate) mod walk;

#[cfg(test)]
mod tests;

pub use expected_log::{ExpectedLog, LogEnd};
pub use load::{BuiltIn, UNSTATED, check, load, settings};
pub use model::*;
pub use names::{ASK_KINDS, MATERIAL_CLASSES};
