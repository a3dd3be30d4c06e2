//! Drawdown that grows as the logarithm of time: what late readings of a
//! pumping test show, and transmissivity and storativity from their line.
//!
//! s = 2.303·Q/(4πT)·log₁₀(2.25·Tt/(r²S)), good where u = r²S/(4Tt) ≤ 0.05
//!
//! Symbols and units as in [`theis`](super::theis), of whose W(u) this keeps
//! the first two terms. It reads low by 0.25 % at u = 0.01, 2 % at 0.05 and
//! 5.4 % at 0.1; some authors allow 0.1 (Kruseman & de Ridder 1990, from
//! memory).
//!
//! The 2.25 is 4·e⁻ᵞ = 2.2459 rounded, which is what everybody's published
//! figures rest on and what is used here.
//!
//! Source: Cooper & Jacob (1946), Trans. Am. Geophys. Union 27, 526–534.

use std::f64::consts::{LN_10, PI};

use super::line::{Line, NoLine};
use super::theis::Aquifer;
use crate::units::OutOfRange;
use crate::units::range::{finite, less_than, not_negative, positive};

/// The greatest u at which the straight line is good (2 % low).
pub const GREATEST_U: f64 = 0.05;

/// 4·e⁻ᵞ as it is printed.
const TWO_AND_A_QUARTER: f64 = 2.25;

/// A drawdown by the straight line, and whether the line is good there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LateDrawdown {
    /// The drawdown.
    pub drawdown_m: f64,
    /// r²S/(4Tt).
    pub u: f64,
    /// Whether u is small enough: at most [`GREATEST_U`].
    pub holds: bool,
}

/// The drawdown at that distance and time.
///
/// # Errors
/// When a figure is out of its range, or u so great that the line would have
/// the water rise.
pub fn drawdown(
    aquifer: &Aquifer,
    rate_m3_per_day: f64,
    distance_m: f64,
    time_day: f64,
) -> Result<LateDrawdown, OutOfRange> {
    let rate = not_negative("the pumping rate (m³/d)", rate_m3_per_day)?;
    let u = less_than("u = r²S/(4Tt)", aquifer.u(distance_m, time_day)?, TWO_AND_A_QUARTER / 4.0)?;
    let per_e_fold = rate / (4.0 * PI * aquifer.transmissivity_m2_per_day());
    let drawdown_m = finite("the drawdown (m)", per_e_fold * (TWO_AND_A_QUARTER / (4.0 * u)).ln())?;
    Ok(LateDrawdown { drawdown_m, u, holds: u <= GREATEST_U })
}

/// T from the drawdown gained over a tenfold of time: 2.303·Q/(4πΔs), m²/d.
///
/// # Errors
/// When a figure is not above 0.
pub fn transmissivity_over_time_m2_per_day(
    rate_m3_per_day: f64,
    fall_per_tenfold_m: f64,
) -> Result<f64, OutOfRange> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    let fall = positive("the drawdown over a tenfold of time (m)", fall_per_tenfold_m)?;
    positive("the transmissivity (m²/d)", LN_10 * rate / (4.0 * PI * fall))
}

/// T from the drawdown lost over a tenfold of distance: 2.303·Q/(2πΔs), m²/d.
///
/// # Errors
/// When a figure is not above 0.
pub fn transmissivity_over_distance_m2_per_day(
    rate_m3_per_day: f64,
    fall_per_tenfold_m: f64,
) -> Result<f64, OutOfRange> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    let fall = positive("the drawdown over a tenfold of distance (m)", fall_per_tenfold_m)?;
    positive("the transmissivity (m²/d)", LN_10 * rate / (2.0 * PI * fall))
}

/// S from the time and distance at which the line has no drawdown:
/// 2.25·Tt₀/r². In the pumped well itself its loss and its own water make it
/// worthless; it may then come out above 1.
///
/// # Errors
/// When a figure is not above 0.
pub fn storativity(
    transmissivity_m2_per_day: f64,
    no_drawdown_day: f64,
    distance_m: f64,
) -> Result<f64, OutOfRange> {
    let transmissivity = positive("the transmissivity (m²/d)", transmissivity_m2_per_day)?;
    let time = positive("the time at which the line has no drawdown (d)", no_drawdown_day)?;
    let distance = positive("the distance from the well (m)", distance_m)?;
    positive("the storativity", TWO_AND_A_QUARTER * transmissivity * time / distance.powi(2))
}

/// One reading of the level while a well is pumped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelReading {
    /// Since pumping began.
    pub time_day: f64,
    /// Below the level at rest.
    pub drawdown_m: f64,
}

/// What the late readings of a pumping test say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LateLine {
    /// T, m²/d.
    pub transmissivity_m2_per_day: f64,
    /// Its standard error by the scatter about the line.
    pub transmissivity_se_m2_per_day: f64,
    /// S; worthless where the pumped well itself was read.
    pub storativity: f64,
    /// The drawdown gained over a tenfold of time.
    pub fall_per_tenfold_m: f64,
    /// Root mean square of the distances from the line.
    pub rmse_m: f64,
    /// How many of the readings lie on the part of the line that is good.
    pub readings_used: usize,
}

