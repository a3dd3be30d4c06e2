//! Symmetric positive definite systems: the one piece of linear algebra the
//! estimators need.

use nalgebra::linalg::Cholesky;
use nalgebra::{DMatrix, DVector, Dyn};

/// The first amount added to the diagonal of a matrix that cannot be
/// factored, as a share of its mean; ten times as much at each further try.
const FIRST_JITTER: f64 = 1e-12;
/// How often more is added before the matrix is given up.
const TRIES: i32 = 8;

/// What is new in the last of several quantities.
#[derive(Debug, Clone, PartialEq)]
pub struct LastRow {
    /// In units of its standard deviation, one for each column.
    pub of: Vec<f64>,
    /// The variance of the last given the others.
    pub variance: f64,
}

/// A factored symmetric positive definite matrix.
#[derive(Debug, Clone)]
pub struct Factor {
    lower: Cholesky<f64, Dyn>,
}

impl Factor {
    /// Factors `matrix`, of which the lower triangle counts.
    ///
    /// Two readings of one spot without error make a covariance singular;
    /// then as little as is needed, at most 1e-4 of the mean of the diagonal,
    /// is added to the diagonal. `None` where that does not help or a number
    /// is not finite.
    pub fn new(matrix: &DMatrix<f64>) -> Option<Self> {
        if matrix.iter().any(|x| !x.is_finite()) {
            return None;
        }
        let mean = matrix.diagonal().iter().map(|x| x.abs()).sum::<f64>() / matrix.nrows().max(1) as f64;
        let try_with = |jitter: f64| {
            let mut jittered = matrix.clone();
            for i in 0..jittered.nrows() {
                *jittered.get_mut((i, i))? += jitter;
            }
            Cholesky::new(jittered)
        };
        let jitters = std::iter::once(0.0).chain((0..=TRIES).map(|k| mean * FIRST_JITTER * 10.0_f64.powi(k)));
        let lower = jitters.into_iter().find_map(|jitter| try_with(jitter).filter(Self::well_made))?;
        Some(Self { lower })
    }

    /// Rounding can leave a factor of a singular matrix with pivots that are
    /// nothing but rounding; solutions from it would be noise.
    fn well_made(lower: &Cholesky<f64, Dyn>) -> bool {
        let pivots = lower.l_dirty().diagonal();
        let greatest = pivots.iter().fold(0.0_f64, |most, pivot| most.max(*pivot));
        pivots.iter().all(|pivot| pivot.is_finite() && *pivot > greatest * 1e-7)
    }

    /// The solution of *A x = b*.
    pub fn solve(&self, b: &DVector<f64>) -> DVector<f64> {
        self.lower.solve(b)
    }

    /// The solution of *A X = B*.
    pub fn solve_many(&self, b: &DMatrix<f64>) -> DMatrix<f64> {
        self.lower.solve(b)
    }

    /// The inverse of *A*.
    pub fn inverse(&self) -> DMatrix<f64> {
        self.lower.inverse()
    }

    /// What is new in the last row of `known` after the rows above it are
    /// known, in units of its standard deviation, and the variance of that:
    /// the last row of *L⁻¹ B*. `None` for an empty system.
    pub fn last_whitened(&self, known: &DMatrix<f64>) -> Option<LastRow> {
        let lower = self.lower.l_dirty();
        let mut white = known.clone();
        // The strict upper triangle holds rubbish and is not read.
        if !lower.solve_lower_triangular_mut(&mut white) {
            return None;
        }
        let last = white.nrows().checked_sub(1)?;
        Some(LastRow {
            of: white.row(last).iter().copied().collect(),
            variance: lower.get((last, last))?.powi(2),
        })
    }

    /// The natural logarithm of the determinant of *A*.
    pub fn ln_determinant(&self) -> f64 {
        2.0 * self.lower.l_dirty().diagonal().iter().map(|x| x.ln()).sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_system_is_solved() {
        let a = DMatrix::from_row_slice(3, 3, &[4.0, 1.0, 0.5, 1.0, 3.0, 0.2, 0.5, 0.2, 2.0]);
        let x = DVector::from_vec(vec![1.0, -2.0, 0.5]);
        let factor = Factor::new(&a).unwrap();
        assert!((factor.solve(&(&a * &x)) - x).amax() < 1e-14);
        assert!((factor.inverse() * &a - DMatrix::identity(3, 3)).amax() < 1e-14);
        assert!((factor.ln_determinant() - a.determinant().ln()).abs() < 1e-14);
    }

    #[test]
    fn two_equal_rows_are_told_apart_by_as_little_as_is_needed() {
        let a = DMatrix::from_element(2, 2, 5.0);
        let factor = Factor::new(&a).unwrap();
        let x = factor.solve(&DVector::from_vec(vec![5.0, 5.0]));
        assert!((x.sum() - 1.0).abs() < 1e-6);
    }

    #[test]
    fn what_is_no_covariance_is_refused() {
        assert!(Factor::new(&DMatrix::from_row_slice(2, 2, &[1.0, 3.0, 3.0, 1.0])).is_none());
        assert!(Factor::new(&DMatrix::from_element(1, 1, f64::NAN)).is_none());
    }

    #[test]
    fn the_last_of_two_is_what_the_first_leaves_open() {
        let factor = Factor::new(&DMatrix::from_row_slice(2, 2, &[4.0, 0.0, 2.0, 5.0])).unwrap();
        let last = factor.last_whitened(&DMatrix::from_row_slice(2, 1, &[3.0, 7.0])).unwrap();
        assert!((last.variance - 4.0).abs() < 1e-14);
        assert!((last.of[0] - (7.0 - 1.5) / 2.0).abs() < 1e-14);
    }

    #[test]
    fn an_empty_system_has_an_empty_solution() {
        assert_eq!(Factor::new(&DMatrix::zeros(0, 0)).map(|f| f.solve(&DVector::zeros(0)).len()), Some(0));
    }
}
