//! What one working well costs when failures are counted, what chance of
//! success it takes to be worth it, and what a programme should set aside.
//!
//! E = C_s + (1 − p)/p·C_f
//!
//! E expected cost of one working well; C_s cost of a hole that becomes one;
//! C_f cost of one that does not, filling and sealing included; p chance of
//! success of each try, tries being independent. All money in one currency,
//! which the caller keeps.
//!
//! The failures before the N-th success follow the negative binomial: the
//! chance of k or fewer is I_p(N, k + 1). Set money aside by its quantile, not
//! by its mean.
//!
//! Sources: geometric and negative binomial distributions; for wells Smith
//! (2003), Waterlines 22(1), Rural boreholes and wells in Africa: economics of
//! construction in hard rock terrain.

use super::beta::Beta;
use super::special::beta_below;
use crate::units::OutOfRange;
use crate::units::range::{at_least, between, finite, from_to, not_negative, positive};

/// What a hole costs by its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoleCosts {
    success: f64,
    failure: f64,
}

impl HoleCosts {
    /// The cost of a hole that becomes a working well and of one that does
    /// not.
    ///
    /// # Errors
    /// When one is below 0.
    pub fn new(success: f64, failure: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            success: not_negative("the cost of a working well", success)?,
            failure: not_negative("the cost of a failed hole", failure)?,
        })
    }

    /// What a hole that becomes a working well costs.
    pub fn success(&self) -> f64 {
        self.success
    }

    /// What a failed hole costs.
    pub fn failure(&self) -> f64 {
        self.failure
    }

    /// E for a known chance.
    ///
    /// # Errors
    /// When the chance is not above 0 and at most 1.
    pub fn per_success(&self, chance: f64) -> Result<f64, OutOfRange> {
        let p = some_chance(chance)?;
        finite("the cost of one working well", self.success + (1.0 - p) / p * self.failure)
    }

    /// E for a chance that is not known exactly; `None` where there is no
    /// bound to it.
    pub fn per_success_under(&self, chance: &Beta) -> Option<f64> {
        let failures = chance.failures_per_success()?;
        Some(self.success + failures * self.failure).filter(|e| e.is_finite())
    }

    /// The chance of success below which an alternative of that cost is the
    /// better: p = C_f/(A − C_s + C_f). `None` where no chance is good enough,
    /// the alternative being cheaper than a sure success.
    ///
    /// # Errors
    /// When the cost of the alternative is below 0.
    pub fn break_even_chance(&self, alternative: f64) -> Result<Option<f64>, OutOfRange> {
        let over = not_negative("the cost of the alternative", alternative)? - self.success;
        if over < 0.0 {
            return Ok(None);
        }
        // Free failures are worth any chance.
        if self.failure <= 0.0 {
            return Ok(Some(0.0));
        }
        Ok(Some(finite("the chance that breaks even", self.failure / (over + self.failure))?))
    }

    /// What better siting is worth for one working well: C_f·(1/p₀ − 1/p₁),
    /// with p₀ the chance without and p₁ the chance with it; below 0 where it
    /// misleads.
    ///
    /// # Errors
    /// When a chance is not above 0 and at most 1.
    pub fn siting_worth(&self, chance_without: f64, chance_with: f64) -> Result<f64, OutOfRange> {
        finite("the worth of siting", self.per_success(chance_without)? - self.per_success(chance_with)?)
    }

    /// The money that is enough for so many working wells with that sureness.
    ///
    /// # Errors
    /// When the chance is not above 0 and at most 1 or the sureness not
    /// between 0 and 1.
    pub fn budget(&self, wells: u32, chance: f64, sureness: f64) -> Result<Budget, OutOfRange> {
        self.for_failures(wells, failures_quantile(wells, chance, sureness)?)
    }

    /// The same for a chance that is not known exactly.
    ///
    /// # Errors
    /// When the sureness is not between 0 and 1, or no sum of money makes it
    /// that sure.
    pub fn budget_under(&self, wells: u32, chance: &Beta, sureness: f64) -> Result<Budget, OutOfRange> {
        self.for_failures(wells, failures_quantile_under(wells, chance, sureness)?)
    }

    fn for_failures(&self, wells: u32, failures: u64) -> Result<Budget, OutOfRange> {
        let money = f64::from(wells) * self.success + failures as f64 * self.failure;
        Ok(Budget { failures, money: finite("the budget", money)? })
    }
}

/// What to set aside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Budget {
    /// The failures it pays for.
    pub failures: u64,
    /// In the currency of the costs.
    pub money: f64,
}

fn some_chance(chance: f64) -> Result<f64, OutOfRange> {
    from_to("the chance of success", positive("the chance of success", chance)?, 0.0, 1.0)
}

/// The chance of at most so many failures before the last of so many
/// successes.
///
/// # Errors
/// When the chance is not above 0 and at most 1.
pub fn chance_of_failures_at_most(wells: u32, chance: f64, failures: u64) -> Result<f64, OutOfRange> {
    let p = some_chance(chance)?;
    if wells == 0 {
        return Ok(1.0);
    }
    finite("the chance", beta_below(f64::from(wells), failures as f64 + 1.0, p))
}

