//! Records that cannot be true, and records that can.
#![allow(clippy::float_cmp)]

use super::super::read::tests::{PEG, read};
use super::super::{Cell, CellValue, Frame};
use super::*;
use crate::diag::Origin;

/// Problems of one hazard or well of a survey, without file and help.
fn problems(record: &str) -> Vec<String> {
    let (survey, problems) = read(&format!("{PEG}{record}"), &[]);
    assert_eq!(survey.is_none(), problems.iter().any(|p| p.contains(" Error ")));
    let short = |p: &String| p.split(" | ").next().unwrap().trim_start_matches("survey.toml:").to_owned();
    problems.iter().map(short).collect()
}

fn well_at(at: &str) -> Vec<String> {
    problems(&format!("[[well]]\nat = {{ {at} }}\n"))
}

#[test]
fn all_faults_of_a_hazard_are_told_at_once() {
    assert_eq!(
        problems(
            "[[hazard]]\nkind = \"latrin\"\nfrom_peg = { bearing_deg = 370, distance_m = -1, accuracy_m = 0 }\npit_depth_m = -1\n"
        ),
        [
            "7:15+2 Error out-of-range: pit_depth_m = -1 is not possible",
            "5:8+8 Error unknown-kind: \"latrin\" is not a kind of hazard known here",
            "6:28+3 Error out-of-range: from_peg.bearing_deg = 370 is not possible",
            "6:46+2 Error out-of-range: from_peg.distance_m = -1 is not possible",
            "6:63+1 Error out-of-range: from_peg.accuracy_m = 0 is not possible",
        ]
    );
}

#[test]
fn a_hazard_without_kind_or_place_is_refused() {
    assert_eq!(
        problems("[[hazard]]\nname = \"x\"\n"),
        ["4:1+0 Error no-kind: a hazard of unknown kind", "4:1+0 Error no-position: no position"]
    );
}

#[test]
fn places_that_are_not_on_earth_are_refused() {
    assert_eq!(
        well_at("lat = 139.2, lon = -9.4"),
        ["5:14+5 Error not-on-earth: lat = 139.2 is not possible"]
    );
    let (_, all) = read(&format!("{PEG}[[well]]\nat = {{ lat = 139.2, lon = -9.4 }}\n"), &[]);
    assert!(all[0].ends_with("latitude and longitude look exchanged."), "{all:?}");
    assert_eq!(
        well_at("lat = 0, lon = 0.0"),
        ["4:1+0 Error zero-position: latitude 0, longitude 0 is in the sea off Africa"]
    );
    let metres = "lat = 8959540, lon = 530870";
    let (_, all) = read(&format!("{PEG}[[well]]\nat = {{ {metres} }}\n"), &[]);
    assert!(all[0].contains("Metres of a grid go under easting_m and northing_m"), "{all:?}");
}

#[test]
fn grid_references_are_held_to_the_grid() {
    assert_eq!(
        well_at("easting_m = 8959540, northing_m = 530870, zone = \"37S\", datum = \"WGS84\""),
        ["4:1+0 Error outside-grid: easting_m = 8959540 is not possible"]
    );
    assert_eq!(
        well_at("easting_m = 53087, northing_m = 8959540, zone = \"37S\", datum = \"WGS84\""),
        ["4:1+0 Error outside-grid: easting 53087 m, northing 8959540 m is outside the grid"]
    );
    assert_eq!(
        well_at("easting_m = 530870, northing_m = 8959540, datum = \"WGS84\""),
        ["4:1+0 Error no-zone: a grid reference without its zone"]
    );
    assert_eq!(
        well_at("easting_m = 530870, northing_m = 8959540, zone = \"77\", datum = \"Arc 1961\""),
        [
            "5:71+10 Error unknown-datum: datum \"Arc 1961\" is not a datum known here",
            "5:57+4 Error bad-zone: zone \"77\" is not a zone from 1 to 60",
        ]
    );
}

#[test]
fn a_datum_of_another_country_and_a_doubtful_zone_are_warned_of() {
    assert_eq!(
        well_at("easting_m = 530870, northing_m = 8959540, zone = \"37S\", datum = \"Minna\""),
        ["5:72+0 Warning datum-elsewhere: Minna is not in use there"]
    );
    let found = well_at("easting_m = 440000, northing_m = 3690000, zone = \"38S\", datum = \"WGS84\"");
    assert_eq!(
        found,
        [
            "4:1+0 Warning zone-letter: S was read as south of the equator, and the place lies at latitude -56.9",
            "4:1+0 Warning far-from-peg: it lies 5287 km from the peg",
        ]
    );
}

#[test]
fn latitude_and_longitude_may_be_on_another_datum() {
    let at = "at = { lat = -9.4123, lon = 39.2811, datum = \"Arc 1960 Tanzania\" }";
    let s = read(&format!("{PEG}[[well]]\n{at}\n"), &[]).0.unwrap();
    let position = &s.wells[0].position;
    assert_eq!(position.frame, Frame::Datum { name: "Arc 1960 Tanzania".into(), shift_error_m: 13.0 });
    // By the shortened Molodensky formula: -303 cos B - 175 and -23 along the
    // meridian, and 113 m for the change of ellipsoid.
    let moved_m = (position.at.lat_deg() + 9.4123) * 110_600.0;
    assert!((-212.0..-210.0).contains(&moved_m), "{moved_m}");
}

