//! How likely a hole gets past a depth before the ground refuses it, from
//! bores that were refused and bores that ended first; metres below ground.
//!
//! # The curve
//! The product-limit estimate with weights: at each depth where bores were
//! refused the chance of getting past falls by the refused share of the
//! weight still at risk. A bore that ended without being refused counts down
//! to its end, that depth included, and says nothing below it.
//! Source: Kaplan & Meier 1958 (J. Am. Stat. Assoc. 53:457); the weighted
//! form is that of Xie & Liu 2005 (Stat. Med. 24:3089).
//!
//! # Weights
//! A weight is the number of bores at the peg itself that an observation is
//! worth: 1 at the peg, less the farther away. The region's prior enters as
//! pseudo-observations, worth together as many bores as is stated.
//!
//! # Bands
//! Variance by Greenwood's formula (Greenwood 1926) with the effective number
//! at risk (Σw)²/Σw² of Xie & Liu, and never more than Σw: ten far bores
//! worth a tenth each are one bore. Ends by Wilson's interval on the number
//! of bores that this variance stands for (Rothman 1978, J. Chronic Dis.
//! 31:557). Where nobody was refused the variance is zero, yet few bores show
//! little: the number is then that still at risk. For the low end it is never
//! more than (number at risk)/(chance), after Peto et al. 1977 (from memory),
//! so that the low end falls as the evidence thins out with depth.

use std::cmp::Ordering;

use super::interval::{ChanceBand, HALF_BAND_80, HALF_BAND_95};

/// How a bore ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoreEnd {
    /// The ground refused it.
    Refused,
    /// It ended first: refusal lies below, how far is not known.
    Censored,
}

/// What one bore says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreSeen {
    /// The depth of refusal, or of its end.
    pub depth_m: f64,
    /// Which of the two.
    pub end: BoreEnd,
    /// How many bores at the peg it is worth.
    pub weight: f64,
}

/// A depth or weight that cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BadBore {
    /// A depth below zero or not finite.
    #[error("a bore's depth is {0}, where a depth of 0 m or more is needed")]
    Depth(f64),
    /// A weight below zero or not finite.
    #[error("a bore's weight is {0}, where a number of 0 or more is needed")]
    Weight(f64),
}

/// One depth at which a bore was refused or ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurvivalStep {
    /// The depth.
    pub depth_m: f64,
    /// Weight still at risk at that depth.
    pub at_risk: f64,
    /// Weight refused there.
    pub refused: f64,
    /// The chance to get past it.
    pub chance: f64,
    /// Its standard error by Greenwood; `None` where the chance is zero.
    pub standard_error: Option<f64>,
    /// How many bores are still at risk just below it.
    pub bores_below: f64,
    /// How many bores the chance rests on.
    bores: f64,
}

/// The chance to get past one depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PastDepth {
    /// The chance. Below the deepest bore it is what was left there: an upper
    /// bound.
    pub chance: f64,
    /// The 80 % band.
    pub band80: ChanceBand,
    /// The 95 % band.
    pub band95: ChanceBand,
    /// How many bores reach past that depth; 0: nobody has been there.
    pub bores_below: f64,
}

/// The chance to get past each depth.
#[derive(Debug, Clone, PartialEq)]
pub struct Survival {
    steps: Vec<SurvivalStep>,
    /// How many bores there are at the surface.
    bores_at_top: f64,
}

impl Survival {
    /// The curve from what was seen and from the region's prior, whose
    /// weights are relative and are scaled to `prior_worth` bores together.
    /// With nothing seen the curve is the prior's.
    ///
    /// # Errors
    /// When a depth or a weight is below zero or not finite.
    pub fn fit(seen: &[BoreSeen], prior: &[BoreSeen], prior_worth: f64) -> Result<Self, BadBore> {
        if !(prior_worth.is_finite() && prior_worth >= 0.0) {
            return Err(BadBore::Weight(prior_worth));
        }
        for bore in seen.iter().chain(prior) {
            if !(bore.depth_m.is_finite() && bore.depth_m >= 0.0) {
                return Err(BadBore::Depth(bore.depth_m));
            }
            if !(bore.weight.is_finite() && bore.weight >= 0.0) {
                return Err(BadBore::Weight(bore.weight));
            }
        }
        let prior_weight: f64 = prior.iter().map(|b| b.weight).sum();
        let scale = if prior_weight > 0.0 { prior_worth / prior_weight } else { 0.0 };
        let scaled = prior.iter().map(|b| BoreSeen { weight: b.weight * scale, ..*b });
        let mut bores: Vec<_> = seen.iter().copied().chain(scaled).filter(|b| b.weight > 0.0).collect();
        let total: f64 = bores.iter().map(|b| b.weight).sum();
        if !total.is_finite() {
            return Err(BadBore::Weight(total));
        }
        bores.sort_by(|a, b| a.depth_m.total_cmp(&b.depth_m).then(a.weight.total_cmp(&b.weight)));
        Ok(Self::of_sorted(&bores))
    }

