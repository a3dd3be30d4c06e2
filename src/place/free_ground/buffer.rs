//! The ground around a shape as polygons for drawing: of every point and edge
//! the places within a distance, drawn a little too large, never too small.

use std::f64::consts::{PI, TAU};

use geo::{LineString, Polygon};

use super::{EastNorth, FlatShape};

/// A round edge is drawn no farther than this from the true one, metres.
const COARSE_M: f64 = 0.05;

/// For the rounding of coordinates, metres.
const ROUNDING_M: f64 = 1e-4;

/// Corners of a polygon that is nowhere more than [`COARSE_M`] off a circle.
fn corners(radius_m: f64) -> usize {
    let half_turn = (radius_m / (radius_m + COARSE_M)).acos();
    // Saturates; a multiple of four lets the circle touch its box.
    let count = (PI / half_turn).clamp(8.0, 720.0).ceil() as usize;
    count.div_ceil(4) * 4
}

fn ring(centre: EastNorth, radius_m: f64, from: f64, turn: f64, steps: usize) -> Vec<EastNorth> {
    let at = |n: usize| {
        let (sin, cos) = (from + turn * n as f64 / steps as f64).sin_cos();
        [centre[0] + radius_m * cos, centre[1] + radius_m * sin]
    };
    (0..=steps).map(at).collect()
}

/// A disc, drawn from the inside.
pub(super) fn disc_inside(centre: EastNorth, radius_m: f64) -> Polygon<f64> {
    let places = ring(centre, radius_m, 0.0, TAU, corners(radius_m));
    Polygon::new(LineString::from(places), Vec::new())
}

/// All places within `keep_m` of a shape; parts may overlap.
pub(super) fn around(shape: &FlatShape, keep_m: f64) -> Vec<Polygon<f64>> {
    let mut parts: Vec<Polygon<f64>> = shape.areas.clone();
    if keep_m <= 0.0 {
        return parts;
    }
    let count = corners(keep_m);
    // A regular polygon whose sides touch the circle, turned so that two of
    // them lie along the edge: half of it closes either end.
    let half_side = PI / count as f64;
    let radius_m = (keep_m + ROUNDING_M) / half_side.cos();
    parts.extend(shape.edges.iter().map(|[a, b]| {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let places = if dx.hypot(dy) < ROUNDING_M {
            ring(*a, radius_m, 0.0, TAU, count)
        } else {
            let right = dy.atan2(dx) - PI / 2.0;
            let (turn, steps) = (PI - 2.0 * half_side, count / 2 - 1);
            let mut places = ring(*b, radius_m, right + half_side, turn, steps);
            places.extend(ring(*a, radius_m, right + PI + half_side, turn, steps));
            places
        };
        Polygon::new(LineString::from(places), Vec::new())
    }));
    parts
}
