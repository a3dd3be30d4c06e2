//! The level plane at a peg: how far east and north a place lies, and how far
//! and in which direction it is, without an ellipsoidal solution.
//!
//! East, north and up are the components of the earth-centred difference
//! along the axes at the peg (up is the ellipsoid's normal), as in any
//! textbook of satellite positioning. Two places in the plane are as far from
//! each other as on the ground to within 0.07 mm when both are within 2 km of
//! the peg, and 1.1 mm within 5 km.

use super::ecef::{A_M, B_M, Ecef, geodesic_of_chord_m, least_geodesic_m};
use super::geodesy;
use crate::survey::LonLat;

/// Up to this chord the way over the ground is worked out from the chord;
/// beyond it by Karney's method. Both agree there to 0.001 mm.
pub(super) const NEAR_M: f64 = 20_000.0;

/// Closer than this, in metres, two places are one: a micrometre is a
/// thousand times the rounding of earth-centred coordinates.
const TOUCHING_M: f64 = 1e-6;

/// The level plane at a place.
#[derive(Debug, Clone, Copy)]
pub struct Plane {
    at: LonLat,
    origin: Ecef,
    east: [f64; 3],
    north: [f64; 3],
    up: [f64; 3],
}

/// Where a place lies seen from a plane's origin, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// To the east.
    pub east_m: f64,
    /// To the north.
    pub north_m: f64,
    /// Above the plane; below zero for every other place on the ellipsoid.
    pub up_m: f64,
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

