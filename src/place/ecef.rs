//! Earth-centred coordinates, in metres, of places on the WGS84 ellipsoid:
//! where the index keeps its points, because there is no antimeridian and no
//! pole in them.
//!
//! Axes: x to latitude 0 longitude 0, y to latitude 0 longitude 90° E, z to
//! the north pole. Source of the figures: NGA.STND.0036, World Geodetic System
//! 1984 (a = 6 378 137 m, 1/f = 298.257 223 563).

use crate::survey::LonLat;

/// Half the equatorial axis, metres.
pub(super) const A_M: f64 = 6_378_137.0;
/// Flattening.
const F: f64 = 1.0 / 298.257_223_563;
/// Half the polar axis, metres.
pub(super) const B_M: f64 = A_M * (1.0 - F);
/// Square of the first eccentricity.
const E2: f64 = F * (2.0 - F);

/// Below this, in metres, bounds need no sines: an arc is longer than its
/// chord by less than a millionth.
const SMALL_M: f64 = 20_000.0;

/// A place in earth-centred coordinates, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ecef(pub [f64; 3]);

impl Ecef {
    /// The place on the ellipsoid at `at`.
    pub fn of(at: LonLat) -> Self {
        Self::at_degrees(at.lon_deg(), at.lat_deg())
    }

    /// The same from degrees; a longitude may lie beyond ±180.
    pub(super) fn at_degrees(lon_deg: f64, lat_deg: f64) -> Self {
        let (sin_lat, cos_lat) = lat_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = lon_deg.to_radians().sin_cos();
        Self::of_turned([sin_lon, cos_lon], [sin_lat, cos_lat])
    }

    /// The same from the sine and cosine of longitude and latitude.
    pub(super) fn of_turned([sin_lon, cos_lon]: [f64; 2], [sin_lat, cos_lat]: [f64; 2]) -> Self {
        let n = A_M / (1.0 - E2 * sin_lat * sin_lat).sqrt();
        Self([n * cos_lat * cos_lon, n * cos_lat * sin_lon, n * (1.0 - E2) * sin_lat])
    }

    /// Longitude and latitude of a place on the ellipsoid; `None` at the
    /// centre of the Earth or where a coordinate is not finite.
    pub fn lon_lat(self) -> Option<LonLat> {
        let [x, y, z] = self.0;
        let out = x.hypot(y);
        let (lon, lat) = (y.atan2(x).to_degrees(), z.atan2((1.0 - E2) * out).to_degrees());
        if out.hypot(z) > 0.0 { LonLat::new(lon, lat).ok() } else { None }
    }

    /// The straight line through the Earth to `other`, metres.
    pub fn chord_m(self, other: Self) -> f64 {
        self.chord2(other).sqrt()
    }

    /// Its square.
    pub(super) fn chord2(self, other: Self) -> f64 {
        let [x, y, z] = self.to(other);
        x * x + y * y + z * z
    }

    /// The vector from here to `other`.
    pub(super) fn to(self, other: Self) -> [f64; 3] {
        let ([a, b, c], [x, y, z]) = (self.0, other.0);
        [x - a, y - b, z - c]
    }
}

/// The length of the way over the ground that belongs to a chord `chord_m`
/// whose far end lies `drop_m` below the level plane at the near end.
///
/// A chord c of a circle falls u = c²/2R below the tangent, so that
/// R = c²/2u and the arc 2R·asin(c/2R) = c·asin(q)/q with q = u/c. The
/// curvature along the very direction of the chord is in it through u. The
/// ground's section is not quite a circle: the error grows as c⁴ and is below
/// 0.001 mm at 20 km anywhere on the ellipsoid (tested against Karney's
/// geodesic).
pub fn geodesic_of_chord_m(chord_m: f64, drop_m: f64) -> f64 {
    let q = drop_m / chord_m;
    let q2 = q * q;
    // asin(q)/q = 1 + q²/6 + 3q⁴/40 + …; q is 0.0016 at 20 km. Not above 1 only
    // where chord and drop are both rounding errors.
    if q2 < 1.0 { chord_m * (1.0 + q2 / 6.0 + 0.075 * q2 * q2) } else { chord_m }
}

/// A length that no way over the ground with that chord is shorter than.
///
/// A way is never shorter than its chord. And squeezing the ellipsoid's x and
/// y by b/a makes it a sphere of radius b, shortens every way and no chord by
/// more than b/a: s ≥ 2b·asin(c/2a).
pub(super) fn least_geodesic_m(chord_m: f64) -> f64 {
    chord_m.max(2.0 * B_M * (chord_m / (2.0 * A_M)).min(1.0).asin())
}

/// A chord that no way over the ground up to `geodesic_m` long exceeds; a
/// micrometre is added for rounding.
pub(super) fn most_chord_m(geodesic_m: f64) -> f64 {
    let chord_m = if geodesic_m < SMALL_M {
        geodesic_m
    } else {
        let turn = (geodesic_m / (2.0 * B_M)).min(std::f64::consts::FRAC_PI_2);
        geodesic_m.min(2.0 * A_M * turn.sin())
    };
    chord_m * (1.0 + 1e-12) + 1e-6
}

/// A chord whose way over the ground is never longer than `geodesic_m`:
/// stretching z by a/b makes the ellipsoid a sphere of radius a, so that
/// s ≤ 2a·asin(c/2b).
pub(super) fn sure_chord_m(geodesic_m: f64) -> f64 {
    if geodesic_m < SMALL_M {
        // The arc is longer than the chord by a share of c²/24b² at most.
        return geodesic_m * (B_M / A_M) * (1.0 - 1e-6);
    }
    let turn = (geodesic_m / (2.0 * A_M)).min(std::f64::consts::FRAC_PI_2);
    2.0 * B_M * turn.sin() * (1.0 - 1e-12)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::{destination, distance_m};
    use proptest::prelude::*;

    fn place() -> impl Strategy<Value = LonLat> {
        (-180.0..=180.0, -90.0..=90.0).prop_map(|(lon, lat)| LonLat::new(lon, lat).unwrap())
    }

    #[test]
    fn the_axes_are_where_they_should_be() {
        let at = |lon, lat| Ecef::of(LonLat::new(lon, lat).unwrap());
        assert!(at(0.0, 0.0).chord_m(Ecef([6_378_137.0, 0.0, 0.0])) < 1e-9);
        assert!(at(90.0, 0.0).chord_m(Ecef([0.0, 6_378_137.0, 0.0])) < 1e-9);
        assert!(at(12.0, 90.0).chord_m(Ecef([0.0, 0.0, 6_356_752.314_245])) < 1e-6);
    }

    proptest! {
        #[test]
        fn a_place_is_found_again(a in place()) {
            let back = Ecef::of(a).lon_lat().unwrap();
            prop_assert!(Ecef::of(a).chord_m(Ecef::of(back)) < 1e-8);
        }

        #[test]
        fn chords_bound_the_way_over_the_ground(
            a in place(), bearing in 0.0..360.0, far in 0.0f64..1.0, small in 0..4,
        ) {
            let b = destination(a, bearing, 2e7 * far * 10f64.powi(-2 * small)).unwrap();
            let (chord, way) = (Ecef::of(a).chord_m(Ecef::of(b)), distance_m(a, b));
            prop_assert!(least_geodesic_m(chord) <= way + 1e-6);
            prop_assert!(chord <= most_chord_m(way));
            // Were the way any shorter than what its chord is sure for, there
            // would be a way with that chord that is too long.
            prop_assert!(sure_chord_m(way) <= chord + 1e-6);
        }
    }
}
