//! A rough cost of one well, in the region's currency.
//!
//! Mobilisation + (drilling + casing) a metre × depth + lift, each of which may
//! be off by a share of itself, + completion between two prices. The parts are
//! those of common practice; design, contingency and failed holes are left out.

/// The prices of one well by one method.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WellPrices {
    /// Bringing crew and gear.
    pub mobilisation: f64,
    /// Drilling one metre.
    pub drilling_per_metre: f64,
    /// Casing or screen of one metre.
    pub casing_per_metre: f64,
    /// The pump or lift.
    pub lift: f64,
    /// Finishing the well, least and greatest price.
    pub completion: (f64, f64),
    /// How far any of the others may be off, as a share of it.
    pub spread_share: f64,
}

impl WellPrices {
    fn middle(&self, depth_m: f64) -> f64 {
        self.mobilisation + (self.drilling_per_metre + self.casing_per_metre) * depth_m + self.lift
    }

    /// The least it may cost.
    pub fn least(&self, depth_m: f64) -> f64 {
        self.middle(depth_m) * (1.0 - self.spread_share).max(0.0) + self.completion.0
    }

    /// A middling cost.
    pub fn usual(&self, depth_m: f64) -> f64 {
        self.middle(depth_m) + f64::midpoint(self.completion.0, self.completion.1)
    }

    /// The most it may cost.
    pub fn most(&self, depth_m: f64) -> f64 {
        self.middle(depth_m) * (1.0 + self.spread_share) + self.completion.1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_well_costs_its_parts() {
        let prices = WellPrices {
            mobilisation: 100.0,
            drilling_per_metre: 5.0,
            casing_per_metre: 8.0,
            lift: 500.0,
            completion: (150.0, 600.0),
            spread_share: 0.5,
        };
        assert!((prices.usual(20.0) - (100.0 + 13.0 * 20.0 + 500.0 + 375.0)).abs() < 1e-9);
        assert!((prices.least(20.0) - (860.0 * 0.5 + 150.0)).abs() < 1e-9);
        assert!((prices.most(20.0) - (860.0 * 1.5 + 600.0)).abs() < 1e-9);
    }
}
