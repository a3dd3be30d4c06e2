//! What a well gives for the drawdown it can stand, after pumping for a time;
//! and the drawdown that a rate costs.
//!
//! s = B·Q + C·Q² + Σ sᵢ, B = W(u)/(4πT′), u = r²S/(4T′t), T′ = T/bias
//!
//! s drawdown in the well m; Q rate m³/d; t pumping time d; r radius of the
//! hole m; S storativity; C well loss d²/m⁵ (Jacob 1947, Trans. ASCE 112; from memory); sᵢ
//! what other wells draw down here (Theis 1935). With u ≤ 0.05 this is Cooper
//! & Jacob (1946); the whole W(u) is kept so that nothing breaks where u is
//! greater, and whether their line would do is said beside the result.
//!
//! Where the aquifer is unconfined and b m thick, its part s of the drawdown
//! drains the aquifer itself: s − s²/(2b) = B·Q + Σ sᵢ (Jacob 1944, US
//! Geological Survey; from memory).
//!
//! The bias is how many times too great T may be. One-well tests in unconfined
//! ground, read by Cooper & Jacob's line, gave twice the true T on average
//! over 628 simulations (Halford, Weight & Schreiber 2006, Ground Water 44,
//! 467–471; volume and pages from memory).

use std::f64::consts::PI;

use super::cooper_jacob;
use super::theis::{Aquifer, well_function};
use crate::units::OutOfRange;
use crate::units::range::{at_least, finite, from_to, less_than, not_negative, positive};

/// How many times too great T came out of one-well tests in unconfined ground.
pub const ONE_WELL_TEST_BIAS: f64 = 2.0;

/// Another well that pumps from the same aquifer for the same time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OtherWell {
    /// Between the two wells.
    pub distance_m: f64,
    /// Its rate.
    pub rate_m3_per_day: f64,
}

/// A well in its aquifer.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpedWell {
    /// The aquifer as measured or guessed, before the allowance for bias.
    pub aquifer: Aquifer,
    /// The thickness of the water in unconfined ground; `None` where the
    /// aquifer stays full.
    pub unconfined_m: Option<f64>,
    /// The radius of the hole.
    pub radius_m: f64,
    /// C; 0 for a well without loss.
    pub well_loss_day2_per_m5: f64,
    /// How many times too great the transmissivity may be; 1 or more.
    pub bias: f64,
    /// Wells that pump at the same time.
    pub others: Vec<OtherWell>,
}

/// The parts of a drawdown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawdown {
    /// In the aquifer at the well's wall, by this well and the others.
    pub aquifer_m: f64,
    /// Of that, by the others, before any draining of the aquifer.
    pub others_m: f64,
    /// Inside the well.
    pub well_loss_m: f64,
    /// All together.
    pub total_m: f64,
}

/// What a well gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yield {
    /// The rate that uses up the drawdown; 0 where the others use it up.
    pub rate_m3_per_day: f64,
    /// r²S/(4T′t).
    pub u: f64,
    /// Whether Cooper & Jacob's line would do.
    pub late: bool,
}

/// The figures of a well at one time.
struct Costs {
    u: f64,
    /// B, d/m².
    per_rate: f64,
    others_m: f64,
    /// C, d²/m⁵.
    loss: f64,
    /// b, m.
    unconfined_m: Option<f64>,
}

impl PumpedWell {
    fn costs(&self, time_day: f64) -> Result<Costs, OutOfRange> {
        let bias = at_least("the bias of the transmissivity", self.bias, 1.0)?;
        let t = self.aquifer.transmissivity_m2_per_day() / bias;
        let aquifer = Aquifer::new(t, self.aquifer.storativity())?;
        let u = aquifer.u(self.radius_m, time_day)?;
        let mut others_m = 0.0;
        for other in &self.others {
            others_m += aquifer.drawdown_m(other.rate_m3_per_day, other.distance_m, time_day)?;
        }
        let unconfined_m = match self.unconfined_m {
            Some(b) => Some(positive("the thickness of the water (m)", b)?),
            None => None,
        };
        Ok(Costs {
            u,
            per_rate: finite("the drawdown per rate (d/m²)", well_function(u)? / (4.0 * PI * t))?,
            others_m: finite("the drawdown by other wells (m)", others_m)?,
            loss: not_negative("the well loss (d²/m⁵)", self.well_loss_day2_per_m5)?,
            unconfined_m,
        })
    }

