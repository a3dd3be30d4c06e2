//! Which way the groundwater flows, and what lies up-gradient.
//!
//! A plane *h = a x + b y + c* through the water levels of three or more
//! wells (x to the east, y to the north, h the elevation of the water), by
//! least squares with weights 1/error². The gradient is √(a² + b²), the water
//! flows towards the azimuth atan2(−a, −b). Levels and distances in metres,
//! azimuths in degrees from north.
//!
//! How sure the direction is follows from the errors of the levels, or, with
//! more than three wells, from how far the levels stand off the plane where
//! that is more: the level surface of real ground is no plane.
//!
//! Source: the three-point method as in US EPA, On-line tools for site
//! assessment, hydraulic gradient calculators (gradient3, gradient4plus).
//! That thin triangles and differences within the error of reading say
//! nothing is common practice.

use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};

use super::wedge::Wedge;

/// Half of a 95 % band of a normal quantity, in standard deviations.
pub const HALF_BAND_95: f64 = 1.959_963_984_540_054;
/// The 95 % point of χ² with two degrees of freedom, −2 ln 0.05.
const CHI_SQUARE_2_95: f64 = 5.991_464_547_107_979;

/// The elevation of the water in a well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterLevel {
    /// East of the peg.
    pub east_m: f64,
    /// North of the peg.
    pub north_m: f64,
    /// Elevation of the water: of the ground less the depth to water.
    pub level_m: f64,
    /// Standard deviation of its error: that of the elevation of the ground
    /// and of the reading together.
    pub error_sd_m: f64,
}

/// Why no direction is given.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoFlow {
    /// A number is not finite or an error negative.
    #[error("a position, level or error is not a finite number of zero or more")]
    NotFinite,
    /// Three wells are needed.
    #[error("the direction of flow needs the water level of 3 wells with elevation, and {wells} have one")]
    TooFew {
        /// How many there are.
        wells: usize,
    },
    /// The wells lie nearly in a line.
    #[error(
        "the wells lie nearly in a line: the best triangle has an angle of {smallest_deg:.0}°, less than {least_deg:.0}°"
    )]
    Thin {
        /// The smallest angle of the best triangle.
        smallest_deg: f64,
        /// The least that is wanted.
        least_deg: f64,
    },
    /// The water is as good as level, as far as it was measured.
    #[error("the levels differ by {difference_m:.2} m, which is within their error of {error_m:.2} m")]
    WithinError {
        /// The greatest difference between two levels.
        difference_m: f64,
        /// Half of the 95 % band of such a difference.
        error_m: f64,
    },
    /// Two levels differ by more than their errors, yet no direction stands
    /// out over the errors and what the plane leaves unexplained.
    #[error(
        "the slope of the water cannot be told from level ground: the levels stand {misfit_m:.2} m off a plane"
    )]
    NotSignificant {
        /// Root of the mean square of what the plane leaves, or of the
        /// errors where that is more.
        misfit_m: f64,
    },
}

/// The slope of the water table and how sure it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Flow {
    /// Fall of the water per metre of way.
    pub gradient: f64,
    /// Standard deviation of that.
    pub gradient_sd: f64,
    /// Where the water flows to, degrees from north, 0 to 360.
    pub azimuth_deg: f64,
    /// Standard deviation of that, by the slope at the best value.
    pub azimuth_sd_deg: f64,
    /// The share of the scatter of the levels that the plane explains.
    pub r_squared: f64,
    /// What the plane leaves, root of the mean square; zero with three wells.
    pub misfit_m: f64,
    /// How many wells it rests on.
    pub wells: usize,
    /// Level at the peg (east 0, north 0).
    pub level_at_peg_m: f64,
    slope: Vector2<f64>,
    covariance: Matrix2<f64>,
}

