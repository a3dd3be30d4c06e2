//! How far the water falls around a pumped well with time, in ground that is
//! wide, even and confined (or thick against the fall).
//!
//! s = Q/(4πT)·W(u), u = r²S/(4Tt), W(u) = ∫ᵤ^∞ e⁻ˣ/x dx
//!
//! s drawdown m; Q rate m³/d; T transmissivity m²/d; S storativity, no unit;
//! r distance from the well m; t time since pumping began d.
//!
//! Source: Theis (1935), Trans. Am. Geophys. Union 16, 519–524.

use std::f64::consts::PI;

use crate::units::OutOfRange;
use crate::units::range::{between, finite, not_negative, positive};

/// Cubic metres a day in one litre a second.
pub const M3_PER_DAY_IN_LPS: f64 = 86.4;

/// Euler's constant γ.
const EULER: f64 = 0.577_215_664_901_532_9;

/// What an aquifer passes and what it holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aquifer {
    transmissivity_m2_per_day: f64,
    storativity: f64,
}

impl Aquifer {
    /// An aquifer of that transmissivity (m²/d) and storativity (the share of
    /// its volume that it gives per metre of fall).
    ///
    /// # Errors
    /// When the transmissivity is not above 0 or the storativity not between
    /// 0 and 1.
    pub fn new(transmissivity_m2_per_day: f64, storativity: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            transmissivity_m2_per_day: positive("the transmissivity (m²/d)", transmissivity_m2_per_day)?,
            storativity: between("the storativity", storativity, 0.0, 1.0)?,
        })
    }

    /// What it passes through a strip one metre wide at a slope of one, m²/d.
    pub fn transmissivity_m2_per_day(&self) -> f64 {
        self.transmissivity_m2_per_day
    }

    /// What it gives from one square metre for one metre of fall, m³.
    pub fn storativity(&self) -> f64 {
        self.storativity
    }

    /// u = r²S/(4Tt).
    ///
    /// # Errors
    /// When distance or time is not above 0, or u cannot be written down.
    pub fn u(&self, distance_m: f64, time_day: f64) -> Result<f64, OutOfRange> {
        let distance_m = positive("the distance from the well (m)", distance_m)?;
        let time_day = positive("the time since pumping began (d)", time_day)?;
        let u = distance_m.powi(2) * self.storativity / (4.0 * self.transmissivity_m2_per_day * time_day);
        positive("u = r²S/(4Tt)", u)
    }

    /// The drawdown at that distance and time from a well pumped at a steady
    /// rate, m.
    ///
    /// # Errors
    /// When the rate is below 0, distance or time is not above 0, or the
    /// result is no number.
    pub fn drawdown_m(
        &self,
        rate_m3_per_day: f64,
        distance_m: f64,
        time_day: f64,
    ) -> Result<f64, OutOfRange> {
        let rate = not_negative("the pumping rate (m³/d)", rate_m3_per_day)?;
        let w = well_function(self.u(distance_m, time_day)?)?;
        finite("the drawdown (m)", rate / (4.0 * PI * self.transmissivity_m2_per_day) * w)
    }

    /// Transmissivity and storativity from the point where a plot of the
    /// readings and the curve of W(u) against 1/u are laid over one another:
    /// T = Q·W/(4πs), S = 4Ttu/r².
    ///
    /// # Errors
    /// When a figure is not above 0 or the storativity comes out at 1 or more.
    pub fn from_match_point(point: &MatchPoint) -> Result<Self, OutOfRange> {
        let rate = positive("the pumping rate (m³/d)", point.rate_m3_per_day)?;
        let distance_m = positive("the distance from the well (m)", point.distance_m)?;
        let drawdown_m = positive("the drawdown (m)", point.drawdown_m)?;
        let time_day = positive("the time since pumping began (d)", point.time_day)?;
        let (w, u) = (positive("W(u)", point.w)?, positive("u", point.u)?);
        let transmissivity = rate * w / (4.0 * PI * drawdown_m);
        Self::new(transmissivity, 4.0 * transmissivity * time_day * u / distance_m.powi(2))
    }
}

/// One point read off both the readings and the curve laid over them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MatchPoint {
    /// The steady rate.
    pub rate_m3_per_day: f64,
    /// From the well to where the readings were taken.
    pub distance_m: f64,
    /// The drawdown of the point.
    pub drawdown_m: f64,
    /// The time of the point.
    pub time_day: f64,
    /// W(u) of the point.
    pub w: f64,
    /// u of the point.
    pub u: f64,
}

