//! Money: an exact decimal with its currency. Amounts of two currencies are
//! never added, compared or taken from one another.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Serialize, Serializer};

/// A currency by its three letters (ISO 4217).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

/// Currencies whose smallest coin is not a hundredth, by how many decimals
/// they are written with (ISO 4217, from memory).
const OTHER_DECIMALS: &[(&str, u32)] = &[
    ("BIF", 0),
    ("CLP", 0),
    ("DJF", 0),
    ("GNF", 0),
    ("ISK", 0),
    ("JPY", 0),
    ("KMF", 0),
    ("KRW", 0),
    ("PYG", 0),
    ("RWF", 0),
    ("UGX", 0),
    ("VND", 0),
    ("VUV", 0),
    ("XAF", 0),
    ("XOF", 0),
    ("XPF", 0),
    ("BHD", 3),
    ("IQD", 3),
    ("JOD", 3),
    ("KWD", 3),
    ("LYD", 3),
    ("OMR", 3),
    ("TND", 3),
];

impl Currency {
    /// The currency of those three capital letters.
    ///
    /// # Errors
    /// When they are not three capital letters.
    pub fn of(code: &str) -> Result<Self, AmountFault> {
        match *code.as_bytes() {
            [a, b, c] if [a, b, c].iter().all(u8::is_ascii_uppercase) => Ok(Self([a, b, c])),
            _ => Err(AmountFault::NoCurrency(code.chars().take(20).collect())),
        }
    }

    /// Its three letters.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }

    /// How many decimals it is written with.
    pub fn decimals(self) -> u32 {
        OTHER_DECIMALS.iter().find(|(code, _)| *code == self.code()).map_or(2, |(_, decimals)| *decimals)
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl Serialize for Currency {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.code())
    }
}

/// An amount of money.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
pub struct Amount {
    #[serde(rename = "amount", serialize_with = "as_text")]
    decimal: Decimal,
    currency: Currency,
}

/// Why there is no such amount.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AmountFault {
    /// Not three capital letters.
    #[error("\"{0}\" is no currency: write the three capital letters of ISO 4217, such as USD or KES")]
    NoCurrency(String),
    /// Two currencies in one sum.
    #[error("{0} and {1} cannot be put together: turn one into the other first")]
    TwoCurrencies(Currency, Currency),
    /// Not a number, or one that no money needs.
    #[error("an amount of money is not a number, or too great to be counted exactly")]
    NotCountable,
}

/// A number as an exact decimal: the shortest that is written the same,
/// to a millionth. 0.1 is a tenth here.
///
/// # Errors
/// When it is no finite number or too great.
pub fn decimal(number: f64) -> Result<Decimal, AmountFault> {
    const DECIMALS: u32 = 6;
    if !number.is_finite() {
        return Err(AmountFault::NotCountable);
    }
    // Beyond the wanted decimals nothing counts, and the text of a tiny
    // number has hundreds of them.
    let text = if number.abs() < 1e-7 { "0".to_owned() } else { number.to_string() };
    let exact = Decimal::from_str(&text).map_err(|_| AmountFault::NotCountable)?;
    Ok(exact.round_dp_with_strategy(DECIMALS, RoundingStrategy::MidpointAwayFromZero).normalize())
}

fn as_text<S: Serializer>(decimal: &Decimal, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(&decimal.to_string())
}

impl Amount {
    /// That many of a currency.
    pub fn new(decimal: Decimal, currency: Currency) -> Self {
        Self { decimal, currency }
    }

    /// A figure as it was written, in a currency.
    ///
    /// # Errors
    /// When the figure is no number or too great.
    pub fn of(figure: f64, currency: Currency) -> Result<Self, AmountFault> {
        Ok(Self::new(decimal(figure)?, currency))
    }

    /// No money of a currency.
    pub fn none(currency: Currency) -> Self {
        Self::new(Decimal::ZERO, currency)
    }

    /// How many of the currency, exactly.
    pub fn decimal(&self) -> Decimal {
        self.decimal
    }

    /// The currency.
    pub fn currency(&self) -> Currency {
        self.currency
    }

    fn together(&self, other: &Self) -> Result<(), AmountFault> {
        if self.currency == other.currency {
            return Ok(());
        }
        Err(AmountFault::TwoCurrencies(self.currency, other.currency))
    }

