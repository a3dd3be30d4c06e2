//! A well of some width while it is emptied at a steady rate and while it
//! fills again: the bailer test, where most of the water is the well's own.
//!
//! In the transform of time (p, 1/d) the drawdown in the well is
//!
//! s̄ = Q·K₀(x)/(p(π·r_c²·p·K₀(x) + 2πT·x·K₁(x))), x = r_w√(pS/T)
//!
//! Q rate m³/d; T transmissivity m²/d; S storativity; r_w radius of the hole
//! and r_c that of the casing where the water stands m. It is brought back to
//! time by Stehfest's sum of twelve terms. Recovery is the same well let in at
//! −Q from the end of bailing.
//!
//! Good for T of 0.1 to 10 m²/d by 10 minutes of bailing (MacDonald, Barker &
//! Davies 2008, Hydrogeology Journal 16, 1065–1075); the water must not fall
//! to the bottom.
//!
//! Sources: Papadopulos & Cooper (1967), Water Resources Research 3, 241–244;
//! Stehfest (1970), Communications of the ACM 13, 47–49 (both from memory).

use std::f64::consts::{LN_2, PI};

use super::special::bessel_k;
use super::theis::Aquifer;
use crate::units::OutOfRange;
use crate::units::range::{between, finite, from_to, more_than, positive};

/// Half the terms of the sum. More would lose in rounding what they gain.
const HALF: u32 = 6;

/// A well that holds water of its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WideWell {
    aquifer: Aquifer,
    hole_radius_m: f64,
    casing_radius_m: f64,
}

/// What bailing does to a well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bailed {
    /// At the end of bailing.
    pub greatest_drawdown_m: f64,
    /// From the end of bailing until half of it has risen again.
    pub half_risen_day: f64,
    /// Until three quarters have.
    pub three_quarters_risen_day: f64,
}

impl WideWell {
    /// A well with those radii in that aquifer.
    ///
    /// # Errors
    /// When a radius is not above 0.
    pub fn new(aquifer: Aquifer, hole_radius_m: f64, casing_radius_m: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            aquifer,
            hole_radius_m: positive("the radius of the hole (m)", hole_radius_m)?,
            casing_radius_m: positive("the radius of the casing (m)", casing_radius_m)?,
        })
    }

    /// s̄ for a rate of 1 m³/d.
    fn transformed(&self, p: f64) -> f64 {
        let t = self.aquifer.transmissivity_m2_per_day();
        let x = self.hole_radius_m * (p * self.aquifer.storativity() / t).sqrt();
        let (k0, k1) = (bessel_k(0, x), bessel_k(1, x));
        // Far out both vanish and so does what the ground gives: 1/(p²πr_c²)
        // would be left, but K₁/K₀ then stays near 1 and keeps its part.
        let ratio = if k0 > 0.0 { k1 / k0 } else { 1.0 };
        1.0 / (p * (PI * self.casing_radius_m.powi(2) * p + 2.0 * PI * t * x * ratio))
    }

    /// The drawdown in the well after that time at a steady rate, m.
    ///
    /// # Errors
    /// When rate or time is not above 0 or the result is no number.
    pub fn drawdown_m(&self, rate_m3_per_day: f64, time_day: f64) -> Result<f64, OutOfRange> {
        let rate = positive("the rate of bailing (m³/d)", rate_m3_per_day)?;
        let time = positive("the time since bailing began (d)", time_day)?;
        let sum: f64 = (1..=2 * HALF).map(|i| weight(i) * self.transformed(f64::from(i) * LN_2 / time)).sum();
        finite("the drawdown (m)", rate * sum * LN_2 / time)
    }

    /// The drawdown left that time after the end of bailing, m.
    ///
    /// # Errors
    /// When a figure is not above 0 or the result is no number.
    pub fn drawdown_left_m(
        &self,
        rate_m3_per_day: f64,
        bailed_day: f64,
        since_day: f64,
    ) -> Result<f64, OutOfRange> {
        let bailed = positive("the time of bailing (d)", bailed_day)?;
        let since = positive("the time since bailing ended (d)", since_day)?;
        let fall = self.drawdown_m(rate_m3_per_day, bailed + since)?;
        finite("the drawdown left (m)", fall - self.drawdown_m(rate_m3_per_day, since)?)
    }

    /// From the end of bailing until that share of the greatest drawdown has
    /// risen again, d.
    ///
    /// # Errors
    /// When a figure is out of range or the water takes over 10,000 times as
    /// long as the bailing.
    pub fn risen_after_day(&self, bailed_day: f64, share: f64) -> Result<f64, OutOfRange> {
        let bailed = positive("the time of bailing (d)", bailed_day)?;
        let share = between("the share risen", share, 0.0, 1.0)?;
        let left = (1.0 - share) * self.drawdown_m(1.0, bailed)?;
        // Shorter than the sum of terms can tell from none, and far too long.
        let (mut low, mut high) = (bailed * 1e-4, bailed * 1e4);
        from_to("the drawdown left (m)", left, self.drawdown_left_m(1.0, bailed, high)?, f64::MAX)?;
        for _ in 0..60 {
            let middle = (low * high).sqrt();
            if self.drawdown_left_m(1.0, bailed, middle)? > left { low = middle } else { high = middle }
        }
        more_than("the time of the rise (d)", (low * high).sqrt(), 0.0)
    }

    /// The greatest drawdown and the times of the rise, by which a bailer test
    /// is judged.
    ///
    /// # Errors
    /// As the parts.
    pub fn bailed(&self, rate_m3_per_day: f64, bailed_day: f64) -> Result<Bailed, OutOfRange> {
        Ok(Bailed {
            greatest_drawdown_m: self.drawdown_m(rate_m3_per_day, bailed_day)?,
            half_risen_day: self.risen_after_day(bailed_day, 0.5)?,
            three_quarters_risen_day: self.risen_after_day(bailed_day, 0.75)?,
        })
    }
}

