//! Free ground on random layouts, against the distances of crate `geo` and a
//! grid of spots.

use geo::{Contains, Distance, Euclidean, Geometry, LineString, Point, coord};
use proptest::prelude::*;

use super::*;

/// A hazard as the oracle sees it.
#[derive(Debug, Clone)]
struct Hazard {
    geometry: Geometry<f64>,
    keep_m: f64,
}

impl Hazard {
    fn trouble(&self) -> Trouble {
        let places = |line: &LineString<f64>| line.coords().map(|c| [c.x, c.y]).collect::<Vec<_>>();
        let shape = match &self.geometry {
            Geometry::Point(p) => FlatShape::spot([p.x(), p.y()]),
            Geometry::LineString(line) => FlatShape::line(&places(line)),
            Geometry::Polygon(area) => FlatShape::area(area),
            other => panic!("{other:?}"),
        };
        Trouble { shape, keep_m: self.keep_m }
    }

    fn distance_m(&self, [x, y]: EastNorth) -> f64 {
        let p = Point::new(x, y);
        match &self.geometry {
            Geometry::Point(q) => Euclidean.distance(p, *q),
            Geometry::LineString(line) => Euclidean.distance(&p, line),
            Geometry::Polygon(area) => Euclidean.distance(&p, area),
            other => panic!("{other:?}"),
        }
    }
}

/// A polygon without crossings: places in order of their direction from its
/// middle; a hole half as large where asked.
fn star() -> impl Strategy<Value = Polygon<f64>> {
    let radii = prop::collection::vec(2.0..25.0f64, 3..9);
    (radii, -60.0..60.0, -60.0..60.0, any::<bool>(), any::<bool>()).prop_map(|(radii, x, y, hole, turned)| {
        let count = radii.len() as f64;
        let ring = |share: f64| {
            let at = |(n, r): (usize, &f64)| {
                let (sin, cos) = (std::f64::consts::TAU * n as f64 / count).sin_cos();
                coord! { x: x + share * r * cos, y: y + share * r * sin }
            };
            let mut places: Vec<_> = radii.iter().enumerate().map(at).collect();
            if turned {
                places.reverse();
            }
            LineString::new(places)
        };
        Polygon::new(ring(1.0), if hole { vec![ring(0.5)] } else { Vec::new() })
    })
}

fn hazard() -> impl Strategy<Value = Hazard> {
    let place = || (-80.0..80.0, -80.0..80.0).prop_map(|(x, y)| coord! { x: x, y: y });
    let geometry = prop_oneof![
        3 => place().prop_map(|c| Geometry::Point(Point(c))),
        2 => prop::collection::vec(place(), 2..5).prop_map(|l| Geometry::LineString(LineString::new(l))),
        2 => star().prop_map(Geometry::Polygon),
    ];
    (geometry, prop_oneof![1 => Just(0.0), 6 => 0.5..40.0])
        .prop_map(|(geometry, keep_m)| Hazard { geometry, keep_m })
}

#[derive(Debug, Clone)]
struct Case {
    plot: Polygon<f64>,
    hazards: Vec<Hazard>,
    known_m: Option<f64>,
}

fn case() -> impl Strategy<Value = Case> {
    let plot = star().prop_map(|p| {
        use geo::Scale;
        p.scale(2.5)
    });
    (plot, prop::collection::vec(hazard(), 0..7), prop::option::of(0.0..120.0))
        .prop_map(|(plot, hazards, known_m)| Case { plot, hazards, known_m })
}

impl Case {
    fn layout(&self) -> Layout {
        Layout::new(
            std::slice::from_ref(&self.plot),
            self.hazards.iter().map(Hazard::trouble).collect(),
            self.known_m,
        )
    }

    /// By the oracle.
    fn clearance_m(&self, [x, y]: EastNorth) -> f64 {
        let p = Point::new(x, y);
        let rings = std::iter::once(self.plot.exterior()).chain(self.plot.interiors());
        let to_edge = rings.map(|r| Euclidean.distance(&p, r)).fold(f64::INFINITY, f64::min);
        let inside = if self.plot.contains(&p) { to_edge } else { -to_edge };
        self.hazards.iter().map(|h| h.distance_m([x, y]) - h.keep_m).fold(inside, f64::min)
    }

    /// Spots two metres apart all over the plot, a little off round numbers.
    fn grid(&self) -> Vec<EastNorth> {
        use geo::BoundingRect;
        let bounds = self.plot.bounding_rect().unwrap();
        let steps = |low: f64, high: f64| {
            (0..((high - low) / 2.0) as usize + 2).map(move |n| low + 2.0 * n as f64 - 0.987)
        };
        steps(bounds.min().x, bounds.max().x)
            .flat_map(|x| steps(bounds.min().y, bounds.max().y).map(move |y| [x, y]))
            .collect()
    }
}

