//! When to give up: the depth beyond which going on costs more than it is
//! worth.
//!
//! # What the driller knows
//! At each depth only that the hole got there: it has not become a well, and
//! the ground has not stopped it. So the bores still open at a depth are what
//! may lie ahead, each with its chance, and nothing of their layers is used
//! before it is drilled. (What one more sign would change, see
//! [`give_up_dry`](super::give_up_dry).)
//!
//! # The reckoning
//! Backwards from the method's reach, over steps of depth z₀ = 0, z₁, …:
//! G_k = Σ over bores that end in the next step of (their end − c·metres) +
//! Σ over the others of −c·(z_{k+1} − z_k) + max(S_{k+1}, G_{k+1}), with c the
//! price of a metre, a success ending in V − finishing, water turned out bad in
//! −spoilt, and any other end, like stopping (S_k), in −abandonment; before the
//! first metre stopping costs nothing more. The hole is given up at the first
//! depth where S_k ≥ G_k. Mobilisation is counted where it is begun at all.
//!
//! V, the worth of a working well, is what the cheapest alternative costs, so
//! not drilling is worth 0. Poor water is known only once the well is made.
//!
//! Source: backward induction, Bellman 1957, Dynamic Programming (from memory).

use super::holes::{HolePrices, amount};
use crate::ground::virtual_bore::{Draws, GroundDraw, Outcome, Reached};
use crate::units::OutOfRange;
use crate::units::range::{finite, from_to, less_than, not_negative, positive};

/// More steps than this to the reach are refused.
const MOST_STEPS: f64 = 2000.0;
/// Depths that differ by less of a step are the same: ends are kept compactly.
const SAME: f64 = 1e-4;
/// Going on has to bring more than this share of a well's worth: rounding
/// must not drill.
const EVEN: f64 = 1e-12;

/// What giving up is reckoned from.
#[derive(Debug, Clone, Copy)]
pub struct GiveUpInputs<'a> {
    /// The virtual bores.
    pub draws: &'a Draws,
    /// The number of the method.
    pub method: usize,
    /// What its holes cost.
    pub prices: HolePrices,
    /// What a working well is worth.
    pub well_worth: f64,
    /// The step of depth at which it is asked, metres.
    pub step_m: f64,
    /// How much each bore counts, where something has been seen since they
    /// were drawn (a growing log); all alike where `None`.
    pub weights: Option<&'a [f64]>,
}

/// The depth at which to give up, and what that plan is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct GiveUp {
    /// Whether to begin at all.
    pub begin: bool,
    /// The depth at which to give up, of the plan that is best once begun;
    /// that of the reach where going on is worth it to the end.
    pub depth_m: f64,
    /// How deep the method gets at most, metres.
    pub reach_m: f64,
    /// What the best plan brings over not drilling; 0 where it is not to
    /// begin.
    pub worth: f64,
    /// What beginning brings, giving up at the depth above.
    pub worth_if_begun: f64,
    /// What beginning brings when drilled to the method's reach.
    pub worth_to_reach: f64,
    /// The chance that a hole given up there becomes a well.
    pub chance: f64,
    /// Its average depth, metres.
    pub mean_depth_m: f64,
    /// Its average cost, whatever its end.
    pub mean_cost: f64,
    /// Why.
    pub why: WhyGiveUp,
    /// What lies ahead at each step's depth.
    pub steps: Vec<StepAhead>,
}

/// Why to give up where the plan says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhyGiveUp {
    /// Not even the best plan is worth the mobilisation.
    NotWorthBeginning {
        /// The chance of success of that plan.
        chance: f64,
        /// The chance it would take for the same metres; `None` where none is
        /// good enough.
        needed_chance: Option<f64>,
    },
    /// No bore that is still open there becomes a well below.
    NothingBelow {
        /// The metres that would be drilled for nothing, on average.
        more_m: f64,
        /// What they cost.
        more_cost: f64,
    },
    /// Too few of them do.
    TooFewBelow {
        /// The chance that one still open there becomes a well below, drilled
        /// to the reach.
        chance: f64,
        /// The chance it would take; `None` where none is good enough.
        needed_chance: Option<f64>,
        /// The further metres, on average.
        more_m: f64,
        /// What they cost.
        more_cost: f64,
    },
    /// Going on is worth it down to the reach.
    WorthItToReach,
}

