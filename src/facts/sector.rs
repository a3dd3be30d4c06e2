//! Whether a hazard lies in a sector of the compass around the peg, given how
//! badly its direction is known; degrees.

use super::near::Source;
use crate::place::{bearing_deg, distance_m};
use crate::survey::{Frame, Hazard, LonLat, Position, Shape};

/// A sector of the compass.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sector {
    pub(super) middle_deg: f64,
    pub(super) half_angle_deg: f64,
}

/// Whether something lies in a sector.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Within {
    Surely,
    Perhaps,
    No,
}

impl Sector {
    /// Whether the nearest place of a hazard surely lies in the sector, or
    /// any place of it perhaps does. `compass_deg` is the error of a compass
    /// bearing, for what was taken from the peg.
    pub(super) fn holds(&self, peg: &Position, hazard: &Hazard, source: &Source, compass_deg: f64) -> Within {
        let (near, half_width) = (source.distance.value, source.distance.high - source.distance.value);
        let Some(bearing) = source.bearing_deg.filter(|_| half_width < near) else {
            return Within::Perhaps;
        };
        // A place off by `half_width` at right angles to the line of sight.
        let sideways = (half_width / near).asin().to_degrees();
        let compass = if hazard.position.frame == Frame::Peg { compass_deg } else { 0.0 };
        let error = sideways + compass;
        let off = self.off_deg(bearing).abs();
        if off + error <= self.half_angle_deg {
            return Within::Surely;
        }
        let widened = Sector { half_angle_deg: self.half_angle_deg + error, ..*self };
        if off <= widened.half_angle_deg || widened.touches(peg.at, &hazard.shape) {
            Within::Perhaps
        } else {
            Within::No
        }
    }

    /// How far a bearing is from the middle, −180 to 180.
    fn off_deg(&self, bearing_deg: f64) -> f64 {
        let off = (bearing_deg - self.middle_deg).rem_euclid(360.0);
        if off > 180.0 { off - 360.0 } else { off }
    }

    /// Whether any place of a shape lies in the sector as seen from `peg`.
    fn touches(&self, peg: LonLat, shape: &Shape) -> bool {
        let off = |at: &LonLat| (distance_m(peg, *at) > 0.0).then(|| self.off_deg(bearing_deg(peg, *at)));
        let inside = |at: &LonLat| off(at).is_none_or(|o| o.abs() <= self.half_angle_deg);
        // Seen from the peg an edge covers the shorter arc between its ends.
        // Where neither end lies in the sector, the arc does only if it passes
        // the sector's middle.
        let edge = |pair: &[LonLat]| match pair {
            [a, b] => match (off(a), off(b)) {
                (Some(a), Some(b)) => (a < 0.0) != (b < 0.0) && a.abs() + b.abs() < 180.0,
                _ => true,
            },
            _ => false,
        };
        let path = |line: &Vec<LonLat>| line.iter().any(inside) || line.windows(2).any(edge);
        match shape {
            Shape::Points(points) => points.iter().any(inside),
            Shape::Lines(lines) => lines.iter().any(path),
            Shape::Polygons(polygons) => polygons.iter().flatten().any(path),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::destination;

    fn peg() -> LonLat {
        LonLat::new(39.0, -9.0).unwrap()
    }

    fn at(bearing: f64, distance: f64) -> LonLat {
        destination(peg(), bearing, distance).unwrap()
    }

    #[test]
    fn a_bearing_just_across_north_is_near() {
        let sector = Sector { middle_deg: 350.0, half_angle_deg: 30.0 };
        assert!(sector.touches(peg(), &Shape::Points(vec![at(15.0, 50.0)])));
        assert!(!sector.touches(peg(), &Shape::Points(vec![at(25.0, 50.0)])));
        let turned = Sector { middle_deg: 350.0 + 360.0, half_angle_deg: 30.0 };
        assert!(turned.touches(peg(), &Shape::Points(vec![at(15.0, 50.0)])));
    }

    #[test]
    fn an_edge_that_crosses_the_sector_touches_it() {
        let sector = Sector { middle_deg: 0.0, half_angle_deg: 20.0 };
        let across = Shape::Lines(vec![vec![at(300.0, 80.0), at(60.0, 80.0)]]);
        assert!(sector.touches(peg(), &across));
        let behind = Shape::Lines(vec![vec![at(100.0, 80.0), at(260.0, 80.0)]]);
        assert!(!sector.touches(peg(), &behind));
    }
}
