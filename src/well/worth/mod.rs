//! Is it worth it, when to give up, and what to find out first: what money
//! says about the virtual bores. All money in one currency, which the caller
//! keeps; depths in metres below ground.
//!
//! Nothing here clears a site. A forecast may bring up a condition or a
//! warning; whether a peg is safe is judged from what was seen there.

mod alternative;
mod figures;
mod find_out;
mod give_up;
mod give_up_dry;
mod holes;
mod money;
mod observation;
mod programme;
mod readings;
mod scenarios;
mod setback;
mod tries;
mod who_pays;

#[cfg(test)]
mod toys;

pub use alternative::{Alternative, AlternativeKind, BreakEven, cheapest};
pub use figures::{FindingPrices, WorthFigures};
pub use find_out::{AfterSeen, FindingOut, NextThings, Priced, next_to_find_out};
pub use give_up::{GiveUp, GiveUpInputs, StepAhead, WhyGiveUp, give_up};
pub use give_up_dry::{GiveUpDry, give_up_dry};
pub use holes::{CostSpread, HoleMoney, HolePrices};
pub use money::{ExpectedCost, MoneyInputs, WellMoney, chance_of, money};
pub use observation::{Observation, Seen, Sign};
pub use programme::{BUDGET_SURENESS, ProgrammeBudget};
pub use scenarios::{Act, Plan, Scenarios};
pub use tries::{Tries, tries};
pub use who_pays::{DryHoleSplit, DryHoleTerms};
