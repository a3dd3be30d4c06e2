//! Surveys with files beside them.
#![allow(clippy::float_cmp)]

use super::super::read::tests::{PEG, read};
use super::super::{Accuracy, DateOrder, DecimalMark, Frame, HazardKind, RecordKind, TableFile, WellOutcome};

/// Problems of a survey with files, without help.
fn problems(files_section: &str, files: &[(&str, &str)]) -> Vec<String> {
    let (survey, problems) = read(&format!("{PEG}{files_section}"), files);
    let refused = problems.iter().any(|p| p.starts_with("survey.toml") && p.contains(" Error "));
    assert_eq!(survey.is_none(), refused);
    problems.iter().map(|p| p.split(" | ").next().unwrap().to_owned()).collect()
}

const HAZARDS: &str = "[files]\nhazards = [\"h.csv\"]\n";
const WELLS: &str = "[files]\nwells = [\"w.csv\"]\n";

#[test]
fn rows_become_hazards_that_know_their_line() {
    let csv = "kind,name,lat,lon,accuracy_m\nPit latrine,north,-9.4120,39.2812,3\nkraal,,-9.4130,39.2815,\n";
    let (survey, problems) = read(&format!("{PEG}{HAZARDS}"), &[("h.csv", csv)]);
    assert_eq!(problems, Vec::<String>::new());
    let s = survey.unwrap();
    assert_eq!(s.hazards.len(), 2);
    assert_eq!(s.hazards[0].from.to_string(), "h.csv:2");
    assert_eq!((s.hazards[0].kind, s.hazards[0].name.as_str()), (HazardKind::PitLatrine, "north"));
    assert_eq!(s.hazards[0].position.accuracy, Accuracy::Stated(3.0));
    assert_eq!(s.hazards[1].position.accuracy, Accuracy::UnstatedCoordinate);
    assert_eq!(s.hazards[1].written_as.as_deref(), Some("kraal"));
}

#[test]
fn the_receiver_of_the_visit_says_nothing_of_other_files() {
    let csv = "kind,lat,lon\nkraal,-9.4130,39.2815\n";
    let text = format!("{PEG}[visit]\ngps_accuracy_m = 3\n{HAZARDS}");
    let s = read(&text, &[("h.csv", csv)]).0.unwrap();
    assert_eq!(s.hazards[0].position.accuracy, Accuracy::UnstatedCoordinate);
}

#[test]
fn a_hazard_of_unknown_kind_is_left_out_and_never_lost() {
    let csv = "kind,lat,lon\n,-9.4120,39.2812\nwater tower,-9.4130,39.2815\nlatrine,,39.2815\nlatrine,-9.4140,39.2815\n";
    let (survey, problems) = read(&format!("{PEG}{HAZARDS}"), &[("h.csv", csv)]);
    let s = survey.unwrap();
    assert_eq!(s.hazards.len(), 1);
    let left: Vec<_> = s.left_out.iter().map(|l| format!("{} {}", l.from, l.why)).collect();
    assert_eq!(
        left,
        [
            "h.csv:2 a hazard of unknown kind",
            "h.csv:3 \"water tower\" is not a kind of hazard known here",
            "h.csv:4 lon without lat",
        ]
    );
    assert_eq!(problems.iter().filter(|p| p.contains(" LeftOut ")).count(), 3);
}

#[test]
fn an_impossible_value_is_dropped_and_the_row_goes_on() {
    let csv = "name,lat,lon,depth_m,water_level_m,outcome,accuracy_m\na,-9.412,39.281,-9,3,wierd,0\n";
    let (survey, problems) = read(&format!("{PEG}{WELLS}"), &[("w.csv", csv)]);
    let well = &survey.unwrap().wells[0];
    assert_eq!((&well.depth_m, &well.outcome), (&None, &None));
    assert_eq!(well.position.accuracy, Accuracy::UnstatedCoordinate);
    assert_eq!(well.water_level_m.as_ref().unwrap().value, 3.0);
    let short: Vec<_> = problems.iter().map(|p| p.split(" | ").next().unwrap()).collect();
    assert_eq!(
        short,
        [
            "w.csv:2:28+1 Warning out-of-range: accuracy_m = 0 is not possible",
            "w.csv:2:17+2 Warning out-of-range: depth_m = -9 is not possible",
            "w.csv:2:22+5 Warning unknown-word: outcome = \"wierd\" is not understood",
        ]
    );
}

