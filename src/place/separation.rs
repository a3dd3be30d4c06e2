//! What the errors of two positions leave of the distance between them.
//!
//! # How good a position is
//! A stated accuracy R is the radius that holds the true place about two
//! times in three, as phones give it (68 %; Android's `Location.getAccuracy`
//! documents that figure; from memory). For errors equally likely in every
//! direction, with standard deviation σ along any line, the chance of being
//! within R is 1 − exp(−R²/2σ²) (the Rayleigh distribution), so that 68 % give
//! σ = R/√(−2 ln 0.32) = R/1.51.
//!
//! # What is shared
//! An error that both positions have in common does not change the distance
//! between them:
//!
//! | peg and other | errors of place | shift of the frame |
//! |---|---|---|
//! | other taken from the peg | the tape's only | none |
//! | both on WGS84 | both | none |
//! | both on the same named datum | both | cancels |
//! | different frames | both | that of each, added |
//! | a datum nobody stated | both | that of each, added, even between two |
//!
//! # The band
//! The errors of place make a normal spread around the distance; ±1.96
//! standard deviations hold it 95 times in 100. The shift of a frame is one
//! unknown amount and no spread: it is a hard bound added at both ends.
//!
//! The true distance between two uncertain places is never negative and on
//! average a little longer than the measured one (a Rice distribution). The
//! band leaves that out: cut at zero, its low end is at or below the true one
//! at any distance, so no setback passes by it. Its high end is too low where
//! the distance is less than about two standard deviations; there a hazard
//! counts as surely near when it may be a little farther, which errs on the
//! side of caution for everything that must be kept away from.

use crate::survey::{Accuracy, Frame, Position};
use crate::units::Part;

/// Half the width of a 95 % band in standard deviations.
const HALF_BAND_95: f64 = 1.959_963_984_540_054;

/// The chance that a stated accuracy holds the true place.
const HELD: f64 = 0.68;

/// A taped distance and the one worked out from coordinates are the same
/// figure when they differ by less than this, metres.
const SAME_M: f64 = 1e-3;

/// Stands for "without bound" where every figure must be finite, metres.
const GREATEST_M: f64 = 1e300;

/// What to assume where nobody stated an accuracy; from the region's priors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UnstatedAccuracy {
    /// For a coordinate: the radius that holds it two times in three, metres.
    pub coordinate_m: f64,
    /// For a bearing and distance: that radius as a share of the distance.
    pub tape_share: f64,
    /// … but never less than this, metres.
    pub tape_least_m: f64,
}

/// The distance between the peg and something else with the ends of its 95 %
/// band, all at least 0 and finite. `distance_m` is that between the best
/// places (see [`super::Hit::distance_m`]).
///
/// A worse accuracy or a greater shift never narrows the band; a smaller
/// distance never raises any of its three figures.
///
/// ```
/// use forebore::place::{UnstatedAccuracy, separation};
/// use forebore::survey::{Accuracy, Frame, LonLat, Position};
/// # let at = LonLat::new(39.28, -9.41)?;
/// let gps = |accuracy_m| Position {
///     at,
///     accuracy: Accuracy::Stated(accuracy_m),
///     frame: Frame::Wgs84,
///     taped_m: None,
/// };
/// let unstated = UnstatedAccuracy { coordinate_m: 15.0, tape_share: 0.05, tape_least_m: 0.5 };
/// // σ² = (4² + 3²)/1.51², so that 1.96 σ is 6.5 m.
/// let part = separation(&gps(4.0), &gps(3.0), 30.0, &unstated);
/// assert!((part.low - 23.5).abs() < 0.05 && (part.high - 36.5).abs() < 0.05);
/// # Ok::<(), forebore::survey::LonLatError>(())
/// ```
pub fn separation(peg: &Position, other: &Position, distance_m: f64, unstated: &UnstatedAccuracy) -> Part {
    if !distance_m.is_finite() {
        // Nothing is known of such a distance; it may be none.
        return Part { low: 0.0, value: 0.0, high: GREATEST_M };
    }
    let distance_m = distance_m.clamp(0.0, GREATEST_M);
    let (value, radius_m, shift_m) = match (&peg.frame, &other.frame) {
        (_, Frame::Peg) => {
            let taped_m = other.taped_m.filter(|taped| (taped - distance_m).abs() < SAME_M);
            let value = taped_m.unwrap_or(distance_m).max(0.0);
            (value, radius_m(other, value, unstated), 0.0)
        }
        (Frame::Datum { name: a, .. }, Frame::Datum { name: b, .. }) if a == b => {
            (distance_m, both_radii_m(peg, other, distance_m, unstated), 0.0)
        }
        (a, b) => (distance_m, both_radii_m(peg, other, distance_m, unstated), shift_m(a) + shift_m(b)),
    };
    // `min` also takes the place of a figure that is not one.
    let half = (HALF_BAND_95 * radius_m / radius_in_sd() + shift_m).min(GREATEST_M);
    Part { low: (value - half).max(0.0), value, high: value + half }
}

