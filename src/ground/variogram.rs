//! How unlike two places are, by their distance.
//!
//! With *h* the distance, *c* the (partial) sill and *a* the range of a
//! structure, and *c₀* the nugget, the semivariance of two different places
//! is *c₀* plus for each structure
//!
//! - spherical: *c* (1.5 *h/a* − 0.5 (*h/a*)³), and *c* from *h = a* on;
//! - exponential: *c* (1 − exp(−*h/a*)), so that 95 % of the sill are
//!   reached at 3 *a*;
//! - Gaussian: *c* (1 − exp(−*h²/a²*)), 95 % at 1.73 *a*.
//!
//! Other programs call 3 *a* or another multiple the range; figures taken
//! from them must be turned into these. The semivariance at *h* = 0 is zero:
//! the nugget is a difference between wells that lie close together, not an
//! error of reading, which is told apart for each reading.
//!
//! Source: the usual models of geostatistics, as in Cressie 1993, Statistics
//! for Spatial Data, section 2.3 (from memory).

/// The shape of a structure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// Reaches its sill at its range.
    Spherical,
    /// Nears its sill; continuous but rough.
    Exponential,
    /// Nears its sill; smooth.
    Gaussian,
}

/// One structure of a variogram.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Structure {
    /// Its shape.
    pub shape: Shape,
    /// The semivariance it adds far away, in the square of the unit of what
    /// is mapped.
    pub sill: f64,
    /// Its range, in the unit of the coordinates.
    pub range: f64,
}

impl Structure {
    /// How much of the sill two places at `distance` have in common, from 1
    /// at none to 0 far away.
    fn likeness(&self, distance: f64) -> f64 {
        let far = distance / self.range;
        match self.shape {
            Shape::Spherical if far >= 1.0 => 0.0,
            Shape::Spherical => 1.0 - far * (1.5 - 0.5 * far * far),
            Shape::Exponential => (-far).exp(),
            Shape::Gaussian => (-far * far).exp(),
        }
    }
}

/// A nugget and any number of structures.
#[derive(Debug, Clone, PartialEq)]
pub struct Variogram {
    nugget: f64,
    structures: Vec<Structure>,
}

/// A variogram must have finite parts that are not negative, ranges above
/// zero and some variance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("a variogram needs a nugget and sills of zero or more, ranges above zero and some variance in all")]
pub struct NoVariogram;

impl Variogram {
    /// A variogram of a nugget and structures.
    ///
    /// # Errors
    /// When a part is negative or not finite, a range not above zero, or
    /// everything zero.
    pub fn new(nugget: f64, structures: Vec<Structure>) -> Result<Self, NoVariogram> {
        let amounts = || structures.iter().map(|s| s.sill).chain([nugget]);
        let sound = amounts().all(|x| x.is_finite() && x >= 0.0)
            && structures.iter().all(|s| s.range.is_finite() && s.range > 0.0)
            && amounts().sum::<f64>() > 0.0
            && amounts().sum::<f64>().is_finite();
        if sound { Ok(Self { nugget, structures }) } else { Err(NoVariogram) }
    }

    /// A variogram of a nugget and one structure.
    ///
    /// # Errors
    /// As for [`Variogram::new`].
    pub fn of(shape: Shape, nugget: f64, sill: f64, range: f64) -> Result<Self, NoVariogram> {
        Self::new(nugget, vec![Structure { shape, sill, range }])
    }

    /// The variance of a place of which nothing is known: nugget and sills.
    pub fn total(&self) -> f64 {
        self.nugget + self.structures.iter().map(|s| s.sill).sum::<f64>()
    }

    /// The semivariance of two places at `distance`.
    pub fn semivariance(&self, distance: f64) -> f64 {
        self.total() - self.covariance(distance)
    }

    /// What two places at `distance` have in common.
    pub fn covariance(&self, distance: f64) -> f64 {
        if distance <= 0.0 {
            return self.total();
        }
        self.structures.iter().map(|s| s.sill * s.likeness(distance)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_shape_reaches_its_sill_as_its_convention_says() {
        let at_range = |shape| Variogram::of(shape, 1.0, 4.0, 100.0).unwrap().semivariance(100.0);
        assert!((at_range(Shape::Spherical) - 5.0).abs() < 1e-12);
        assert!((at_range(Shape::Exponential) - (1.0 + 4.0 * (1.0 - (-1.0_f64).exp()))).abs() < 1e-12);
        assert!((at_range(Shape::Gaussian) - (1.0 + 4.0 * (1.0 - (-1.0_f64).exp()))).abs() < 1e-12);
        let v = Variogram::of(Shape::Spherical, 1.0, 4.0, 100.0).unwrap();
        assert!((v.semivariance(50.0) - (1.0 + 4.0 * 0.6875)).abs() < 1e-12);
        assert!((v.semivariance(1e9) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_place_is_like_itself_and_the_nugget_parts_it_from_the_next() {
        let v = Variogram::of(Shape::Exponential, 1.0, 4.0, 100.0).unwrap();
        assert!(v.semivariance(0.0).abs() < 1e-15);
        assert!((v.semivariance(1e-9) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn structures_add_up() {
        let near = Structure { shape: Shape::Spherical, sill: 2.0, range: 10.0 };
        let far = Structure { shape: Shape::Exponential, sill: 3.0, range: 1000.0 };
        let v = Variogram::new(0.5, vec![near, far]).unwrap();
        assert!((v.total() - 5.5).abs() < 1e-12);
        assert!((v.semivariance(10.0) - (0.5 + 2.0 + 3.0 * (1.0 - (-0.01_f64).exp()))).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_variogram_is_refused() {
        for (nugget, sill, range) in [
            (-1.0, 1.0, 1.0),
            (0.0, 0.0, 1.0),
            (0.0, 1.0, 0.0),
            (0.0, f64::NAN, 1.0),
            (f64::INFINITY, 1.0, 1.0),
        ] {
            assert_eq!(Variogram::of(Shape::Spherical, nugget, sill, range), Err(NoVariogram));
        }
    }
}