/// What lies ahead of a hole that is still open at a depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepAhead {
    /// The depth, metres.
    pub depth_m: f64,
    /// The share of holes still open there.
    pub open: f64,
    /// The chance that one of them becomes a well below, drilled to the
    /// reach.
    pub chance: f64,
    /// What going on by the best plan brings over stopping there, for one of
    /// them; below 0 where it costs more than it is worth.
    pub gain: f64,
}

/// The best depth at which to give up.
///
/// # Errors
/// When there is no such method, no bore, or a figure is out of range.
pub fn give_up(inputs: &GiveUpInputs<'_>) -> Result<GiveUp, OutOfRange> {
    let holes = Holes::new(inputs)?;
    let ahead = backwards(&holes);
    let even = EVEN * (1.0 + holes.well_worth);
    let stop = ahead.iter().position(|s| s.go_on <= s.stop + even).unwrap_or(holes.steps.len());
    let reach = holes.steps.len();
    let plan = holes.plan(stop);
    let worth_if_begun = finite("the worth of drilling", plan.worth)?;
    let begin = worth_if_begun > 0.0;
    let why = if !begin {
        let best = holes.beyond(0, if stop == 0 { reach } else { stop });
        WhyGiveUp::NotWorthBeginning {
            chance: best.successes,
            needed_chance: best.needed_chance(holes.prices.mobilisation, 0.0),
        }
    } else if stop >= reach {
        WhyGiveUp::WorthItToReach
    } else {
        holes.beyond(stop, reach).why(&holes.prices)
    };
    let steps = ahead.iter().enumerate().filter(|(_, s)| s.open > 0.0);
    let steps = steps.map(|(k, s)| StepAhead {
        depth_m: holes.depth_m(k),
        open: s.open,
        chance: s.successes / s.open,
        gain: (s.go_on - s.stop) / s.open,
    });
    Ok(GiveUp {
        begin,
        depth_m: holes.depth_m(stop),
        reach_m: holes.depth_m(reach),
        worth: worth_if_begun.max(0.0),
        worth_if_begun,
        worth_to_reach: finite("the worth of drilling", holes.plan(reach).worth)?,
        chance: plan.chance,
        mean_depth_m: plan.mean_depth_m,
        mean_cost: plan.mean_cost,
        why,
        steps: steps.collect(),
    })
}

/// At a depth: all sums are over bores by their weights, which add to 1.
#[derive(Debug, Clone, Copy)]
struct Ahead {
    open: f64,
    successes: f64,
    stop: f64,
    go_on: f64,
}

/// The reckoning from the reach up to the ground.
fn backwards(holes: &Holes) -> Vec<Ahead> {
    let mut ahead = Vec::with_capacity(holes.steps.len());
    let mut below = Ahead { open: 0.0, successes: 0.0, stop: 0.0, go_on: 0.0 };
    for (k, step) in holes.steps.iter().enumerate().rev() {
        let drilled = below.open * holes.step_m + step.metres;
        let go_on = step.ends - holes.prices.per_metre * drilled + below.stop.max(below.go_on);
        let open = below.open + step.weight;
        let stop = if k == 0 { 0.0 } else { -holes.prices.abandonment * open };
        below = Ahead { open, successes: below.successes + step.successes, stop, go_on };
        ahead.push(below);
    }
    ahead.reverse();
    ahead
}

