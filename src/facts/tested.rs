//! What the yield test promises: the ground's transmissivity, what the well
//! gives in the driest month, how deep its water then falls under the users'
//! need, and whether it comes back. Metres, hours, litres a second.
//!
//! A test shows the ground with the water of its own day. In the driest month
//! less of the ground is wet: the drawdown is then greater by the height of
//! water above the bottom of the screen at the test, over that of the driest
//! month (ground under a free water table gives in proportion to its wet
//! thickness; taken for the worse end alone).

use std::rc::Rc;

use super::sheet::{Answer, Sheet, estimate};
use super::site::Works;
use super::{AskKind, Missing, SiteFacts};
use crate::survey::TestReading;
use crate::units::{Estimate, Part, Unit};
use crate::well::bailer_rise::{LEAST_T, MOST_T, Rise};
use crate::well::theis::Aquifer;
use crate::well::yield_test::{Ends, TestRow, YieldTest};

pub(super) const WORKS: Works = &[
    ("tested_transmissivity_m2_per_day", transmissivity),
    ("tested_specific_capacity_m2_per_day", specific_capacity),
    ("tested_h", tested_hours),
    ("tested_recovery_pct", recovery),
    ("tested_drawdown_m", |s| {
        let mut sheet = Sheet::new();
        match s.drawdown_at_need(&mut sheet)? {
            Some(drawdown) => sheet.number(Ok(drawdown)),
            None => Ok(sheet.unknown()),
        }
    }),
    ("pump_cover_m", pump_cover),
    ("tested_yield_lps", |s| {
        s.tested_yield(|_| Some(Part { low: 1.0, value: 1.0, high: 1.0 }), Unit::LitrePerSecond)
    }),
    ("tested_yield_per_need", per_need),
];

const MINUTES_PER_DAY: f64 = 1_440.0;
const HOURS_PER_DAY: f64 = 24.0;
const SECONDS_PER_HOUR: f64 = 3_600.0;
const LITRES_PER_M3: f64 = 1_000.0;
/// Litres a second in a cubic metre a day.
const LPS_PER_M3_PER_DAY: f64 = LITRES_PER_M3 / 86_400.0;
const MM_PER_M: f64 = 1_000.0;

const ASK_TEST: &str = "Pump the well for as long as people will draw in a day, read the level at 1, 2, 4, 8, 15, 30 minutes \
                        and then every half hour, measure the rate, and read the level as long again after the pump stops.";

/// The test as it was made, with what it says of the ground.
#[derive(Debug)]
pub(super) struct Tested {
    test: YieldTest,
    bailed: bool,
    hole_radius_m: Option<f64>,
    /// m²/d; the low end is divided by the region's divisor for the bias of
    /// tests in the pumped well, and is what is reckoned on.
    transmissivity: Option<Part>,
    ways: String,
    /// Storativity for the well drawn by a bailer, of which the test itself
    /// holds no long pumping.
    storativity: f64,
}

fn rows(readings: &[TestReading]) -> Vec<TestRow> {
    let row = |r: &TestReading| TestRow {
        time_day: r.time_min / MINUTES_PER_DAY,
        level_m: r.level_m.as_ref().map(|l| l.value),
        rate_m3_per_day: r.rate_lps.as_ref().map(|q| q.value / LPS_PER_M3_PER_DAY),
    };
    readings.iter().map(row).collect()
}

impl SiteFacts {
    fn tested(&self, sheet: &mut Sheet) -> Result<Option<Rc<Tested>>, Missing> {
        let handover = &self.site.handover;
        handover.test.iter().for_each(|r| sheet.read(&r.from));
        let rest = sheet.take_any(handover.rest_level_m.as_ref());
        let bailed = sheet.take_any(handover.bailed.as_ref());
        if handover.test.is_empty() {
            sheet.ask(AskKind::Dip, ASK_TEST);
        }
        if rest.is_none() {
            sheet.ask(AskKind::Dip, "Dip the water at rest before the yield test, and write it down.");
        }
        if bailed.is_none() {
            sheet.ask(
                AskKind::Write,
                "Write down whether the yield test was made with a bailer (bailed = true or false).",
            );
        }
        sheet.take_any(self.site.drilling.hole_mm.as_ref());
        let made = self.tested.get_or_init(|| self.work_out_test().map(|t| t.map(Rc::new))).clone()?;
        if made.is_none() && !handover.test.is_empty() {
            sheet.ask(
                AskKind::Dip,
                "Write down the rate and the levels of the yield test while the well was drawn from.",
            );
        }
        Ok(made)
    }

