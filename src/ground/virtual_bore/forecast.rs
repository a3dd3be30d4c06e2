//! Drilling all virtual bores, and what they add up to.

use rayon::prelude::*;

use super::super::interval::{ChanceBand, HALF_BAND_80, HALF_BAND_95};
use super::drill::{Column, Drill, Outcome, Reached, Wanted};
use super::ground::{DrawnGround, Grounds};
use super::inputs::{InputFault, MethodInputs, VirtualBoreInputs};
use crate::stats::Random;

/// Bores drilled by one thread at a time: enough to be worth handing over.
const BORES_AT_A_TIME: usize = 128;

/// A chance counted from virtual bores, with what may be wrong with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// The chance.
    pub value: f64,
    /// 95 % band for having drawn only so many bores.
    pub drawing95: ChanceBand,
    /// 80 % band for that and for resting on so few logs.
    pub band80: ChanceBand,
    /// 95 % band for that and for resting on so few logs.
    pub band95: ChanceBand,
}

/// The chance of each way to fail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Failures {
    /// Refused by the ground.
    pub refused: f64,
    /// No ground that bears water below the level.
    pub dry: f64,
    /// Too little of it for the least screen.
    pub thin_screen: f64,
    /// Too little water.
    pub low_yield: f64,
    /// Enough water, of poor quality.
    pub poor_quality: f64,
}

/// A quantity over many bores.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// 2.5 % lie below.
    pub low95: f64,
    /// 10 % lie below.
    pub low80: f64,
    /// Half lie below.
    pub median: f64,
    /// 10 % lie above.
    pub high80: f64,
    /// 2.5 % lie above.
    pub high95: f64,
}

/// The chance that a method gets past a depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PastShare {
    /// The depth, metres.
    pub depth_m: f64,
    /// The chance.
    pub share: f64,
}

/// What one method's bores came to.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodForecast {
    /// The method's name.
    pub name: String,
    /// The chance of success.
    pub success: Share,
    /// The chances of failing.
    pub failures: Failures,
    /// Depth of every hole, metres.
    pub depth_m: Spread,
    /// Depth of the holes that are a success; `None` where there is none.
    pub depth_of_success_m: Option<Spread>,
    /// What every hole as left gives at most, litres a second.
    pub yield_lps: Spread,
    /// What those that are a success give; `None` where there is none.
    pub yield_of_success_lps: Option<Spread>,
    /// The chance to get past each step's depth, above the method's greatest.
    pub past: Vec<PastShare>,
    /// The share of bores whose end hangs on ground below every log.
    pub unseen: f64,
    /// What a hole costs on average, success or not.
    pub mean_cost: f64,
    /// What a success costs on average, the failures on the way included;
    /// `None` where there is none.
    pub cost_per_success: Option<f64>,
}

/// What all virtual bores came to.
#[derive(Debug, Clone, PartialEq)]
pub struct VirtualBores {
    /// Each method, in the order given.
    pub methods: Vec<MethodForecast>,
    /// Number of the method with the greatest chance of success; the cheaper
    /// one where chances are the same.
    pub best: usize,
    /// How many bores at the peg the logs are worth.
    pub worth: f64,
    /// The share of that which is the region's prior.
    pub prior_share: f64,
    /// Depth to water in the driest month, metres.
    pub level_m: Spread,
    /// Each bore.
    pub draws: Draws,
}

/// One drawn ground, kept compactly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundDraw {
    /// The log it began with: neighbours' first, then the prior's, in the
    /// order given.
    pub log: u32,
    /// Depth to water in the driest month, metres.
    pub level_m: f32,
    /// Least depth at which a hole would be a success, were it to get there
    /// and the water good; `None` where there is none.
    pub needed_m: Option<f32>,
    /// Depth to which some log shows the ground.
    pub seen_to_m: f32,
    /// Depth at which a hole that got there would have met ground that bears
    /// water below the level, to the step; `None` where there is none.
    pub first_water_m: Option<f32>,
}

/// Every bore, for what is worked out from them later.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Draws {
    /// The ground of each bore.
    pub grounds: Vec<GroundDraw>,
    /// Where each method ended in it: the methods of the first bore, then
    /// those of the second, and so on.
    pub reached: Vec<Reached>,
    methods: usize,
}

impl Draws {
    /// Bores with where each of so many methods ended in them; `None` where
    /// there is not one end for each.
    pub fn new(grounds: Vec<GroundDraw>, reached: Vec<Reached>, methods: usize) -> Option<Self> {
        let even = methods > 0 && grounds.len().checked_mul(methods) == Some(reached.len());
        even.then_some(Self { grounds, reached, methods })
    }

