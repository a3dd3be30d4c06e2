//! How far, in which direction, and where one arrives: on the WGS84
//! ellipsoid, metres and degrees clockwise from true north.
//!
//! C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87 (2013),
//! 43–55, as carried out by `geographiclib-rs` behind [`geo::Geodesic`]:
//! errors of some nanometres. It is exact everywhere and slow (about half a
//! microsecond); near a peg [`super::Plane`] gives the same figures faster.

use geo::{Bearing, Destination, Distance, Geodesic, Point};

use crate::survey::LonLat;

fn point(at: LonLat) -> Point<f64> {
    Point::new(at.lon_deg(), at.lat_deg())
}

/// The length of the shortest way from `a` to `b` over the ground, metres.
///
/// ```
/// use forebore::{place::distance_m, survey::LonLat};
/// // One degree of longitude along the equator: a·π/180 with a = 6 378 137 m.
/// let d = distance_m(LonLat::new(0.0, 0.0)?, LonLat::new(1.0, 0.0)?);
/// assert!((d - 111_319.490_793).abs() < 1e-6);
/// # Ok::<(), forebore::survey::LonLatError>(())
/// ```
pub fn distance_m(a: LonLat, b: LonLat) -> f64 {
    Geodesic.distance(point(a), point(b))
}

/// The direction in which one leaves `a` to reach `b`, degrees clockwise from
/// true north, at least 0 and below 360; 0 when they are one place. At a pole
/// north is along the meridian of `a`'s longitude.
pub fn bearing_deg(a: LonLat, b: LonLat) -> f64 {
    if a == b { 0.0 } else { from_north(Geodesic.bearing(point(a), point(b))) }
}

/// The place reached from `a` after `distance_m` metres when one leaves in the
/// direction `bearing_deg`; `None` where these are not finite numbers.
pub fn destination(a: LonLat, bearing_deg: f64, distance_m: f64) -> Option<LonLat> {
    if !(bearing_deg.is_finite() && distance_m.is_finite()) {
        return None;
    }
    let end = Geodesic.destination(point(a), bearing_deg, distance_m);
    LonLat::new(end.x(), end.y()).ok()
}

/// The same direction, at least 0 and below 360.
pub(super) fn from_north(bearing_deg: f64) -> f64 {
    let turned = bearing_deg.rem_euclid(360.0);
    // A direction a hair west of north rounds to 360.
    if turned < 360.0 { turned } else { 0.0 }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    fn at(lon_deg: f64, lat_deg: f64) -> LonLat {
        LonLat::new(lon_deg, lat_deg).unwrap()
    }

    #[test]
    fn the_way_there_and_the_way_back_are_equally_long() {
        let (a, b) = (at(39.28, -9.41), at(39.29, -9.43));
        assert!((distance_m(a, b) - distance_m(b, a)).abs() < 1e-8);
    }

    #[test]
    fn going_there_arrives_there() {
        let (a, b) = (at(179.99, 16.2), at(-179.98, 16.25));
        let end = destination(a, bearing_deg(a, b), distance_m(a, b)).unwrap();
        assert!(distance_m(end, b) < 1e-6);
    }

    #[test]
    fn bearings_run_from_0_to_below_360() {
        let peg = at(33.0, -14.0);
        for (east, north, bearing) in
            [(0.0, 1e-3, 0.0), (1e-3, 0.0, 90.0), (0.0, -1e-3, 180.0), (-1e-3, 0.0, 270.0)]
        {
            let got = bearing_deg(peg, at(33.0 + east, -14.0 + north));
            assert!((got - bearing).abs() < 1e-3, "{got} is not {bearing}");
        }
        assert_eq!(bearing_deg(peg, peg), 0.0);
        assert_eq!(from_north(-1e-20), 0.0);
    }

    #[test]
    fn nowhere_is_reached_with_a_distance_that_is_no_number() {
        assert_eq!(destination(at(0.0, 0.0), 10.0, f64::NAN), None);
        assert_eq!(destination(at(0.0, 0.0), f64::INFINITY, 1.0), None);
    }
}