/// The same position as it is known from where the peg stands: the peg's own
/// error is in its accuracy, and what the two frames may be off in its frame.
/// From an exactly known peg on WGS84 it is as far, with the same band, as
/// `other` is from `peg`; from a spot that was set out from the peg, with the
/// errors of setting out besides.
pub fn seen_from(peg: &Position, other: &Position, distance_m: f64, unstated: &UnstatedAccuracy) -> Position {
    let (radius_m, shift_m) = match (&peg.frame, &other.frame) {
        (_, Frame::Peg) => (radius_m(other, distance_m, unstated), 0.0),
        (Frame::Datum { name: a, .. }, Frame::Datum { name: b, .. }) if a == b => {
            (both_radii_m(peg, other, distance_m, unstated), 0.0)
        }
        (a, b) => (both_radii_m(peg, other, distance_m, unstated), shift_m(a) + shift_m(b)),
    };
    let frame = match shift_m > 0.0 {
        true => Frame::UnknownDatum { shift_error_m: shift_m.min(GREATEST_M) },
        false => Frame::Wgs84,
    };
    Position { at: other.at, accuracy: Accuracy::Stated(radius_m.min(GREATEST_M)), frame, taped_m: None }
}

/// The accuracy of a position whose 95 % band reaches `half_m` to either side.
pub fn accuracy_of_band_m(half_m: f64) -> f64 {
    half_m * radius_in_sd() / HALF_BAND_95
}

/// The radius that would hold both errors of place as one.
fn both_radii_m(peg: &Position, other: &Position, distance_m: f64, unstated: &UnstatedAccuracy) -> f64 {
    radius_m(peg, distance_m, unstated).hypot(radius_m(other, distance_m, unstated))
}

/// The radius that holds a place 68 times in 100, in standard deviations.
fn radius_in_sd() -> f64 {
    (-2.0 * (1.0 - HELD).ln()).sqrt()
}

/// The radius that holds the place two times in three, metres.
fn radius_m(position: &Position, distance_m: f64, unstated: &UnstatedAccuracy) -> f64 {
    let tape_m = || {
        let taped_m = position.taped_m.map_or(distance_m, |taped| taped.max(distance_m));
        (unstated.tape_share * taped_m).max(unstated.tape_least_m)
    };
    match position.accuracy {
        // A figure that cannot be one is as good as none.
        Accuracy::Stated(m) if m.is_finite() && m >= 0.0 => m,
        Accuracy::Stated(_) | Accuracy::UnstatedCoordinate => unstated.coordinate_m,
        Accuracy::UnstatedTape => tape_m(),
    }
}

