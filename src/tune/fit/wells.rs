//! What was read of each well, with the square it stands in; shares and
//! quantiles of it with their 95 % intervals.
//!
//! # Wells that stand close together
//! Wells of one village share their ground and are not independent. The
//! ground is cut into squares; how much alike wells of one square are gives
//! the number of independent wells that count for as much
//! ([`crate::stats::effective_number`]), for each figure anew. A village may
//! lie across the edge of its square: the ground is cut in four ways, each
//! shifted by half a side, and the least number counts.
//!
//! # Intervals
//! Of a share: Wilson's on the number of independent wells. Of a quantile:
//! Wilson's interval of the share below it, carried back to the values read
//! there (Woodruff 1952, J. Am. Stat. Assoc. 47:635; from memory). An end
//! beyond the least value read is 0; one beyond the greatest is not known.

use std::collections::BTreeSet;

use super::result::Interval;
use crate::ground::ChanceBand;
use crate::stats::effective_number;

/// In how many ways the ground is cut.
const CUTS: usize = 4;

/// The square of a place in each way of cutting, by its number east and north.
pub(super) type Square = [[i64; 2]; CUTS];

/// The squares of a place.
pub(super) fn square_of([east_m, north_m]: [f64; 2], side_m: f64) -> Square {
    let number = |x: f64, shift: f64| (x / side_m + shift).floor() as i64;
    [(0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5)].map(|(e, n)| [number(east_m, e), number(north_m, n)])
}

/// The fewest squares that hold all, and the way of cutting that gives them.
pub(super) fn squares(all: impl Iterator<Item = Square> + Clone) -> (usize, usize) {
    let of = |cut: usize| all.clone().filter_map(|s| s.get(cut).copied()).collect::<BTreeSet<_>>().len();
    (0..CUTS).map(|cut| (of(cut), cut)).min().unwrap_or_default()
}

/// As how many independent wells they count.
pub(super) fn independent(cases: impl Iterator<Item = (bool, Square)> + Clone) -> f64 {
    let of =
        |cut: usize| effective_number(cases.clone().map(|(yes, square)| (yes, square.get(cut).copied())));
    (0..CUTS).map(of).fold(f64::INFINITY, f64::min)
}

/// Values of wells, none negative, the least first.
#[derive(Debug, Clone, Default)]
pub(super) struct Values {
    sorted: Vec<(f64, Square)>,
}

/// A figure with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Figure {
    pub value: f64,
    pub interval: Interval,
    pub independent: f64,
}

impl Values {
    pub(super) fn of(values: impl Iterator<Item = (f64, Square)>) -> Self {
        let mut sorted: Vec<_> = values.collect();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Self { sorted }
    }

    pub(super) fn len(&self) -> usize {
        self.sorted.len()
    }

    pub(super) fn squares(&self) -> usize {
        squares(self.sorted.iter().map(|v| v.1)).0
    }

    /// The value that the share `p` of the wells does not exceed.
    pub(super) fn quantile(&self, p: f64) -> Option<f64> {
        let last = self.sorted.len().checked_sub(1)?;
        let rank = p.clamp(0.0, 1.0) * last as f64;
        let at = |k: usize| self.sorted.get(k.min(last)).map(|v| v.0);
        let (low, high) = (at(rank.floor() as usize)?, at(rank.ceil() as usize)?);
        Some(low + rank.fract() * (high - low))
    }

    /// The same with its interval.
    pub(super) fn estimate(&self, p: f64) -> Option<Figure> {
        let value = self.quantile(p)?;
        let n = self.sorted.len() as f64;
        // In a tail what is alike in a square hardly shows: as in the middle.
        let least = |p: f64| {
            let at = self.quantile(p)?;
            Some(independent(self.sorted.iter().map(|(v, square)| (*v <= at, *square))))
        };
        let independent = least(p)?.min(least(0.5)?);
        let band = ChanceBand::wilson95(p, independent);
        let at = |rank: f64| self.sorted.get(rank as usize).map(|v| v.0);
        let (below, above) = ((band.low * n).floor() - 1.0, (band.high * n).ceil());
        let low = if below < 0.0 { 0.0 } else { at(below)? };
        let interval = Interval { low: low.min(value), high: at(above).map(|high| high.max(value)) };
        Some(Figure { value, interval, independent })
    }

    /// Whether all are alike.
    pub(super) fn are_alike(&self) -> bool {
        let ends = self.sorted.first().zip(self.sorted.last());
        ends.is_none_or(|(a, b)| b.0 <= a.0)
    }
}

