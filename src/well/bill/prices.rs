//! What things cost: the region's prices or a user's own, each with how far
//! it may be off and where it is from.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use serde::Serialize;

use crate::region::{Basis, Figure, Layer, Region};
use crate::survey::Method;
use crate::units::{Amount, AmountFault, Currency, decimal};

/// What is bought or done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Item {
    /// Bringing crew and gear.
    Mobilisation,
    /// Making the hole.
    Drilling,
    /// Clean drilling water.
    DrillingWater,
    /// Clay for the drilling fluid.
    FluidClay,
    /// Plain pipe.
    Casing,
    /// Slotted pipe.
    Screen,
    /// Plug, cap, centralisers.
    Caps,
    /// Pack.
    Pack,
    /// Clay on the pack.
    SealClay,
    /// Cement of grout and slab.
    Cement,
    /// Sand of the slab.
    Sand,
    /// Stone of the slab.
    Stone,
    /// Bars of the slab.
    Steel,
    /// Surging and bailing.
    Development,
    /// The pumping test.
    YieldTest,
    /// Chlorine.
    Chlorine,
    /// The laboratory.
    WaterAnalysis,
    /// The pump or other lift.
    Lift,
    /// Somebody who stands by.
    Supervision,
    /// Filling and sealing a hole that failed.
    FillingAndSealing,
}

impl Item {
    /// Every item in the order of the work.
    pub const ALL: [Item; 20] = [
        Item::Mobilisation,
        Item::Drilling,
        Item::DrillingWater,
        Item::FluidClay,
        Item::Casing,
        Item::Screen,
        Item::Caps,
        Item::Pack,
        Item::SealClay,
        Item::Cement,
        Item::Sand,
        Item::Stone,
        Item::Steel,
        Item::Development,
        Item::YieldTest,
        Item::Chlorine,
        Item::WaterAnalysis,
        Item::Lift,
        Item::Supervision,
        Item::FillingAndSealing,
    ];

    /// What it is, and what it is counted in.
    fn row(self) -> (&'static str, &'static str) {
        match self {
            Item::Mobilisation => ("bringing crew and gear", "once"),
            Item::Drilling => ("drilling", "m"),
            Item::DrillingWater => ("drilling water", "L"),
            Item::FluidClay => ("bentonite for the drilling fluid", "kg"),
            Item::Casing => ("plain pipe", "m"),
            Item::Screen => ("slotted pipe", "m"),
            Item::Caps => ("plug, cap, centralisers, solvent cement", "once"),
            Item::Pack => ("pack", "L"),
            Item::SealClay => ("swelling clay on the pack", "kg"),
            Item::Cement => ("cement for grout and slab", "kg"),
            Item::Sand => ("sand for the slab", "L"),
            Item::Stone => ("stone for the slab", "L"),
            Item::Steel => ("bars for the slab", "kg"),
            Item::Development => ("development", "h"),
            Item::YieldTest => ("pumping test", "once"),
            Item::Chlorine => ("high-test hypochlorite", "kg"),
            Item::WaterAnalysis => ("water analysis", "once"),
            Item::Lift => ("pump or lift", "once"),
            Item::Supervision => ("supervision", "once"),
            Item::FillingAndSealing => ("filling and sealing the hole", "once"),
        }
    }

    /// What it is, in words.
    pub fn name(self) -> &'static str {
        self.row().0
    }

    /// What it is counted in.
    pub fn unit(self) -> &'static str {
        self.row().1
    }
}

/// What one of an item costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// The price of one.
    pub each: Amount,
    /// How far it may be off, as a share of it.
    pub spread_share: Decimal,
    /// The whole pieces it is sold in; `None`: by any measure.
    pub sold_by: Option<Decimal>,
    /// Where the price is from.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
}

/// Prices of everything that a well by one method takes.
#[derive(Debug, Clone, PartialEq)]
pub struct PriceTable {
    currency: Currency,
    prices: BTreeMap<Item, Price>,
    contingency_share: Decimal,
}

/// Why there is no table of prices.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PriceFault {
    /// The region lacks them.
    #[error("no layer of the region says {}", .0.join(", "))]
    Missing(Vec<String>),
    /// One of them is no amount, or of another currency.
    #[error(transparent)]
    Amount(#[from] AmountFault),
    /// Less than nothing.
    #[error("the price of {0} is below nothing")]
    Negative(&'static str),
}

/// Takes figures of a region and remembers those that are missing.
struct Take<'a> {
    region: &'a Region,
    missing: Vec<String>,
}

impl<'a> Take<'a> {
    fn prior(&mut self, name: &str) -> Option<&'a Figure> {
        let figure = self.region.priors.get(name);
        self.or_missing(figure, name)
    }

    fn or_missing<T>(&mut self, found: Option<T>, what: &str) -> Option<T> {
        if found.is_none() {
            self.missing.push(what.to_owned());
        }
        found
    }
}