    fn work_out_test(&self) -> Result<Option<Tested>, Missing> {
        let handover = &self.site.handover;
        let error_m = self.prior("level_reading_error_m")?;
        let bias = self.prior("yield_bias_divisor")?.max(1.0);
        let Some(rest) = handover.rest_level_m.as_ref() else { return Ok(None) };
        let Some(bailed) = handover.bailed.as_ref().map(|b| b.value) else { return Ok(None) };
        let too_great = |_| {
            Missing::new(
                AskKind::Write,
                "Correct the figures of the yield test: they are too great to reckon with.",
            )
        };
        let test = YieldTest::read(rest.value, error_m, &rows(&handover.test)).map_err(too_great)?;
        let Some(test) = test else { return Ok(None) };
        let radius = |mm: f64| mm / MM_PER_M / 2.0;
        let hole_radius_m = self.site.drilling.hole_mm.as_ref().map(|h| radius(h.value));
        let storativity = self.prior("storage_least_share")?;
        let (transmissivity, ways) = if bailed {
            let casing = self.site.completion.casing_mm.as_ref().map(|c| radius(c.value));
            let inner = self.prior("casing_inner_share")?;
            let most = self.prior("bailed_storage_most_share")?;
            let rise = hole_radius_m
                .zip(casing)
                .and_then(|(hole, casing)| rise(&test, hole, casing * inner, [storativity, most]));
            (
                rise.map(|part| Part { low: part.low / bias, ..part }),
                "by how fast the bailed well filled".to_owned(),
            )
        } else {
            let ways = hole_radius_m.map(|r| test.transmissivities(r)).unwrap_or_default();
            let least = ways.first().map(|w| w.1);
            let most = ways.last().map(|w| w.1);
            let middle = ways.get(ways.len() / 2).map(|w| w.1);
            let part =
                least.zip(middle).zip(most).map(|((low, value), high)| Part { low: low / bias, value, high });
            let named = ways.iter().map(|(way, t)| format!("{way} {}", Unit::SquareMetrePerDay.show(*t)));
            (part, named.collect::<Vec<_>>().join(", "))
        };
        Ok(Some(Tested { test, bailed, hole_radius_m, transmissivity, ways, storativity }))
    }

    /// Depth to which the water in the well is drawn down by the users' need
    /// at the end of a day of drawing in the driest month, less that at rest.
    fn drawdown_at_need(&self, sheet: &mut Sheet) -> Result<Option<Estimate>, Missing> {
        let tested = self.tested(sheet)?;
        let need = self.need_of_day(sheet)?;
        let hours = self.prior("pumping_hours_per_day")?;
        let worse = self.dry_season_factor(sheet)?;
        let (Some(tested), Some(need)) = (tested, need) else { return Ok(None) };
        let at = |litres: f64| {
            tested.drawdown_m(litres / LITRES_PER_M3 * HOURS_PER_DAY / hours, hours / HOURS_PER_DAY)
        };
        let (low, value, high) = (at(need.low), at(need.value), at(need.high));
        let worst = high.map(|e| e.high).zip(worse).map(|(high, worse)| high * worse);
        let ends = (low.map(|e| e.low), value.and_then(|e| e.value), worst);
        Ok(estimate(Unit::Metre, ends.0, ends.1, ends.2).ok())
    }

    /// By how much the drawdown of the driest month may exceed that of the
    /// test; `None` where the water may fall below the screen.
    fn dry_season_factor(&self, sheet: &mut Sheet) -> Result<Option<f64>, Missing> {
        let bottom = sheet.take_any(self.site.completion.screen_bottom_m.as_ref()).copied();
        if bottom.is_none() {
            sheet.ask(AskKind::Write, "Write down the depth of the bottom of the screen.");
        }
        let dry = self.hole_dry_level(sheet)?.and_then(|d| d.high());
        let rest = self.site.handover.rest_level_m.as_ref().map(|r| r.value);
        let (Some(bottom), Some(dry), Some(rest)) = (bottom, dry, rest) else { return Ok(None) };
        let (then, now) = (bottom - dry, bottom - rest);
        Ok((then > 0.0).then(|| (now / then).max(1.0)).filter(|f| f.is_finite()))
    }

