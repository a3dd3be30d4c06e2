//! Numerical groundwork of the estimators: what belongs to statistics and
//! linear algebra and to nothing that is drilled.

mod linear;
mod normal;

pub use linear::{Factor, LastRow};
pub use normal::{normal_density, normal_quantile};