/// One bore as the reckoning sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hole {
    pub(super) weight: f64,
    /// The step in which it ends, from 0.
    pub(super) step: usize,
    pub(super) depth_m: f64,
    /// What its end brings, without the drilling.
    pub(super) end: f64,
    pub(super) success: bool,
}

/// The bores that end in one step.
#[derive(Debug, Clone, Copy, Default)]
struct Step {
    weight: f64,
    successes: f64,
    /// Sum of what their ends bring.
    ends: f64,
    /// The part of that from successes.
    success_ends: f64,
    /// Metres drilled within the step.
    metres: f64,
}

/// All bores of a method, by the step in which they end.
#[derive(Debug)]
struct Holes {
    prices: HolePrices,
    well_worth: f64,
    step_m: f64,
    deepest_m: f64,
    steps: Vec<Step>,
}

/// Every bore of the method, with its weight as a share of all.
pub(super) fn holes_of<'a>(
    inputs: &'a GiveUpInputs<'a>,
) -> Result<impl Iterator<Item = (&'a GroundDraw, Hole)>, OutOfRange> {
    let GiveUpInputs { draws, method, prices, well_worth, step_m, weights } = *inputs;
    let prices = prices.checked()?;
    let worth = amount("the worth of a working well", well_worth)?;
    let step_m = positive("the step of depth (m)", step_m)?;
    let deepest_m = bores(draws, method).map(|(_, end)| f64::from(end.depth_m)).fold(0.0, f64::max);
    from_to("the steps to the reach", deepest_m / step_m, 0.0, MOST_STEPS)?;
    let (bores_drawn, methods) = (draws.grounds.len(), draws.methods());
    less_than("the number of the method", method as f64, methods as f64)?;
    if let Some(weights) = weights {
        from_to("the weights of the bores", weights.len() as f64, bores_drawn as f64, bores_drawn as f64)?;
        for weight in weights {
            not_negative("the weight of a bore", *weight)?;
        }
    }
    let sum = weights.map_or(bores(draws, method).count() as f64, |w| w.iter().sum());
    let sum = positive("the weight of all bores", sum)?;
    let weight = move |i: usize| weights.map_or(1.0, |w| w.get(i).copied().unwrap_or(0.0)) / sum;
    Ok(bores(draws, method).enumerate().map(move |(i, (ground, end))| {
        let depth_m = f64::from(end.depth_m);
        let success = end.outcome == Outcome::Success;
        let brings = match end.outcome {
            Outcome::Success => worth - prices.finishing(depth_m),
            Outcome::PoorQuality => -prices.spoilt(depth_m),
            _ => -prices.abandonment,
        };
        let step = steps_to(depth_m, step_m).saturating_sub(1);
        (ground, Hole { weight: weight(i), step, depth_m, end: brings, success })
    }))
}

fn bores(draws: &Draws, method: usize) -> impl Iterator<Item = (&GroundDraw, &Reached)> {
    draws.iter().filter_map(move |(ground, ends)| Some((ground, ends.get(method)?)))
}

/// How many steps it takes to get to a depth.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be a small count")]
pub(super) fn steps_to(depth_m: f64, step_m: f64) -> usize {
    (depth_m / step_m - SAME).ceil().max(0.0) as usize
}

impl Holes {
    fn new(inputs: &GiveUpInputs<'_>) -> Result<Self, OutOfRange> {
        let mut steps: Vec<Step> = Vec::new();
        let mut deepest_m: f64 = 0.0;
        for (_, hole) in holes_of(inputs)?.filter(|(_, h)| h.weight > 0.0) {
            deepest_m = deepest_m.max(hole.depth_m);
            if steps.len() <= hole.step {
                steps.resize(hole.step + 1, Step::default());
            }
            let Some(step) = steps.get_mut(hole.step) else { continue };
            step.weight += hole.weight;
            step.ends += hole.weight * hole.end;
            step.metres += hole.weight * (hole.depth_m - hole.step as f64 * inputs.step_m);
            if hole.success {
                step.successes += hole.weight;
                step.success_ends += hole.weight * hole.end;
            }
        }
        let GiveUpInputs { prices, well_worth, step_m, .. } = *inputs;
        Ok(Self { prices, well_worth, step_m, deepest_m, steps })
    }

