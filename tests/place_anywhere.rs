//! The index against the slow way, on shapes anywhere on Earth: across the
//! antimeridian, round the poles, in any orientation.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::float_cmp, missing_docs)]

use forebore::place::{Hit, PlaceIndex, bearing_deg, destination, distance_m};
use forebore::survey::{LonLat, Shape};
use geo::Contains;
use proptest::prelude::*;

fn at(lon: f64, lat: f64) -> LonLat {
    let lon = if lon > 180.0 {
        lon - 360.0
    } else if lon < -180.0 {
        lon + 360.0
    } else {
        lon
    };
    LonLat::new(lon.clamp(-180.0, 180.0), lat.clamp(-90.0, 90.0)).unwrap()
}

/// The change of longitude from `a` to `b` by the short way.
fn short_way(a: LonLat, b: LonLat) -> f64 {
    let d = b.lon_deg() - a.lon_deg();
    d - 360.0 * (d / 360.0).round()
}

/// The distance to an edge that is straight in longitude and latitude:
/// geodesics to many places on it, then to ever more near the best.
fn to_edge(peg: LonLat, a: LonLat, b: LonLat) -> f64 {
    let (turn, climb) = (short_way(a, b), b.lat_deg() - a.lat_deg());
    let go = |t: f64| distance_m(peg, at(a.lon_deg() + t * turn, a.lat_deg() + t * climb));
    let (mut low, mut high) = (0.0, 1.0);
    let mut best = f64::MAX;
    for _ in 0..7 {
        let step = (high - low) / 40.0;
        let tried = (0..=40).map(|i| low + step * f64::from(i)).map(|t| (go(t), t));
        let (d, t) = tried.min_by(|p, q| p.0.total_cmp(&q.0)).unwrap();
        best = d.min(best);
        (low, high) = ((t - step).max(0.0), (t + step).min(1.0));
    }
    best
}

/// Inside by plane geometry, with the ring unrolled around the peg's meridian;
/// for rings that do not go round a pole.
fn is_inside(peg: LonLat, rings: &[Vec<LonLat>]) -> bool {
    let unroll = |ring: &Vec<LonLat>| {
        let first = ring[0];
        let mut lon = short_way(peg, first);
        let mut line = vec![(lon, first.lat_deg())];
        for pair in ring.windows(2) {
            lon += short_way(pair[0], pair[1]);
            line.push((lon, pair[1].lat_deg()));
        }
        geo::LineString::from(line)
    };
    let holes = rings[1..].iter().map(unroll).collect();
    geo::Polygon::new(unroll(&rings[0]), holes).contains(&geo::Point::new(0.0, peg.lat_deg()))
}

fn to_shape(peg: LonLat, shape: &Shape) -> f64 {
    let along =
        |line: &Vec<LonLat>| line.windows(2).map(|p| to_edge(peg, p[0], p[1])).fold(f64::MAX, f64::min);
    match shape {
        Shape::Points(points) => points.iter().map(|p| distance_m(peg, *p)).fold(f64::MAX, f64::min),
        Shape::Lines(lines) => lines.iter().map(along).fold(f64::MAX, f64::min),
        Shape::Polygons(polygons) if polygons.iter().any(|rings| is_inside(peg, rings)) => 0.0,
        Shape::Polygons(polygons) => polygons.iter().flatten().map(along).fold(f64::MAX, f64::min),
    }
}

/// A peg: anywhere, or where longitude or latitude ends.
fn peg() -> impl Strategy<Value = LonLat> {
    let anywhere = (-180.0..180.0, -90.0..90.0);
    let antimeridian = (179.995..180.005, -80.0..80.0);
    let poles = (-180.0..180.0, prop_oneof![89.99..90.0, -90.0..-89.99, Just(90.0), Just(-90.0)]);
    prop_oneof![anywhere, antimeridian, poles].prop_map(|(lon, lat)| at(lon, lat))
}

