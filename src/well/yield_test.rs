//! What a yield test promises for another rate and a longer day of drawing.
//!
//! With B(t) the drawdown for each unit of a steady rate after the time t,
//! what is sure of it without any picture of the ground:
//!
//! * B never falls with time, and B(t)/t never rises (the response of ground
//!   to steady pumping is concave), so that B(t) ≤ B(τ)·max(1, t/τ) and
//!   B(t) ≥ B(τ)·min(1, t/τ);
//! * a well's own loss grows at most as the square of the rate, so that for a
//!   rate r times as great the drawdown is at most r² times as great (r > 1)
//!   or r times (r ≤ 1) (Jacob 1947, Trans. ASCE 112, 1047–1070; from memory);
//! * after the rate Q ran for τ since it last changed, whatever ran before
//!   only adds to the drawdown s: Q·B(τ) ≤ s.
//!
//! Every reading gives such a bound; the best of them holds. One reading the
//! less, or a deeper one, never makes it better. Between them lies what the
//! late straight line of Cooper & Jacob (1946) leads one to expect:
//! B(t) = B(τ) + ln(t/τ)/(4πT).
//!
//! Metres, days, m³/d.

use std::f64::consts::PI;

use super::cooper_jacob::{LevelReading, late_line};
use super::fit::{DrawdownReading, fit_theis};
use super::recovery::{RecoveryReading, recovery_line};
use super::steps::{Pumping, Step};
use crate::units::OutOfRange;
use crate::units::range::{finite, not_negative, positive};

/// One row of a test as it was written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestRow {
    /// Since the test began; never less than in the row before.
    pub time_day: f64,
    /// Depth to water.
    pub level_m: Option<f64>,
    /// The rate from this moment on; `None`: as before.
    pub rate_m3_per_day: Option<f64>,
}

/// A level while the well was pumped.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Pumped {
    /// Since pumping began.
    since_start_day: f64,
    /// Since the rate last changed.
    since_change_day: f64,
    rate_m3_per_day: f64,
    /// The greatest rate until then.
    greatest_rate_m3_per_day: f64,
    drawdown_m: f64,
}

/// A test in which something was pumped.
#[derive(Debug, Clone, PartialEq)]
pub struct YieldTest {
    pumping: Pumping,
    start_day: f64,
    /// When the pump was stopped for good; `None` where no row says so.
    stop_day: Option<f64>,
    pumped: Vec<Pumped>,
    /// Time and drawdown after the stop.
    risen: Vec<(f64, f64)>,
    error_m: f64,
}

/// Ends of a quantity and the value between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// Not less than this.
    pub low: f64,
    /// What is to be expected; `None` where no line can be drawn.
    pub value: Option<f64>,
    /// Not more than this.
    pub high: f64,
}

impl YieldTest {
    /// The rows of a test, with the level at rest before it and the error of
    /// a level. `None` where nothing was pumped, or no level was read while it
    /// was.
    ///
    /// # Errors
    /// When a figure is out of range or times do not grow.
    pub fn read(rest_m: f64, error_m: f64, rows: &[TestRow]) -> Result<Option<Self>, OutOfRange> {
        let rest_m = finite("the level at rest (m)", rest_m)?;
        let error_m = not_negative("the error of a level (m)", error_m)?;
        let mut steps: Vec<Step> = Vec::new();
        for row in rows {
            let Some(rate) = row.rate_m3_per_day else { continue };
            let step =
                Step { from_day: finite("the time of a reading (d)", row.time_day)?, rate_m3_per_day: rate };
            match steps.last_mut() {
                Some(last) if last.from_day >= step.from_day => last.rate_m3_per_day = rate,
                Some(last) if (last.rate_m3_per_day - rate).abs() <= f64::EPSILON => {}
                _ => steps.push(step),
            }
        }
        let Some(first) = steps.iter().position(|s| s.rate_m3_per_day > 0.0) else { return Ok(None) };
        steps.drain(..first);
        let start_day = steps.first().map_or(0.0, |s| s.from_day);
        let stop_day = steps.last().filter(|s| s.rate_m3_per_day <= 0.0).map(|s| s.from_day);
        let pumping = Pumping::new(steps.clone())?;
        let mut test = Self { pumping, start_day, stop_day, pumped: Vec::new(), risen: Vec::new(), error_m };
        let mut deepest_m = f64::MIN;
        for row in rows {
            let time_day = finite("the time of a reading (d)", row.time_day)?;
            let Some(level) = row.level_m else { continue };
            let drawdown_m = finite("a level (m)", level)? - rest_m;
            if stop_day.is_some_and(|stop| time_day > stop) {
                test.risen.push((time_day, drawdown_m));
                continue;
            }
            // Where nobody says when the pump stopped, water that rises is not
            // taken for water that is pumped.
            let sinks = drawdown_m >= deepest_m;
            deepest_m = deepest_m.max(drawdown_m);
            let running = steps.iter().rev().find(|s| s.from_day < time_day);
            let Some(step) = running.filter(|s| s.rate_m3_per_day > 0.0 && (sinks || stop_day.is_some()))
            else {
                continue;
            };
            let until = steps.iter().filter(|s| s.from_day < time_day);
            test.pumped.push(Pumped {
                since_start_day: time_day - start_day,
                since_change_day: time_day - step.from_day,
                rate_m3_per_day: step.rate_m3_per_day,
                greatest_rate_m3_per_day: until.map(|s| s.rate_m3_per_day).fold(0.0, f64::max),
                drawdown_m,
            });
        }
        Ok(Some(test).filter(|t| !t.pumped.is_empty()))
    }

