//! What one working well costs when failures are counted, how good the chance
//! has to be, what to set aside and who carries a dry hole.
//!
//! E = C_s + (1 − p)/p·C_f (see [`cost_per_success`](crate::well::cost_per_success)),
//! with the chance p a beta quantity of the weight of the evidence, and every
//! price off by one common lognormal factor whose 95 % band reaches the stated
//! share above.

use super::alternative::{Alternative, BreakEven, cheapest};
use super::holes::HoleMoney;
use super::programme::{BUDGET_SURENESS, Part, Programme, ProgrammeBudget, mixture_quantile};
use super::tries::{Tries, tries};
use super::who_pays::{DryHoleSplit, DryHoleTerms};
use crate::ground::virtual_bore::VirtualBores;
use crate::units::OutOfRange;
use crate::units::range::{finite, not_negative};
use crate::well::beta::Beta;
use crate::well::cost_per_success::HoleCosts;

/// Half the width of a 95 % band in standard deviations.
const HALF_BAND_95: f64 = 1.959_963_984_540_054;
/// A chance below this is none: a million failures for each well.
const LEAST_CHANCE: f64 = 1e-6;
/// The ends and the middle of an 80 % band.
const SURENESS: [f64; 3] = [0.1, 0.5, 0.9];
/// In how many parts the chance is taken, evenly by its log odds, between the
/// ends that leave this share out on either side.
const PARTS: u32 = 64;
const LEFT_OUT: f64 = 1e-3;

/// What the money is reckoned from.
#[derive(Debug, Clone, Copy)]
pub struct MoneyInputs<'a> {
    /// The chance of success, with how well it is known.
    pub chance: Beta,
    /// What holes cost by their end.
    pub holes: HoleMoney,
    /// How far all prices may be off together, as a share.
    pub price_spread_share: f64,
    /// What else would bring the water.
    pub alternatives: &'a [Alternative],
    /// For how many working wells to budget.
    pub wells: &'a [u32],
    /// The client's share of a dry hole where it is shared.
    pub client_share: f64,
}

/// What one working well costs, failures counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExpectedCost {
    /// At the mean chance of success.
    pub at_mean_chance: f64,
    /// Averaged over what the chance may be; `None` where there is no bound
    /// to it, the evidence being worth so little that the chance may be next
    /// to none.
    pub mean: Option<f64>,
    /// One time in ten it is less; `None`, here and below, where a million
    /// failures would not be enough.
    pub low80: Option<f64>,
    /// As likely more as less.
    pub median: Option<f64>,
    /// One time in ten it is more.
    pub high80: Option<f64>,
}

/// The money of one method at the peg.
#[derive(Debug, Clone, PartialEq)]
pub struct WellMoney {
    /// The chance of success it rests on.
    pub chance: Beta,
    /// What a hole costs on average, by its end.
    pub costs: HoleCosts,
    /// One working well, failures counted.
    pub cost: ExpectedCost,
    /// The chance it takes to beat each alternative, in the order given.
    pub break_even: Vec<BreakEven>,
    /// The cheapest alternative: what a working well is worth.
    pub cheapest: Option<Alternative>,
    /// How many holes to try before turning to that.
    pub tries: Option<Tries>,
    /// For each number of wells the budgets by how sure they are.
    pub budgets: Vec<ProgrammeBudget>,
    /// Client pays, driller pays, shared; at the mean chance.
    pub dry_holes: [DryHoleSplit; 3],
}

/// The chance of success of a method's virtual bores as a beta quantity of
/// their mean, with the weight of the bores that the logs are worth and no
/// more than those drawn. A share of none or all is taken as half a bore.
///
/// # Errors
/// When there is no such method, no bore, or no log behind them.
pub fn chance_of(bores: &VirtualBores, method: usize) -> Result<Beta, OutOfRange> {
    let share = bores.methods.get(method).map_or(f64::NAN, |m| m.success.value);
    chance_of_share(share, bores.draws.grounds.len() as f64, bores.worth)
}

fn chance_of_share(share: f64, drawn: f64, worth: f64) -> Result<Beta, OutOfRange> {
    let half = 0.5 / (drawn + 1.0);
    let share = finite("the chance of success", share)?.clamp(half, 1.0 - half);
    Beta::of_mean(share, 1.0 / (1.0 / drawn + 1.0 / worth))
}

