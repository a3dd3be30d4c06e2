//! Bills reckoned by hand, in invented and built-in prices.

#![allow(clippy::unwrap_used, clippy::indexing_slicing)]

use std::str::FromStr;

use proptest::prelude::*;

use super::*;
use crate::diag::{Problems, Sources};
use crate::ground::MaterialClass;
use crate::region::{self, Region, UNSTATED};
use crate::well::design::{
    CasingSize, DesignFigures, DesignInputs, DesignLayer, DesignLift, DesignMethod, design_well,
};

const LIFT: &str = "direct-action hand pump";

fn region() -> Region {
    region::load(UNSTATED, None, &mut Sources::new(), &mut Problems::new()).unwrap()
}

fn part(low: f64, value: f64, high: f64) -> Part {
    Part { low, value, high }
}

/// Sand from 5 to 25 m, water at about 6 m: hole of 13.5, 15.5 and 17.5 m,
/// screen of 5 m, pipe of 63 mm.
fn sheet_at(dry_level_m: Part) -> WellDesignSheet {
    let region = region();
    let figures = DesignFigures::of(&region).unwrap();
    let method = Method::ManualRotaryJetting;
    let layer =
        |top_m, bottom_m, class| DesignLayer { top_m, bottom_m, classes: vec![(class, 1.0)], refuses: false };
    let inputs = DesignInputs {
        layers: vec![layer(0.0, 5.0, MaterialClass::SoftClay), layer(5.0, 25.0, MaterialClass::SandWet)],
        aquifer: 1,
        dry_level_m,
        wet_level_m: part(2.0, 3.0, 4.0),
        drawdown_m: part(1.0, 2.0, 3.0),
        rate_lps: part(0.2, 0.25, 0.3),
        hours_per_day: 8.0,
        method: DesignMethod::of(method, &region.methods[&method], &figures.fluid),
        lift: DesignLift::of(&region.lifts[LIFT]),
        casings: region.casings.values().map(CasingSize::of).collect(),
        sieve: None,
    };
    design_well(&inputs, &figures).unwrap()
}

fn sheet() -> WellDesignSheet {
    sheet_at(part(5.0, 6.0, 7.0))
}

fn table() -> PriceTable {
    PriceTable::of(&region(), Method::ManualRotaryJetting, "uPVC 63 mm", LIFT).unwrap()
}

fn usd(text: &str) -> Amount {
    Amount::new(Decimal::from_str(text).unwrap(), Currency::of("USD").unwrap())
}

fn price(each: &str, spread: &str, sold_by: Option<&str>) -> Price {
    Price {
        each: usd(each),
        spread_share: Decimal::from_str(spread).unwrap(),
        sold_by: sold_by.map(|s| Decimal::from_str(s).unwrap()),
        source: "Invented shop".to_owned(),
        basis: Basis::CommonPractice,
    }
}

fn line_of(bill: &Bill, item: Item) -> &BillLine {
    bill.lines.iter().find(|l| l.item == item).unwrap()
}

/// Hole of 13.5, 15.5 and 17.5 m at 10.10 a metre, give or take a tenth:
/// 13.5·9.09 = 122.715, 156.55, 17.5·11.11 = 194.425.
#[test]
fn a_line_is_quantity_by_price_with_both_spreads() {
    let bill = bill(&sheet(), &table().with(Item::Drilling, price("10.10", "0.1", None)).unwrap()).unwrap();
    let drilling = line_of(&bill, Item::Drilling);
    assert_eq!((drilling.amount.low, drilling.amount.likely), (usd("122.72"), usd("156.55")));
    assert_eq!(drilling.amount.high, usd("194.43"));
    assert_eq!(drilling.unit, "m");
}

