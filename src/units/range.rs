//! Figures that a formula can stand, and the refusal of those it cannot.
//!
//! Every calculation lets its figures in through [`positive`] and its kin, so
//! that nothing past them has to look again, and lets its result out through
//! [`finite`], so that no NaN or infinity leaves it.

use std::fmt;

/// What a figure has to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wanted {
    /// A finite number.
    Finite,
    /// More than this.
    MoreThan(f64),
    /// This or more.
    AtLeast(f64),
    /// Less than this.
    LessThan(f64),
    /// From the first to the second, both allowed.
    From(f64, f64),
    /// Between the two, neither allowed.
    Between(f64, f64),
}

impl fmt::Display for Wanted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Wanted::Finite => write!(f, "a finite number"),
            Wanted::MoreThan(low) => write!(f, "more than {low}"),
            Wanted::AtLeast(low) => write!(f, "{low} or more"),
            Wanted::LessThan(high) => write!(f, "less than {high}"),
            Wanted::From(low, high) => write!(f, "from {low} to {high}"),
            Wanted::Between(low, high) => write!(f, "between {low} and {high}"),
        }
    }
}

/// A figure outside what a formula can stand.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{quantity} is {}, but has to be {wanted}", said(*value))]
pub struct OutOfRange {
    /// What the figure is, with its unit.
    pub quantity: &'static str,
    /// The figure; `None` where it is no finite number.
    pub value: Option<f64>,
    /// What it has to be.
    pub wanted: Wanted,
}

fn said(value: Option<f64>) -> String {
    value.map_or_else(|| "not a finite number".to_owned(), |x| x.to_string())
}

/// The figure, where it is what it has to be.
fn checked(quantity: &'static str, value: f64, wanted: Wanted) -> Result<f64, OutOfRange> {
    let fits = match wanted {
        Wanted::Finite => true,
        Wanted::MoreThan(low) => value > low,
        Wanted::AtLeast(low) => value >= low,
        Wanted::LessThan(high) => value < high,
        Wanted::From(low, high) => value >= low && value <= high,
        Wanted::Between(low, high) => value > low && value < high,
    };
    if fits && value.is_finite() {
        return Ok(value);
    }
    Err(OutOfRange { quantity, value: Some(value).filter(|x| x.is_finite()), wanted })
}

/// A finite number.
///
/// # Errors
/// When it is none.
pub fn finite(quantity: &'static str, value: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::Finite)
}

/// A number above zero.
///
/// # Errors
/// When it is not.
pub fn positive(quantity: &'static str, value: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::MoreThan(0.0))
}

/// Zero or more.
///
/// # Errors
/// When it is less, or no number.
pub fn not_negative(quantity: &'static str, value: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::AtLeast(0.0))
}

/// Above `low`.
///
/// # Errors
/// When it is not.
pub fn more_than(quantity: &'static str, value: f64, low: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::MoreThan(low))
}

/// Below `high`.
///
/// # Errors
/// When it is not.
pub fn less_than(quantity: &'static str, value: f64, high: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::LessThan(high))
}

/// `low` or more.
///
/// # Errors
/// When it is less.
pub fn at_least(quantity: &'static str, value: f64, low: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::AtLeast(low))
}

/// From `low` to `high`, both allowed.
///
/// # Errors
/// When it lies outside.
pub fn from_to(quantity: &'static str, value: f64, low: f64, high: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::From(low, high))
}

/// Between `low` and `high`, neither allowed.
///
/// # Errors
/// When it lies outside.
pub fn between(quantity: &'static str, value: f64, low: f64, high: f64) -> Result<f64, OutOfRange> {
    checked(quantity, value, Wanted::Between(low, high))
}

/// A share of a whole, from 0 to 1.
///
/// # Errors
/// When it lies outside.
pub fn share(quantity: &'static str, value: f64) -> Result<f64, OutOfRange> {
    from_to(quantity, value, 0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_are_none_are_refused_by_every_gate() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for gate in [finite, positive, not_negative, share] {
                assert_eq!(gate("it", bad).unwrap_err().value, None, "{bad}");
            }
        }
    }

    #[test]
    fn the_ends_of_a_range_are_in_or_out_as_its_name_says() {
        assert!(positive("it", 0.0).is_err() && not_negative("it", 0.0).is_ok());
        assert!(from_to("it", 1.0, 1.0, 2.0).is_ok() && between("it", 1.0, 1.0, 2.0).is_err());
        assert!(at_least("it", 1.0, 1.0).is_ok() && more_than("it", 1.0, 1.0).is_err());
        assert!(less_than("it", 1.0, 1.0).is_err());
    }

    #[test]
    fn a_refusal_says_what_was_wanted() {
        let refused = positive("the drawdown (m)", -2.5).unwrap_err();
        assert_eq!(refused.to_string(), "the drawdown (m) is -2.5, but has to be more than 0");
    }
}