#[test]
fn logs_go_down_layer_by_layer() {
    let log = |layers: &str| {
        problems(&format!("[[well]]\nat = {{ lat = -9.41, lon = 39.28 }}\nlog = [ {layers} ]\n"))
    };
    let clay = "{ to_m = 2, material = \"clay\" }";
    assert_eq!(log(clay), Vec::<String>::new());
    assert_eq!(
        log(&format!("{clay}, {{ to_m = 2, material = \"sand\" }}, {{ to_m = 5 }}, {{ material = \"x\" }}")),
        [
            "6:42+0 Error bad-log: a layer of the log ends at 2 m, not below 2 m",
            "6:75+0 Error bad-log: a layer of the log without material",
            "6:89+0 Error bad-log: a layer of the log without to_m",
        ]
    );
    assert_eq!(log("{ to_m = 2, material = \"unknown\" }"), Vec::<String>::new());
    assert_eq!(
        log("{ to_m = -2, material = \"clay\" }"),
        ["6:18+2 Error out-of-range: to_m = -2 is not possible"]
    );
}

#[test]
fn a_log_deeper_than_its_hole_is_warned_of() {
    let text = "[[well]]\nat = { lat = -9.41, lon = 39.28 }\ndepth_m = 5\nlog = [ { to_m = 6, material = \"clay\" } ]\n";
    assert_eq!(problems(text), ["7:9+0 Warning log-below-hole: a log down to 6 m in a hole of 5 m"]);
}

#[test]
fn unknown_is_the_same_as_not_written() {
    let text = "[[well]]\nname = \"Unknown\"\nat = { lat = -9.41, lon = 39.28 }\ndepth_m = \"unknown\"\nmade = \"not known\"\nmeasured = \"don't know\"\nquality = { arsenic_mg_l = \"unknown\" }\npump_broken = \"unknown\"\n";
    let (survey, problems) = read(&format!("{PEG}{text}"), &[]);
    assert_eq!(problems, Vec::<String>::new());
    let well = &survey.unwrap().wells[0];
    assert_eq!((well.name.as_str(), &well.depth_m, &well.made), ("", &None, &None));
    assert_eq!((&well.measured, &well.pump_broken, well.quality.len()), (&None, &None, 0));
}

/// A record of a file with these cells, at the first line of `a.csv`.
fn record(cells: &[(&str, CellValue)]) -> RawRecord {
    let at = Origin::new("a.csv", 1, 1);
    let cell = |value: &CellValue| Cell { value: value.clone(), at: at.clone(), length: 1 };
    RawRecord {
        from: at.clone(),
        cells: cells.iter().map(|(key, value)| ((*key).to_owned(), cell(value))).collect(),
        shape: None,
        log: Vec::new(),
    }
}

const IN_FILE: Setting = Setting { written_in: WrittenIn::File, peg: None, accuracy_m: None, visited: None };

fn number(x: f64) -> CellValue {
    CellValue::Number(x)
}

#[test]
fn no_number_that_is_none_gets_in() {
    for bad in [f64::NAN, f64::INFINITY] {
        let mut problems = Problems::new();
        let cells = [("lat", number(1.0)), ("lon", number(30.0)), ("depth_m", number(bad))];
        let well = &wells(&[record(&cells)], IN_FILE, &mut problems).used[0];
        assert_eq!((&well.depth_m, problems.len()), (&None, 1));
        let cells = [("lat", number(bad)), ("lon", number(30.0))];
        assert!(wells(&[record(&cells)], IN_FILE, &mut problems).used.is_empty());
        let cells =
            [("lat", number(1.0)), ("lon", number(30.0)), ("quality.iron_mg_l", CellValue::Below(bad))];
        assert!(wells(&[record(&cells)], IN_FILE, &mut problems).used[0].quality.is_empty());
    }
}

#[test]
fn less_than_is_for_quality_alone() {
    let mut problems = Problems::new();
    let cells = [("lat", number(1.0)), ("lon", number(30.0)), ("depth_m", CellValue::Below(5.0))];
    assert_eq!(wells(&[record(&cells)], IN_FILE, &mut problems).used[0].depth_m, None);
    let first = problems.iter().next().unwrap();
    assert_eq!((first.code, first.message.as_str()), ("less-than", "depth_m is written as less than 5"));
}

#[test]
fn a_well_of_several_points_is_left_out() {
    let mut problems = Problems::new();
    let at = |lon| LonLat::new(lon, -9.41).unwrap();
    let mut several = record(&[]);
    several.shape = Some(Shape::Points(vec![at(39.28), at(39.29)]));
    let entered = wells(&[several], IN_FILE, &mut problems);
    assert!(entered.used.is_empty());
    assert_eq!(entered.left_out[0].why, "a well drawn as a line, an area or several points");
}

#[test]
fn a_tape_from_a_peg_that_is_not_known_is_passed_over_in_silence() {
    let mut problems = Problems::new();
    let cells = [
        ("kind", CellValue::Text("latrine".into())),
        ("from_peg.bearing_deg", number(3.0)),
        ("from_peg.distance_m", number(3.0)),
    ];
    let entered = hazards(&[record(&cells)], IN_FILE, &mut problems);
    assert!(entered.used.is_empty() && entered.left_out.is_empty() && problems.is_empty());
}
