//! Drawdown under a rate that changes by steps, pauses and recovery among
//! them: every change of rate starts a drawdown of its own, and they add up.
//!
//! s(t) = Σ (Qᵢ − Qᵢ₋₁)/(4πT)·W(r²S/(4T(t − tᵢ))) over all tᵢ < t
//!
//! Symbols and units as in [`theis`](super::theis). Holds where drawdowns add
//! up: confined ground, or a fall that is small against the water's depth.
//!
//! Source: Theis (1935); Cooper & Jacob (1946) for steps.

use super::theis::Aquifer;
use crate::units::OutOfRange;
use crate::units::range::{finite, less_than, more_than, not_negative};

/// From a time on, a rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// When the rate begins.
    pub from_day: f64,
    /// The rate; 0 while the pump stands.
    pub rate_m3_per_day: f64,
}

/// How a well is pumped: nothing before the first step, the rate of each step
/// until the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Pumping {
    steps: Vec<Step>,
}

impl Pumping {
    /// Those steps.
    ///
    /// # Errors
    /// When a time is no number, the times do not rise, or a rate is below 0.
    pub fn new(steps: Vec<Step>) -> Result<Self, OutOfRange> {
        let mut last = None;
        for step in &steps {
            finite("the beginning of a step (d)", step.from_day)?;
            if let Some(last) = last {
                more_than("the beginning of a step (d)", step.from_day, last)?;
            }
            not_negative("the rate of a step (m³/d)", step.rate_m3_per_day)?;
            last = Some(step.from_day);
        }
        Ok(Self { steps })
    }

    /// One rate from time 0 on.
    ///
    /// # Errors
    /// When the rate is below 0.
    pub fn steady(rate_m3_per_day: f64) -> Result<Self, OutOfRange> {
        Self::new(vec![Step { from_day: 0.0, rate_m3_per_day }])
    }

    /// One rate from time 0 until it is stopped.
    ///
    /// # Errors
    /// When the rate is below 0 or it is stopped before it begins.
    pub fn stopped(rate_m3_per_day: f64, after_day: f64) -> Result<Self, OutOfRange> {
        Self::new(vec![
            Step { from_day: 0.0, rate_m3_per_day },
            Step { from_day: after_day, rate_m3_per_day: 0.0 },
        ])
    }

    /// The rate at a time; 0 before the first step.
    pub fn rate_m3_per_day(&self, time_day: f64) -> f64 {
        self.steps.iter().rev().find(|s| s.from_day <= time_day).map_or(0.0, |s| s.rate_m3_per_day)
    }

    /// The rate up to a time, not yet that of a step which begins then.
    pub fn rate_just_before_m3_per_day(&self, time_day: f64) -> f64 {
        self.steps.iter().rev().find(|s| s.from_day < time_day).map_or(0.0, |s| s.rate_m3_per_day)
    }

    /// Whether any water was pumped before a time.
    pub fn pumped_before(&self, time_day: f64) -> bool {
        self.steps.iter().any(|s| s.from_day < time_day && s.rate_m3_per_day > 0.0)
    }

    /// The greatest rate of all steps.
    pub fn greatest_rate_m3_per_day(&self) -> f64 {
        self.steps.iter().map(|s| s.rate_m3_per_day).fold(0.0, f64::max)
    }

    /// Sums `per_rate(t − tᵢ)` times the change of rate over the steps that
    /// have begun.
    pub(super) fn superpose<E>(
        &self,
        time_day: f64,
        mut per_rate: impl FnMut(f64) -> Result<f64, E>,
    ) -> Result<f64, E> {
        let (mut sum, mut before) = (0.0, 0.0);
        for step in self.steps.iter().take_while(|s| s.from_day < time_day) {
            sum += (step.rate_m3_per_day - before) * per_rate(time_day - step.from_day)?;
            before = step.rate_m3_per_day;
        }
        Ok(sum)
    }

    /// The drawdown at that distance from the well and time, m; 0 before the
    /// first step.
    ///
    /// # Errors
    /// When distance or time is out of range or the result no number.
    pub fn drawdown_m(&self, aquifer: &Aquifer, distance_m: f64, time_day: f64) -> Result<f64, OutOfRange> {
        let time = finite("the time (d)", time_day)?;
        let drawdown = self.superpose(time, |since| aquifer.drawdown_m(1.0, distance_m, since))?;
        finite("the drawdown (m)", drawdown)
    }
}

/// What is left of the drawdown after the pump stopped, m:
/// s′ = Q/(4πT)·(W(u) − W(u′)), with u since pumping began and u′ since it
/// stopped.
///
/// # Errors
/// When a figure is out of range or the pump has not yet stopped.
pub fn residual_drawdown_m(
    aquifer: &Aquifer,
    rate_m3_per_day: f64,
    distance_m: f64,
    stopped_after_day: f64,
    time_day: f64,
) -> Result<f64, OutOfRange> {
    less_than("the time the pump ran (d)", stopped_after_day, time_day)?;
    Pumping::stopped(rate_m3_per_day, stopped_after_day)?.drawdown_m(aquifer, distance_m, time_day)
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    #[test]
    fn a_step_up_adds_a_well_of_its_own() {
        let aquifer = Aquifer::new(5.0, 1e-3).unwrap();
        let steps = [(0.0, 10.0), (0.25, 30.0)];
        let steps = steps.map(|(from_day, rate_m3_per_day)| Step { from_day, rate_m3_per_day });
        let pumping = Pumping::new(steps.to_vec()).unwrap();
        let both = aquifer.drawdown_m(10.0, 2.0, 1.0).unwrap() + aquifer.drawdown_m(20.0, 2.0, 0.75).unwrap();
        assert!((pumping.drawdown_m(&aquifer, 2.0, 1.0).unwrap() - both).abs() < 1e-12);
        assert_eq!(pumping.rate_m3_per_day(0.25), 30.0);
    }

    #[test]
    fn nothing_falls_before_the_pump_starts() {
        let aquifer = Aquifer::new(5.0, 1e-3).unwrap();
        assert_eq!(Pumping::steady(10.0).unwrap().drawdown_m(&aquifer, 2.0, -1.0).unwrap(), 0.0);
        assert_eq!(Pumping::steady(10.0).unwrap().drawdown_m(&aquifer, 2.0, 0.0).unwrap(), 0.0);
    }

    #[test]
    fn steps_out_of_order_are_refused() {
        let steps = [(1.0, 10.0), (1.0, 30.0)];
        let steps = steps.map(|(from_day, rate_m3_per_day)| Step { from_day, rate_m3_per_day });
        assert!(Pumping::new(steps.to_vec()).is_err());
        assert!(Pumping::steady(-1.0).is_err());
    }

    /// Late in the recovery s′ = 2.303·Q/(4πT)·log₁₀(t/t′).
    #[test]
    fn recovery_ends_on_its_straight_line() {
        let aquifer = Aquifer::new(5.0, 1e-4).unwrap();
        let s = residual_drawdown_m(&aquifer, 20.0, 0.06, 0.25, 0.5).unwrap();
        let line = 20.0 / (4.0 * std::f64::consts::PI * 5.0) * 2f64.ln();
        assert!((s / line - 1.0).abs() < 1e-5, "{s} {line}");
        assert!(residual_drawdown_m(&aquifer, 20.0, 0.06, 0.25, 0.25).is_err());
    }
}