/// A place by bearing and distance; most are near.
fn offset() -> impl Strategy<Value = (f64, f64)> {
    (0.0..360.0, (0.0f64..1.0).prop_map(|far| 6_000.0 * far * far * far))
}

/// A shape around a peg, made of offsets. Rings are stars around their own
/// middle, so that they do not cross themselves.
#[derive(Debug, Clone)]
enum Sketch {
    Points(Vec<(f64, f64)>),
    Line(Vec<(f64, f64)>),
    Ring { middle: (f64, f64), corners: Vec<f64>, size_m: f64, hole: Option<f64>, turned: f64 },
}

fn sketch() -> impl Strategy<Value = Sketch> {
    let ring = (
        offset(),
        prop::collection::vec(0.3..1.0, 3..40),
        prop_oneof![5.0..200.0, 200.0..8_000.0],
        prop::option::of(0.05..0.25),
        0.0..360.0,
    );
    prop_oneof![
        2 => prop::collection::vec(offset(), 1..4).prop_map(Sketch::Points),
        1 => prop::collection::vec(offset(), 2..6).prop_map(Sketch::Line),
        2 => ring.prop_map(|(middle, corners, size_m, hole, turned)| {
            Sketch::Ring { middle, corners, size_m, hole, turned }
        }),
    ]
}

impl Sketch {
    fn at(&self, peg: LonLat) -> Shape {
        let go = |from: LonLat, (bearing, far): (f64, f64)| destination(from, bearing, far).unwrap();
        match self {
            Sketch::Points(offsets) => Shape::Points(offsets.iter().map(|o| go(peg, *o)).collect()),
            Sketch::Line(offsets) => Shape::Lines(vec![offsets.iter().map(|o| go(peg, *o)).collect()]),
            Sketch::Ring { middle, corners, size_m, hole, turned } => {
                let middle = go(peg, *middle);
                let ring = |scale: f64| {
                    let step = 360.0 / corners.len() as f64;
                    let corners = corners.iter().enumerate();
                    let mut ring: Vec<LonLat> = corners
                        .map(|(i, r)| go(middle, (turned + step * i as f64, r * scale * size_m)))
                        .collect();
                    ring.push(ring[0]);
                    ring
                };
                Shape::Polygons(vec![std::iter::once(1.0).chain(*hole).map(ring).collect()])
            }
        }
    }
}

/// Rings that go round a pole have two sides; they are tested apart.
fn is_plain(shape: &Shape) -> bool {
    let turns = |ring: &Vec<LonLat>| ring.windows(2).map(|p| short_way(p[0], p[1])).sum::<f64>();
    match shape {
        Shape::Polygons(polygons) => polygons.iter().flatten().all(|ring| turns(ring).abs() < 1.0),
        _ => true,
    }
}

