//! The result of a back-test of forecasts or of rules: JSON, and text,
//! Markdown and HTML for a trainer, all three from one page.

mod as_html;
mod as_markdown;
mod as_text;
mod forecast;
pub(super) mod page;
mod parts;
mod rules;

use crate::tune::backtest::BackTest;
use crate::tune::backtest::judged::RulesTest;

use super::rounded;
use page::Page;

/// What was tried.
#[derive(Debug, Clone, PartialEq)]
pub enum Tested {
    /// A forecast.
    Forecast(Box<BackTest>),
    /// The rules.
    Rules(Box<RulesTest>),
}

impl Tested {
    fn page(&self) -> Page {
        match self {
            Tested::Forecast(result) => forecast::page(result),
            Tested::Rules(result) => rules::page(result),
        }
    }
}

/// The result as indented JSON, ending in a line break. Numbers carry no more
/// than six decimals.
///
/// # Errors
/// When it cannot be written, which does not happen to a result.
pub fn json(result: &Tested) -> Result<String, serde_json::Error> {
    match result {
        Tested::Forecast(result) => rounded::json(result),
        Tested::Rules(result) => rounded::json(result),
    }
}

/// The result as text, readable at 80 columns.
pub fn text(result: &Tested) -> String {
    as_text::written(&result.page())
}

/// The result as Markdown.
pub fn markdown(result: &Tested) -> String {
    as_markdown::written(&result.page())
}

/// The result as one HTML file that needs nothing else.
pub fn html(result: &Tested) -> String {
    as_html::written(&result.page())
}