/// The least number of failures that is enough with that sureness.
///
/// # Errors
/// When the chance is not above 1e-6 and at most 1 or the sureness not between
/// 0 and 1.
pub fn failures_quantile(wells: u32, chance: f64, sureness: f64) -> Result<u64, OutOfRange> {
    let sureness = between("the sureness", sureness, 0.0, 1.0)?;
    let chance = at_least("the chance of success", some_chance(chance)?, 1e-6)?;
    let enough = |k| Ok::<_, OutOfRange>(chance_of_failures_at_most(wells, chance, k)? >= sureness);
    let (mut low, mut high) = (0u64, 1u64);
    if enough(0)? {
        return Ok(0);
    }
    while !enough(high)? {
        // A rounded sum may never quite reach a sureness next to 1.
        if high > 1 << 52 {
            return Err(OutOfRange {
                quantity: "the sureness",
                value: Some(sureness),
                wanted: crate::units::range::Wanted::LessThan(1.0),
            });
        }
        (low, high) = (high, high * 2);
    }
    while high - low > 1 {
        let middle = u64::midpoint(low, high);
        if enough(middle)? { high = middle } else { low = middle }
    }
    Ok(high)
}

/// The same for a chance that is not known exactly: the failures then follow
/// the beta negative binomial, P(k + 1) = P(k)·(N + k)(b + k)/((k + 1)(a + N +
/// b + k)).
///
/// # Errors
/// When the sureness is not between 0 and 1, or a million failures are not
/// enough.
pub fn failures_quantile_under(wells: u32, chance: &Beta, sureness: f64) -> Result<u64, OutOfRange> {
    use super::special::ln_gamma;
    const MOST: u32 = 1_000_000;
    let sureness = between("the sureness", sureness, 0.0, 1.0)?;
    let (a, b, n) = (chance.good(), chance.poor(), f64::from(wells));
    let mut each = (ln_gamma(a + n) + ln_gamma(a + b) - ln_gamma(a) - ln_gamma(a + b + n)).exp();
    let mut sum = each;
    for k in 0..MOST {
        if sum >= sureness {
            return Ok(u64::from(k));
        }
        let k = f64::from(k);
        each *= (n + k) * (b + k) / ((k + 1.0) * (a + n + b + k));
        sum += each;
    }
    Err(OutOfRange {
        quantity: "the sureness with which a million failures are enough",
        value: Some(sum).filter(|s| s.is_finite()),
        wanted: crate::units::range::Wanted::AtLeast(sureness),
    })
}

/// The chance of so many successes or more in a number of holes.
///
/// # Errors
/// When the chance is not from 0 to 1.
pub fn chance_of_successes_at_least(holes: u32, chance: f64, successes: u32) -> Result<f64, OutOfRange> {
    let p = from_to("the chance of success", chance, 0.0, 1.0)?;
    Ok(match (successes, holes) {
        (0, _) => 1.0,
        (k, n) if k > n => 0.0,
        (k, n) => beta_below(f64::from(k), f64::from(n - k) + 1.0, p),
    })
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    fn costs() -> HoleCosts {
        HoleCosts::new(1000.0, 400.0).unwrap()
    }

    #[test]
    fn at_the_break_even_chance_both_ways_cost_the_same() {
        let p = costs().break_even_chance(1800.0).unwrap().unwrap();
        assert!((costs().per_success(p).unwrap() - 1800.0).abs() < 1e-9);
        assert_eq!(costs().break_even_chance(999.0).unwrap(), None);
        assert_eq!(costs().break_even_chance(1000.0).unwrap(), Some(1.0));
    }

    /// Two wells at an even chance: 1/4, 1/2, 11/16 for up to 0, 1, 2 failures.
    #[test]
    fn failures_agree_with_hand_reckoning() {
        for (k, chance) in [(0, 0.25), (1, 0.5), (2, 0.6875)] {
            assert!((chance_of_failures_at_most(2, 0.5, k).unwrap() - chance).abs() < 1e-12);
        }
        assert_eq!(failures_quantile(2, 0.5, 0.6).unwrap(), 2);
        assert_eq!(failures_quantile(2, 0.5, 0.2).unwrap(), 0);
        assert_eq!(failures_quantile(3, 1.0, 0.99).unwrap(), 0);
        assert_eq!(costs().budget(2, 0.5, 0.6).unwrap().money, 2800.0);
    }

    /// One well under Beta(1, 1): P(k) = 1/((k + 1)(k + 2)), so k or fewer
    /// have (k + 1)/(k + 2).
    #[test]
    fn an_unknown_chance_needs_more_money() {
        let even = Beta::new(1.0, 1.0).unwrap();
        assert_eq!(failures_quantile_under(1, &even, 0.89).unwrap(), 8);
        assert!(failures_quantile(1, 0.5, 0.89).unwrap() < 8);
        assert!(failures_quantile_under(1, &even, 1.0 - 1e-9).is_err());
    }

    #[test]
    fn a_chance_known_well_is_as_good_as_a_known_one() {
        let sure = Beta::of_mean(0.4, 1e6).unwrap();
        assert_eq!(failures_quantile_under(5, &sure, 0.9).unwrap(), failures_quantile(5, 0.4, 0.9).unwrap());
    }

    #[test]
    fn successes_in_a_number_of_holes_agree_with_the_binomial() {
        // Of four holes at 1/2: two or more in 11 of 16 ways.
        assert!((chance_of_successes_at_least(4, 0.5, 2).unwrap() - 0.6875).abs() < 1e-12);
        assert_eq!(chance_of_successes_at_least(4, 0.5, 0).unwrap(), 1.0);
        assert_eq!(chance_of_successes_at_least(4, 0.5, 5).unwrap(), 0.0);
    }

    #[test]
    fn no_chance_and_no_money_are_refused() {
        assert!(costs().per_success(0.0).is_err() && costs().per_success(1.1).is_err());
        assert!(HoleCosts::new(-1.0, 0.0).is_err());
        assert!(failures_quantile(1, 0.5, 1.0).is_err());
    }
}
