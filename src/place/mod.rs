//! Where things are: how far and in which direction from the peg, what is
//! near it, and how sure that is.
//!
//! Distances are metres over the WGS84 ellipsoid, directions degrees from
//! true north. [`distance_m`], [`bearing_deg`] and [`destination`] are exact
//! anywhere; [`Plane`] is the level ground at a peg; [`PlaceIndex`] answers
//! "nearest" and "within" for any number of shapes; [`separation`] says what
//! the errors of two positions leave of a distance; [`free_ground`] is where
//! on a plot a well may stand.

mod ecef;
mod edge;
mod enu;
pub mod free_ground;
mod geodesy;
mod index;
mod inside;
mod order;
mod points;
mod separation;

pub use ecef::{Ecef, geodesic_of_chord_m};
pub use enu::{Offset, Plane};
pub use geodesy::{bearing_deg, destination, distance_m};
pub use index::{Hit, PlaceIndex};
pub use order::visiting_order;
pub use separation::{UnstatedAccuracy, accuracy_of_band_m, seen_from, separation};