    /// What the well gives for the hours of a day in the driest month before
    /// its water falls to the pump, or what the pump gives where that is less;
    /// by `per` in the unit asked for.
    fn tested_yield(&self, per: impl Fn(&mut Sheet) -> Option<Part>, unit: Unit) -> Answer {
        let mut sheet = Sheet::new();
        let tested = self.tested(&mut sheet)?;
        let hours = self.prior("pumping_hours_per_day")?;
        let cover_m = self.prior("submergence_m")?;
        let worse = self.dry_season_factor(&mut sheet)?;
        let dry = self.hole_dry_level(&mut sheet)?;
        let intake = sheet.take_any(self.site.handover.pump_depth_m.as_ref()).copied();
        if intake.is_none() {
            sheet.ask(AskKind::Tape, "Write down how deep the intake of the pump hangs.");
        }
        let flow = self.set_pump_lps(&mut sheet);
        let divisor = per(&mut sheet);
        let (Some(tested), Some(dry), Some(intake), Some(divisor)) = (tested, dry, intake, divisor) else {
            return Ok(sheet.unknown());
        };
        let fall = |level: f64| intake - cover_m - level;
        let falls = Ends {
            low: dry.high().map_or(0.0, fall),
            value: dry.value().map(fall),
            high: dry.low().map_or(intake, fall),
        };
        let rate = tested.rate_m3_per_day(falls, hours / HOURS_PER_DAY, worse);
        let Some(rate) = rate else { return Ok(sheet.unknown()) };
        let lps = |q: f64| flow.map_or(q * LPS_PER_M3_PER_DAY, |f| f.min(q * LPS_PER_M3_PER_DAY));
        // Of a pump that is not known nothing is known to come.
        let low = if flow.is_some() { lps(rate.low) } else { 0.0 };
        let ratio = |q: f64, by: f64| (by > 0.0).then(|| q / by);
        let value = rate.value.and_then(|v| ratio(lps(v), divisor.value));
        sheet.number(estimate(unit, ratio(low, divisor.high), value, ratio(lps(rate.high), divisor.low)))
    }

    /// What the pump that was set gives.
    fn set_pump_lps(&self, sheet: &mut Sheet) -> Option<f64> {
        let names = || self.region().lifts.keys().map(String::as_str).collect::<Vec<_>>().join(", ");
        let pump = sheet.take_any(self.site.handover.pump.as_ref());
        let lift = pump.and_then(|p| self.region().lifts.get(p));
        if lift.is_none() {
            sheet.ask(
                AskKind::Write,
                format!("Write down which pump was set, by one of these names: {}.", names()),
            );
        }
        lift.map(|l| l.flow_lps.value)
    }
}

impl Tested {
    fn drawdown_m(&self, rate_m3_per_day: f64, time_day: f64) -> Option<Ends> {
        if rate_m3_per_day <= 0.0 {
            return Some(Ends { low: 0.0, value: Some(0.0), high: 0.0 });
        }
        let value = self.transmissivity.map(|t| t.low);
        let bound = self.test.drawdown_m(rate_m3_per_day, time_day, value).ok()?;
        if !self.bailed {
            return Some(bound);
        }
        // A few minutes of bailing bound nothing useful; the rise does.
        let by = |t: f64| Some(rate_m3_per_day * self.per_rate(t, time_day)?);
        let t = self.transmissivity?;
        let low = by(t.high)?;
        let high = by(t.low)?.min(bound.high).max(low);
        Some(Ends { low, value: by(t.value).map(|v| v.clamp(low, high)), high })
    }

    /// The drawdown for each m³/d in the well by Theis.
    fn per_rate(&self, transmissivity: f64, time_day: f64) -> Option<f64> {
        let aquifer = Aquifer::new(transmissivity, self.storativity).ok()?;
        aquifer.drawdown_m(1.0, self.hole_radius_m?, time_day).ok().filter(|d| *d > 0.0)
    }

    fn rate_m3_per_day(&self, fall: Ends, time_day: f64, worse: Option<f64>) -> Option<Ends> {
        let value = self.transmissivity.map(|t| t.low);
        let bound = self.test.rate_m3_per_day(fall, time_day, worse.unwrap_or(1.0), value).ok()?;
        let sure = worse.is_some();
        if !self.bailed {
            return Some(Ends { low: if sure { bound.low } else { 0.0 }, ..bound });
        }
        let t = self.transmissivity?;
        let by = |fall: f64, t: f64| Some(fall.max(0.0) / self.per_rate(t, time_day)?);
        let low = worse.and_then(|w| by(fall.low / w, t.low)).unwrap_or(0.0);
        let high = by(fall.high, t.high)?.max(low);
        let value = fall.value.and_then(|f| by(f, t.value)).map(|v| v.clamp(low, high));
        Some(Ends { low, value, high })
    }
}

