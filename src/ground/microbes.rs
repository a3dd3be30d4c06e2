//! How many microbes are left after days in groundwater, in tenfolds: a
//! removal of 3 leaves a thousandth.
//!
//! Die-off alone: rate (log₁₀ per day)·days. Rates by John & Rose (2005),
//! Environmental Science & Technology 39, 7345–7356
//! (volume and pages from memory), geometric means:
//! [`MOST_ORGANISMS`] for coliforms, enterococci, Salmonella, polio and echo
//! virus and coliphage, [`HARDY_VIRUSES`] for hepatitis A, coxsackie and phage
//! PRD-1. Fifty days of the latter are one to two tenfolds: not sterile.
//!
//! With attachment to grains (colloid filtration, as the Dutch waterworks
//! reckon viruses, BTO 2012.015, as quoted in a public implementation):
//!
//! log₁₀(C/C₀) = −(k + μ)/ln 10·x/v
//! k = 1.5·(1 − n)/d·α·4·A^(1/3)·(D/(d·n·v))^(2/3)·v
//! A = 2(1 − g⁵)/(2 − 3g + 3g⁵ − 2g⁶), g = (1 − n)^(1/3)
//! D = k_B·(T + 273)/(3π·d_p·η)
//!
//! k attachment 1/d; μ inactivation 1/d; x distance m; v velocity of the water
//! m/d; n porosity; d grain m; α share of meetings that stick; D diffusion
//! m²/d; T temperature °C; d_p microbe m; η viscosity Pa·s. Far too hopeful in
//! coarse or fractured ground: never use it to shorten a distance.

use std::f64::consts::{LN_10, PI};

use crate::units::OutOfRange;
use crate::units::range::{between, finite, from_to, not_negative, positive, share};

/// Log₁₀ a day, slowest and fastest, of most organisms of faeces.
pub const MOST_ORGANISMS: (f64, f64) = (0.07, 0.1);
/// Log₁₀ a day, slowest and fastest, of viruses that last.
pub const HARDY_VIRUSES: (f64, f64) = (0.02, 0.04);

/// The tenfolds that die in so many days.
///
/// # Errors
/// When a figure is below 0.
pub fn die_off_log10(log10_per_day: f64, days: f64) -> Result<f64, OutOfRange> {
    let rate = not_negative("the rate of die-off (log10 a day)", log10_per_day)?;
    finite("the die-off (log10)", rate * not_negative("the days", days)?)
}

/// A rate of e-folds an hour as tenfolds a day.
///
/// # Errors
/// When it is below 0.
pub fn log10_per_day(e_folds_per_hour: f64) -> Result<f64, OutOfRange> {
    const HOURS_PER_DAY: f64 = 24.0;
    let rate = not_negative("the rate of die-off (e-folds an hour)", e_folds_per_hour)?;
    finite("the rate of die-off (log10 a day)", rate * HOURS_PER_DAY / LN_10)
}

/// The days in which nine of ten die.
///
/// # Errors
/// When the rate is not above 0.
pub fn days_for_nine_tenths(log10_per_day: f64) -> Result<f64, OutOfRange> {
    finite("the days", 1.0 / positive("the rate of die-off (log10 a day)", log10_per_day)?)
}

/// Microbes on their way between grains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BetweenGrains {
    /// n.
    pub porosity: f64,
    /// d, in millimetres.
    pub grain_mm: f64,
    /// d_p.
    pub microbe_m: f64,
    /// α.
    pub sticking_share: f64,
    /// T.
    pub temperature_c: f64,
    /// η at that temperature.
    pub viscosity_pa_s: f64,
    /// v.
    pub velocity_m_per_day: f64,
}

impl BetweenGrains {
    /// k, e-folds a day.
    ///
    /// # Errors
    /// When a figure is out of range.
    pub fn attachment_per_day(&self) -> Result<f64, OutOfRange> {
        // Both as the source rounds them, so that its figures come out again.
        const BOLTZMANN_J_PER_K: f64 = 1.38e-23;
        const KELVIN: f64 = 273.0;
        const SECONDS_PER_DAY: f64 = 86_400.0;
        const MM_PER_M: f64 = 1000.0;
        let n = between("the porosity", self.porosity, 0.0, 1.0)?;
        let d = positive("the grain (mm)", self.grain_mm)? / MM_PER_M;
        let microbe = positive("the diameter of the microbe (m)", self.microbe_m)?;
        let alpha = share("the share that sticks", self.sticking_share)?;
        let t = from_to("the temperature of the water (°C)", self.temperature_c, 0.0, 40.0)?;
        let eta = positive("the viscosity of the water (Pa·s)", self.viscosity_pa_s)?;
        let v = positive("the velocity of the water (m/d)", self.velocity_m_per_day)?;
        let g = (1.0 - n).cbrt();
        let crowding = 2.0 * (1.0 - g.powi(5)) / (2.0 - 3.0 * g + 3.0 * g.powi(5) - 2.0 * g.powi(6));
        let diffusion = BOLTZMANN_J_PER_K * (t + KELVIN) / (3.0 * PI * microbe * eta) * SECONDS_PER_DAY;
        let meetings = 4.0 * crowding.cbrt() * (diffusion / (d * n * v)).powf(2.0 / 3.0);
        not_negative("the attachment (1/d)", 1.5 * (1.0 - n) / d * alpha * meetings * v)
    }

    /// The tenfolds removed over a distance.
    ///
    /// # Errors
    /// When a figure is out of range.
    pub fn removal_log10(&self, inactivation_per_day: f64, distance_m: f64) -> Result<f64, OutOfRange> {
        let both = self.attachment_per_day()? + not_negative("the inactivation (1/d)", inactivation_per_day)?;
        let days = not_negative("the distance (m)", distance_m)? / self.velocity_m_per_day;
        finite("the removal (log10)", both / LN_10 * days)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PHAGE: BetweenGrains = BetweenGrains {
        porosity: 0.33,
        grain_mm: 0.25,
        microbe_m: 2.33e-8,
        sticking_share: 0.001,
        temperature_c: 10.0,
        viscosity_pa_s: 1.306e-3,
        velocity_m_per_day: 0.3,
    };

    #[test]
    fn coarse_grains_and_fast_water_hold_less_back() {
        let fine = PHAGE.removal_log10(0.149, 10.0).unwrap();
        assert!(BetweenGrains { grain_mm: 2.0, ..PHAGE }.removal_log10(0.149, 10.0).unwrap() < fine);
        assert!(
            BetweenGrains { velocity_m_per_day: 3.0, ..PHAGE }.removal_log10(0.149, 10.0).unwrap() < fine
        );
    }

    #[test]
    fn without_sticking_only_die_off_is_left() {
        let slick = BetweenGrains { sticking_share: 0.0, ..PHAGE }.removal_log10(0.149, 3.0).unwrap();
        assert!((slick - 0.149 * 10.0 / LN_10).abs() < 1e-12);
    }

    #[test]
    fn figures_that_are_none_are_refused() {
        assert!(die_off_log10(-0.1, 1.0).is_err() && days_for_nine_tenths(0.0).is_err());
        assert!(BetweenGrains { velocity_m_per_day: 0.0, ..PHAGE }.removal_log10(0.1, 1.0).is_err());
        assert!(BetweenGrains { porosity: 1.0, ..PHAGE }.attachment_per_day().is_err());
    }
}
