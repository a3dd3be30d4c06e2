//! Do two groups of records come out differently? The difference of their
//! shares of success, with a 95 % interval.
//!
//! The interval is the wider, at either end, of two: that of the two Wilson
//! intervals put together (Newcombe 1998, Stat. Med. 17:873, method 10; from
//! memory), and that of the sums of squares of ground, where records of one
//! square are not independent (Liang & Zeger 1986, Biometrika 73; from
//! memory).

use std::collections::BTreeMap;

use super::result::{Difference, Share};
use crate::ground::ChanceBand;
use crate::stats::normal_quantile;

/// A record of one of the groups: its square of ground, and whether it came
/// to a success.
pub(super) type Member = ((i64, i64), bool);

/// The share of successes of a group; few are flagged.
pub(super) fn share(n: usize, successes: usize, least: usize) -> Share {
    let share = (n > 0).then(|| successes as f64 / n as f64);
    let band = ChanceBand::wilson95(share.unwrap_or(0.0), n as f64);
    Share { n, successes, share, band95: [band.low, band.high], few: n < least }
}

/// The share of the first group less that of the second.
pub(super) fn difference(a: &[Member], b: &[Member], least: usize) -> Difference {
    let of = |group: &[Member]| share(group.len(), group.iter().filter(|(_, yes)| *yes).count(), least);
    let (first, second) = (of(a), of(b));
    let (Some(p), Some(q)) = (first.share, second.share) else {
        return Difference { first, second, difference: None, band95: None, verdict: "one group only" };
    };
    let d = p - q;
    let ([low_p, high_p], [low_q, high_q]) = (first.band95, second.band95);
    let mut low = d - (p - low_p).hypot(high_q - q);
    let mut high = d + (high_p - p).hypot(q - low_q);
    if let Some(error) = standard_error(a, b, p, q) {
        let half = normal_quantile(0.975) * error;
        low = low.min(d - half);
        high = high.max(d + half);
    }
    let [low, high] = [low, high].map(|x| x.clamp(-1.0, 1.0));
    let verdict = match () {
        () if first.few || second.few => "too few",
        () if low > 0.0 => "tells",
        () if high < 0.0 => "tells the wrong way",
        () => "not told apart",
    };
    Difference { first, second, difference: Some(d), band95: Some([low, high]), verdict }
}

/// `None` with fewer than two squares.
fn standard_error(a: &[Member], b: &[Member], p: f64, q: f64) -> Option<f64> {
    let mut sums: BTreeMap<(i64, i64), f64> = BTreeMap::new();
    for (group, share, sign) in [(a, p, 1.0), (b, q, -1.0)] {
        for (square, yes) in group {
            let off = f64::from(u8::from(*yes)) - share;
            *sums.entry(*square).or_default() += sign * off / group.len() as f64;
        }
    }
    let g = sums.len() as f64;
    (g > 1.0).then(|| (sums.values().map(|s| s * s).sum::<f64>() * g / (g - 1.0)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn group(n: usize, yes: usize, square: impl Fn(usize) -> i64) -> Vec<Member> {
        (0..n).map(|i| ((square(i), 0), i < yes)).collect()
    }

    /// Newcombe's own example, 56 of 70 less 48 of 80: 0.0524 to 0.3339.
    #[test]
    fn the_interval_agrees_with_a_published_example() {
        // All in one square: nothing to tell clusters from.
        let d = difference(&group(70, 56, |_| 0), &group(80, 48, |_| 0), 10);
        let [low, high] = d.band95.unwrap();
        assert!((low - 0.0524).abs() < 5e-5 && (high - 0.3339).abs() < 5e-5, "{low} {high}");
        assert_eq!(d.verdict, "tells");
    }

    #[test]
    fn records_of_one_square_widen_it() {
        let apart = difference(&group(40, 30, |i| i as i64), &group(40, 18, |i| 100 + i as i64), 10);
        let together =
            difference(&group(40, 30, |i| i as i64 / 20), &group(40, 18, |i| 100 + i as i64 / 20), 10);
        assert_eq!((apart.verdict, together.verdict), ("tells", "not told apart"));
    }

    #[test]
    fn few_are_never_told_apart_and_none_are_no_group() {
        assert_eq!(
            difference(&group(9, 9, |i| i as i64), &group(50, 0, |i| 100 + i as i64), 10).verdict,
            "too few"
        );
        let none = difference(&[], &group(50, 0, |i| i as i64), 10);
        assert_eq!((none.verdict, none.difference), ("one group only", None));
    }
}
