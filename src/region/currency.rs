//! One region, one currency: a layer that changes it either says what the
//! old one is worth or sets every price anew.

use crate::diag::{Level, Problems};
use crate::units::Unit;

use super::Figure;
use super::draft::Draft;
use super::entry::FigureEntry;
use super::lay::show;
use super::layer_file::LayerFile;

/// Takes over the currency of `file` and turns the prices beneath into it.
/// Whether they still wait for prices in the new currency.
pub(super) fn change(draft: &mut Draft, file: &LayerFile, problems: &mut Problems) -> bool {
    let old = draft.currency.clone();
    if let Some(new) = &file.currency {
        draft.currency = Some(new.value.clone());
    }
    let changed = old.zip(file.currency.as_ref()).filter(|(old, new)| *old != new.value);
    match (&file.exchange, changed) {
        (None, changed) => changed.is_some(),
        (Some(exchange), None) => {
            exchange.named.report(
                problems,
                Level::Error,
                "exchange-without-currency",
                "exchange is given, but the currency stays the same",
                "Add currency = \"KES\", or whichever it is, or leave exchange out.",
            );
            false
        }
        (Some(exchange), Some((old, new))) => {
            turn(draft, &old, &new.value, exchange, problems);
            false
        }
    }
}

fn turn(draft: &mut Draft, old: &str, new: &str, exchange: &FigureEntry, problems: &mut Problems) {
    let rate = exchange.value.value;
    for price in prices(draft) {
        let from = &exchange.value.spot.at;
        let beneath = price.set_by.from.clone();
        price.notes.push(format!(
            "Turned from {} {old} (set by {beneath}) at {rate} {new} for 1 {old} ({from}).",
            show(price)
        ));
        price.value *= rate;
    }
    if rate <= 0.0 || prices(draft).any(|p| !p.value.is_finite()) {
        exchange.value.spot.report(
            problems,
            Level::Error,
            "no-rate-of-exchange",
            format!("{rate} is no rate of exchange"),
            "Say how many of the new currency one of the old is worth.",
        );
    }
}

/// Reports prices that `file`, which changed the currency without a rate of
/// exchange, left in the old one.
pub(super) fn left_in_the_old(draft: &mut Draft, file: &LayerFile, problems: &mut Problems) {
    let Some(currency) = &file.currency else { return };
    let others: Vec<_> =
        prices(draft).filter(|p| p.set_by.layer != file.layer).map(|p| p.name.clone()).collect();
    if let Some(first) = others.first() {
        let message = format!("{} prices are not in {}, among them {first}", others.len(), currency.value);
        let help = "Add [exchange] with value (how many of the new currency one of the old is worth), source and basis, or set every price here.";
        currency.spot.report(problems, Level::Error, "prices-in-two-currencies", message, help);
    }
}

/// Every figure of the draft that is an amount of money.
fn prices(draft: &mut Draft) -> impl Iterator<Item = &mut Figure> {
    let methods = draft.methods.values_mut().flat_map(|m| m.figures.values_mut());
    let lifts = draft.lifts.values_mut().flat_map(|(_, figures)| figures.values_mut());
    let casings = draft.casings.values_mut().flat_map(|figures| figures.values_mut());
    let asks = draft.asks.values_mut().flat_map(|a| a.figures.values_mut());
    let named = draft.limits.values_mut().chain(draft.priors.values_mut());
    named.chain(methods).chain(lifts).chain(casings).chain(asks).filter(|f| f.unit == Unit::Money)
}
