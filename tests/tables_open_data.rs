//! Other people's tables, read as they were published: nothing cooked
//! beforehand, nothing lost on the way.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp)]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use forebore::diag::{Level, Origin, Problem, Problems};
use forebore::survey::table::{TableRead, decode, read_table};
use forebore::survey::{Cell, CellValue, DateOrder, RawRecord, RecordKind, Seen, TableFile};

fn said<T>(value: T) -> Seen<T> {
    Seen::new(value, Origin::new("survey.toml", 1, 1))
}

fn text(value: &str) -> Cell {
    Cell { value: CellValue::Text(value.to_owned()), at: Origin::new("survey.toml", 1, 1), length: 0 }
}

fn mapped(columns: &[(&str, &str)]) -> TableFile {
    let columns = columns.iter().map(|(k, h)| ((*k).to_owned(), said((*h).to_owned()))).collect();
    TableFile { columns, ..TableFile::plain(said("table.csv".to_owned())) }
}

fn read(path: &Path, file: &TableFile, kind: RecordKind) -> (TableRead, Vec<Problem>) {
    let bytes = std::fs::read(path).unwrap();
    let name: Arc<str> = path.file_name().unwrap().to_string_lossy().into();
    let mut problems = Problems::new();
    let text = decode(&bytes, &name, &mut problems).unwrap();
    let read = read_table(file, &text, &name, kind, &mut problems);
    (read, problems.into_iter().collect())
}

/// Problems that are more than a note or a repeated row.
fn serious(problems: &[Problem]) -> Vec<String> {
    let more = problems.iter().filter(|p| p.level > Level::Note && p.code != "repeated-row");
    more.map(|p| format!("{}:{} {}: {}", p.at, p.at.column, p.code, p.message)).collect()
}

fn repeated(problems: &[Problem]) -> usize {
    problems.iter().filter(|p| p.code == "repeated-row").count()
}

fn number(record: &RawRecord, key: &str) -> Option<f64> {
    match record.cells.get(key).map(|c| &c.value) {
        Some(CellValue::Number(n)) => Some(*n),
        None => None,
        other => panic!("{key}: {other:?}"),
    }
}

/// Rows of the file by the line each starts on, as the csv library has it.
fn by_line(path: &Path) -> BTreeMap<usize, BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(path).unwrap();
    let headings = reader.headers().unwrap().clone();
    let row = |record: csv::StringRecord| {
        let line = usize::try_from(record.position().unwrap().line()).unwrap();
        let cells = headings.iter().zip(record.iter()).map(|(h, c)| (h.to_owned(), c.to_owned()));
        (line, cells.collect())
    };
    reader.into_records().map(|r| row(r.unwrap())).collect()
}

fn stated(cell: &str) -> Option<&str> {
    Some(cell).filter(|c| *c != "NA")
}

fn parsed(cell: &str) -> Option<f64> {
    stated(cell).map(|c| c.parse().unwrap())
}

fn day(record: &RawRecord, form: &str) -> Option<String> {
    match record.cells.get("measured").map(|c| &c.value) {
        Some(CellValue::Date(day)) => Some(day.strftime(form).to_string()),
        None => None,
        other => panic!("{other:?}"),
    }
}

#[test]
fn waste_sites_are_hazards_of_the_kind_the_survey_sets() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_waste_sites/wastedata.csv");
    let mut file = mapped(&[]);
    file.set = [("kind".to_owned(), text("waste dump"))].into();
    let (mut read, problems) = read(&path, &file, RecordKind::Hazard);
    read.records.iter_mut().for_each(|r| file.fill(r));
    assert_eq!(serious(&problems), Vec::<String>::new());
    assert_eq!(read.records.len() + repeated(&problems), 3781);
    let rows = by_line(&path);
    let places: BTreeSet<_> =
        rows.values().map(|r| (r["latitude"].clone(), r["longitude"].clone())).collect();
    assert_eq!(read.records.len(), places.len());
    for record in &read.records {
        let row = &rows[&record.from.line];
        assert_eq!(number(record, "lat"), parsed(&row["latitude"]));
        assert_eq!(number(record, "lon"), parsed(&row["longitude"]));
        assert_eq!(record.cells["kind"], text("waste dump"));
    }
}