#[test]
fn values_that_cannot_all_be_true_are_kept_and_warned_of() {
    let csv =
        "name,lat,lon,depth_m,water_level_m,lowest_level_m,measured\na,-9.412,39.281,10,12,11,2026-09-20\n";
    let found = problems(&format!("[visit]\ndate = 2026-09-14\n{WELLS}"), &[("w.csv", csv)]);
    assert_eq!(
        found,
        [
            "w.csv:2:20+0 Warning level-below-hole: water at 12 m in a hole of 10 m",
            "w.csv:2:23+0 Warning lowest-above-level: the lowest level, 11 m, is above the measured one, 12 m",
            "w.csv:2:26+0 Warning measured-after-visit: a level measured on 2026-09-20, after the visit on 2026-09-14",
        ]
    );
}

#[test]
fn a_hazard_written_in_two_files_is_kept_once() {
    let csv = "kind,name,lat,lon\nlatrine,a,-9.412,39.281\n";
    let files = "[files]\nhazards = [\"h.csv\", \"i.csv\"]\n";
    let (survey, problems) = read(&format!("{PEG}{files}"), &[("h.csv", csv), ("i.csv", csv)]);
    assert_eq!(survey.unwrap().hazards.len(), 1);
    assert_eq!(
        problems,
        [
            "i.csv:2:1+0 Warning repeated-record: the same hazard as at h.csv:2 | It was kept once. Where there are two, \
          give them names."
        ]
    );
}

#[test]
fn a_grid_without_datum_is_warned_of_once_for_all_its_rows() {
    let csv = "kind,easting_m,northing_m,zone\nlatrine,530870,8959540,37S\nlatrine,530871,8959540,37S\n";
    let (survey, problems) = read(&format!("{PEG}{HAZARDS}"), &[("h.csv", csv)]);
    let s = survey.unwrap();
    assert!(s.hazards.iter().all(|h| h.position.frame == Frame::UnknownDatum { shift_error_m: 650.0 }));
    assert_eq!(problems.len(), 1);
    assert!(problems[0].starts_with(
        "h.csv:2:1+0 Warning no-datum: no datum is stated for a grid reference (here and in 1 more place)"
    ));
}

#[test]
fn what_the_survey_says_of_a_file_holds_for_its_rows() {
    let csv = "x_coord;y_coord;rubbish\n530870,5;8959540,0;Household waste\n";
    let files = r#"[[files.hazards]]
path = "h.csv"
columns = { easting_m = "x_coord", northing_m = "y_coord" }
set = { kind = "waste dump", pit_depth_m = 2 }
zone = "37S"
datum = "WGS84"
accuracy_m = 12
decimal = "comma"
"#;
    let (survey, problems) = read(&format!("{PEG}{files}"), &[("h.csv", csv)]);
    let s = survey.unwrap_or_else(|| panic!("{problems:?}"));
    let dump = &s.hazards[0];
    assert_eq!((dump.kind, &dump.position.frame), (HazardKind::WasteDump, &Frame::Wgs84));
    assert_eq!(dump.position.accuracy, Accuracy::Stated(12.0));
    assert_eq!(dump.pit_depth_m.as_ref().unwrap().from.to_string(), "survey.toml:7");
}