fn index_of(shapes: &[Shape]) -> PlaceIndex {
    PlaceIndex::build((0..).zip(shapes).map(|(id, shape)| (id, (id % 2) as u16, shape)))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn every_distance_is_that_of_the_slow_way(
        peg in peg(), sketches in prop::collection::vec(sketch(), 1..8), radius_m in 1.0..8_000.0,
    ) {
        let shapes: Vec<Shape> = sketches.iter().map(|s| s.at(peg)).filter(is_plain).collect();
        let index = index_of(&shapes);
        let slow: Vec<f64> = shapes.iter().map(|shape| to_shape(peg, shape)).collect();
        for hit in index.within(peg, f64::INFINITY, None) {
            let d = slow[hit.id as usize];
            prop_assert!((hit.distance_m - d).abs() < 5e-4, "{hit:?} is {d} m away");
        }
        let within = index.within(peg, radius_m, None);
        for (id, d) in slow.iter().enumerate() {
            let found = within.iter().filter(|hit| hit.id as usize == id).count();
            if *d < radius_m - 5e-4 { prop_assert_eq!(found, 1); }
            if *d > radius_m + 5e-4 { prop_assert_eq!(found, 0); }
        }
        for group in 0..2 {
            let least = slow.iter().skip(group).step_by(2).copied().reduce(f64::min);
            let nearest = index.nearest(peg, group as u16);
            prop_assert_eq!(nearest.is_some(), least.is_some());
            if let (Some(hit), Some(least)) = (nearest, least) {
                prop_assert!((hit.distance_m - least).abs() < 5e-4);
            }
        }
    }

    #[test]
    fn what_is_within_is_decided_by_the_distance_reported(
        peg in peg(), sketches in prop::collection::vec(sketch(), 1..12),
    ) {
        let shapes: Vec<Shape> = sketches.iter().map(|s| s.at(peg)).collect();
        let index = index_of(&shapes);
        let all = index.within(peg, f64::INFINITY, None);
        prop_assert_eq!(all.len(), shapes.len());
        for (i, hit) in all.iter().enumerate() {
            let within = index.within(peg, hit.distance_m, None);
            let equally_far = all.iter().filter(|h| h.distance_m <= hit.distance_m).count();
            prop_assert!(equally_far > i);
            prop_assert_eq!(&within[..], &all[..equally_far]);
            prop_assert_eq!(index.count_within(peg, hit.distance_m, None), equally_far);
            let just_less = hit.distance_m.next_down();
            let nearer = all.iter().filter(|h| h.distance_m <= just_less).count();
            prop_assert_eq!(index.count_within(peg, just_less, None), nearer);
        }
        for group in 0..2 {
            let first = all.iter().find(|h| h.group == group).copied();
            prop_assert_eq!(index.nearest(peg, group), first);
            let kept: Vec<Hit> = all.iter().filter(|h| h.group == group).copied().collect();
            prop_assert_eq!(index.within(peg, f64::INFINITY, Some(group)), kept);
        }
    }

    /// Points are kept in blocks under boxes in single precision; none may slip
    /// through between them.
    #[test]
    fn of_many_points_none_is_missed(
        peg in peg(), points in prop::collection::vec((0.0..360.0, 0.0..60.0), 100..300), i in any::<prop::sample::Index>(),
    ) {
        let places: Vec<LonLat> = points.iter().map(|(b, d)| destination(peg, *b, *d).unwrap()).collect();
        let shapes: Vec<Shape> = places.iter().map(|p| Shape::Points(vec![*p])).collect();
        let index = PlaceIndex::build((0..).zip(&shapes).map(|(id, shape)| (id, 0, shape)));
        let all = index.within(peg, 100.0, None);
        prop_assert_eq!(all.len(), places.len());
        for hit in &all {
            prop_assert!((hit.distance_m - distance_m(peg, places[hit.id as usize])).abs() < 1e-6);
        }
        prop_assert_eq!(index.nearest(peg, 0), all.first().copied());
        for hit in &all {
            let within = all.iter().filter(|h| h.distance_m <= hit.distance_m).count();
            prop_assert_eq!(index.count_within(peg, hit.distance_m, None), within);
            prop_assert_eq!(index.within(peg, hit.distance_m, None).len(), within);
        }
        // Asked from where a point is, that point is the nearest.
        let (id, place) = (i.index(places.len()), places[i.index(places.len())]);
        let there = index.nearest(place, 0).unwrap();
        prop_assert!(there.distance_m == 0.0 && there.id as usize <= id);
    }

    #[test]
    fn the_bearing_leads_to_the_shape(peg in peg(), sketch in sketch()) {
        let shape = sketch.at(peg);
        let hit = index_of(std::slice::from_ref(&shape)).nearest(peg, 0).unwrap();
        match hit.bearing_deg {
            None => prop_assert!(hit.inside || hit.distance_m < 1e-6),
            Some(bearing) => {
                prop_assert!((0.0..360.0).contains(&bearing) && !hit.inside);
                let there = destination(peg, bearing, hit.distance_m).unwrap();
                prop_assert!(index_of(&[shape]).nearest(there, 0).unwrap().distance_m < 2e-4);
            }
        }
    }

    /// Turning the Earth under a survey changes no distance.
    #[test]
    fn the_longitude_of_a_survey_does_not_matter(
        lat in -80.0..80.0, lon in -180.0..180.0, sketches in prop::collection::vec(sketch(), 1..8),
    ) {
        let distances = |lon: f64| {
            let peg = at(lon, lat);
            let shapes: Vec<Shape> = sketches.iter().map(|s| s.at(peg)).collect();
            let mut hits = index_of(&shapes).within(peg, f64::INFINITY, None);
            hits.sort_by_key(|hit| hit.id);
            hits.iter().map(|hit| hit.distance_m).collect::<Vec<_>>()
        };
        for (a, b) in distances(lon).into_iter().zip(distances(180.0)) {
            prop_assert!((a - b).abs() < 1e-4);
        }
    }

    /// A ring round a pole: the peg is inside on the pole's side of it.
    #[test]
    fn a_ring_round_a_pole_holds_the_pole(
        south in any::<bool>(), backwards in any::<bool>(), lats in prop::collection::vec(60.0..89.9, 3..50),
        lon in -180.0..180.0, lat in 50.0..90.0,
    ) {
        let sign = if south { -1.0 } else { 1.0 };
        let step = 360.0 / lats.len() as f64;
        let mut ring: Vec<LonLat> =
            lats.iter().enumerate().map(|(i, lat)| at(-180.0 + step * i as f64, sign * lat)).collect();
        ring.push(ring[0]);
        if backwards { ring.reverse(); }
        let peg = at(lon, sign * lat);
        // The latitude of the ring on the peg's meridian.
        let along = (lon + 180.0) / step;
        let (i, share) = (along.floor() as usize % lats.len(), along.fract());
        let edge = lats[i] + share * (lats[(i + 1) % lats.len()] - lats[i]);
        let index = index_of(&[Shape::Polygons(vec![vec![ring]])]);
        let hit = index.nearest(peg, 0).unwrap();
        prop_assert_eq!(hit.inside, lat > edge, "ring at {}", edge);
        prop_assert!(index.nearest(at(lon, sign * 90.0), 0).unwrap().inside);
        prop_assert!(!index.nearest(at(lon, -sign * 90.0), 0).unwrap().inside);
    }

    /// The place of a long edge that is nearest through the Earth is nearly the
    /// nearest over the ground.
    #[test]
    fn far_edges_are_nearly_as_far_as_the_slow_way_says(
        peg in peg(), a in (-180.0..180.0, -90.0..90.0), turn in -90.0..90.0, climb in -1.0..1.0f64, small in 0_u8..3,
    ) {
        let (size, start) = (10f64.powi(-i32::from(small)), at(a.0, a.1));
        let end = at(a.0 + turn * size, a.1 + 60.0 * climb * size);
        let line = Shape::Lines(vec![vec![start, end]]);
        let d = index_of(&[line]).nearest(peg, 0).unwrap().distance_m;
        let slow = to_edge(peg, start, end);
        let share = if slow < 1e6 { 2e-5 } else { 2e-3 };
        prop_assert!(d <= slow * (1.0 + share) + 5e-4, "{} found, {} there", d, slow);
    }

    #[test]
    fn far_points_are_ranked_by_the_geodesic(
        peg in peg(), points in prop::collection::vec((-180.0..180.0, -90.0..90.0), 1..60),
    ) {
        let places: Vec<LonLat> = points.iter().map(|(lon, lat)| at(*lon, *lat)).collect();
        let shapes: Vec<Shape> = places.iter().map(|p| Shape::Points(vec![*p])).collect();
        let index = PlaceIndex::build((0..).zip(&shapes).map(|(id, shape)| (id, 0, shape)));
        let least = places.iter().map(|p| distance_m(peg, *p)).fold(f64::MAX, f64::min);
        let hit = index.nearest(peg, 0).unwrap();
        prop_assert!((hit.distance_m - least).abs() < 1e-6);
        let bearing = bearing_deg(peg, places[hit.id as usize]);
        prop_assert!((hit.bearing_deg.unwrap() - bearing).abs() < 1e-6 || least < 100.0);
    }
}

