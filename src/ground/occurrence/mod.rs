//! How likely something holds at a place (a hole succeeds, the water exceeds
//! a limit), from what the region leads one to expect and from what was seen
//! at wells around, and how sure that is; metres.
//!
//! # The forecast
//! The chance *p* varies from place to place about a base rate *μ*. Two
//! places have it in common by *ρ* = exp(−*d/L* − *z/V*), *d* their distance,
//! *z* the difference of their depths. How far it varies is told by a worth of
//! *m* wells: at a place of which nothing is known, *p* is as uncertain as a
//! beta distribution of mean *μ* after *m* wells, and wells within each
//! other's reach are yes or no by themselves, given their *p*.
//!
//! The forecast is linear in what was seen, *p̂ = μ + Σ ωᵢ(yᵢ − μ)*, with the
//! weights that make its variance least: those of simple kriging
//! ([`super::kriging`]) of yes and no, none of them below zero. *k* of *n*
//! wells at the place itself give *(mμ + k)/(m + n)*, the beta posterior
//! exactly; a crowd of wells far off counts for no more than the one thing it
//! has in common. The variance of *p̂* and its mean make a beta distribution,
//! of as many wells as are worth as much: the bands. Sources: in credibility
//! theory the linear forecast of a chance is the beta posterior (Jewell 1974,
//! Credible means are exact Bayesian for exponential families, ASTIN Bulletin
//! 8); indicator kriging (Journel 1983, Nonparametric estimation of spatial
//! distributions, Mathematical Geology 15(3)); both from memory.
//!
//! # What is learnt
//! With fewer than 25 wells the region's chance, worth and length stand. From
//! 25 on the base rate is that of all wells, with the region's chance as so
//! many more; length and worth (and, where enough depths are known, whether
//! depth matters) are those under which each well is forecast best from the
//! others by the log score, drawn towards the region's. With fewer than three
//! of a kind there is no telling where they are.
//!
//! # Where nearness tells nothing
//! From 25 wells on nearness must show that it tells something: the log score
//! of the forecasts must beat that of the base rate of the other wells by
//! more than a standard error and by more than two figures chosen for them
//! get by chance. Where not, the base rate is told for every place. Its band
//! is then not that of the base rate, which many wells make narrow, but of a
//! place: as far as places over the region's length may differ for all that
//! was seen. In simulated ground where every place is alike that band is too
//! wide, the more so the fewer wells; it is not too narrow where places differ
//! and wells are too few to show it.
//!
//! # Depth
//! A well of unknown depth has in common with one of known depth what any
//! depth has on average: less than one beside it, more than one far below.
//! Where neither the well nor the place has a depth, depth is no part of the
//! question. A place asked for between two depths may be at any of them.
//!
//! # Unsure readings
//! A well that is likely a yes by *y* counts in the mean as *y* of a yes. The
//! chance is less sure by *ωᵢ² yᵢ(1 − yᵢ)*: the law of total variance, exact
//! for wells at one place whose readings err independently.
//!
//! # What widens the band
//! Taking wells away, moving them off or making their readings less sure
//! makes the chance that of fewer wells ([`Occurrence::worth_wells`]) as long
//! as length and worth stand. The band mostly widens with that, but it can
//! narrow: a chance near 0 or 1 is narrower than one near a half by the same
//! number of wells. At 25 wells, where what was assumed gives way to what is
//! learnt, it can do either.

mod depth;
mod field;
mod learn;
mod model;
mod near;
mod reading;
mod skill;
mod system;

use super::interval::HALF_BAND_95;
use crate::well::beta::Beta;

pub use model::OccurrenceModel;
pub use reading::{QualityReading, chance_above};
pub use skill::{LeftOutWell, Skill};

/// What the region leads one to expect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OccurrencePrior {
    /// The chance that it holds, between 0 and 1.
    pub chance: f64,
    /// How many wells at the place itself that is worth.
    pub worth_wells: f64,
    /// The length *L* of exp(−*d/L*) over which places have something in
    /// common.
    pub length_m: f64,
}