    /// How many methods drilled each ground.
    pub fn methods(&self) -> usize {
        self.methods
    }

    /// Each ground with where each method ended in it.
    pub fn iter(&self) -> impl Iterator<Item = (&GroundDraw, &[Reached])> {
        self.grounds.iter().zip(self.reached.chunks(self.methods.max(1)))
    }

    /// Each ground with where one method ended in it.
    fn of(&self, method: usize) -> impl Iterator<Item = (&GroundDraw, &Reached)> {
        self.grounds.iter().zip(self.reached.iter().skip(method).step_by(self.methods.max(1)))
    }
}

/// Drills all virtual bores.
///
/// # Errors
/// When the inputs are not such that a bore could be drawn from them.
pub fn virtual_bores(inputs: &VirtualBoreInputs) -> Result<VirtualBores, InputFault> {
    inputs.check()?;
    let grounds = Grounds::new(inputs).ok_or(InputFault::NoGround)?;
    let draws = draw_all(inputs, &grounds);
    let worth = grounds.bores();
    let methods: Vec<_> = inputs
        .methods
        .par_iter()
        .enumerate()
        .map(|(number, method)| forecast(inputs, method, number, &draws, worth))
        .collect();
    let best = best_of(&methods);
    let level_m = spread(draws.grounds.iter().map(|g| g.level_m)).unwrap_or(NO_SPREAD);
    let prior_share = grounds.share_from(inputs.logs.len());
    Ok(VirtualBores { methods, best, worth, prior_share, level_m, draws })
}

fn draw_all(inputs: &VirtualBoreInputs, grounds: &Grounds<'_>) -> Draws {
    let deepest_m = inputs.methods.iter().map(|m| m.max_depth_m).fold(0.0, f64::max);
    let wanted = Wanted::new(inputs.design, deepest_m, inputs.poor_quality_chance);
    let drills: Vec<_> = inputs.methods.iter().map(Drill::new).collect();
    let bores = inputs.bores as usize;
    let methods = drills.len();
    let blank = GroundDraw { log: 0, level_m: 0.0, needed_m: None, seen_to_m: 0.0, first_water_m: None };
    let mut draws =
        Draws { grounds: vec![blank; bores], reached: vec![Reached::NOWHERE; bores * methods], methods };
    draws
        .grounds
        .par_chunks_mut(BORES_AT_A_TIME)
        .zip(draws.reached.par_chunks_mut(BORES_AT_A_TIME * methods))
        .enumerate()
        .for_each_init(
            || (DrawnGround::default(), Column::default()),
            |(ground, column), (chunk, (kept, reached))| {
                let first = chunk * BORES_AT_A_TIME;
                for (number, (kept, reached)) in kept.iter_mut().zip(reached.chunks_mut(methods)).enumerate()
                {
                    let mut random = Random::of_draw(inputs.seed, (first + number) as u64);
                    grounds.draw(&mut random, ground);
                    column.take(ground, &wanted);
                    let least = column.least_depth_m(ground.level_m, &wanted);
                    for (drill, reached) in drills.iter().zip(reached) {
                        *reached = column.drill(ground, drill, least, &wanted);
                    }
                    *kept = kept_of(ground, least, column.first_water_m(ground.level_m));
                }
            },
        );
    draws
}

#[allow(clippy::cast_possible_truncation, reason = "kept compactly")]
fn kept_of(ground: &DrawnGround, least: Option<f64>, first_water: Option<f64>) -> GroundDraw {
    GroundDraw {
        log: ground.log,
        level_m: ground.level_m.min(f64::from(f32::MAX)) as f32,
        needed_m: least.map(|d| d as f32),
        seen_to_m: ground.seen_to_m as f32,
        first_water_m: first_water.map(|d| d as f32),
    }
}

