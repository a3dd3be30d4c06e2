//! Transmissivity from the water's rise after a pump is stopped, which a well's
//! own loss and an unsteady last rate spoil less than the fall before it.
//!
//! s′ = 2.303·Q/(4πT)·log₁₀(t/t′): T = 2.303·Q/(4πΔs′)
//!
//! s′ drawdown left m; Δs′ its change over a tenfold of t/t′ m; t time since
//! pumping began, t′ since it stopped, in the same unit; Q rate m³/d; T m²/d.
//! Good where r²S/(4Tt′) is small, as nearly always in the pumped well once
//! its own water has been made up.
//!
//! Source: Theis (1935), as Kruseman & de Ridder (1990) give it (from memory).

use super::cooper_jacob::transmissivity_over_time_m2_per_day;
use super::line::{Line, NoLine};
use crate::units::range::{finite, more_than, positive};

/// One reading of the level after the pump stopped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecoveryReading {
    /// Since the pump stopped.
    pub since_stop_day: f64,
    /// Below the level at rest.
    pub drawdown_left_m: f64,
}

/// What the rise says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecoveryLine {
    /// T, m²/d.
    pub transmissivity_m2_per_day: f64,
    /// Its standard error by the scatter about the line.
    pub transmissivity_se_m2_per_day: f64,
    /// Where the line ends after endless rest. It should be about 0: well
    /// above, the ground is drained for good; well below, water is let in.
    pub left_for_ever_m: f64,
    /// Root mean square of the distances from the line.
    pub rmse_m: f64,
    /// How many readings it rests on.
    pub readings_used: usize,
}

/// The line through all readings from `from_day` after the stop. Earlier
/// ones, in which the well fills itself, are left out.
///
/// # Errors
/// When a figure is out of range, fewer than three readings are left, or the
/// water does not rise.
pub fn recovery_line(
    rate_m3_per_day: f64,
    pumped_day: f64,
    from_day: f64,
    readings: &[RecoveryReading],
) -> Result<RecoveryLine, NoLine> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    let pumped = positive("the time the pump ran (d)", pumped_day)?;
    let from = finite("the time from which readings count (d)", from_day)?;
    let mut points = Vec::with_capacity(readings.len());
    for reading in readings {
        let since = positive("the time since the pump stopped (d)", reading.since_stop_day)?;
        let left = finite("the drawdown left (m)", reading.drawdown_left_m)?;
        let ratio = more_than("t/t′", (pumped + since) / since, 1.0)?;
        if since >= from {
            points.push((ratio.log10(), left));
        }
    }
    let line = Line::through(&points)?;
    let transmissivity = transmissivity_over_time_m2_per_day(rate, line.slope)?;
    Ok(RecoveryLine {
        transmissivity_m2_per_day: transmissivity,
        transmissivity_se_m2_per_day: finite(
            "the error of the transmissivity (m²/d)",
            transmissivity * line.slope_se / line.slope,
        )?,
        left_for_ever_m: line.intercept,
        rmse_m: line.rmse,
        readings_used: points.len(),
    })
}

/// The share of the greatest drawdown that the water has risen, 0 to 1; below
/// 0 where it still falls.
///
/// # Errors
/// When the greatest drawdown is not above 0 or the other is no number.
pub fn risen_share(greatest_drawdown_m: f64, drawdown_left_m: f64) -> Result<f64, crate::units::OutOfRange> {
    let greatest = positive("the greatest drawdown (m)", greatest_drawdown_m)?;
    finite("the share risen", 1.0 - finite("the drawdown left (m)", drawdown_left_m)? / greatest)
}

#[cfg(test)]
mod tests {
    use super::super::steps::residual_drawdown_m;
    use super::super::theis::Aquifer;
    use super::*;

    fn readings(aquifer: &Aquifer, more_m: f64) -> Vec<RecoveryReading> {
        let times = (0..20).map(|i| 0.002 * 1.4f64.powi(i));
        let read = |since_stop_day| RecoveryReading {
            since_stop_day,
            drawdown_left_m: more_m
                + residual_drawdown_m(aquifer, 20.0, 0.06, 0.25, 0.25 + since_stop_day).unwrap(),
        };
        times.map(read).collect()
    }

    #[test]
    fn the_rise_gives_back_the_transmissivity_it_was_made_with() {
        let aquifer = Aquifer::new(4.0, 1e-3).unwrap();
        let line = recovery_line(20.0, 0.25, 0.0, &readings(&aquifer, 0.0)).unwrap();
        assert!((line.transmissivity_m2_per_day / 4.0 - 1.0).abs() < 1e-3, "{line:?}");
        assert!(line.left_for_ever_m.abs() < 1e-3, "{line:?}");
    }

    #[test]
    fn water_lost_for_good_shows_where_the_line_ends() {
        let aquifer = Aquifer::new(4.0, 1e-3).unwrap();
        let line = recovery_line(20.0, 0.25, 0.0, &readings(&aquifer, 0.3)).unwrap();
        assert!((line.left_for_ever_m - 0.3).abs() < 1e-3, "{line:?}");
    }

    #[test]
    fn half_risen_is_a_half() {
        assert!((risen_share(4.0, 2.0).unwrap() - 0.5).abs() < 1e-12);
        assert!(risen_share(0.0, 2.0).is_err());
    }
}