/// The weight of term `i`: (−1)^(i+n) Σ kⁿ(2k)!/((n − k)!k!(k − 1)!(i − k)!(2k − i)!)
/// over k from (i + 1)/2 to the lesser of i and n, with n half the terms.
fn weight(i: u32) -> f64 {
    let factorial = |n: u32| (1..=n).map(f64::from).product::<f64>();
    let part = |k: u32| {
        f64::from(k).powf(f64::from(HALF)) * factorial(2 * k)
            / (factorial(HALF - k)
                * factorial(k)
                * factorial(k - 1)
                * factorial(i - k)
                * factorial(2 * k - i))
    };
    let sum: f64 = (i.div_ceil(2)..=i.min(HALF)).map(part).sum();
    if (i + HALF).is_multiple_of(2) { sum } else { -sum }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    /// The weights of twelve terms as they are printed (from memory).
    #[test]
    fn the_weights_are_those_of_the_method() {
        let printed = [
            (-1.0, 60.0),
            (961.0, 60.0),
            (-1247.0, 1.0),
            (82_663.0, 3.0),
            (-1_579_685.0, 6.0),
            (13_241_387.0, 10.0),
            (-58_375_583.0, 15.0),
            (21_159_859.0, 3.0),
            (-16_010_673.0, 2.0),
            (11_105_661.0, 2.0),
            (-10_777_536.0, 5.0),
            (1_796_256.0, 5.0),
        ];
        for (i, (above, below)) in (1..).zip(printed) {
            assert!((weight(i) / (above / below) - 1.0).abs() < 1e-13, "{i}: {}", weight(i));
        }
    }

    #[test]
    fn a_thin_well_follows_theis() {
        let aquifer = Aquifer::new(5.0, 1e-3).unwrap();
        let well = WideWell::new(aquifer, 0.05, 1e-6).unwrap();
        let theis = aquifer.drawdown_m(20.0, 0.05, 0.1).unwrap();
        assert!((well.drawdown_m(20.0, 0.1).unwrap() / theis - 1.0).abs() < 1e-4);
    }

    #[test]
    fn a_well_in_tight_ground_gives_its_own_water() {
        let well = WideWell::new(Aquifer::new(1e-6, 1e-3).unwrap(), 0.05, 0.05).unwrap();
        let own = 20.0 * 0.01 / (PI * 0.05 * 0.05);
        assert!((well.drawdown_m(20.0, 0.01).unwrap() / own - 1.0).abs() < 1e-3);
    }

    #[test]
    fn the_times_of_the_rise_do_not_depend_on_the_rate() {
        let well = WideWell::new(Aquifer::new(0.85, 0.01).unwrap(), 0.05, 0.05).unwrap();
        let (slow, fast) = (well.bailed(10.0, 0.007).unwrap(), well.bailed(20.0, 0.007).unwrap());
        assert_eq!(slow.half_risen_day, fast.half_risen_day);
        assert!((fast.greatest_drawdown_m / slow.greatest_drawdown_m - 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_rise_that_takes_for_ever_is_refused() {
        let well = WideWell::new(Aquifer::new(1e-7, 1e-3).unwrap(), 0.05, 0.5).unwrap();
        assert!(well.bailed(10.0, 0.007).is_err());
    }
}
