//! What each kind of GeoJSON becomes, and what is said of what is wrong.

use proptest::prelude::*;

use super::super::{LonLat, RawRecord, Seen};
use super::*;

fn plain() -> TableFile {
    TableFile::plain(Seen::new("a.geojson".to_owned(), Origin::new("survey.toml", 9, 3)))
}

fn read_as(text: &str, file: &TableFile, kind: RecordKind) -> (TableRead, Vec<Problem>) {
    let mut problems = Problems::new();
    let read = read_geojson(text, &"a.geojson".into(), file, kind, &mut problems);
    (read, problems.into_iter().collect())
}

fn hazards(text: &str) -> (TableRead, Vec<Problem>) {
    read_as(text, &plain(), RecordKind::Hazard)
}

fn one(text: &str) -> RawRecord {
    let (read, problems) = hazards(text);
    assert_eq!(told(&problems), Vec::<String>::new());
    assert_eq!(read.records.len(), 1);
    read.records[0].clone()
}

fn at(lon: f64, lat: f64) -> LonLat {
    LonLat::new(lon, lat).unwrap()
}

fn told(problems: &[Problem]) -> Vec<String> {
    let one = |p: &Problem| format!("{}:{} {:?} {}: {}", p.at.line, p.at.column, p.level, p.code, p.message);
    problems.iter().map(one).collect()
}

#[test]
fn a_collection_is_read_feature_by_feature() {
    let text = r#"{ "type": "FeatureCollection", "features": [
  { "type": "Feature", "properties": { "kind": "pit latrine", "pit_depth_m": 3.5 },
    "geometry": { "type": "Point", "coordinates": [39.2, -9.4] } },
  { "type": "Feature", "properties": { "kind": "road" },
    "geometry": { "type": "LineString", "coordinates": [[39.2, -9.4], [39.3, -9.5]] } }
] }"#;
    let (read, problems) = hazards(text);
    assert_eq!(told(&problems), Vec::<String>::new());
    let places: Vec<_> = read.records.iter().map(|r| (r.from.line, r.from.column)).collect();
    assert_eq!(places, [(2, 3), (4, 3)]);
    let depth = &read.records[0].cells["pit_depth_m"];
    assert_eq!(depth.value, CellValue::Number(3.5));
    assert_eq!((depth.at.line, depth.at.column, depth.length), (2, 78, 3));
    assert_eq!(read.records[0].shape, Some(Shape::Points(vec![at(39.2, -9.4)])));
    assert_eq!(read.records[1].shape, Some(Shape::Lines(vec![vec![at(39.2, -9.4), at(39.3, -9.5)]])));
}

