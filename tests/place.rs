//! Distances, bearings and the index against published and open data.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::float_cmp, missing_docs)]

mod common;

use std::path::Path;

use forebore::place::{PlaceIndex, Plane, bearing_deg, destination, distance_m};
use forebore::survey::{LonLat, Shape};

use common::open_data;

fn at(lon: f64, lat: f64) -> LonLat {
    LonLat::new(lon, lat).unwrap()
}

fn number(text: &str) -> f64 {
    text.trim().parse().unwrap()
}

/// The smaller angle between two directions, degrees.
fn turn(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(360.0);
    turn.min(360.0 - turn)
}

/// Pairs up to 5 km apart, some astride the equator and longitude 180°, worked
/// out with GeographicLib (C. F. F. Karney).
struct Pair {
    ends: [LonLat; 2],
    distance_m: f64,
    bearing_deg: f64,
}

fn short_pairs() -> Vec<Pair> {
    let Some(data) = open_data() else { return Vec::new() };
    let mut rows = csv::Reader::from_path(data.join("geodesic_checks/short_inverse.csv")).unwrap();
    let pairs: Vec<Pair> = rows
        .records()
        .map(|row| {
            let n: Vec<f64> = row.unwrap().iter().map(number).collect();
            Pair { ends: [at(n[1], n[0]), at(n[3], n[2])], distance_m: n[4], bearing_deg: n[5] }
        })
        .collect();
    assert_eq!(pairs.len(), 400);
    pairs
}

#[test]
fn short_distances_by_the_geodesic_agree_to_a_micrometre() {
    for Pair { ends: [a, b], distance_m: d, bearing_deg: bearing } in short_pairs() {
        assert!((distance_m(a, b) - d).abs() < 1e-6);
        // The check values' own rounding, at the distance, is a micrometre.
        assert!(turn(bearing_deg(a, b), bearing) < 1e-4 / d + 1e-6, "{bearing} over {d} m");
    }
}

#[test]
fn short_distances_by_the_chord_agree_to_a_micrometre() {
    for Pair { ends: [a, b], distance_m: d, bearing_deg: bearing } in short_pairs() {
        let index = PlaceIndex::build([(7, 0, &Shape::Points(vec![b]))]);
        let hit = index.nearest(a, 0).unwrap();
        assert!((hit.distance_m - d).abs() < 1e-6, "{} is not {d}", hit.distance_m);
        assert!(turn(hit.bearing_deg.unwrap(), bearing) < 1e-4 / d + 1e-6);
    }
}

#[test]
fn the_level_plane_agrees_to_a_tenth_of_a_millimetre_within_two_kilometres() {
    for Pair { ends: [a, b], distance_m: d, .. } in short_pairs().into_iter().filter(|p| p.distance_m < 2e3) {
        let [east, north] = Plane::at(a).east_north_m(b);
        assert!((east.hypot(north) - d).abs() < 1e-4);
    }
}

/// The first lines of C. F. F. Karney's test set for geodesics on WGS84
/// (doi:10.5281/zenodo.32156).
#[test]
fn long_geodesics_agree_with_karneys_test_set() {
    let Some(data) = open_data() else { return };
    let text = std::fs::read_to_string(data.join("geodesic_checks/GeodTest-100.dat")).unwrap();
    let lines: Vec<Vec<f64>> = text.lines().map(|l| l.split_whitespace().map(number).collect()).collect();
    assert_eq!(lines.len(), 100);
    for line in lines {
        let (a, b, azimuth, s12) = (at(line[1], line[0]), at(line[4], line[3]), line[2], line[6]);
        // Distances are given to 0.1 µm.
        assert!((distance_m(a, b) - s12).abs() < 1e-6);
        assert!(distance_m(destination(a, azimuth, s12).unwrap(), b) < 1e-6);
        let index = PlaceIndex::build([(7, 0, &Shape::Points(vec![b]))]);
        assert!((index.nearest(a, 0).unwrap().distance_m - s12).abs() < 1e-6);
        // Nearly opposite each other the direction is not defined as sharply.
        if s12 < 15e6 {
            assert!(turn(bearing_deg(a, b), azimuth) < 1e-9);
        }
    }
}

fn places(file: &Path) -> Vec<LonLat> {
    let mut rows = csv::Reader::from_path(file).unwrap();
    let heads = rows.headers().unwrap().clone();
    let column = |name| heads.iter().position(|h| h == name).unwrap();
    let (lat, lon) = (column("latitude"), column("longitude"));
    rows.records()
        .map(|row| {
            let row = row.unwrap();
            at(number(&row[lon]), number(&row[lat]))
        })
        .collect()
}

/// Counted on the WGS84 ellipsoid; a sphere gives 323 and 1 452.
#[test]
fn malawian_water_points_near_waste_sites_are_counted_on_the_ellipsoid() {
    let Some(data) = open_data() else { return };
    let waste = places(&data.join("malawi_waste_sites/wastedata.csv"));
    let water = places(&data.join("malawi_waterpoints/waterpointfunctionality.csv"));
    assert_eq!((waste.len(), water.len()), (3_781, 11_409));
    let shapes: Vec<Shape> = waste.into_iter().map(|w| Shape::Points(vec![w])).collect();
    let index = PlaceIndex::build((0..).zip(&shapes).map(|(id, shape)| (id, 3, shape)));
    let nearest: Vec<f64> = water.iter().map(|w| index.nearest(*w, 3).unwrap().distance_m).collect();
    for (radius_m, count) in
        [(10.0, 7), (30.0, 73), (50.0, 146), (100.0, 324), (200.0, 623), (500.0, 1_453), (1_000.0, 2_781)]
    {
        let within = water.iter().filter(|w| index.count_within(**w, radius_m, Some(3)) > 0).count();
        assert_eq!(within, count, "within {radius_m} m");
        assert_eq!(nearest.iter().filter(|d| **d <= radius_m).count(), count, "nearest within {radius_m} m");
    }
}
