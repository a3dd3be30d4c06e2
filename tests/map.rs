//! The GeoJSON of every example, read by a library of its own: it keeps to
//! RFC 7946, its page names every property, and the spots it offers stand on
//! the plot and outside every setback.

#![allow(missing_docs, clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

use std::collections::BTreeSet;

use assert_cmd::Command;
use geo::{Contains, Distance, Euclidean, MultiPolygon, Point, Polygon};
use geojson::{Feature, FeatureCollection, GeoJson, GeometryValue, Position};

fn map(survey: &str) -> FeatureCollection {
    let output = Command::new(env!("CARGO_BIN_EXE_forebore"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["assess", survey, "--format", "geojson"])
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    match text.parse::<GeoJson>().unwrap() {
        GeoJson::FeatureCollection(all) => all,
        other => panic!("{survey} is no collection: {other}"),
    }
}

fn examples() -> Vec<(String, FeatureCollection)> {
    let folders = std::fs::read_dir("docs/examples").unwrap();
    let mut all: Vec<_> =
        folders.map(|f| f.unwrap().path().join("survey.toml").to_str().unwrap().to_owned()).collect();
    all.sort();
    assert!(all.len() >= 5);
    all.into_iter().map(|survey| (survey.clone(), map(&survey))).collect()
}

fn says<'a>(feature: &'a Feature, name: &str) -> Option<&'a str> {
    feature.property(name)?.as_str()
}

fn number(feature: &Feature, name: &str) -> f64 {
    feature.property(name).and_then(|v| v.as_f64()).unwrap_or_else(|| panic!("no {name} in {feature:?}"))
}

fn of<'a>(all: &'a FeatureCollection, what: &'a str) -> impl Iterator<Item = &'a Feature> {
    all.features.iter().filter(move |f| says(f, "feature") == Some(what))
}

/// Twice the area to the left of a ring: above zero where it runs
/// anticlockwise.
fn turn(ring: &[Position]) -> f64 {
    ring.windows(2).map(|w| w[0][0] * w[1][1] - w[1][0] * w[0][1]).sum()
}

fn faults_of_ring(ring: &[Position], outer: bool) -> Option<&'static str> {
    match ring {
        _ if ring.len() < 4 => Some("a ring of fewer than four positions"),
        _ if ring.first() != ring.last() => Some("a ring that is not closed"),
        _ if (turn(ring) > 0.0) != outer => Some("a ring that turns the wrong way"),
        _ => None,
    }
}

fn faults(feature: &Feature) -> Vec<&'static str> {
    let polygon = |rings: &Vec<Vec<Position>>| -> Vec<&'static str> {
        rings.iter().enumerate().filter_map(|(n, ring)| faults_of_ring(ring, n == 0)).collect()
    };
    let geometry = feature.geometry.as_ref().unwrap();
    let (places, mut wrong): (Vec<&Position>, Vec<&str>) = match &geometry.value {
        GeometryValue::Point { coordinates } => (vec![coordinates], Vec::new()),
        GeometryValue::MultiPoint { coordinates } => (coordinates.iter().collect(), Vec::new()),
        GeometryValue::LineString { coordinates } => (
            coordinates.iter().collect(),
            if coordinates.len() < 2 { vec!["a short line"] } else { Vec::new() },
        ),
        GeometryValue::MultiLineString { coordinates } => {
            (coordinates.iter().flatten().collect(), Vec::new())
        }
        GeometryValue::Polygon { coordinates } => {
            (coordinates.iter().flatten().collect(), polygon(coordinates))
        }
        GeometryValue::MultiPolygon { coordinates } => {
            (coordinates.iter().flatten().flatten().collect(), coordinates.iter().flat_map(polygon).collect())
        }
        GeometryValue::GeometryCollection { .. } => (Vec::new(), vec!["a collection in a feature"]),
    };
    for place in places {
        let on_earth = place.len() == 2 && place[0].abs() <= 180.0 && place[1].abs() <= 90.0;
        if !on_earth {
            wrong.push("a position that is no longitude and latitude");
        }
    }
    wrong
}

#[test]
fn every_map_keeps_to_the_standard() {
    for (survey, all) in examples() {
        let members = all.foreign_members.as_ref().unwrap();
        assert!(!members.contains_key("crs"), "{survey}: coordinates are WGS84 and say no other");
        assert!(
            members["about"].as_str().unwrap().contains("Local codes"),
            "{survey} does not say who decides"
        );
        for feature in &all.features {
            let wrong = faults(feature);
            assert!(wrong.is_empty(), "{survey}: {wrong:?} in {:?}", feature.properties);
        }
        // Longitude first, and near the peg.
        let peg = of(&all, "peg").next().unwrap();
        let GeometryValue::Point { coordinates: at } = &peg.geometry.as_ref().unwrap().value else {
            panic!("{survey}: the peg is no point")
        };
        let text = std::fs::read_to_string(&survey).unwrap();
        let stated = |key: &str| text.contains(&format!("{key} = {}", at[usize::from(key == "lat")]));
        assert!(stated("lon") && stated("lat") || !text.contains("lon ="), "{survey}: {at:?}");
    }
}

