//! What could be found out before drilling, and how likely each result is in
//! each bore. These chances say how much a result tells; where a region sets
//! them they are priors of common practice.

use super::scenarios::Scenarios;
use crate::ground::virtual_bore::{GroundDraw, Outcome, Reached};
use crate::units::OutOfRange;
use crate::units::range::{from_to, not_negative, share};

use super::readings::{LevelReading, levels};

/// A sign with two results, and how often it is right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sign {
    /// The chance that it shows what is there.
    pub sensitivity: f64,
    /// The chance that it does not show what is not there.
    pub specificity: f64,
}

impl Sign {
    pub(super) fn checked(self) -> Result<Self, OutOfRange> {
        share("the sensitivity of a sign", self.sensitivity)?;
        share("the specificity of a sign", self.specificity)?;
        Ok(self)
    }

    /// The chance that it shows, where the thing is there with that chance.
    pub(super) fn shows(&self, there: f64) -> f64 {
        there * self.sensitivity + (1.0 - there) * (1.0 - self.specificity)
    }
}

/// Something that could be found out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Observation {
    /// Ask at more wells of the same neighbourhood: whether each became a
    /// working well, and how deep its water stands in the driest month.
    Neighbours {
        /// How many.
        count: u32,
        /// The chance that the ground at such a well is that of the peg; else
        /// it is any ground of the neighbourhood.
        alike: f64,
        /// How far the level at one of them, told from memory, may be from
        /// the level at the peg; standard deviation, metres.
        level_error_sd_m: f64,
    },
    /// Wait for the driest month and measure the level in a well near by.
    DrySeasonLevel {
        /// The part of what is not known of the level that is due to the
        /// season; standard deviation, metres.
        season_sd_m: f64,
        /// Error of the reading; standard deviation, metres.
        error_sd_m: f64,
    },
    /// A small auger hole on the spot: does it meet ground that bears water,
    /// is it stopped before, or neither? The level in it is not counted.
    TrialHole {
        /// How deep it gets, metres.
        reach_m: f64,
        /// The number of the method that is stopped by what stops it; `None`:
        /// by what stops the least able of all.
        like_method: Option<usize>,
        /// Whether it shows ground that bears water.
        sign: Sign,
    },
    /// A resistivity sounding: does the ground look as if it gave enough
    /// water within the best method's reach?
    Resistivity {
        /// Whether it shows such ground.
        sign: Sign,
    },
    /// A field kit on the water of wells near by: is it poor?
    QualityKit {
        /// Whether it shows that the water at the peg would be poor.
        sign: Sign,
    },
    /// Tape the distance to a hazard again, that may be below its limit.
    TapeAgain {
        /// The chance that it is below.
        chance_below: f64,
        /// What is lost by a well drilled too near.
        loss: f64,
        /// Whether the tape shows that it is below.
        sign: Sign,
    },
}

/// One result of an observation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// What was looked for is there: ground that bears water, enough water,
    /// poor water, a distance below the limit.
    There,
    /// It is not.
    NotThere,
    /// The trial hole was stopped before it met water.
    Stopped,
    /// A level between two depths, metres; `None` where there is no end to it.
    Level {
        /// The shallower.
        from_m: Option<f64>,
        /// The deeper.
        to_m: Option<f64>,
    },
    /// So many good wells, with such a level on average.
    Neighbours {
        /// How many of them became working wells.
        good: u32,
        /// Their level, from.
        from_m: Option<f64>,
        /// Their level, to.
        to_m: Option<f64>,
    },
}

/// More neighbours than this are no quick asking.
const MOST_NEIGHBOURS: f64 = 10.0;
/// The share of good wells in the ground of one log is drawn towards that of
/// all as by so many bores: few bores of one log say little of it, and not
/// more than nothing of the bore itself.
const DRAWN_TOWARDS_ALL: f64 = 20.0;

/// Each result with its chance in each bore.
pub(super) type Results = Vec<(Seen, Vec<f64>)>;

impl Observation {
    /// Every result with its chance in each bore; `None` for what is not
    /// about the ground.
    pub(super) fn results(&self, scenarios: &Scenarios<'_>) -> Result<Option<Results>, OutOfRange> {
        Ok(Some(match *self {
            Observation::Neighbours { count, alike, level_error_sd_m } => {
                neighbours(scenarios, count, alike, level_error_sd_m)?
            }
            Observation::DrySeasonLevel { season_sd_m, error_sd_m } => {
                let reading = LevelReading::of_season(&levels(scenarios), season_sd_m, error_sd_m)?;
                reading.results(scenarios.iter().map(|(g, _, _)| f64::from(g.level_m)))
            }
            Observation::TrialHole { reach_m, like_method, sign } => {
                trial_hole(scenarios, reach_m, like_method, sign)?
            }
            Observation::Resistivity { sign } => {
                let enough = |o| if matches!(o, Outcome::Success | Outcome::PoorQuality) { 1.0 } else { 0.0 };
                two(sign, scenarios.best_ends().map(|(_, outcome, _)| enough(outcome)))?
            }
            Observation::QualityKit { sign } => {
                let poor = poor_share(scenarios);
                let chance = |outcome| match outcome {
                    Outcome::PoorQuality => 1.0,
                    Outcome::Success => 0.0,
                    // The quality of water that was not found.
                    _ => poor,
                };
                two(sign, scenarios.best_ends().map(|(_, outcome, _)| chance(outcome)))?
            }
            Observation::TapeAgain { .. } => return Ok(None),
        }))
    }
}

/// The two results of a sign, from the chance in each bore that the thing is
/// there.
fn two(sign: Sign, there: impl Iterator<Item = f64>) -> Result<Results, OutOfRange> {
    let sign = sign.checked()?;
    let shows: Vec<f64> = there.map(|p| sign.shows(p)).collect();
    let not = shows.iter().map(|p| 1.0 - p).collect();
    Ok(vec![(Seen::There, shows), (Seen::NotThere, not)])
}