fn pumping_tests() -> TableFile {
    let mut file = mapped(&[("water_level_m", "static_water_level"), ("depth_m", "total_hole_depth")]);
    file.subtract = [("water_level_m".to_owned(), said("reference_level".to_owned()))].into();
    let zero = || vec![said("0".to_owned())];
    file.missing_in = [("water_level_m".to_owned(), zero()), ("depth_m".to_owned(), zero())].into();
    file
}

#[test]
fn pumping_tests_are_wells_with_levels_below_ground() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_pumping_tests/pumpingtests.csv");
    let (read, problems) = read(&path, &pumping_tests(), RecordKind::Well);
    assert_eq!(
        serious(&problems),
        ["pumpingtests.csv:1:729 unit-not-stated: \"max_pumping_rate\" says no unit, so it was left aside"]
    );
    assert_eq!(read.records.len(), 203);
    let rows = by_line(&path);
    let known = |cell: &str| parsed(cell).filter(|n| *n != 0.0);
    for record in &read.records {
        let row = &rows[&record.from.line];
        let level = known(&row["static_water_level"]);
        let expected = level.zip(parsed(&row["reference_level"])).map(|(level, rim)| level - rim);
        assert_eq!(number(record, "water_level_m"), expected, "line {}", record.from.line);
        assert_eq!(number(record, "depth_m"), known(&row["total_hole_depth"]));
        assert_eq!(day(record, "%Y-%m-%d").as_deref(), stated(&row["date_of_test"]));
    }
    let levels = read.records.iter().filter(|r| r.cells.contains_key("water_level_m")).count();
    assert_eq!(levels, 195, "3 levels are zeros, and 5 tests give no reference level");
}

#[test]
fn an_origin_is_the_cell_itself_even_after_line_breaks_inside_cells() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_pumping_tests/pumpingtests.csv");
    let whole = std::fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = whole.split('\n').collect();
    let (read, _) = read(&path, &pumping_tests(), RecordKind::Well);
    let rows = by_line(&path);
    assert!(rows.len() + 1 < lines.len() - 1, "some cells hold line breaks");
    for record in &read.records {
        let row = &rows[&record.from.line];
        for (key, heading) in [("lat", "latitude"), ("name", "name"), ("water_level_m", "static_water_level")]
        {
            let Some(cell) = record.cells.get(key) else { continue };
            let line = lines[cell.at.line - 1];
            let there: String = line.chars().skip(cell.at.column - 1).take(cell.length).collect();
            assert_eq!(
                there.trim_matches('"').trim(),
                row[heading].trim().lines().next().unwrap_or_default()
            );
        }
    }
}

#[test]
fn water_points_are_wells_whose_state_is_kept_as_written() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_waterpoints/waterpointfunctionality.csv");
    let (read, problems) = read(&path, &mapped(&[]), RecordKind::Well);
    assert_eq!(serious(&problems), Vec::<String>::new());
    assert_eq!(read.records.len() + repeated(&problems), 11_409);
    let count = |state: &str| {
        let is = |r: &&RawRecord| r.cells["outcome"].value == CellValue::Text(state.to_owned());
        read.records.iter().filter(is).count()
    };
    let rows = by_line(&path);
    let distinct: BTreeSet<_> = rows
        .values()
        .map(|r| (r["functional_status"].clone(), r["latitude"].clone(), r["longitude"].clone()))
        .collect();
    assert_eq!(read.records.len(), distinct.len());
    for state in ["Functional", "Not functional", "No longer exists or abandoned"] {
        assert_eq!(count(state), distinct.iter().filter(|d| d.0 == state).count(), "{state}");
    }
}

#[test]
fn month_first_dates_are_asked_about_and_read_once_stated() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_waterpoints/handpumpstatus.csv");
    let mut file = mapped(&[("measured", "visit_date"), ("depth_m", "install_depth")]);
    let (_, asked) = read(&path, &file, RecordKind::Well);
    assert_eq!(
        serious(&asked),
        [
            "handpumpstatus.csv:2:1 date-order: \"2/6/2020\" may be two days: the dates of this column look month first"
        ]
    );
    file.dates = Some(said(DateOrder::MonthFirst));
    let (read, problems) = read(&path, &file, RecordKind::Well);
    assert_eq!(serious(&problems), Vec::<String>::new());
    assert_eq!(read.records.len(), 57);
    let first = &read.records[0].cells;
    assert_eq!(first["measured"].value, CellValue::Date(jiff::civil::date(2020, 2, 6)));
    assert_eq!(first["depth_m"].value, CellValue::Number(32.0));
}