/// Polygons are drawn at the most so far on the safe side, metres.
const DRAWN_M: f64 = 0.07;

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn no_spot_of_the_free_ground_is_nearer_to_a_hazard_than_its_setback(case in case()) {
        let ground = case.layout().free_ground();
        for [x, y] in case.grid() {
            let (free, not_known) = (ground.free.contains(&Point::new(x, y)), ground.not_known.contains(&Point::new(x, y)));
            if free || not_known {
                prop_assert!(case.clearance_m([x, y]) >= -1e-6, "({x}, {y}): {}", case.clearance_m([x, y]));
            }
            if free {
                prop_assert!(case.known_m.is_some_and(|m| x.hypot(y) <= m + 1e-6));
            }
        }
        // Nor is any corner of it, by more than rounding.
        use geo::CoordsIter;
        for c in ground.free.coords_iter().chain(ground.not_known.coords_iter()) {
            prop_assert!(case.clearance_m([c.x, c.y]) >= -1e-5, "{c:?}: {}", case.clearance_m([c.x, c.y]));
        }
    }

    #[test]
    fn no_open_spot_is_missed(case in case()) {
        let (layout, ground) = (case.layout(), case.layout().free_ground());
        for [x, y] in case.grid() {
            let clearance = case.clearance_m([x, y]);
            let here = Point::new(x, y);
            if clearance > DRAWN_M {
                prop_assert!(
                    ground.free.contains(&here) || ground.not_known.contains(&here),
                    "({x}, {y}) is {clearance} m clear"
                );
                if case.known_m.is_some_and(|m| x.hypot(y) < m - DRAWN_M) {
                    prop_assert!(ground.free.contains(&here));
                }
            }
            prop_assert!((layout.clearance_m([x, y]) - clearance).abs() < 1e-6);
            prop_assert_eq!(layout.class_of([x, y]) != Class::Taken, clearance >= 0.0);
        }
    }

    #[test]
    fn no_spot_is_wider_than_the_widest(case in case()) {
        let layout = case.layout();
        let found = layout.widest(false, 0.1);
        let grid = case.grid().into_iter().map(|p| case.clearance_m(p)).fold(f64::NEG_INFINITY, f64::max);
        match found {
            Some(spot) => {
                prop_assert!(spot.clearance_m >= grid - 0.1);
                prop_assert!((case.clearance_m(spot.at) - spot.clearance_m).abs() < 1e-6);
            }
            None => prop_assert!(grid < 0.1, "a spot {grid} m clear was missed"),
        }
    }

    #[test]
    fn no_spot_far_enough_from_trouble_is_nearer_to_the_peg(case in case()) {
        let needed = |far: f64| 0.5 + 0.1 * far;
        let found = case.layout().nearest(true, 0.25, &needed);
        let will_do = |p: &EastNorth| {
            let far = p[0].hypot(p[1]);
            case.clearance_m(*p) >= needed(far) && case.known_m.is_some_and(|m| far <= m)
        };
        let grid = case.grid().into_iter().filter(will_do).map(|p| p[0].hypot(p[1])).fold(f64::INFINITY, f64::min);
        match found {
            Some(spot) => {
                prop_assert!(will_do(&spot.at), "{spot:?}");
                prop_assert!(spot.from_peg_m() <= grid + 0.25);
            }
            // Squares smaller than a sixteenth of a metre are not looked into.
            None => {
                let amply = |p: &EastNorth| {
                    let far = p[0].hypot(p[1]);
                    case.clearance_m(*p) >= needed(far) + 0.3 && case.known_m.is_some_and(|m| far <= m - 0.3)
                };
                let missed = case.grid().into_iter().find(amply);
                prop_assert_eq!(missed, None);
            }
        }
    }

    #[test]
    fn leaving_out_what_is_far_changes_nothing(case in case()) {
        let (all, near) = (case.layout(), case.layout().pruned());
        prop_assert!((all.free_ground().free_m2() - near.free_ground().free_m2()).abs() < 1e-3);
        for p in case.grid() {
            prop_assert_eq!(all.class_of(p), near.class_of(p));
        }
    }
}

fn square(half_m: f64) -> Polygon<f64> {
    Polygon::new(
        LineString::from(vec![(-half_m, -half_m), (half_m, -half_m), (half_m, half_m), (-half_m, half_m)]),
        Vec::new(),
    )
}

fn spot(at: EastNorth, keep_m: f64) -> Trouble {
    Trouble { shape: FlatShape::spot(at), keep_m }
}

#[test]
fn an_empty_plot_is_all_free() {
    let layout = Layout::new(&[square(10.0)], Vec::new(), Some(1e3));
    let ground = layout.free_ground();
    assert!((ground.free_m2() - 400.0).abs() < 1e-6 && ground.not_known_m2() == 0.0);
    let widest = layout.widest(true, 0.05).unwrap();
    assert!((widest.clearance_m - 10.0).abs() < 0.05);
}

