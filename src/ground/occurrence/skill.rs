//! How well wells forecast each other, against the base rate and against
//! asking the nearest.

use super::Observation;
use super::learn::OF_A_KIND;
use super::near::{Near, Seen, Spots};
use crate::stats::{Foretold, auc_of_ranks, brier, log_score, log_score_of};

/// With fewer wells their scores say nothing.
const LEAST: usize = 10;

/// A well forecast from the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOutWell {
    /// Its place in the list, from 0.
    pub observation: usize,
    /// What was seen there.
    pub yes: f64,
    /// The chance from the other wells.
    pub chance: f64,
    /// The base rate of the other wells.
    pub base: f64,
    /// By how much the log-odds of the chance are above those of the base
    /// rate. To rank wells (area under the curve) use this: the base rate of
    /// the *others* is lower for every yes.
    pub lift: f64,
}

impl LeftOutWell {
    pub(super) fn new(observation: usize, yes: f64, chance: f64, base: f64) -> Self {
        let ln_odds = |p: f64| (p / (1.0 - p)).ln();
        Self { observation, yes, chance, base, lift: ln_odds(chance) - ln_odds(base) }
    }
}

/// How well wells are forecast from the others. Scores: less is better; area
/// under the curve: more is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Skill {
    /// How many wells.
    pub wells: usize,
    /// Share of yes.
    pub base_rate: f64,
    /// Brier score of the forecast from nearness.
    pub brier: f64,
    /// The same of the base rate of the other wells.
    pub brier_base: f64,
    /// The same of what the nearest other well shows.
    pub brier_nearest: f64,
    /// Log score of the forecast from nearness.
    pub log_score: f64,
    /// The same of the base rate of the other wells.
    pub log_score_base: f64,
    /// Area under the curve of the forecast from nearness; `None` where all
    /// wells are alike. That of the base rate is one half.
    pub auc: Option<f64>,
    /// The same of what the nearest other well shows.
    pub auc_nearest: Option<f64>,
    /// How much better the log score is than the base rate's, a well …
    pub gain: f64,
    /// … and its standard error.
    pub gain_se: f64,
    /// Nearness clearly tells something beyond the base rate: luck would gain
    /// as much in no more than one of twenty such surveys. False does not mean
    /// that it was shown to be useless.
    pub carries_skill: bool,
}

/// A gain of no more standard errors than this may be luck: one in twenty of
/// no worth at all are above it.
const CLEARLY: f64 = 1.645;
/// Gains over all wells below this are no more than two figures (length and
/// worth) that were chosen for them get by chance (Akaike 1974, IEEE Trans.
/// Automatic Control 19(6); from memory).
const TWO_FIGURES: f64 = 2.0;

impl Skill {
    /// More by more than one standard error, and more than two figures chosen
    /// for these wells get by chance: worth using.
    pub(super) fn tells(&self) -> bool {
        let (n, yes) = (self.wells as f64, self.base_rate * self.wells as f64);
        yes.min(n - yes) >= OF_A_KIND - 1e-9 && self.gain > self.gain_se && self.gain * n > TWO_FIGURES
    }
}

pub(super) fn of(
    left_out: &[LeftOutWell],
    observations: &[Observation],
    spots: &Spots,
    near: &[Vec<Near>],
) -> Option<Skill> {
    let n = left_out.len();
    if n < LEAST {
        return None;
    }
    let foretold = |of: fn(&LeftOutWell) -> f64| -> Vec<Foretold> {
        left_out.iter().map(|l| Foretold { chance: of(l), yes: l.yes }).collect()
    };
    let (told, base) = (foretold(|l| l.chance), foretold(|l| l.base));
    let nearest: Vec<Foretold> = nearest(observations, spots, near);
    let gains: Vec<f64> = told.iter().zip(&base).map(|(t, b)| log_score_of(b) - log_score_of(t)).collect();
    let gain = gains.iter().sum::<f64>() / n as f64;
    let variance = gains.iter().map(|g| (g - gain).powi(2)).sum::<f64>() / (n - 1) as f64;
    let gain_se = (variance / n as f64).sqrt();
    let ranks = |of: &mut dyn Iterator<Item = (f64, f64)>| auc_of_ranks(&of.collect::<Vec<_>>());
    let skill = Skill {
        wells: n,
        base_rate: left_out.iter().map(|l| l.yes).sum::<f64>() / n as f64,
        brier: brier(&told)?,
        brier_base: brier(&base)?,
        brier_nearest: brier(&nearest)?,
        log_score: log_score(&told)?,
        log_score_base: log_score(&base)?,
        auc: ranks(&mut left_out.iter().map(|l| (l.lift, l.yes))),
        auc_nearest: ranks(&mut nearest.iter().map(|f| (f.chance, f.yes))),
        gain,
        gain_se,
        carries_skill: false,
    };
    Some(Skill { carries_skill: skill.tells() && gain > CLEARLY * gain_se, ..skill })
}

/// What the nearest other spot shows, or the other wells of the same one.
fn nearest(observations: &[Observation], spots: &Spots, near: &[Vec<Near>]) -> Vec<Foretold> {
    let mut told: Vec<(usize, Foretold)> = Vec::with_capacity(observations.len());
    for (spot, near) in spots.all.iter().zip(near) {
        let next = near.first().and_then(|n| spots.all.get(n.spot)).map(|s| s.seen);
        for well in &spot.wells {
            let Some(o) = observations.get(*well) else { continue };
            let beside = spot.seen.without(Seen::of(o.yes));
            let seen = if beside.n > 0.5 { Some(beside) } else { next };
            let chance = seen.map_or(0.5, |s| (s.yes / s.n.max(1.0)).clamp(0.0, 1.0));
            told.push((*well, Foretold { chance, yes: o.yes }));
        }
    }
    told.sort_by_key(|(well, _)| *well);
    told.into_iter().map(|(_, f)| f).collect()
}
