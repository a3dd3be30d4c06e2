//! Wells one after another: what each tells that those before it do not.
//!
//! The likelihood of many wells is the product of that of each given those
//! before it; given its nearest among those it is nearly the same and costs
//! next to nothing (Vecchia 1988, J. R. Statist. Soc. B 50(2); from memory).

use nalgebra::{DMatrix, Matrix2, RowVector3, Vector2};

use crate::ground::kriging::{Sample, Spot};
use crate::ground::variogram::Variogram;
use crate::stats::Factor;

/// How many of the nearest earlier wells one is conditioned on.
const CONDITIONED_ON: usize = 14;
/// On how many wells the likelihood is taken.
pub(super) const SCORED: usize = 320;

/// Wells in a mixed order.
pub(super) struct Chain<'a> {
    samples: &'a [Sample],
    /// What values are taken relative to.
    mean: f64,
    /// Wells, each with its nearest before it.
    earlier: Vec<(usize, Vec<usize>)>,
}

/// A well and those it is conditioned on, itself last.
pub(super) struct Condition {
    wells: Vec<usize>,
    /// What they have in common, for a variance of 1 within the range and of
    /// 1 beside a well; the lower triangle.
    far: DMatrix<f64>,
    beside: DMatrix<f64>,
}

/// Sums over the wells of what is new in each, for a total variance of 1.
pub(super) struct Innovations {
    pub(super) n: f64,
    pub(super) ln_variances: f64,
    pub(super) values: f64,
    /// With the constant and the external variable.
    pub(super) mixed: Vector2<f64>,
    pub(super) functions: Matrix2<f64>,
}

impl<'a> Chain<'a> {
    pub(super) fn of(samples: &'a [Sample], mean: f64) -> Self {
        Self { samples, mean, earlier: earlier_neighbours(samples, &mixed_order(samples)) }
    }

    /// For each well what it and those it is conditioned on have in common,
    /// as a part within the range and a part beside a well.
    pub(super) fn conditions(&self, far: &Variogram, beside: &Variogram) -> Vec<Condition> {
        let spot = |i: usize| self.samples.get(i).map(|s| s.spot);
        self.earlier
            .iter()
            .filter_map(|(well, near)| {
                let all: Vec<Spot> = near.iter().chain([well]).filter_map(|i| spot(*i)).collect();
                let matrix = |of: &Variogram| {
                    DMatrix::from_fn(all.len(), all.len(), |a, b| match (all.get(a), all.get(b)) {
                        // Only the lower triangle is read.
                        (Some(s), Some(t)) if a >= b => of.covariance(s.distance(t)),
                        _ => 0.0,
                    })
                };
                let wells = near.iter().chain([well]).copied().collect();
                (all.len() == near.len() + 1).then(|| Condition {
                    wells,
                    far: matrix(far),
                    beside: matrix(beside),
                })
            })
            .collect()
    }

    /// What is new in each well for a total variance of 1, of which wells
    /// within the range share `share`; errors are relative to `variance`.
    pub(super) fn innovations(
        &self,
        conditions: &[Condition],
        values: &[f64],
        share: f64,
        variance: f64,
    ) -> Option<Innovations> {
        let mut sums = Innovations {
            n: 0.0,
            ln_variances: 0.0,
            values: 0.0,
            mixed: Vector2::zeros(),
            functions: Matrix2::zeros(),
        };
        for condition in conditions {
            let mut all = &condition.far * share + &condition.beside * (1.0 - share);
            // Value, constant and external variable of each.
            let mut known = DMatrix::zeros(condition.wells.len(), 3);
            for (k, i) in condition.wells.iter().enumerate() {
                let (sample, value) = (self.samples.get(*i)?, values.get(*i)?);
                *all.get_mut((k, k))? += sample.error_sd * sample.error_sd / variance;
                known.set_row(k, &RowVector3::new(value - self.mean, 1.0, sample.spot.external));
            }
            let new = Factor::new(&all)?.last_whitened(&known)?;
            let (value, functions) = (new.of.first()?, Vector2::new(*new.of.get(1)?, *new.of.get(2)?));
            sums.n += 1.0;
            sums.ln_variances += new.variance.ln();
            sums.values += value * value;
            sums.mixed += functions * *value;
            sums.functions += functions * functions.transpose();
        }
        Some(sums)
    }
}

/// The readings in an order that depends on their places alone and jumps
/// about: sorted by place, then every step-th with the step near the golden
/// section of their number.
fn mixed_order(samples: &[Sample]) -> Vec<usize> {
    let mut sorted: Vec<(&Sample, usize)> = samples.iter().zip(0..).collect();
    let key = |s: &Sample| [s.spot.at[0], s.spot.at[1], s.value];
    sorted.sort_by(|(a, _), (b, _)| {
        key(a)
            .iter()
            .zip(key(b))
            .map(|(a, b)| a.total_cmp(&b))
            .find(|o| o.is_ne())
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    let n = sorted.len();
    let divisor = |mut a: usize, mut b: usize| {
        while b > 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    let start = (n as f64 * 0.618) as usize;
    let step = (start.max(1)..).find(|s| divisor(*s, n) == 1).unwrap_or(1);
    (0..n).filter_map(|k| sorted.get(k * step % n)).map(|(_, i)| *i).collect()
}

/// The last wells in the order, each with its nearest earlier ones, nearest
/// first.
fn earlier_neighbours(samples: &[Sample], order: &[usize]) -> Vec<(usize, Vec<usize>)> {
    let first = order.len().saturating_sub(SCORED);
    let spot = |i: usize| samples.get(i).map(|s| s.spot);
    (first..order.len())
        .filter_map(|k| {
            let (earlier, rest) = order.split_at(k);
            let here = *rest.first()?;
            let at = spot(here)?;
            let mut near: Vec<(f64, usize)> =
                earlier.iter().filter_map(|j| Some((spot(*j)?.distance(&at), *j))).collect();
            nearest_first(&mut near, CONDITIONED_ON);
            Some((here, near.into_iter().map(|(_, j)| j).collect()))
        })
        .collect()
}

/// Keeps the `k` nearest, nearest first; equal distances in the order of the
/// list.
pub(super) fn nearest_first(near: &mut Vec<(f64, usize)>, k: usize) {
    let by = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
    if k < near.len() {
        near.select_nth_unstable_by(k, by);
        near.truncate(k);
    }
    near.sort_by(by);
}