/// The share of poor water among the bores that found enough.
fn poor_share(scenarios: &Scenarios<'_>) -> f64 {
    let (mut poor, mut all) = (0.0, 0.0);
    for (_, outcome, p) in scenarios.best_ends() {
        if matches!(outcome, Outcome::Success | Outcome::PoorQuality) {
            all += p;
            poor += if outcome == Outcome::PoorQuality { p } else { 0.0 };
        }
    }
    if all > 0.0 { poor / all } else { 0.0 }
}

fn trial_hole(
    scenarios: &Scenarios<'_>,
    reach_m: f64,
    like_method: Option<usize>,
    sign: Sign,
) -> Result<Results, OutOfRange> {
    let sign = sign.checked()?;
    let reach_m = not_negative("the reach of the trial hole (m)", reach_m)?;
    let mut rows = [Vec::new(), Vec::new(), Vec::new()];
    for (ground, ends, _) in scenarios.iter() {
        let true_sign = truth(ground, ends, reach_m, like_method);
        let water = sign.shows(if true_sign == Seen::There { 1.0 } else { 0.0 });
        let stopped = if true_sign == Seen::Stopped { 1.0 - water } else { 0.0 };
        for (row, chance) in rows.iter_mut().zip([water, stopped, 1.0 - water - stopped]) {
            row.push(chance.clamp(0.0, 1.0));
        }
    }
    let [water, stopped, neither] = rows;
    Ok(vec![(Seen::There, water), (Seen::Stopped, stopped), (Seen::NotThere, neither)])
}

/// What a trial hole that never errs would show.
fn truth(ground: &GroundDraw, ends: &[Reached], reach_m: f64, like_method: Option<usize>) -> Seen {
    let refused = |end: &Reached| (end.outcome == Outcome::Refused).then(|| f64::from(end.reach_m));
    let stopped_m = match like_method {
        Some(method) => ends.get(method).and_then(refused),
        None => ends.iter().filter_map(refused).min_by(f64::total_cmp),
    };
    let to_m = stopped_m.unwrap_or(f64::MAX).min(reach_m);
    match ground.first_water_m {
        Some(met_m) if f64::from(met_m) <= to_m => Seen::There,
        _ if stopped_m.is_some_and(|m| m <= reach_m) => Seen::Stopped,
        _ => Seen::NotThere,
    }
}

fn neighbours(
    scenarios: &Scenarios<'_>,
    count: u32,
    alike: f64,
    level_error_sd_m: f64,
) -> Result<Results, OutOfRange> {
    // The errors of the neighbours even out; their ends are as many tries.
    let n = from_to("the number of neighbours", f64::from(count), 1.0, MOST_NEIGHBOURS)?;
    let alike = share("the chance that a neighbour's ground is alike", alike)?;
    let error_sd_m = not_negative("the error of a level (m)", level_error_sd_m)? / n.sqrt();
    let (by_log, all) = good_shares(scenarios);
    let reading = LevelReading::with_error(&levels(scenarios), error_sd_m);
    let level = reading.results(scenarios.iter().map(|(g, _, _)| f64::from(g.level_m)));
    let mut results = Vec::new();
    for good in 0..=count {
        let chance = |ground: &GroundDraw| {
            let like = by_log.get(ground.log as usize).copied().unwrap_or(all);
            let p = alike * like + (1.0 - alike) * all;
            ways(count, good) * power(p, good) * power(1.0 - p, count - good)
        };
        let goods: Vec<f64> = scenarios.iter().map(|(ground, _, _)| chance(ground)).collect();
        for (seen, row) in &level {
            let Seen::Level { from_m, to_m } = *seen else { continue };
            let both = goods.iter().zip(row).map(|(a, b)| a * b).collect();
            results.push((Seen::Neighbours { good, from_m, to_m }, both));
        }
    }
    Ok(results)
}

/// The chance of a good well in the ground of each log, and over all.
fn good_shares(scenarios: &Scenarios<'_>) -> (Vec<f64>, f64) {
    let logs = scenarios.draws.grounds.iter().map(|g| (g.log as usize).saturating_add(1)).max().unwrap_or(0);
    // A log's number is below the count of logs, which are given one by one.
    let mut sums = vec![(0.0, 0.0); logs.min(scenarios.draws.grounds.len().max(MOST_LOGS))];
    let (mut all, mut good_all) = (0.0, 0.0);
    for (ground, outcome, p) in scenarios.best_ends() {
        let good = if outcome == Outcome::Success { p } else { 0.0 };
        all += p;
        good_all += good;
        if let Some(sum) = sums.get_mut(ground.log as usize) {
            *sum = (sum.0 + p, sum.1 + good);
        }
    }
    let share = if all > 0.0 { good_all / all } else { 0.0 };
    let towards = DRAWN_TOWARDS_ALL / scenarios.draws.grounds.len().max(1) as f64;
    let drawn = |&(p, good): &(f64, f64)| ((good + towards * share) / (p + towards)).clamp(0.0, 1.0);
    (sums.iter().map(drawn).collect(), share.clamp(0.0, 1.0))
}

/// No more logs than this are told apart, whatever numbers they carry.
const MOST_LOGS: usize = 100_000;

/// Binomial coefficient.
fn ways(of: u32, some: u32) -> f64 {
    (0..some).map(|k| f64::from(of - k) / f64::from(k + 1)).product()
}

#[allow(clippy::cast_possible_wrap, reason = "at most ten")]
fn power(p: f64, n: u32) -> f64 {
    p.powi(n as i32)
}