/// The money of one method.
///
/// # Errors
/// When a figure is out of range.
pub fn money(inputs: &MoneyInputs<'_>) -> Result<WellMoney, OutOfRange> {
    let chance = inputs.chance;
    let holes =
        HoleMoney { success: inputs.holes.success.checked()?, failure: inputs.holes.failure.checked()? };
    let costs = HoleCosts::new(holes.success.mean, holes.failure.mean)?;
    let spread = not_negative("the spread of prices", inputs.price_spread_share)?;
    let price_ln_sd = spread.ln_1p() / HALF_BAND_95;
    let break_even = inputs.alternatives.iter().map(|a| a.break_even(costs, &chance));
    let cheapest = cheapest(inputs.alternatives).copied();
    let mut budgets = Vec::new();
    for wells in inputs.wells {
        let programme = Programme::new(*wells, &chance, holes, price_ln_sd)?;
        for sureness in BUDGET_SURENESS {
            budgets.push(programme.budget(sureness)?);
        }
    }
    let failures = (1.0 - chance.mean()) / chance.mean();
    let split = |terms| DryHoleSplit::new(costs, failures, terms);
    Ok(WellMoney {
        chance,
        costs,
        cost: expected(costs, &chance, price_ln_sd)?,
        break_even: break_even.collect::<Result<_, _>>()?,
        cheapest,
        tries: cheapest.map(|a| tries(costs, &chance, a.cost)).transpose()?,
        budgets,
        dry_holes: [
            split(DryHoleTerms::ClientPays)?,
            split(DryHoleTerms::DrillerPays)?,
            split(DryHoleTerms::Shared(inputs.client_share))?,
        ],
    })
}

fn expected(costs: HoleCosts, chance: &Beta, price_ln_sd: f64) -> Result<ExpectedCost, OutOfRange> {
    let quantile = |sureness: f64| -> Result<Option<f64>, OutOfRange> {
        // The cost falls as the chance rises.
        let p = chance.quantile(1.0 - sureness)?;
        (p >= LEAST_CHANCE).then(|| costs.per_success(p)).transpose()
    };
    let [low80, median, high80] = if price_ln_sd > 0.0 {
        let parts = parts(costs, chance, price_ln_sd)?;
        SURENESS.map(|sureness| Ok(mixture_quantile(&parts, sureness)))
    } else {
        SURENESS.map(quantile)
    };
    Ok(ExpectedCost {
        at_mean_chance: costs.per_success(chance.mean().clamp(LEAST_CHANCE, 1.0))?,
        mean: costs.per_success_under(chance),
        low80: low80?,
        median: median?,
        high80: high80?,
    })
}