#[test]
fn a_feature_and_a_bare_geometry_stand_alone() {
    let feature =
        one(r#"{"type":"Feature","properties":null,"geometry":{"type":"Point","coordinates":[1,2]}}"#);
    assert_eq!(feature.shape, Some(Shape::Points(vec![at(1.0, 2.0)])));
    let bare = one(r#"{"type":"MultiPoint","coordinates":[[1,2],[3,4]]}"#);
    assert_eq!(bare.shape, Some(Shape::Points(vec![at(1.0, 2.0), at(3.0, 4.0)])));
}

#[test]
fn holes_and_several_polygons_are_kept() {
    let square = |n: f64| vec![at(n, n), at(n + 1.0, n), at(n + 1.0, n + 1.0), at(n, n)];
    let read =
        one(r#"{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]],[[5,5],[6,5],[6,6],[5,5]]]}"#);
    assert_eq!(read.shape, Some(Shape::Polygons(vec![vec![square(0.0), square(5.0)]])));
    let read = one(
        r#"{"type":"MultiPolygon","coordinates":[[[[0,0],[1,0],[1,1],[0,0]]],[[[5,5],[6,5],[6,6],[5,5]]]]}"#,
    );
    assert_eq!(read.shape, Some(Shape::Polygons(vec![vec![square(0.0)], vec![square(5.0)]])));
    let read = one(r#"{"type":"MultiLineString","coordinates":[[[0,0],[1,0]],[[5,5],[6,5]]]}"#);
    let line = |n: f64| vec![at(n, n), at(n + 1.0, n)];
    assert_eq!(read.shape, Some(Shape::Lines(vec![line(0.0), line(5.0)])));
}

#[test]
fn a_collection_of_geometries_becomes_a_record_each_with_the_same_properties() {
    let text = r#"{"type":"Feature","properties":{"kind":"road"},"geometry":{"type":"GeometryCollection",
"geometries":[{"type":"Point","coordinates":[1,2]},
{"type":"Point","coordinates":[1,99]},
{"type":"LineString","coordinates":[[1,2],[3,4]]}]}}"#;
    let (read, problems) = hazards(text);
    let lines: Vec<_> = read.records.iter().map(|r| (r.from.line, r.cells["kind"].value.clone())).collect();
    let road = CellValue::Text("road".to_owned());
    assert_eq!(lines, [(2, road.clone()), (4, road)]);
    assert_eq!(
        told(&problems),
        [
            "3:31 LeftOut not-a-position: longitude 1, latitude 99 is not on Earth (latitude −90 to 90, longitude \
          −180 to 180)"
        ]
    );
    assert_eq!(read.left_out[0].from.line, 3);
}

#[test]
fn properties_have_the_names_units_and_words_of_tables() {
    let text = r#"{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":
{"Depth (ft)":"10","As (ug/L)":"< 0.5","measured":"25/09/2018","pump_broken":true,"EC (uS/cm)":640,
"status":"Dry hole","name":7,"latitude":5,"longitude":6,"colour":"red","outcome_note":null}}"#;
    let mut file = plain();
    file.words = [("dry hole".to_owned(), Seen::new("dry".to_owned(), file.from.clone()))].into();
    let (read, problems) = read_as(text, &file, RecordKind::Well);
    let cells = &read.records[0].cells;
    let value = |key: &str| cells.get(key).map(|c| c.value.clone());
    assert!(matches!(value("depth_m"), Some(CellValue::Number(m)) if (m - 3.048).abs() < 1e-9));
    assert_eq!(value("quality.arsenic_mg_l"), Some(CellValue::Below(0.0005)));
    assert_eq!(value("measured"), Some(CellValue::Date(jiff::civil::date(2018, 9, 25))));
    assert_eq!(value("pump_broken"), Some(CellValue::Bool(true)));
    assert_eq!(value("quality.ec_us_cm"), Some(CellValue::Number(640.0)));
    assert_eq!(value("outcome"), Some(CellValue::Text("dry".to_owned())));
    assert_eq!(value("name"), Some(CellValue::Text("7".to_owned())));
    assert_eq!((value("lat"), value("lon")), (None, None));
    assert_eq!(
        told(&problems),
        ["0:0 Note extra-columns: not used: \"latitude\", \"longitude\", \"colour\", \"outcome_note\""]
    );
}

#[test]
fn a_number_stays_a_number_where_the_survey_says_decimal_comma() {
    let mut file = plain();
    file.decimal = Some(Seen::new(super::super::DecimalMark::Comma, file.from.clone()));
    let text = r#"{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"depth_m":12.5,"water_level_m":"3,5"}}"#;
    let (read, problems) = read_as(text, &file, RecordKind::Well);
    assert_eq!(told(&problems), Vec::<String>::new());
    assert_eq!(read.records[0].cells["depth_m"].value, CellValue::Number(12.5));
    assert_eq!(read.records[0].cells["water_level_m"].value, CellValue::Number(3.5));
}

#[test]
fn an_altitude_is_an_elevation_unless_it_is_zero_or_a_property_says_otherwise() {
    let elevation = |coordinates: &str, properties: &str| {
        let text = format!(
            r#"{{"type":"Feature","properties":{properties},"geometry":{{"type":"Point","coordinates":{coordinates}}}}}"#
        );
        let (read, _) = read_as(&text, &plain(), RecordKind::Well);
        read.records[0].cells.get("elevation_m").map(|c| c.value.clone())
    };
    assert_eq!(elevation("[1,2,340.5,7]", "{}"), Some(CellValue::Number(340.5)));
    assert_eq!(elevation("[1,2,0]", "{}"), None);
    assert_eq!(elevation("[1,2,340.5]", r#"{"altitude":12}"#), Some(CellValue::Number(12.0)));
}

#[test]
fn what_cannot_be_a_place_is_left_out_with_its_spot() {
    let collection = |geometry: &str| {
        format!(
            "{{\"type\":\"FeatureCollection\",\"features\":[\n{{\"type\":\"Feature\",\"properties\":{{}},\"geometry\":\n{geometry}}},\n\
             {{\"type\":\"Feature\",\"properties\":{{}},\"geometry\":{{\"type\":\"Point\",\"coordinates\":[1,2]}}}}]}}"
        )
    };
    for (geometry, expected) in [
        ("null", "2:1 LeftOut empty-geometry: the feature has no geometry"),
        (r#"{"type":"Point","coordinates":[]}"#, "3:31 LeftOut empty-geometry: the geometry has no place"),
        (
            r#"{"type":"MultiPoint","coordinates":[]}"#,
            "3:36 LeftOut empty-geometry: the geometry has no place",
        ),
        (r#"{"type":"Polygon","coordinates":[]}"#, "3:33 LeftOut empty-geometry: the geometry has no place"),
        (r#"{"type":"Polygon"}"#, "3:1 LeftOut empty-geometry: the geometry has no place"),
        (
            r#"{"type":"GeometryCollection","geometries":[]}"#,
            "3:1 LeftOut empty-geometry: the geometry has no place",
        ),
        (
            r#"{"type":"Point","coordinates":[1e999,2]}"#,
            "3:31 LeftOut not-a-position: [1e999,2] is not a position",
        ),
        (
            r#"{"type":"Point","coordinates":["1",2]}"#,
            "3:31 LeftOut not-a-position: [\"1\",2] is not a position",
        ),
        (r#"{"type":"Point","coordinates":[1]}"#, "3:31 LeftOut not-a-position: [1] is not a position"),
        (
            r#"{"type":"Circle","coordinates":[1,2]}"#,
            "3:1 LeftOut not-a-geometry: \"Circle\" is no type of geometry",
        ),
        (
            r#"{"type":"LineString","coordinates":[[1,2]]}"#,
            "3:36 LeftOut short-line: a line of a single place",
        ),
        (r#"{"type":"LineString","coordinates":[1,2]}"#, "3:37 LeftOut not-a-position: 1 is not a position"),
        (
            r#"{"type":"Polygon","coordinates":[[[1,2],[3,4],[1,2]]]}"#,
            "3:34 LeftOut short-ring: a ring of 3 places",
        ),
        (
            r#"{"type":"Point","coordinates":[1,2],"type":"Point"}"#,
            "3:44 LeftOut repeated-member: this member stands twice in one object",
        ),
        ("[1,2]", "3:1 LeftOut not-a-geometry: this is no geometry"),
    ] {
        let (read, problems) = hazards(&collection(geometry));
        assert_eq!(told(&problems), [expected], "{geometry}");
        assert_eq!(read.records.len(), 1, "{geometry}");
        assert_eq!(read.left_out.len(), 1, "{geometry}");
        assert_eq!(read.left_out[0].from, Origin::new("a.geojson", 2, 1), "{geometry}");
    }
}

#[test]
fn exchanged_coordinates_and_grid_references_get_the_hint_they_need() {
    let help = |position: &str| {
        let (_, problems) = hazards(&format!(r#"{{"type":"Point","coordinates":{position}}}"#));
        problems[0].help.clone()
    };
    assert_eq!(help("[-9.4, 139.2]"), "The two look swapped: in GeoJSON the longitude comes first.");
    assert_eq!(
        help("[549738, 9504281]"),
        "GeoJSON holds degrees on WGS84 alone; give a grid reference as easting_m and northing_m in a table."
    );
}

#[test]
fn an_open_ring_is_closed_with_a_warning() {
    let (read, problems) = hazards(r#"{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1]]]}"#);
    let ring = vec![at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 0.0)];
    assert_eq!(read.records[0].shape, Some(Shape::Polygons(vec![vec![ring]])));
    assert_eq!(
        told(&problems),
        ["1:34 Warning open-ring: the ring does not end where it starts; it was closed"]
    );
}

#[test]
fn a_well_is_one_point() {
    let text = r#"{"type":"MultiPoint","coordinates":[[1,2],[3,4]]}"#;
    let (read, problems) = read_as(text, &plain(), RecordKind::Well);
    assert_eq!(read.records.len(), 0);
    assert_eq!(
        told(&problems),
        ["1:1 LeftOut well-not-a-point: a well is one point, and this geometry is more"]
    );
    let text = r#"{"type":"MultiPoint","coordinates":[[1,2]]}"#;
    assert_eq!(read_as(text, &plain(), RecordKind::Well).0.records.len(), 1);
}

#[test]
fn a_value_that_is_a_list_leaves_its_feature_out_only_where_it_is_needed() {
    let text = |name: &str| {
        format!(
            r#"{{"type":"Feature","properties":{{"{name}":[1]}},"geometry":{{"type":"Point","coordinates":[1,2]}}}}"#
        )
    };
    let (_, problems) = hazards(&text("kind"));
    assert_eq!(told(&problems), ["1:40 LeftOut unreadable-value: kind holds a list or an object"]);
    assert_eq!(hazards(&text("tags")).0.records.len(), 1);
}

#[test]
fn a_property_that_stands_twice_leaves_its_feature_out() {
    let text = r#"{"type":"Feature","properties":{"kind":"road","kind":"sewer"},"geometry":{"type":"Point","coordinates":[1,2]}}"#;
    let (read, problems) = hazards(text);
    assert_eq!(read.records.len(), 0);
    assert_eq!(told(&problems), ["1:54 LeftOut repeated-member: this member stands twice in one object"]);
}

#[test]
fn another_reference_system_is_an_error_and_wgs84_by_name_is_none() {
    let text = |name: &str| {
        format!(
            r#"{{"type":"Point","crs":{{"type":"name","properties":{{"name":"{name}"}}}},"coordinates":[1,2]}}"#
        )
    };
    let (read, problems) = hazards(&text("urn:ogc:def:crs:EPSG::21037"));
    assert_eq!(read, TableRead::default());
    assert_eq!(
        told(&problems),
        ["1:23 Error crs-not-wgs84: the coordinates are said to be in \"urn:ogc:def:crs:EPSG::21037\""]
    );
    for name in ["urn:ogc:def:crs:OGC:1.3:CRS84", "EPSG:4326", "urn:ogc:def:crs:EPSG::4326"] {
        assert_eq!(told(&hazards(&text(name)).1), Vec::<String>::new(), "{name}");
    }
    let (_, problems) = hazards(r#"{"type":"Point","crs":null,"coordinates":[1,2]}"#);
    assert_eq!(problems[0].code, "crs-not-wgs84");
}

#[test]
fn broken_json_points_at_its_spot() {
    let (_, problems) = hazards("{\n  \"é\": 1,\n  \"b\" 2 }");
    assert_eq!(told(&problems), ["3:7 Error not-json: this is not JSON: expected `:`"]);
    let (_, problems) = hazards("{\"é\" x}");
    assert_eq!(told(&problems), ["1:6 Error not-json: this is not JSON: expected `:`"]);
    assert_eq!(told(&hazards("").1), ["1:1 Error not-json: this is not JSON: EOF while parsing a value"]);
}

#[test]
fn other_json_is_no_geojson() {
    for text in ["[]", "{}", "3", r#"{"type":3}"#, r#"{"type":"FeatureCollection"}"#] {
        let (_, problems) = hazards(text);
        assert_eq!((problems[0].code, problems[0].level), ("not-geojson", Level::Error), "{text}");
    }
    let (read, problems) = hazards(r#"{"type":"Topology","objects":{}}"#);
    assert_eq!((read.left_out.len(), problems[0].code), (1, "not-a-geometry"));
}

#[test]
fn deep_nesting_is_refused_without_a_crash() {
    let deep = 200_000;
    let (open, close) = ("[".repeat(deep), "]".repeat(deep));
    let (_, problems) = hazards(&format!(r#"{{"type":"Polygon","coordinates":{open}{close}}}"#));
    assert_eq!(problems[0].level, Level::LeftOut);
    let open = r#"{"type":"GeometryCollection","geometries":["#.repeat(2_000);
    let text = format!("{open}{}", "]}".repeat(2_000));
    assert_eq!(hazards(&text).1[0].code, "deep-collection");
}

#[test]
fn one_name_in_each_of_many_features_takes_no_more_room_than_the_file() {
    let feature = |i: usize| {
        format!(
            r#"{{"type":"Feature","properties":{{"p{i}":1}},"geometry":{{"type":"Point","coordinates":[1,2]}}}}"#
        )
    };
    let features: Vec<String> = (0..20_000).map(feature).collect();
    let text = format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, features.join(","));
    let (read, _) = hazards(&text);
    assert_eq!(read.records.len(), 1);
}

/// Text that is nearly GeoJSON.
fn nearly() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        r#"{"type":"FeatureCollection","features":["#,
        r#"{"type":"Feature","properties":{"kind":"road","depth":"1,234"},"geometry":"#,
        r#"{"type":"Polygon","coordinates":"#,
        r#"{"type":"GeometryCollection","geometries":["#,
        r#"{"type":"Point","coordinates":"#,
        "[",
        "]",
        "}",
        ",",
        "[1,2]",
        "[[0,0],[1,0],[1,1],[0,0]]",
        "null",
        "1e999",
        "\"é\"",
        "\n",
    ]);
    prop::collection::vec(piece, 0..14).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..200), text in nearly()) {
        let mut problems = Problems::new();
        let decoded = super::super::table::decode(&bytes, &"a".into(), &mut problems).unwrap_or_default();
        for kind in [RecordKind::Hazard, RecordKind::Well] {
            read_as(&decoded, &plain(), kind);
            let (read, problems) = read_as(&text, &plain(), kind);
            prop_assert!(!read.records.is_empty() || !problems.is_empty() || text.is_empty());
        }
    }

    #[test]
    fn what_is_written_is_what_is_read(
        places in prop::collection::vec((-180.0..=180.0f64, -90.0..=90.0f64), 2..6),
    ) {
        let list: Vec<String> = places.iter().map(|(lon, lat)| format!("[{lon},{lat}]")).collect();
        let text = format!(r#"{{"type":"LineString","coordinates":[{}]}}"#, list.join(", "));
        let line = places.iter().map(|(lon, lat)| at(*lon, *lat)).collect();
        prop_assert_eq!(one(&text).shape, Some(Shape::Lines(vec![line])));
    }
}