/// Blind pipe 8, 10 and 12 m with 1 m of sump, in lengths of 3 m: 9, 12 and
/// 15 m; screen 5 m: 6 m.
#[test]
fn pipe_and_bags_are_bought_whole() {
    let bill = bill(&sheet(), &table()).unwrap();
    let quantity = |item| line_of(&bill, item).quantity;
    let of = |low: i64, likely: i64, high: i64| Bought {
        low: low.into(),
        likely: likely.into(),
        high: high.into(),
    };
    assert_eq!(quantity(Item::Casing), of(9, 12, 15));
    assert_eq!(quantity(Item::Screen), of(6, 6, 6));
    // Grout 58.8, 64.1 and 74.8 kg and the slab's 302 kg, in bags of 50 kg.
    assert_eq!(quantity(Item::Cement), of(400, 400, 400));
    // 11.5 kg of clay, in bags of 25 kg.
    assert_eq!(quantity(Item::SealClay), of(25, 25, 25));
}

#[test]
fn the_lines_make_the_total_to_the_coin() {
    let bill = bill(&sheet(), &table()).unwrap();
    let sum = |of: fn(&AmountRange) -> Amount| {
        bill.lines.iter().try_fold(usd("0"), |sum, l| sum.plus(&of(&l.amount))).unwrap()
    };
    assert_eq!(bill.subtotal.low, sum(|a| a.low));
    assert_eq!(bill.subtotal.likely, sum(|a| a.likely));
    assert_eq!(bill.subtotal.high, sum(|a| a.high));
    // A tenth kept back.
    let tenth = bill.subtotal.likely.times(Decimal::new(1, 1)).unwrap().rounded();
    assert_eq!(bill.contingency.likely, tenth);
    assert_eq!(bill.total.likely, bill.subtotal.likely.plus(&tenth).unwrap());
    assert_eq!(bill.lines.len(), Item::ALL.len() - 1);
}

/// All prices 1 and no spread, nothing in whole pieces: the sum of the
/// quantities.
#[test]
fn at_prices_of_one_the_bill_is_the_sum_of_its_quantities() {
    let ones = Item::ALL.iter().fold(table(), |t, item| t.with(*item, price("1", "0", None)).unwrap());
    let bill = bill(&sheet(), &ones).unwrap();
    let sum: Decimal = bill.lines.iter().map(|l| l.quantity.likely).sum();
    assert_eq!(bill.subtotal.likely.decimal(), sum);
    // Six things once, hole 15.5, water 1821.73, blind pipe 11, screen 5,
    // pack 130.99, clay 11.53, cement 366.07, sand 419.41, stone 838.82, bars
    // 27.88, development 4, chlorine 0.01, bentonite 1821.73/40 = 45.55.
    let hand = 6.0
        + 15.5
        + 1821.73
        + 11.0
        + 5.0
        + 130.99
        + 11.53
        + 366.07
        + 419.41
        + 838.82
        + 27.88
        + 4.0
        + 0.01
        + 45.55;
    assert!((f64::from_str(&sum.to_string()).unwrap() - hand).abs() < 0.1, "{sum} is not {hand}");
}

#[test]
fn a_dry_hole_costs_its_metres_and_its_sealing_but_no_pipe() {
    let bill = bill(&sheet(), &table()).unwrap();
    let items: Vec<_> = bill.dry_hole.lines.iter().map(|l| l.item).collect();
    assert!(items.contains(&Item::FillingAndSealing) && items.contains(&Item::Drilling));
    assert!(!items.contains(&Item::Casing) && !items.contains(&Item::Lift));
    assert!(bill.dry_hole.total.likely.compare(&bill.total.likely).unwrap().is_lt());
}

#[test]
fn a_price_of_another_currency_is_refused() {
    let kes = Amount::new(Decimal::TEN, Currency::of("KES").unwrap());
    let fault = table().with(Item::Lift, Price { each: kes, ..price("1", "0", None) }).unwrap_err();
    assert!(matches!(fault, PriceFault::Amount(AmountFault::TwoCurrencies(..))));
    assert!(fault.to_string().contains("USD and KES"));
}