/// Draws the line through those readings for which it is good: through all of
/// them, then through those with u ≤ 0.05 by that line, until they no longer
/// change.
///
/// # Errors
/// When a figure is out of range, fewer than three readings are late enough,
/// or the drawdown does not grow.
pub fn late_line(
    rate_m3_per_day: f64,
    distance_m: f64,
    readings: &[LevelReading],
) -> Result<LateLine, NoLine> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    let distance = positive("the distance from the well (m)", distance_m)?;
    for reading in readings {
        positive("the time of a reading (d)", reading.time_day)?;
        finite("the drawdown of a reading (m)", reading.drawdown_m)?;
    }
    let mut earliest_day = 0.0;
    // Each turn drops readings or ends.
    for _ in 0..=readings.len() {
        let late = readings.iter().filter(|r| r.time_day >= earliest_day);
        let points: Vec<(f64, f64)> = late.map(|r| (r.time_day.log10(), r.drawdown_m)).collect();
        let line = Line::through(&points)?;
        let transmissivity = transmissivity_over_time_m2_per_day(rate, line.slope)?;
        let no_drawdown_day = positive(
            "the time at which the line has no drawdown (d)",
            10f64.powf(-line.intercept / line.slope),
        )?;
        let storativity = storativity(transmissivity, no_drawdown_day, distance)?;
        // u = 0.05 at this time.
        let good_from_day = distance.powi(2) * storativity / (4.0 * transmissivity * GREATEST_U);
        let kept = readings.iter().filter(|r| r.time_day >= earliest_day.max(good_from_day)).count();
        if kept == points.len() {
            return Ok(LateLine {
                transmissivity_m2_per_day: transmissivity,
                transmissivity_se_m2_per_day: finite(
                    "the error of the transmissivity (m²/d)",
                    transmissivity * line.slope_se / line.slope,
                )?,
                storativity,
                fall_per_tenfold_m: line.slope,
                rmse_m: line.rmse,
                readings_used: kept,
            });
        }
        earliest_day = earliest_day.max(good_from_day);
    }
    Err(NoLine::TooFew { points: 0 })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn readings(aquifer: &Aquifer, from_day: f64) -> Vec<LevelReading> {
        let times = (0..30).map(|i| from_day * 1.3f64.powi(i));
        let read = |time_day| LevelReading {
            time_day,
            drawdown_m: aquifer.drawdown_m(20.0, 10.0, time_day).unwrap(),
        };
        times.map(read).collect()
    }

    #[test]
    fn the_line_reads_low_by_what_is_said() {
        let aquifer = Aquifer::new(10.0, 0.01).unwrap();
        for (u, low) in [(0.01, -0.0025), (0.02, -0.0059), (0.05, -0.0201), (0.1, -0.0535)] {
            let time = 100.0 * 0.01 / (4.0 * 10.0 * u);
            let line = drawdown(&aquifer, 20.0, 10.0, time).unwrap();
            let whole = aquifer.drawdown_m(20.0, 10.0, time).unwrap();
            // The rounded 2.25 lifts it by less than a thousandth.
            assert!((line.drawdown_m / whole - 1.0 - low).abs() < 1.2e-3, "{u}");
            assert_eq!(line.holds, u <= 0.05 + 1e-12);
        }
    }

    #[test]
    fn too_early_the_line_is_refused_rather_than_let_the_water_rise() {
        let aquifer = Aquifer::new(10.0, 0.01).unwrap();
        assert!(drawdown(&aquifer, 20.0, 10.0, 0.04).is_err());
    }

    #[test]
    fn early_readings_are_left_out_of_the_line() {
        let aquifer = Aquifer::new(10.0, 0.01).unwrap();
        let fit = late_line(20.0, 10.0, &readings(&aquifer, 0.05)).unwrap();
        assert!(fit.readings_used < 30, "{fit:?}");
        assert!((fit.transmissivity_m2_per_day / 10.0 - 1.0).abs() < 0.02, "{fit:?}");
        assert!((fit.storativity / 0.01 - 1.0).abs() < 0.05, "{fit:?}");
    }

    #[test]
    fn only_early_readings_make_no_line() {
        let aquifer = Aquifer::new(0.01, 0.1).unwrap();
        let early = &readings(&aquifer, 1.0)[..4];
        assert!(matches!(late_line(20.0, 10.0, early), Err(NoLine::TooFew { .. })));
    }

    #[test]
    fn water_that_rises_while_pumped_makes_no_line() {
        let rising = [(1.0, 3.0), (2.0, 2.0), (3.0, 1.0)];
        let rising = rising.map(|(time_day, drawdown_m)| LevelReading { time_day, drawdown_m });
        assert!(late_line(20.0, 0.06, &rising).is_err());
    }
}
