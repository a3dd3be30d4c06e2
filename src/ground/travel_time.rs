//! How long water takes from a hazard to the well through the ground, and how
//! far off a hazard must be for the days that are asked.
//!
//! v = K·i/n, t = L/v, L = t·K·i/n
//!
//! v velocity m/d; K conductivity m/d; i slope of the water table; n effective
//! porosity; L distance m; t time d. Every figure is a range, and a hazard is
//! judged by the fastest water: the highest K, the steepest i, the least n.
//!
//! Around a pumped well in still water the same days make a cylinder of
//! radius r = √(Q·t/(π·n·H)), with Q the rate m³/d and H the length of the
//! screen m (calculated fixed radius; Illinois Administrative Code 35 IAC 671,
//! Appendix A, in feet and minutes). Take the greater of L and r.
//!
//! In fractured or karst ground distance alone protects nothing: water goes
//! tens to hundreds of metres a day. Nor do 50 days make water sterile.
//!
//! Source of v: Darcy's law; e.g. Heath (1983), US Geological Survey
//! Water-Supply Paper 2220.

use std::f64::consts::PI;

use crate::units::range::{at_least, finite, not_negative, positive, share};
use crate::units::{OutOfRange, Part};

/// Days from which the ARGOSS guideline (British Geological Survey CR/01/142,
/// 2001; from memory) calls the risk low.
pub const LOW_RISK_DAYS: f64 = 25.0;
/// Days from which it calls the risk very low.
pub const VERY_LOW_RISK_DAYS: f64 = 50.0;

/// Water on its way through the pores of the ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seepage {
    conductivity_m_per_day: Part,
    gradient: Part,
    effective_porosity: Part,
}

/// How long water takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TravelTime {
    /// The fastest of it.
    pub fastest_day: f64,
    /// At the best values; `None` where it then stands still.
    pub likely_day: Option<f64>,
    /// The slowest of it; `None` where it may stand still.
    pub slowest_day: Option<f64>,
}

/// What water goes through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Openings {
    /// The pores between grains.
    Pores,
    /// Cracks, pipes or caves: fractured rock, karst, piped laterite.
    Fractures,
}

/// What the days between a hazard and a well say of the risk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TravelRisk {
    /// Below 25 days.
    Significant,
    /// 25 days or more: some confidence, no surety.
    Low,
    /// 50 days or more.
    VeryLow,
    /// No distance protects by itself in such ground.
    NoProtectionByDistance,
}

fn ordered(quantity: &'static str, part: Part) -> Result<Part, OutOfRange> {
    let low = finite(quantity, part.low)?;
    let value = at_least(quantity, part.value, low)?;
    let high = at_least(quantity, part.high, value)?;
    Ok(Part { low, value, high })
}

impl Seepage {
    /// Through ground of those ranges.
    ///
    /// # Errors
    /// When a range is out of order, the conductivity or the porosity not
    /// above 0, the porosity above 1, the slope below 0, or its high end 0:
    /// nobody can know that water stands quite still.
    pub fn new(
        conductivity_m_per_day: Part,
        gradient: Part,
        effective_porosity: Part,
    ) -> Result<Self, OutOfRange> {
        let conductivity = ordered("the conductivity (m/d)", conductivity_m_per_day)?;
        positive("the conductivity (m/d)", conductivity.low)?;
        let gradient = ordered("the slope of the water table", gradient)?;
        not_negative("the slope of the water table", gradient.low)?;
        positive("the steepest slope of the water table", gradient.high)?;
        let porosity = ordered("the effective porosity", effective_porosity)?;
        positive("the effective porosity", porosity.low)?;
        share("the effective porosity", porosity.high)?;
        Ok(Self { conductivity_m_per_day: conductivity, gradient, effective_porosity: porosity })
    }

    /// How fast the water moves, m/d.
    ///
    /// # Errors
    /// When it is no number.
    pub fn velocity_m_per_day(&self) -> Result<Part, OutOfRange> {
        let (k, i, n) = (self.conductivity_m_per_day, self.gradient, self.effective_porosity);
        let at = |k: f64, i: f64, n: f64| finite("the velocity (m/d)", k * i / n);
        Ok(Part {
            low: at(k.low, i.low, n.high)?,
            value: at(k.value, i.value, n.value)?,
            high: positive("the greatest velocity (m/d)", at(k.high, i.high, n.low)?)?,
        })
    }

    /// How long it takes over a distance.
    ///
    /// # Errors
    /// When the distance is below 0.
    pub fn time_over(&self, distance_m: f64) -> Result<TravelTime, OutOfRange> {
        let distance = not_negative("the distance (m)", distance_m)?;
        let v = self.velocity_m_per_day()?;
        let days = |v: f64| Some(distance / v).filter(|d| v > 0.0 && d.is_finite());
        Ok(TravelTime {
            fastest_day: finite("the travel time (d)", distance / v.high)?,
            likely_day: days(v.value),
            slowest_day: days(v.low),
        })
    }