#[test]
fn a_price_below_nothing_is_refused() {
    assert_eq!(
        table().with(Item::Lift, price("-1", "0", None)).unwrap_err(),
        PriceFault::Negative("pump or lift")
    );
}

#[test]
fn a_region_without_prices_names_them_all() {
    let mut region = region();
    region.priors.remove("pack_price_per_litre");
    region.priors.remove("steel_price_per_kg");
    let fault = PriceTable::of(&region, Method::HandAuger, "no such pipe", LIFT).unwrap_err();
    let PriceFault::Missing(missing) = fault else { panic!("{fault}") };
    assert_eq!(missing, ["what the pipe no such pipe costs", "pack_price_per_litre", "steel_price_per_kg"]);
}

#[test]
fn prices_that_were_asked_for_are_less_off() {
    let mut asked = region();
    asked.priors.get_mut("pack_price_per_litre").unwrap().set_by.layer = crate::region::Layer::Local;
    let table = PriceTable::of(&asked, Method::ManualRotaryJetting, "uPVC 63 mm", LIFT).unwrap();
    assert_eq!(table.price(Item::Pack).unwrap().spread_share, Decimal::new(1, 1));
    assert_eq!(table.price(Item::Sand).unwrap().spread_share, Decimal::new(5, 1));
}

#[test]
fn every_item_has_its_price_in_every_region_and_method() {
    for (id, _) in region::settings() {
        let region = region::load(&id, None, &mut Sources::new(), &mut Problems::new()).unwrap();
        for method in Method::ALL {
            let table = PriceTable::of(&region, method, "uPVC 110 mm", LIFT).unwrap();
            assert!(Item::ALL.iter().all(|i| table.price(*i).is_some()), "{id} {method:?}");
        }
    }
}

#[test]
fn a_bill_in_json_writes_money_as_text_with_its_currency() {
    let json = serde_json::to_value(bill(&sheet(), &table()).unwrap()).unwrap();
    assert_eq!(json["currency"], "USD");
    assert_eq!(json["lines"][1]["item"], "drilling");
    assert_eq!(json["lines"][1]["quantity"]["likely"], "15.5");
    assert!(json["total"]["likely"]["amount"].is_string());
    assert_eq!(json["total"]["likely"]["currency"], "USD");
}

#[test]
fn amounts_beyond_counting_are_refused() {
    let table = table().with(Item::Stone, price("70000000000000000000000000000", "0", None)).unwrap();
    assert_eq!(bill(&sheet(), &table).unwrap_err(), PriceFault::Amount(AmountFault::NotCountable));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn every_range_is_in_order_and_none_below_nothing(
        levels in [3.0..9.0, 3.0..9.0, 3.0..9.0f64],
        cents in 0..1_000_000i64,
        spread in 0..200i64,
    ) {
        let mut levels = levels;
        levels.sort_by(f64::total_cmp);
        let sheet = sheet_at(part(levels[0], levels[1].max(3.0), levels[2].max(3.0)));
        let any = Price { spread_share: Decimal::new(spread, 2), ..price("0", "0", None) };
        let any = Price { each: Amount::new(Decimal::new(cents, 2), any.each.currency()), ..any };
        let bill = bill(&sheet, &table().with(Item::Drilling, any.clone()).unwrap().with(Item::Pack, any).unwrap()).unwrap();
        let ranges = bill.lines.iter().chain(&bill.dry_hole.lines).map(|l| l.amount);
        for a in ranges.chain([bill.subtotal, bill.contingency, bill.total, bill.dry_hole.total]) {
            prop_assert!(!a.low.decimal().is_sign_negative() || a.low.decimal().is_zero());
            prop_assert!(a.low.decimal() <= a.likely.decimal() && a.likely.decimal() <= a.high.decimal(), "{a:?}");
        }
    }
}
