//! Wells made ready to forecast a chance among them.

use rayon::prelude::*;

use super::depth::{Depth, Level};
use super::field::{Base, Counted, Field, apart_m, others, told};
use super::learn::Learning;
use super::near::{Near, Seen, Spot, Spots};
use super::skill::{self, LeftOutWell, Skill};
use super::system::{COARSE, FINE, System};
use super::{BadOccurrence, Basis, Known, Observation, Occurrence, OccurrencePrior, Options, Place, Weight};

/// Observations of weights below this are not named.
const NAMED: f64 = 0.005;
/// About how many spots are paired for what wells share on average.
const PAIRED: usize = 400;

/// Wells with what was learnt from them.
#[derive(Debug, Clone)]
pub struct OccurrenceModel {
    observations: Vec<Observation>,
    spots: Spots,
    /// Spots near each spot.
    near: Vec<Vec<Near>>,
    base: Base,
    field: Field,
    levels: Vec<Level>,
    /// As how many wells out of each other's reach they tell the base rate.
    base_wells: f64,
    basis: Basis,
    left_out: Vec<LeftOutWell>,
    skill: Option<Skill>,
}

impl OccurrenceModel {
    /// Learns from `observations` what they tell.
    ///
    /// # Errors
    /// When the prior, an observation or the options cannot be used.
    pub fn learn(
        prior: &OccurrencePrior,
        observations: &[Observation],
        options: Options,
    ) -> Result<Self, BadOccurrence> {
        let prior = prior.checked()?;
        check(observations)?;
        let vertical_length_m = options.vertical_length_m;
        if !(1e-3..=1e9).contains(&vertical_length_m) {
            return Err(BadOccurrence::Options);
        }
        let least = options.least_to_learn.max(2);
        let enough = observations.len() >= least;
        let basis = match observations.len() {
            0 => Basis::Prior,
            _ if enough => Basis::Learnt,
            _ => Basis::Region,
        };
        let spots = Spots::of(observations, options.nearest.max(1));
        let near = spots.near_each();
        let base = Base { prior, seen: Seen::all(observations), learnt: enough };
        let learning = Learning {
            base,
            observations,
            spots: &spots,
            near: &near,
            vertical_length_m,
            least_depths: least,
        };
        let learnt = enough.then(|| learning.learn());
        let field = learnt.as_ref().map_or_else(|| learning.expected(), |l| l.near.clone());
        let model = Self {
            observations: observations.to_vec(),
            spots,
            near,
            base,
            field,
            levels: Vec::new(),
            base_wells: 0.0,
            basis,
            left_out: Vec::new(),
            skill: None,
        }
        .scored();
        let tells = model.skill.is_some_and(|s| s.tells());
        Ok(match learnt {
            Some(learnt) if !tells => model.pooled(learnt.apart),
            _ => model,
        })
    }

    /// Each well left out, and the scores of that.
    fn scored(mut self) -> Self {
        self.levels = self.field.levels(&self.spots);
        let each = |(i, spot): (usize, &Spot)| self.left_out_of(i, spot);
        let mut left_out: Vec<LeftOutWell> =
            self.spots.all.par_iter().enumerate().flat_map_iter(each).collect();
        left_out.sort_by_key(|l| l.observation);
        self.skill = skill::of(&left_out, &self.observations, &self.spots, &self.near);
        self.left_out = left_out;
        self.base_wells = self.wells_in_base();
        self
    }

    /// The wells of one spot, each left out; those that show the same are
    /// forecast the same.
    fn left_out_of(&self, i: usize, spot: &Spot) -> Vec<LeftOutWell> {
        let (Some(level), Some(near)) = (self.levels.get(i), self.near.get(i)) else { return Vec::new() };
        let mut told_before: Vec<(f64, f64)> = Vec::new();
        let mut left_out = Vec::with_capacity(spot.wells.len());
        for well in &spot.wells {
            let Some(yes) = self.observations.get(*well).map(|o| o.yes) else { continue };
            let base = self.base.without(yes);
            let before = told_before.iter().find(|(seen, _)| seen.total_cmp(&yes).is_eq());
            let chance = before.map(|(_, chance)| *chance).unwrap_or_else(|| {
                let counted = others(&self.spots, i, yes, near);
                let weights = self.system(level, &counted).weights(self.field.worth_wells, COARSE);
                let chance = told(base, &counted, &weights);
                if told_before.len() < 8 {
                    told_before.push((yes, chance));
                }
                chance
            });
            left_out.push(LeftOutWell::new(*well, yes, chance, base));
        }
        left_out
    }

    /// The base rate for every place. What was tried and found wanting is
    /// what the skill tells; how much places may differ stands.
    fn pooled(mut self, apart: Field) -> Self {
        self.basis = Basis::Pooled;
        self.levels = apart.levels(&self.spots);
        self.field = apart;
        self.base_wells = self.wells_in_base();
        for l in &mut self.left_out {
            *l = LeftOutWell::new(l.observation, l.yes, l.base, l.base);
        }
        self
    }

