//! The few parameters that bring a formula nearest to readings, by the method
//! of Levenberg and Marquardt, with their standard errors.
//!
//! Source: Marquardt (1963), J. SIAM 11, 431–441.

use nalgebra::{SMatrix, SVector};

/// The parameters found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Settled<const N: usize> {
    pub parameters: [f64; N],
    /// The standard error of each: the root of the diagonal of σ²(JᵀJ)⁻¹ with
    /// σ² the squares over the readings more than parameters.
    pub errors: [f64; N],
    /// Root mean square of the residuals.
    pub rmse: f64,
}

/// Why nothing settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unsettled {
    /// There are no more readings than parameters.
    TooFew,
    /// The formula cannot be reckoned at the start.
    BadStart,
    /// The readings do not tell the parameters apart, or the search ran away.
    NotTold,
}

/// The search is given up after so many tries; a good start needs about ten.
const TRIES: usize = 400;
/// A step that changes no parameter by more than this ends the search.
const SMALL_STEP: f64 = 1e-10;
/// Half the width over which the slope of a residual is taken; the error of
/// the slope goes with its square.
const NUDGE: f64 = 1e-5;

/// Searches from `start`, whose parameters should all be of the order of one
/// (logarithms, say). `residuals` gives reckoned minus read, or `None` where
/// the formula cannot be reckoned; such places are walked around.
pub(super) fn settle<const N: usize>(
    start: [f64; N],
    residuals: impl Fn(&[f64; N]) -> Option<Vec<f64>>,
) -> Result<Settled<N>, Unsettled> {
    let mut at = start;
    let mut here = residuals(&at).ok_or(Unsettled::BadStart)?;
    if here.len() <= N {
        return Err(Unsettled::TooFew);
    }
    let mut squares = sum_of_squares(&here).ok_or(Unsettled::BadStart)?;
    let mut damping = 1e-3;
    let (mut curvature, mut downhill) = slopes(&at, &here, &residuals).ok_or(Unsettled::NotTold)?;
    for _ in 0..TRIES {
        let damped = curvature + SMatrix::from_diagonal(&(curvature.diagonal() * damping));
        let step = damped.cholesky().ok_or(Unsettled::NotTold)?.solve(&downhill);
        let there: [f64; N] = (SVector::from(at) + step).into();
        let tried = residuals(&there).and_then(|r| Some((sum_of_squares(&r)?, r)));
        let small = step.amax() < SMALL_STEP;
        match tried {
            Some((fewer, better)) if fewer <= squares => {
                (at, here, squares) = (there, better, fewer);
                damping = (damping / 10.0).max(1e-12);
                (curvature, downhill) = slopes(&at, &here, &residuals).ok_or(Unsettled::NotTold)?;
            }
            _ => damping *= 10.0,
        }
        if small {
            return finished(at, &curvature, squares, here.len());
        }
    }
    Err(Unsettled::NotTold)
}

fn finished<const N: usize>(
    parameters: [f64; N],
    curvature: &SMatrix<f64, N, N>,
    squares: f64,
    readings: usize,
) -> Result<Settled<N>, Unsettled> {
    let variance = squares / (readings - N) as f64;
    let spread = curvature.cholesky().ok_or(Unsettled::NotTold)?.inverse() * variance;
    let errors: [f64; N] = spread.diagonal().map(f64::sqrt).into();
    let rmse = (squares / readings as f64).sqrt();
    let told = parameters.iter().chain(&errors).all(|x| x.is_finite()) && rmse.is_finite();
    if told { Ok(Settled { parameters, errors, rmse }) } else { Err(Unsettled::NotTold) }
}

fn sum_of_squares(residuals: &[f64]) -> Option<f64> {
    Some(residuals.iter().map(|r| r * r).sum::<f64>()).filter(|s| s.is_finite())
}

/// JᵀJ and −Jᵀr.
fn slopes<const N: usize>(
    at: &[f64; N],
    here: &[f64],
    residuals: impl Fn(&[f64; N]) -> Option<Vec<f64>>,
) -> Option<(SMatrix<f64, N, N>, SVector<f64, N>)> {
    let mut columns = Vec::with_capacity(N);
    for i in 0..N {
        let nudged = |by: f64| {
            let mut there = *at;
            *there.get_mut(i)? += by;
            residuals(&there)
        };
        let (up, down) = (nudged(NUDGE)?, nudged(-NUDGE)?);
        columns.push(up.iter().zip(&down).map(|(u, d)| (u - d) / (2.0 * NUDGE)).collect::<Vec<_>>());
    }
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let pairs = columns.iter().flat_map(|a| columns.iter().map(|b| dot(a, b)));
    let curvature = SMatrix::<f64, N, N>::from_iterator(pairs);
    let downhill = SVector::<f64, N>::from_iterator(columns.iter().map(|a| -dot(a, here)));
    let all = curvature.iter().chain(downhill.iter()).all(|x| x.is_finite());
    all.then_some((curvature, downhill))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The Misra1a problem of the statistical reference datasets of the US
    /// National Institute of Standards and Technology, from its second start,
    /// with both parameters as logarithms: b₁ 238.94212918, b₂
    /// 5.5015643181e-4, squares 0.12455138894, standard errors 2.7070075241
    /// and 7.2668688436e-6 (from memory).
    #[test]
    fn agrees_with_a_certified_fit() {
        let x =
            [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0];
        let y = [
            10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78,
        ];
        let residuals = |p: &[f64; 2]| {
            let (b1, b2) = (p[0].exp(), p[1].exp());
            Some(x.iter().zip(&y).map(|(x, y)| b1 * (1.0 - (-b2 * x).exp()) - y).collect())
        };
        let fit = settle([250f64.ln(), 5e-4f64.ln()], residuals).unwrap();
        let (b1, b2) = (fit.parameters[0].exp(), fit.parameters[1].exp());
        assert!((b1 / 238.942_129_18 - 1.0).abs() < 1e-8, "{b1}");
        assert!((b2 / 5.501_564_318_1e-4 - 1.0).abs() < 1e-8, "{b2}");
        assert!((fit.rmse.powi(2) * 14.0 / 0.124_551_388_94 - 1.0).abs() < 1e-8);
        assert!((fit.errors[0] * b1 / 2.707_007_524_1 - 1.0).abs() < 1e-4);
        assert!((fit.errors[1] * b2 / 7.266_868_843_6e-6 - 1.0).abs() < 1e-4);
    }

    #[test]
    fn parameters_that_the_readings_do_not_tell_apart_are_not_made_up() {
        let residuals = |p: &[f64; 2]| Some((1..9).map(|i| p[0] + p[1] - f64::from(i)).collect());
        assert_eq!(settle([0.0, 0.0], residuals), Err(Unsettled::NotTold));
    }

    #[test]
    fn as_many_readings_as_parameters_are_too_few() {
        assert_eq!(settle([0.0], |p: &[f64; 1]| Some(vec![p[0]])), Err(Unsettled::TooFew));
    }
}