#[test]
fn the_datum_of_a_file_is_that_of_its_grid_where_it_has_one() {
    let csv = "kind,lat,lon,easting_m,northing_m\nlatrine,-9.4123,39.2811,,\nkraal,,,530870,8959540\n";
    let files = "[[files.hazards]]\npath = \"h.csv\"\nzone = \"37S\"\ndatum = \"Arc 1960\"\n";
    let s = read(&format!("{PEG}{files}"), &[("h.csv", csv)]).0.unwrap();
    assert_eq!(s.hazards[0].position.frame, Frame::Wgs84);
    assert!(matches!(s.hazards[1].position.frame, Frame::Datum { .. }));
    let csv = "kind,lat,lon\nlatrine,-9.4123,39.2811\n";
    let s = read(&format!("{PEG}{files}"), &[("h.csv", csv)]).0.unwrap();
    assert!(matches!(s.hazards[0].position.frame, Frame::Datum { .. }));
}

#[test]
fn a_mapped_position_goes_before_one_that_bears_a_known_heading() {
    let csv = "kind,lat,lon,x,y\nlatrine,-9.5,39.5,530870,8959540\n";
    let files = r#"[[files.hazards]]
path = "h.csv"
columns = { easting_m = "x", northing_m = "y" }
zone = "37S"
datum = "WGS84"
"#;
    let s = read(&format!("{PEG}{files}"), &[("h.csv", csv)]).0.unwrap();
    assert!((s.hazards[0].position.at.lat_deg() + 9.41).abs() < 0.01, "{:?}", s.hazards[0].position);
}

#[test]
fn two_positions_of_one_thing_that_disagree_widen_its_accuracy() {
    let csv = "kind,lat,lon,easting_m,northing_m,zone,datum,accuracy_m\nlatrine,-9.41,39.28,530870,8959540,37S,WGS84,5\n";
    let (survey, problems) = read(&format!("{PEG}{HAZARDS}"), &[("h.csv", csv)]);
    let Accuracy::Stated(m) = survey.unwrap().hazards[0].position.accuracy else { panic!("not stated") };
    assert!(m > 30.0, "{m}");
    assert!(
        problems[0].contains("Warning positions-disagree: two positions of one thing lie"),
        "{problems:?}"
    );
}

#[test]
fn bearings_of_a_table_are_taken_from_the_peg() {
    let csv = "kind,bearing_deg,distance_m\nlatrine,180,25\n";
    let s = read(&format!("{PEG}{HAZARDS}"), &[("h.csv", csv)]).0.unwrap();
    let at = s.hazards[0].position.at;
    assert_eq!((s.hazards[0].position.taped_m, at.lon_deg()), (Some(25.0), s.peg.at.value.at.lon_deg()));
    assert!(((s.peg.at.value.at.lat_deg() - at.lat_deg()) * 110_600.0 - 25.0).abs() < 0.1);
}

#[test]
fn shapes_become_hazards() {
    let json = r#"{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"kind":"river"},"geometry":{"type":"LineString","coordinates":[[39.28,-9.41],[39.29,-9.42]]}},
{"type":"Feature","properties":{"name":"what?"},"geometry":{"type":"Point","coordinates":[39.28,-9.41]}}]}"#;
    let files = "[files]\nhazards = [\"h.geojson\"]\n";
    let s = read(&format!("{PEG}{files}"), &[("h.geojson", json)]).0.unwrap();
    assert_eq!((s.hazards.len(), s.hazards[0].kind), (1, HazardKind::OpenWater));
    assert!(matches!(&s.hazards[0].shape, super::super::Shape::Lines(lines) if lines[0].len() == 2));
    assert_eq!((s.left_out.len(), s.left_out[0].why.as_str()), (1, "a hazard of unknown kind"));
}

