//! What does the well cost, line by line? The quantities of a designed well
//! by the prices of the region or of the user, per method.
//!
//! Money is an exact decimal with its currency ([`Amount`]); prices of two
//! currencies make no bill. What is sold in whole pieces (bags, lengths of
//! pipe) is rounded up to them at each end. The low end of a line is the low
//! quantity at the price less its spread, the high end the high quantity at
//! the price and its spread; the ends of the total are the sums of all ends,
//! as if every line were at the same end at once, which is never narrower
//! than the truth. A dry hole has a bill of its own.
//!
//! Source: common practice of bills of quantities; prices as stated in the
//! region, each with its source.

mod prices;
mod quantities;

#[cfg(test)]
mod tests;

pub use prices::{Item, Price, PriceFault, PriceTable};

use rust_decimal::{Decimal, RoundingStrategy};
use serde::Serialize;

use crate::region::Basis;
use crate::survey::Method;
use crate::units::{Amount, AmountFault, Currency, Part, decimal};

use super::design::WellDesignSheet;
use quantities::Quantity;

/// A quantity that is bought, low, likely and high.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Bought {
    /// The low end.
    #[serde(serialize_with = "as_text")]
    pub low: Decimal,
    /// The likeliest.
    #[serde(serialize_with = "as_text")]
    pub likely: Decimal,
    /// The high end.
    #[serde(serialize_with = "as_text")]
    pub high: Decimal,
}

/// Money, low, likely and high.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct AmountRange {
    /// The low end.
    pub low: Amount,
    /// The likeliest.
    pub likely: Amount,
    /// The high end.
    pub high: Amount,
}

/// A line of the bill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BillLine {
    /// What is bought or done.
    pub item: Item,
    /// The same in words.
    pub name: &'static str,
    /// How much, in whole pieces where it is sold so.
    pub quantity: Bought,
    /// What it is counted in; `once` for a lump.
    pub unit: &'static str,
    /// The price of one.
    pub each: Amount,
    /// What it costs, to the smallest coin.
    pub amount: AmountRange,
    /// What it is for.
    pub says: &'static str,
    /// Where the price is from.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
}

/// The bill of one well by one method.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bill {
    /// The method.
    pub method: Method,
    /// The currency of every amount.
    pub currency: Currency,
    /// The lines in the order of the work.
    pub lines: Vec<BillLine>,
    /// The lines together.
    pub subtotal: AmountRange,
    /// What is kept back for the unforeseen.
    pub contingency: AmountRange,
    /// Both together.
    pub total: AmountRange,
    /// What a dry hole costs instead, without what is kept back.
    pub dry_hole: DryHole,
}

/// The bill of a hole that turns out dry.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DryHole {
    /// Its lines.
    pub lines: Vec<BillLine>,
    /// The lines together.
    pub total: AmountRange,
}

fn as_text<S: serde::Serializer>(decimal: &Decimal, to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(&decimal.to_string())
}

/// The bill of a designed well.
///
/// # Errors
/// When the table lacks a price or an amount is too great to be counted.
pub fn bill(sheet: &WellDesignSheet, prices: &PriceTable) -> Result<Bill, PriceFault> {
    let lines = lines(&quantities::of_well(sheet), prices)?;
    let subtotal = total(&lines, prices.currency())?;
    let share = prices.contingency_share();
    let contingency = subtotal.each(|a| Ok(a.times(share)?.rounded()))?;
    let dry = self::lines(&quantities::of_dry_hole(sheet), prices)?;
    Ok(Bill {
        method: sheet.method,
        currency: prices.currency(),
        lines,
        subtotal,
        contingency,
        total: subtotal.plus(&contingency)?,
        dry_hole: DryHole { total: total(&dry, prices.currency())?, lines: dry },
    })
}

fn lines(quantities: &[Quantity], prices: &PriceTable) -> Result<Vec<BillLine>, PriceFault> {
    let missing: Vec<String> = quantities
        .iter()
        .filter(|q| prices.price(q.item).is_none())
        .map(|q| format!("what {} costs", q.item.name()))
        .collect();
    if !missing.is_empty() {
        return Err(PriceFault::Missing(missing));
    }
    let priced = quantities.iter().filter_map(|q| Some((q, prices.price(q.item)?)));
    priced.map(|(quantity, price)| Ok(line(quantity, price)?)).collect()
}

fn line(quantity: &Quantity, price: &Price) -> Result<BillLine, AmountFault> {
    let bought = Bought::of(quantity.part, price.sold_by)?;
    let off = |share: Decimal| price.each.times((Decimal::ONE + share).max(Decimal::ZERO));
    let (least, most) = (off(-price.spread_share)?, off(price.spread_share)?);
    let amount = AmountRange {
        low: least.times(bought.low)?.rounded(),
        likely: price.each.times(bought.likely)?.rounded(),
        high: most.times(bought.high)?.rounded(),
    };
    Ok(BillLine {
        item: quantity.item,
        name: quantity.item.name(),
        quantity: bought,
        unit: quantity.item.unit(),
        each: price.each,
        amount,
        says: quantity.says,
        source: price.source.clone(),
        basis: price.basis,
    })
}

fn total(lines: &[BillLine], currency: Currency) -> Result<AmountRange, AmountFault> {
    let none = Amount::none(currency);
    let nothing = AmountRange { low: none, likely: none, high: none };
    lines.iter().try_fold(nothing, |sum, line| sum.plus(&line.amount))
}

impl Bought {
    /// To a hundredth, or up to whole pieces.
    fn of(part: Part, sold_by: Option<Decimal>) -> Result<Self, AmountFault> {
        let bought = |quantity: f64| -> Result<Decimal, AmountFault> {
            let exact = decimal(quantity.max(0.0))?;
            let Some(piece) = sold_by.filter(|p| *p > Decimal::ZERO) else {
                return Ok(hundredths_up(exact));
            };
            let pieces = exact.checked_div(piece).ok_or(AmountFault::NotCountable)?.ceil();
            Ok(pieces.checked_mul(piece).ok_or(AmountFault::NotCountable)?.normalize())
        };
        Ok(Self { low: bought(part.low)?, likely: bought(part.value)?, high: bought(part.high)? })
    }
}

fn hundredths_up(exact: Decimal) -> Decimal {
    exact.round_dp_with_strategy(2, RoundingStrategy::ToPositiveInfinity).normalize()
}

impl AmountRange {
    fn each(&self, of: impl Fn(&Amount) -> Result<Amount, AmountFault>) -> Result<Self, AmountFault> {
        Ok(Self { low: of(&self.low)?, likely: of(&self.likely)?, high: of(&self.high)? })
    }

    /// Both together, end by end.
    ///
    /// # Errors
    /// When the currencies differ or a sum is too great.
    pub fn plus(&self, other: &Self) -> Result<Self, AmountFault> {
        Ok(Self {
            low: self.low.plus(&other.low)?,
            likely: self.likely.plus(&other.likely)?,
            high: self.high.plus(&other.high)?,
        })
    }
}
