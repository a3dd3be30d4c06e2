//! What the wells say of the mean, the variances, the range and the slope on
//! elevation.
//!
//! The marginal likelihood of the depths (on the scale of the forecast), with
//! the mean and the slope integrated out as restricted maximum likelihood
//! does, over a grid of total variance, share of the sill and range, times a
//! prior that draws each towards the region's; then the mean over the grid by
//! these weights.
//!
//! Depths that lie more than three robust standard deviations (1.4826 times
//! the median absolute deviation) off the median are drawn in to there first,
//! so that one gross error does not set the variance.

use nalgebra::{Matrix2, Vector2};

use super::chain::{Chain, Condition, Innovations, SCORED};
use super::scale::RootPrior;
use crate::ground::kriging::{Sample, Trend};
use crate::ground::variogram::{NoVariogram, Shape, Structure, Variogram};

/// How far the part of its own that a well has reaches: a hole beside it
/// shares it.
const BESIDE_M: f64 = 50.0;
/// Shares of the variance that wells within the range have in common.
const SHARES: [f64; 7] = [0.0, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95];
/// How many ranges are tried.
const RANGES: i32 = 7;
/// Total variances tried, as multiples of the robust one.
const VARIANCES: [f64; 9] = [0.35, 0.5, 0.65, 0.8, 1.0, 1.25, 1.6, 2.0, 2.8];
/// How firmly each is drawn to the region's: one standard deviation of the
/// range and the variance as a factor, of the share in logits.
const RANGE_WITHIN: f64 = 10.0;
const VARIANCE_WITHIN: f64 = 3.0;
const SHARE_WITHIN: f64 = 1.5;

/// The depth to water as a random field, on the scale of the forecast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Field {
    pub(super) mean: f64,
    pub(super) mean_variance: f64,
    /// Change per metre of elevation.
    pub(super) slope: f64,
    pub(super) slope_variance: f64,
    pub(super) sill: f64,
    pub(super) nugget: f64,
    pub(super) range_m: f64,
}

impl Field {
    pub(super) fn variogram(&self) -> Result<Variogram, NoVariogram> {
        let near = Structure { shape: Shape::Spherical, sill: self.nugget, range: BESIDE_M };
        let far = Structure { shape: Shape::Exponential, sill: self.sill, range: self.range_m };
        Variogram::new(0.0, vec![near, far])
    }

    pub(super) fn trend(&self) -> Trend {
        Trend::Prior {
            mean: self.mean,
            mean_variance: self.mean_variance,
            slope: self.slope,
            slope_variance: self.slope_variance,
        }
    }
}

/// What is learnt from: readings on the scale with their own errors, and the
/// field the region leads one to expect.
pub(super) struct Learning<'a> {
    pub(super) prior: &'a RootPrior,
    pub(super) samples: &'a [Sample],
    pub(super) expected: Field,
}

/// One candidate and how likely it is.
pub(super) struct Candidate {
    pub(super) ln_likelihood: f64,
    /// How far the region's values draw it down.
    drawn: f64,
    pub(super) field: Field,
}

/// What was learnt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Learnt {
    pub(super) field: Field,
    /// The wells are likelier with something in common by nearness or height
    /// than without, by more than the two figures that takes are worth
    /// (Akaike 1974, IEEE Trans. Automatic Control 19(6); from memory).
    pub(super) nearness_tells: bool,
}

/// What Akaike's criterion charges for a range and a share.
pub(super) const TWO_FIGURES: f64 = 2.0;

