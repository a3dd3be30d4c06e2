//! What to set aside for a number of working wells.
//!
//! The failures on the way to N wells follow the beta negative binomial,
//! P(k + 1) = P(k)·(N + k)(b + k)/((k + 1)(a + N + b + k)), where the chance of
//! success is Beta(a, b): the negative binomial where it is known well. With k
//! failures the money is N·C_s + k·C_f on average; holes differ from one
//! another by their standard deviations, and all prices may be off by one
//! common factor. Both are put into one lognormal quantity (Fenton 1960, for
//! the sum; from memory), and the quantile is that of the mixture over k.
//!
//! Source: as [`cost_per_success`](crate::well::cost_per_success); set money
//! aside by its quantile and not by its mean.

use super::holes::HoleMoney;
use crate::units::range::{between, from_to};
use crate::units::{OutOfRange, standard_normal_below};
use crate::well::beta::Beta;
use crate::well::special::ln_gamma;

/// How sure budgets are made to be.
pub const BUDGET_SURENESS: [f64; 3] = [0.5, 0.8, 0.9];

/// More wells than this are no village's programme.
const MOST_WELLS: f64 = 1000.0;
/// More failures than this are not followed.
const MOST_FAILURES: u32 = 20_000;
/// Below so many failures each count is kept; above, counts are put together
/// that differ by less than one part in so many.
const KEPT_APART: u32 = 32;
/// A run of failures of no more chance than this is left out.
const LEFT_OUT: f64 = 1e-4;
/// The logarithm of a chance below which products lose it.
const VANISHING: f64 = -600.0;

/// The money that is enough for so many working wells with that sureness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProgrammeBudget {
    /// How many working wells.
    pub wells: u32,
    /// How sure it is that the money is enough.
    pub sureness: f64,
    /// The failures that are then to be reckoned with; `None` where twenty
    /// thousand are not enough.
    pub failures: Option<u32>,
    /// The money; `None` likewise.
    pub money: Option<f64>,
}

/// Every number of failures on the way to some wells, with its chance.
#[derive(Debug)]
pub(super) struct Programme {
    wells: u32,
    /// Failures, the greatest of those put together, and their chance.
    failures: Vec<(u32, f64)>,
    money: HoleMoney,
    price_ln_sd: f64,
}

impl Programme {
    /// `price_ln_sd`: standard deviation of the logarithm of the factor by
    /// which all prices are off.
    pub(super) fn new(
        wells: u32,
        chance: &Beta,
        money: HoleMoney,
        price_ln_sd: f64,
    ) -> Result<Self, OutOfRange> {
        let n = from_to("the number of wells", f64::from(wells), 1.0, MOST_WELLS)?;
        let (a, b) = (chance.good(), chance.poor());
        let ln_first = ln_gamma(a + n) + ln_gamma(a + b) - ln_gamma(a) - ln_gamma(a + b + n);
        // Chances too small for a number are kept by their logarithm.
        let (mut each, mut ln_each) = (ln_first.exp(), (ln_first < VANISHING).then_some(ln_first));
        let mut failures: Vec<(u32, f64)> = Vec::new();
        let (mut sum, mut group_ends) = (0.0, 0);
        for k in 0..MOST_FAILURES {
            sum += each;
            match failures.last_mut() {
                Some((greatest, chance)) if k < group_ends => {
                    *greatest = k;
                    *chance += each;
                }
                _ => {
                    failures.push((k, each));
                    group_ends = k + 1 + k / KEPT_APART;
                }
            }
            if sum > 1.0 - LEFT_OUT {
                break;
            }
            let k = f64::from(k);
            let ratio = (n + k) * (b + k) / ((k + 1.0) * (a + n + b + k));
            match &mut ln_each {
                Some(ln_each) => {
                    *ln_each += ratio.ln();
                    each = ln_each.exp();
                }
                None => each *= ratio,
            }
        }
        Ok(Self { wells, failures, money, price_ln_sd })
    }

