//! Maps and rows with faults: each is named with its place; none is lost.

use std::sync::Arc;

use forebore::diag::Problems;
use forebore::survey::plain::PlainTable;
use forebore::tune::records::{Dates, Forecast, Given, read_map, read_records};
use proptest::prelude::*;

use super::{PLACE, Trial, grid};

const SUCCESS: &str = "[success]\nyes = { what = [\"yes\"] }\nno = { what = [\"no\"] }\n";

fn success(table: &str, map: &str) -> Trial {
    Trial::new("t.csv", table, map)
}

fn few() -> String {
    grid(12, |i, _, _| if i % 3 == 0 { "no".to_owned() } else { "yes".to_owned() })
}

#[test]
fn every_problem_of_a_map_is_told_at_once_with_its_line() {
    let map = "mising = [\"NA\"]\nneighbours_from_m = -5\ndates = \"day last\"\n[place]\nlat = \"lat\"\nlong = \"lon\"\n\
               [success]\nyes = { what = [\"yes\"] }\n[depth_to_water]\ncolumn = 4\nunit = \"fathom\"\n\
               [quality.iron]\ncolumn = \"what\"\nunit = \"m\"\nabove = 1\n";
    let told = success(&few(), map).fails(&["--forecast", "success"]);
    for wanted in [
        "map.toml:1:1: unknown key mising",
        "Did you mean missing?",
        "map.toml:2:21: neighbours_from_m is below zero",
        "map.toml:3:9: \"day last\" is no dates known here",
        "map.toml:6:1: unknown key place.long",
        "place has no lon",
        "success does not say what means no",
        "map.toml:10:10: depth_to_water.column is a number",
        "map.toml:11:8: \"fathom\" is no unit known here",
        "map.toml:14:8: \"m\" is no unit known here",
    ] {
        assert!(told.contains(wanted), "{wanted}\n{told}");
    }
}

#[test]
fn a_column_known_only_afterwards_is_refused_as_a_predictor() {
    let table = few().replace("lat,lon,day,what", "lat,lon,final_height,what");
    let map = "known_only_after = [\"final_height\"]\n[place]\nlat = \"lat\"\nlon = \"lon\"\n\
               elevation = { column = \"final_height\", unit = \"m\" }\n"
        .to_owned()
        + SUCCESS;
    let told = success(&table, &map).fails(&["--forecast", "success"]);
    assert!(told.contains("map.toml:5:24: \"final_height\" is used for the elevation"), "{told}");
    assert!(told.contains("known-only-after") && told.contains("map.toml:1)"), "{told}");
    let keep = format!("known_only_after = [\"day\"]\n{PLACE}[keep]\nday = [\"2001-01-01\"]\n{SUCCESS}");
    assert!(success(&few(), &keep).fails(&["--forecast", "success"]).contains("which rows are looked at"));
}

#[test]
fn what_is_forecast_is_refused_as_a_predictor() {
    let map = format!("{PLACE}elevation = \"what\"\n[depth_to_water]\ncolumn = \"what\"\nunit = \"m\"\n");
    let told = success(&few(), &map).fails(&["--forecast", "depth-to-water"]);
    assert!(told.contains("outcome-as-predictor") && told.contains("map.toml:5:13"), "{told}");
}

#[test]
fn a_misspelt_heading_gets_a_suggestion_even_where_it_is_not_used() {
    let map =
        format!("known_only_after = [\"wat\"]\n{PLACE}{SUCCESS}").replace("lon = \"lon\"", "lon = \"lom\"");
    let told = success(&few(), &map).fails(&["--forecast", "success"]);
    assert!(told.contains("no column \"lom\"") && told.contains("Did you mean \"lon\"?"), "{told}");
    assert!(told.contains("no column \"wat\""), "{told}");
}

#[test]
fn a_forecast_that_the_map_has_no_column_for_is_refused() {
    let t = success(&few(), &format!("{PLACE}{SUCCESS}"));
    for (forecast, wanted) in [
        ("depth-to-water", "[depth_to_water]"),
        ("refusal", "[hole_depth]"),
        ("quality:arsenic", "[quality.arsenic]"),
    ] {
        let told = t.fails(&["--forecast", forecast]);
        assert!(told.contains("map-lacks") && told.contains(wanted), "{told}");
    }
    let undated = success(&few(), &format!("{PLACE}{SUCCESS}").replace("date = \"day\"\n", ""));
    assert!(undated.fails(&["--forecast", "success", "--leave-out", "forward"]).contains("the date"));
}

