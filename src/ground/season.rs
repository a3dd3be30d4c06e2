//! How far the water will still fall before the driest month, by the year's
//! swing and the months since it stood highest.
//!
//! fall = A/2·(1 + cos(π·m/6))
//!
//! fall m; A swing of an average year between its highest and lowest level m;
//! m months since the highest, 0 to 6. A dry year falls further. Source:
//! common practice.

use std::f64::consts::PI;

use crate::units::OutOfRange;
use crate::units::range::{from_to, not_negative};

/// Months from the highest to the lowest level.
const FALLING_MONTHS: f64 = 6.0;

/// What is still to fall, m.
///
/// # Errors
/// When the swing is below 0 or the months outside 0 to 6.
pub fn remaining_fall_m(swing_m: f64, months_since_high: f64) -> Result<f64, OutOfRange> {
    let swing = not_negative("the swing of the year (m)", swing_m)?;
    let months = from_to("the months since the highest level", months_since_high, 0.0, FALLING_MONTHS)?;
    Ok((swing / 2.0 * (1.0 + (PI * months / FALLING_MONTHS).cos())).clamp(0.0, swing))
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::remaining_fall_m;

    #[test]
    fn all_is_still_to_fall_at_the_height_and_nothing_at_the_low() {
        assert_eq!(remaining_fall_m(3.0, 0.0).unwrap(), 3.0);
        assert_eq!(remaining_fall_m(3.0, 6.0).unwrap(), 0.0);
        assert!((remaining_fall_m(2.5, 1.0).unwrap() - 2.333).abs() < 1e-3);
        assert!((remaining_fall_m(2.5, 2.0).unwrap() - 1.875).abs() < 1e-12);
    }

    #[test]
    fn a_rising_water_is_not_asked_of_this() {
        assert!(remaining_fall_m(3.0, 7.0).is_err() && remaining_fall_m(-1.0, 1.0).is_err());
    }
}
