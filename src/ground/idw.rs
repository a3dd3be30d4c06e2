//! Inverse-distance weighting: the plain estimate that anything better has to
//! beat.
//!
//! The value at a place is the mean of the readings with weights *d⁻ᵖ*; where
//! a reading lies at the place itself, it (or the mean of those there) is the
//! value. Source: Shepard 1968, A two-dimensional interpolation function for
//! irregularly-spaced data, Proc. ACM National Conference (from memory).

/// Weights the readings at `spots` with the power `power` of their distance,
/// the `nearest` of them only where that is given. `None` without readings,
/// or where a number is not finite.
pub fn idw(spots: &[([f64; 2], f64)], at: [f64; 2], power: f64, nearest: Option<usize>) -> Option<f64> {
    weighted(spots.iter(), at, power, nearest)
}

/// Each reading estimated from the others.
pub fn idw_leave_one_out(spots: &[([f64; 2], f64)], power: f64, nearest: Option<usize>) -> Vec<Option<f64>> {
    let others = |i: usize| spots.iter().enumerate().filter(move |(j, _)| *j != i).map(|(_, spot)| spot);
    spots.iter().enumerate().map(|(i, (at, _))| weighted(others(i), *at, power, nearest)).collect()
}

fn weighted<'a>(
    spots: impl Iterator<Item = &'a ([f64; 2], f64)>,
    [x, y]: [f64; 2],
    power: f64,
    nearest: Option<usize>,
) -> Option<f64> {
    let distance = |[u, v]: [f64; 2]| ((u - x).powi(2) + (v - y).powi(2)).sqrt();
    let mut by_distance: Vec<(f64, f64)> = spots.map(|(at, value)| (distance(*at), *value)).collect();
    if let Some(k) = nearest.filter(|k| *k < by_distance.len()) {
        if k == 0 {
            return None;
        }
        by_distance.select_nth_unstable_by(k - 1, |a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        by_distance.truncate(k);
    }
    let least = by_distance.iter().map(|(d, _)| *d).fold(f64::INFINITY, f64::min);
    // Distances relative to the least, so that no power overflows.
    let weight = |d: f64| if least > 0.0 { (least / d).powf(power) } else { f64::from(u8::from(d <= 0.0)) };
    let (sum, weights) = by_distance
        .iter()
        .fold((0.0, 0.0), |(sum, weights), (d, value)| (sum + weight(*d) * value, weights + weight(*d)));
    Some(sum / weights).filter(|value| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    const THREE: [([f64; 2], f64); 3] = [([0.0, 0.0], 2.0), ([3.0, 0.0], 5.0), ([0.0, 12.0], 11.0)];

    #[test]
    fn nearer_readings_count_more() {
        let at = [1.0, 0.0];
        let far = 145.0_f64;
        let by_hand = (2.0 + 5.0 / 4.0 + 11.0 / far) / (1.0 + 0.25 + 1.0 / far);
        assert!((idw(&THREE, at, 2.0, None).unwrap() - by_hand).abs() < 1e-12);
        let two = (2.0 + 5.0 / 4.0) / 1.25;
        assert!((idw(&THREE, at, 2.0, Some(2)).unwrap() - two).abs() < 1e-12);
    }

    #[test]
    fn at_a_reading_it_alone_counts() {
        assert_eq!(idw(&THREE, [3.0, 0.0], 2.0, None), Some(5.0));
        let twice = [([0.0, 0.0], 2.0), ([0.0, 0.0], 4.0), ([1.0, 0.0], 50.0)];
        assert_eq!(idw(&twice, [0.0, 0.0], 2.0, None), Some(3.0));
    }

    #[test]
    fn without_readings_there_is_no_estimate() {
        assert_eq!(idw(&[], [0.0, 0.0], 2.0, None), None);
        assert_eq!(idw(&THREE, [0.0, f64::NAN], 2.0, None), None);
        assert_eq!(idw_leave_one_out(&THREE[..1], 2.0, None), [None]);
    }
}