/// The share of yes among wells, with its interval. Where all or none are
/// yes, the middle of the interval: a chance of nothing or of certainty would
/// never be mended by a neighbour.
pub(super) fn share(cases: &[(bool, Square)]) -> Option<Figure> {
    let n = cases.len();
    let yes = cases.iter().filter(|c| c.0).count();
    if n == 0 {
        return None;
    }
    let independent = independent(cases.iter().copied());
    let counted = yes as f64 / n as f64;
    let band = ChanceBand::wilson95(counted, independent);
    let value = if yes == 0 || yes == n { f64::midpoint(band.low, band.high) } else { counted };
    Some(Figure { value, interval: Interval { low: band.low, high: Some(band.high) }, independent })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::Random;

    fn square(i: i64) -> Square {
        [[i, 0]; CUTS]
    }

    /// Each well in its own square.
    fn apart(values: &[f64]) -> Values {
        Values::of(values.iter().zip(0..).map(|(v, i)| (*v, square(i))))
    }

    #[test]
    fn a_median_of_wells_apart_has_the_interval_of_order_statistics() {
        let values: Vec<f64> = (1..=101).map(f64::from).collect();
        let f = apart(&values).estimate(0.5).unwrap();
        // Binomial: the 41st to the 61st of 101, near enough.
        assert!((f.value - 51.0).abs() < 1e-9 && f.independent > 98.0, "{f:?}");
        assert!((39.0..=41.0).contains(&f.interval.low), "{f:?}");
        assert!((61.0..=63.0).contains(&f.interval.high.unwrap()), "{f:?}");
    }

    #[test]
    fn an_end_that_no_well_was_read_beyond_is_open() {
        let values: Vec<f64> = (1..=50).map(f64::from).collect();
        let ends = [0.025, 0.975].map(|p| apart(&values).estimate(p).unwrap().interval);
        assert!(ends[0].low.abs() < 1e-9 && ends[0].high.is_some(), "{ends:?}");
        assert!(ends[1].low > 40.0 && ends[1].high.is_none(), "{ends:?}");
    }

    #[test]
    fn wells_of_one_square_that_agree_widen_the_interval() {
        let alone: Vec<f64> = (0..200).map(f64::from).collect();
        let together = Values::of((0..200).map(|i| (f64::from(i), square(i64::from(i / 20)))));
        let (a, b) = (apart(&alone).estimate(0.5).unwrap(), together.estimate(0.5).unwrap());
        assert!(b.independent < 15.0 && a.independent > 190.0, "{a:?} {b:?}");
        assert!(b.interval.low < a.interval.low && b.interval.high > a.interval.high);
    }

    #[test]
    fn a_village_across_the_edge_of_its_square_counts_once() {
        let wells = |k: i32| (0..10).map(move |i| [f64::from(i) * 20.0 - 100.0, f64::from(k) * 10_000.0]);
        let all = (0..40).flat_map(|k| wells(k).map(move |at| (k % 3 == 0, square_of(at, 2000.0))));
        let n = independent(all.clone());
        assert!((38.0..=41.0).contains(&n), "{n}");
        assert_eq!(squares(all.map(|c| c.1)).0, 40);
    }

    #[test]
    fn a_share_of_none_is_not_nought() {
        let none: Vec<(bool, Square)> = (0..40).map(|i| (false, square(i))).collect();
        let f = share(&none).unwrap();
        assert!(f.value > 0.03 && f.value < 0.06 && f.interval.low.abs() < 1e-12, "{f:?}");
        assert_eq!(share(&[]), None);
    }

    #[test]
    fn the_interval_holds_the_truth_about_nineteen_times_in_twenty() {
        let (mut median, mut rate) = (0, 0);
        for draw in 0..200 {
            let mut random = Random::of_draw(3, draw);
            // Villages of five wells that share half of what they are.
            let mut values = Vec::new();
            let mut yes = Vec::new();
            for village in 0..60 {
                let shared = random.uniform();
                for _ in 0..5 {
                    let own = if random.uniform() < 0.5 { shared } else { random.uniform() };
                    values.push((own, square(village)));
                    yes.push((own < 0.3, square(village)));
                }
            }
            let within = |f: Figure, truth: f64| !f.interval.excludes(truth);
            median += usize::from(within(Values::of(values.into_iter()).estimate(0.5).unwrap(), 0.5));
            rate += usize::from(within(share(&yes).unwrap(), 0.3));
        }
        assert!((178..=199).contains(&median) && (178..=199).contains(&rate), "{median} {rate}");
    }
}