impl OccurrencePrior {
    /// The prior with the mean `mid` and 95 % of its chance between `low` and
    /// `high` or, where these are not alike, within the wider side; as if
    /// normal, which is near enough for a figure that is itself a guess.
    ///
    /// # Errors
    /// When the chances are not in order between 0 and 1 or all the same.
    pub fn of_band(low: f64, mid: f64, high: f64, length_m: f64) -> Result<Self, BadOccurrence> {
        let ordered = 0.0 <= low && low <= mid && mid <= high && high <= 1.0 && low < high;
        if !(ordered && mid > 0.0 && mid < 1.0) {
            return Err(BadOccurrence::Prior);
        }
        let sd = (mid - low).max(high - mid) / HALF_BAND_95;
        let worth_wells = (mid * (1.0 - mid) / (sd * sd) - 1.0).max(LEAST_WORTH);
        Self { chance: mid, worth_wells, length_m }.checked()
    }

    fn checked(self) -> Result<Self, BadOccurrence> {
        let sound = self.chance > 1e-9
            && self.chance < 1.0 - 1e-9
            && (1e-3..=1e5).contains(&self.worth_wells)
            && (1e-3..=1e9).contains(&self.length_m);
        if sound { Ok(self) } else { Err(BadOccurrence::Prior) }
    }
}

/// A band wider than a chance can have is taken as the worth of this many
/// wells.
const LEAST_WORTH: f64 = 0.5;

/// What was seen at a well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// East of some origin.
    pub east_m: f64,
    /// North of it.
    pub north_m: f64,
    /// Depth of the well or its screen below ground, where known.
    pub depth_m: Option<f64>,
    /// Whether it holds there: 1 for yes, 0 for no, or how likely it does.
    pub yes: f64,
}

/// Where it is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// East of the same origin.
    pub east_m: f64,
    /// North of it.
    pub north_m: f64,
    /// The depths between which the well or its screen will be, where known.
    pub depth_m: Option<[f64; 2]>,
}

/// How much is used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// How many spots with wells nearest to a place make its forecast. Base
    /// rate, worth and length are learnt from all.
    pub nearest: usize,
    /// From how many wells on anything is learnt.
    pub least_to_learn: usize,
    /// The length *V* of exp(−*z/V*) over which depths have something in
    /// common. 20 m is ours: a shallow well tells little of one into the next
    /// aquifer.
    pub vertical_length_m: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self { nearest: 200, least_to_learn: 25, vertical_length_m: 20.0 }
    }
}

/// What cannot be worked with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum BadOccurrence {
    /// The prior.
    #[error("the prior needs a chance between 0 and 1, a worth in wells and a length above zero")]
    Prior,
    /// An observation.
    #[error("observation {0} holds a number that is not finite, or a chance outside 0 to 1")]
    Observation(
        /// Its place in the list, from 0.
        usize,
    ),
    /// The place.
    #[error("the place holds a number that is not finite, or depths out of order")]
    Place,
    /// The options.
    #[error("the length over which depths are alike must be above zero")]
    Options,
}

/// What a forecast rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    /// The region's prior alone: there are no wells.
    Prior,
    /// Wells, with the region's chance, worth and length.
    Region,
    /// Wells, with base rate, worth and length learnt from them.
    Learnt,
    /// The base rate of all wells, because nearness was seen to tell nothing.
    Pooled,
}

/// How much an observation counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weight {
    /// Its place in the list, from 0.
    pub observation: usize,
    /// Its share of the forecast.
    pub weight: f64,
}

/// How likely it holds at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Occurrence {
    /// The chance: the mean of what it may be.
    pub chance: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// The ends between which the chance lies with 80 %; where it is most
    /// likely near 0 or 1 and its mean beyond such an end, that is the end.
    pub band80: [f64; 2],
    /// The same with 95 %.
    pub band95: [f64; 2],
    /// The observations that count for 0.5 % or more, the weightiest first.
    pub weights: Vec<Weight>,
    /// The chance is as sure as after so many wells at the place itself and
    /// nothing else.
    pub worth_wells: f64,
    /// How many of those come from wells near.
    pub effective_wells: f64,
    /// The region's share of the chance; the rest comes from wells.
    pub prior_share: f64,
    /// The share of the base rate of all wells (the region's chance where
    /// nothing is learnt, and part of it where something is), not of wells
    /// near.
    pub base_share: f64,
    /// What it rests on.
    pub basis: Basis,
    beta: Beta,
}