/// Lays a plane through water levels; refuses where the best triangle of
/// wells has an angle below `least_angle_deg`.
///
/// # Errors
/// When there is no plane or its direction says nothing; see [`NoFlow`].
pub fn flow(levels: &[WaterLevel], least_angle_deg: f64) -> Result<Flow, NoFlow> {
    let sound = |l: &WaterLevel| {
        [l.east_m, l.north_m, l.level_m, l.error_sd_m].iter().all(|v| v.is_finite()) && l.error_sd_m >= 0.0
    };
    if !levels.iter().all(sound) || !least_angle_deg.is_finite() {
        return Err(NoFlow::NotFinite);
    }
    if levels.len() < 3 {
        return Err(NoFlow::TooFew { wells: levels.len() });
    }
    let smallest_deg = best_triangle_deg(levels);
    if smallest_deg < least_angle_deg || smallest_deg <= 0.0 {
        return Err(NoFlow::Thin { smallest_deg, least_deg: least_angle_deg });
    }
    let (difference_m, error_m) = greatest_difference(levels);
    if difference_m <= error_m {
        return Err(NoFlow::WithinError { difference_m, error_m });
    }
    let fit = Fit::new(levels).ok_or(NoFlow::Thin { smallest_deg, least_deg: least_angle_deg })?;
    let slope = Vector2::new(fit.coefficients.x, fit.coefficients.y);
    let covariance = fit.covariance.fixed_view::<2, 2>(0, 0).into_owned();
    let gradient = slope.norm();
    if gradient <= 0.0 || significance(&slope, &covariance) <= CHI_SQUARE_2_95 {
        let errors = (levels.iter().map(|l| l.error_sd_m.powi(2)).sum::<f64>() / levels.len() as f64).sqrt();
        return Err(NoFlow::NotSignificant { misfit_m: fit.misfit_m.max(errors) });
    }
    let along = slope / gradient;
    let across = Vector2::new(-along.y, along.x);
    let azimuth_deg = (-slope.x).atan2(-slope.y).to_degrees().rem_euclid(360.0);
    Ok(Flow {
        gradient,
        gradient_sd: along.dot(&(covariance * along)).max(0.0).sqrt(),
        azimuth_deg: if azimuth_deg >= 360.0 { 0.0 } else { azimuth_deg },
        azimuth_sd_deg: (across.dot(&(covariance * across)).max(0.0).sqrt() / gradient).to_degrees(),
        r_squared: fit.r_squared,
        misfit_m: fit.misfit_m,
        wells: levels.len(),
        level_at_peg_m: fit.level_at_peg_m,
        slope,
        covariance,
    })
}

impl Flow {
    /// The chance that the water comes from within `half_angle_deg` of
    /// `bearing_deg`: that what lies in that direction is up-gradient.
    pub fn chance_up_gradient(&self, bearing_deg: f64, half_angle_deg: f64) -> f64 {
        // Up-gradient the level rises: that is the direction of the slope.
        Wedge::new(self.slope, self.covariance).chance(bearing_deg, half_angle_deg)
    }

    /// The angle to either side of the azimuth within which the direction
    /// lies with the chance `chance`; 180 where no less holds it.
    pub fn half_band_deg(&self, chance: f64) -> f64 {
        let up = self.azimuth_deg + 180.0;
        let (mut low, mut high) = (0.0, 180.0);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if self.chance_up_gradient(up, middle) < chance { low = middle } else { high = middle }
        }
        high
    }

    /// The level of the water at a place in the plane, by the fit.
    pub fn level_m(&self, east_m: f64, north_m: f64) -> f64 {
        self.level_at_peg_m + self.slope.x * east_m + self.slope.y * north_m
    }
}

/// A slope squared in units of its uncertainty.
fn significance(slope: &Vector2<f64>, covariance: &Matrix2<f64>) -> f64 {
    match covariance.try_inverse() {
        Some(inverse) => slope.dot(&(inverse * slope)),
        // Levels without error are as sure as can be.
        None => f64::INFINITY,
    }
}

/// The fitted plane.
struct Fit {
    /// East, north, constant.
    coefficients: Vector3<f64>,
    covariance: Matrix3<f64>,
    r_squared: f64,
    misfit_m: f64,
    level_at_peg_m: f64,
}