impl Plane {
    /// The plane at `at`.
    pub fn at(at: LonLat) -> Self {
        let (sin_lat, cos_lat) = at.lat_deg().to_radians().sin_cos();
        let (sin_lon, cos_lon) = at.lon_deg().to_radians().sin_cos();
        Self {
            at,
            origin: Ecef::of_turned([sin_lon, cos_lon], [sin_lat, cos_lat]),
            east: [-sin_lon, cos_lon, 0.0],
            north: [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
            up: [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
        }
    }

    /// The place whose plane this is.
    pub fn place(&self) -> LonLat {
        self.at
    }

    /// The same in earth-centred coordinates.
    pub fn origin(&self) -> Ecef {
        self.origin
    }

    /// Where `place` lies.
    pub fn offset(&self, place: Ecef) -> Offset {
        let to = self.origin.to(place);
        Offset { east_m: dot(to, self.east), north_m: dot(to, self.north), up_m: dot(to, self.up) }
    }

    /// East and north of the origin, metres.
    pub fn east_north_m(&self, at: LonLat) -> [f64; 2] {
        let Offset { east_m, north_m, .. } = self.offset(Ecef::of(at));
        [east_m, north_m]
    }

    /// The place that lies `east_m` and `north_m` from the origin in this
    /// plane; `None` beyond the edge of the Earth (6 356 km) or where these
    /// are not finite numbers.
    pub fn lon_lat(&self, [east_m, north_m]: [f64; 2]) -> Option<LonLat> {
        // Of the plumb line through that spot of the plane the nearer place on
        // the ellipsoid, x²/a² + y²/a² + z²/b² = 1: a quadratic in its height.
        let Ecef(origin) = self.origin;
        let squeeze = |v: [f64; 3]| {
            let [x, y, z] = v;
            [x / A_M, y / A_M, z / B_M]
        };
        let mut spot = origin;
        for ((s, e), n) in spot.iter_mut().zip(self.east).zip(self.north) {
            *s += east_m * e + north_m * n;
        }
        let (p, u) = (squeeze(spot), squeeze(self.up));
        let (a, b, c) = (dot(u, u), dot(p, u), dot(p, p) - 1.0);
        let square = b * b - a * c;
        if square.is_nan() || square < 0.0 {
            return None;
        }
        let up_m = -c / (b + square.sqrt());
        for (s, u) in spot.iter_mut().zip(self.up) {
            *s += up_m * u;
        }
        Ecef(spot).lon_lat()
    }

    /// How far it is to `place` over the ground, metres.
    pub(super) fn distance_m(&self, place: Ecef) -> f64 {
        self.distance_by_chord_m(place, self.origin.chord_m(place))
    }

    /// The same where the chord is known already.
    pub(super) fn distance_by_chord_m(&self, place: Ecef, chord_m: f64) -> f64 {
        if chord_m <= NEAR_M {
            return geodesic_of_chord_m(chord_m, dot(self.origin.to(place), self.up));
        }
        place.lon_lat().map_or(least_geodesic_m(chord_m), |end| geodesy::distance_m(self.at, end))
    }

    /// The direction in which one leaves for `place`, degrees from north;
    /// `None` where one is there already. Below 20 km it is the direction in
    /// the plane, which differs from the geodesic's by less than 0.000 001°.
    pub(super) fn bearing_deg(&self, place: Ecef) -> Option<f64> {
        let chord_m = self.origin.chord_m(place);
        if chord_m < TOUCHING_M {
            return None;
        }
        if chord_m <= NEAR_M {
            let Offset { east_m, north_m, .. } = self.offset(place);
            return Some(geodesy::from_north(east_m.atan2(north_m).to_degrees()));
        }
        place.lon_lat().map(|end| geodesy::bearing_deg(self.at, end))
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;
    use crate::place::{bearing_deg, destination, distance_m};
    use proptest::prelude::*;

    fn anywhere() -> impl Strategy<Value = LonLat> {
        let lat = prop_oneof![8 => -90.0..=90.0, 1 => 89.9..=90.0, 1 => Just(90.0), 1 => Just(-90.0)];
        let lon = prop_oneof![4 => -180.0..=180.0, 1 => 179.99..=180.0, 1 => Just(-180.0)];
        (lon, lat).prop_map(|(lon, lat)| LonLat::new(lon, lat).unwrap())
    }

    proptest! {
        #[test]
        fn the_chord_gives_the_geodesic(peg in anywhere(), bearing in 0.0..360.0, far in 0.0f64..1.0) {
            let end = destination(peg, bearing, 20_000.0 * far * far * far).unwrap();
            let plane = Plane::at(peg);
            let (got, way) = (plane.distance_m(Ecef::of(end)), distance_m(peg, end));
            prop_assert!((got - way).abs() < 1e-6, "{} m in {}", got - way, way);
        }

        #[test]
        fn the_plane_gives_the_bearing(peg in anywhere(), bearing in 0.0..360.0, far in 100.0..20_000.0) {
            let end = destination(peg, bearing, far).unwrap();
            let got = Plane::at(peg).bearing_deg(Ecef::of(end)).unwrap();
            let turn = (got - bearing_deg(peg, end)).rem_euclid(360.0);
            prop_assert!(turn.min(360.0 - turn) < 1e-6);
        }

        #[test]
        fn nothing_jumps_where_the_method_changes(peg in anywhere(), bearing in 0.0..360.0) {
            let plane = Plane::at(peg);
            let walk = |d| plane.distance_m(Ecef::of(destination(peg, bearing, d).unwrap()));
            let (near, far) = (walk(19_999.9), walk(20_000.1));
            prop_assert!((far - near - 0.2).abs() < 2e-6);
        }

        #[test]
        fn two_places_are_as_far_apart_in_the_plane(
            peg in anywhere(), a in (0.0..360.0, 0.0..2_000.0), b in (0.0..360.0, 0.0..2_000.0),
        ) {
            let [a, b] = [a, b].map(|(bearing, far)| destination(peg, bearing, far).unwrap());
            let plane = Plane::at(peg);
            let ([ax, ay], [bx, by]) = (plane.east_north_m(a), plane.east_north_m(b));
            prop_assert!(((bx - ax).hypot(by - ay) - distance_m(a, b)).abs() < 7e-5);
        }

        #[test]
        fn an_offset_is_found_again(peg in anywhere(), east in -5e3..5e3, north in -5e3..5e3) {
            let plane = Plane::at(peg);
            let [x, y] = plane.east_north_m(plane.lon_lat([east, north]).unwrap());
            prop_assert!((x - east).abs() < 1e-4 && (y - north).abs() < 1e-4);
        }
    }

    #[test]
    fn there_is_no_direction_to_where_one_stands() {
        let peg = LonLat::new(39.28, -9.41).unwrap();
        assert_eq!(Plane::at(peg).bearing_deg(Ecef::of(peg)), None);
        assert_eq!(Plane::at(peg).distance_m(Ecef::of(peg)), 0.0);
    }
}
