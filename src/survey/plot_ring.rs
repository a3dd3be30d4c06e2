//! Does a ring go once around some ground? Edges are straight in longitude
//! and latitude and go the short way round.

use super::LonLat;

/// Why a ring encloses no ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Flaw {
    /// Fewer than three different places.
    TooFew,
    /// All places on one line.
    NoArea,
    /// These two edges cross or touch; edge n leads from place n to the next,
    /// counted from 0.
    Crosses(usize, usize),
}

/// Closer than this, in degrees, two corners are one (a tenth of a
/// millimetre).
const SAME_DEG: f64 = 1e-9;

/// Whether two corners are one.
pub(crate) fn same_place(a: LonLat, b: LonLat) -> bool {
    short_way(a.lon_deg(), b.lon_deg()).abs() < SAME_DEG && (a.lat_deg() - b.lat_deg()).abs() < SAME_DEG
}

fn short_way(from: f64, to: f64) -> f64 {
    match to - from {
        d if d > 180.0 => d - 360.0,
        d if d < -180.0 => d + 360.0,
        d => d,
    }
}

/// An edge with its number.
#[derive(Clone, Copy)]
struct Edge {
    number: usize,
    from: [f64; 2],
    to: [f64; 2],
}

impl Edge {
    fn span(&self, axis: usize) -> [f64; 2] {
        let (a, b) = match axis {
            0 => (self.from[0], self.to[0]),
            _ => (self.from[1], self.to[1]),
        };
        [a.min(b), a.max(b)]
    }

    /// How far to the left of this edge `place` lies.
    fn off(&self, place: [f64; 2]) -> f64 {
        let ([ax, ay], [bx, by], [px, py]) = (self.from, self.to, place);
        ((bx - ax) * (py - ay) - (by - ay) * (px - ax)) / (bx - ax).hypot(by - ay)
    }

    fn holds(&self, place: [f64; 2]) -> bool {
        let within = |[low, high]: [f64; 2], x: f64| low - SAME_DEG <= x && x <= high + SAME_DEG;
        self.off(place).abs() < SAME_DEG && within(self.span(0), place[0]) && within(self.span(1), place[1])
    }

    fn meets(&self, other: &Edge) -> bool {
        let apart = |a: f64, b: f64| (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0);
        let crosses = apart(self.off(other.from), self.off(other.to))
            && apart(other.off(self.from), other.off(self.to));
        crosses
            || self.holds(other.from)
            || self.holds(other.to)
            || other.holds(self.from)
            || other.holds(self.to)
    }
}

/// What is wrong with a closed ring, its first place repeated at its end.
pub(crate) fn flaw(ring: &[LonLat]) -> Option<Flaw> {
    let first = *ring.first()?;
    // Longitudes as seen from the first place, so that no seam runs through.
    let place = |at: &LonLat| [short_way(first.lon_deg(), at.lon_deg()), at.lat_deg() - first.lat_deg()];
    let mut edges: Vec<Edge> = Vec::new();
    for (number, pair) in ring.windows(2).enumerate() {
        if let [a, b] = pair
            && !same_place(*a, *b)
        {
            edges.push(Edge { number, from: place(a), to: place(b) });
        }
    }
    if edges.len() < 3 {
        return Some(Flaw::TooFew);
    }
    // The first place is the origin.
    let far = edges.iter().max_by(|a, b| a.to[0].hypot(a.to[1]).total_cmp(&b.to[0].hypot(b.to[1])))?;
    let line = Edge { number: 0, from: [0.0, 0.0], to: far.to };
    if edges.iter().all(|e| line.off(e.to).abs() < SAME_DEG) {
        return Some(Flaw::NoArea);
    }
    let count = edges.len();
    let mut by_west: Vec<(usize, Edge)> = edges.iter().copied().enumerate().collect();
    by_west.sort_by(|a, b| a.1.span(0)[0].total_cmp(&b.1.span(0)[0]).then(a.0.cmp(&b.0)));
    let mut found: Option<(usize, usize)> = None;
    for (n, (i, one)) in by_west.iter().enumerate() {
        for (j, other) in by_west.iter().skip(n + 1) {
            if other.span(0)[0] > one.span(0)[1] {
                break;
            }
            let (first, second) = if i < j { (*i, *j) } else { (*j, *i) };
            let (a, b) = if i < j { (one, other) } else { (other, one) };
            let wrong = if second == first + 1 {
                // Neighbours share a place; they must not run back over each other.
                a.holds(b.to) || b.holds(a.from)
            } else if first == 0 && second == count - 1 {
                b.holds(a.to) || a.holds(b.from)
            } else {
                a.meets(b)
            };
            if wrong {
                let edges = (a.number, b.number);
                found = Some(found.map_or(edges, |f| f.min(edges)));
            }
        }
    }
    found.map(|(one, other)| Flaw::Crosses(one, other))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(places: &[(f64, f64)]) -> Vec<LonLat> {
        places.iter().chain(places.first()).map(|(x, y)| LonLat::new(*x, *y).unwrap()).collect()
    }

    #[test]
    fn a_ring_that_goes_once_around_has_no_flaw() {
        assert_eq!(flaw(&ring(&[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])), None);
        assert_eq!(flaw(&ring(&[(0.0, 0.0), (0.0, 1.0), (1.0, 1.0)])), None);
        assert_eq!(flaw(&ring(&[(179.9, 0.0), (-179.9, 0.0), (-179.9, 0.1), (179.9, 0.1)])), None);
    }

    #[test]
    fn edges_that_cross_or_touch_are_named() {
        let bow = ring(&[(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)]);
        assert_eq!(flaw(&bow), Some(Flaw::Crosses(0, 2)));
        let pinched = ring(&[(0.0, 0.0), (2.0, 0.0), (1.0, 1.0), (2.0, 2.0), (0.0, 2.0), (1.0, 1.0)]);
        assert!(matches!(flaw(&pinched), Some(Flaw::Crosses(..))));
        let spike = ring(&[(0.0, 0.0), (2.0, 0.0), (1.0, 0.0), (1.0, 1.0)]);
        assert!(matches!(flaw(&spike), Some(Flaw::Crosses(..))));
    }

    #[test]
    fn what_encloses_nothing_is_no_plot() {
        assert_eq!(flaw(&ring(&[(0.0, 0.0), (1.0, 0.0)])), Some(Flaw::TooFew));
        assert_eq!(flaw(&ring(&[(0.0, 0.0), (1.0, 0.0), (1.0, 0.0)])), Some(Flaw::TooFew));
        assert_eq!(flaw(&ring(&[(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)])), Some(Flaw::NoArea));
    }
}