    fn of_sorted(bores: &[BoreSeen]) -> Self {
        let same_depth = |a: &BoreSeen, b: &BoreSeen| a.depth_m.total_cmp(&b.depth_m) == Ordering::Equal;
        let groups: Vec<&[BoreSeen]> = bores.chunk_by(same_depth).collect();
        // Summed from the bottom up, so that the last at risk is never lost
        // in rounding.
        let mut left = Vec::with_capacity(groups.len());
        let mut risk = AtRisk::default();
        for group in groups.iter().rev() {
            let below = risk;
            group.iter().for_each(|b| risk.add(b.weight));
            left.push((*group, risk, below));
        }
        let bores_at_top = risk.bores();
        let mut chance = 1.0;
        let mut greenwood = 0.0;
        let mut last_bores = bores_at_top;
        let steps = left
            .into_iter()
            .rev()
            .map(|(group, at, below)| {
                let refused: f64 = group.iter().filter(|b| b.end == BoreEnd::Refused).map(|b| b.weight).sum();
                let all_refused = below.weight <= 0.0 && group.iter().all(|b| b.end == BoreEnd::Refused);
                if all_refused {
                    chance = 0.0;
                } else if refused > 0.0 {
                    let share = (refused / at.weight).min(1.0);
                    chance *= 1.0 - share;
                    greenwood += share / ((1.0 - share) * at.bores());
                }
                let bores = match chance {
                    c if c <= 0.0 => last_bores.min(at.bores()),
                    c if greenwood > 0.0 => (1.0 - c) / (c * greenwood),
                    _ => below.bores(),
                };
                last_bores = bores;
                let standard_error = (chance > 0.0).then(|| chance * f64::sqrt(greenwood));
                SurvivalStep {
                    depth_m: group.first().map_or(0.0, |b| b.depth_m),
                    at_risk: at.weight,
                    refused,
                    chance,
                    standard_error,
                    bores_below: below.bores(),
                    bores,
                }
            })
            .collect();
        Self { steps, bores_at_top }
    }

    /// The chance to get past a depth; `None` where nothing at all was seen.
    pub fn past(&self, depth_m: f64) -> Option<PastDepth> {
        if self.steps.is_empty() || depth_m.is_nan() {
            return None;
        }
        let above = self.steps.partition_point(|s| s.depth_m <= depth_m);
        let (chance, bores, bores_below) = match above.checked_sub(1).and_then(|i| self.steps.get(i)) {
            Some(step) => (step.chance, step.bores, step.bores_below),
            None => (1.0, self.bores_at_top, self.bores_at_top),
        };
        let thinned = if chance > 0.0 { bores.min(bores_below / chance) } else { bores };
        let band = |z: f64| ChanceBand {
            low: ChanceBand::wilson(chance, thinned, z).low,
            high: ChanceBand::wilson(chance, bores, z).high,
        };
        Some(PastDepth { chance, band80: band(HALF_BAND_80), band95: band(HALF_BAND_95), bores_below })
    }

    /// The shallowest depth that no more than half of the bores get past;
    /// `None` where more than half do as far as anybody has been.
    pub fn median_m(&self) -> Option<f64> {
        self.depth_with_chance_m(0.5)
    }

    /// The shallowest depth past which the chance is no more than `chance`.
    pub fn depth_with_chance_m(&self, chance: f64) -> Option<f64> {
        // A product of shares that should be one half may end a rounding
        // above it.
        self.steps.iter().find(|s| s.chance <= chance + 1e-12).map(|s| s.depth_m)
    }

    /// Each depth at which a bore was refused or ended, from the top.
    pub fn steps(&self) -> &[SurvivalStep] {
        &self.steps
    }
}

/// The bores at risk.
#[derive(Debug, Clone, Copy, Default)]
struct AtRisk {
    weight: f64,
    square: f64,
}

impl AtRisk {
    fn add(&mut self, weight: f64) {
        self.weight += weight;
        self.square += weight * weight;
    }

    /// How many bores they are worth.
    fn bores(self) -> f64 {
        let effective = self.weight * self.weight / self.square;
        if effective.is_finite() { effective.min(self.weight) } else { self.weight }
    }
}

#[cfg(test)]
mod tests;
