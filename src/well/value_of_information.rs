//! What it is worth to find something out before deciding.
//!
//! Without it the best act brings V = maxₐ Σₛ pₛ·u(a, s). A result r turns up
//! with the chance P(r) = Σₛ pₛ·l(r, s), and the best act then brings
//! maxₐ Σₛ pₛ·l(r, s)·u(a, s)/P(r). What the finding out is worth is the mean
//! of that over all results less V (EVSI); knowing the state itself would be
//! worth EVPI = Σₛ pₛ·maxₐ u(a, s) − V, and nothing is ever worth more.
//!
//! p chance of each state of the ground; u what an act brings in each state,
//! in money; l chance of each result in each state. It should be done where
//! its worth is above its price.
//!
//! Source: Raiffa & Schlaifer (1961), Applied Statistical Decision Theory,
//! Harvard (from memory).

use crate::units::OutOfRange;
use crate::units::range::{finite, from_to, not_negative, share};

/// How far a sum of chances may be off 1 by rounding.
const ROUNDING: f64 = 1e-9;

/// Why nothing can be said.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoDecision {
    /// A figure cannot be used.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// There is no act to choose or no state to be in.
    #[error("a decision needs at least one act and one state")]
    Empty,
    /// A row has not one figure for each state.
    #[error("there are {states} states but a row of {figures} figures")]
    Uneven {
        /// How many states there are.
        states: usize,
        /// How many figures the row has.
        figures: usize,
    },
}

/// Acts to choose from, over states that nobody knows.
#[derive(Debug, Clone, PartialEq)]
pub struct Decision {
    chances: Vec<f64>,
    /// For each act what it brings in each state.
    brings: Vec<Vec<f64>>,
}

/// What one result would mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AfterResult {
    /// The chance that it turns up.
    pub chance: f64,
    /// The best act then; the first of equals.
    pub best_act: usize,
    /// What it then brings on average.
    pub value: f64,
}

/// What finding something out is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct Information {
    /// The best act without it; the first of equals.
    pub best_act: usize,
    /// What that brings on average.
    pub value_without: f64,
    /// What it is worth; never below 0.
    pub worth: f64,
    /// The chance that it changes the best act.
    pub chance_of_change: f64,
    /// Each result that can turn up.
    pub results: Vec<AfterResult>,
}

impl Decision {
    /// Over states of those chances, acts that bring so much in each state.
    ///
    /// # Errors
    /// When there is no act or state, a row is uneven, the chances do not sum
    /// to 1 or a figure is out of range.
    pub fn new(chances: Vec<f64>, brings: Vec<Vec<f64>>) -> Result<Self, NoDecision> {
        if chances.is_empty() || brings.is_empty() {
            return Err(NoDecision::Empty);
        }
        for chance in &chances {
            share("the chance of a state", *chance)?;
        }
        let sum = chances.iter().sum();
        from_to("the sum of the chances of all states", sum, 1.0 - ROUNDING, 1.0 + ROUNDING)?;
        for row in &brings {
            even(row, chances.len())?;
            for money in row {
                finite("what an act brings", *money)?;
            }
        }
        Ok(Self { chances, brings })
    }

    /// The best act over states of those weights and what it brings.
    fn best(&self, weights: &[f64]) -> Result<(usize, f64), OutOfRange> {
        let mut best: Option<(usize, f64)> = None;
        for (act, row) in self.brings.iter().enumerate() {
            let brings = finite("what an act brings on average", sum_of_products(row, weights))?;
            if best.is_none_or(|(_, most)| brings > most) {
                best = Some((act, brings));
            }
        }
        Ok(best.unwrap_or((0, 0.0)))
    }

    /// The best act as things stand, the first of equals, and what it brings
    /// on average.
    ///
    /// # Errors
    /// When the average is no number.
    pub fn best_act(&self) -> Result<(usize, f64), OutOfRange> {
        self.best(&self.chances)
    }

    /// What knowing the state would be worth (EVPI).
    ///
    /// # Errors
    /// When the average is no number.
    pub fn worth_of_knowing_all(&self) -> Result<f64, OutOfRange> {
        let most =
            |s: usize| self.brings.iter().filter_map(|row| row.get(s)).copied().fold(f64::MIN, f64::max);
        let all: f64 = self.chances.iter().enumerate().map(|(s, p)| p * most(s)).sum();
        Ok(finite("what knowing all is worth", all - self.best_act()?.1)?.max(0.0))
    }