/// Transmissivity of a bailed well by when three quarters of its drawdown had
/// surely come back, and when they surely had not, m²/d.
fn rise(test: &YieldTest, hole_m: f64, casing_m: f64, storativities: [f64; 2]) -> Option<Part> {
    const LEFT: f64 = 0.25;
    let (not_yet_day, surely_day) = test.left_share_reached(LEFT)?;
    let each = |since: f64| {
        let at = |storativity| {
            let bailed_day = test.pumped_day();
            let rise = Rise { hole_radius_m: hole_m, casing_radius_m: casing_m, bailed_day, storativity };
            rise.transmissivity_m2_per_day(since, LEFT).ok()
        };
        storativities.map(at).into_iter().collect::<Option<Vec<_>>>()
    };
    // What was not seen to fill may never fill; where even the first reading
    // came too late, the ground may be of any kind.
    let low = match surely_day {
        Some(since) => each(since)?.into_iter().min_by(f64::total_cmp)?,
        None => LEAST_T,
    };
    let high =
        if not_yet_day > 0.0 { each(not_yet_day)?.into_iter().max_by(f64::total_cmp)? } else { MOST_T };
    let high = high.max(low);
    Some(Part { low, value: (low * high).sqrt(), high })
}

fn transmissivity(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let tested = s.tested(&mut sheet)?;
    if s.site.drilling.hole_mm.is_none() {
        sheet.ask(AskKind::Tape, "Measure the bit, and write down the diameter of the hole.");
    }
    let Some(part) = tested.as_ref().and_then(|t| t.transmissivity) else {
        sheet.ask(AskKind::Dip, ASK_TEST);
        return Ok(sheet.unknown());
    };
    tested.iter().for_each(|t| sheet.note(t.ways.clone()));
    sheet.number(Estimate::band(Unit::SquareMetrePerDay, part.low, part.value, part.high))
}

fn specific_capacity(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.tested(&mut sheet)?.and_then(|t| t.test.specific_capacity_m2_per_day()) {
        Some(q) => sheet.number(estimate(Unit::SquareMetrePerDay, Some(q.low), q.value, Some(q.high))),
        None => Ok(sheet.unknown()),
    }
}

fn tested_hours(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.tested(&mut sheet)? {
        Some(t) => sheet.number(Estimate::exact(Unit::Hour, t.test.pumped_day() * HOURS_PER_DAY)),
        None => Ok(sheet.unknown()),
    }
}

fn recovery(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match s.tested(&mut sheet)?.and_then(|t| t.test.risen_pct()) {
        Some(r) => sheet.number(estimate(Unit::Percent, Some(r.low), r.value, Some(r.high))),
        None => {
            sheet.ask(AskKind::Dip, "Write down when the pump stopped (rate_lps = 0), and read the level for as long again as it ran.");
            Ok(sheet.unknown())
        }
    }
}

/// Water above the intake of the pump at the end of a day of drawing in the
/// driest month.
fn pump_cover(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let intake = sheet.take_any(s.site.handover.pump_depth_m.as_ref()).copied();
    let dry = s.hole_dry_level(&mut sheet)?;
    let drawdown = s.drawdown_at_need(&mut sheet)?;
    let Some(intake) = intake else {
        sheet.ask(AskKind::Tape, "Write down how deep the intake of the pump hangs.");
        return Ok(sheet.unknown());
    };
    match dry.zip(drawdown) {
        Some((dry, drawdown)) => sheet.number(Ok(dry.plus(&drawdown).scaled(Unit::Metre, -1.0, intake))),
        None => Ok(sheet.unknown()),
    }
}

fn per_need(s: &SiteFacts) -> Answer {
    let hours = s.prior("pumping_hours_per_day")?;
    // A failing prior ends the fact above; the need itself may be unknown.
    let lps = |litres: f64| litres / (hours * SECONDS_PER_HOUR);
    let per = |sheet: &mut Sheet| {
        let need = s.need_of_day(sheet).ok().flatten()?;
        Some(Part { low: lps(need.low), value: lps(need.value), high: lps(need.high) })
    };
    s.tested_yield(per, Unit::One)
}