    /// The distance it goes in so many days, m; a hazard is far enough only
    /// beyond the high end.
    ///
    /// # Errors
    /// When the days are below 0 or the distance is no number.
    pub fn distance_in_m(&self, days: f64) -> Result<Part, OutOfRange> {
        let days = not_negative("the days", days)?;
        let v = self.velocity_m_per_day()?;
        let over = |v: f64| finite("the distance (m)", v * days);
        Ok(Part { low: over(v.low)?, value: over(v.value)?, high: over(v.high)? })
    }
}

/// What the fastest water's days say.
///
/// # Errors
/// When the days are below 0.
pub fn travel_risk(openings: Openings, fastest_day: f64) -> Result<TravelRisk, OutOfRange> {
    let days = not_negative("the travel time (d)", fastest_day)?;
    Ok(match openings {
        Openings::Fractures => TravelRisk::NoProtectionByDistance,
        Openings::Pores if days >= VERY_LOW_RISK_DAYS => TravelRisk::VeryLow,
        Openings::Pores if days >= LOW_RISK_DAYS => TravelRisk::Low,
        Openings::Pores => TravelRisk::Significant,
    })
}

/// The radius from which water reaches a pumped well within so many days, m.
///
/// # Errors
/// When the rate or the days are below 0, or porosity or screen not above 0.
pub fn fixed_radius_m(
    rate_m3_per_day: f64,
    days: f64,
    effective_porosity: f64,
    screen_m: f64,
) -> Result<f64, OutOfRange> {
    let pumped = not_negative("the pumping rate (m³/d)", rate_m3_per_day)? * not_negative("the days", days)?;
    let n = share("the effective porosity", positive("the effective porosity", effective_porosity)?)?;
    let screen = positive("the length of the screen (m)", screen_m)?;
    finite("the radius (m)", (pumped / (PI * n * screen)).sqrt())
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    const fn just(value: f64) -> Part {
        Part { low: value, value, high: value }
    }

    fn sand() -> Seepage {
        let k = Part { low: 5.0, value: 10.0, high: 20.0 };
        let i = Part { low: 0.0, value: 0.005, high: 0.01 };
        Seepage::new(k, i, Part { low: 0.15, value: 0.25, high: 0.30 }).unwrap()
    }

    #[test]
    fn the_fastest_water_takes_the_worse_end_of_every_range() {
        let v = sand().velocity_m_per_day().unwrap();
        assert!((v.high - 20.0 * 0.01 / 0.15).abs() < 1e-12 && v.low == 0.0);
        let t = sand().time_over(30.0).unwrap();
        assert!((t.fastest_day - 30.0 / v.high).abs() < 1e-12);
        assert_eq!(t.slowest_day, None);
    }

    #[test]
    fn time_and_distance_undo_one_another() {
        let far = sand().distance_in_m(50.0).unwrap();
        assert!((sand().time_over(far.high).unwrap().fastest_day - 50.0).abs() < 1e-9);
    }

    #[test]
    fn a_wider_range_never_lengthens_the_fastest_time() {
        let wider = Seepage::new(
            Part { low: 1.0, value: 10.0, high: 40.0 },
            just(0.01),
            Part { low: 0.1, value: 0.25, high: 0.4 },
        );
        assert!(
            wider.unwrap().time_over(30.0).unwrap().fastest_day < sand().time_over(30.0).unwrap().fastest_day
        );
    }

    #[test]
    fn no_distance_protects_in_fractured_ground() {
        assert_eq!(travel_risk(Openings::Fractures, 1e6).unwrap(), TravelRisk::NoProtectionByDistance);
        for (days, risk) in
            [(24.9, TravelRisk::Significant), (25.0, TravelRisk::Low), (50.0, TravelRisk::VeryLow)]
        {
            assert_eq!(travel_risk(Openings::Pores, days).unwrap(), risk);
        }
    }

    #[test]
    fn a_spot_beside_the_hazard_takes_no_time() {
        assert_eq!(sand().time_over(0.0).unwrap().fastest_day, 0.0);
    }

    #[test]
    fn water_that_surely_stands_still_is_refused() {
        assert!(Seepage::new(just(1.0), just(0.0), just(0.2)).is_err());
        assert!(Seepage::new(just(1.0), Part { low: 0.1, value: 0.05, high: 0.2 }, just(0.2)).is_err());
        assert!(Seepage::new(just(1.0), just(0.01), just(0.0)).is_err());
    }
}