fn areas(feature: &Feature) -> MultiPolygon<f64> {
    let geometry = feature.geometry.clone().unwrap();
    match geo::Geometry::<f64>::try_from(geometry).unwrap() {
        geo::Geometry::Polygon(one) => MultiPolygon::from(vec![one]),
        geo::Geometry::MultiPolygon(many) => many,
        other => panic!("no area: {other:?}"),
    }
}

fn point(feature: &Feature) -> Point<f64> {
    Point::try_from(feature.geometry.clone().unwrap()).unwrap()
}

/// Metres of a degree of latitude, near enough for a centimetre.
const DEGREE_M: f64 = 111_000.0;

/// Inside, or within the rounding of the coordinates of it.
fn inside(of: &MultiPolygon<f64>, place: &Point<f64>) -> bool {
    of.contains(place) || of.iter().any(|p: &Polygon<f64>| Euclidean.distance(p, place) * DEGREE_M < 0.05)
}

/// How deep a place lies inside, metres; below zero or zero outside.
fn depth_m(of: &MultiPolygon<f64>, place: &Point<f64>) -> f64 {
    let edge = |p: &Polygon<f64>| {
        let rings = std::iter::once(p.exterior()).chain(p.interiors());
        rings.map(|ring| Euclidean.distance(ring, place) * DEGREE_M).fold(f64::INFINITY, f64::min)
    };
    of.iter().filter(|p| p.contains(place)).map(edge).fold(0.0, f64::max)
}

#[test]
fn spots_stand_on_the_plot_and_outside_every_setback() {
    let mut seen = 0;
    for (survey, all) in examples() {
        let plots: Vec<_> = of(&all, "plot").map(areas).collect();
        assert!(plots.len() <= 1, "{survey}");
        for spot in of(&all, "spot").chain(of(&all, "widest spot")) {
            let at = point(spot);
            let name = format!("{survey}, {} {:?}", says(spot, "feature").unwrap(), spot.property("rank"));
            assert!(plots.iter().any(|plot| inside(plot, &at)), "{name} is not on the plot");
            for (level, state) in [("stops", "as_to_stops"), ("cautions", "as_to_cautions")] {
                let state = says(spot, state).unwrap();
                assert!(level == "cautions" || state != "taken", "{name} stands where a distance stops it");
                if state == "taken" {
                    continue;
                }
                for setback in of(&all, "setback").filter(|s| says(s, "free_of") == Some(level)) {
                    let drawn = number(setback, "required_m") + number(setback, "position_error_m");
                    assert!((number(setback, "drawn_m") - drawn).abs() < 0.11, "{setback:?}");
                    let deep = depth_m(&areas(setback), &at);
                    assert!(
                        deep < 0.05,
                        "{name} stands {deep} m inside the setback of {:?}",
                        says(setback, "of")
                    );
                }
                if state == "free" {
                    let free = of(&all, "free ground").filter(|g| says(g, "free_of") == Some(level));
                    let free: Vec<_> = free.filter(|g| says(g, "state") == Some("free")).map(areas).collect();
                    assert!(
                        free.iter().any(|ground| inside(ground, &at)),
                        "{name} is not on the free ground"
                    );
                }
            }
            seen += 1;
        }
    }
    assert!(seen >= 10, "only {seen} spots");
}

#[test]
fn the_page_of_the_map_names_every_feature_and_property() {
    let page = std::fs::read_to_string("docs/map.md").unwrap();
    let mut names = BTreeSet::new();
    for (_, all) in examples() {
        for feature in &all.features {
            names.insert(says(feature, "feature").unwrap().to_owned());
            names.extend(feature.properties.as_ref().unwrap().keys().cloned());
        }
    }
    assert!(names.len() > 30, "{names:?}");
    let missing: Vec<_> = names.iter().filter(|n| !page.contains(&format!("`{n}`"))).collect();
    assert!(missing.is_empty(), "docs/map.md does not name {missing:?}");
}

#[test]
fn the_plot_of_the_template_can_be_taken_into_use() {
    let folder = tempfile::tempdir().unwrap();
    let site = folder.path().join("site");
    let run = |args: &[&str]| Command::new(env!("CARGO_BIN_EXE_forebore")).args(args).output().unwrap();
    run(&["new", site.to_str().unwrap()]);
    let survey = site.join("survey.toml");
    let text = std::fs::read_to_string(&survey).unwrap();
    // Takes the marks off the lines of the plot.
    let (before, rest) = text.split_once("# [plot]\n").expect("the template shows a plot");
    let (plot, after) = rest.split_once("# ]\n").unwrap();
    let plot: String = plot.lines().map(|l| format!("{}\n", l.strip_prefix("# ").unwrap())).collect();
    std::fs::write(&survey, format!("{before}[plot]\n{plot}]\n{after}")).unwrap();
    let all = map(survey.to_str().unwrap());
    let plot = of(&all, "plot").next().unwrap();
    assert!(says(plot, "from").unwrap().contains("survey.toml:"), "{plot:?}");
    assert!(inside(&areas(plot), &point(of(&all, "peg").next().unwrap())), "the peg stands outside its plot");
}
