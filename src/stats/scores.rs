//! How good chances were, told by what came of them.
//!
//! Where it is itself uncertain what came (`yes` between 0 and 1), a score is
//! what is to be expected over both; with 0 and 1 it is the plain one.
//!
//! Sources: Brier 1950, Verification of forecasts expressed in terms of
//! probability, Monthly Weather Review 78(1); Good 1952, Rational decisions,
//! J. R. Statist. Soc. B 14(1), for the log score; Hanley & McNeil 1982, The
//! meaning and use of the area under a ROC curve, Radiology 143(1) (all from
//! memory).

/// A chance that was told for something, and whether it came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foretold {
    /// The chance told, 0 to 1.
    pub chance: f64,
    /// Whether it came: 1 for yes, 0 for no, or how likely it came.
    pub yes: f64,
}

impl Foretold {
    fn sound(&self) -> bool {
        (0.0..=1.0).contains(&self.chance) && (0.0..=1.0).contains(&self.yes)
    }
}

/// A chance nearer to 0 or 1 than this scores as this far off, so that the log
/// score of a single certainty that failed is 13.8 and not infinite.
pub const LOG_SCORE_CLIP: f64 = 1e-6;

/// Mean of (chance − what came)²: 0 is best, 0.25 what a constant one half
/// gets. `None` without cases or with one that is no chance.
pub fn brier(cases: &[Foretold]) -> Option<f64> {
    mean(cases, brier_of)
}

/// Mean of −ln(chance told for what came), in nats; 0 is best. Chances are
/// taken as at least [`LOG_SCORE_CLIP`] from 0 and 1. `None` without cases or
/// with one that is no chance.
pub fn log_score(cases: &[Foretold]) -> Option<f64> {
    mean(cases, log_score_of)
}

/// The Brier score of one case.
pub fn brier_of(case: &Foretold) -> f64 {
    case.yes * (1.0 - case.chance).powi(2) + (1.0 - case.yes) * case.chance.powi(2)
}

/// The log score of one case.
pub fn log_score_of(case: &Foretold) -> f64 {
    let chance = case.chance.clamp(LOG_SCORE_CLIP, 1.0 - LOG_SCORE_CLIP);
    -(case.yes * chance.ln() + (1.0 - case.yes) * (-chance).ln_1p())
}

fn mean(cases: &[Foretold], of: impl Fn(&Foretold) -> f64) -> Option<f64> {
    let sound = !cases.is_empty() && cases.iter().all(Foretold::sound);
    sound.then(|| cases.iter().map(of).sum::<f64>() / cases.len() as f64)
}

/// The area under the receiver operating characteristic: how likely a yes was
/// told a higher chance than a no, equal chances counting half. One half is
/// what no skill gets. `None` where there is no pair of a yes and a no, or
/// with a case that is no chance.
///
/// Beware of chances that were each made without the case itself: a base rate
/// of the *other* cases is lower for every yes, and its area is 0.
pub fn auc(cases: &[Foretold]) -> Option<f64> {
    let sound = cases.iter().all(Foretold::sound);
    sound.then(|| auc_of_ranks(&cases.iter().map(|c| (c.chance, c.yes)).collect::<Vec<_>>()))?
}

