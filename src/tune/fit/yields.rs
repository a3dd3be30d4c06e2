//! Between what ends do the yields of wells that met water lie?

use super::Fitting;
use super::result::Topic;
use super::wells::{Values, square_of};
use crate::tune::records::{Outcome, Records, Skipped};

/// The ends that hold 95 % of wells, by the names of a range's low and high
/// end.
pub(super) const ENDS: [(f64, &str); 2] = [(0.025, "low"), (0.975, "high")];

impl Fitting<'_> {
    pub(super) fn yields(&self, records: &Records) -> Topic {
        let mut topic = self.topic("What wells give", records);
        let mut read = Vec::new();
        for r in &records.all {
            match r.outcome {
                Outcome::Amount(lps) if lps > 0.0 => read.push((lps, square_of(r.at, self.square_m))),
                _ => {
                    let why = "a yield of 0: the hole is no well that met water".to_owned();
                    topic.skipped.push(Skipped { row: r.row, why });
                }
            }
        }
        topic.skipped.sort_by_key(|s| s.row);
        let values = Values::of(read.into_iter());
        (topic.wells, topic.squares) = (values.len(), values.squares());
        topic.notes.push(
            "A pump that gives no more than its own rate hides what the well could give, and a test of hours \
             promises more than lasts: look at how these were measured."
                .to_owned(),
        );
        self.ends(&mut topic, &values, ["yield_prior_low_lps", "yield_prior_high_lps"]);
        topic
    }

    /// Proposes the two ends of a range, both or neither.
    pub(super) fn ends(&self, topic: &mut Topic, values: &Values, names: [&str; 2]) {
        let both = names.join(" and ");
        let Some((low, high)) = values.estimate(0.025).zip(values.estimate(0.975)) else {
            topic.not(&both, "no well tells it.");
            return;
        };
        let independent = low.independent.min(high.independent);
        if independent < self.least_ends {
            topic
                .not(&both, self.too_few(values.len(), independent, self.least_ends, "fit_least_wells_ends"));
            return;
        }
        if values.are_alike() {
            topic.not(&both, "all wells tell the same figure: that is no range.");
            return;
        }
        for ((figure, name), (p, _)) in [low, high].iter().zip(names).zip(ENDS) {
            self.propose(topic, name, figure, values.len(), quantile_method(p));
        }
    }

    /// Why so few wells propose nothing.
    pub(super) fn too_few(&self, wells: usize, independent: f64, least: f64, by: &str) -> String {
        format!(
            "{}, where {least:.0} are needed ({by}).",
            super::counted(wells, independent).replace("that count", "count")
        )
    }
}

/// How a quantile and its interval were found.
pub(super) fn quantile_method(p: f64) -> String {
    format!(
        "{} % of wells read less; ends where Wilson's interval of that share reaches (Woodruff 1952)",
        100.0 * p
    )
}
