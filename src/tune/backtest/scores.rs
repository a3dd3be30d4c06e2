//! What the scores of [`crate::stats`] leave to be said of a back-test: cases
//! that count differently or stand at several levels, quantiles, and how sure
//! a gain is.

use crate::stats::{Foretold, brier_of, log_score_of};

/// A chance that was told of a record, and what came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Case {
    /// The chance and what came.
    pub told: Foretold,
    /// The record it was told of.
    pub of: usize,
    /// What it was told for (a depth), from 0: only cases of one level are
    /// ranked against each other.
    pub level: usize,
    /// How many cases it stands for.
    pub weight: f64,
}

/// The mean Brier score.
pub fn brier(cases: &[Case]) -> Option<f64> {
    weighted(cases, |c| brier_of(&c.told))
}

/// The mean log score.
pub fn log_score(cases: &[Case]) -> Option<f64> {
    weighted(cases, |c| log_score_of(&c.told))
}

/// The share that came.
pub fn share(cases: &[Case]) -> Option<f64> {
    weighted(cases, |c| c.told.yes)
}

fn weighted(cases: &[Case], of: impl Fn(&Case) -> f64) -> Option<f64> {
    let all: f64 = cases.iter().map(|c| c.weight).sum();
    (all > 0.0).then(|| cases.iter().map(|c| c.weight * of(c)).sum::<f64>() / all)
}

/// The area under the curve by `ranks` (higher for a likelier yes), over pairs
/// of a yes and a no of one level; ties count half. `None` without a pair.
pub fn auc(cases: &[Case], ranks: &[f64]) -> Option<f64> {
    let mut sorted: Vec<(&Case, f64)> = cases.iter().zip(ranks.iter().copied()).collect();
    sorted.sort_by(|(a, x), (b, y)| a.level.cmp(&b.level).then(x.total_cmp(y)));
    let (mut won, mut all) = (0.0, 0.0);
    for level in sorted.chunk_by(|(a, _), (b, _)| a.level == b.level) {
        // Noes below, yeses so far.
        let (mut below, mut yeses) = (0.0, 0.0);
        for alike in level.chunk_by(|(_, x), (_, y)| x.total_cmp(y).is_eq()) {
            let yes: f64 = alike.iter().map(|(c, _)| c.weight * c.told.yes).sum();
            let no: f64 = alike.iter().map(|(c, _)| c.weight * (1.0 - c.told.yes)).sum();
            won += yes * (below + 0.5 * no);
            below += no;
            yeses += yes;
        }
        all += yeses * below;
    }
    (all > 0.0).then(|| (won / all).clamp(0.0, 1.0))
}

/// The mean; `None` of nothing.
pub fn mean(values: impl ExactSizeIterator<Item = f64>) -> Option<f64> {
    let n = values.len();
    (n > 0).then(|| values.sum::<f64>() / n as f64)
}

/// The value that the share `p` of the values does not exceed, between two
/// neighbours in proportion; `None` of nothing.
pub fn quantile(values: &mut [f64], p: f64) -> Option<f64> {
    let last = values.len().checked_sub(1)?;
    let rank = p.clamp(0.0, 1.0) * last as f64;
    let (low, part) = (rank.floor() as usize, rank.fract());
    let (_, at, above) = values.select_nth_unstable_by(low.min(last), f64::total_cmp);
    let at = *at;
    let next = above.iter().copied().fold(f64::INFINITY, f64::min);
    Some(if next.is_finite() { at + part * (next - at) } else { at })
}

/// A gain and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// Mean of what the other lost more.
    pub gain: f64,
    /// Its standard error.
    pub standard_error: f64,
    /// How many groups it rests on.
    pub groups: usize,
}

/// The mean of `differences`, and its standard error where those of one group
/// are not independent: by the sums of the groups (Liang & Zeger 1986,
/// Biometrika 73; from memory), times *g*/(*g* − 1). `None` with fewer than
/// two groups.
pub fn gain<G: Ord>(differences: &[f64], groups: impl Iterator<Item = G>) -> Option<Gain> {
    let n = differences.len() as f64;
    let gain = mean(differences.iter().copied())?;
    let mut sums: std::collections::BTreeMap<G, f64> = std::collections::BTreeMap::new();
    for (difference, group) in differences.iter().zip(groups) {
        *sums.entry(group).or_default() += difference - gain;
    }
    let g = sums.len();
    let square: f64 = sums.values().map(|s| s * s).sum();
    (g > 1).then(|| Gain { gain, standard_error: (square * g as f64 / (g - 1) as f64).sqrt() / n, groups: g })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case(chance: f64, yes: bool, level: usize, weight: f64) -> Case {
        Case { told: Foretold { chance, yes: f64::from(u8::from(yes)) }, of: 0, level, weight }
    }

    #[test]
    fn the_area_is_that_of_pairs_of_one_level() {
        let c = [
            case(0.9, true, 0, 1.0),
            case(0.4, true, 0, 1.0),
            case(0.4, false, 0, 1.0),
            case(0.1, false, 0, 1.0),
            // Alone in its level: no pair.
            case(0.99, false, 1, 1.0),
        ];
        let ranks: Vec<f64> = c.iter().map(|c| c.told.chance).collect();
        assert_eq!(auc(&c, &ranks), Some(3.5 / 4.0));
        assert_eq!(auc(&c[3..], &ranks[3..]), None);
    }

    #[test]
    fn a_case_that_stands_for_two_counts_twice() {
        let twice = [case(0.8, true, 0, 2.0), case(0.3, false, 0, 1.0)];
        let each = [case(0.8, true, 0, 1.0), case(0.8, true, 0, 1.0), case(0.3, false, 0, 1.0)];
        assert!((brier(&twice).unwrap() - brier(&each).unwrap()).abs() < 1e-15);
        assert!((log_score(&twice).unwrap() - log_score(&each).unwrap()).abs() < 1e-15);
        assert!((share(&twice).unwrap() - 2.0 / 3.0).abs() < 1e-15);
        assert_eq!(brier(&[]), None);
    }

    #[test]
    fn a_quantile_lies_between_its_neighbours() {
        let of = |p| quantile(&mut [4.0, 1.0, 3.0, 2.0], p);
        assert_eq!((of(0.0), of(0.5), of(1.0)), (Some(1.0), Some(2.5), Some(4.0)));
        assert_eq!(quantile(&mut [], 0.5), None);
    }

    #[test]
    fn records_of_one_group_count_as_one_when_they_agree() {
        let alone = gain(&[1.0, -1.0, 1.0, -1.0], 0..4).unwrap();
        let twice = gain(&[1.0, 1.0, -1.0, -1.0], [0, 0, 1, 1].into_iter()).unwrap();
        assert!((alone.standard_error - (4.0_f64 * 4.0 / 3.0).sqrt() / 4.0).abs() < 1e-12);
        assert!((twice.standard_error - (8.0_f64 * 2.0).sqrt() / 4.0).abs() < 1e-12);
        assert_eq!(gain(&[1.0], [0].into_iter()), None);
    }
}
