//! Positions against published and independently computed ones.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

mod common;

use forebore::survey::grid::{self, Zone};
use forebore::survey::{Datum, LonLat};
use geo::{Distance, Geodesic, Point};

fn number(text: &str) -> f64 {
    text.parse().unwrap()
}

fn apart_m(a: LonLat, b: LonLat) -> f64 {
    Geodesic.distance(Point::new(a.lon_deg(), a.lat_deg()), Point::new(b.lon_deg(), b.lat_deg()))
}

/// 208 places, at the edges of zones, on the equator and in the zones of
/// uncommon width among them, projected by an independent library.
#[test]
fn grid_references_on_wgs84_land_within_a_centimetre() {
    let Some(data) = common::open_data() else { return };
    let wgs84 = Datum::named("WGS 84").unwrap();
    let rows = common::rows(&data.join("geodesic_checks/utm_wgs84.csv"));
    assert_eq!(rows.len(), 208);
    for row in rows {
        let zone = Zone::parse(&format!("{}{}", row["zone"], row["hemisphere"])).unwrap();
        let (easting_m, northing_m) = (number(&row["easting_m"]), number(&row["northing_m"]));
        let found = grid::from_grid(easting_m, northing_m, zone, wgs84).unwrap();
        let expected = LonLat::new(number(&row["lon"]), number(&row["lat"])).unwrap();
        let off = apart_m(found, expected);
        assert!(off < 0.01, "{row:?}: off by {off} m");
    }
}

/// 299 hand pumps of Kwale, Kenya, published both on Arc 1960 / UTM 37 south
/// and on WGS 84.
#[test]
fn pumps_on_arc_1960_land_on_their_wgs84_twins() {
    let Some(data) = common::open_data() else { return };
    let rows = common::rows(&data.join("kwale_kenya/handpump_locations_arc1960_wgs84.csv"));
    assert_eq!(rows.len(), 299);
    let zone = Zone::parse("37S").unwrap();
    for (datum, within_m) in [("Arc 1960", 10.0), ("Arc 1960 Kenya", 0.1)] {
        let datum = Datum::named(datum).unwrap();
        for row in &rows {
            let (easting_m, northing_m) = (number(&row["x_arc1960"]), number(&row["y_arc1960"]));
            let found = grid::from_grid(easting_m, northing_m, zone, datum).unwrap();
            let twin = LonLat::new(number(&row["long_wgs84"]), number(&row["lat_wgs84"])).unwrap();
            let off = apart_m(found, twin);
            assert!(off < within_m && off <= datum.shift_error_m, "{row:?}: off by {off} m");
        }
    }
}

#[test]
fn the_same_pumps_without_their_datum_are_off_by_less_than_is_allowed_for() {
    let Some(data) = common::open_data() else { return };
    let (zone, wgs84) = (Zone::parse("37S").unwrap(), Datum::named("WGS 84").unwrap());
    for row in common::rows(&data.join("kwale_kenya/handpump_locations_arc1960_wgs84.csv")) {
        let (easting_m, northing_m) = (number(&row["x_arc1960"]), number(&row["y_arc1960"]));
        let found = grid::from_grid(easting_m, northing_m, zone, wgs84).unwrap();
        let twin = LonLat::new(number(&row["long_wgs84"]), number(&row["lat_wgs84"])).unwrap();
        let off = apart_m(found, twin);
        assert!(off > 300.0 && off < grid::UNKNOWN_DATUM_ERROR_M, "off by {off} m");
    }
}