    /// How long the well was pumped, as far as levels were read, days.
    pub fn pumped_day(&self) -> f64 {
        self.pumped.iter().map(|p| p.since_start_day).fold(0.0, f64::max)
    }

    /// The greatest drawdown that was read.
    pub fn greatest_drawdown_m(&self) -> f64 {
        self.pumped.iter().map(|p| p.drawdown_m).fold(0.0, f64::max)
    }

    /// Drawdown at that rate after that time, m.
    ///
    /// # Errors
    /// When a figure is not above 0 or the drawdown beyond reckoning.
    pub fn drawdown_m(
        &self,
        rate_m3_per_day: f64,
        time_day: f64,
        transmissivity_m2_per_day: Option<f64>,
    ) -> Result<Ends, OutOfRange> {
        let rate = positive("the rate (m³/d)", rate_m3_per_day)?;
        let time = positive("the time (d)", time_day)?;
        let high = self.pumped.iter().map(|p| {
            let ratio = rate / p.rate_m3_per_day;
            self.most_m(p, time) * ratio.max(ratio * ratio)
        });
        let high = finite("the drawdown (m)", high.fold(f64::INFINITY, f64::min))?;
        let low = finite("the drawdown (m)", rate * self.least_per_rate(time))?.min(high);
        let value =
            self.expected_per_rate(time, transmissivity_m2_per_day).map(|b| (rate * b).clamp(low, high));
        Ok(Ends { low, value, high })
    }

    /// The rate that draws the water down by just so much after that time,
    /// m³/d, once the drawdown is `worse` times what the test showed (the
    /// ground holds less water in the dry months); `high` has no such factor.
    ///
    /// # Errors
    /// When a figure is not above 0 or the rate beyond reckoning.
    pub fn rate_m3_per_day(
        &self,
        fall_m: Ends,
        time_day: f64,
        worse: f64,
        transmissivity_m2_per_day: Option<f64>,
    ) -> Result<Ends, OutOfRange> {
        let time = positive("the time (d)", time_day)?;
        let low = self.pumped.iter().map(|p| {
            let part = fall_m.low.max(0.0) / (self.most_m(p, time) * worse);
            p.rate_m3_per_day * part.min(part.sqrt())
        });
        let low = finite("the rate (m³/d)", low.fold(0.0, f64::max))?;
        let least = self.least_per_rate(time);
        let high = if least > 0.0 { fall_m.high.max(0.0) / least } else { f64::MAX };
        let high = finite("the rate (m³/d)", high)?.max(low);
        let value = fall_m.value.zip(self.expected_per_rate(time, transmissivity_m2_per_day));
        let value = value.filter(|(_, b)| *b > 0.0).map(|(fall, b)| (fall.max(0.0) / b).clamp(low, high));
        Ok(Ends { low, value, high })
    }

    /// The most that the rate of a reading draws down after that time.
    fn most_m(&self, p: &Pumped, time_day: f64) -> f64 {
        (p.drawdown_m + self.error_m).max(self.error_m.max(f64::MIN_POSITIVE))
            * (time_day / p.since_change_day).max(1.0)
    }

    /// The least drawdown for each unit of a rate after that time.
    fn least_per_rate(&self, time_day: f64) -> f64 {
        let each = self.pumped.iter().map(|p| {
            let sure = (p.drawdown_m - self.error_m).max(0.0);
            sure / p.greatest_rate_m3_per_day * (time_day / p.since_start_day).min(1.0)
        });
        each.fold(0.0, f64::max)
    }

    /// What the late line leads one to expect, from the last level pumped.
    fn expected_per_rate(&self, time_day: f64, transmissivity_m2_per_day: Option<f64>) -> Option<f64> {
        let last = self.pumped.last()?;
        let per_rate = last.drawdown_m / last.rate_m3_per_day;
        let longer = (time_day / last.since_start_day).ln().max(0.0);
        match transmissivity_m2_per_day {
            Some(t) if t > 0.0 => Some(per_rate + longer / (4.0 * PI * t)),
            _ => Some(per_rate).filter(|_| longer <= 0.0),
        }
        .filter(|b| b.is_finite())
    }

