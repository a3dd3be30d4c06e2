//! Transmissivity from one pumping rate and the drawdown it caused in the well
//! itself: Q/s, the specific capacity.
//!
//! Q rate m³/d; s drawdown m; T transmissivity m²/d; K conductivity m/d.
//! None of the three ways corrects for the well's own loss, which makes T
//! read low, or for a screen in a part of the aquifer only.
//!
//! * [`logan_confined_m2_per_day`], [`logan_unconfined_m_per_day`]: Logan
//!   (1964), Ground Water 2, 35–37 (from memory): Thiem's formula with
//!   log₁₀(R/r) = 3.33. It reads high for short tests in small wells.
//! * [`driscoll_m2_per_day`]: Driscoll (1986), Groundwater and Wells (from
//!   memory): T/2000 and T/1500 in US gallons, minutes, days and feet.
//! * [`jacob`]: T = Q/(4πs)·ln(2.25·Tt/(r²S)) solved for T, after Cooper &
//!   Jacob (1946), with the time t (d), the well's radius r (m) and an assumed
//!   storativity S.

use std::f64::consts::{LN_10, PI};

use super::cooper_jacob::GREATEST_U;
use super::theis::{Aquifer, well_function};
use crate::units::OutOfRange;
use crate::units::range::{between, finite, less_than, positive};

/// log₁₀(R/r) of the reach and the radius of a well, as Logan took it.
const LOGAN_TENFOLDS: f64 = 3.33;
/// Logan's factor for unconfined ground as he printed it; 3.33·ln 10/π is
/// 2.4407.
const LOGAN_UNCONFINED: f64 = 2.43;

/// T·s/Q in confined ground: 3.33·ln 10/(2π) = 1.2203, printed as 1.22.
pub fn logan_factor() -> f64 {
    LOGAN_TENFOLDS * LN_10 / (2.0 * PI)
}

/// T = 1.2203·Q/s, m²/d.
///
/// # Errors
/// When a figure is not above 0.
pub fn logan_confined_m2_per_day(rate_m3_per_day: f64, drawdown_m: f64) -> Result<f64, OutOfRange> {
    let capacity = specific_capacity_m2_per_day(rate_m3_per_day, drawdown_m)?;
    positive("the transmissivity (m²/d)", logan_factor() * capacity)
}

/// K = 2.43·Q/(s(2m − s)) with m the depth of the water in the aquifer, m/d.
///
/// # Errors
/// When a figure is not above 0 or the drawdown not less than m.
pub fn logan_unconfined_m_per_day(
    rate_m3_per_day: f64,
    drawdown_m: f64,
    saturated_m: f64,
) -> Result<f64, OutOfRange> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    let saturated = positive("the depth of the water in the aquifer (m)", saturated_m)?;
    let drawdown = positive("the drawdown (m)", drawdown_m)?;
    let drawdown = less_than("the drawdown (m)", drawdown, saturated)?;
    let k = LOGAN_UNCONFINED * rate / (drawdown * (2.0 * saturated - drawdown));
    positive("the conductivity (m/d)", k)
}

/// Q/s, m²/d.
///
/// # Errors
/// When a figure is not above 0.
pub fn specific_capacity_m2_per_day(rate_m3_per_day: f64, drawdown_m: f64) -> Result<f64, OutOfRange> {
    let rate = positive("the pumping rate (m³/d)", rate_m3_per_day)?;
    positive("the specific capacity (m²/d)", rate / positive("the drawdown (m)", drawdown_m)?)
}

/// T by the rule for confined or unconfined ground, m²/d: 1.3889 or 1.0417
/// times Q/s.
///
/// # Errors
/// When a figure is not above 0.
pub fn driscoll_m2_per_day(rate_m3_per_day: f64, drawdown_m: f64, confined: bool) -> Result<f64, OutOfRange> {
    // US gallons a day and foot for a gallon a minute and foot.
    let gallons = if confined { 2000.0 } else { 1500.0 };
    const MINUTES_PER_DAY: f64 = 1440.0;
    let per_capacity = gallons / MINUTES_PER_DAY;
    let t = per_capacity * specific_capacity_m2_per_day(rate_m3_per_day, drawdown_m)?;
    positive("the transmissivity (m²/d)", t)
}

/// One drawdown read in the pumped well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneReading {
    /// The steady rate.
    pub rate_m3_per_day: f64,
    /// The drawdown in the well.
    pub drawdown_m: f64,
    /// Since pumping began.
    pub time_day: f64,
    /// The radius of the hole.
    pub radius_m: f64,
    /// Assumed: no one reading shows it.
    pub storativity: f64,
}

/// T by the well's own drawdown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JacobTransmissivity {
    /// T, m²/d.
    pub transmissivity_m2_per_day: f64,
    /// r²S/(4Tt).
    pub u: f64,
    /// Whether u is small enough for the formula.
    pub holds: bool,
}