#[test]
fn a_file_that_cannot_be_used_at_all_is_missed_in_the_verdict() {
    let files = "[files]\nhazards = [\"h.csv\", \"h.geojson\"]\n";
    let (survey, problems) = read(&format!("{PEG}{files}"), &[("h.csv", ""), ("h.geojson", "{")]);
    let s = survey.unwrap();
    let left: Vec<_> = s.left_out.iter().map(|l| l.from.to_string()).collect();
    assert_eq!(left, ["h.csv", "h.geojson"]);
    assert!(problems.iter().any(|p| p.starts_with("h.csv") && p.contains(" Error ")));
}

#[test]
fn a_file_far_from_the_peg_is_warned_of() {
    let csv = "kind,lat,lon\nlatrine,39.281,-9.412\n";
    let found = problems(HAZARDS, &[("h.csv", csv)]);
    assert_eq!(found, ["h.csv:0:0+0 Warning far-from-peg: its nearest record lies 7370 km from the peg"]);
}

#[test]
fn files_that_are_not_there_or_of_no_known_kind_are_errors_of_the_survey() {
    let found = problems(
        "[files]\nwells = [\"w.csv\", \"w.xlsx\", \"w.csv\", 3]\nhazards = [{ columns = {} }]\n",
        &[],
    );
    assert_eq!(
        found,
        [
            "survey.toml:5:29+0 Error repeated-file: w.csv is named twice, first in line 5",
            "survey.toml:5:38+1 Error wrong-type: the name of a file is a number, where text is expected",
            "survey.toml:6:12+16 Error missing-key: a file without its path",
            "survey.toml:5:10+0 Error no-file: there is no file w.csv",
            "survey.toml:5:19+0 Error unknown-format: w.xlsx is no kind of file that can be read",
        ]
    );
}

#[test]
fn faults_of_files_are_told_though_the_survey_is_refused() {
    let csv = "kind,lat,lon\n,-9.4120,39.2812\n";
    let (survey, problems) = read("[peg]\nname = \"x\"\n[files]\nhazards = [\"h.csv\"]\n", &[("h.csv", csv)]);
    assert!(survey.is_none());
    assert!(problems.iter().any(|p| p.starts_with("h.csv:2:1+0 LeftOut no-kind")), "{problems:?}");
}

#[test]
fn a_column_that_the_file_has_not_is_an_error_of_the_survey() {
    let files = "[[files.hazards]]\npath = \"h.csv\"\ncolumns = { kind = \"sort\" }\n";
    let (survey, problems) =
        read(&format!("{PEG}{files}"), &[("h.csv", "kind,lat,lon\nlatrine,-9.41,39.28\n")]);
    assert!(survey.is_none());
    assert!(problems[0].starts_with("survey.toml:6:20+6 Error no-such-heading"), "{problems:?}");
}

#[test]
fn options_of_a_file_are_checked() {
    let found = problems(
        r#"[[files.wells]]
path = "w.csv"
columns = { water_levl_m = "swl", quality.arsenic_mg_l = "As", arsenic_mg_l = "As2", depth_m = 4 }
set = { outcome = 3 }
missing = ["NA", -9, {}]
missing_in = { water_level_m = 0, outcom = "x" }
dates = "day frist"
decimal = "semicolon"
words = { Yes = "in use", No = "drie" }
accuracy_m = 0
datum = "Arc 1961"
zone = "37"
subtract = { water_level_m = "reference_level", outcome = "x" }
delimiter = ";"
"#,
        &[("w.csv", "")],
    );
    let found: Vec<_> = found.iter().filter_map(|p| p.strip_prefix("survey.toml:")).collect();
    assert_eq!(
        found,
        [
            "6:13+12 Error unknown-key: unknown key water_levl_m in columns",
            "6:64+12 Error repeated-key: quality.arsenic_mg_l is written twice in columns",
            "6:96+1 Error wrong-type: depth_m is a number, where text is expected",
            "16:49+7 Error not-a-quantity: nothing can be taken from outcome, which is no number",
            "7:19+1 Error wrong-type: outcome is a number, where text is expected",
            "8:22+2 Error wrong-type: missing is a table, where text is expected",
            "9:35+6 Error unknown-key: unknown key outcom in missing_in",
            "10:9+11 Error unknown-word: dates = \"day frist\" is not understood",
            "11:11+11 Error unknown-word: decimal = \"semicolon\" is not understood",
            "12:32+6 Error unknown-word: \"No\" is to be read as \"drie\", which is not understood",
            "13:14+1 Error out-of-range: accuracy_m = 0 is not possible",
            "14:9+0 Error unknown-datum: datum \"Arc 1961\" is not a datum known here",
            "15:8+0 Error bad-zone: zone \"37\" does not say whether it is north or south of the equator",
            "17:1+9 Error unknown-key: unknown key delimiter in [[files.wells]]",
        ]
    );
}

