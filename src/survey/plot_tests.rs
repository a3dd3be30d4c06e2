//! Plots as people write them, right and wrong.
#![allow(clippy::float_cmp)]

use super::super::read::tests::{PEG, read};
use super::super::{Accuracy, Frame};
use super::*;

fn with_plot(plot: &str, files: &[(&str, &str)]) -> (Option<Plot>, Vec<String>) {
    let (survey, problems) = read(&format!("{PEG}[plot]\n{plot}"), files);
    let short = |p: &String| p.split(" | ").next().unwrap().to_owned();
    (survey.and_then(|s| s.plot), problems.iter().map(short).collect())
}

/// Refused, with exactly one error.
fn refused(plot: &str, files: &[(&str, &str)], expected: &str) {
    let (found, problems) = with_plot(plot, files);
    assert_eq!(problems, [expected]);
    assert_eq!(found, None);
}

const SQUARE: &str = "corners = [{ lat = -9.4124, lon = 39.2810 }, { lat = -9.4124, lon = 39.2813 },\n\
                      { lat = -9.4121, lon = 39.2813 }, { lat = -9.4121, lon = 39.2810 }]\n";

#[test]
fn corners_in_degrees_make_a_closed_ring() {
    let (plot, problems) = with_plot(&format!("accuracy_m = 3\n{SQUARE}"), &[]);
    assert_eq!(problems, Vec::<String>::new());
    let plot = plot.unwrap();
    let ring = &plot.polygons[0][0];
    assert_eq!((ring.len(), ring[0]), (5, ring[4]));
    assert_eq!(plot.from.line, 4);
    assert!(plot.corners.iter().all(|c| c.accuracy == Accuracy::Stated(3.0) && c.frame == Frame::Wgs84));
}

#[test]
fn corners_may_be_taped_from_the_peg() {
    let corner = |bearing: u32| format!("{{ bearing_deg = {bearing}, distance_m = 20 }}");
    let list = [45, 135, 225, 315].map(corner).join(", ");
    let (plot, problems) = with_plot(&format!("corners = [{list}]"), &[]);
    assert_eq!(problems, Vec::<String>::new());
    let corners = plot.unwrap().corners;
    assert!(corners.iter().all(|c| c.frame == Frame::Peg && c.accuracy == Accuracy::UnstatedTape));
}

#[test]
fn a_plot_that_crosses_itself_is_refused_at_the_corner() {
    let bow = "corners = [\n{ lat = -9.4124, lon = 39.2810 },\n{ lat = -9.4121, lon = 39.2813 },\n\
               { lat = -9.4124, lon = 39.2813 },\n{ lat = -9.4121, lon = 39.2810 },\n]";
    refused(
        bow,
        &[],
        "survey.toml:8:1+0 Error bad-plot: the edge from corner 3 to corner 4 meets the one from corner 1 to corner 2",
    );
}

#[test]
fn what_is_no_plot_is_refused() {
    let two = "corners = [{ lat = -9.4124, lon = 39.2810 }, { lat = -9.4121, lon = 39.2813 }]";
    refused(two, &[], "survey.toml:4:1+0 Error bad-plot: a plot of fewer than three corners");
    let line = "corners = [{ lat = -9.41, lon = 39.28 }, { lat = -9.42, lon = 39.28 }, { lat = -9.415, lon = 39.28 }]";
    refused(line, &[], "survey.toml:4:1+0 Error bad-plot: a plot without any area");
    refused(
        "accuracy_m = 3",
        &[],
        "survey.toml:4:1+6 Error missing-key: a plot without corners and without a file",
    );
    let far = SQUARE.replace("-9.", "9.");
    refused(
        &far,
        &[],
        "survey.toml:4:1+0 Error far-from-peg: a corner of the plot lies 2081.7 km from the peg",
    );
    let both = format!("file = \"plot.geojson\"\n{SQUARE}");
    refused(&both, &[], "survey.toml:5:8+0 Error two-plots: a plot by its corners and by a file");
    let half =
        "corners = [{ lat = -9.4124 }, { lat = -9.4121, lon = 39.2813 }, { lat = -9.4121, lon = 39.2810 }]";
    refused(half, &[], "survey.toml:5:12+0 Error half-position: lat without lon");
    let (_, problems) = with_plot("corners = [{ lat = 1, long = 2 }]", &[]);
    assert!(problems[0].contains("unknown-key: unknown key long"), "{problems:?}");
}

#[test]
fn a_file_may_hold_polygons_with_holes() {
    let file = r#"{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"owner":"school","accuracy_m":2},"geometry":{"type":"Polygon","coordinates":
[[[39.281,-9.4124],[39.2813,-9.4124],[39.2813,-9.4121],[39.281,-9.4121],[39.281,-9.4124]],
[[39.2811,-9.4123],[39.2812,-9.4123],[39.2812,-9.4122],[39.2811,-9.4123]]]}},
{"type":"Feature","properties":{},"geometry":{"type":"Polygon","coordinates":
[[[39.282,-9.4124],[39.2823,-9.4124],[39.2823,-9.4121],[39.282,-9.4124]]]}}]}"#;
    let (plot, problems) = with_plot("file = \"plot.geojson\"\naccuracy_m = 5", &[("plot.geojson", file)]);
    assert_eq!(problems, Vec::<String>::new());
    let plot = plot.unwrap();
    assert_eq!(plot.polygons.iter().map(Vec::len).collect::<Vec<_>>(), [2, 1]);
    let stated: Vec<_> = plot.corners.iter().map(|c| c.accuracy).collect();
    assert_eq!(stated, [Accuracy::Stated(2.0), Accuracy::Stated(5.0)]);
}

#[test]
fn faults_of_a_file_point_into_it() {
    let feature = |geometry: &str| {
        format!(
            "{{\"type\":\"FeatureCollection\",\"features\":[\n{{\"type\":\"Feature\",\"properties\":{{}},\"geometry\":{geometry}}}]}}"
        )
    };
    let file = |geometry: &str, expected: &str| {
        refused("file = \"plot.geojson\"", &[("plot.geojson", &feature(geometry))], expected);
    };
    file(
        r#"{"type":"Polygon","coordinates":[[[39.281,-9.412],[39.282,-9.411],[39.282,-9.412],[39.281,-9.411],[39.281,-9.412]]]}"#,
        "plot.geojson:2:1+0 Error bad-plot: a ring whose edges 1 and 3 meet",
    );
    file(
        r#"{"type":"LineString","coordinates":[[39.281,-9.412],[39.282,-9.411]]}"#,
        "plot.geojson:2:1+0 Error bad-plot: a plot that is drawn as points or lines",
    );
    file(
        r#"{"type":"Polygon","coordinates":[[[39.281,-9.412],[39.282]]]}"#,
        "plot.geojson:2:96+1 Error not-a-position: [39.282] is not a position",
    );
    refused("file = \"plot.geojson\"", &[], "survey.toml:5:8+0 Error no-file: there is no file plot.geojson");
    refused(
        "file = \"plot.geojson\"",
        &[("plot.geojson", "{}")],
        "plot.geojson:1:1+0 Error not-geojson: there is no GeoJSON object here",
    );
}

#[test]
fn a_survey_without_a_plot_has_none() {
    let (survey, problems) = read(PEG, &[]);
    assert!(problems.is_empty() && survey.unwrap().plot.is_none());
}