    /// The drawdown that a rate costs after a time.
    ///
    /// # Errors
    /// When a figure is out of range, or an unconfined aquifer cannot give
    /// that rate.
    pub fn drawdown(&self, rate_m3_per_day: f64, time_day: f64) -> Result<Drawdown, OutOfRange> {
        let rate = not_negative("the pumping rate (m³/d)", rate_m3_per_day)?;
        let costs = self.costs(time_day)?;
        let full = finite("the drawdown in the aquifer (m)", costs.per_rate * rate + costs.others_m)?;
        let aquifer_m = match costs.unconfined_m {
            None => full,
            // s − s²/(2b) is greatest, b/2, where the aquifer is drained.
            Some(b) => {
                let full = less_than("the drawdown of a full aquifer (m)", full, b / 2.0)?;
                // b − √(b² − 2b·full) without its loss of digits.
                2.0 * full / (1.0 + (1.0 - 2.0 * full / b).sqrt())
            }
        };
        let well_loss_m = costs.loss * rate.powi(2);
        let total_m = finite("the drawdown (m)", aquifer_m + well_loss_m)?;
        Ok(Drawdown { aquifer_m, others_m: costs.others_m, well_loss_m, total_m })
    }

    /// The rate that uses up a drawdown after a time.
    ///
    /// # Errors
    /// When a figure is out of range, or the drawdown goes below an unconfined
    /// aquifer's base.
    pub fn yield_for(&self, available_m: f64, time_day: f64) -> Result<Yield, OutOfRange> {
        let available = not_negative("the drawdown the well can stand (m)", available_m)?;
        let costs = self.costs(time_day)?;
        if let Some(b) = costs.unconfined_m {
            from_to("the drawdown the well can stand (m)", available, 0.0, b)?;
        }
        let rate = costs.rate_that_uses(available)?;
        Ok(Yield { rate_m3_per_day: rate, u: costs.u, late: costs.u <= cooper_jacob::GREATEST_U })
    }
}

impl Costs {
    /// What is left of a drawdown at a rate, and how fast that falls with it.
    fn left(&self, available: f64, rate: f64) -> (f64, f64) {
        let in_aquifer = available - self.loss * rate.powi(2);
        let (drained, still_full) = match self.unconfined_m {
            Some(b) => (in_aquifer.powi(2) / (2.0 * b), 1.0 - in_aquifer / b),
            None => (0.0, 1.0),
        };
        let left = in_aquifer - drained - self.others_m - self.per_rate * rate;
        (left, 2.0 * self.loss * rate * still_full + self.per_rate)
    }

    /// Where nothing is left, by Newton's method. What is left falls ever
    /// faster as the rate grows, so from too great a rate every step stays on
    /// that side and nears the root.
    fn rate_that_uses(&self, available: f64) -> Result<f64, OutOfRange> {
        if self.left(available, 0.0).0 <= 0.0 {
            return Ok(0.0);
        }
        // Neither the aquifer's part nor the loss alone can use up more.
        let by_loss = (available / self.loss).sqrt();
        let mut rate = positive("the greatest rate (m³/d)", (available / self.per_rate).min(by_loss))?;
        // About six steps are taken; more only where one part dwarfs the other.
        for _ in 0..200 {
            let (left, falls) = self.left(available, rate);
            let next = rate + left / falls;
            if !(next > 0.0 && next < rate) {
                break;
            }
            rate = next;
        }
        finite("the yield (m³/d)", rate)
    }
}