fn ring(corners: &[(f64, f64)]) -> Vec<LonLat> {
    corners.iter().chain(corners.first()).map(|(lon, lat)| at(*lon, *lat)).collect()
}

fn square(west: f64, south: f64, east: f64, north: f64) -> Vec<LonLat> {
    ring(&[(west, south), (east, south), (east, north), (west, north)])
}

fn nearest(shape: &Shape, peg: LonLat) -> Hit {
    index_of(std::slice::from_ref(shape)).nearest(peg, 0).unwrap()
}

#[test]
fn a_peg_far_inside_a_polygon_is_found() {
    let country = Shape::Polygons(vec![vec![square(30.0, -17.0, 36.0, -9.0)]]);
    let index = index_of(&[country]);
    let hits = index.within(at(33.0, -13.0), 10.0, None);
    assert_eq!(hits.len(), 1);
    assert!(hits[0].inside && hits[0].distance_m == 0.0 && hits[0].bearing_deg.is_none());
    assert_eq!(index.count_within(at(33.0, -13.0), 0.0, Some(0)), 1);
    assert_eq!(index.count_within(at(37.0, -13.0), 10.0, None), 0);
}

#[test]
fn a_peg_in_a_hole_is_outside() {
    let lake =
        Shape::Polygons(vec![vec![square(33.0, -14.0, 33.1, -13.9), square(33.04, -13.96, 33.06, -13.94)]]);
    let on_island = nearest(&lake, at(33.05, -13.95));
    assert!(!on_island.inside && (on_island.distance_m - 1_081.0).abs() < 1.0);
    assert!(nearest(&lake, at(33.02, -13.95)).inside);
}