/// How far the frame may be off, metres.
fn shift_m(frame: &Frame) -> f64 {
    match frame {
        Frame::Wgs84 | Frame::Peg => 0.0,
        Frame::Datum { shift_error_m, .. } | Frame::UnknownDatum { shift_error_m } => shift_error_m.abs(),
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use proptest::prelude::*;

    use super::*;
    use crate::survey::LonLat;

    const UNSTATED: UnstatedAccuracy =
        UnstatedAccuracy { coordinate_m: 15.0, tape_share: 0.05, tape_least_m: 0.5 };

    fn position(accuracy: Accuracy, frame: Frame) -> Position {
        let taped_m = (frame == Frame::Peg).then_some(25.0);
        Position { at: LonLat::new(39.28, -9.41).unwrap(), accuracy, frame, taped_m }
    }

    fn stated(accuracy_m: f64, frame: Frame) -> Position {
        position(Accuracy::Stated(accuracy_m), frame)
    }

    fn datum(name: &str, shift_error_m: f64) -> Frame {
        Frame::Datum { name: Arc::from(name), shift_error_m }
    }

    fn half(peg: &Position, other: &Position) -> f64 {
        let part = separation(peg, other, 1_000.0, &UNSTATED);
        assert!((part.high + part.low - 2_000.0).abs() < 1e-9);
        part.high - 1_000.0
    }

    fn band(radius_m: f64) -> f64 {
        1.959_964 * radius_m / 1.509_592
    }

    #[test]
    fn the_radius_that_holds_68_in_100_is_one_and_a_half_deviations() {
        assert!((radius_in_sd() - 1.509_592).abs() < 1e-6);
    }

    #[test]
    fn two_gps_positions_bring_both_errors() {
        let d = half(&stated(3.0, Frame::Wgs84), &stated(4.0, Frame::Wgs84));
        assert!((d - band(5.0)).abs() < 1e-5);
    }

    #[test]
    fn what_is_taped_from_the_peg_has_only_the_errors_of_the_tape() {
        for peg in [stated(50.0, Frame::Wgs84), stated(9.0, Frame::UnknownDatum { shift_error_m: 400.0 })] {
            let part = separation(&peg, &stated(0.5, Frame::Peg), 25.0, &UNSTATED);
            assert!((part.high - 25.0 - band(0.5)).abs() < 1e-5);
        }
    }

    #[test]
    fn a_tape_says_its_own_distance() {
        let part = separation(&stated(4.0, Frame::Wgs84), &stated(0.0, Frame::Peg), 25.0 - 1e-8, &UNSTATED);
        assert_eq!(part, Part { low: 25.0, value: 25.0, high: 25.0 });
    }

    #[test]
    fn the_shift_of_one_datum_cancels() {
        let d = half(&stated(3.0, datum("Arc 1960", 35.0)), &stated(4.0, datum("Arc 1960", 35.0)));
        assert!((d - band(5.0)).abs() < 1e-5);
    }

    #[test]
    fn the_shifts_of_different_frames_add_as_hard_bounds() {
        let arc = stated(3.0, datum("Arc 1960", 35.0));
        for (other, shift) in [
            (Frame::Wgs84, 35.0),
            (datum("Minna", 20.0), 55.0),
            (Frame::UnknownDatum { shift_error_m: 300.0 }, 335.0),
        ] {
            let d = half(&arc, &stated(4.0, other));
            assert!((d - band(5.0) - shift).abs() < 1e-5);
        }
    }

    #[test]
    fn two_unknown_datums_are_both_off() {
        let lost = stated(0.0, Frame::UnknownDatum { shift_error_m: 300.0 });
        assert!((half(&lost, &lost) - 600.0).abs() < 1e-9);
    }

    #[test]
    fn what_nobody_stated_is_taken_from_the_region() {
        let peg = stated(0.0, Frame::Wgs84);
        let d = half(&peg, &position(Accuracy::UnstatedCoordinate, Frame::Wgs84));
        assert!((d - band(15.0)).abs() < 1e-4);
        for (taped, radius) in [(25.0, 1.25), (4.0, 0.5)] {
            let tape = Position { taped_m: Some(taped), ..position(Accuracy::UnstatedTape, Frame::Peg) };
            let part = separation(&peg, &tape, taped, &UNSTATED);
            assert!((part.high - taped - band(radius)).abs() < 1e-5);
        }
    }

    #[test]
    fn no_distance_is_below_zero_and_none_is_infinite() {
        let far = stated(1e308, Frame::UnknownDatum { shift_error_m: f64::INFINITY });
        for d in [-5.0, 0.0, 3.0, f64::NAN, f64::INFINITY] {
            let part = separation(&far, &far, d, &UNSTATED);
            assert!(part.low == 0.0 && part.value >= 0.0 && part.high >= 1e300 && part.high.is_finite());
        }
    }

    fn frame() -> impl Strategy<Value = Frame> {
        prop_oneof![
            Just(Frame::Wgs84),
            Just(Frame::Peg),
            (0.0..50.0).prop_map(|e| datum("Arc 1960", e)),
            (0.0..50.0).prop_map(|e| datum("Minna", e)),
            (0.0..500.0).prop_map(|shift_error_m| Frame::UnknownDatum { shift_error_m }),
        ]
    }

    fn accuracy() -> impl Strategy<Value = Accuracy> {
        prop_oneof![
            3 => (0.0..100.0).prop_map(Accuracy::Stated),
            1 => Just(Accuracy::UnstatedCoordinate),
            1 => Just(Accuracy::UnstatedTape),
        ]
    }

    /// The same place, worse known.
    fn worse(position: &Position, by: f64) -> Vec<Position> {
        let mut all = Vec::new();
        if let Accuracy::Stated(m) = position.accuracy {
            all.push(Position { accuracy: Accuracy::Stated(m + by), ..position.clone() });
            if m <= UNSTATED.coordinate_m {
                all.push(Position { accuracy: Accuracy::UnstatedCoordinate, ..position.clone() });
            }
            if m <= UNSTATED.tape_least_m {
                all.push(Position { accuracy: Accuracy::UnstatedTape, ..position.clone() });
            }
        }
        if let Frame::UnknownDatum { shift_error_m } = position.frame {
            let frame = Frame::UnknownDatum { shift_error_m: shift_error_m + by };
            all.push(Position { frame, ..position.clone() });
        }
        if let Frame::Datum { shift_error_m, .. } = position.frame {
            let frame = Frame::UnknownDatum { shift_error_m };
            all.push(Position { frame, ..position.clone() });
        }
        all
    }

    proptest! {
        #[test]
        fn knowing_less_never_narrows_the_band(
            a in accuracy(), f in frame(), b in accuracy(), g in frame(), d in 0.0..3_000.0, by in 0.0..50.0,
        ) {
            let (peg, other) = (position(a, f), position(b, g));
            let before = separation(&peg, &other, d, &UNSTATED);
            let pegs = worse(&peg, by).into_iter().map(|peg| (peg, other.clone()));
            let others = worse(&other, by).into_iter().map(|other| (peg.clone(), other));
            for (peg, other) in pegs.chain(others) {
                let after = separation(&peg, &other, d, &UNSTATED);
                prop_assert!(after.low <= before.low && after.high >= before.high);
            }
        }

        #[test]
        fn a_position_seen_from_the_peg_keeps_its_band(
            a in accuracy(), f in frame(), b in accuracy(), g in frame(), d in 0.0..3_000.0,
        ) {
            let (peg, mut other) = (position(a, f), position(b, g));
            other.taped_m = other.taped_m.map(|_| d);
            let exact = stated(0.0, Frame::Wgs84);
            let (before, seen) =
                (separation(&peg, &other, d, &UNSTATED), seen_from(&peg, &other, d, &UNSTATED));
            let after = separation(&exact, &seen, d, &UNSTATED);
            prop_assert!((before.low - after.low).abs() < 1e-6 && (before.high - after.high).abs() < 1e-6);
        }

        #[test]
        fn standing_nearer_never_raises_an_end(
            a in accuracy(), f in frame(), b in accuracy(), g in frame(), d in 0.0..3_000.0, nearer in 0.0..1.0,
        ) {
            let (peg, other) = (position(a, f), position(b, g));
            let near = |d: f64| {
                let taped_m = other.taped_m.map(|_| d);
                separation(&peg, &Position { taped_m, ..other.clone() }, d, &UNSTATED)
            };
            let (far, near) = (near(d), near(d * nearer));
            prop_assert!(near.low <= far.low && near.value <= far.value && near.high <= far.high);
            prop_assert!(near.low <= near.value && near.value <= near.high);
        }
    }
}