impl Fit {
    /// Weighted least squares about the middle of the wells, where rounding
    /// does least.
    fn new(levels: &[WaterLevel]) -> Option<Self> {
        let n = levels.len() as f64;
        let mean = |f: fn(&WaterLevel) -> f64| levels.iter().map(f).sum::<f64>() / n;
        let (x0, y0, h0) = (mean(|l| l.east_m), mean(|l| l.north_m), mean(|l| l.level_m));
        let width = levels.iter().map(|l| (l.east_m - x0).hypot(l.north_m - y0)).fold(0.0, f64::max);
        // An error of zero would outweigh all others: the floor is a
        // thousandth of the greatest error, or equal weights without any.
        let greatest = levels.iter().map(|l| l.error_sd_m).fold(0.0, f64::max);
        let unit = if greatest > 0.0 { greatest } else { 1.0 };
        let (mut normal, mut right) = (Matrix3::zeros(), Vector3::zeros());
        let row = |l: &WaterLevel| Vector3::new((l.east_m - x0) / width, (l.north_m - y0) / width, 1.0);
        let weight = |l: &WaterLevel| match greatest > 0.0 {
            true => (unit / l.error_sd_m.max(1e-3 * unit)).powi(2),
            false => 1.0,
        };
        for l in levels {
            normal += row(l) * row(l).transpose() * weight(l);
            right += row(l) * weight(l) * (l.level_m - h0);
        }
        let inverse = normal.try_inverse()?;
        let c = inverse * right;
        let left = |l: &WaterLevel| l.level_m - h0 - row(l).dot(&c);
        let squares = levels.iter().map(|l| left(l).powi(2)).sum::<f64>();
        let chi_square = levels.iter().map(|l| left(l).powi(2) * weight(l)).sum::<f64>();
        let total = levels.iter().map(|l| (l.level_m - h0).powi(2)).sum::<f64>();
        let free = n - 3.0;
        // In the units of `weight`, where an error of `unit` weighs 1.
        let stated = if greatest > 0.0 { unit * unit } else { 0.0 };
        let seen = if free > 0.0 { chi_square / free } else { 0.0 };
        let scale = Matrix3::from_diagonal(&Vector3::new(1.0 / width, 1.0 / width, 1.0));
        let coefficients = scale * c;
        let found = Self {
            coefficients,
            covariance: scale * inverse * scale * stated.max(seen),
            r_squared: if total > 0.0 { (1.0 - squares / total).max(0.0) } else { 0.0 },
            misfit_m: (squares / n).sqrt(),
            level_at_peg_m: h0 + c.z - coefficients.x * x0 - coefficients.y * y0,
        };
        found.coefficients.iter().chain(found.covariance.iter()).all(|v| v.is_finite()).then_some(found)
    }
}

/// The greatest difference between two levels in units of its own error, and
/// half of that error's 95 % band.
fn greatest_difference(levels: &[WaterLevel]) -> (f64, f64) {
    let mut most = (0.0, 0.0);
    let mut clearest = f64::NEG_INFINITY;
    for (i, a) in levels.iter().enumerate() {
        for b in levels.iter().take(i) {
            let difference = (a.level_m - b.level_m).abs();
            let error = HALF_BAND_95 * a.error_sd_m.hypot(b.error_sd_m);
            if difference - error > clearest {
                clearest = difference - error;
                most = (difference, error);
            }
        }
    }
    most
}