#[test]
fn a_polygon_across_the_antimeridian_is_small() {
    let bay = Shape::Polygons(vec![vec![square(179.99, 16.0, -179.99, 16.02)]]);
    for lon in [180.0, -180.0, 179.995, -179.995] {
        assert!(nearest(&bay, at(lon, 16.01)).inside, "{lon}");
    }
    assert!(!nearest(&bay, at(0.0, 16.01)).inside);
    let east = nearest(&bay, at(-179.98, 16.01));
    assert!((east.distance_m - 1_070.0).abs() < 1.0 && (east.bearing_deg.unwrap() - 270.0).abs() < 0.01);
}

#[test]
fn a_polygon_cut_at_the_antimeridian_is_whole_in_two_parts() {
    let bay = Shape::Polygons(vec![
        vec![square(179.99, 16.0, 180.0, 16.02)],
        vec![square(-180.0, 16.0, -179.99, 16.02)],
    ]);
    assert!(nearest(&bay, at(179.999, 16.01)).inside && nearest(&bay, at(-179.999, 16.01)).inside);
}

#[test]
fn a_band_round_the_world_is_a_band() {
    let tropics = Shape::Polygons(vec![vec![square(-180.0, -23.0, 180.0, 23.0)]]);
    for lon in [-180.0, -90.0, 0.0, 33.0, 180.0] {
        assert!(nearest(&tropics, at(lon, 0.0)).inside, "{lon}");
        assert!(!nearest(&tropics, at(lon, 30.0)).inside, "{lon}");
    }
}

