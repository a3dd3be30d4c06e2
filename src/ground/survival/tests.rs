//! The curve against a statistics package, and what it promises.

#![allow(clippy::float_cmp)]

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
    let seen: Vec<_> = [9.0, 13.0, 18.0].iter().map(|d| refused(*d, 1.0)).chain([ended(20.0, 1.0)]).collect();
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
    let seen = [ended(20.0, 1.0); 19];
    let at = Survival::fit(&seen, &prior, 1.0).unwrap().past(10.0).unwrap();
    assert!((at.chance - 0.95).abs() < 1e-12);
}

#[test]
fn far_bores_that_agree_are_no_more_than_their_worth() {
    let near = curve(&[ended(20.0, 1.0)]).past(10.0).unwrap();
    let far = curve(&[ended(20.0, 0.1); 10]).past(10.0).unwrap();
    assert!((near.band95.low - far.band95.low).abs() < 1e-9);
}

#[test]
fn the_low_end_falls_as_fewer_bores_reach_further_down() {
    let mut seen = vec![ended(6.0, 1.0); 8];
    seen.extend([refused(3.0, 1.0), ended(20.0, 1.0)]);
    let curve = curve(&seen);
    let (many, few) = (curve.past(4.0).unwrap(), curve.past(15.0).unwrap());
    assert_eq!((many.chance, many.band95.high), (few.chance, few.band95.high));
    assert!(many.band95.low > 0.55 && few.band95.low < 0.25, "{many:?} {few:?}");
}

#[test]
fn below_the_deepest_bore_nothing_holds_up_the_low_end() {
    let at = curve(&[ended(12.0, 1.0); 8]).past(12.5).unwrap();
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
    assert!(Survival::fit(&[refused(1.0, 1e308), ended(2.0, 1e308)], &[], 0.0).is_err());
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