/// The smallest angle of the best triangle over the longest side there is:
/// with three wells that of their triangle.
fn best_triangle_deg(levels: &[WaterLevel]) -> f64 {
    let far = |a: &WaterLevel, b: &WaterLevel| (a.east_m - b.east_m).hypot(a.north_m - b.north_m);
    let mut longest: Option<(f64, &WaterLevel, &WaterLevel)> = None;
    for (i, a) in levels.iter().enumerate() {
        for b in levels.iter().take(i) {
            if longest.is_none_or(|(d, ..)| far(a, b) > d) {
                longest = Some((far(a, b), a, b));
            }
        }
    }
    let Some((base, a, b)) = longest.filter(|(d, ..)| *d > 0.0) else { return 0.0 };
    levels
        .iter()
        .map(|c| {
            // The smallest angle lies opposite the shortest side.
            let (p, q) = (far(a, c), far(b, c));
            let (short, long) = (p.min(q), p.max(q));
            if short <= 0.0 {
                return 0.0;
            }
            let cosine = (long * long + base * base - short * short) / (2.0 * long * base);
            cosine.clamp(-1.0, 1.0).acos().to_degrees()
        })
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(east_m: f64, north_m: f64, level_m: f64, error_sd_m: f64) -> WaterLevel {
        WaterLevel { east_m, north_m, level_m, error_sd_m }
    }

    /// A water table that falls by 1 in 100 to the south-east.
    fn falling(error_sd_m: f64) -> Vec<WaterLevel> {
        let fall = 0.01 / 2.0_f64.sqrt();
        [(0.0, 0.0), (100.0, 0.0), (0.0, 100.0)]
            .map(|(x, y)| level(x, y, 50.0 - fall * x + fall * y, error_sd_m))
            .to_vec()
    }

    /// Wells W1, W2 and W7 of the worked page of US EPA, On-line tools for
    /// site assessment; the answer computed from them by the plane's formula.
    #[test]
    fn three_wells_give_the_published_direction() {
        let wells = [
            level(190.0, 163.0, 90.24, 0.0),
            level(138.0, 153.0, 90.27, 0.0),
            level(217.0, 43.0, 90.01, 0.0),
        ];
        let flow = flow(&wells, 15.0).unwrap();
        assert!((flow.gradient - 1.937_753e-3).abs() < 1e-9, "{flow:?}");
        assert!((flow.azimuth_deg - 152.115).abs() < 1e-3, "{flow:?}");
    }

    #[test]
    fn water_flows_down_and_comes_from_above() {
        let flow = flow(&falling(0.02), 15.0).unwrap();
        assert!((flow.azimuth_deg - 135.0).abs() < 1e-9 && (flow.gradient - 0.01).abs() < 1e-12);
        assert!(flow.chance_up_gradient(315.0, 45.0) > 0.99);
        assert!(flow.chance_up_gradient(135.0, 45.0) < 0.01);
        assert!((flow.level_m(0.0, 100.0) - 50.707_106_78).abs() < 1e-6);
    }

    #[test]
    fn a_direction_is_as_uncertain_as_the_levels() {
        // By hand: a and b have the variance 2 σ²/100² and the covariance
        // σ²/100², so across the slope to the south-east (1, 1)/√2 it is
        // 3 σ²/100².
        let got = flow(&falling(0.05), 15.0).unwrap();
        let sd = (3.0_f64.sqrt() * 0.05 / 100.0 / 0.01).to_degrees();
        assert!((got.azimuth_sd_deg - sd).abs() < 1e-9, "{got:?}");
        assert!((got.gradient_sd - 0.05 / 100.0).abs() < 1e-12, "{got:?}");
        let band = got.half_band_deg(0.95);
        assert!((band - 1.96 * sd).abs() < 0.05 * band, "{band} {sd}");
    }

    #[test]
    fn wells_in_a_line_are_refused() {
        let line = [level(0.0, 0.0, 5.0, 0.0), level(50.0, 2.0, 4.0, 0.0), level(100.0, 0.0, 3.0, 0.0)];
        let got = flow(&line, 15.0).unwrap_err();
        let NoFlow::Thin { smallest_deg, .. } = got else { panic!("{got}") };
        assert!((smallest_deg - (2.0_f64 / 50.0).atan().to_degrees()).abs() < 1e-9);
        let one_spot = [level(0.0, 0.0, 5.0, 0.0); 3];
        assert!(matches!(flow(&one_spot, 0.0), Err(NoFlow::Thin { .. })));
    }

    #[test]
    fn a_fourth_well_beside_the_line_mends_it() {
        let mut wells =
            vec![level(0.0, 0.0, 5.0, 0.01), level(50.0, 2.0, 4.5, 0.01), level(100.0, 0.0, 4.0, 0.01)];
        assert!(flow(&wells, 15.0).is_err());
        wells.push(level(40.0, 60.0, 4.6, 0.01));
        assert!(flow(&wells, 15.0).is_ok());
    }

    #[test]
    fn differences_inside_the_error_are_refused() {
        let got = flow(&falling(1.0), 15.0).unwrap_err();
        assert!(matches!(got, NoFlow::WithinError { .. }), "{got}");
        assert!(got.to_string().contains("1.41 m"), "{got}");
    }

    #[test]
    fn levels_that_lie_on_no_plane_give_no_direction() {
        let saddle =
            [(0.0, 0.0, 5.0), (100.0, 0.0, 3.0), (0.0, 100.0, 3.0), (100.0, 100.0, 5.1), (50.0, 50.0, 3.0)]
                .map(|(x, y, h)| level(x, y, h, 0.05));
        let got = flow(&saddle, 15.0).unwrap_err();
        assert!(matches!(got, NoFlow::NotSignificant { .. }), "{got}");
    }

    #[test]
    fn a_greater_error_never_makes_a_direction_surer() {
        let chance = |sd| flow(&falling(sd), 15.0).map(|f| f.chance_up_gradient(315.0, 30.0)).unwrap_or(0.0);
        let chances = [0.0, 0.01, 0.05, 0.1, 0.2, 0.5].map(chance);
        assert!(chances.windows(2).all(|w| w[1] <= w[0] + 1e-6), "{chances:?}");
        assert!((chances[0] - 1.0).abs() < 1e-9);
    }

    #[test]
    fn too_few_wells_and_numbers_that_are_none_are_refused() {
        assert_eq!(flow(&falling(0.0)[..2], 15.0), Err(NoFlow::TooFew { wells: 2 }));
        let bad = [level(f64::NAN, 0.0, 1.0, 0.0); 3];
        assert_eq!(flow(&bad, 15.0), Err(NoFlow::NotFinite));
    }
}
