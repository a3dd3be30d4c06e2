//! What the scores of [`crate::stats`] leave to be said of a back-test:
//! quantiles, and how sure a gain is.

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
