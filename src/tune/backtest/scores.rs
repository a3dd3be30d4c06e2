//! How good forecasts were, against what was then seen.
//!
//! Chances: the Brier score is the mean square of chance less outcome (0 or
//! 1), 0 the best (Brier 1950, Monthly Weather Review 78; from memory). The
//! log score is the mean of −ln of the chance given to what happened, 0 the
//! best (Good 1952, J. R. Statist. Soc. B 14; from memory). The area under
//! the curve is the chance that of a yes and a no, drawn at random, the yes
//! had the greater forecast; ties count half (Hanley & McNeil 1982, Radiology
//! 143; from memory): 0.5 is no better than drawing lots.

/// A chance of 0 or 1 that proves wrong would cost infinitely much in the log
/// score: chances count as this at the least, and as 1 less this at the most.
pub const LOG_CLIP: f64 = 0.001;

/// A chance and what was then seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Told {
    /// The chance that was forecast.
    pub chance: f64,
    /// Whether it came so.
    pub came: bool,
}

impl Told {
    /// The square of chance less outcome.
    pub fn brier(self) -> f64 {
        (self.chance - f64::from(u8::from(self.came))).powi(2)
    }

    /// −ln of the chance given to what happened.
    pub fn log(self) -> f64 {
        let chance = self.chance.clamp(LOG_CLIP, 1.0 - LOG_CLIP);
        if self.came { -chance.ln() } else { -(1.0 - chance).ln() }
    }
}

/// The mean; `None` of nothing.
pub fn mean(values: impl ExactSizeIterator<Item = f64>) -> Option<f64> {
    let n = values.len();
    (n > 0).then(|| values.sum::<f64>() / n as f64)
}

/// The area under the curve; `None` where all came or none did.
pub fn auc(told: &[Told]) -> Option<f64> {
    let mut sorted = told.to_vec();
    sorted.sort_by(|a, b| a.chance.total_cmp(&b.chance));
    let yes = told.iter().filter(|t| t.came).count() as f64;
    let no = told.len() as f64 - yes;
    if yes < 1.0 || no < 1.0 {
        return None;
    }
    // Of each yes: the noes below it, and half of those level with it.
    let (mut below, mut sum) = (0.0, 0.0);
    for level in sorted.chunk_by(|a, b| a.chance.total_cmp(&b.chance).is_eq()) {
        let came = level.iter().filter(|t| t.came).count() as f64;
        let not = level.len() as f64 - came;
        sum += came * (below + 0.5 * not);
        below += not;
    }
    Some(sum / (yes * no))
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
    (g > 1).then(|| Gain {
        gain,
        standard_error: (square * g as f64 / (g - 1) as f64).sqrt() / n,
        groups: g,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(list: &[(f64, bool)]) -> Vec<Told> {
        list.iter().map(|(chance, came)| Told { chance: *chance, came: *came }).collect()
    }

    #[test]
    fn the_area_counts_pairs_in_the_right_order_and_ties_half() {
        let t = told(&[(0.9, true), (0.4, true), (0.4, false), (0.1, false)]);
        // Pairs: 0.9>0.4, 0.9>0.1, 0.4=0.4, 0.4>0.1.
        assert_eq!(auc(&t), Some(3.5 / 4.0));
        assert_eq!(auc(&told(&[(0.3, true), (0.3, false)])), Some(0.5));
        assert_eq!(auc(&told(&[(0.3, true)])), None);
        assert_eq!(auc(&[]), None);
    }

    #[test]
    fn a_sure_chance_that_proves_wrong_costs_much_but_not_without_end() {
        assert_eq!(Told { chance: 1.0, came: false }.brier(), 1.0);
        assert!((Told { chance: 1.0, came: false }.log() - 1000.0_f64.ln()).abs() < 1e-9);
        assert!((Told { chance: 0.5, came: true }.log() - 2.0_f64.ln()).abs() < 1e-12);
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