fn forecast(
    inputs: &VirtualBoreInputs,
    method: &MethodInputs,
    number: usize,
    draws: &Draws,
    worth: f64,
) -> MethodForecast {
    let bores = f64::from(inputs.bores);
    let share = |outcome: Outcome| {
        let count: u32 = draws.of(number).map(|(_, r)| u32::from(r.outcome == outcome)).sum();
        f64::from(count) / bores
    };
    let success = share(Outcome::Success);
    let unseen: u32 = draws.of(number).map(|(g, r)| u32::from(hangs_on_the_unseen(g, r))).sum();
    let succeeded = || draws.of(number).map(|(_, r)| r).filter(|r| r.outcome == Outcome::Success);
    let metres: f64 = draws.of(number).map(|(_, r)| f64::from(r.depth_m)).sum();
    let mean_cost = method.mobilisation + method.per_metre * metres / bores;
    MethodForecast {
        name: method.name.clone(),
        success: with_bands(success, bores, worth),
        failures: Failures {
            refused: share(Outcome::Refused),
            dry: share(Outcome::Dry),
            thin_screen: share(Outcome::ThinScreen),
            low_yield: share(Outcome::LowYield),
            poor_quality: share(Outcome::PoorQuality),
        },
        depth_m: spread(draws.of(number).map(|(_, r)| r.depth_m)).unwrap_or(NO_SPREAD),
        depth_of_success_m: spread(succeeded().map(|r| r.depth_m)),
        yield_lps: spread(draws.of(number).map(|(_, r)| r.yield_lps)).unwrap_or(NO_SPREAD),
        yield_of_success_lps: spread(succeeded().map(|r| r.yield_lps)),
        past: past(draws, number, method.max_depth_m, inputs.design.step_m, bores),
        unseen: f64::from(unseen) / bores,
        mean_cost,
        cost_per_success: (success > 0.0).then(|| mean_cost / success),
    }
}

/// Whether ground that no log shows decided how a hole ended.
fn hangs_on_the_unseen(ground: &GroundDraw, reached: &Reached) -> bool {
    match reached.outcome {
        Outcome::Success | Outcome::PoorQuality => reached.depth_m > ground.seen_to_m,
        // Stopped at the very end of what is shown: by what is not.
        Outcome::Refused => reached.depth_m >= ground.seen_to_m,
        Outcome::Dry | Outcome::ThinScreen | Outcome::LowYield => reached.reach_m > ground.seen_to_m,
    }
}

/// The evidence is worth so many bores, the draw is so many: their variances
/// add.
fn with_bands(value: f64, bores: f64, worth: f64) -> Share {
    let both = if worth > 0.0 { 1.0 / (1.0 / bores + 1.0 / worth) } else { 0.0 };
    Share {
        value,
        drawing95: ChanceBand::wilson(value, bores, HALF_BAND_95),
        band80: ChanceBand::wilson(value, both, HALF_BAND_80),
        band95: ChanceBand::wilson(value, both, HALF_BAND_95),
    }
}

fn past(draws: &Draws, method: usize, max_depth_m: f64, step_m: f64, bores: f64) -> Vec<PastShare> {
    let mut reach: Vec<f32> = draws.of(method).map(|(_, r)| r.reach_m).collect();
    reach.sort_unstable_by(f32::total_cmp);
    (0u32..)
        .map(|k| f64::from(k) * step_m)
        .take_while(|depth_m| *depth_m < max_depth_m)
        .map(|depth_m| {
            let stopped = reach.partition_point(|r| f64::from(*r) <= depth_m);
            #[allow(clippy::cast_precision_loss, reason = "a count of bores")]
            let share = (reach.len() - stopped) as f64 / bores;
            PastShare { depth_m, share }
        })
        .collect()
}

fn best_of(methods: &[MethodForecast]) -> usize {
    let mut best = 0;
    for (number, method) in methods.iter().enumerate().skip(1) {
        let Some(so_far) = methods.get(best) else { break };
        let better = method.success.value.total_cmp(&so_far.success.value);
        if better.then(so_far.mean_cost.total_cmp(&method.mean_cost)).is_gt() {
            best = number;
        }
    }
    best
}

const NO_SPREAD: Spread = Spread { low95: 0.0, low80: 0.0, median: 0.0, high80: 0.0, high95: 0.0 };

fn spread(values: impl Iterator<Item = f32>) -> Option<Spread> {
    let mut values: Vec<f32> = values.collect();
    values.sort_unstable_by(f32::total_cmp);
    let last = values.len().checked_sub(1)?;
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a share of a count of bores"
    )]
    let at = |share: f64| {
        let place = share * last as f64;
        let (low, between) = (place.floor(), place.fract());
        let pick = |i: usize| values.get(i.min(last)).copied().map_or(0.0, f64::from);
        let (a, b) = (pick(low as usize), pick(low as usize + 1));
        a + (b - a) * between
    };
    Some(Spread { low95: at(0.025), low80: at(0.1), median: at(0.5), high80: at(0.9), high95: at(0.975) })
}