#[test]
fn water_points_with_repeated_ids_are_all_read() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_waterpoints/waterpointstatus.csv");
    let (read, problems) = read(&path, &mapped(&[("name", "waterpoint_id")]), RecordKind::Well);
    assert_eq!(serious(&problems), Vec::<String>::new());
    assert_eq!(read.records.len(), 1425);
}

#[test]
fn drilling_records_are_read_across_line_breaks_and_misspelt_headings() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("malawi_drilling/drillingdata.csv");
    let file = mapped(&[("depth_m", "borehole_depth_miters"), ("measured", "date_of_drilling")]);
    let (read, problems) = read(&path, &file, RecordKind::Well);
    assert_eq!(read.records.len(), 152);
    assert!(read.left_out.is_empty());
    assert!(problems.iter().all(|p| p.level <= Level::Warning), "{:?}", serious(&problems));
    let rows = by_line(&path);
    for record in &read.records {
        let row = &rows[&record.from.line];
        assert_eq!(number(record, "depth_m"), parsed(&row["borehole_depth_miters"]));
        assert_eq!(number(record, "lon"), parsed(&row["longtude"]));
        assert_eq!(day(record, "%d/%m/%Y").as_deref(), stated(&row["date_of_drilling"]));
    }
}

#[test]
fn grid_references_take_their_zone_and_datum_from_the_survey() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("kwale_kenya/handpump_locations_arc1960_wgs84.csv");
    let mut file = mapped(&[("easting_m", "x_arc1960"), ("northing_m", "y_arc1960"), ("name", "pumpid")]);
    file.datum = Some(said("Arc 1960".to_owned()));
    file.zone = Some(said("37S".to_owned()));
    let (mut read, problems) = read(&path, &file, RecordKind::Well);
    read.records.iter_mut().for_each(|r| file.fill(r));
    assert_eq!(serious(&problems), Vec::<String>::new());
    assert_eq!(read.records.len(), 299);
    let rows = by_line(&path);
    for record in &read.records {
        let row = &rows[&record.from.line];
        assert_eq!(number(record, "easting_m"), parsed(&row["x_arc1960"]));
        assert_eq!(number(record, "northing_m"), parsed(&row["y_arc1960"]));
        assert_eq!(record.cells["datum"], text("Arc 1960"));
        assert_eq!(record.cells["zone"], text("37S"));
        assert!(!record.cells.contains_key("lat") && !record.cells.contains_key("lon"));
    }
}

#[test]
fn water_samples_come_in_the_units_the_survey_states_for_bare_headings() {
    let Some(data) = common::open_data() else { return };
    let path = data.join("kwale_kenya/water_samples_2016.csv");
    let file = mapped(&[
        ("name", "localization"),
        ("quality.ec_us_cm", "conductivity"),
        ("quality.arsenic_mg_l", "As (ug/L)"),
        ("quality.nitrate_mg_l", "NO3 (mg/L)"),
        ("quality.fluoride_mg_l", "F (mg/L)"),
        ("quality.iron_mg_l", "Fe (mg/L)"),
        ("quality.manganese_mg_l", "Mn (ug/L)"),
    ]);
    let (read, problems) = read(&path, &file, RecordKind::Well);
    assert_eq!(serious(&problems), Vec::<String>::new());
    assert_eq!(read.records.len(), 157);
    let rows = by_line(&path);
    let close = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-12 * b.abs(),
        (a, b) => a == b,
    };
    for record in &read.records {
        let row = &rows[&record.from.line];
        let arsenic = parsed(&row["As"]).map(|ug| ug / 1000.0);
        assert!(close(number(record, "quality.arsenic_mg_l"), arsenic));
        assert_eq!(number(record, "quality.nitrate_mg_l"), parsed(&row["NO3"]));
        assert_eq!(number(record, "quality.ec_us_cm"), parsed(&row["conductivity"]));
        assert_eq!(number(record, "easting_m"), parsed(&row["utm_x"]));
        assert_eq!(day(record, "%Y-%m-%dT00:00:00Z").as_deref(), stated(&row["date"]));
    }
}