/// The costs that the chance may lead to, each with its share and the spread
/// of prices; the share beyond a million failures is left out.
fn parts(costs: HoleCosts, chance: &Beta, price_ln_sd: f64) -> Result<Vec<Part>, OutOfRange> {
    let logit = |p: f64| (p / (1.0 - p)).ln();
    let back = |x: f64| 1.0 / (1.0 + (-x).exp());
    let within = |p: f64| p.clamp(LEAST_CHANCE, 1.0 - LEAST_CHANCE);
    let low = logit(within(chance.quantile(LEFT_OUT)?));
    let high = logit(within(chance.quantile(1.0 - LEFT_OUT)?));
    let edge = |k: u32| low + (high - low) * f64::from(k) / f64::from(PARTS);
    let mut parts = Vec::new();
    let mut above = 1.0;
    for k in (0..PARTS).rev() {
        // What lies beyond the ends belongs to the end parts, save next to
        // no chance at all.
        let below = if k == 0 { chance.below(LEAST_CHANCE)? } else { chance.below(back(edge(k)))? };
        let share: f64 = above - below;
        above = below;
        let p = back(f64::midpoint(edge(k), edge(k + 1)));
        let median = costs.per_success(p)?;
        parts.push(Part { median, ln_sd: price_ln_sd, chance: share.max(0.0) });
    }
    Ok(parts)
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::super::alternative::AlternativeKind;
    use super::super::holes::CostSpread;
    use super::*;

    fn of(chance: (f64, f64), price_spread_share: f64) -> WellMoney {
        let holes = HoleMoney { success: CostSpread::sure(1000.0), failure: CostSpread::sure(400.0) };
        let rig = Alternative::sure(AlternativeKind::MachineRig, 1800.0).unwrap();
        let rain = Alternative::sure(AlternativeKind::Rainwater, 2500.0).unwrap();
        money(&MoneyInputs {
            chance: Beta::new(chance.0, chance.1).unwrap(),
            holes,
            price_spread_share,
            alternatives: &[rain, rig],
            wells: &[1, 5],
            client_share: 0.5,
        })
        .unwrap()
    }

    /// By hand: 10 000 bores from logs worth 5: 1/(1/10 000 + 1/5).
    #[test]
    fn the_chance_weighs_no_more_than_the_logs_behind_it() {
        let chance = chance_of_share(0.7, 10_000.0, 5.0).unwrap();
        assert!((chance.good() + chance.poor() - 4.9975).abs() < 1e-4);
        assert!((chance.mean() - 0.7).abs() < 1e-12);
        // None of all and all of all are taken as half a bore.
        assert!(chance_of_share(0.0, 100.0, 5.0).unwrap().mean() > 0.0);
        assert!(chance_of_share(1.0, 100.0, 5.0).unwrap().mean() < 1.0);
        for bad in [(f64::NAN, 10.0, 1.0), (0.5, 0.0, 1.0), (0.5, 10.0, 0.0)] {
            assert!(chance_of_share(bad.0, bad.1, bad.2).is_err(), "{bad:?}");
        }
    }

    /// As published: 1000 + 400·(1 − p)/p is 1400 at 1/2; under Beta(6, 4) the
    /// failures are 4/5 on average, and so 1320.
    #[test]
    fn failures_are_counted_at_the_mean_chance_and_over_what_it_may_be() {
        assert_eq!(of((5.0, 5.0), 0.0).cost.at_mean_chance, 1400.0);
        assert!((of((6.0, 4.0), 0.0).cost.mean.unwrap() - 1320.0).abs() < 1e-9);
        assert_eq!(of((0.5, 0.5), 0.0).cost.mean, None);
    }

    /// Beta(2, 1) lies below √q with the chance q.
    #[test]
    fn the_band_of_the_cost_is_that_of_the_chance() {
        let cost = of((2.0, 1.0), 0.0).cost;
        for (found, q) in [(cost.low80, 0.9), (cost.median, 0.5), (cost.high80, 0.1)] {
            let p = f64::sqrt(q);
            assert!((found.unwrap() - (1000.0 + 400.0 * (1.0 - p) / p)).abs() < 1e-6);
        }
    }

    /// With the chance all but known the band is that of the prices: a factor
    /// of exp(±1.2816·ln 1.5/1.96).
    #[test]
    fn prices_that_may_be_off_widen_the_band() {
        let cost = of((500_000.0, 500_000.0), 0.5).cost;
        let factor = (1.281_551_566 * 1.5f64.ln() / 1.959_964).exp();
        assert!((cost.high80.unwrap() / (1400.0 * factor) - 1.0).abs() < 1e-3, "{cost:?}");
        assert!((cost.low80.unwrap() * factor / 1400.0 - 1.0).abs() < 1e-3);
        let (wide, narrow) = (of((6.0, 4.0), 0.5).cost, of((6.0, 4.0), 0.0).cost);
        assert!(wide.high80 > narrow.high80 && wide.low80 < narrow.low80);
    }

    /// The finer way of many draws, for a chance and prices both unknown.
    #[test]
    fn the_band_of_both_agrees_with_stratified_draws() {
        use crate::stats::normal_quantile;
        let cost = of((3.0, 2.0), 0.5).cost;
        let chance = Beta::new(3.0, 2.0).unwrap();
        let ln_sd = 1.5f64.ln() / HALF_BAND_95;
        let mut all = Vec::new();
        for i in 0..200 {
            let p = chance.quantile((f64::from(i) + 0.5) / 200.0).unwrap();
            for j in 0..200 {
                let factor = (ln_sd * normal_quantile((f64::from(j) + 0.5) / 200.0)).exp();
                all.push(factor * (1000.0 + 400.0 * (1.0 - p) / p));
            }
        }
        all.sort_unstable_by(f64::total_cmp);
        for (found, at) in [(cost.low80, 4000), (cost.median, 20_000), (cost.high80, 36_000)] {
            assert!((found.unwrap() / all[at] - 1.0).abs() < 0.01, "{found:?} {}", all[at]);
        }
    }

    #[test]
    fn a_chance_that_may_be_none_has_no_upper_end_of_cost() {
        let cost = of((0.05, 0.5), 0.0).cost;
        assert_eq!(cost.high80, None);
        assert_eq!(of((0.05, 0.5), 0.5).cost.high80, None);
        assert!(cost.low80.is_some());
    }

    #[test]
    fn the_cheapest_alternative_sets_the_worth_of_a_well() {
        let money = of((6.0, 4.0), 0.0);
        assert_eq!(money.cheapest.unwrap().kind, AlternativeKind::MachineRig);
        assert_eq!(money.tries.unwrap().most, Some(8));
        assert_eq!(money.break_even.len(), 2);
        assert_eq!(money.budgets.len(), 6);
        // (1 − 0.6)/0.6 dry holes of 400 for each well.
        assert!((money.dry_holes[1].fair_price - (1000.0 + 400.0 * 0.4 / 0.6)).abs() < 1e-9);
    }
}
