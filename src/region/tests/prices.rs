//! One currency for all prices of a region.

use crate::survey::Method;

use super::{figure, load};

const RATE: &str = "[exchange]\nvalue = 130\nsource = \"Invented bank\"\nbasis = \"published\"\n";

#[test]
fn a_rate_of_exchange_turns_every_price_beneath_and_says_so() {
    let before = load("", None);
    let after = load("", Some(&format!("currency = \"KES\"\n{RATE}")));
    let region = after.region();
    assert_eq!(region.currency, "KES");
    let per_metre = |l: &super::Loaded| l.region().methods[&Method::HandAuger].per_metre.value;
    assert_eq!(per_metre(&after), per_metre(&before) * 130.0);
    assert_eq!(after.prior("casing_per_metre").value, before.prior("casing_per_metre").value * 130.0);
    assert!(after.prior("casing_per_metre").notes[0].contains("at 130 KES for 1 USD"));
    assert_eq!(region.asks["tape"].price.value, before.region().asks["tape"].price.value * 130.0);
    assert!(after.problems.is_empty(), "{:#?}", after.problems);
}

#[test]
fn a_price_of_the_layer_itself_is_in_its_own_currency() {
    let local = format!("currency = \"KES\"\n{RATE}{}", figure("priors", "casing_per_metre", "900", ""));
    assert_eq!(load("", Some(&local)).prior("casing_per_metre").value, 900.0);
}

#[test]
fn what_is_no_price_is_not_turned() {
    let after = load("", Some(&format!("currency = \"KES\"\n{RATE}")));
    assert_eq!(after.prior("price_spread_share").value, load("", None).prior("price_spread_share").value);
}

#[test]
fn another_currency_without_a_rate_is_refused() {
    let loaded = load("", Some("currency = \"KES\"\n"));
    assert!(loaded.region.is_none());
    let problem = loaded.sole("prices-in-two-currencies");
    assert_eq!((problem.at.line, problem.at.column), (1, 12));
}

#[test]
fn the_same_currency_stated_again_changes_nothing() {
    assert!(load("", Some("currency = \"USD\"\n")).problems.is_empty());
}

#[test]
fn a_rate_without_another_currency_is_refused() {
    assert_eq!(load("", Some(RATE)).sole("exchange-without-currency").at.line, 1);
}

#[test]
fn a_rate_of_nothing_or_beyond_counting_is_refused() {
    for rate in ["0", "1e308"] {
        let local = format!("currency = \"KES\"\n{}", RATE.replace("130", rate));
        let loaded = load("", Some(&local));
        loaded.sole("no-rate-of-exchange");
        assert!(loaded.region.is_none());
    }
}
