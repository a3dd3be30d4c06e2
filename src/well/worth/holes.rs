//! What a hole costs by how it ends, and how that spreads over the virtual
//! bores.
//!
//! A working well: mobilisation + (drilling + casing) a metre × depth +
//! completion + lift. A hole that failed: mobilisation + drilling a metre ×
//! depth + abandonment. A well whose water turns out bad is cased and
//! completed before that is known, and filled afterwards; no lift is bought
//! for it. The parts are those of common practice.

use crate::ground::virtual_bore::{Draws, Outcome, Reached};
use crate::units::OutOfRange;
use crate::units::range::{at_least, from_to};

/// No amount is greater, in whichever currency: sums and squares of amounts
/// then stay numbers.
const MOST_MONEY: f64 = 1e12;

/// An amount of money that can be reckoned with.
pub(super) fn amount(quantity: &'static str, money: f64) -> Result<f64, OutOfRange> {
    from_to(quantity, money, 0.0, MOST_MONEY)
}

/// Prices of one method's hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HolePrices {
    /// Bringing crew and gear.
    pub mobilisation: f64,
    /// Drilling one metre.
    pub per_metre: f64,
    /// Casing or screen of one metre.
    pub casing_per_metre: f64,
    /// Pack, seal, development, slab, test and disinfection.
    pub completion: f64,
    /// The pump or lift.
    pub lift: f64,
    /// Filling and sealing a hole that failed.
    pub abandonment: f64,
}

impl HolePrices {
    /// The same, where every price can be reckoned with.
    ///
    /// # Errors
    /// When one is not.
    pub fn checked(self) -> Result<Self, OutOfRange> {
        amount("the price of mobilisation", self.mobilisation)?;
        amount("the price of drilling a metre", self.per_metre)?;
        amount("the price of a metre of casing", self.casing_per_metre)?;
        amount("the price of completion", self.completion)?;
        amount("the price of the lift", self.lift)?;
        amount("the price of abandonment", self.abandonment)?;
        Ok(self)
    }

    /// Drilling to a depth, without what follows.
    pub fn drilled(&self, depth_m: f64) -> f64 {
        self.mobilisation + self.per_metre * depth_m
    }

    /// What a success costs beyond its drilling.
    pub fn finishing(&self, depth_m: f64) -> f64 {
        self.casing_per_metre * depth_m + self.completion + self.lift
    }

    /// What water that turns out bad costs beyond the drilling.
    pub fn spoilt(&self, depth_m: f64) -> f64 {
        self.casing_per_metre * depth_m + self.completion + self.abandonment
    }

    /// A hole that becomes a working well.
    pub fn success(&self, depth_m: f64) -> f64 {
        self.drilled(depth_m) + self.finishing(depth_m)
    }

    /// A hole that fails.
    pub fn failure(&self, depth_m: f64) -> f64 {
        self.drilled(depth_m) + self.abandonment
    }

    /// A hole with that end.
    pub fn of(&self, end: &Reached) -> f64 {
        let depth_m = f64::from(end.depth_m);
        match end.outcome {
            Outcome::Success => self.success(depth_m),
            Outcome::PoorQuality => self.drilled(depth_m) + self.spoilt(depth_m),
            _ => self.failure(depth_m),
        }
    }
}

/// A cost with how far it differs from hole to hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CostSpread {
    /// On average.
    pub mean: f64,
    /// The standard deviation between holes.
    pub sd: f64,
}

impl CostSpread {
    /// The same of every hole.
    pub fn sure(cost: f64) -> Self {
        Self { mean: cost, sd: 0.0 }
    }

    /// That of a low, a likely and a high price: a triangular distribution
    /// (mean (a + b + c)/3, variance (a² + b² + c² − ab − ac − bc)/18).
    ///
    /// # Errors
    /// When they are not in order, or below 0.
    pub fn triangular(low: f64, likely: f64, high: f64) -> Result<Self, OutOfRange> {
        let a = amount("the low end of a cost", low)?;
        let c = at_least("the likely cost", likely, a)?;
        let b = at_least("the high end of a cost", high, c)?;
        let variance = ((b - a) * (b - a) - (b - c) * (c - a)) / 18.0;
        Self { mean: (a + b + c) / 3.0, sd: variance.max(0.0).sqrt() }.checked()
    }

