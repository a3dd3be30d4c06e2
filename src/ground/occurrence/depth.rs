//! What wells have in common by their depths.

/// A well of unknown depth may be this deep, at most …
const DEEPEST_M: f64 = 60.0;
/// … at any of so many depths down to that, besides those that wells here are
/// known to have, each as likely; ours.
const GUESSES: u16 = 10;
/// Of known depths at most so many are averaged over.
const KNOWN: usize = 100;

/// The depth of a well or a place below ground, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Depth {
    Unknown,
    /// At any depth between the two with the same chance.
    Between(f64, f64),
}

/// A depth and what it has in common with an unknown one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Level {
    depth: Depth,
    with_unknown: f64,
}

/// Depths that wells here may have, and over which length depths are alike.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Depths {
    /// `None` where depth tells nothing.
    length_m: Option<f64>,
    any_m: Vec<f64>,
}

impl Depths {
    pub(super) fn of(length_m: Option<f64>, known_m: impl Iterator<Item = f64>) -> Self {
        let mut known: Vec<f64> = known_m.collect();
        known.sort_by(f64::total_cmp);
        let some = known.len().min(KNOWN);
        let spaced = (0..some).filter_map(|k| known.get((2 * k + 1) * known.len() / (2 * some))).copied();
        let step = DEEPEST_M / f64::from(GUESSES);
        let guesses = (0..GUESSES).map(|k| step * (f64::from(k) + 0.5));
        Self { length_m, any_m: spaced.chain(guesses).collect() }
    }

    pub(super) fn level(&self, depth: Depth) -> Level {
        let with_unknown = match (depth, self.length_m) {
            (Depth::Unknown, _) | (_, None) => 1.0,
            (Depth::Between(top, bottom), Some(length)) => {
                let all: f64 = self.any_m.iter().map(|z| alike(top, bottom, *z, length)).sum();
                all / self.any_m.len().max(1) as f64
            }
        };
        Level { depth, with_unknown }
    }

    /// What a place has in common with a well by depth, up to 1.
    pub(super) fn alike(&self, place: &Level, well: &Level) -> f64 {
        let Some(length) = self.length_m else { return 1.0 };
        match (place.depth, well.depth) {
            (Depth::Unknown, Depth::Unknown) => 1.0,
            (Depth::Unknown, _) => well.with_unknown,
            (_, Depth::Unknown) => place.with_unknown,
            (Depth::Between(top, bottom), Depth::Between(at, _)) => alike(top, bottom, at, length),
        }
    }
}

/// The mean of exp(−|t − z|/V) for t between top and bottom.
fn alike(top: f64, bottom: f64, z: f64, length: f64) -> f64 {
    let thick = bottom - top;
    if thick < 1e-3 * length {
        let from = (0.5 * (top + bottom) - z).abs();
        return (-from / length).exp();
    }
    let e = |x: f64| (-x / length).exp();
    let whole = if z < top {
        e(top - z) - e(bottom - z)
    } else if z > bottom {
        e(z - bottom) - e(z - top)
    } else {
        2.0 - e(z - top) - e(bottom - z)
    };
    (length / thick * whole).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(depths: &Depths, place: Depth, well: Depth) -> f64 {
        depths.alike(&depths.level(place), &depths.level(well))
    }

    fn at(z: f64) -> Depth {
        Depth::Between(z, z)
    }

    #[test]
    fn depths_are_alike_over_their_length() {
        let depths = Depths::of(Some(20.0), [30.0, 30.0].into_iter());
        assert!((of(&depths, at(30.0), at(30.0)) - 1.0).abs() < 1e-15);
        assert!((of(&depths, at(30.0), at(50.0)) - (-1.0_f64).exp()).abs() < 1e-15);
        let mean: f64 = (0..1000).map(|k| (-(10.0 + 0.02 * f64::from(k) - 14.0).abs() / 20.0).exp()).sum();
        assert!((of(&depths, Depth::Between(10.0, 30.0), at(14.0)) - mean / 1000.0).abs() < 1e-3);
        for z in [0.0, 100.0] {
            let mean: f64 = (0..1000).map(|k| (-(10.0 + 0.02 * f64::from(k) - z).abs() / 20.0).exp()).sum();
            assert!((of(&depths, Depth::Between(10.0, 30.0), at(z)) - mean / 1000.0).abs() < 1e-3);
        }
    }

    #[test]
    fn an_unknown_depth_is_less_alike_than_the_same_and_more_than_one_far_off() {
        let depths = Depths::of(Some(20.0), [10.0, 40.0, 20.0].into_iter());
        let unknown = of(&depths, at(20.0), Depth::Unknown);
        assert!(unknown < 0.9 && unknown > of(&depths, at(20.0), at(70.0)));
        assert!((of(&depths, Depth::Unknown, at(20.0)) - unknown).abs() < 1e-15);
        assert!((of(&depths, Depth::Unknown, Depth::Unknown) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn without_a_length_depth_is_no_part_of_it() {
        let depths = Depths::of(None, std::iter::empty());
        assert!((of(&depths, at(5.0), at(500.0)) - 1.0).abs() < 1e-15);
    }
}
