//! Scores of chances beside those of plain ones, what is gained on each, and
//! how reliable they were.

use std::collections::{BTreeMap, BTreeSet};

use super::leave_out::{LeaveOut, Plan};
use super::result::{Bin, Gain, Scores};
use super::scores::{self, Case, gain, mean, quantile};
use crate::ground::ChanceBand;
use crate::region::Region;
use crate::stats::brier_of;

/// How few are few, as the region says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Few {
    /// With fewer records scores say little.
    pub records: usize,
    /// With fewer of one kind, or in one group, a share says little.
    pub group: usize,
}

impl Few {
    /// # Errors
    /// In words, when the region does not say.
    pub fn of(region: &Region) -> Result<Self, String> {
        let count = |name: &str| {
            let figure = region.priors.get(name).ok_or_else(|| format!("the region sets no {name}"))?;
            Ok::<usize, String>(figure.value.max(0.0) as usize)
        };
        Ok(Self { records: count("backtest_records_least")?, group: count("backtest_group_least")? })
    }
}

/// A gain of less than this share of the score does not matter, however sure …
const MATTERS: f64 = 0.01;
/// … nor one of less than this over the number of records: the mean or median
/// of the *other* records lies off to the far side of each by 1/n of the way,
/// and whatever stays in the middle gains about twice that on it.
const OF_OTHERS: f64 = 2.0;

/// What is the same whatever is forecast, before scores are known.
pub(super) struct Told {
    pub scores: Scores,
    pub baselines: BTreeMap<&'static str, Scores>,
    pub skill: BTreeMap<&'static str, Gain>,
    pub base_rate: Option<f64>,
    pub band95_coverage: Option<f64>,
    pub typical: Option<f64>,
    pub typical_m: Option<f64>,
    pub reliability: Vec<Bin>,
    pub depths_m: Vec<f64>,
    pub notes: Vec<String>,
}

/// How chances are ranked for the area under the curve.
#[derive(Debug, Clone, Copy)]
pub(super) enum Ranked<'a> {
    /// By how far they are above these base rates of their own.
    Above(&'a [f64]),
    /// By how far they are above the base rate of the others.
    AboveOthers,
    /// As they were told: no base rate is part of them.
    AsTold,
}

/// The scores of chances, and of the plain ones of the same cases.
pub(super) fn scored(
    plan: &Plan,
    cases: &[Case],
    ranked: Ranked<'_>,
    plain: &[(&'static str, Vec<Case>)],
    few: Few,
) -> Told {
    let (mut scores, mut skill) = (BTreeMap::new(), BTreeMap::new());
    let base = plain.iter().find(|(name, _)| *name == "base-rate").map_or(&[][..], |(_, base)| base);
    let base: Vec<f64> = base.iter().map(|b| b.told.chance).collect();
    let by_depth = cases.iter().any(|c| c.level > 0);
    for (name, told) in plain {
        let off = (*name == "base-rate").then_some(base.as_slice());
        scores.insert(*name, chance_scores(plan, by_depth, told, off));
        let better: Vec<f64> =
            told.iter().zip(cases).map(|(o, m)| m.weight * (brier_of(&o.told) - brier_of(&m.told))).collect();
        let of: Vec<usize> = cases.iter().map(|c| c.of).collect();
        let weight = mean(cases.iter().map(|c| c.weight)).unwrap_or(1.0);
        let better: Vec<f64> = better.into_iter().map(|b| b / weight).collect();
        skill.extend(gained(plan, "brier", scores::brier(told), &better, &of).map(|g| (*name, g)));
    }
    let own = match ranked {
        Ranked::Above(own) => Some(own),
        Ranked::AboveOthers => Some(base.as_slice()),
        Ranked::AsTold => None,
    };
    let mut chances: Vec<f64> = cases.iter().map(|c| c.told.chance).collect();
    let yes = cases.iter().filter(|c| c.told.yes > 0.5).count();
    let least = yes.min(cases.len() - yes);
    let note = format!("Only {least} of {} came out one of the two ways: scores say little.", cases.len());
    Told {
        scores: chance_scores(plan, by_depth, cases, own),
        baselines: scores,
        skill,
        base_rate: scores::share(cases),
        band95_coverage: None,
        typical: quantile(&mut chances, 0.5),
        typical_m: None,
        reliability: bins(cases, few),
        depths_m: Vec::new(),
        notes: if least < few.group { vec![note] } else { Vec::new() },
    }
}

/// Brier, log score and the area under the curve. A base rate of the *other*
/// records is lower for every yes, whatever is known: where single records or
/// blocks are left out the area is that of how far the odds are above those of
/// the forecast's own base rate.
fn chance_scores(plan: &Plan, by_depth: bool, cases: &[Case], bases: Option<&[f64]>) -> Scores {
    let ln_odds = |p: f64| (p / (1.0 - p)).clamp(1e-12, 1e12).ln();
    // To a ten-millionth: what is left of rounding is no order.
    let lift = |(c, base): (&Case, &f64)| ((ln_odds(c.told.chance) - ln_odds(*base)) * 1e7).round();
    let raw = plan.leave() == LeaveOut::Forward && !by_depth;
    let ranks: Vec<f64> = match bases.filter(|_| !raw) {
        Some(bases) => cases.iter().zip(bases).map(lift).collect(),
        None => cases.iter().map(|c| c.told.chance).collect(),
    };
    Scores {
        brier: scores::brier(cases),
        auc: scores::auc(cases, &ranks),
        log_score: scores::log_score(cases),
        ..Scores::default()
    }
}

/// The gain on a plain forecast that scored `theirs`, of the records `of`.
pub(super) fn gained(
    plan: &Plan,
    score: &'static str,
    theirs: Option<f64>,
    better: &[f64],
    of: &[usize],
) -> Option<Gain> {
    let squares = plan.squares();
    let found = gain(better, of.iter().map(|i| squares.get(*i)))?;
    let records = of.iter().collect::<BTreeSet<_>>().len() as f64;
    let matters = found.gain.abs() >= MATTERS.max(OF_OTHERS / records) * theirs?;
    let verdict = match found.gain / found.standard_error {
        sure if matters && sure >= 2.0 => "better",
        sure if matters && sure <= -2.0 => "worse",
        _ => "not told apart",
    };
    let scores::Gain { gain, standard_error, groups } = found;
    Some(Gain { score, gain, standard_error, squares: groups, verdict })
}

/// Forecasts in tenths, each with what came of them.
fn bins(cases: &[Case], few: Few) -> Vec<Bin> {
    let tenth = |c: &Case| ((c.told.chance * 10.0).floor() as usize).min(9);
    (0..10)
        .filter_map(|k| {
            let here: Vec<Case> = cases.iter().filter(|c| tenth(c) == k).copied().collect();
            let share = scores::share(&here)?;
            let band = ChanceBand::wilson95(share, here.len() as f64);
            Some(Bin {
                from: k as f64 / 10.0,
                to: (k + 1) as f64 / 10.0,
                n: here.len(),
                mean_chance: mean(here.iter().map(|c| c.told.chance))?,
                share,
                band95: [band.low, band.high],
                few: here.len() < few.group,
            })
        })
        .collect()
}