/// The drawdown that a well of unconfined ground may use without draining more
/// than a share of the water it stands in, m; two thirds by common practice.
///
/// # Errors
/// When the thickness is below 0 or the share outside 0 to 1.
pub fn usable_drawdown_m(water_m: f64, usable_share: f64) -> Result<f64, OutOfRange> {
    let water = not_negative("the water in the well (m)", water_m)?;
    Ok(water * from_to("the usable share", usable_share, 0.0, 1.0)?)
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    fn well() -> PumpedWell {
        PumpedWell {
            aquifer: Aquifer::new(5.0, 1e-3).unwrap(),
            unconfined_m: None,
            radius_m: 0.0575,
            well_loss_day2_per_m5: 0.0,
            bias: 1.0,
            others: Vec::new(),
        }
    }

    #[test]
    fn yield_and_drawdown_undo_one_another() {
        let other = OtherWell { distance_m: 40.0, rate_m3_per_day: 6.0 };
        let full = PumpedWell {
            unconfined_m: Some(8.0),
            well_loss_day2_per_m5: 1e-3,
            bias: ONE_WELL_TEST_BIAS,
            others: vec![other],
            ..well()
        };
        for well in [well(), PumpedWell { well_loss_day2_per_m5: 1e-3, ..well() }, full] {
            let given = well.yield_for(4.0, 0.25).unwrap();
            let cost = well.drawdown(given.rate_m3_per_day, 0.25).unwrap();
            assert!(given.late && (cost.total_m - 4.0).abs() < 1e-9, "{given:?} {cost:?}");
        }
    }

    #[test]
    fn without_loss_the_yield_is_that_of_the_formula() {
        let per_rate = well().aquifer.drawdown_m(1.0, 0.0575, 0.25).unwrap();
        let given = well().yield_for(4.0, 0.25).unwrap();
        assert!((given.rate_m3_per_day * per_rate - 4.0).abs() < 1e-9);
    }

    /// B·Q + C·Q² = s has the root (√(B² + 4Cs) − B)/(2C).
    #[test]
    fn with_loss_the_yield_is_that_of_the_quadratic() {
        let b = well().aquifer.drawdown_m(1.0, 0.0575, 0.25).unwrap();
        let root = ((b * b + 4.0 * 0.01 * 4.0).sqrt() - b) / 0.02;
        let lossy = PumpedWell { well_loss_day2_per_m5: 0.01, ..well() };
        assert!((lossy.yield_for(4.0, 0.25).unwrap().rate_m3_per_day - root).abs() < 1e-9);
    }

    #[test]
    fn everything_that_may_be_worse_lessens_the_yield() {
        let plain = well().yield_for(4.0, 0.25).unwrap().rate_m3_per_day;
        let other = OtherWell { distance_m: 10.0, rate_m3_per_day: 6.0 };
        for worse in [
            PumpedWell { bias: 2.0, ..well() },
            PumpedWell { well_loss_day2_per_m5: 1e-3, ..well() },
            PumpedWell { unconfined_m: Some(6.0), ..well() },
            PumpedWell { others: vec![other], ..well() },
        ] {
            assert!(worse.yield_for(4.0, 0.25).unwrap().rate_m3_per_day < plain, "{worse:?}");
        }
        assert!(well().yield_for(4.0, 2.5).unwrap().rate_m3_per_day < plain);
    }

    #[test]
    fn a_bias_of_two_nearly_halves_the_yield() {
        let plain = well().yield_for(4.0, 0.25).unwrap().rate_m3_per_day;
        let cut = PumpedWell { bias: 2.0, ..well() }.yield_for(4.0, 0.25).unwrap().rate_m3_per_day;
        assert!(cut / plain > 0.5 && cut / plain < 0.56, "{}", cut / plain);
    }

    #[test]
    fn the_yield_is_exact_where_one_part_dwarfs_the_other() {
        for loss in [1e-12, 1e-6, 1.0, 1e6, 1e12] {
            for unconfined_m in [None, Some(4.0), Some(400.0)] {
                let well = PumpedWell { well_loss_day2_per_m5: loss, unconfined_m, ..well() };
                let rate = well.yield_for(3.9, 0.25).unwrap().rate_m3_per_day;
                let total = well.drawdown(rate, 0.25).unwrap().total_m;
                assert!((total - 3.9).abs() < 1e-6, "{loss} {unconfined_m:?}: {total}");
            }
        }
    }

    #[test]
    fn no_drawdown_left_is_no_yield() {
        let neighbour = OtherWell { distance_m: 1.0, rate_m3_per_day: 100.0 };
        let starved = PumpedWell { others: vec![neighbour], ..well() };
        assert_eq!(starved.yield_for(4.0, 0.25).unwrap().rate_m3_per_day, 0.0);
        assert_eq!(well().yield_for(0.0, 0.25).unwrap().rate_m3_per_day, 0.0);
    }

    #[test]
    fn what_drains_the_aquifer_is_refused() {
        let thin = PumpedWell { unconfined_m: Some(3.0), ..well() };
        assert!(thin.yield_for(3.5, 0.25).is_err());
        assert!(thin.drawdown(50.0, 0.25).is_err());
        assert!(PumpedWell { bias: 0.5, ..well() }.yield_for(1.0, 0.25).is_err());
    }

    #[test]
    fn usable_drawdown_is_a_share_of_the_water() {
        assert_eq!(usable_drawdown_m(6.0, 0.5).unwrap(), 3.0);
        assert!(usable_drawdown_m(6.0, 1.5).is_err());
    }
}