    pub(super) fn budget(&self, sureness: f64) -> Result<ProgrammeBudget, OutOfRange> {
        let sureness = between("the sureness", sureness, 0.0, 1.0)?;
        let mut sum = 0.0;
        let failures = self.failures.iter().find_map(|(k, chance)| {
            sum += chance;
            (sum >= sureness).then_some(*k)
        });
        let money = failures.and_then(|_| self.quantile(sureness));
        Ok(ProgrammeBudget { wells: self.wells, sureness, failures, money })
    }

    fn quantile(&self, sureness: f64) -> Option<f64> {
        let parts: Vec<_> = self.failures.iter().map(|&(k, p)| self.part(k, p)).collect();
        mixture_quantile(&parts, sureness)
    }

    /// The money with so many failures.
    fn part(&self, failures: u32, chance: f64) -> Part {
        let (n, k) = (f64::from(self.wells), f64::from(failures));
        let HoleMoney { success, failure } = self.money;
        let mean = n * success.mean + k * failure.mean;
        let variance = n * success.sd * success.sd + k * failure.sd * failure.sd;
        let holes = if mean > 0.0 { (variance / (mean * mean)).ln_1p() } else { 0.0 };
        let ln_sd = (holes + self.price_ln_sd * self.price_ln_sd).sqrt();
        Part { median: mean / (holes / 2.0).exp(), ln_sd, chance }
    }
}

/// One part of a mixture: a lognormal amount, and its chance. An amount
/// without spread is its median.
#[derive(Debug, Clone, Copy)]
pub(super) struct Part {
    pub(super) median: f64,
    pub(super) ln_sd: f64,
    pub(super) chance: f64,
}

/// The amount at which the chance that a mixture is no more reaches a
/// sureness; `None` where it never does.
pub(super) fn mixture_quantile(parts: &[Part], sureness: f64) -> Option<f64> {
    /// Standard deviations within which all of a part lies.
    const ALL: f64 = 8.0;
    /// Halves the widest of spans, by the logarithm, to a millionth and less.
    const HALVINGS: u32 = 36;
    if parts.iter().map(|p| p.chance).sum::<f64>() < sureness {
        return None;
    }
    if parts.iter().all(|p| p.ln_sd <= 0.0 || p.median <= 0.0) {
        return step_quantile(parts, sureness);
    }
    // Logarithms once, and not at every amount tried; nothing is as good as
    // the least of amounts.
    let ln = |x: f64| x.max(f64::MIN_POSITIVE).ln();
    let parts: Vec<(f64, Part)> = parts.iter().map(|p| (ln(p.median), *p)).collect();
    let below = |x: f64| -> f64 {
        let each = |&(middle, part): &(f64, Part)| {
            if part.ln_sd > 0.0 {
                part.chance * standard_normal_below((x - middle) / part.ln_sd)
            } else {
                part.chance * f64::from(u8::from(x >= middle))
            }
        };
        parts.iter().map(each).sum()
    };
    let mut low = parts.iter().map(|(m, p)| m - ALL * p.ln_sd).fold(f64::MAX, f64::min);
    let mut high = parts.iter().map(|(m, p)| m + ALL * p.ln_sd).fold(f64::MIN, f64::max);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if below(middle) < sureness { low = middle } else { high = middle }
    }
    Some(high.exp()).filter(|x| x.is_finite())
}

fn step_quantile(parts: &[Part], sureness: f64) -> Option<f64> {
    let mut parts = parts.to_vec();
    parts.sort_by(|a, b| a.median.total_cmp(&b.median));
    let mut sum = 0.0;
    let reached = parts.iter().find(|p| {
        sum += p.chance;
        sum >= sureness
    });
    reached.or(parts.last()).map(|p| p.median)
}

#[cfg(test)]
mod tests {
    use super::super::holes::CostSpread;
    use super::*;
    use crate::well::cost_per_success::{HoleCosts, failures_quantile_under};

    fn costs(sd: f64) -> HoleMoney {
        HoleMoney { success: CostSpread { mean: 1000.0, sd }, failure: CostSpread::sure(400.0) }
    }

