//! Real records end to end, read from their own files through the mapping in
//! a survey: pegs at Malawi's water points among its waste sites and pumping
//! tests, and Kwale's pumps on a grid with and without its datum.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing)]

mod common;

use std::fs;
use std::path::Path;
use std::rc::Rc;
use std::sync::Arc;

use common::open_data;
use forebore::diag::{Level, Problems, Sources};
use forebore::facts::{FactSource, Shared, Site, SiteFacts, Value};
use forebore::region::{self, Region};
use forebore::rules::{Judge, RuleSet};
use forebore::survey::{Accuracy, Frame, LonLat, Position, Seen, Stage, Survey, read_survey};
use forebore::verdict::{Answer, assess};
use tempfile::TempDir;

/// Places of the 3,781 rows of waste sites that differ.
const DIFFERENT_PLACES: usize = 3_768;

/// Malawi: the region's figures, its waste sites and its pumping tests, as a
/// user would map them.
const MALAWI: &str = r#"
region = "weathered-basement"

[peg]
name = "A water point in Malawi"
at = { lat = -13.8383, lon = 33.8520, accuracy_m = 5 }

[looked_for]
"waste dump" = 1000

[[files.hazards]]
path = "wastedata.csv"
set = { kind = "waste dump" }
accuracy_m = 5

[[files.wells]]
path = "pumpingtests.csv"
columns = { water_level_m = "static_water_level", depth_m = "total_hole_depth", measured = "date_of_test", yield_lps = "max_pumping_rate" }
subtract = { water_level_m = "reference_level" }
missing = ["NA"]
missing_in = { water_level_m = ["0"], depth_m = ["0"] }
dates = "year first"
accuracy_m = 5
"#;

fn read(folder: &TempDir, text: &str) -> (Survey, Problems) {
    let path = folder.path().join("survey.toml");
    fs::write(&path, text).unwrap();
    let mut problems = Problems::new();
    let survey = read_survey(&path, &mut Sources::new(), &mut problems);
    let said: Vec<_> = problems.iter().filter(|p| p.level == Level::Error).collect();
    (survey.unwrap_or_else(|| panic!("{said:#?}")), problems)
}

fn region() -> Arc<Region> {
    Arc::new(region::load("weathered-basement", None, &mut Sources::new(), &mut Problems::new()).unwrap())
}

fn beside(folder: &TempDir, from: &Path) {
    fs::copy(from, folder.path().join(from.file_name().unwrap())).unwrap();
}

fn malawi(data: &Path) -> (TempDir, Survey) {
    let folder = TempDir::new().unwrap();
    beside(&folder, &data.join("malawi_waste_sites/wastedata.csv"));
    beside(&folder, &data.join("malawi_pumping_tests/pumpingtests.csv"));
    let (survey, _) = read(&folder, MALAWI);
    (folder, survey)
}

fn water_points(data: &Path) -> Vec<LonLat> {
    let mut rows =
        csv::Reader::from_path(data.join("malawi_waterpoints/waterpointfunctionality.csv")).unwrap();
    let columns = rows.headers().unwrap().clone();
    let column = |name: &str| columns.iter().position(|c| c == name).unwrap();
    let (lat, lon) = (column("latitude"), column("longitude"));
    rows.records()
        .map(|row| {
            let row = row.unwrap();
            LonLat::new(row[lon].parse().unwrap(), row[lat].parse().unwrap()).unwrap()
        })
        .collect()
}

fn at_peg(site: &Site, at: LonLat) -> Arc<Site> {
    let mut site = site.clone();
    let position = Position { at, accuracy: Accuracy::Stated(5.0), frame: Frame::Wgs84, taped_m: None };
    site.peg.at = Seen::new(position, site.peg.at.from.clone());
    Arc::new(site)
}