/// Solves T = Q/(4πs)·ln(2.25·Tt/(r²S)).
///
/// With x = ln T the drawdown falls as x rises wherever u < 0.2; the root is
/// sought there by halving, which cannot run away as the usual repeated
/// insertion does for poor ground.
///
/// # Errors
/// When a figure is out of range, or the water fell further than any ground
/// explains by this formula (the well is then mostly emptying itself).
pub fn jacob(reading: &OneReading) -> Result<JacobTransmissivity, OutOfRange> {
    let rate = positive("the pumping rate (m³/d)", reading.rate_m3_per_day)?;
    let drawdown = positive("the drawdown (m)", reading.drawdown_m)?;
    let time = positive("the time since pumping began (d)", reading.time_day)?;
    let radius = positive("the radius of the hole (m)", reading.radius_m)?;
    let storativity = between("the storativity", reading.storativity, 0.0, 1.0)?;
    // T·t/(r²S) for T = 1, and s·T/Q.
    let reach = positive("t/(r²S) (d/m²)", time / (radius.powi(2) * storativity))?;
    let reckoned = |t: f64| rate / (4.0 * PI * t) * (2.25 * reach * t).ln();
    // The drawdown is greatest where ln(2.25·Tt/(r²S)) = 1.
    let (mut low, mut high) = (1f64.exp() / (2.25 * reach), 1e12);
    less_than("the drawdown (m)", drawdown, reckoned(low))?;
    less_than("the drawdown by the richest ground (m)", reckoned(high), drawdown)?;
    // Halved in logarithms; 200 halvings reach the last place.
    for _ in 0..200 {
        let middle = (low * high).sqrt();
        if reckoned(middle) > drawdown { low = middle } else { high = middle }
    }
    let transmissivity = positive("the transmissivity (m²/d)", (low * high).sqrt())?;
    let u = finite("u = r²S/(4Tt)", 1.0 / (4.0 * reach * transmissivity))?;
    Ok(JacobTransmissivity { transmissivity_m2_per_day: transmissivity, u, holds: u <= GREATEST_U })
}

/// The specific capacity that an aquifer lends a well without loss after a
/// time, m²/d: 4πT/W(u).
///
/// # Errors
/// When a figure is out of range or nothing has fallen yet.
pub fn of_aquifer_m2_per_day(aquifer: &Aquifer, radius_m: f64, time_day: f64) -> Result<f64, OutOfRange> {
    let w = positive("W(u)", well_function(aquifer.u(radius_m, time_day)?)?)?;
    finite("the specific capacity (m²/d)", 4.0 * PI * aquifer.transmissivity_m2_per_day() / w)
}

#[cfg(test)]
mod tests {
    use super::*;

    const HAND_PUMP: OneReading = OneReading {
        rate_m3_per_day: 21.6,
        drawdown_m: 4.0,
        time_day: 4.0 / 24.0,
        radius_m: 0.055,
        storativity: 1e-3,
    };

    #[test]
    fn the_root_satisfies_the_formula() {
        let t = jacob(&HAND_PUMP).unwrap().transmissivity_m2_per_day;
        let s = 21.6 / (4.0 * PI * t) * (2.25 * t * (4.0 / 24.0) / (0.055f64.powi(2) * 1e-3)).ln();
        assert!((s - 4.0).abs() < 1e-9, "{t}");
    }

    #[test]
    fn the_rich_reading_is_refused_and_not_answered_with_nonsense() {
        assert!(jacob(&OneReading { drawdown_m: 1e-20, ..HAND_PUMP }).is_err());
    }

    #[test]
    fn a_well_that_only_empties_itself_is_refused() {
        let emptied = OneReading { drawdown_m: 1e6, time_day: 1e-4, storativity: 0.3, ..HAND_PUMP };
        assert!(jacob(&emptied).is_err());
    }

    #[test]
    fn the_rules_of_thumb_keep_their_exact_factors() {
        assert!((driscoll_m2_per_day(1.0, 1.0, true).unwrap() - 1.388_889).abs() < 1e-6);
        assert!((driscoll_m2_per_day(1.0, 1.0, false).unwrap() - 1.041_667).abs() < 1e-6);
    }

    #[test]
    fn a_drawdown_to_the_base_of_the_aquifer_is_refused() {
        assert!(logan_unconfined_m_per_day(20.0, 5.0, 5.0).is_err());
        assert!(logan_unconfined_m_per_day(20.0, 4.9, 5.0).is_ok());
    }

    #[test]
    fn the_capacity_of_an_aquifer_undoes_its_drawdown() {
        let aquifer = Aquifer::new(5.0, 1e-3).unwrap();
        let s = aquifer.drawdown_m(20.0, 0.06, 0.5).unwrap();
        assert!((of_aquifer_m2_per_day(&aquifer, 0.06, 0.5).unwrap() * s - 20.0).abs() < 1e-9);
    }
}
