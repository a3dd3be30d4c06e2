//! Numerical groundwork of the estimators: what belongs to statistics and
//! linear algebra and to nothing that is drilled.

mod effective;
mod linear;
mod normal;
mod random;
mod scores;

pub use effective::effective_number;
pub use linear::{Factor, LastRow};
pub use normal::{normal_density, normal_quantile};
pub use random::Random;
pub use scores::{Foretold, LOG_SCORE_CLIP, auc, auc_of_ranks, brier, brier_of, log_score, log_score_of};