    /// As how many wells out of each other's reach all wells tell the base
    /// rate: n/(1 + (n − 1)·r), r what two of them share on average (the
    /// design effect of clusters; Kish 1965, Survey Sampling; from memory).
    fn wells_in_base(&self) -> f64 {
        let n = self.base.seen.n;
        let step = self.spots.all.len().div_ceil(PAIRED).max(1);
        let some: Vec<(&Spot, &Level)> = self.spots.all.iter().zip(&self.levels).step_by(step).collect();
        let (mut alike, mut pairs) = (0.0, 0.0);
        for (i, (a, level)) in some.iter().enumerate() {
            let own = a.seen.n * (a.seen.n - 1.0);
            alike += own;
            pairs += own;
            for (b, other) in some.iter().take(i) {
                let pair = 2.0 * a.seen.n * b.seen.n;
                let [dx, dy] = [a.at[0] - b.at[0], a.at[1] - b.at[1]];
                alike += pair * self.field.alike(dx.hypot(dy), level, other);
                pairs += pair;
            }
        }
        let share = if pairs > 0.0 { alike / pairs / (self.field.worth_wells + 1.0) } else { 0.0 };
        n / (1.0 + (n - 1.0).max(0.0) * share)
    }

    /// How likely it holds at a place.
    ///
    /// # Errors
    /// When the place cannot be used.
    pub fn at(&self, place: Place) -> Result<Occurrence, BadOccurrence> {
        self.forecast(place, None)
    }

    /// The same without the observations that `skip` names by their place in
    /// the list: the length and worth learnt from all stand, for blocks left
    /// out.
    ///
    /// # Errors
    /// When the place cannot be used.
    pub fn at_without(
        &self,
        place: Place,
        skip: impl Fn(usize) -> bool,
    ) -> Result<Occurrence, BadOccurrence> {
        self.forecast(place, Some(&skip))
    }

    fn forecast(
        &self,
        place: Place,
        skip: Option<&dyn Fn(usize) -> bool>,
    ) -> Result<Occurrence, BadOccurrence> {
        let depth = check_place(&place)?;
        let kept = Kept::of(self, skip);
        let base = self.base.chance(kept.all);
        let prior_worth = self.base.prior.worth_wells;
        let worth = self.field.worth_wells;
        // Variances relative to that of the chance at a place of which nothing
        // is known, which is 1/(worth + 1) of that of a single well.
        let (base_unsure, prior_in_base) = match self.base.learnt {
            true => {
                let base_wells = self.base_wells * kept.all.n / self.base.seen.n.max(1.0);
                let unsure = (worth + 1.0) / (prior_worth + base_wells + 1.0);
                (unsure, prior_worth / (prior_worth + kept.all.n))
            }
            false => (0.0, 1.0),
        };
        let sums = match self.basis {
            Basis::Pooled => Sums { variance: 1.0, ..Sums::default() },
            _ => self.weighted(&place, self.field.depths.level(depth), &kept),
        };
        let of_base = 1.0 - sums.weight;
        let chance = base + sums.yes - sums.weight * base;
        let variance = sums.variance + of_base * of_base * base_unsure;
        let unsure_base = of_base * of_base * kept.all.unsure / (prior_worth + kept.all.n).powi(2);
        let unsure = sums.unsure + if self.base.learnt { unsure_base } else { 0.0 };
        let known = Known {
            chance,
            worth_wells: less_sure(chance, worth / variance, unsure),
            worth_without: worth / (1.0 + base_unsure),
            prior_share: of_base * prior_in_base,
            base_share: of_base,
        };
        let weights = match self.basis {
            Basis::Pooled => kept.all_alike(1.0 - prior_in_base),
            _ => sums.weights,
        };
        let basis = if kept.all.n > 0.0 { self.basis } else { Basis::Prior };
        Occurrence::new(known, weights, basis)
    }

    fn system(&self, place: &Level, counted: &[Counted]) -> System {
        let apart_m = apart_m(counted, &self.spots);
        self.field.system(place, counted, &apart_m, &self.levels).unwrap_or_default()
    }

