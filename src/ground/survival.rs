//! How likely a hole gets past a depth before the ground refuses it, from
//! bores that were refused and bores that ended first; metres below ground.
//!
//! # The curve
//! The product-limit estimate with weights: at each depth where bores were
//! refused the chance of getting past falls by the refused share of the
//! weight still at risk. A bore that ended without being refused counts down
//! to its end, that depth included, and says nothing below it.
//! Source: Kaplan & Meier 1958 (J. Am. Stat. Assoc. 53:457); the weighted
//! form is that of Xie & Liu 2005 (Stat. Med. 24:3089).
//!
//! # Weights
//! A weight is the number of bores at the peg itself that an observation is
//! worth: 1 at the peg, less the farther away. The region's prior enters as
//! pseudo-observations, worth together as many bores as is stated.
//!
//! # Bands
//! Variance by Greenwood's formula (Greenwood 1926) with the effective number
//! at risk (Σw)²/Σw² of Xie & Liu, and never more than Σw: ten far bores
//! worth a tenth each are one bore. Ends by Wilson's interval on the number
//! of bores that this variance stands for (Rothman 1978, J. Chronic Dis.
//! 31:557). Where nobody was refused the variance is zero, yet few bores show
//! little: the number is then that still at risk. For the low end it is never
//! more than (number at risk)/(chance), after Peto et al. 1977 (from memory),
//! so that the low end falls as the evidence thins out with depth.

use std::cmp::Ordering;

use super::interval::{ChanceBand, HALF_BAND_80, HALF_BAND_95};

/// How a bore ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoreEnd {
    /// The ground refused it.
    Refused,
    /// It ended first: refusal lies below, how far is not known.
    Censored,
}

/// What one bore says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreSeen {
    /// The depth of refusal, or of its end.
    pub depth_m: f64,
    /// Which of the two.
    pub end: BoreEnd,
    /// How many bores at the peg it is worth.
    pub weight: f64,
}

/// A depth or weight that cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BadBore {
    /// A depth below zero or not finite.
    #[error("a bore's depth is {0}, where a depth of 0 m or more is needed")]
    Depth(f64),
    /// A weight below zero or not finite.
    #[error("a bore's weight is {0}, where a number of 0 or more is needed")]
    Weight(f64),
}

/// One depth at which a bore was refused or ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurvivalStep {
    /// The depth.
    pub depth_m: f64,
    /// Weight still at risk at that depth.
    pub at_risk: f64,
    /// Weight refused there.
    pub refused: f64,
    /// The chance to get past it.
    pub chance: f64,
    /// Its standard error by Greenwood; `None` where the chance is zero.
    pub standard_error: Option<f64>,
    /// How many bores are still at risk just below it.
    pub bores_below: f64,
    /// How many bores the chance rests on.
    bores: f64,
}

/// The chance to get past one depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PastDepth {
    /// The chance. Below the deepest bore it is what was left there: an upper
    /// bound.
    pub chance: f64,
    /// The 80 % band.
    pub band80: ChanceBand,
    /// The 95 % band.
    pub band95: ChanceBand,
    /// How many bores reach past that depth; 0: nobody has been there.
    pub bores_below: f64,
}

/// The chance to get past each depth.
#[derive(Debug, Clone, PartialEq)]
pub struct Survival {
    steps: Vec<SurvivalStep>,
    /// How many bores there are at the surface.
    bores_at_top: f64,
}

impl Survival {
    /// The curve from what was seen and from the region's prior, whose
    /// weights are relative and are scaled to `prior_worth` bores together.
    /// With nothing seen the curve is the prior's.
    ///
    /// # Errors
    /// When a depth or a weight is below zero or not finite.
    pub fn fit(seen: &[BoreSeen], prior: &[BoreSeen], prior_worth: f64) -> Result<Self, BadBore> {
        if !(prior_worth.is_finite() && prior_worth >= 0.0) {
            return Err(BadBore::Weight(prior_worth));
        }
        for bore in seen.iter().chain(prior) {
            if !(bore.depth_m.is_finite() && bore.depth_m >= 0.0) {
                return Err(BadBore::Depth(bore.depth_m));
            }
            if !(bore.weight.is_finite() && bore.weight >= 0.0) {
                return Err(BadBore::Weight(bore.weight));
            }
        }
        let prior_weight: f64 = prior.iter().map(|b| b.weight).sum();
        let scale = if prior_weight > 0.0 { prior_worth / prior_weight } else { 0.0 };
        let scaled = prior.iter().map(|b| BoreSeen { weight: b.weight * scale, ..*b });
        let mut bores: Vec<_> = seen.iter().copied().chain(scaled).filter(|b| b.weight > 0.0).collect();
        bores.sort_by(|a, b| a.depth_m.total_cmp(&b.depth_m).then(a.weight.total_cmp(&b.weight)));
        Ok(Self::of_sorted(&bores))
    }