#[test]
fn options_that_are_not_known_are_refused() {
    let t = success(&few(), &format!("{PLACE}{SUCCESS}"));
    assert!(t.fails(&["--forecast", "luck"]).contains("use depth-to-water"));
    assert!(t.fails(&["--forecast", "success", "--leave-out", "blocks:0"]).contains("blocks:METRES"));
    assert!(t.fails(&["--forecast", "success", "--region", "moon"]).contains("no region is called moon"));
}

#[test]
fn every_row_is_forecast_or_skipped_with_its_line_and_why() {
    let table = "\u{feff}lat;lon;day;note;what\n\
                 -12,00;33,00;2001-01-01;\"a\nb\";5,5\n\
                 -12,01;33,00;2001-01-02;;0\n\
                 -12,02;33,00;2001-01-03;;-9\n\
                 -12,03;33,00;2001-01-04;;deep\n\
                 -12,04;33,00;2001-01-05;;900\n\
                 99,00;33,00;2001-01-06;;6\n\
                 ;33,00;2001-01-07;;6\n\
                 0;0;2001-01-08;;6\n\
                 -12,05;33,00;2001-01-09;;7,25\n\
                 -12,05;33,00;2001-01-09;;7,25\n\
                 -12,06;33,00;2001-01-10;;\n\
                 -12,07;33,00;2001-01-11\n\
                 -12,08;33,00;2001-01-12;;8\n";
    let map = format!(
        "missing = [\"-9\"]\n{PLACE}[depth_to_water]\ncolumn = \"what\"\nunit = \"m\"\nmissing = [\"0\"]\nplausible = [0, 100]\n"
    );
    let r = success(table, &map).json(&["--forecast", "depth-to-water"]);
    assert_eq!(r["n"], 3);
    let skipped: Vec<(u64, &str)> = r["skipped"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| (s["row"].as_u64().unwrap(), s["why"].as_str().unwrap()))
        .collect();
    let rows: Vec<u64> = skipped.iter().map(|s| s.0).collect();
    assert_eq!(rows, [4, 5, 6, 7, 8, 9, 10, 12, 13, 14], "{skipped:?}");
    for (i, wanted) in [
        "no depth to water",
        "no depth to water",
        "depth to water is not a number",
        "depth to water is not plausible: 900",
        "the place is not on Earth",
        "no latitude",
        "no place",
        "repeats an earlier row: row 11",
        "no depth to water",
        "unreadable row",
    ]
    .iter()
    .enumerate()
    {
        assert!(skipped[i].1.contains(wanted), "{wanted}: {:?}", skipped[i]);
    }
}

#[test]
fn a_reference_point_is_subtracted_where_it_can_be_one() {
    let table =
        "lat,lon,what,ref,hole\n-12,33,5,0.5,30\n-12.01,33,5,59,30\n-12.02,33,5,,30\n-12.03,33,31,0.5,31\n";
    let level = "[place]\nlat = \"lat\"\nlon = \"lon\"\n[hole_depth]\ncolumn = \"hole\"\nunit = \"m\"\n\
                 [depth_to_water]\ncolumn = \"what\"\nunit = \"m\"\n";
    let strict = format!("{level}subtract = {{ column = \"ref\", unit = \"m\", plausible = [0, 2] }}\n");
    let told = success(table, &strict).fails(&["--forecast", "depth-to-water"]);
    assert!(told.contains("no record can be forecast from others; 4 rows were skipped"), "{told}");
    let lenient = strict.replace("[0, 2] }", "[0, 2], otherwise = 0 }");
    let r = success(table, &lenient).json(&["--forecast", "depth-to-water"]);
    assert_eq!(r["n"], 3);
    assert!(
        r["skipped"][0]["why"].as_str().unwrap().starts_with("the water stands no higher than the bottom")
    );
}