#[test]
fn options_of_a_file_reach_its_reader() {
    let text = r#"[files]
[[files.wells]]
path = "w.csv"
columns = { quality.ec_us_cm = "EC", water_level_m = "swl", from_peg.bearing_deg = "brg" }
missing = ["NA", -9]
missing_in = { water_level_m = [0], depth_m = "?" }
dates = "month first"
decimal = "comma"
words = { "Passed" = "in use", "???" = "unknown" }
subtract = { water_level_m = "reference_level" }
"#;
    let toml = super::super::toml_text::TomlText::new(&"survey.toml".into(), text);
    let mut problems = crate::diag::Problems::new();
    let (table, _) = toml.parse(&mut problems);
    let mut top = super::super::toml_table::Table::top(&toml, &table);
    let mut section = top.section("files", &mut problems).unwrap();
    let files = super::super::file_options::files(&mut section, RecordKind::Well, &mut problems);
    assert!(problems.is_empty(), "{problems:?}");
    let TableFile { columns, missing, missing_in, dates, decimal, words, subtract, .. } = &files[0];
    let heading = |key: &str| columns.get(key).map(|c| c.value.as_str());
    assert_eq!(heading("quality.ec_us_cm"), Some("EC"));
    assert_eq!(heading("water_level_m"), Some("swl"));
    assert_eq!(heading("from_peg.bearing_deg"), Some("brg"));
    assert_eq!(missing.iter().map(|m| m.value.as_str()).collect::<Vec<_>>(), ["NA", "-9"]);
    assert_eq!(
        (missing_in["water_level_m"][0].value.as_str(), missing_in["depth_m"][0].value.as_str()),
        ("0", "?")
    );
    assert_eq!(dates.as_ref().map(|d| d.value), Some(DateOrder::MonthFirst));
    assert_eq!(decimal.as_ref().map(|d| d.value), Some(DecimalMark::Comma));
    assert_eq!(words["Passed"].value, "in use");
    assert_eq!(subtract["water_level_m"].value, "reference_level");
    assert_eq!(subtract["water_level_m"].from.to_string(), "survey.toml:10");
}

#[test]
fn words_of_the_survey_turn_theirs_into_ours_and_the_original_is_kept() {
    let csv = "type,lat,lon\nTakataka,-9.412,39.281\n";
    let files = "[[files.hazards]]\npath = \"h.csv\"\ncolumns = { kind = \"type\" }\nwords = { takataka = \"waste dump\" }\n";
    let s = read(&format!("{PEG}{files}"), &[("h.csv", csv)]).0.unwrap();
    assert_eq!(
        (s.hazards[0].kind, s.hazards[0].written_as.as_deref()),
        (HazardKind::WasteDump, Some("Takataka"))
    );
    let csv = "name,lat,lon,status\na,-9.412,39.281,ipo\n";
    let files = "[[files.wells]]\npath = \"w.csv\"\nwords = { ipo = \"in use\" }\n";
    let s = read(&format!("{PEG}{files}"), &[("w.csv", csv)]).0.unwrap();
    assert_eq!(s.wells[0].outcome.as_ref().unwrap().value, WellOutcome::InUse);
}
