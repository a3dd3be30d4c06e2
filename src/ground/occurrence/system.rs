//! How much each spot near a place counts.
//!
//! The weights *a* of the spots solve *(R + m N⁻¹) a = r*: *R* what spots have
//! in common with each other, *r* with the place, *N* their wells, *m* the
//! worth (kriging of the chance with a known mean). By conjugate gradients
//! (Hestenes & Stiefel 1952; from memory): with so much of every well its own
//! a few steps are enough, and the variance holds for the weights as they are.

/// Steps after which the weights are taken as they are.
const STEPS: usize = 40;
/// Weights are solved to this share of the right-hand side: for a forecast …
pub(super) const FINE: f64 = 1e-6;
/// … and where many are compared.
pub(super) const COARSE: f64 = 1e-3;

/// The spots near a place.
#[derive(Debug, Clone, Default)]
pub(super) struct System {
    /// What each has in common with each, row by row.
    pub(super) each: Vec<f64>,
    /// What each has in common with the place.
    pub(super) place: Vec<f64>,
    /// The wells of each.
    pub(super) wells: Vec<f64>,
}

impl System {
    fn rows(&self) -> impl Iterator<Item = &[f64]> {
        self.each.chunks_exact(self.place.len().max(1))
    }

    /// What is left of `place` by those weights, and the diagonal.
    fn times(&self, worth: f64, weights: &[f64]) -> Vec<f64> {
        let own = self.wells.iter().zip(weights).map(|(n, a)| worth / n * a);
        self.rows().zip(own).map(|(row, own)| dot(row, weights) + own).collect()
    }

    /// The weights of the spots: none below zero and together below 1, so
    /// that a chance made with them is one.
    pub(super) fn weights(&self, worth: f64, within: f64) -> Vec<f64> {
        let scale: Vec<f64> = self.wells.iter().map(|n| 1.0 / (1.0 + worth / n)).collect();
        let mut weights = self.first_guess(worth);
        let mut rest: Vec<f64> =
            self.place.iter().zip(self.times(worth, &weights)).map(|(r, t)| r - t).collect();
        let scaled = |rest: &[f64]| -> Vec<f64> { rest.iter().zip(&scale).map(|(r, s)| r * s).collect() };
        let mut direction = scaled(&rest);
        let mut size = dot(&rest, &direction);
        let small = within * within * dot(&self.place, &scaled(&self.place));
        for _ in 0..STEPS {
            if size <= small {
                break;
            }
            let image = self.times(worth, &direction);
            let curve = dot(&direction, &image);
            if curve <= 0.0 {
                break;
            }
            let step = size / curve;
            for (a, d) in weights.iter_mut().zip(&direction) {
                *a += step * d;
            }
            for (r, i) in rest.iter_mut().zip(&image) {
                *r -= step * i;
            }
            let next = scaled(&rest);
            let was = size;
            size = dot(&rest, &next);
            for (d, n) in direction.iter_mut().zip(next) {
                *d = n + size / was * *d;
            }
        }
        for a in &mut weights {
            *a = if a.is_finite() { a.max(0.0) } else { 0.0 };
        }
        let all: f64 = weights.iter().sum();
        let most = self.most(worth);
        if all > most {
            weights.iter_mut().for_each(|a| *a *= most / all);
        }
        weights
    }

    /// The wells of all spots at the place itself would count for this much.
    fn most(&self, worth: f64) -> f64 {
        let wells: f64 = self.wells.iter().sum();
        wells / (worth + wells)
    }

    /// Each spot with what crowds around it or the place as if beside it.
    fn first_guess(&self, worth: f64) -> Vec<f64> {
        let around = dot(&self.place, &self.wells);
        let each = self.rows().zip(&self.place).zip(&self.wells);
        each.map(|((row, r), n)| n * r / (worth + dot(row, &self.wells).max(around))).collect()
    }

    /// The variance of the chance that such weights leave, as a share of that
    /// without wells.
    pub(super) fn variance(&self, worth: f64, weights: &[f64]) -> f64 {
        let left = 1.0 - 2.0 * dot(&self.place, weights) + dot(weights, &self.times(worth, weights));
        left.max(1.0 - self.most(worth))
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    // Four sums at a time, which the compiler can keep in one register.
    let (a4, b4) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a4.remainder().iter().zip(b4.remainder()).map(|(x, y)| x * y).sum();
    let mut sums = [0.0; 4];
    for (x, y) in a4.zip(b4) {
        for (sum, (x, y)) in sums.iter_mut().zip(x.iter().zip(y)) {
            *sum += x * y;
        }
    }
    sums.iter().sum::<f64>() + rest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::Factor;
    use nalgebra::{DMatrix, DVector};

    #[test]
    fn weights_solve_the_system() {
        let at: Vec<f64> = (0..30).map(|k| (f64::from(k) * 0.618).fract() * 4.0).collect();
        let alike = |a: f64, b: f64| (-(a - b).abs()).exp();
        let system = System {
            each: at.iter().flat_map(|a| at.iter().map(|b| alike(*a, *b))).collect(),
            place: at.iter().map(|a| alike(*a, 1.3)).collect(),
            wells: (0..30).map(|k| 1.0 + f64::from(k % 3)).collect(),
        };
        let worth = 2.5;
        let mut matrix = DMatrix::from_row_slice(30, 30, &system.each);
        for k in 0..30 {
            matrix[(k, k)] += worth / system.wells[k];
        }
        let place = DVector::from_vec(system.place.clone());
        let exact = Factor::new(&matrix).unwrap().solve(&place);
        let weights = system.weights(worth, FINE);
        for (got, exact) in weights.iter().zip(exact.iter()) {
            assert!((got - exact.max(0.0)).abs() < 1e-4, "{got} {exact}");
        }
        assert!((system.variance(worth, &weights) - (1.0 - place.dot(&exact))).abs() < 1e-6);
    }

    #[test]
    fn wells_at_the_place_count_as_in_a_beta_posterior() {
        let system = System { each: vec![1.0], place: vec![1.0], wells: vec![7.0] };
        let weights = system.weights(3.0, FINE);
        assert!((weights[0] - 0.7).abs() < 1e-12 && (system.variance(3.0, &weights) - 0.3).abs() < 1e-12);
    }

    #[test]
    fn nothing_near_leaves_all_open() {
        let none = System::default();
        assert!(none.weights(2.0, FINE).is_empty() && (none.variance(2.0, &[]) - 1.0).abs() < 1e-15);
    }
}
