//! Surveys read from disk: open data in its own tables, and anything at all.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing)]

mod common;

use std::path::Path;

use forebore::diag::{Level, Problems, Sources, render};
use forebore::survey::{Frame, HazardKind, Survey, read_survey};
use proptest::prelude::*;

fn read(path: &Path) -> (Option<Survey>, Problems, Sources) {
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let survey = read_survey(path, &mut sources, &mut problems);
    (survey, problems, sources)
}

/// A survey written to a folder of its own and read from there.
fn written(text: &str) -> (Option<Survey>, Problems, Sources) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("survey.toml");
    std::fs::write(&path, text).unwrap();
    read(&path)
}

fn whole(text: &str) -> (Survey, Problems) {
    let (survey, problems, sources) = written(text);
    let survey = survey.unwrap_or_else(|| panic!("{}", render(&problems, &sources, false)));
    (survey, problems)
}

#[test]
fn waste_sites_of_a_whole_country_are_read_from_their_own_table() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_waste_sites/wastedata.csv");
    let (survey, problems) = whole(&format!(
        r#"
[peg]
at = {{ lat = -15.7, lon = 35.0, accuracy_m = 4 }}
[[files.hazards]]
path = {path:?}
columns = {{ kind = "waste_category" }}
missing = ["NA"]
[files.hazards.words]
"Household waste" = "waste dump"
"Non-hazardous waste" = "waste dump"
"Medical waste" = "waste dump"
"Hazardous waste" = "waste dump"
"Stagnant water" = "open water"
"#
    ));
    let repeated = problems.iter().filter(|p| p.code.starts_with("repeated")).count();
    let dumps = survey.hazards.iter().filter(|h| h.kind == HazardKind::WasteDump).count();
    // 3,781 rows, of which 18 name no category.
    assert_eq!(survey.hazards.len() + survey.left_out.len() + repeated, 3_781);
    assert_eq!((survey.left_out.len(), survey.hazards.len() - dumps), (18, 62));
    assert!(survey.left_out.iter().all(|l| l.from.line > 1 && l.why == "a hazard of unknown kind"));
    assert_eq!(survey.hazards[0].from.line, 2);
    assert_eq!(survey.hazards[0].written_as.as_deref(), Some("Household waste"));
}

#[test]
fn pumping_tests_become_neighbours_with_levels_below_ground() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_pumping_tests/pumpingtests.csv");
    let (survey, problems) = whole(&format!(
        r#"
[peg]
at = {{ lat = -15.7, lon = 35.3, accuracy_m = 4 }}
[[files.wells]]
path = {path:?}
missing = ["NA"]
missing_in = {{ water_level_m = [0], depth_m = [0] }}
columns = {{ water_level_m = "static_water_level", depth_m = "total_hole_depth", yield_lps = "max_pumping_rate", outcome = "borehole_passed" }}
subtract = {{ water_level_m = "reference_level" }}
words = {{ Yes = "in use", No = "low yield" }}
"#
    ));
    let repeated = problems.iter().filter(|p| p.code.starts_with("repeated")).count();
    assert_eq!(survey.wells.len() + survey.left_out.len() + repeated, 203);
    let first = &survey.wells[0];
    let level = first.water_level_m.as_ref().unwrap();
    // 11.5 m below a pedestal 0.44 m above ground.
    assert!((level.value - 11.06).abs() < 1e-9 && level.from.line == 2, "{level:?}");
    // Pedestals of tens of metres make levels above ground: not believed.
    let refused = problems.iter().filter(|p| p.code == "out-of-range").count();
    assert_eq!(refused, 2);
    assert!(survey.wells.iter().filter_map(|w| w.water_level_m.as_ref()).all(|l| l.value >= 0.0));
}

#[test]
fn pumps_of_a_table_are_placed_by_the_datum_the_survey_states() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("kwale_kenya/handpump_locations_arc1960_wgs84.csv");
    let text = |datum: &str| {
        format!(
            r#"
[peg]
at = {{ lat = -4.4873991234, lon = 39.4492190263, accuracy_m = 4 }}
[[files.wells]]
path = {path:?}
columns = {{ name = "pumpid", easting_m = "x_arc1960", northing_m = "y_arc1960" }}
zone = "37S"
{datum}
"#
        )
    };
    let (survey, _) = whole(&text("datum = \"Arc 1960\""));
    assert_eq!(survey.wells.len(), 299);
    let at = survey.wells[0].position.at;
    assert!((at.lat_deg() + 4.4873991234).abs() < 1e-4 && (at.lon_deg() - 39.4492190263).abs() < 1e-4);
    let (survey, problems) = whole(&text(""));
    assert!(survey.wells.iter().all(|w| matches!(w.position.frame, Frame::UnknownDatum { .. })));
    let warnings: Vec<_> = problems.iter().filter(|p| p.code == "no-datum").collect();
    assert_eq!((warnings.len(), warnings[0].level), (1, Level::Warning));
}

/// A survey that says something of everything, to be broken in pieces.
const SURVEY: &str = r#"region = "river-alluvium"
[peg]
name = "Lower yard"
at = { lat = -9.41231, lon = 39.28114, accuracy_m = 4 }
[visit]
date = 2026-09-14
[need]
people = 180
[plan]
methods = ["hand auger"]
budget = { amount = 900, currency = "USD" }
[looked_for]
"pit latrine" = 60
[files]
wells = ["w.csv"]
[[files.hazards]]
path = "h.geojson"
columns = { kind = "sort" }
missing = ["NA", -9]
[[hazard]]
kind = "pit latrine"
from_peg = { bearing_deg = 15, distance_m = 24.5 }
[[well]]
at = { easting_m = 530870, northing_m = 8959540, zone = "37S", datum = "Arc 1960" }
measured = 2026-03-02
log = [ { to_m = 2.0, material = "sandy clay" }, { to_m = 6.0, material = "laterite" } ]
quality = { ec_us_cm = 640, arsenic_mg_l = "< 0.01" }
[ground]
flooding = "some years"
"#;

/// Whatever was read: refused with an error of its own file, or whole.
fn consistent(bytes: &[u8]) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("survey.toml");
    std::fs::write(&path, bytes).unwrap();
    std::fs::write(folder.path().join("w.csv"), bytes).unwrap();
    std::fs::write(folder.path().join("h.geojson"), bytes).unwrap();
    let (survey, problems, sources) = read(&path);
    let name = path.display().to_string();
    let refused = problems.iter().any(|p| p.level == Level::Error && *p.at.file == *name);
    assert_eq!(survey.is_none(), refused);
    assert!(problems.is_empty() || !render(&problems, &sources, false).is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn random_bytes_are_refused_and_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        consistent(&bytes);
    }

    #[test]
    fn random_text_is_refused_and_never_panics(text in "\\PC{0,200}") {
        consistent(text.as_bytes());
    }

    #[test]
    fn a_survey_with_a_piece_changed_never_panics(
        from in 0..SURVEY.len(),
        length in 0..40_usize,
        put in prop_oneof![
            "[\\[\\]{}=\"',.#\\n -]{0,6}",
            "(unknown|nan|inf|-1|1e999|\"x\"|\\[\\]|2026-02-30|true|99999999999999999999)",
            "\\PC{0,6}",
        ],
    ) {
        let to = (from + length).min(SURVEY.len());
        consistent(format!("{}{put}{}", &SURVEY[..from], &SURVEY[to..]).as_bytes());
    }
}