/// W(u) = E₁(u) = ∫ᵤ^∞ e⁻ˣ/x dx, to a few units of the last place.
///
/// Up to u = 1 by −γ − ln u + Σ (−1)ᵏ⁺¹uᵏ/(k·k!), above by the continued
/// fraction e⁻ᵘ/(u + 1 − 1²/(u + 3 − 2²/(u + 5 − …))) (Abramowitz & Stegun
/// 1964, 5.1.11 and 5.1.22 in its contracted form). Above u ≈ 740 it is too
/// small to write down and 0.
///
/// # Errors
/// When u is not above 0.
pub fn well_function(u: f64) -> Result<f64, OutOfRange> {
    let u = positive("u", u)?;
    Ok(if u <= 1.0 { series(u) } else { continued_fraction(u) })
}

fn series(u: f64) -> f64 {
    let mut sum = 0.0;
    // (−1)ᵏ⁺¹uᵏ/k! of each k in turn. Twenty terms reach the last place at
    // u = 1: 1/(20·20!) is 2e-20.
    let mut power = -1.0;
    for k in 1..=20 {
        let k = f64::from(k);
        power *= -u / k;
        sum += power / k;
    }
    sum - EULER - u.ln()
}

/// By the method of Lentz, as Thompson & Barnett (1986) have it
/// (from memory).
fn continued_fraction(u: f64) -> f64 {
    // At u = 1 it settles in about 90 turns, above sooner.
    const TURNS: u32 = 200;
    let mut b = u + 1.0;
    let mut d = 1.0 / b;
    let (mut c, mut whole) = (f64::MAX, d);
    for k in 1..=TURNS {
        let a = -f64::from(k).powi(2);
        b += 2.0;
        d = 1.0 / (a * d + b);
        c = b + a / c;
        let factor = c * d;
        whole *= factor;
        if (factor - 1.0).abs() < f64::EPSILON {
            break;
        }
    }
    whole * (-u).exp()
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    /// Reckoned to 25 places with an arbitrary-precision library.
    #[test]
    fn the_well_function_is_exact_to_the_last_places() {
        for (u, w) in [
            (1e-300, 690.198_312_233_312_2),
            (1e-15, 33.961_560_730_009_15),
            (1e-6, 13.238_295_893_062_49),
            (0.01, 4.037_929_576_538_114),
            (0.5, 0.559_773_594_776_160_8),
            (0.99, 0.223_099_825_790_177_24),
            (1.0, 0.219_383_934_395_520_27),
            (1.01, 0.215_741_623_794_489_97),
            (1.5, 0.100_019_582_406_632_65),
            (2.0, 0.048_900_510_708_061_12),
            (9.0, 1.244_735_417_800_627_2e-5),
            (50.0, 3.783_264_029_550_459e-24),
            (700.0, 1.406_518_766_234_033e-307),
        ] {
            let got = well_function(u).unwrap();
            assert!((got / w - 1.0).abs() < 2e-14, "W({u}) = {got}, not {w}");
        }
    }

    #[test]
    fn far_out_nothing_has_fallen_yet() {
        let aquifer = Aquifer::new(5.0, 0.2).unwrap();
        assert_eq!(aquifer.drawdown_m(20.0, 1e5, 1e-3).unwrap(), 0.0);
    }

    #[test]
    fn pumping_longer_or_standing_closer_draws_the_water_further_down() {
        let aquifer = Aquifer::new(5.0, 1e-3).unwrap();
        let at = |r, t| aquifer.drawdown_m(20.0, r, t).unwrap();
        assert!(at(10.0, 1.0) < at(10.0, 2.0));
        assert!(at(10.0, 1.0) < at(5.0, 1.0));
    }

    #[test]
    fn figures_that_are_none_are_refused() {
        assert!(Aquifer::new(0.0, 0.1).is_err());
        assert!(Aquifer::new(1.0, 1.0).is_err());
        assert!(Aquifer::new(f64::NAN, 0.1).is_err());
        let aquifer = Aquifer::new(5.0, 1e-3).unwrap();
        assert!(aquifer.drawdown_m(-1.0, 1.0, 1.0).is_err());
        assert!(aquifer.drawdown_m(1.0, 0.0, 1.0).is_err());
        assert!(aquifer.drawdown_m(1.0, 1.0, 0.0).is_err());
        assert!(aquifer.drawdown_m(1.0, 1e300, 1.0).is_err());
    }
}
