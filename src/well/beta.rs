//! What is known of a chance, and what neighbours' holes teach of it.
//!
//! A chance with the weight of a good and b poor holes behind it has the mean
//! a/(a + b); k good of n more holes make (a + k)/(a + b + n). A hole farther
//! away counts for less, exp(−d/L) with d its distance and L a length of the
//! ground (common practice), and only holes in the same landform should count
//! at all.
//!
//! Source: the beta distribution, conjugate to holes that turn out alike and
//! independently; any text on Bayesian statistics.

use super::special::beta_below;
use crate::units::OutOfRange;
use crate::units::range::{between, from_to, not_negative, positive};

/// A chance that is not known exactly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beta {
    good: f64,
    poor: f64,
}

/// A hole whose end is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownHole {
    /// From the peg.
    pub distance_m: f64,
    /// Whether it became a working well.
    pub good: bool,
}

impl Beta {
    /// The weight of that many good and poor holes.
    ///
    /// # Errors
    /// When one is not above 0.
    pub fn new(good: f64, poor: f64) -> Result<Self, OutOfRange> {
        // Beyond this the sums that make its quantiles no longer settle.
        const HEAVIEST: f64 = 1e6;
        Ok(Self {
            good: from_to(
                "the weight of good holes",
                positive("the weight of good holes", good)?,
                0.0,
                HEAVIEST,
            )?,
            poor: from_to(
                "the weight of poor holes",
                positive("the weight of poor holes", poor)?,
                0.0,
                HEAVIEST,
            )?,
        })
    }

    /// A chance of that mean with the weight of so many holes.
    ///
    /// # Errors
    /// When the mean is not between 0 and 1 or the weight not above 0.
    pub fn of_mean(mean: f64, holes: f64) -> Result<Self, OutOfRange> {
        let mean = between("the mean chance", mean, 0.0, 1.0)?;
        let holes = positive("the weight in holes", holes)?;
        Self::new(mean * holes, (1.0 - mean) * holes)
    }

    /// The same after more holes, each counted by its weight.
    ///
    /// # Errors
    /// When a weight is below 0.
    pub fn after(&self, good: f64, poor: f64) -> Result<Self, OutOfRange> {
        Self::new(
            self.good + not_negative("the weight of good holes", good)?,
            self.poor + not_negative("the weight of poor holes", poor)?,
        )
    }

    /// The same after neighbours, each counted by exp(−distance/length).
    ///
    /// # Errors
    /// When a distance is below 0 or the length not above 0.
    pub fn after_neighbours(&self, holes: &[KnownHole], length_m: f64) -> Result<Self, OutOfRange> {
        let length = positive("the length over which ground is alike (m)", length_m)?;
        let (mut good, mut poor) = (0.0, 0.0);
        for hole in holes {
            let weight = (-not_negative("the distance of a hole (m)", hole.distance_m)? / length).exp();
            if hole.good { good += weight } else { poor += weight }
        }
        self.after(good, poor)
    }

    /// The weight of good holes.
    pub fn good(&self) -> f64 {
        self.good
    }

    /// The weight of poor holes.
    pub fn poor(&self) -> f64 {
        self.poor
    }

    /// The mean: the chance that the next hole is good.
    pub fn mean(&self) -> f64 {
        self.good / (self.good + self.poor)
    }

    /// The standard deviation.
    pub fn sd(&self) -> f64 {
        let all = self.good + self.poor;
        (self.good / all * (self.poor / all) / (all + 1.0)).sqrt()
    }

    /// How sure it is that the chance lies below `x`.
    ///
    /// # Errors
    /// When x is not from 0 to 1.
    pub fn below(&self, x: f64) -> Result<f64, OutOfRange> {
        Ok(beta_below(self.good, self.poor, from_to("the chance", x, 0.0, 1.0)?))
    }

    /// The chance below which it lies with that sureness.
    ///
    /// # Errors
    /// When the sureness is not between 0 and 1.
    pub fn quantile(&self, sureness: f64) -> Result<f64, OutOfRange> {
        let sureness = between("the sureness", sureness, 0.0, 1.0)?;
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if beta_below(self.good, self.poor, middle) < sureness { low = middle } else { high = middle }
        }
        Ok(f64::midpoint(low, high))
    }

    /// The failures to expect for each good hole, (1 − p)/p averaged over what
    /// p may be: b/(a − 1). It is above (1 − p)/p of the mean: not knowing
    /// costs. `None` where a ≤ 1: there is then no bound to it.
    pub fn failures_per_success(&self) -> Option<f64> {
        (self.good > 1.0).then(|| self.poor / (self.good - 1.0)).filter(|x| x.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_holes_teach_less_than_near_ones() {
        let prior = Beta::new(3.0, 2.0).unwrap();
        let dry = |distance_m| {
            prior.after_neighbours(&[KnownHole { distance_m, good: false }], 500.0).unwrap().mean()
        };
        assert!(dry(0.0) < dry(400.0) && dry(400.0) < dry(5000.0) && dry(5000.0) < 0.6);
        assert!((dry(0.0) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn the_quantile_undoes_the_sureness() {
        let chance = Beta::new(6.0, 4.0).unwrap();
        for q in [0.025, 0.1, 0.5, 0.9, 0.975] {
            assert!((chance.below(chance.quantile(q).unwrap()).unwrap() - q).abs() < 1e-12);
        }
    }

    /// Beta(2, 2): variance 1/20, and the density is its own mirror.
    #[test]
    fn spread_and_median_agree_with_hand_reckoning() {
        let chance = Beta::of_mean(0.5, 4.0).unwrap();
        assert!((chance.sd() - 0.05f64.sqrt()).abs() < 1e-12);
        assert!((chance.quantile(0.5).unwrap() - 0.5).abs() < 1e-12);
    }

    #[test]
    fn not_knowing_the_chance_costs_failures() {
        let chance = Beta::new(6.0, 4.0).unwrap();
        assert!((chance.failures_per_success().unwrap() - 0.8).abs() < 1e-12);
        assert!(chance.failures_per_success().unwrap() > 0.4 / 0.6);
        assert_eq!(Beta::new(1.0, 1.0).unwrap().failures_per_success(), None);
    }

    #[test]
    fn chances_that_are_none_are_refused() {
        assert!(Beta::new(0.0, 1.0).is_err() && Beta::of_mean(1.0, 5.0).is_err());
        assert!(Beta::new(1.0, f64::INFINITY).is_err());
        assert!(Beta::new(1.0, 1.0).unwrap().after(-1.0, 0.0).is_err());
    }
}
