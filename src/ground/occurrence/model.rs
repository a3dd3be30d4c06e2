//! Wells made ready to forecast a chance among them.

use super::depth::{Depth, Level};
use super::learn::{Base, Common, Field, Learning};
use super::near::{Near, Seen, Spots};
use super::skill::{self, LeftOutWell, Skill};
use super::{BadOccurrence, Basis, Known, Observation, Occurrence, OccurrencePrior, Options, Place, Weight};

/// Observations of weights below this are not named.
const NAMED: f64 = 0.005;

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
    /// How many wells crowd around each spot.
    crowd: Vec<f64>,
    /// How many of the wells count as one because they are near each other.
    alike: f64,
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
        let expected = learning.expected();
        let field = if enough { learning.learn() } else { expected.clone() };
        let model = Self {
            observations: observations.to_vec(),
            spots,
            near,
            base,
            field,
            levels: Vec::new(),
            crowd: Vec::new(),
            alike: 1.0,
            basis,
            left_out: Vec::new(),
            skill: None,
        }
        .scored();
        let tells = model.skill.is_some_and(|s| s.carries_skill);
        Ok(if enough && !tells { model.pooled(expected) } else { model })
    }

    /// Under its field: crowds, each well left out, and the scores of that.
    fn scored(mut self) -> Self {
        let common = Common::of(&self.field, &self.spots, &self.near);
        self.alike = self.wells_alike(&common);
        let worth = self.field.worth_wells;
        let mut left_out: Vec<LeftOutWell> = Vec::with_capacity(self.observations.len());
        for (i, spot) in self.spots.all.iter().enumerate() {
            // Wells of one spot that show the same are forecast the same.
            let mut last: Option<(f64, f64)> = None;
            for well in &spot.wells {
                let Some(yes) = self.observations.get(*well).map(|o| o.yes) else { continue };
                let base = self.base.without(yes);
                let told = last.filter(|(seen, _)| seen.total_cmp(&yes).is_eq()).map(|(_, chance)| chance);
                let chance = told
                    .or_else(|| common.left_out(i, yes, worth, base, &self.spots, &self.near))
                    .unwrap_or(base);
                last = Some((yes, chance));
                left_out.push(LeftOutWell::new(*well, yes, chance, base));
            }
        }
        left_out.sort_by_key(|l| l.observation);
        self.skill = skill::of(&left_out, &self.observations, &self.spots, &self.near);
        self.left_out = left_out;
        self.levels = self.field.levels(&self.spots);
        self.crowd = common.crowd;
        self
    }

    /// The base rate for every place. What was tried and found wanting is
    /// what the skill tells.
    fn pooled(mut self, expected: Field) -> Self {
        let common = Common::of(&expected, &self.spots, &self.near);
        self.field = expected;
        self.alike = self.wells_alike(&common);
        self.levels = self.field.levels(&self.spots);
        self.crowd = common.crowd;
        self.basis = Basis::Pooled;
        for l in &mut self.left_out {
            *l = LeftOutWell::new(l.observation, l.yes, l.base, l.base);
        }
        self
    }

    /// How many wells count as one in a base rate: 1 for wells out of each
    /// other's reach (the design effect of clusters; Kish 1965, Survey
    /// Sampling; from memory).
    fn wells_alike(&self, common: &Common) -> f64 {
        let n = self.base.seen.n;
        if n <= 0.0 {
            return 1.0;
        }
        let crowds = self.spots.all.iter().zip(&common.crowd);
        let crowd = crowds.map(|(s, c)| s.seen.n * c).sum::<f64>() / n;
        let worth = self.field.worth_wells;
        ((worth + crowd) / (worth + 1.0)).max(1.0)
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
        let prior = &self.base.prior;
        let base_wells = if self.base.learnt { kept.all.n / self.alike } else { 0.0 };
        let prior_in_base = match self.base.learnt {
            true => prior.worth_wells / (prior.worth_wells + kept.all.n),
            false => 1.0,
        };
        if self.basis == Basis::Pooled {
            let unsure = kept.all.unsure / (prior.worth_wells + kept.all.n).powi(2);
            let known = Known {
                chance: base,
                worth_wells: less_sure(base, prior.worth_wells + base_wells, unsure),
                worth_without: prior.worth_wells,
                prior_share: prior_in_base,
                base_share: 1.0,
            };
            return Occurrence::new(known, kept.all_alike(1.0 - prior_in_base), self.basis);
        }
        let sums = self.weighted(&place, self.field.depths.level(depth), &kept);
        let worth = self.field.worth_wells;
        // Variances relative to that of the chance at a place of which nothing
        // is known, which is 1/(worth + 1) of that of a single well.
        let base_unsure = match self.base.learnt {
            true => (worth + 1.0) / (prior.worth_wells + base_wells + 1.0),
            false => 0.0,
        };
        let of_base = 1.0 - sums.weight;
        let variance = sums.variance.max(worth / (worth + kept.all.n)) + of_base * of_base * base_unsure;
        let chance = base + sums.pull(base);
        let known = Known {
            chance,
            worth_wells: less_sure(chance, worth / variance, sums.unsure),
            worth_without: worth / (1.0 + base_unsure),
            prior_share: of_base * prior_in_base,
            base_share: of_base,
        };
        let basis = if kept.all.n > 0.0 { self.basis } else { Basis::Prior };
        Occurrence::new(known, sums.weights, basis)
    }

    /// The weights of the wells near a place, and what they come to.
    fn weighted(&self, place: &Place, level: Level, kept: &Kept<'_>) -> Sums {
        let at = [place.east_m, place.north_m];
        let near = self.spots.near(at, |spot| kept.spot(spot).n > 0.5);
        let worth = self.field.worth_wells;
        let here: Vec<(usize, Seen, f64)> = near
            .iter()
            .filter_map(|n| {
                let alike = self.field.alike(n.distance_m, &level, self.levels.get(n.spot)?);
                Some((n.spot, kept.spot(n.spot), alike))
            })
            .collect();
        let around: f64 = here.iter().map(|(_, seen, alike)| seen.n * alike).sum();
        let mut sums = Sums::default();
        let mut shares: Vec<(usize, f64, f64)> = Vec::with_capacity(here.len());
        for (spot, seen, alike) in &here {
            let share = alike / (worth + around.max(self.crowd_of(*spot, kept)));
            sums.weight += share * seen.n;
            sums.yes += share * seen.yes;
            sums.unsure += share * share * seen.unsure;
            sums.variance += share * seen.n * (share * worth - 2.0 * alike);
            shares.push((*spot, share, share * seen.n));
            let wells = self.spots.all.get(*spot).map_or(&[][..], |s| &s.wells);
            if share >= NAMED {
                let named = wells.iter().filter(|w| kept.well(**w));
                sums.weights.extend(named.map(|w| Weight { observation: *w, weight: share }));
            }
        }
        sums.variance += 1.0 + self.in_common(&shares);
        sums.weights.sort_by(|a, b| b.weight.total_cmp(&a.weight).then(a.observation.cmp(&b.observation)));
        sums
    }

    /// Σ Σ of the weights of two spots and what they have in common.
    fn in_common(&self, shares: &[(usize, f64, f64)]) -> f64 {
        let mut sum = 0.0;
        for (k, (i, _, a)) in shares.iter().enumerate() {
            let (Some(spot), Some(level)) = (self.spots.all.get(*i), self.levels.get(*i)) else { continue };
            sum += a * a;
            for (j, _, b) in shares.iter().take(k) {
                let (Some(other), Some(well)) = (self.spots.all.get(*j), self.levels.get(*j)) else {
                    continue;
                };
                let [dx, dy] = [spot.at[0] - other.at[0], spot.at[1] - other.at[1]];
                sum += 2.0 * a * b * self.field.alike(dx.hypot(dy), level, well);
            }
        }
        sum
    }

    /// How many wells crowd around a spot.
    fn crowd_of(&self, spot: usize, kept: &Kept<'_>) -> f64 {
        if kept.skip.is_none() {
            return self.crowd.get(spot).copied().unwrap_or(1.0);
        }
        let own = kept.spot(spot).n;
        let (Some(level), Some(near)) = (self.levels.get(spot), self.near.get(spot)) else { return own };
        let others = near.iter().filter_map(|n| {
            Some(kept.spot(n.spot).n * self.field.alike(n.distance_m, level, self.levels.get(n.spot)?))
        });
        own + others.sum::<f64>()
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

impl Sums {
    /// By how much the wells pull the chance off the base rate.
    fn pull(&self, base: f64) -> f64 {
        self.yes - self.weight * base
    }
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

/// The worth of a chance whose variance is that of `worth` wells and `more`.
fn less_sure(chance: f64, worth: f64, more: f64) -> f64 {
    let single = chance * (1.0 - chance);
    if more <= 0.0 || single <= 0.0 {
        return worth;
    }
    (single / (single / (worth + 1.0) + more) - 1.0).clamp(1e-3, worth)
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