impl Learning<'_> {
    /// The field by what the wells say.
    pub(super) fn learn(&self) -> Learnt {
        let (values, variance) = self.drawn_in();
        let chain = Chain::of(self.samples, self.prior.mean);
        let slopes: &[bool] = if self.expected.slope_variance > 0.0 { &[false, true] } else { &[false] };
        let mut candidates = Vec::new();
        for (k, range_m) in self.ranges(RANGES).into_iter().enumerate() {
            let conditions = self.conditions(&chain, range_m);
            // Without a sill the range means nothing: tried once.
            for share in SHARES.into_iter().filter(|share| *share > 0.0 || k == 0) {
                let Some(new) = chain.innovations(&conditions, &values, share, variance) else { continue };
                for with_slope in slopes {
                    let with = |f: f64| self.candidate(&new, share, range_m, f * variance, *with_slope);
                    candidates.extend(VARIANCES.map(with));
                }
            }
        }
        let most = |alone: bool| {
            let of =
                candidates.iter().filter(|c| (c.field.sill <= 0.0 && c.field.slope_variance <= 0.0) == alone);
            of.map(|c| c.ln_likelihood).fold(f64::NEG_INFINITY, f64::max)
        };
        Learnt {
            field: averaged(&candidates).unwrap_or(self.expected),
            nearness_tells: most(false) > most(true) + TWO_FIGURES,
        }
    }

    /// The field where nearness tells nothing: the scatter of all wells. Of
    /// distances much shorter than those between wells they say nothing;
    /// there the region's share and range stand.
    pub(super) fn pooled(&self) -> Field {
        let (values, variance) = self.drawn_in();
        let chain = Chain::of(self.samples, self.prior.mean);
        let range_m = match 0.25 * self.spacing_m() {
            quarter if quarter > 0.0 => quarter.min(self.prior.range_m),
            _ => self.prior.range_m,
        };
        let share = self.prior.sill / (self.prior.sill + self.prior.nugget);
        let conditions = self.conditions(&chain, range_m);
        let candidates: Vec<Candidate> = chain
            .innovations(&conditions, &values, share, variance)
            .iter()
            .flat_map(|new| VARIANCES.map(|f| self.candidate(new, share, range_m, f * variance, false)))
            .collect();
        averaged(&candidates).unwrap_or(self.expected)
    }

    /// The readings with gross ones drawn in, and their robust variance.
    pub(super) fn drawn_in(&self) -> (Vec<f64>, f64) {
        let values: Vec<f64> = self.samples.iter().map(|s| s.value).collect();
        let middle = median(&values);
        let off: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
        let sd = match 1.4826 * median(&off) {
            robust if robust > 0.0 => robust,
            // More than half of the wells alike: the plain one.
            _ => (off.iter().map(|d| d * d).sum::<f64>() / off.len().max(1) as f64).sqrt(),
        };
        if sd <= 0.0 {
            return (values, self.prior.total());
        }
        let drawn: Vec<f64> = values.iter().map(|v| v.clamp(middle - 3.0 * sd, middle + 3.0 * sd)).collect();
        let mean = drawn.iter().sum::<f64>() / drawn.len() as f64;
        let variance = drawn.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / drawn.len() as f64;
        (drawn, variance.max(1e-6 * self.prior.total()))
    }

    pub(super) fn conditions(&self, chain: &Chain<'_>, range_m: f64) -> Vec<Condition> {
        let unit = |sill, nugget| Field { sill, nugget, range_m, ..self.expected }.variogram().ok();
        unit(1.0, 0.0)
            .zip(unit(0.0, 1.0))
            .map_or_else(Vec::new, |(far, beside)| chain.conditions(&far, &beside))
    }

    /// Half of the wells have their next nearer than this.
    fn spacing_m(&self) -> f64 {
        let next = |a: &Sample| {
            let others = self.samples.iter().map(|b| a.spot.distance(&b.spot)).filter(|d| *d > 0.0);
            others.fold(f64::INFINITY, f64::min)
        };
        let step = self.samples.len().div_ceil(SCORED).max(1);
        let steps: Vec<f64> = self.samples.iter().step_by(step).map(next).filter(|d| d.is_finite()).collect();
        median(&steps)
    }

    /// The region's range, and others from half the way to the next well to
    /// half the way across all of them.
    pub(super) fn ranges(&self, many: i32) -> Vec<f64> {
        let axis = |k: usize| {
            let along = self.samples.iter().filter_map(|s| s.spot.at.get(k).copied());
            along.clone().fold(f64::NEG_INFINITY, f64::max) - along.fold(f64::INFINITY, f64::min)
        };
        let (low, high) = (0.5 * self.spacing_m(), 0.5 * axis(0).hypot(axis(1)));
        if !(low > 0.0 && high > low) {
            return vec![self.prior.range_m];
        }
        let step = (high / low).ln() / f64::from(many - 1);
        let spaced = (0..many).map(|k| low * (step * f64::from(k)).exp());
        std::iter::once(self.prior.range_m).chain(spaced).collect()
    }

    /// Mean and slope integrated out of the likelihood for one total
    /// variance.
    pub(super) fn candidate(
        &self,
        new: &Innovations,
        share: f64,
        range_m: f64,
        variance: f64,
        with_slope: bool,
    ) -> Candidate {
        let slope = if with_slope { self.expected.slope } else { 0.0 };
        // What the wells say is new about the expected slope as well.
        let mixed = new.mixed - new.functions.column(1) * slope;
        let values = new.values - 2.0 * slope * new.mixed.y + slope * slope * new.functions.m22;
        // Wells may lie off a mean that the region calls certain.
        let mean_variance = self.prior.mean_variance.max(0.5 * self.prior.total());
        let slope_variance = if with_slope { self.expected.slope_variance } else { 1e-12 };
        let widths = Matrix2::from_diagonal(&Vector2::new(mean_variance, slope_variance).map(|v| 1.0 / v));
        let precision = widths + new.functions / variance;
        let rest = precision.try_inverse().unwrap_or_else(Matrix2::zeros);
        let pull = mixed / variance;
        let found = rest * pull;
        let ln_likelihood = -0.5
            * (new.n * variance.ln()
                + new.ln_variances
                + (values / variance - pull.dot(&found))
                + precision.determinant().ln()
                + (mean_variance * slope_variance).ln());
        let off = |x: f64, within: f64| -0.5 * (x / within).powi(2);
        let logit = |p: f64| (p / (1.0 - p)).ln();
        let region_share = self.prior.sill / (self.prior.sill + self.prior.nugget);
        let region_variance = self.prior.sill + self.prior.nugget;
        let drawn = off((variance / region_variance).ln(), VARIANCE_WITHIN.ln())
            + off(logit(share.clamp(0.02, 0.98)) - logit(region_share.clamp(0.02, 0.98)), SHARE_WITHIN)
            + if share > 0.0 { off((range_m / self.prior.range_m).ln(), RANGE_WITHIN.ln()) } else { 0.0 };
        let field = Field {
            mean: self.prior.mean + found.x,
            mean_variance: rest.m11.max(0.0),
            slope: if with_slope { slope + found.y } else { 0.0 },
            slope_variance: if with_slope { rest.m22.max(0.0) } else { 0.0 },
            sill: share * variance,
            nugget: (1.0 - share) * variance,
            range_m,
        };
        let sound = ln_likelihood.is_finite() && drawn.is_finite() && field.mean.is_finite();
        let ln_likelihood = if sound { ln_likelihood } else { f64::NEG_INFINITY };
        Candidate { ln_likelihood, drawn, field }
    }
}

