//! Shapes cut to the frame of a picture, so that no line of a map a thousand
//! kilometres long, nor one of a million corners, gets into a page.
//!
//! Areas are cut by Sutherland & Hodgman's method (1974) and lines by Liang &
//! Barsky's (1984), both from memory.

/// A place in the picture.
pub type Spot = [f64; 2];

/// An upright rectangle: least x, least y, greatest x, greatest y.
#[derive(Debug, Clone, Copy)]
pub struct Window(pub f64, pub f64, pub f64, pub f64);

impl Window {
    /// Whether a place lies in it.
    pub fn holds(&self, [x, y]: Spot) -> bool {
        (self.0..=self.2).contains(&x) && (self.1..=self.3).contains(&y)
    }
}

/// The part of an area's ring inside the window; empty where none is.
pub fn cut_ring(ring: &[Spot], window: Window) -> Vec<Spot> {
    // Each side as: which coordinate, the limit, and which way is inside.
    let sides = [(0, window.0, 1.0), (0, window.2, -1.0), (1, window.1, 1.0), (1, window.3, -1.0)];
    let mut kept: Vec<Spot> = ring.to_vec();
    for (axis, limit, way) in sides {
        let at = |p: Spot| if axis == 0 { p[0] } else { p[1] };
        let inside = |p: Spot| (at(p) - limit) * way >= 0.0;
        let crossing = |a: Spot, b: Spot| {
            let t = ((limit - at(a)) / (at(b) - at(a))).clamp(0.0, 1.0);
            [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]
        };
        let mut next = Vec::with_capacity(kept.len());
        let before = kept.last().copied().into_iter().chain(kept.iter().copied());
        for (a, b) in before.zip(kept.iter().copied()) {
            match (inside(a), inside(b)) {
                (true, true) => next.push(b),
                (true, false) => next.push(crossing(a, b)),
                (false, true) => next.extend([crossing(a, b), b]),
                (false, false) => {}
            }
        }
        kept = next;
    }
    thinned(&kept)
}

/// The parts of a line inside the window.
pub fn cut_line(line: &[Spot], window: Window) -> Vec<Vec<Spot>> {
    let mut parts: Vec<Vec<Spot>> = Vec::new();
    for (a, b) in line.iter().zip(line.iter().skip(1)) {
        let Some((from, to)) = cut_segment(*a, *b, window) else { continue };
        match parts.last_mut() {
            Some(part) if part.last().is_some_and(|p| near(*p, from, 1e-9)) => part.push(to),
            _ => parts.push(vec![from, to]),
        }
    }
    parts.iter().map(|p| thinned(p)).collect()
}

fn cut_segment(a: Spot, b: Spot, w: Window) -> Option<(Spot, Spot)> {
    let d = [b[0] - a[0], b[1] - a[1]];
    let (mut t0, mut t1) = (0.0_f64, 1.0_f64);
    for (p, q) in [(-d[0], a[0] - w.0), (d[0], w.2 - a[0]), (-d[1], a[1] - w.1), (d[1], w.3 - a[1])] {
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            t0 = t0.max(q / p);
        } else {
            t1 = t1.min(q / p);
        }
    }
    let at = |t: f64| [a[0] + t * d[0], a[1] + t * d[1]];
    (t0 <= t1).then(|| (at(t0), at(t1)))
}

fn near(a: Spot, b: Spot, by: f64) -> bool {
    (a[0] - b[0]).hypot(a[1] - b[1]) <= by
}

/// Corners that nobody could tell apart in the picture are one; both ends
/// stay.
fn thinned(places: &[Spot]) -> Vec<Spot> {
    const APART: f64 = 0.5;
    let mut kept: Vec<Spot> = Vec::new();
    for (n, place) in places.iter().enumerate() {
        let end = n + 1 == places.len();
        if end || kept.last().is_none_or(|k| !near(*k, *place, APART)) {
            kept.push(*place);
        }
    }
    kept
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const WINDOW: Window = Window(0.0, 0.0, 10.0, 10.0);

    #[test]
    fn a_ring_around_the_window_fills_it() {
        let ring = cut_ring(&[[-5.0, -5.0], [15.0, -5.0], [15.0, 15.0], [-5.0, 15.0]], WINDOW);
        for corner in [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]] {
            assert!(ring.iter().any(|p| near(*p, corner, 1e-9)), "{corner:?} in {ring:?}");
        }
    }

    #[test]
    fn a_line_through_the_window_is_cut_at_both_sides() {
        assert_eq!(cut_line(&[[-5.0, 5.0], [15.0, 5.0]], WINDOW), [vec![[0.0, 5.0], [10.0, 5.0]]]);
    }

    #[test]
    fn what_lies_outside_is_nothing() {
        assert!(cut_line(&[[20.0, 5.0], [30.0, 5.0]], WINDOW).is_empty());
        assert!(cut_ring(&[[20.0, 0.0], [30.0, 0.0], [30.0, 9.0]], WINDOW).is_empty());
    }

    proptest! {
        #[test]
        fn nothing_is_drawn_outside(ring in prop::collection::vec([-1e6..1e6_f64, -1e6..1e6], 3..9)) {
            let wide = Window(-1e-3, -1e-3, 10.001, 10.001);
            for p in cut_ring(&ring, WINDOW).iter().chain(cut_line(&ring, WINDOW).iter().flatten()) {
                prop_assert!(wide.holds(*p), "{p:?}");
            }
        }
    }
}
