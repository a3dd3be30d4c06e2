//! Which slopes of the water table the levels of wells leave possible, and so
//! which directions of flow; metres, degrees from north.
//!
//! Each two wells say between which two figures the level changes from one to
//! the other. Of a plane of slope *s* = (a, b) that is
//!
//! low ≤ a·Δx + b·Δy ≤ high
//!
//! with x to the east and y to the north: a strip of slopes. The strips of all
//! pairs leave a polygon. Water flows against the slope, towards
//! atan2(−a, −b).
//!
//! Unlike the plane of least squares (`flow`), whose band one more well may
//! widen or turn, the polygon of fewer or vaguer levels always holds that of
//! more: what it excludes stays excluded by knowing more, and nothing gets
//! excluded by knowing less. What may clear a site therefore rests on this,
//! and the plane of least squares is for the report. Three wells nearly in a
//! line leave a long polygon; that is why none is refused by its angles.
//!
//! Source: the three-point method as in US EPA, On-line tools for site
//! assessment, gradient calculators; bounds instead of least squares (set
//! membership) are common practice in estimation.

/// What two wells say of the change of level between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// From the first well to the second, to the east.
    pub east_m: f64,
    /// To the north.
    pub north_m: f64,
    /// The level of the second less that of the first is not below this.
    pub low_m: f64,
    /// And not above this.
    pub high_m: f64,
}

/// Why no direction is excluded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoSlopes {
    /// A figure is not finite, a band is upside down, or the steepest slope
    /// not above zero.
    #[error("a position or a level is not a finite number")]
    NotFinite,
    /// No two levels differ by more than their errors.
    #[error("no two levels differ by more than their errors")]
    MayBeLevel,
    /// No plane holds all levels.
    #[error("the levels lie on no one slope within their errors")]
    Contradict,
    /// Slopes steeper than is plausible are left: there are too few wells, or
    /// they lie nearly in a line.
    #[error("the wells are too few, or too nearly in a line, to bound the slope")]
    Open,
}

/// Some directions: those within an angle of a middle one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Directions {
    /// Degrees from north, 0 to 360.
    pub middle_deg: f64,
    /// To either side of it.
    pub half_angle_deg: f64,
}

/// Slopes of which one is that of the water; never level ground.
#[derive(Debug, Clone, PartialEq)]
pub struct PossibleSlopes {
    /// Corners of the polygon, east and north parts, in order round it.
    corners: Vec<[f64; 2]>,
}

/// The slopes up to `steepest` that hold every difference.
///
/// # Errors
/// When they exclude no direction; see [`NoSlopes`].
pub fn possible_slopes(differences: &[Difference], steepest: f64) -> Result<PossibleSlopes, NoSlopes> {
    let sound = |d: &Difference| {
        [d.east_m, d.north_m, d.low_m, d.high_m].iter().all(|v| v.is_finite()) && d.low_m <= d.high_m
    };
    if !differences.iter().all(sound) || !steepest.is_finite() || steepest <= 0.0 {
        return Err(NoSlopes::NotFinite);
    }
    if differences.iter().all(|d| d.low_m <= 0.0 && d.high_m >= 0.0) {
        return Err(NoSlopes::MayBeLevel);
    }
    // So far beyond the steepest that its corners say nothing of which way
    // the axes lie.
    let far = 2.0 * steepest;
    let mut corners = vec![[far, far], [-far, far], [-far, -far], [far, -far]];
    for d in differences {
        corners = clip(&corners, [d.east_m, d.north_m], d.high_m);
        corners = clip(&corners, [-d.east_m, -d.north_m], -d.low_m);
    }
    if corners.is_empty() {
        return Err(NoSlopes::Contradict);
    }
    if corners.iter().any(|[a, b]| a.hypot(*b) > steepest) {
        return Err(NoSlopes::Open);
    }
    Ok(PossibleSlopes { corners })
}

/// What of a convex polygon has `along`·s ≤ `most`.
fn clip(corners: &[[f64; 2]], along: [f64; 2], most: f64) -> Vec<[f64; 2]> {
    let over = |[a, b]: [f64; 2]| along[0] * a + along[1] * b - most;
    let mut kept = Vec::with_capacity(corners.len() + 1);
    let mut last = corners.last().copied();
    for corner in corners.iter().copied() {
        if let Some(before) = last {
            let (from, to) = (over(before), over(corner));
            if (from > 0.0) != (to > 0.0) {
                let share = from / (from - to);
                let at = |from: f64, to: f64| from + (to - from) * share;
                kept.push([at(before[0], corner[0]), at(before[1], corner[1])]);
            }
            if to <= 0.0 {
                kept.push(corner);
            }
        }
        last = Some(corner);
    }
    kept
}