/// The mean of the candidates by how likely they are, in the logarithm of
/// variance and range: steadier than the likeliest alone.
fn averaged(candidates: &[Candidate]) -> Option<Field> {
    let score = |c: &Candidate| c.ln_likelihood + c.drawn;
    let best = candidates.iter().map(score).fold(f64::NEG_INFINITY, f64::max);
    if !best.is_finite() {
        return None;
    }
    let weighted: Vec<(f64, &Field)> =
        candidates.iter().map(|c| ((score(c) - best).exp(), &c.field)).filter(|(w, _)| *w > 1e-9).collect();
    let mean = |f: &dyn Fn(&Field) -> f64, weight: &dyn Fn(&Field) -> f64| {
        let all: f64 = weighted.iter().map(|(w, field)| w * weight(field)).sum();
        (all > 0.0).then(|| weighted.iter().map(|(w, field)| w * weight(field) * f(field)).sum::<f64>() / all)
    };
    let plain = |f: &dyn Fn(&Field) -> f64| mean(f, &|_| 1.0);
    let total = |f: &Field| f.sill + f.nugget;
    let share = plain(&|f| f.sill / total(f))?;
    let variance = plain(&|f| total(f).ln())?.exp();
    // A range counts as much as there is a sill for it.
    let range_m = mean(&|f| f.range_m.ln(), &|f| f.sill / total(f) + 1e-12)?.exp();
    let (level, slope) = (plain(&|f| f.mean)?, plain(&|f| f.slope)?);
    Some(Field {
        mean: level,
        mean_variance: plain(&|f| f.mean_variance + (f.mean - level).powi(2))?,
        slope,
        slope_variance: plain(&|f| f.slope_variance + (f.slope - slope).powi(2))?,
        sill: share * variance,
        nugget: (1.0 - share) * variance,
        range_m,
    })
}

pub(super) fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let at = |k: usize| sorted.get(k).copied().unwrap_or(0.0);
    match sorted.len() {
        0 => 0.0,
        n => 0.5 * (at((n - 1) / 2) + at(n / 2)),
    }
}