    pub(super) fn checked(self) -> Result<Self, OutOfRange> {
        amount("a cost", self.mean)?;
        amount("the spread of a cost", self.sd)?;
        Ok(self)
    }
}

/// What one method's holes cost by their end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HoleMoney {
    /// A hole that becomes a working well.
    pub success: CostSpread,
    /// One that does not.
    pub failure: CostSpread,
}

impl HoleMoney {
    /// Over the virtual bores of one method. Where none succeeds a success
    /// is reckoned at the depth of the average hole, and where none fails a
    /// failure likewise.
    ///
    /// # Errors
    /// When a price is out of range.
    pub fn of(draws: &Draws, method: usize, prices: HolePrices) -> Result<Self, OutOfRange> {
        let prices = prices.checked()?;
        let (mut good, mut bad, mut metres) = (Sum::default(), Sum::default(), Sum::default());
        for end in draws.iter().filter_map(|(_, ends)| ends.get(method)) {
            metres.add(f64::from(end.depth_m));
            if end.outcome == Outcome::Success { good.add(prices.of(end)) } else { bad.add(prices.of(end)) }
        }
        let usual_m = metres.spread().map_or(0.0, |m| m.mean);
        let sure = |cost| CostSpread::sure(cost);
        Ok(Self {
            success: good.spread().unwrap_or_else(|| sure(prices.success(usual_m))).checked()?,
            failure: bad.spread().unwrap_or_else(|| sure(prices.failure(usual_m))).checked()?,
        })
    }
}

/// Welford's running mean and variance (Technometrics 4, 1962; from memory).
#[derive(Debug, Default)]
struct Sum {
    count: f64,
    mean: f64,
    squares: f64,
}

impl Sum {
    fn add(&mut self, x: f64) {
        self.count += 1.0;
        let off = x - self.mean;
        self.mean += off / self.count;
        self.squares += off * (x - self.mean);
    }

    fn spread(&self) -> Option<CostSpread> {
        let sd = (self.squares / self.count).max(0.0).sqrt();
        (self.count > 0.0).then_some(CostSpread { mean: self.mean, sd })
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::super::toys::{PRICES, draws, ends};
    use super::*;

    #[test]
    fn a_hole_costs_its_parts_by_how_it_ends() {
        assert_eq!(PRICES.success(10.0), 100.0 + 10.0 * (20.0 + 5.0) + 200.0 + 150.0);
        assert_eq!(PRICES.failure(10.0), 100.0 + 200.0 + 30.0);
        let bad = ends(&[(Outcome::PoorQuality, 10.0)]);
        assert_eq!(PRICES.of(&bad[0]), 100.0 + 10.0 * 25.0 + 200.0 + 30.0);
    }

    /// By hand: successes at 10 and 14 m cost 700 and 800, so 750 ± 50.
    #[test]
    fn costs_spread_with_the_depths_of_the_bores() {
        let ends = ends(&[(Outcome::Success, 10.0), (Outcome::Success, 14.0), (Outcome::Refused, 5.0)]);
        let money = HoleMoney::of(&draws(ends), 0, PRICES).unwrap();
        assert_eq!(money.success, CostSpread { mean: 750.0, sd: 50.0 });
        assert_eq!(money.failure, CostSpread::sure(230.0));
    }

    #[test]
    fn an_end_that_no_bore_met_is_reckoned_at_the_average_depth() {
        let all_dry = draws(ends(&[(Outcome::Dry, 10.0), (Outcome::Dry, 20.0)]));
        let money = HoleMoney::of(&all_dry, 0, PRICES).unwrap();
        assert_eq!(money.success, CostSpread::sure(PRICES.success(15.0)));
    }

    /// The triangle from 0 to 6 with its top at 3 has variance 6²/24.
    #[test]
    fn three_prices_make_a_triangle() {
        let spread = CostSpread::triangular(0.0, 3.0, 6.0).unwrap();
        assert!((spread.mean - 3.0).abs() < 1e-12 && (spread.sd * spread.sd - 1.5).abs() < 1e-12);
        assert!(CostSpread::triangular(5.0, 3.0, 6.0).is_err());
    }

    #[test]
    fn prices_that_are_none_are_refused() {
        assert!(HolePrices { lift: f64::NAN, ..PRICES }.checked().is_err());
        assert!(HolePrices { abandonment: -1.0, ..PRICES }.checked().is_err());
    }
}