    fn budget(wells: u32, chance: (f64, f64), sureness: f64) -> ProgrammeBudget {
        let chance = Beta::new(chance.0, chance.1).unwrap();
        Programme::new(wells, &chance, costs(0.0), 0.0).unwrap().budget(sureness).unwrap()
    }

    /// By hand: one well under Beta(1, 1) has k or fewer failures with the
    /// chance (k + 1)/(k + 2).
    #[test]
    fn an_even_chance_nobody_knows_agrees_with_hand_reckoning() {
        for (sureness, failures) in [(0.4, 0), (0.6, 1), (0.89, 8)] {
            let budget = budget(1, (1.0, 1.0), sureness);
            assert_eq!(budget.failures, Some(failures));
            assert!((budget.money.unwrap() - 1000.0 - 400.0 * f64::from(failures)).abs() < 1e-6);
        }
    }

    #[test]
    fn budgets_agree_with_the_quantiles_of_failures() {
        for wells in [1, 5, 20] {
            for (a, b) in [(6.0, 4.0), (40.0, 60.0), (600_000.0, 400_000.0)] {
                for sureness in BUDGET_SURENESS {
                    let chance = Beta::new(a, b).unwrap();
                    let wanted = failures_quantile_under(wells, &chance, sureness).unwrap();
                    let money = HoleCosts::new(1000.0, 400.0).unwrap().budget_under(wells, &chance, sureness);
                    let found = budget(wells, (a, b), sureness);
                    // Far counts are put together by one part in 32, upwards.
                    let off = f64::from(found.failures.unwrap()) - wanted as f64;
                    assert!((0.0..=wanted as f64 / 32.0 + 1e-9).contains(&off), "{wells} {a} {b} {sureness}");
                    assert!(found.money.unwrap() >= money.unwrap().money - 1e-3);
                }
            }
        }
    }

    #[test]
    fn a_run_of_bad_luck_beyond_all_counting_has_no_budget() {
        let hopeless = budget(1, (0.01, 10.0), 0.99);
        assert_eq!((hopeless.failures, hopeless.money), (None, None));
    }

    /// A well that cannot fail: the price factor alone, exp(1.2816·0.2).
    #[test]
    fn prices_that_may_be_off_ask_for_more() {
        let sure = Beta::new(1e6, 1e-9).unwrap();
        let programme = Programme::new(1, &sure, costs(0.0), 0.2).unwrap();
        let money = programme.budget(0.9).unwrap().money.unwrap();
        assert!((money - 1000.0 * (1.281_551_566_f64 * 0.2).exp()).abs() < 0.01, "{money}");
    }

    /// By hand: many sure wells of sd 300 each add to 30·1000 ± 300·√30.
    #[test]
    fn holes_that_differ_even_out_over_many() {
        let sure = Beta::new(1e6, 1e-9).unwrap();
        let programme = Programme::new(30, &sure, costs(300.0), 0.0).unwrap();
        let money = programme.budget(0.9).unwrap().money.unwrap();
        let normal = 30_000.0 + 1.2816 * 300.0 * 30f64.sqrt();
        assert!((money / normal - 1.0).abs() < 0.003, "{money} {normal}");
    }

    /// A thousand wells at a chance of 1 in 4: the chance of no failure is no
    /// number any more. By hand 3000 failures, ± 1.2816·√(1000·0.75)/0.25.
    #[test]
    fn a_great_programme_is_followed_to_its_failures() {
        let failures = budget(1000, (250_000.0, 750_000.0), 0.9).failures.unwrap();
        let normal = 3000.0 + 1.2816 * 750f64.sqrt() / 0.25;
        assert!((f64::from(failures) / normal - 1.0).abs() < 1.0 / 32.0 + 0.01, "{failures} {normal}");
    }

    #[test]
    fn no_wells_and_no_sureness_are_refused() {
        let chance = Beta::new(1.0, 1.0).unwrap();
        assert!(Programme::new(0, &chance, costs(0.0), 0.0).is_err());
        assert!(Programme::new(1, &chance, costs(0.0), 0.0).unwrap().budget(1.0).is_err());
    }
}