#[test]
fn what_was_not_searched_is_not_free() {
    let ground = Layout::new(&[square(10.0)], Vec::new(), None).free_ground();
    assert!(ground.free_m2() == 0.0 && (ground.not_known_m2() - 400.0).abs() < 1e-6);
    let part = Layout::new(&[square(10.0)], Vec::new(), Some(5.0)).free_ground();
    assert!((part.free_m2() - 25.0 * std::f64::consts::PI).abs() < 1.0);
    assert!((part.free_m2() + part.not_known_m2() - 400.0).abs() < 1e-3);
    assert_eq!(Layout::new(&[square(10.0)], Vec::new(), Some(-3.0)).class_of([0.0, 0.0]), Class::NotKnown);
}

#[test]
fn a_plot_with_everything_blocked_has_no_spot() {
    let layout = Layout::new(&[square(10.0)], vec![spot([3.0, 3.0], 40.0)], Some(1e3));
    assert!(layout.free_ground().free_m2() == 0.0);
    assert_eq!(layout.widest(true, 0.1), None);
    assert_eq!(layout.nearest(true, 0.1, &|_| 0.0), None);
}

#[test]
fn a_hazard_outside_the_plot_takes_its_share() {
    let layout = Layout::new(&[square(10.0)], vec![spot([20.0, 0.0], 15.0)], Some(1e3));
    assert_eq!(layout.class_of([6.0, 0.0]), Class::Taken);
    assert_eq!(layout.class_of([4.0, 0.0]), Class::Free);
    let free = layout.free_ground().free_m2();
    assert!(free < 395.0 && free > 250.0, "{free}");
}

#[test]
fn in_the_hole_of_an_area_a_spot_may_be_free() {
    let yard = Polygon::new(square(30.0).exterior().clone(), vec![square(20.0).exterior().clone()]);
    let trouble = Trouble { shape: FlatShape::area(&yard), keep_m: 5.0 };
    let layout = Layout::new(&[square(50.0)], vec![trouble], Some(1e3));
    assert_eq!(layout.class_of([0.0, 14.9]), Class::Free);
    assert_eq!(layout.class_of([0.0, 15.1]), Class::Taken);
    assert_eq!(layout.class_of([0.0, 25.0]), Class::Taken);
    assert_eq!(layout.class_of([0.0, 36.0]), Class::Free);
    let outside_m2 = 10_000.0 - 4_900.0 + (4.0 - std::f64::consts::PI) * 25.0;
    let free = layout.free_ground().free_m2();
    assert!((free - (900.0 + outside_m2)).abs() < 1.0, "{free} m²");
}

#[test]
fn an_area_that_crosses_itself_is_wholly_kept_clear() {
    let bow = Polygon::new(
        LineString::from(vec![(-20.0, -20.0), (20.0, 20.0), (20.0, -20.0), (-20.0, 20.0)]),
        Vec::new(),
    );
    let trouble = Trouble { shape: FlatShape::area(&bow), keep_m: 1.0 };
    let layout = Layout::new(&[square(30.0)], vec![trouble], Some(1e3));
    let ground = layout.free_ground();
    for x in [-12.0, 12.0] {
        assert_eq!(layout.class_of([x, 0.0]), Class::Taken);
        assert!(!ground.free.contains(&Point::new(x, 0.0)));
    }
}

#[test]
fn a_plot_no_wider_than_a_hole_is_still_looked_at() {
    let layout = Layout::new(&[square(0.2)], Vec::new(), Some(10.0));
    assert!((layout.free_ground().free_m2() - 0.16).abs() < 1e-6);
    assert!(layout.widest(true, 0.05).unwrap().clearance_m > 0.14);
}

#[test]
fn several_spots_are_apart() {
    let spots =
        Layout::new(&[square(50.0)], vec![spot([0.0, 0.0], 20.0)], None).widest_spots(false, 0.5, 15.0, 4);
    assert_eq!(spots.len(), 4);
    for (n, a) in spots.iter().enumerate() {
        for b in spots.iter().skip(n + 1) {
            assert!((a.at[0] - b.at[0]).hypot(a.at[1] - b.at[1]) >= 15.0 - 1e-6);
        }
    }
}

#[test]
fn a_long_edge_is_followed_as_it_runs_in_longitude_and_latitude() {
    use crate::place::{Plane, destination};
    use crate::survey::{LonLat, Shape};
    let peg = LonLat::new(11.0, 52.0).unwrap();
    let far = |bearing| destination(peg, bearing, 4_000.0).unwrap();
    // Along a parallel a straight line in the plane would pass 0.8 m too far.
    let [a, b] = [(far(90.0), 1), (far(270.0), 2)].map(|(p, _)| LonLat::new(p.lon_deg(), 52.0).unwrap());
    let road = FlatShape::of(&Shape::Lines(vec![vec![a, b]]), &Plane::at(peg));
    assert!(road.distance_m([0.0, 0.0]) < 0.01, "{}", road.distance_m([0.0, 0.0]));
}
