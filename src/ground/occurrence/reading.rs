//! From what a laboratory or a kit writes down to how likely the water
//! exceeds a limit.

use crate::units::standard_normal_below;

/// What was read, in the unit of the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum QualityReading {
    /// "< x": below what the method can find or tell.
    Below(f64),
    /// "> x": above what it can tell.
    Above(f64),
    /// A value with its relative error, one standard deviation as a share of
    /// the value.
    Value {
        /// The value.
        value: f64,
        /// Its relative standard deviation, 0.1 for 10 %.
        relative_sd: f64,
    },
}

/// How likely the true value is above `limit`; exactly at it is not above.
///
/// A value errs by a factor (log-normal, its spread in logarithms
/// √ln(1 + r²)). Of "< x" with x above the limit every value from 0 to x is
/// taken as equally likely, 1 − limit/x; of "> x" with x below the limit,
/// x/limit, as if each doubling halves what is left. A limit of 0 is one on
/// counts (germs in 100 mL): "< 1" is none, and of "< x" every whole number
/// below x is equally likely. These assumptions are ours.
///
/// `None` where a number is negative or not finite.
///
/// ```
/// use forebore::ground::occurrence::{QualityReading, chance_above};
///
/// let arsenic = |value| chance_above(QualityReading::Value { value, relative_sd: 0.2 }, 10.0);
/// assert_eq!(arsenic(10.0), Some(0.5));
/// assert!(arsenic(14.0) > Some(0.9));
/// assert_eq!(chance_above(QualityReading::Below(5.0), 10.0), Some(0.0));
/// ```
pub fn chance_above(reading: QualityReading, limit: f64) -> Option<f64> {
    let sound = |x: f64| x.is_finite() && x >= 0.0;
    let holds = |is: bool| f64::from(u8::from(is));
    if !sound(limit) {
        return None;
    }
    match reading {
        QualityReading::Below(x) if sound(x) => Some(match x {
            _ if x <= limit => 0.0,
            _ if limit > 0.0 => 1.0 - limit / x,
            _ if x <= 1.0 => 0.0,
            _ => 1.0 - 1.0 / x,
        }),
        QualityReading::Above(x) if sound(x) => Some(if x >= limit { 1.0 } else { x / limit }),
        QualityReading::Value { value, relative_sd } if sound(value) && sound(relative_sd) => {
            let spread = (relative_sd * relative_sd).ln_1p().sqrt();
            Some(if limit <= 0.0 || value <= 0.0 || spread <= 0.0 {
                holds(value > limit)
            } else if value.total_cmp(&limit).is_eq() {
                0.5
            } else {
                standard_normal_below((value / limit).ln() / spread).clamp(0.0, 1.0)
            })
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(value: f64, relative_sd: f64) -> QualityReading {
        QualityReading::Value { value, relative_sd }
    }

    #[test]
    fn a_value_without_error_is_above_or_not() {
        assert_eq!(chance_above(value(10.1, 0.0), 10.0), Some(1.0));
        assert_eq!(chance_above(value(10.0, 0.0), 10.0), Some(0.0));
    }

    #[test]
    fn an_error_spreads_the_chance_about_the_limit() {
        let of = |v, sd| chance_above(value(v, sd), 50.0).unwrap();
        assert!(of(45.0, 0.1) > 0.05 && of(45.0, 0.1) < 0.25);
        assert!(of(45.0, 0.3) > of(45.0, 0.1) && of(60.0, 0.3) < of(60.0, 0.1));
        // One standard deviation above.
        let spread = 0.01_f64.ln_1p().sqrt();
        assert!((of(50.0 * spread.exp(), 0.1) - 0.841_344_75).abs() < 1e-6);
    }

    #[test]
    fn below_what_is_found_is_below_a_limit_that_is_higher() {
        assert_eq!(chance_above(QualityReading::Below(5.0), 10.0), Some(0.0));
        assert_eq!(chance_above(QualityReading::Below(10.0), 10.0), Some(0.0));
        assert_eq!(chance_above(QualityReading::Below(40.0), 10.0), Some(0.75));
    }

    #[test]
    fn above_what_can_be_told_is_above_a_limit_that_is_lower() {
        assert_eq!(chance_above(QualityReading::Above(200.0), 10.0), Some(1.0));
        assert_eq!(chance_above(QualityReading::Above(2.0), 10.0), Some(0.2));
        assert_eq!(chance_above(QualityReading::Above(0.0), 0.0), Some(1.0));
    }

    #[test]
    fn a_limit_of_none_is_on_counts() {
        assert_eq!(chance_above(QualityReading::Below(1.0), 0.0), Some(0.0));
        assert_eq!(chance_above(QualityReading::Below(10.0), 0.0), Some(0.9));
        assert_eq!(chance_above(value(0.0, 0.3), 0.0), Some(0.0));
        assert_eq!(chance_above(value(3.0, 0.3), 0.0), Some(1.0));
    }

    #[test]
    fn what_is_no_reading_has_no_chance() {
        for bad in [f64::NAN, f64::INFINITY, -1.0] {
            assert_eq!(chance_above(QualityReading::Below(bad), 10.0), None);
            assert_eq!(chance_above(QualityReading::Above(bad), 10.0), None);
            assert_eq!(chance_above(value(bad, 0.1), 10.0), None);
            assert_eq!(chance_above(value(1.0, bad), 10.0), None);
            assert_eq!(chance_above(value(1.0, 0.1), bad), None);
        }
    }
}