    /// Both together.
    ///
    /// # Errors
    /// When the currencies differ or the sum is too great.
    pub fn plus(&self, other: &Self) -> Result<Self, AmountFault> {
        self.together(other)?;
        let sum = self.decimal.checked_add(other.decimal).ok_or(AmountFault::NotCountable)?;
        Ok(Self::new(sum, self.currency))
    }

    /// So many times the amount.
    ///
    /// # Errors
    /// When the result is too great.
    pub fn times(&self, factor: Decimal) -> Result<Self, AmountFault> {
        let product = self.decimal.checked_mul(factor).ok_or(AmountFault::NotCountable)?;
        Ok(Self::new(product, self.currency))
    }

    /// Which is the greater.
    ///
    /// # Errors
    /// When the currencies differ.
    pub fn compare(&self, other: &Self) -> Result<Ordering, AmountFault> {
        self.together(other)?;
        Ok(self.decimal.cmp(&other.decimal))
    }

    /// To the smallest coin, halves away from nothing.
    #[must_use]
    pub fn rounded(&self) -> Self {
        let decimals = self.currency.decimals();
        let rounded = self.decimal.round_dp_with_strategy(decimals, RoundingStrategy::MidpointAwayFromZero);
        Self::new(rounded, self.currency)
    }
}

/// "1250.50 USD", to the smallest coin.
impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = self.currency.decimals() as usize;
        write!(f, "{:.decimals$} {}", self.rounded().decimal, self.currency)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn usd(figure: f64) -> Amount {
        Amount::of(figure, Currency::of("USD").unwrap()).unwrap()
    }

    #[test]
    fn a_tenth_ten_times_is_one() {
        let mut sum = usd(0.0);
        for _ in 0..10 {
            sum = sum.plus(&usd(0.1)).unwrap();
        }
        assert_eq!(sum, usd(1.0));
        assert_eq!(usd(0.1).plus(&usd(0.2)).unwrap(), usd(0.3));
    }

    #[test]
    fn two_currencies_are_never_put_together() {
        let kes = Amount::of(1.0, Currency::of("KES").unwrap()).unwrap();
        let fault = usd(1.0).plus(&kes).unwrap_err();
        assert_eq!(fault.to_string(), "USD and KES cannot be put together: turn one into the other first");
        assert!(usd(1.0).compare(&kes).is_err());
    }

    #[test]
    fn an_amount_is_written_to_its_smallest_coin() {
        assert_eq!(usd(1250.5).to_string(), "1250.50 USD");
        assert_eq!(usd(2.005).to_string(), "2.01 USD");
        let at = |code: &str| Amount::of(1234.5675, Currency::of(code).unwrap()).unwrap().to_string();
        assert_eq!(at("XOF"), "1235 XOF");
        assert_eq!(at("TND"), "1234.568 TND");
    }

    #[test]
    fn what_is_no_currency_is_refused() {
        for code in ["", "usd", "US", "USDX", "$", "Ksh", "ÄB"] {
            assert!(Currency::of(code).is_err(), "{code}");
        }
    }

    #[test]
    fn an_amount_in_json_is_text_with_its_currency() {
        let json = serde_json::to_string(&usd(12.5)).unwrap();
        assert_eq!(json, r#"{"amount":"12.5","currency":"USD"}"#);
    }

    #[test]
    fn numbers_that_no_money_needs_are_refused() {
        for bad in [f64::NAN, f64::INFINITY, 1e30, f64::MAX] {
            assert_eq!(decimal(bad), Err(AmountFault::NotCountable), "{bad}");
        }
        assert_eq!(decimal(f64::MIN_POSITIVE), Ok(Decimal::ZERO));
        assert!(Amount::new(Decimal::MAX, Currency::of("USD").unwrap()).plus(&usd(1.0)).is_err());
        assert!(Amount::new(Decimal::MAX, Currency::of("USD").unwrap()).times(Decimal::TEN).is_err());
    }

    proptest! {
        #[test]
        fn a_figure_of_cents_is_kept_exactly(cents in -100_000_000i64..100_000_000) {
            #[allow(clippy::cast_precision_loss, reason = "below 2^53")]
            let figure = cents as f64 / 100.0;
            prop_assert_eq!(decimal(figure).unwrap(), Decimal::new(cents, 2).normalize());
        }

        #[test]
        fn any_number_is_a_decimal_or_refused(number in any::<f64>()) {
            let _ = decimal(number);
        }
    }
}