    /// What finding something out is worth (EVSI), given for each result its
    /// chance in each state.
    ///
    /// # Errors
    /// When a row is uneven, the chances of the results in a state do not sum
    /// to 1, or a figure is out of range.
    pub fn worth_of(&self, likelihoods: &[Vec<f64>]) -> Result<Information, NoDecision> {
        let mut sums = vec![0.0; self.chances.len()];
        for row in likelihoods {
            even(row, self.chances.len())?;
            for (sum, chance) in sums.iter_mut().zip(row) {
                *sum += share("the chance of a result", *chance)?;
            }
        }
        for sum in sums {
            from_to("the sum of the chances of all results", sum, 1.0 - ROUNDING, 1.0 + ROUNDING)?;
        }
        let (best_act, value_without) = self.best_act()?;
        let (mut with, mut chance_of_change, mut results) = (0.0, 0.0, Vec::new());
        let mut joint = Vec::with_capacity(self.chances.len());
        for row in likelihoods {
            joint.clear();
            joint.extend(row.iter().zip(&self.chances).map(|(l, p)| l * p));
            let chance: f64 = joint.iter().sum();
            if chance <= 0.0 {
                continue;
            }
            let (act, brings) = self.best(&joint)?;
            // An act that is only as good is no change.
            let kept = self.brings.get(best_act).map_or(0.0, |acts| sum_of_products(acts, &joint));
            let changes = brings > kept + ROUNDING * (1.0 + brings.abs()) * chance;
            let act = if changes { act } else { best_act };
            if changes {
                chance_of_change += chance;
            }
            with += brings;
            let value = finite("what an act brings after a result", brings / chance)?;
            results.push(AfterResult { chance, best_act: act, value });
        }
        let worth = finite("what finding out is worth", with - value_without)?.max(0.0);
        Ok(Information { best_act, value_without, worth, chance_of_change, results })
    }
}

/// Summed in four parts: there may be ten thousand states.
fn sum_of_products(a: &[f64], b: &[f64]) -> f64 {
    let (mut fours_a, mut fours_b) = (a.chunks_exact(4), b.chunks_exact(4));
    let mut sums = [0.0; 4];
    for (a, b) in fours_a.by_ref().zip(fours_b.by_ref()) {
        for ((sum, a), b) in sums.iter_mut().zip(a).zip(b) {
            *sum += a * b;
        }
    }
    let rest: f64 = fours_a.remainder().iter().zip(fours_b.remainder()).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + rest
}

fn even(row: &[f64], states: usize) -> Result<(), NoDecision> {
    if row.len() == states { Ok(()) } else { Err(NoDecision::Uneven { states, figures: row.len() }) }
}

/// A trial hole, or another sign with two results, before a well that may
/// fail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// The chance of success as things stand.
    pub chance: f64,
    /// What a working well is worth.
    pub benefit: f64,
    /// What it costs.
    pub success_cost: f64,
    /// What a failed hole costs.
    pub failure_cost: f64,
    /// The chance that the sign is good where the well would succeed.
    pub sensitivity: f64,
    /// The chance that the sign is bad where it would fail.
    pub specificity: f64,
}

/// What the trial is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialWorth {
    /// What the better of drilling and leaving brings without it.
    pub value_without: f64,
    /// The chance of a good sign.
    pub good_sign: f64,
    /// The chance of success after a good sign; `None` where none can come.
    pub after_good_sign: Option<f64>,
    /// The chance of success after a bad sign; `None` where none can come.
    pub after_bad_sign: Option<f64>,
    /// What the trial is worth, and so the most to pay for it.
    pub worth: f64,
    /// What knowing for sure would be worth.
    pub worth_of_knowing_all: f64,
    /// The chance that the sign changes whether to drill.
    pub chance_of_change: f64,
}

