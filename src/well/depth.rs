//! How deep a well must go below the driest-month level, metres.
//!
//! Depth of the well = level + drawdown + submergence of the intake + screen +
//! sump. Common practice; e.g. 6.0 m level with 1.5 m still to fall and 1.0 m
//! for drought, 2.0 m drawdown, 1.0 m submergence, 3.0 m screen and 1.0 m sump
//! make 15.5 m.

use crate::region::Region;
use crate::units::Part;

/// What is needed below the driest-month level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BelowLevel {
    /// Fall of the water while pumping.
    pub drawdown_m: Part,
    /// Water above the intake at the lowest pumping level.
    pub submergence_m: f64,
    /// Length of the screen.
    pub screen_m: f64,
    /// Blank length below the screen.
    pub sump_m: f64,
}

impl BelowLevel {
    /// The region's figures.
    ///
    /// # Errors
    /// The name of the prior that the region does not have.
    pub fn of(region: &Region) -> Result<Self, &'static str> {
        let get = |name: &'static str| region.priors.get(name).map(|f| f.value).ok_or(name);
        let (low, high) = (get("drawdown_low_m")?, get("drawdown_high_m")?);
        Ok(Self {
            drawdown_m: Part { low: low.min(high), value: f64::midpoint(low, high), high: high.max(low) },
            submergence_m: get("submergence_m")?,
            screen_m: get("screen_m")?,
            sump_m: get("sump_m")?,
        })
    }

    /// All of it together.
    pub fn total_m(&self) -> Part {
        let fixed = self.submergence_m + self.screen_m + self.sump_m;
        let Part { low, value, high } = self.drawdown_m;
        Part { low: low + fixed, value: value + fixed, high: high + fixed }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_depths_below_the_level_add_up() {
        let below = BelowLevel {
            drawdown_m: Part { low: 1.0, value: 2.0, high: 4.0 },
            submergence_m: 1.0,
            screen_m: 3.0,
            sump_m: 1.0,
        };
        let total = below.total_m();
        assert_eq!((total.low, total.value, total.high), (6.0, 7.0, 9.0));
        // The example at the head of this file: 6.0 + 1.5 + 1.0 above it.
        assert!((6.0 + 1.5 + 1.0 + total.value - 15.5).abs() < 1e-12);
    }
}