/// The same for pairs of any finite figure that should be higher for a yes,
/// and the yes.
pub fn auc_of_ranks(pairs: &[(f64, f64)]) -> Option<f64> {
    let sound = |(figure, yes): &(f64, f64)| figure.is_finite() && (0.0..=1.0).contains(yes);
    if !pairs.iter().all(sound) {
        return None;
    }
    let mut sorted = pairs.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Noes below, and pairs of a case with itself, which are none.
    let (mut below, mut won, mut own) = (0.0, 0.0, 0.0);
    for alike in sorted.chunk_by(|a, b| a.0 >= b.0) {
        let yes: f64 = alike.iter().map(|(_, yes)| yes).sum();
        let no: f64 = alike.iter().map(|(_, yes)| 1.0 - yes).sum();
        let selves: f64 = alike.iter().map(|(_, yes)| yes * (1.0 - yes)).sum();
        won += yes * below + 0.5 * (yes * no - selves);
        below += no;
        own += selves;
    }
    let yes: f64 = sorted.iter().map(|(_, yes)| yes).sum();
    let all = yes * below - own;
    (all > 1e-12).then(|| (won / all).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cases(pairs: &[(f64, f64)]) -> Vec<Foretold> {
        pairs.iter().map(|(chance, yes)| Foretold { chance: *chance, yes: *yes }).collect()
    }

    #[test]
    fn brier_is_the_mean_square() {
        let c = cases(&[(0.8, 1.0), (0.4, 0.0), (1.0, 1.0), (0.5, 0.0)]);
        assert!((brier(&c).unwrap() - (0.04 + 0.16 + 0.0 + 0.25) / 4.0).abs() < 1e-15);
    }

    #[test]
    fn an_uncertain_truth_scores_as_its_mean() {
        let got = brier(&cases(&[(0.8, 0.25)])).unwrap();
        assert!((got - (0.25 * 0.04 + 0.75 * 0.64)).abs() < 1e-15);
    }

    #[test]
    fn the_log_score_is_clipped_and_not_infinite() {
        let c = cases(&[(0.5, 1.0), (0.25, 0.0)]);
        let by_hand = (std::f64::consts::LN_2 + (4.0_f64 / 3.0).ln()) / 2.0;
        assert!((log_score(&c).unwrap() - by_hand).abs() < 1e-15);
        let failed = log_score(&cases(&[(1.0, 0.0)])).unwrap();
        assert!((failed + LOG_SCORE_CLIP.ln()).abs() < 1e-9);
    }

    /// The example in the documentation of scikit-learn's `roc_auc_score`.
    #[test]
    fn auc_agrees_with_a_published_example() {
        let c = cases(&[(0.1, 0.0), (0.4, 0.0), (0.35, 1.0), (0.8, 1.0)]);
        assert!((auc(&c).unwrap() - 0.75).abs() < 1e-15);
    }

    #[test]
    fn equal_chances_count_half() {
        assert_eq!(auc(&cases(&[(0.3, 1.0), (0.3, 0.0), (0.3, 0.0)])), Some(0.5));
        let c = cases(&[(0.3, 1.0), (0.3, 0.0), (0.1, 0.0), (0.9, 1.0)]);
        assert!((auc(&c).unwrap() - 3.5 / 4.0).abs() < 1e-15);
    }

    /// Half a yes and half a no are no pair with each other.
    #[test]
    fn auc_of_uncertain_truths_is_that_over_all_pairs() {
        let c = cases(&[(0.2, 0.5), (0.6, 1.0)]);
        assert_eq!(auc(&c), Some(1.0));
        let c: [(f64, f64); 4] = [(0.2, 0.25), (0.6, 0.75), (0.6, 0.1), (0.9, 0.6)];
        let (mut won, mut all) = (0.0, 0.0);
        for (i, (p, y)) in c.iter().enumerate() {
            for (_, (q, z)) in c.iter().enumerate().filter(|(j, _)| *j != i) {
                let wins = [0.0, 0.5, 1.0][(p.total_cmp(q) as i8 + 1) as usize];
                all += y * (1.0 - z);
                won += y * (1.0 - z) * wins;
            }
        }
        assert!((auc(&cases(&c)).unwrap() - won / all).abs() < 1e-14);
    }

    #[test]
    fn nothing_to_compare_has_no_score() {
        assert_eq!((brier(&[]), log_score(&[]), auc(&[])), (None, None, None));
        assert_eq!(auc(&cases(&[(0.3, 1.0), (0.4, 1.0)])), None);
        for bad in [(f64::NAN, 1.0), (0.5, f64::NAN), (1.1, 0.0), (0.5, -0.1)] {
            let c = cases(&[bad, (0.5, 0.0), (0.5, 1.0)]);
            assert_eq!((brier(&c), log_score(&c), auc(&c)), (None, None, None));
        }
    }
}