impl Trial {
    /// What it is worth.
    ///
    /// # Errors
    /// When a chance is not from 0 to 1 or money below 0.
    pub fn worth(&self) -> Result<TrialWorth, NoDecision> {
        let p = share("the chance of success", self.chance)?;
        let a = share("the sensitivity of the sign", self.sensitivity)?;
        let b = share("the specificity of the sign", self.specificity)?;
        let benefit = not_negative("what a working well is worth", self.benefit)?;
        let success = not_negative("the cost of a working well", self.success_cost)?;
        let failure = not_negative("the cost of a failed hole", self.failure_cost)?;
        // Leaving comes first, so that an even choice is to leave.
        let acts = vec![vec![0.0, 0.0], vec![benefit - success, -failure]];
        let decision = Decision::new(vec![p, 1.0 - p], acts)?;
        let known = decision.worth_of(&[vec![a, 1.0 - b], vec![1.0 - a, b]])?;
        let good_sign = a * p + (1.0 - b) * (1.0 - p);
        let after = |joint: f64, sign: f64| (sign > 0.0).then(|| joint / sign);
        Ok(TrialWorth {
            value_without: known.value_without,
            good_sign,
            after_good_sign: after(a * p, good_sign),
            after_bad_sign: after((1.0 - a) * p, 1.0 - good_sign),
            worth: known.worth,
            worth_of_knowing_all: decision.worth_of_knowing_all()?,
            chance_of_change: known.chance_of_change,
        })
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    const TRIAL: Trial = Trial {
        chance: 0.6,
        benefit: 2000.0,
        success_cost: 1200.0,
        failure_cost: 900.0,
        sensitivity: 0.9,
        specificity: 0.8,
    };

    #[test]
    fn a_sign_that_says_nothing_is_worth_nothing() {
        let blind = Trial { sensitivity: 0.5, specificity: 0.5, ..TRIAL }.worth().unwrap();
        assert!(blind.worth.abs() < 1e-9 && blind.chance_of_change == 0.0);
    }

    #[test]
    fn a_sign_that_never_errs_is_worth_knowing_all() {
        let sure = Trial { sensitivity: 1.0, specificity: 1.0, ..TRIAL }.worth().unwrap();
        assert!((sure.worth - sure.worth_of_knowing_all).abs() < 1e-9);
        assert!((sure.chance_of_change - 0.4).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_worth_finding_out_where_nothing_would_change() {
        let poor = Trial { benefit: 100.0, ..TRIAL }.worth().unwrap();
        assert_eq!((poor.worth, poor.chance_of_change), (0.0, 0.0));
        let sure = Trial { chance: 1.0, ..TRIAL }.worth().unwrap();
        assert!(sure.worth.abs() < 1e-9 && sure.after_good_sign == Some(1.0));
    }

    #[test]
    fn no_finding_is_worth_more_than_knowing_all() {
        for i in 0..=20 {
            for (a, b) in [(0.9, 0.8), (0.6, 0.95), (0.99, 0.3)] {
                let trial = Trial { chance: f64::from(i) / 20.0, sensitivity: a, specificity: b, ..TRIAL };
                let worth = trial.worth().unwrap();
                assert!(worth.worth <= worth.worth_of_knowing_all + 1e-9, "{trial:?}");
            }
        }
    }

    /// By hand: as things stand the acts bring 4, 4.4 and 3; after the first
    /// result (chance 0.5) the first act is best, after the second the second.
    #[test]
    fn more_states_and_acts_agree_with_hand_reckoning() {
        let acts = vec![vec![10.0, 2.0, 1.0], vec![4.0, 8.0, 2.0], vec![3.0, 3.0, 3.0]];
        let decision = Decision::new(vec![0.3, 0.3, 0.4], acts).unwrap();
        assert_eq!(decision.best_act().unwrap().0, 1);
        let known = decision.worth_of(&[vec![1.0, 0.0, 0.5], vec![0.0, 1.0, 0.5]]).unwrap();
        // One: 3.0 + 0.2·1 = 3.2 of act 0; two: 0.3·8 + 0.2·2 = 2.8 of act 1.
        assert!((known.worth - (3.2 + 2.8 - 4.4)).abs() < 1e-12, "{known:?}");
        assert!((known.chance_of_change - 0.5).abs() < 1e-12);
        assert_eq!(known.results.iter().map(|r| r.best_act).collect::<Vec<_>>(), [0, 1]);
        assert!((decision.worth_of_knowing_all().unwrap() - (3.0 + 2.4 + 1.2 - 4.4)).abs() < 1e-12);
    }

    #[test]
    fn chances_that_do_not_sum_to_one_are_refused() {
        assert!(Decision::new(vec![0.5, 0.6], vec![vec![0.0, 0.0]]).is_err());
        assert_eq!(Decision::new(vec![], vec![vec![]]), Err(NoDecision::Empty));
        let decision = Decision::new(vec![0.5, 0.5], vec![vec![0.0, 1.0]]).unwrap();
        assert!(decision.worth_of(&[vec![0.5, 0.5]]).is_err());
        assert!(matches!(decision.worth_of(&[vec![1.0]]), Err(NoDecision::Uneven { .. })));
        assert!(Decision::new(vec![1.0], vec![vec![f64::NAN]]).is_err());
    }
}