#[test]
fn a_row_that_says_yes_and_no_counts_as_neither() {
    let table = "lat,lon,issues,any\n-12,33,\"Salinity, Odor\",Yes\n-12.01,33,Colour,Yes\n-12.02,33,NA,No\n\
                 -12.03,33,Salinity,No\n-12.04,33,NA,NA\n-12.05,33,desalinity,Yes\n";
    let map = "missing = [\"NA\"]\n[place]\nlat = \"lat\"\nlon = \"lon\"\n[quality.salinity]\n\
               yes = { issues = [\"salinity\"] }\nno = { any = [\"No\"] }\notherwise = \"no\"\n";
    let r = success(table, map).json(&["--forecast", "quality:salinity"]);
    assert_eq!((r["n"].as_u64(), r["base_rate"].as_f64()), (Some(4), Some(0.25)));
    assert_eq!(r["skipped"][0]["why"], "the row says both yes and no to salinity");
    assert_eq!(r["skipped"][1]["why"], "no salinity");
}

#[test]
fn files_that_hold_nothing_or_no_table_are_refused() {
    let map = format!("{PLACE}{SUCCESS}");
    for (table, wanted) in [
        (&b""[..], "empty"),
        (b"lat,lon,day,what\n", "the table holds no record"),
        (b"PK\x03\x04 nonsense", "workbook"),
        (b"lat,lon,day,what\n-12,33,2001-01-01,yes\n", "no record can be forecast"),
        (b"lat,lon,lat,what,day\n-12,33,1,yes,1\n", "two columns"),
    ] {
        let told = Trial::new("t.csv", table, &map).fails(&["--forecast", "success"]);
        assert!(told.contains(wanted), "{wanted}\n{told}");
    }
    let told = Trial::new("t.geojson", "{\"type\":", &map).fails(&["--forecast", "success"]);
    assert!(told.contains("not-json"), "{told}");
    assert!(Trial::new("t.csv", few(), "= [").fails(&["--forecast", "success"]).contains("map.toml:1"));
}

#[test]
fn strange_numbers_and_places_give_a_result_or_a_fault_and_never_a_crash() {
    let depths = ["1e300", "-1e300", "1e-300", "-0", "0", "3", "3", "3", "1e9", "12"];
    let places = ["-90", "90", "0.000001", "-12", "-12", "-12", "12", "45", "89.999999", "-45"];
    let mut table = String::from("lat,lon,day,what\n");
    for (i, (depth, lat)) in depths.iter().zip(places).enumerate() {
        table.push_str(&format!("{lat},{},2001-01-{:02},{depth}\n", 36 * i as i32 - 180, i + 1));
    }
    let map = format!("{PLACE}[depth_to_water]\ncolumn = \"what\"\nunit = \"m\"\n");
    let t = Trial::new("t.csv", &table, &map);
    for leave in ["one", "blocks:1000", "forward"] {
        let out = t.run(&["--forecast", "depth-to-water", "--leave-out", leave, "--format", "json"]);
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(matches!(out.status.code(), Some(0 | 2)), "{said}");
        assert!(!said.contains("panicked"), "{said}");
    }
    let bounded = map + "plausible = [0, 100]\n";
    let r = Trial::new("t.csv", &table, &bounded).json(&["--forecast", "depth-to-water"]);
    assert!(r["mae_m"].as_f64().unwrap().is_finite());
}

proptest! {
    /// Whatever stands in a map or a table, there is a result or a fault.
    #[test]
    fn no_map_and_no_table_crashes_the_readers(
        map in "((place|lat|lon|success|yes|no|keep|quality|a|column|unit|=|\\.|\\[|\\]|\\{|\\}|\"a\"|\"m\"|1|-9|\n| ){1}){0,60}",
        table in "(a|b|,|;|\"|\n|1|-12|33|é|<|\t){0,60}",
    ) {
        let name: Arc<str> = "map.toml".into();
        let mut problems = Problems::new();
        let read = read_map(&name, &map, None, &mut problems);
        prop_assert!(read.is_some() || problems.any_error());
        let usable = "[place]\nlat = \"a\"\nlon = \"b\"\n[success]\nyes = { a = [\"1\"] }\notherwise = \"no\"\n";
        for text in [map.as_str(), usable] {
            let mut problems = Problems::new();
            let Some(map) = read_map(&name, text, None, &mut problems) else { continue };
            let Some(table) = PlainTable::csv(&table, &"t.csv".into(), &mut problems) else { continue };
            let given = Given { map_name: &name, dates: Dates::Unused };
            let read = read_records(&table, &map, &Forecast::Success, &given, &mut problems);
            prop_assert!(read.is_some() || problems.any_error());
        }
    }
}