    fn of_sorted(bores: &[BoreSeen]) -> Self {
        let same_depth = |a: &BoreSeen, b: &BoreSeen| a.depth_m.total_cmp(&b.depth_m) == Ordering::Equal;
        let groups: Vec<&[BoreSeen]> = bores.chunk_by(same_depth).collect();
        // Summed from the bottom up, so that the last at risk is never lost
        // in rounding.
        let mut left = Vec::with_capacity(groups.len());
        let mut risk = AtRisk::default();
        for group in groups.iter().rev() {
            let below = risk;
            group.iter().for_each(|b| risk.add(b.weight));
            left.push((*group, risk, below));
        }
        let bores_at_top = risk.bores();
        let mut chance = 1.0;
        let mut greenwood = 0.0;
        let mut last_bores = bores_at_top;
        let steps = left
            .into_iter()
            .rev()
            .map(|(group, at, below)| {
                let refused: f64 = group.iter().filter(|b| b.end == BoreEnd::Refused).map(|b| b.weight).sum();
                let all_refused = below.weight <= 0.0 && group.iter().all(|b| b.end == BoreEnd::Refused);
                if all_refused {
                    chance = 0.0;
                } else if refused > 0.0 {
                    let share = (refused / at.weight).min(1.0);
                    chance *= 1.0 - share;
                    greenwood += share / ((1.0 - share) * at.bores());
                }
                let bores = match chance {
                    c if c <= 0.0 => last_bores.min(at.bores()),
                    c if greenwood > 0.0 => (1.0 - c) / (c * greenwood),
                    _ => below.bores(),
                };
                last_bores = bores;
                let standard_error = (chance > 0.0).then(|| chance * f64::sqrt(greenwood));
                SurvivalStep {
                    depth_m: group.first().map_or(0.0, |b| b.depth_m),
                    at_risk: at.weight,
                    refused,
                    chance,
                    standard_error,
                    bores_below: below.bores(),
                    bores,
                }
            })
            .collect();
        Self { steps, bores_at_top }
    }

    /// The chance to get past a depth; `None` where nothing at all was seen.
    pub fn past(&self, depth_m: f64) -> Option<PastDepth> {
        if self.steps.is_empty() || depth_m.is_nan() {
            return None;
        }
        let above = self.steps.partition_point(|s| s.depth_m <= depth_m);
        let (chance, bores, bores_below) = match above.checked_sub(1).and_then(|i| self.steps.get(i)) {
            Some(step) => (step.chance, step.bores, step.bores_below),
            None => (1.0, self.bores_at_top, self.bores_at_top),
        };
        let thinned = if chance > 0.0 { bores.min(bores_below / chance) } else { bores };
        let band = |z: f64| ChanceBand {
            low: ChanceBand::wilson(chance, thinned, z).low,
            high: ChanceBand::wilson(chance, bores, z).high,
        };
        Some(PastDepth { chance, band80: band(HALF_BAND_80), band95: band(HALF_BAND_95), bores_below })
    }

    /// The shallowest depth that no more than half of the bores get past;
    /// `None` where more than half do as far as anybody has been.
    pub fn median_m(&self) -> Option<f64> {
        self.depth_with_chance_m(0.5)
    }

    /// The shallowest depth past which the chance is no more than `chance`.
    pub fn depth_with_chance_m(&self, chance: f64) -> Option<f64> {
        // A product of shares that should be one half may end a rounding
        // above it.
        self.steps.iter().find(|s| s.chance <= chance + 1e-12).map(|s| s.depth_m)
    }

    /// Each depth at which a bore was refused or ended, from the top.
    pub fn steps(&self) -> &[SurvivalStep] {
        &self.steps
    }
}

/// The bores at risk.
#[derive(Debug, Clone, Copy, Default)]
struct AtRisk {
    weight: f64,
    square: f64,
}

impl AtRisk {
    fn add(&mut self, weight: f64) {
        self.weight += weight;
        self.square += weight * weight;
    }