impl PossibleSlopes {
    /// Where the water may flow to; always less than half of the compass.
    pub fn towards(&self) -> Directions {
        // The middle of the corners lies in the polygon and is not level.
        let sum = self.corners.iter().fold([0.0, 0.0], |s, c| [s[0] + c[0], s[1] + c[1]]);
        let bearing = |[a, b]: [f64; 2]| (-a).atan2(-b).to_degrees();
        let ahead = bearing(sum);
        let offs = self.corners.iter().map(|c| signed_deg(bearing(*c) - ahead));
        let (low, high) = offs.fold((0.0_f64, 0.0_f64), |(l, h), off| (l.min(off), h.max(off)));
        Directions {
            middle_deg: (ahead + f64::midpoint(low, high)).rem_euclid(360.0),
            half_angle_deg: (high - low) / 2.0,
        }
    }

    /// The gentlest and the steepest of them.
    pub fn gradient(&self) -> (f64, f64) {
        let length = |[a, b]: [f64; 2]| a.hypot(b);
        let steepest = self.corners.iter().map(|c| length(*c)).fold(0.0, f64::max);
        let ends = self.corners.iter().zip(self.corners.iter().cycle().skip(1));
        let gentlest = ends.map(|(a, b)| nearest_to_level(*a, *b)).fold(steepest, f64::min);
        (gentlest, steepest)
    }
}

/// The least length on the way from one slope to another.
fn nearest_to_level(a: [f64; 2], b: [f64; 2]) -> f64 {
    let way = [b[0] - a[0], b[1] - a[1]];
    let squared = way[0] * way[0] + way[1] * way[1];
    let share = if squared > 0.0 { -(a[0] * way[0] + a[1] * way[1]) / squared } else { 0.0 };
    let share = share.clamp(0.0, 1.0);
    (a[0] + way[0] * share).hypot(a[1] + way[1] * share)
}

impl Directions {
    /// Whether no direction is in both.
    pub fn contradict(&self, other: &Directions) -> bool {
        signed_deg(self.middle_deg - other.middle_deg).abs() > self.half_angle_deg + other.half_angle_deg
    }
}

/// The same angle between −180 and 180.
fn signed_deg(angle_deg: f64) -> f64 {
    let turned = angle_deg.rem_euclid(360.0);
    if turned > 180.0 { turned - 360.0 } else { turned }
}