    /// Per cent of the greatest drawdown that has come back once the well has
    /// stood for as long as it was pumped. `None` where no row says when the
    /// pump stopped or nothing was read after it.
    pub fn risen_pct(&self) -> Option<Ends> {
        let stop_day = self.stop_day?;
        let greatest = Some(self.greatest_drawdown_m()).filter(|g| *g > 0.0)?;
        let until_day = stop_day + (stop_day - self.start_day);
        let pct = |left: f64| ((1.0 - left / greatest) * 100.0).clamp(0.0, 100.0);
        let before = self.risen.iter().filter(|r| r.0 <= until_day).map(|r| r.1).min_by(f64::total_cmp);
        let after = self.risen.iter().filter(|r| r.0 >= until_day).map(|r| r.1).max_by(f64::total_cmp);
        if before.is_none() && after.is_none() {
            return None;
        }
        let low = before.map_or(0.0, |left| pct(left + self.error_m));
        let high = after.map_or(100.0, |left| pct(left - self.error_m)).max(low);
        Some(Ends { low, value: before.map(|left| pct(left).clamp(low, high)), high })
    }

    /// The rate by the drawdown at the last level pumped, m³/d for each metre.
    pub fn specific_capacity_m2_per_day(&self) -> Option<Ends> {
        let last = self.pumped.last()?;
        let by = |drawdown: f64| Some(last.rate_m3_per_day / drawdown).filter(|q| q.is_finite() && *q > 0.0);
        let low = by(last.drawdown_m + self.error_m)?;
        let high = by(last.drawdown_m - self.error_m)?;
        Some(Ends { low, value: by(last.drawdown_m), high })
    }

    /// How long after the stop that share of the drawdown was surely still
    /// left (0: not shown), and how long after it was surely no longer, days;
    /// `None` where that was not seen. Nothing at all where no level was read
    /// after a stop.
    pub fn left_share_reached(&self, share: f64) -> Option<(f64, Option<f64>)> {
        let stop_day = self.stop_day?;
        let greatest = self.greatest_drawdown_m();
        let (least, most) = ((greatest - self.error_m) * share, (greatest + self.error_m) * share);
        let since = |r: &&(f64, f64)| r.0 - stop_day;
        let gone = self.risen.iter().find(|r| r.1 + self.error_m <= least).map(|r| since(&r));
        let left = self.risen.iter().rev().find(|r| r.1 - self.error_m >= most).map_or(0.0, |r| since(&r));
        self.risen.first()?;
        Some((gone.map_or(left, |gone| left.min(gone)), gone))
    }

    /// Transmissivity by every way that the readings allow, each with its
    /// name, least first; m²/d. `well_radius_m` is that of the hole.
    pub fn transmissivities(&self, well_radius_m: f64) -> Vec<(&'static str, f64)> {
        let mut found = Vec::new();
        let all = self.pumped.iter().map(|p| (self.start_day + p.since_start_day, p.drawdown_m));
        let readings: Vec<_> = all
            .chain(self.risen.iter().copied())
            .map(|(time_day, drawdown_m)| DrawdownReading { distance_m: well_radius_m, time_day, drawdown_m })
            .collect();
        found
            .extend(fit_theis(&self.pumping, &readings).ok().map(|f| ("curve", f.transmissivity_m2_per_day)));
        let rates = || self.pumped.iter().map(|p| p.rate_m3_per_day);
        let steady =
            rates().all(|q| self.pumped.first().is_some_and(|f| (f.rate_m3_per_day - q).abs() < 1e-9));
        if let (true, Some(first)) = (steady, self.pumped.first()) {
            let levels: Vec<_> = self
                .pumped
                .iter()
                .map(|p| LevelReading { time_day: p.since_start_day, drawdown_m: p.drawdown_m })
                .collect();
            let line = late_line(first.rate_m3_per_day, well_radius_m, &levels);
            found.extend(line.ok().map(|l| ("late line", l.transmissivity_m2_per_day)));
            if let Some(stop_day) = self.stop_day {
                let left: Vec<_> = self
                    .risen
                    .iter()
                    .map(|r| RecoveryReading { since_stop_day: r.0 - stop_day, drawdown_left_m: r.1 })
                    .collect();
                let line = recovery_line(first.rate_m3_per_day, stop_day - self.start_day, 0.0, &left);
                found.extend(line.ok().map(|l| ("recovery", l.transmissivity_m2_per_day)));
            }
        }
        found.sort_by(|a, b| a.1.total_cmp(&b.1));
        found
    }
}

#[cfg(test)]
#[path = "yield_test_tests.rs"]
mod tests;