    /// The weights of the wells near a place, and what they come to.
    fn weighted(&self, place: &Place, level: Level, kept: &Kept<'_>) -> Sums {
        let at = [place.east_m, place.north_m];
        let near = self.spots.near(at, |spot| kept.spot(spot).n > 0.5);
        let counted: Vec<Counted> =
            near.into_iter().map(|near| Counted { near, seen: kept.spot(near.spot) }).collect();
        let worth = self.field.worth_wells;
        let system = self.system(&level, &counted);
        let shares = system.weights(worth, FINE);
        let mut sums = Sums { variance: system.variance(worth, &shares), ..Sums::default() };
        for (c, share) in counted.iter().zip(&shares) {
            let of_well = share / c.seen.n;
            sums.weight += share;
            sums.yes += of_well * c.seen.yes;
            sums.unsure += of_well * of_well * c.seen.unsure;
            if of_well >= NAMED {
                let wells = self.spots.all.get(c.near.spot).map_or(&[][..], |s| &s.wells);
                let named = wells.iter().filter(|w| kept.well(**w));
                sums.weights.extend(named.map(|w| Weight { observation: *w, weight: of_well }));
            }
        }
        sums.weights.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.observation.cmp(&b.observation)));
        sums
    }

    /// What forecasts rest on.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// Every observation forecast from the others, in the order given; length
    /// and worth were learnt with it.
    pub fn left_out(&self) -> &[LeftOutWell] {
        &self.left_out
    }

    /// How well the wells forecast each other; `None` with fewer than ten.
    pub fn skill(&self) -> Option<Skill> {
        self.skill
    }

    /// The base rate: the chance far from all wells.
    pub fn base_rate(&self) -> f64 {
        self.base.chance(self.base.seen)
    }

    /// The worth in wells of what is known of a place without wells near, and
    /// the length over which places have something in common, metres.
    pub fn nearness(&self) -> (f64, f64) {
        (self.field.worth_wells, self.field.length_m)
    }
}

/// Sums over the wells near a place.
#[derive(Debug, Default)]
struct Sums {
    weight: f64,
    yes: f64,
    unsure: f64,
    variance: f64,
    weights: Vec<Weight>,
}

/// The observations that are not skipped.
struct Kept<'a> {
    model: &'a OccurrenceModel,
    skip: Option<&'a dyn Fn(usize) -> bool>,
    all: Seen,
}

impl<'a> Kept<'a> {
    fn of(model: &'a OccurrenceModel, skip: Option<&'a dyn Fn(usize) -> bool>) -> Self {
        let all = match skip {
            None => model.base.seen,
            Some(skip) => {
                let kept = model.observations.iter().enumerate().filter(|(i, _)| !skip(*i));
                kept.fold(Seen::default(), |all, (_, o)| all.with(Seen::of(o.yes)))
            }
        };
        Self { model, skip, all }
    }

    fn well(&self, well: usize) -> bool {
        self.skip.is_none_or(|skip| !skip(well))
    }

    fn spot(&self, spot: usize) -> Seen {
        let Some(spot) = self.model.spots.all.get(spot) else { return Seen::default() };
        let Some(skip) = self.skip else { return spot.seen };
        let kept = spot.wells.iter().filter(|w| !skip(**w));
        let seen = kept.filter_map(|w| self.model.observations.get(*w)).map(|o| Seen::of(o.yes));
        seen.fold(Seen::default(), Seen::with)
    }

    /// Every well counting the same.
    fn all_alike(&self, of_all: f64) -> Vec<Weight> {
        let weight = of_all / self.all.n.max(1.0);
        if weight < NAMED {
            return Vec::new();
        }
        let named = (0..self.model.observations.len()).filter(|i| self.well(*i));
        named.map(|observation| Weight { observation, weight }).collect()
    }
}

/// The worth of a chance that is, whatever the unsure readings really are,
/// one of `worth` wells, and varies by `unsure` with what they are: the law of
/// total variance.
fn less_sure(chance: f64, worth: f64, unsure: f64) -> f64 {
    let single = chance * (1.0 - chance);
    if unsure <= 0.0 || single <= 0.0 {
        return worth;
    }
    let variance = (single - unsure).max(0.0) / (worth + 1.0) + unsure;
    (single / variance - 1.0).clamp(1e-3, worth)
}

fn check(observations: &[Observation]) -> Result<(), BadOccurrence> {
    let bad = |o: &Observation| {
        let numbers = [o.east_m, o.north_m, o.depth_m.unwrap_or(0.0)];
        !numbers.iter().all(|v| v.is_finite() && v.abs() < 1e9) || !(0.0..=1.0).contains(&o.yes)
    };
    observations.iter().position(bad).map_or(Ok(()), |i| Err(BadOccurrence::Observation(i)))
}

fn check_place(place: &Place) -> Result<Depth, BadOccurrence> {
    let [top, bottom] = place.depth_m.unwrap_or([0.0, 0.0]);
    let numbers = [place.east_m, place.north_m, top, bottom];
    if !numbers.iter().all(|v| v.is_finite() && v.abs() < 1e9) || top > bottom {
        return Err(BadOccurrence::Place);
    }
    Ok(place.depth_m.map_or(Depth::Unknown, |[top, bottom]| Depth::Between(top, bottom)))
}
