//! How far the water falls in a pumped hole, and what it yields at most.
//! Metres, days, cubic metres.

/// The drawdown of a hole pumped at a steady rate, without the losses of the
/// hole itself: Q/(4πT) · ln(2.25 T t / (r² S)).
///
/// Source: Cooper & Jacob 1946 (Trans. Am. Geophys. Union 27:526). Valid
/// where u = r²S/(4Tt) is small; below that (tight ground, short pumping) the
/// logarithm is held at its value for `u_most`, which draws the water down
/// further than the ground would: such ground yields next to nothing.
pub(super) fn cooper_jacob_drawdown_m(aquifer: &Aquifer, rate_m3_per_day: f64, pumping: &Pumping) -> f64 {
    rate_m3_per_day * drawdown_per_rate(aquifer, pumping)
}

/// The rate at which the water falls by `drawdown_m`, formation and well loss
/// together: B·Q + C·Q² = s (Jacob 1947; from memory).
pub(super) fn greatest_rate_m3_per_day(aquifer: &Aquifer, drawdown_m: f64, pumping: &Pumping) -> f64 {
    if !(drawdown_m > 0.0 && aquifer.t_m2_per_day > 0.0) {
        return 0.0;
    }
    let b = drawdown_per_rate(aquifer, pumping);
    // The root of the quadratic in the form that loses no digits as C → 0.
    2.0 * drawdown_m / (b + (b * b + 4.0 * pumping.well_loss * drawdown_m).sqrt())
}

/// Whether a rate can be had within a drawdown.
pub(super) fn gives(aquifer: &Aquifer, rate_m3_per_day: f64, drawdown_m: f64, pumping: &Pumping) -> bool {
    let well_loss_m = pumping.well_loss * rate_m3_per_day * rate_m3_per_day;
    aquifer.t_m2_per_day > 0.0
        && cooper_jacob_drawdown_m(aquifer, rate_m3_per_day, pumping) + well_loss_m <= drawdown_m
}

/// What is screened.
#[derive(Debug, Clone, Copy)]
pub(super) struct Aquifer {
    /// Transmissivity.
    pub(super) t_m2_per_day: f64,
    /// Storage, share of the volume.
    pub(super) storage: f64,
}

/// How it is pumped.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pumping {
    /// How long.
    pub(super) days: f64,
    /// Square of the hole's radius.
    pub(super) radius_squared_m2: f64,
    /// Well loss coefficient, day²/m⁵.
    pub(super) well_loss: f64,
    /// The least that the logarithm may be.
    pub(super) least_log: f64,
}

impl Pumping {
    /// `u_most`: greatest u for which the logarithm is used.
    pub(super) fn new(days: f64, radius_m: f64, well_loss: f64, u_most: f64) -> Self {
        // 2.25 T t/(r² S) = 2.25/(4u).
        Self {
            days,
            radius_squared_m2: radius_m * radius_m,
            well_loss,
            least_log: (2.25 / (4.0 * u_most)).ln(),
        }
    }
}

fn drawdown_per_rate(aquifer: &Aquifer, pumping: &Pumping) -> f64 {
    let reach = 2.25 * aquifer.t_m2_per_day * pumping.days / (pumping.radius_squared_m2 * aquifer.storage);
    reach.ln().max(pumping.least_log) / (4.0 * std::f64::consts::PI * aquifer.t_m2_per_day)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn aquifer(t_m2_per_day: f64, storage: f64) -> Aquifer {
        Aquifer { t_m2_per_day, storage }
    }

    /// Fetter, Applied Hydrogeology: T = 15 m/d × 20 m, S = 0.005,
    /// Q = 2725 m³/d, r = 7 m after one day; 5.73 m printed (from memory) by
    /// the full series, 5.72568 m by this formula (recomputed).
    #[test]
    fn a_worked_drawdown_comes_out() {
        let pumping = Pumping::new(1.0, 7.0, 0.0, 0.05);
        let s = cooper_jacob_drawdown_m(&aquifer(300.0, 0.005), 2725.0, &pumping);
        assert!((s - 5.725_68).abs() < 5e-6, "{s}");
    }

    /// Recomputed: 0.25 L/s at 4 m after 4 hours in a hole of 55 mm radius
    /// needs 5.795 m²/d with S = 0.001 and 3.613 m²/d with S = 0.1.
    #[test]
    fn specific_capacity_of_a_hand_pump_comes_out() {
        let pumping = Pumping::new(4.0 / 24.0, 0.055, 0.0, 0.05);
        for (t, storage) in [(5.795, 1e-3), (3.613, 0.1)] {
            let q = greatest_rate_m3_per_day(&aquifer(t, storage), 4.0, &pumping);
            assert!((q / 21.6 - 1.0).abs() < 2e-4, "{q}");
        }
    }

    #[test]
    fn the_greatest_rate_uses_the_whole_drawdown() {
        let pumping = Pumping::new(0.25, 0.06, 0.002, 0.05);
        let a = aquifer(8.0, 0.1);
        let q = greatest_rate_m3_per_day(&a, 5.0, &pumping);
        assert!((cooper_jacob_drawdown_m(&a, q, &pumping) + 0.002 * q * q - 5.0).abs() < 1e-9);
        assert!(gives(&a, q * 0.999_999, 5.0, &pumping) && !gives(&a, q * 1.000_001, 5.0, &pumping));
    }

    #[test]
    fn tighter_ground_never_yields_more() {
        let pumping = Pumping::new(0.25, 0.06, 0.002, 0.05);
        let rates: Vec<_> = (-12..6)
            .map(|p| greatest_rate_m3_per_day(&aquifer(10.0_f64.powi(p), 0.2), 5.0, &pumping))
            .collect();
        assert!(rates.is_sorted() && rates[0] < 1e-9, "{rates:?}");
        assert!(rates.iter().all(|q| q.is_finite()));
    }
}