/// What is known of a chance before it is a report.
#[derive(Debug, Clone, Copy)]
struct Known {
    chance: f64,
    /// The wells that make a beta distribution as sure.
    worth_wells: f64,
    /// The same without wells near.
    worth_without: f64,
    prior_share: f64,
    base_share: f64,
}

impl Occurrence {
    fn new(known: Known, weights: Vec<Weight>, basis: Basis) -> Result<Self, BadOccurrence> {
        let chance = known.chance.clamp(NEVER, 1.0 - NEVER);
        let worth_wells = known.worth_wells.clamp(1e-3, HEAVIEST_WELLS);
        let beta = Beta::of_mean(chance, worth_wells).map_err(|_| BadOccurrence::Place)?;
        let band = |low: f64, high: f64| {
            let at = |p: f64| Some(beta.quantile(p).ok()?.clamp(NEVER, 1.0 - NEVER));
            let [low, high] = [at(low)?, at(high)?];
            Some([low.min(chance), high.max(chance)])
        };
        Ok(Self {
            chance,
            sd: beta.sd(),
            band80: band(0.1, 0.9).ok_or(BadOccurrence::Place)?,
            band95: band(0.025, 0.975).ok_or(BadOccurrence::Place)?,
            weights,
            worth_wells,
            effective_wells: (worth_wells - known.worth_without).max(0.0),
            prior_share: known.prior_share.clamp(0.0, 1.0),
            base_share: known.base_share.clamp(0.0, 1.0),
            basis,
            beta,
        })
    }

    /// The chance that is not exceeded with the sureness `p`.
    pub fn quantile(&self, p: f64) -> f64 {
        let p = if p.is_nan() { 0.5 } else { p.clamp(1e-9, 1.0 - 1e-9) };
        self.beta.quantile(p).unwrap_or(self.chance).clamp(NEVER, 1.0 - NEVER)
    }

    /// How sure it is that the chance is below `chance`.
    pub fn sure_below(&self, chance: f64) -> f64 {
        let chance = if chance.is_nan() { 0.0 } else { chance.clamp(0.0, 1.0) };
        self.beta.below(chance).unwrap_or(0.0)
    }
}

/// No chance is told nearer to 0 or 1 than this.
const NEVER: f64 = 1e-12;
/// No chance is taken as surer than after this many wells.
const HEAVIEST_WELLS: f64 = 5e5;

/// How likely it holds at `at`; without observations the prior.
///
/// ```
/// use forebore::ground::occurrence::{Observation, OccurrencePrior, Options, Place, how_likely};
///
/// let region = OccurrencePrior { chance: 0.8, worth_wells: 5.0, length_m: 1000.0 };
/// let peg = Place { east_m: 0.0, north_m: 0.0, depth_m: None };
/// let dry = Observation { east_m: 300.0, north_m: 0.0, depth_m: None, yes: 0.0 };
/// let alone = how_likely(&region, &[], peg, Options::default())?;
/// let with = how_likely(&region, &[dry], peg, Options::default())?;
/// assert!((alone.chance - 0.8).abs() < 1e-12 && with.chance < 0.75);
/// # Ok::<(), forebore::ground::occurrence::BadOccurrence>(())
/// ```
///
/// For many places among the same wells use [`OccurrenceModel`], which learns
/// once.
///
/// # Errors
/// When the prior, an observation, the place or the options cannot be used.
pub fn how_likely(
    prior: &OccurrencePrior,
    observations: &[Observation],
    at: Place,
    options: Options,
) -> Result<Occurrence, BadOccurrence> {
    OccurrenceModel::learn(prior, observations, options)?.at(at)
}

#[cfg(test)]
mod tests;