#[test]
fn every_water_point_of_malawi_has_its_distance_to_the_nearest_waste_site() {
    let Some(data) = open_data() else { return };
    let (_folder, survey) = malawi(&data);
    assert_eq!(survey.hazards.len(), DIFFERENT_PLACES, "3,781 rows, each place once");
    let shared = Arc::new(Shared::of_survey(&survey, region()));
    let site = Site::of_survey(&survey);
    let points = water_points(&data);
    assert_eq!(points.len(), 11_409);
    let mut within = [0; 4];
    for at in points {
        let facts = SiteFacts::for_peg(shared.clone(), at_peg(&site, at));
        let fact = facts.fact("nearest_waste_dump_m").unwrap();
        let Value::Estimate(distance) = &fact.value else { panic!("{fact:?}") };
        for (count, limit) in within.iter_mut().zip([30.0, 50.0, 100.0, 500.0]) {
            *count += usize::from(distance.value().is_some_and(|d| d <= limit));
        }
    }
    assert_eq!(within, [73, 146, 324, 1_453], "on the ellipsoid; a sphere gives 323 and 1,452");
}

#[test]
fn pegs_at_malawis_water_points_are_judged_and_none_is_a_plain_go() {
    let Some(data) = open_data() else { return };
    let (_folder, survey) = malawi(&data);
    let region = region();
    let shared = Arc::new(Shared::of_survey(&survey, region.clone()));
    let site = Site::of_survey(&survey);
    let rules = RuleSet::built_in(&mut Sources::new(), &mut Problems::new());
    let judge = Judge::new(&rules);
    let mut stopped_by_waste = 0;
    for at in water_points(&data).into_iter().step_by(100) {
        let facts: Rc<dyn FactSource> = Rc::new(SiteFacts::for_peg(shared.clone(), at_peg(&site, at)));
        let assessment = assess(&judge, &facts, &region, Stage::Mobilisation);
        // So little is known of these places that none may pass.
        assert!(assessment.verdict.answer <= Answer::FindOut, "{at:?}");
        let waste = assessment.findings.iter().find(|f| f.rule.id == "waste-dump").unwrap();
        stopped_by_waste += usize::from(waste.outcome == forebore::rules::Outcome::Stop);
    }
    assert!(stopped_by_waste > 0);
}

fn kwale(datum: &str) -> String {
    format!(
        r#"
[peg]
name = "A peg among the pumps of Kwale"
at = {{ lat = -4.3, lon = 39.5, accuracy_m = 3 }}

[[files.hazards]]
path = "pumps.csv"
columns = {{ easting_m = "x_arc1960", northing_m = "y_arc1960", name = "pumpid" }}
set = {{ kind = "pit latrine", zone = "37S"{datum} }}
accuracy_m = 3

[looked_for]
"pit latrine" = 100000
"#
    )
}

/// The pumps stand for latrines here: what is tried is the grid.
#[test]
fn kwales_grid_lands_on_its_twins_with_its_datum_and_clears_no_setback_without() {
    let Some(data) = open_data() else { return };
    let source = data.join("kwale_kenya/handpump_locations_arc1960_wgs84.csv");
    let mut rows = csv::Reader::from_path(&source).unwrap();
    let twins: Vec<LonLat> = rows
        .records()
        .map(|r| r.unwrap())
        .map(|r| LonLat::new(r[5].parse().unwrap(), r[4].parse().unwrap()).unwrap())
        .collect();
    assert_eq!(twins.len(), 299);
    for (datum, stated) in [(r#", datum = "Arc 1960""#, true), ("", false)] {
        let folder = TempDir::new().unwrap();
        fs::copy(&source, folder.path().join("pumps.csv")).unwrap();
        let (survey, _) = read(&folder, &kwale(datum));
        let shared = Arc::new(Shared::of_survey(&survey, region()));
        let site = Site::of_survey(&survey);
        if stated {
            for twin in &twins {
                let facts = SiteFacts::for_peg(shared.clone(), at_peg(&site, *twin));
                let fact = facts.fact("nearest_pit_latrine_m").unwrap();
                let Value::Estimate(d) = &fact.value else { panic!("{fact:?}") };
                assert!(d.value().unwrap() <= 10.0, "{twin:?} {d}");
            }
        } else {
            // A peg 300 m from a twin: with the datum it would be clear.
            for twin in &twins {
                let at = forebore::place::destination(*twin, 45.0, 300.0).unwrap();
                let facts = SiteFacts::for_peg(shared.clone(), at_peg(&site, at));
                let fact = facts.fact("nearest_pit_latrine_m").unwrap();
                let Value::Estimate(d) = &fact.value else { panic!("{fact:?}") };
                assert!(!d.surely_at_least(30.0), "{twin:?} {d}");
            }
        }
    }
}