    fn depth_m(&self, step: usize) -> f64 {
        (step as f64 * self.step_m).min(self.deepest_m)
    }

    /// What lies between two depths for the bores open at the first.
    fn beyond(&self, from: usize, to: usize) -> Beyond {
        let mut beyond = Beyond::default();
        let mut within = Step::default();
        for (k, step) in self.steps.iter().enumerate().skip(from) {
            beyond.open += step.weight;
            if k < to {
                within.weight += step.weight;
                within.successes += step.successes;
                within.ends += step.ends;
                within.success_ends += step.success_ends;
                beyond.metres += step.metres + step.weight * (self.depth_m(k) - self.depth_m(from));
            }
        }
        let left = (beyond.open - within.weight).max(0.0);
        beyond.metres += left * (self.depth_m(to) - self.depth_m(from));
        beyond.successes = within.successes;
        beyond.success_ends = within.success_ends;
        let given_up = if to == 0 { 0.0 } else { self.prices.abandonment * left };
        beyond.failure_ends = within.ends - within.success_ends - given_up;
        beyond.per_metre = self.prices.per_metre;
        beyond.gain = if within.successes > 0.0 {
            within.success_ends / within.successes
        } else {
            self.well_worth - self.prices.finishing(self.depth_m(to))
        };
        beyond
    }

    /// Begin, and give up after so many steps.
    fn plan(&self, steps: usize) -> PlanOutcome {
        let all = self.beyond(0, steps);
        let drilling = self.prices.mobilisation + self.prices.per_metre * all.metres;
        let worth = all.success_ends + all.failure_ends - drilling;
        PlanOutcome {
            worth,
            chance: all.successes,
            mean_depth_m: all.metres,
            mean_cost: self.well_worth * all.successes - worth,
        }
    }
}

/// What a plan comes to on average.
#[derive(Debug, Clone, Copy)]
struct PlanOutcome {
    worth: f64,
    chance: f64,
    mean_depth_m: f64,
    mean_cost: f64,
}

/// What lies between two depths, summed over the bores open at the first.
#[derive(Debug, Clone, Copy, Default)]
struct Beyond {
    open: f64,
    successes: f64,
    success_ends: f64,
    /// Below 0.
    failure_ends: f64,
    metres: f64,
    per_metre: f64,
    /// What one success brings: on average, or at the end where there is none.
    gain: f64,
}

impl Beyond {
    /// The share of successes at which the metres pay, each success and each
    /// failure being as on average: (c·m + begun + f − saved)/(g + f), with g
    /// what a success brings, f what a failure loses, m the metres, `begun`
    /// what beginning costs and `saved` what stopping costs instead.
    fn needed_chance(&self, begun: f64, saved: f64) -> Option<f64> {
        let failures = self.open - self.successes;
        let gain = self.gain;
        let loss = if failures > 0.0 { -self.failure_ends / failures } else { 0.0 };
        let spent = begun + self.per_metre * self.metres / self.open - saved;
        let needed = (spent + loss) / (gain + loss);
        (gain + loss > 0.0 && needed <= 1.0).then(|| needed.max(0.0))
    }

    fn why(&self, prices: &HolePrices) -> WhyGiveUp {
        let more_m = self.metres / self.open;
        let more_cost = more_m * self.per_metre;
        if self.successes <= 0.0 {
            return WhyGiveUp::NothingBelow { more_m, more_cost };
        }
        WhyGiveUp::TooFewBelow {
            chance: self.successes / self.open,
            needed_chance: self.needed_chance(0.0, prices.abandonment),
            more_m,
            more_cost,
        }
    }
}

#[cfg(test)]
#[path = "give_up_tests.rs"]
mod tests;