/// Maps draw Antarctica with a spur along the antimeridian to the pole.
#[test]
fn a_continent_round_the_pole_holds_the_pole() {
    let mut corners: Vec<(f64, f64)> = (-18..=18).map(|i| (f64::from(i) * 10.0, -70.0)).collect();
    corners.extend([(180.0, -90.0), (-180.0, -90.0)]);
    let continent = Shape::Polygons(vec![vec![ring(&corners)]]);
    for lon in [-170.0, 3.0, 95.0] {
        assert!(nearest(&continent, at(lon, -80.0)).inside);
        assert!(nearest(&continent, at(lon, -90.0)).inside);
        assert!(!nearest(&continent, at(lon, -60.0)).inside);
    }
}

#[test]
fn a_line_bends_with_its_parallel() {
    // Half a degree along latitude 60° lies up to 60 m from the geodesic
    // between its ends.
    let line = Shape::Lines(vec![vec![at(10.0, 60.0), at(10.5, 60.0)]]);
    let hit = nearest(&line, at(10.25, 60.0));
    assert!(hit.distance_m < 1e-3, "{hit:?}");
    let hit = nearest(&line, at(10.25, 60.001));
    assert!((hit.distance_m - distance_m(at(10.25, 60.001), at(10.25, 60.0))).abs() < 1e-4);
}

#[test]
fn a_shape_of_many_parts_is_found_once() {
    let many = Shape::Points((0..50).map(|i| at(33.0 + f64::from(i) * 1e-5, -14.0)).collect());
    let index = PlaceIndex::build([(9, 4, &many), (9, 4, &many)]);
    let hits = index.within(at(33.0, -14.0), 100.0, None);
    assert_eq!(hits.len(), 2);
    assert!(hits.iter().all(|hit| (hit.id, hit.group) == (9, 4) && hit.distance_m < 1e-9));
    assert_eq!(index.len(), 2);
}

#[test]
fn equally_near_shapes_come_by_id() {
    let twin = Shape::Points(vec![at(33.0, -14.0)]);
    let index = PlaceIndex::build([(5, 0, &twin), (2, 0, &twin), (9, 0, &twin)]);
    let ids: Vec<u32> = index.within(at(33.0, -14.001), 200.0, None).iter().map(|hit| hit.id).collect();
    assert_eq!(ids, [2, 5, 9]);
    assert_eq!(index.nearest(at(33.0, -14.001), 0).unwrap().id, 2);
}

#[test]
fn a_radius_that_is_no_radius_holds_nothing() {
    let index = index_of(&[Shape::Points(vec![at(33.0, -14.0)])]);
    for radius_m in [-1.0, f64::NAN, f64::NEG_INFINITY] {
        assert!(index.within(at(33.0, -14.0), radius_m, None).is_empty());
        assert_eq!(index.count_within(at(33.0, -14.0), radius_m, None), 0);
    }
    assert_eq!(index.count_within(at(-147.0, 14.0), f64::INFINITY, None), 1);
    assert!(PlaceIndex::build([]).nearest(at(0.0, 0.0), 0).is_none() && PlaceIndex::build([]).is_empty());
}

#[test]
fn shapes_that_are_not_shapes_do_no_harm() {
    let p = at(33.0, -14.0);
    let odd = [
        Shape::Points(vec![]),
        Shape::Lines(vec![vec![], vec![p, p]]),
        Shape::Polygons(vec![vec![], vec![vec![p, p, p, p]], vec![vec![p]]]),
    ];
    let index = index_of(&odd);
    let hits = index.within(p, 1.0, None);
    assert_eq!(hits.iter().map(|hit| (hit.id, hit.distance_m)).collect::<Vec<_>>(), [(1, 0.0), (2, 0.0)]);
}

#[test]
fn many_threads_may_ask_one_index() {
    let index = index_of(&[Shape::Points(vec![at(33.0, -14.0)])]);
    let ask = || index.count_within(at(33.0, -14.0), 1.0, None);
    let counts = std::thread::scope(|s| [s.spawn(ask), s.spawn(ask)].map(|t| t.join().unwrap()));
    assert_eq!(counts, [1, 1]);
}