    /// How many bores they are worth.
    fn bores(self) -> f64 {
        let effective = self.weight * self.weight / self.square;
        if effective.is_finite() { effective.min(self.weight) } else { self.weight }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn refused(depth_m: f64, weight: f64) -> BoreSeen {
        BoreSeen { depth_m, end: BoreEnd::Refused, weight }
    }

    fn ended(depth_m: f64, weight: f64) -> BoreSeen {
        BoreSeen { depth_m, end: BoreEnd::Censored, weight }
    }

    fn curve(seen: &[BoreSeen]) -> Survival {
        Survival::fit(seen, &[], 0.0).unwrap()
    }

    /// Times as printed in `tests/Examples/survival-Ex.Rout.save` of the R
    /// package survival (`with(aml, Surv(time, status))`; + is censored).
    fn leukaemia(times: &str) -> Survival {
        let seen: Vec<_> = times
            .split_whitespace()
            .map(|t| match t.strip_suffix('+') {
                Some(t) => ended(t.parse().unwrap(), 1.0),
                None => refused(t.parse().unwrap(), 1.0),
            })
            .collect();
        curve(&seen)
    }

    const MAINTAINED: &str = "9 13 13+ 18 23 28+ 31 34 45+ 48 161+";
    const NOT_MAINTAINED: &str = "5 5 8 8 12 16+ 23 27 30 33 43 45";

    /// `time n.risk n.event survival std.err lower upper` as printed by
    /// `summary(survfit(Surv(aml$time, aml$status) ~ aml$x))` in
    /// `tests/doaml.Rout.save` of the R package survival.
    const PRINTED_MAINTAINED: &str = "
        9     11       1    0.909  0.0867       0.7541        1.000
       13     10       1    0.818  0.1163       0.6192        1.000
       18      8       1    0.716  0.1397       0.4884        1.000
       23      7       1    0.614  0.1526       0.3769        0.999
       31      5       1    0.491  0.1642       0.2549        0.946
       34      4       1    0.368  0.1627       0.1549        0.875
       48      2       1    0.184  0.1535       0.0359        0.944";
    const PRINTED_NOT_MAINTAINED: &str = "
        5     12       2   0.8333  0.1076       0.6470        1.000
        8     10       2   0.6667  0.1361       0.4468        0.995
       12      8       1   0.5833  0.1423       0.3616        0.941
       23      6       1   0.4861  0.1481       0.2675        0.883
       27      5       1   0.3889  0.1470       0.1854        0.816
       30      4       1   0.2917  0.1387       0.1148        0.741
       33      3       1   0.1944  0.1219       0.0569        0.664
       43      2       1   0.0972  0.0919       0.0153        0.620";

    fn agrees_with(printed: &str, curve: &Survival) {
        let steps: Vec<_> = curve.steps().iter().filter(|s| s.refused > 0.0 && s.chance > 0.0).collect();
        let rows: Vec<_> = printed.lines().filter(|l| !l.trim().is_empty()).collect();
        assert_eq!(rows.len(), steps.len());
        for (row, step) in rows.iter().zip(steps) {
            let printed: Vec<&str> = row.split_whitespace().collect();
            // The printed band is that of the logarithm of the chance.
            let (s, se) = (step.chance, step.standard_error.unwrap());
            let log_band = |sign: f64| (s * (sign * HALF_BAND_95 * se / s).exp()).min(1.0);
            let mine = [step.depth_m, step.at_risk, step.refused, s, se, log_band(-1.0), log_band(1.0)];
            for (printed, mine) in printed.iter().zip(mine) {
                let digits = printed.split_once('.').map_or(0, |(_, d)| d.len());
                let half_a_digit = 0.5 * 0.1_f64.powi(i32::try_from(digits).unwrap());
                let printed: f64 = printed.parse().unwrap();
                assert!((printed - mine).abs() <= half_a_digit + 1e-9, "{row}: {mine}");
            }
        }
    }

    #[test]
    fn the_curve_agrees_with_a_statistics_package() {
        agrees_with(PRINTED_MAINTAINED, &leukaemia(MAINTAINED));
        agrees_with(PRINTED_NOT_MAINTAINED, &leukaemia(NOT_MAINTAINED));
    }

    /// Medians 31 and 23 in the same printed record.
    #[test]
    fn the_medians_agree_with_a_statistics_package() {
        assert_eq!(leukaemia(MAINTAINED).median_m(), Some(31.0));
        assert_eq!(leukaemia(NOT_MAINTAINED).median_m(), Some(23.0));
    }

    /// The same record: the chance does not change when every bore counts
    /// twice, and the variance halves.
    #[test]
    fn bores_that_count_twice_halve_the_variance() {
        let seen: Vec<_> =
            [9.0, 13.0, 18.0].iter().map(|d| refused(*d, 1.0)).chain([ended(20.0, 1.0)]).collect();
        let twice: Vec<_> = seen.iter().chain(&seen).copied().collect();
        for (one, two) in curve(&seen).steps().iter().zip(curve(&twice).steps()) {
            assert!((one.chance - two.chance).abs() < 1e-12);
            let (a, b) = (one.standard_error.unwrap(), two.standard_error.unwrap());
            assert!((a * a - 2.0 * b * b).abs() < 1e-12);
        }
    }

    #[test]
    fn a_bore_that_ends_where_another_is_refused_counts_as_at_risk_there() {
        let step = curve(&[refused(6.0, 1.0), ended(6.0, 1.0)]).steps()[0];
        assert_eq!((step.at_risk, step.refused, step.chance), (2.0, 1.0, 0.5));
    }

    #[test]
    fn nothing_seen_and_no_prior_says_nothing() {
        assert_eq!(curve(&[]).past(3.0), None);
        assert_eq!(curve(&[refused(4.0, 0.0)]).past(3.0), None);
    }

    #[test]
    fn nothing_seen_returns_the_prior() {
        let prior = [refused(4.0, 1.0), refused(8.0, 3.0)];
        let curve = Survival::fit(&[], &prior, 2.0).unwrap();
        let at = curve.past(5.0).unwrap();
        assert!((at.chance - 0.75).abs() < 1e-12);
        assert!(at.band95.high - at.band95.low > 0.6, "two bores' worth is little: {at:?}");
    }

    #[test]
    fn many_bores_outweigh_the_prior() {
        let prior = [refused(4.0, 1.0)];
        let seen = vec![ended(20.0, 1.0); 19];
        let at = Survival::fit(&seen, &prior, 1.0).unwrap().past(10.0).unwrap();
        assert!((at.chance - 0.95).abs() < 1e-12);
    }

    #[test]
    fn far_bores_that_agree_are_no_more_than_their_worth() {
        let near = curve(&[ended(20.0, 1.0)]).past(10.0).unwrap();
        let far = curve(&vec![ended(20.0, 0.1); 10]).past(10.0).unwrap();
        assert!((near.band95.low - far.band95.low).abs() < 1e-9);
    }

    #[test]
    fn below_the_deepest_bore_nothing_holds_up_the_low_end() {
        let at = curve(&vec![ended(12.0, 1.0); 8]).past(12.5).unwrap();
        assert_eq!((at.band95.low, at.bores_below), (0.0, 0.0));
        assert_eq!(at.band95.high, 1.0);
    }

    #[test]
    fn where_every_bore_was_refused_nobody_gets_past() {
        let at = curve(&[refused(3.0, 1.0), refused(5.0, 1.0)]).past(5.0).unwrap();
        assert_eq!(at.chance, 0.0);
        assert!(at.band95.high > 0.5 && at.band95.high < 1.0);
    }

    #[test]
    fn numbers_that_are_none_are_refused() {
        assert!(Survival::fit(&[refused(f64::NAN, 1.0)], &[], 0.0).is_err());
        assert!(Survival::fit(&[refused(-1.0, 1.0)], &[], 0.0).is_err());
        assert!(Survival::fit(&[refused(1.0, f64::INFINITY)], &[], 0.0).is_err());
        assert!(Survival::fit(&[], &[], -1.0).is_err());
    }

    fn bore() -> impl Strategy<Value = BoreSeen> {
        (0u32..30, any::<bool>(), 0.0..1.5f64).prop_map(|(depth, hit, weight)| BoreSeen {
            depth_m: f64::from(depth),
            end: if hit { BoreEnd::Refused } else { BoreEnd::Censored },
            weight,
        })
    }

    proptest! {
        #[test]
        fn the_chance_falls_with_depth_inside_its_bands(
            seen in prop::collection::vec(bore(), 0..20),
            prior in prop::collection::vec(bore(), 0..5),
            worth in 0.0..3.0f64,
        ) {
            let curve = Survival::fit(&seen, &prior, worth).unwrap();
            let mut last = 1.0;
            for half_metres in 0..70 {
                let Some(at) = curve.past(f64::from(half_metres) / 2.0) else { continue };
                prop_assert!(at.chance <= last);
                last = at.chance;
                for band in [at.band80, at.band95] {
                    prop_assert!((0.0..=1.0).contains(&band.low) && (0.0..=1.0).contains(&band.high));
                    prop_assert!(band.low <= at.chance && at.chance <= band.high);
                }
                prop_assert!(at.band95.low <= at.band80.low && at.band80.high <= at.band95.high);
            }
        }

        #[test]
        fn a_refusal_in_place_of_an_end_never_raises_the_chance(
            seen in prop::collection::vec(bore(), 1..12),
            which in any::<prop::sample::Index>(),
            depth in 0.0..30.0f64,
        ) {
            let mut harder = seen.clone();
            let at = which.index(seen.len());
            harder[at].end = BoreEnd::Refused;
            let (soft, hard) = (curve(&seen).past(depth), curve(&harder).past(depth));
            if let (Some(soft), Some(hard)) = (soft, hard) {
                prop_assert!(hard.chance <= soft.chance + 1e-12);
            }
        }
    }
}