impl PriceTable {
    /// The region's prices for a method, a pipe and a lift by their names.
    ///
    /// # Errors
    /// All that the region does not say, or a price that is no amount.
    pub fn of(region: &Region, method: Method, casing: &str, lift: &str) -> Result<Self, PriceFault> {
        let mut take = Take { region, missing: Vec::new() };
        let way = region.methods.get(&method);
        let way = take.or_missing(way, &format!("what {} costs", method.name()));
        let pipe = take.or_missing(region.casings.get(casing), &format!("what the pipe {casing} costs"));
        let pump = take.or_missing(region.lifts.get(lift), &format!("what the {lift} costs"));
        let laboratory = take.or_missing(region.asks.get("laboratory"), "what the laboratory asks");
        let spread = take.prior("price_spread_share");
        let asked = take.prior("asked_price_spread_share");
        let contingency = take.prior("contingency_share");
        let (cement, clay, length) =
            (take.prior("cement_bag_kg"), take.prior("clay_bag_kg"), take.prior("pipe_length_m"));
        let found: Vec<(Item, Option<&Figure>, Option<&Figure>)> = vec![
            (Item::Mobilisation, way.map(|w| &w.mobilisation), None),
            (Item::Drilling, way.map(|w| &w.per_metre), None),
            (Item::DrillingWater, take.prior("drilling_water_price_per_litre"), None),
            (Item::FluidClay, take.prior("clay_price_per_kg"), clay),
            (Item::Casing, pipe.map(|p| &p.per_metre), length),
            (Item::Screen, pipe.map(|p| &p.slotted_per_metre), length),
            (Item::Caps, take.prior("caps_price"), None),
            (Item::Pack, take.prior("pack_price_per_litre"), None),
            (Item::SealClay, take.prior("clay_price_per_kg"), clay),
            (Item::Cement, take.prior("cement_price_per_kg"), cement),
            (Item::Sand, take.prior("sand_price_per_litre"), None),
            (Item::Stone, take.prior("stone_price_per_litre"), None),
            (Item::Steel, take.prior("steel_price_per_kg"), None),
            (Item::Development, take.prior("development_price_per_hour"), None),
            (Item::YieldTest, take.prior("yield_test_price"), None),
            (Item::Chlorine, take.prior("hypochlorite_price_per_kg"), None),
            (Item::WaterAnalysis, laboratory.map(|a| &a.price), None),
            (Item::Lift, pump.map(|p| &p.price), None),
            (Item::Supervision, take.prior("supervision_price"), None),
            (Item::FillingAndSealing, take.prior("abandonment_price"), None),
        ];
        let (true, Some(spread), Some(asked), Some(contingency)) =
            (take.missing.is_empty(), spread, asked, contingency)
        else {
            take.missing.dedup();
            return Err(PriceFault::Missing(take.missing));
        };
        let currency = Currency::of(&region.currency)?;
        let mut table =
            Self { currency, prices: BTreeMap::new(), contingency_share: decimal(contingency.value)? };
        for (item, figure, sold_by) in found {
            let Some(figure) = figure else { continue };
            // Prices of the local file were asked for; others are of the trade.
            let off = if figure.set_by.layer == Layer::Local { asked } else { spread };
            let sold_by = match sold_by {
                Some(piece) => Some(decimal(piece.value)?),
                None => None,
            };
            let price = Price {
                each: Amount::of(figure.value, currency)?,
                spread_share: decimal(off.value)?,
                sold_by,
                source: figure.source.clone(),
                basis: figure.basis,
            };
            table = table.with(item, price)?;
        }
        Ok(table)
    }

    /// The same with another price of one item.
    ///
    /// # Errors
    /// When its currency is another or it is below nothing.
    pub fn with(mut self, item: Item, price: Price) -> Result<Self, PriceFault> {
        // Adding is what tells currencies apart.
        Amount::none(self.currency).plus(&price.each)?;
        let below = price.each.decimal().is_sign_negative() && !price.each.decimal().is_zero();
        if below || price.spread_share < Decimal::ZERO {
            return Err(PriceFault::Negative(item.name()));
        }
        self.prices.insert(item, price);
        Ok(self)
    }

    /// The price of an item.
    pub fn price(&self, item: Item) -> Option<&Price> {
        self.prices.get(&item)
    }

    /// The currency of all of them.
    pub fn currency(&self) -> Currency {
        self.currency
    }

    /// What is kept back for the unforeseen, as a share.
    pub fn contingency_share(&self) -> Decimal {
        self.contingency_share
    }
}
