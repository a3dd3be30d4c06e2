//! Transmissivity from how fast a bailed well fills again.
//!
//! The share of the drawdown that is left after a time since the last bail
//! does not depend on how much was bailed, and falls with T: one time at which
//! a share is known gives T for a storativity that is assumed. Model, units,
//! range and sources as in [`bailer`](super::bailer).

use super::bailer::WideWell;
use super::theis::Aquifer;
use crate::units::OutOfRange;
use crate::units::range::between;

/// The least transmissivity that is sought, m²/d: next to nothing comes.
pub const LEAST_T: f64 = 1e-3;
/// The greatest, m²/d: well beyond what a bailer can tell.
pub const MOST_T: f64 = 1e3;

/// A bailed well of which T is sought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rise {
    /// Radius of the hole.
    pub hole_radius_m: f64,
    /// Radius of the casing in which the water stands.
    pub casing_radius_m: f64,
    /// How long it was bailed.
    pub bailed_day: f64,
    /// Storativity that is assumed.
    pub storativity: f64,
}

impl Rise {
    /// The share of the drawdown that is left.
    fn left_share(&self, transmissivity_m2_per_day: f64, since_day: f64) -> Result<f64, OutOfRange> {
        let aquifer = Aquifer::new(transmissivity_m2_per_day, self.storativity)?;
        let well = WideWell::new(aquifer, self.hole_radius_m, self.casing_radius_m)?;
        Ok(well.drawdown_left_m(1.0, self.bailed_day, since_day)? / well.drawdown_m(1.0, self.bailed_day)?)
    }

    /// The transmissivity with which just that share is left after that time,
    /// m²/d; the nearer end of what is sought where none is.
    ///
    /// # Errors
    /// When a figure is out of range.
    pub fn transmissivity_m2_per_day(&self, since_day: f64, left_share: f64) -> Result<f64, OutOfRange> {
        let share = between("the share that is left", left_share, 0.0, 1.0)?;
        let (mut low, mut high) = (LEAST_T, MOST_T);
        for _ in 0..40 {
            let middle = (low * high).sqrt();
            if self.left_share(middle, since_day)? > share { low = middle } else { high = middle }
        }
        Ok((low * high).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rise_gives_back_the_ground_it_was_made_from() {
        // The limit case of MacDonald, Barker & Davies 2008: T 0.85 m²/d, ten
        // minutes of bailing, a casing of 5 inches.
        let radius = 0.0635;
        let rise = Rise {
            hole_radius_m: radius,
            casing_radius_m: radius,
            bailed_day: 10.0 / 1440.0,
            storativity: 0.01,
        };
        let well = WideWell::new(Aquifer::new(0.85, 0.01).unwrap(), radius, radius).unwrap();
        let half_day = well.bailed(25.0, 10.0 / 1440.0).unwrap().half_risen_day;
        let t = rise.transmissivity_m2_per_day(half_day, 0.5).unwrap();
        assert!((t / 0.85 - 1.0).abs() < 1e-3, "{t}");
    }

    #[test]
    fn a_slower_rise_is_tighter_ground() {
        let rise = Rise { hole_radius_m: 0.06, casing_radius_m: 0.05, bailed_day: 0.007, storativity: 1e-3 };
        let at = |since| rise.transmissivity_m2_per_day(since, 0.5).unwrap();
        assert!(at(0.01) > at(0.02) && at(0.02) > at(0.1));
        assert!(rise.transmissivity_m2_per_day(0.01, 1.5).is_err());
        assert!(rise.transmissivity_m2_per_day(-1.0, 0.5).is_err());
    }
}