#[cfg(test)]
#[allow(clippy::indexing_slicing)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Wells at those places, on a plane, each level known to `error_m`.
    fn differences(wells: &[(f64, f64)], slope: [f64; 2], error_m: f64) -> Vec<Difference> {
        let mut all = Vec::new();
        for (i, a) in wells.iter().enumerate() {
            for b in &wells[i + 1..] {
                let (east_m, north_m) = (b.0 - a.0, b.1 - a.1);
                let rise = slope[0] * east_m + slope[1] * north_m;
                all.push(Difference {
                    east_m,
                    north_m,
                    low_m: rise - 2.0 * error_m,
                    high_m: rise + 2.0 * error_m,
                });
            }
        }
        all
    }

    const CORNERS: [(f64, f64); 3] = [(0.0, 0.0), (200.0, 0.0), (0.0, 200.0)];

    #[test]
    fn levels_without_error_leave_one_slope() {
        // Rising to the north-west: the water flows to the south-east.
        let slopes = possible_slopes(&differences(&CORNERS, [-0.004, 0.004], 1e-9), 0.1).unwrap();
        let towards = slopes.towards();
        assert!((towards.middle_deg - 135.0).abs() < 1e-3 && towards.half_angle_deg < 1e-3, "{towards:?}");
        let (low, high) = slopes.gradient();
        let gradient = 0.004 * 2.0_f64.sqrt();
        assert!((low - gradient).abs() < 1e-8 && (high - gradient).abs() < 1e-8);
    }

    #[test]
    fn the_error_of_the_levels_opens_the_directions() {
        // By hand: b is 0.004 ± 0.001, a is 0 ± 0.001 and b − a is 0.004 ±
        // 0.001, so the outermost corners are (−0.001, 0.003) and (0.001,
        // 0.004).
        let slopes = possible_slopes(&differences(&CORNERS, [0.0, 0.004], 0.1), 0.1).unwrap();
        let towards = slopes.towards();
        let (one, other) = ((1.0_f64 / 3.0).atan().to_degrees(), (1.0_f64 / 4.0).atan().to_degrees());
        assert!((towards.half_angle_deg - f64::midpoint(one, other)).abs() < 1e-9, "{towards:?}");
        assert!((towards.middle_deg - (180.0 - (one - other) / 2.0)).abs() < 1e-9, "{towards:?}");
        assert!((slopes.gradient().0 - 0.003).abs() < 1e-9, "{:?}", slopes.gradient());
    }

    #[test]
    fn wells_in_a_line_leave_the_slope_open() {
        let line = [(0.0, 0.0), (100.0, 0.0), (200.0, 0.0)];
        assert_eq!(possible_slopes(&differences(&line, [0.01, 0.0], 0.05), 0.1), Err(NoSlopes::Open));
        assert_eq!(possible_slopes(&differences(&line[..2], [0.01, 0.0], 0.05), 0.1), Err(NoSlopes::Open));
    }

    #[test]
    fn differences_inside_their_error_may_be_level() {
        let got = possible_slopes(&differences(&CORNERS, [0.0, 0.004], 1.0), 0.1);
        assert_eq!(got, Err(NoSlopes::MayBeLevel));
        assert_eq!(possible_slopes(&[], 0.1), Err(NoSlopes::MayBeLevel));
    }

    #[test]
    fn levels_that_lie_on_no_plane_exclude_nothing() {
        let mut saddle = differences(&CORNERS, [0.0, 0.004], 0.02);
        saddle.push(Difference { east_m: 200.0, north_m: 200.0, low_m: -1.0, high_m: -0.9 });
        assert_eq!(possible_slopes(&saddle, 0.1), Err(NoSlopes::Contradict));
    }

    #[test]
    fn numbers_that_are_none_are_refused() {
        let bad = Difference { east_m: f64::NAN, north_m: 0.0, low_m: 0.0, high_m: 1.0 };
        assert_eq!(possible_slopes(&[bad], 0.1), Err(NoSlopes::NotFinite));
        assert_eq!(possible_slopes(&[], f64::INFINITY), Err(NoSlopes::NotFinite));
    }

    #[test]
    fn directions_across_north_are_near() {
        let at = |middle_deg| Directions { middle_deg, half_angle_deg: 15.0 };
        assert!(!at(350.0).contradict(&at(15.0)) && at(350.0).contradict(&at(25.0)));
    }

    proptest! {
        #[test]
        fn fewer_or_vaguer_levels_never_exclude_more(
            wells in prop::collection::vec((-300.0..300.0, -300.0..300.0), 3..7),
            noise in prop::collection::vec(-0.1..0.1_f64, 6),
            slope in (-0.02..0.02, -0.02..0.02),
            vaguer in 1.0..3.0_f64,
        ) {
            let level = |i: usize| slope.0 * wells[i].0 + slope.1 * wells[i].1 + noise[i];
            let of = |n: usize, error_m: f64| {
                let pair = |(i, j): (usize, usize)| Difference {
                    east_m: wells[j].0 - wells[i].0,
                    north_m: wells[j].1 - wells[i].1,
                    low_m: level(j) - level(i) - 2.0 * error_m,
                    high_m: level(j) - level(i) + 2.0 * error_m,
                };
                (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j))).map(pair).collect::<Vec<_>>()
            };
            let all = possible_slopes(&of(wells.len(), 0.1), 0.05);
            prop_assert_ne!(&all, &Err(NoSlopes::Contradict));
            for less in [of(wells.len() - 1, 0.1), of(wells.len(), 0.1 * vaguer)] {
                let Ok(less) = possible_slopes(&less, 0.05) else { continue };
                let all = all.clone().unwrap();
                let (a, b) = (all.towards(), less.towards());
                let off = signed_deg(a.middle_deg - b.middle_deg).abs();
                prop_assert!(off + a.half_angle_deg <= b.half_angle_deg + 1e-6, "{a:?} {b:?}");
                prop_assert!(less.gradient().0 <= all.gradient().0 + 1e-12);
                prop_assert!(less.gradient().1 >= all.gradient().1 - 1e-12);
            }
        }

        #[test]
        fn the_true_slope_is_always_left(
            wells in prop::collection::vec((-300.0..300.0, -300.0..300.0), 3..7),
            slope in (-0.02..0.02, -0.02..0.02), error_m in 0.01..0.3,
        ) {
            let Ok(left) = possible_slopes(&differences(&wells, [slope.0, slope.1], error_m), 0.05) else {
                return Ok(());
            };
            let truth = f64::atan2(-slope.0, -slope.1).to_degrees();
            let towards = left.towards();
            prop_assert!(signed_deg(truth - towards.middle_deg).abs() <= towards.half_angle_deg + 1e-6);
            let (low, high) = left.gradient();
            let gradient = f64::hypot(slope.0, slope.1);
            prop_assert!(low <= gradient + 1e-12 && gradient <= high + 1e-12);
        }
    }
}
