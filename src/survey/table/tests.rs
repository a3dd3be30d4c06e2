//! What each untidy habit of real tables becomes, and what is said of it.

use std::collections::BTreeMap;

use jiff::civil::date;
use proptest::prelude::*;

use super::super::{Cell, CellValue, DateOrder, DecimalMark, Seen};
use super::*;

fn said<T>(value: T) -> Seen<T> {
    Seen::new(value, Origin::new("survey.toml", 9, 3))
}

fn plain() -> TableFile {
    TableFile::plain(said("a.csv".to_owned()))
}

fn mapped(pairs: &[(&str, &str)]) -> TableFile {
    let columns = pairs.iter().map(|(k, h)| ((*k).to_owned(), said((*h).to_owned()))).collect();
    TableFile { columns, ..plain() }
}

fn read_as(file: &TableFile, text: &str, kind: RecordKind) -> (TableRead, Vec<Problem>) {
    let mut problems = Problems::new();
    let read = read_table(file, text, &"a.csv".into(), kind, &mut problems);
    (read, problems.into_iter().collect())
}

fn wells(file: &TableFile, text: &str) -> (TableRead, Vec<Problem>) {
    read_as(file, text, RecordKind::Well)
}

/// The values of one key, row by row.
fn values(read: &TableRead, key: &str) -> Vec<Option<CellValue>> {
    read.records.iter().map(|r| r.cells.get(key).map(|c| c.value.clone())).collect()
}

fn numbers(read: &TableRead, key: &str) -> Vec<f64> {
    let number = |v: Option<CellValue>| match v {
        Some(CellValue::Number(n)) => (n * 1e9).round() / 1e9,
        other => panic!("{key}: {other:?}"),
    };
    values(read, key).into_iter().map(number).collect()
}

/// Problems as `line:column level code: message`.
fn told(problems: &[Problem]) -> Vec<String> {
    let one = |p: &Problem| format!("{}:{} {:?} {}: {}", p.at.line, p.at.column, p.level, p.code, p.message);
    problems.iter().map(one).collect()
}

#[test]
fn a_plain_table_is_read_without_a_word() {
    let (read, problems) = wells(&plain(), "name,lat,lon,depth_m\nschool,-9.4,39.2,14\n");
    assert_eq!(told(&problems), Vec::<String>::new());
    assert_eq!(values(&read, "name"), [Some(CellValue::Text("school".to_owned()))]);
    assert_eq!(numbers(&read, "depth_m"), [14.0]);
    assert_eq!(read.records[0].from, Origin::new("a.csv", 2, 1));
    let depth = &read.records[0].cells["depth_m"];
    assert_eq!((depth.at.line, depth.at.column, depth.length), (2, 18, 2));
}

#[test]
fn columns_of_a_cell_are_counted_in_characters() {
    let (read, _) = wells(&plain(), "name,depth_m\npuits de l’école,14\n");
    assert_eq!(read.records[0].cells["depth_m"].at, Origin::new("a.csv", 2, 18));
}

#[test]
fn headings_are_known_apart_from_case_spaces_and_signs() {
    for heading in
        ["Water level (m)", "WATER-LEVEL_M", "water_level_m", "Water Level [m]", "WaterLevelM", "SWL (m)"]
    {
        let (read, problems) = wells(&plain(), &format!("lat,lon,{heading}\n-9,39,4.5\n"));
        assert_eq!(numbers(&read, "water_level_m"), [4.5], "{heading}");
        assert_eq!(told(&problems), Vec::<String>::new(), "{heading}");
    }
}

#[test]
fn lengths_in_the_heading_become_metres() {
    for (heading, metres) in [
        ("depth (ft)", 3.048),
        ("Depth_ft", 3.048),
        ("depth in feet", 3.048),
        ("depth [m]", 10.0),
        ("depth_miters", 10.0),
        ("depth cm", 0.1),
    ] {
        let (read, problems) = wells(&plain(), &format!("{heading},name\n10,a\n"));
        assert_eq!(numbers(&read, "depth_m"), [metres], "{heading}");
        assert_eq!(told(&problems), Vec::<String>::new(), "{heading}");
    }
}

#[test]
fn a_length_without_a_unit_is_taken_as_metres_and_said_so() {
    let (read, problems) = wells(&plain(), "lat,depth\n-9,10\n");
    assert_eq!(numbers(&read, "depth_m"), [10.0]);
    assert_eq!(
        told(&problems),
        ["1:0 Note taken-as-metres: taken as metres, for no unit is stated: \"depth\""]
    );
}

#[test]
fn flows_and_water_quality_come_in_the_units_of_their_keys() {
    let text = "yield (L/min),EC (mS/cm),As (µg/L),nitrate (mg/L as N)\n30,0.64,12,2\n";
    let (read, problems) = wells(&plain(), text);
    assert_eq!(numbers(&read, "yield_lps"), [0.5]);
    assert_eq!(numbers(&read, "quality.ec_us_cm"), [640.0]);
    assert_eq!(numbers(&read, "quality.arsenic_mg_l"), [0.012]);
    assert!((numbers(&read, "quality.nitrate_mg_l")[0] - 8.853).abs() < 0.001);
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn a_flow_or_quality_without_a_unit_is_left_aside_with_a_warning() {
    let (read, problems) = wells(&plain(), "name,As,yield\nschool,12,3\n");
    assert_eq!(values(&read, "quality.arsenic_mg_l"), [None]);
    assert_eq!(values(&read, "yield_lps"), [None]);
    assert_eq!(
        told(&problems),
        [
            "1:6 Warning unit-not-stated: \"As\" says no unit, so it was left aside",
            "1:9 Warning unit-not-stated: \"yield\" says no unit, so it was left aside",
        ]
    );
    assert_eq!(
        problems[0].help,
        "If it is in mg/L, map it: columns = { \"quality.arsenic_mg_l\" = \"As\" }; \
         else put the unit in brackets there."
    );
}

#[test]
fn the_survey_may_state_the_unit_of_a_column_it_maps() {
    let file = mapped(&[("arsenic_mg_l", "As (ug/L)"), ("quality.ec_us_cm", "conductivity")]);
    let (read, problems) = wells(&file, "As,conductivity\n12,640\n");
    assert_eq!(numbers(&read, "quality.arsenic_mg_l"), [0.012]);
    assert_eq!(numbers(&read, "quality.ec_us_cm"), [640.0]);
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn a_unit_that_does_not_fit_its_key_is_a_problem() {
    let (read, problems) = wells(&plain(), "name,depth (mg/L),water level (fathoms)\na,3,4\n");
    assert_eq!((values(&read, "depth_m"), values(&read, "water_level_m")), (vec![None], vec![None]));
    assert_eq!(
        told(&problems),
        [
            "1:6 Warning unit-does-not-fit: the unit in \"depth (mg/L)\" is none of depth_m, so it was left aside",
            "1:19 Warning unit-does-not-fit: \"fathoms\" in \"water level (fathoms)\" is not a unit known here, \
             so it was left aside",
        ]
    );
    let (_, problems) = wells(&mapped(&[("depth_m", "rate (L/s)")]), "rate (L/s)\n3\n");
    assert_eq!(problems[0].level, Level::Error);
    assert_eq!(problems[0].at, Origin::new("survey.toml", 9, 3));
}

#[test]
fn semicolons_and_tabs_are_found_by_looking() {
    for text in ["name;depth_m\na;14\n", "name\tdepth_m\na\t14\n", "sep=;\nname;depth_m\na;14\n"] {
        assert_eq!(numbers(&wells(&plain(), text).0, "depth_m"), [14.0], "{text:?}");
    }
}

#[test]
fn decimal_commas_are_read_where_the_numbers_show_them() {
    let text = "lat;depth (m);water level (m)\n-9.41231;12,5;3,25\n-9.41232;13;1,234\n";
    let (read, problems) = wells(&plain(), text);
    assert_eq!(numbers(&read, "lat"), [-9.41231, -9.41232]);
    assert_eq!(numbers(&read, "depth_m"), [12.5, 13.0]);
    assert_eq!(numbers(&read, "water_level_m"), [3.25, 1.234]);
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn a_comma_that_may_part_thousands_leaves_its_row_out() {
    let (read, problems) = wells(&plain(), "name;EC (uS/cm)\na;1,234\nb;640\n");
    assert_eq!(numbers(&read, "quality.ec_us_cm"), [640.0]);
    assert_eq!(told(&problems), ["2:3 LeftOut ambiguous-number: \"1,234\" may be 1.234 or 1234"]);
    assert_eq!(problems[0].length, 5);
    assert_eq!(
        problems[0].help,
        "State decimal = \"comma\" or decimal = \"point\" for the file, and part no thousands."
    );
    assert_eq!(read.left_out.len(), 1);
    assert_eq!(read.left_out[0].from.line, 2);
    assert_eq!(read.left_out[0].why, "\"1,234\" may be 1.234 or 1234");
}

#[test]
fn a_stated_decimal_mark_settles_it() {
    let file = TableFile { decimal: Some(said(DecimalMark::Comma)), ..plain() };
    let (read, _) = wells(&file, "name,depth_m\na,\"1,234\"\n");
    assert_eq!(numbers(&read, "depth_m"), [1.234]);
    let (_, problems) = wells(&file, "name,depth_m\na,12.5\n");
    assert_eq!(
        told(&problems),
        ["2:3 LeftOut other-decimal-mark: \"12.5\" has not the decimal mark of its column"]
    );
}

#[test]
fn a_quoted_decimal_comma_in_a_comma_table_waits_for_the_survey_to_say_so() {
    let (_, problems) = wells(&plain(), "name,depth_m\na,\"12,5\"\n");
    assert_eq!(
        told(&problems),
        ["2:3 LeftOut other-decimal-mark: \"12,5\" has not the decimal mark of its column"]
    );
}

#[test]
fn parted_thousands_leave_their_row_out() {
    let (_, problems) = wells(&plain(), "name;depth_m\na;1 234,5\n");
    assert_eq!(told(&problems), ["2:3 LeftOut thousands-parted: \"1 234,5\" parts thousands"]);
}

#[test]
fn missing_values_are_simply_not_there() {
    let text = "name,depth_m\na,NA\nb,\nc,n/a\nd,Unknown\ne,don't know\nf,null\n";
    let (read, problems) = wells(&plain(), text);
    assert_eq!(read.records.len(), 6);
    assert!(values(&read, "depth_m").iter().all(Option::is_none));
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn zero_and_minus_nine_are_numbers_unless_the_survey_says_otherwise() {
    let text = "name,depth_m,water_level_m\na,0,-9.0\nb,-,3\n";
    let (read, problems) = wells(&plain(), text);
    assert_eq!(numbers(&read, "depth_m"), [0.0]);
    assert_eq!(numbers(&read, "water_level_m"), [-9.0]);
    assert_eq!(told(&problems), ["3:3 LeftOut unreadable-number: \"-\" is not a number for depth_m"]);
    let file = TableFile {
        missing: vec![said("-9".to_owned()), said("-".to_owned())],
        missing_in: [("depth_m".to_owned(), vec![said("0".to_owned())])].into(),
        ..plain()
    };
    let (read, problems) = wells(&file, text);
    assert_eq!(values(&read, "depth_m"), [None, None]);
    assert_eq!(values(&read, "water_level_m"), [None, Some(CellValue::Number(3.0))]);
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn less_than_is_kept_for_water_quality_and_refused_elsewhere() {
    let (read, problems) = wells(&plain(), "name,As (ug/L),depth_m\na,< 0.5,3\nb,1,<3\n");
    assert_eq!(values(&read, "quality.arsenic_mg_l"), [Some(CellValue::Below(0.0005))]);
    assert_eq!(told(&problems), ["3:5 LeftOut unreadable-number: \"<3\" is not one number for depth_m"]);
}

#[test]
fn an_unreadable_cell_leaves_its_row_out_and_every_fault_is_told() {
    let text = "name,depth_m,water_level_m,pump_broken\na,about 12,nan,perhaps\nb,3,2,yes\n";
    let (read, problems) = wells(&plain(), text);
    assert_eq!(values(&read, "pump_broken"), [Some(CellValue::Bool(true))]);
    assert_eq!(
        told(&problems),
        [
            "2:3 LeftOut unreadable-number: \"about 12\" is not a number for depth_m",
            "2:12 LeftOut unreadable-number: \"nan\" is not a number for water_level_m",
            "2:16 LeftOut unreadable-yes-no: \"perhaps\" is neither yes nor no for pump_broken",
        ]
    );
    assert_eq!(read.left_out.len(), 1);
}

#[test]
fn a_unit_behind_a_number_is_read_and_may_not_contradict_the_heading() {
    let (read, problems) = wells(&plain(), "depth,name\n10 ft,a\n12m,b\n3 bags,c\n");
    assert_eq!(numbers(&read, "depth_m"), [3.048, 12.0]);
    assert!(told(&problems)[1].starts_with("4:1 LeftOut unreadable-number: \"3 bags\""), "{problems:?}");
    let (_, problems) = wells(&plain(), "depth (ft),name\n10 m,a\n");
    assert_eq!(
        told(&problems),
        ["2:1 LeftOut unit-does-not-fit: the unit of \"10 m\" is not that of its heading"]
    );
}

#[test]
fn degrees_with_letters_are_refused_with_the_way_to_write_them() {
    let (_, problems) = wells(&plain(), "lat,lon\n9.41 S,39.2\n");
    assert_eq!(told(&problems), ["2:1 LeftOut unreadable-number: \"9.41 S\" is not a number for lat"]);
    assert_eq!(problems[0].help, "Write decimal degrees, with - before south latitudes and west longitudes.");
}

#[test]
fn dates_are_read_in_the_order_stated() {
    let text = "name,measured\na,02/03/2026\nb,2026-03-02T08:00:00Z\nc,2 March 2026\n";
    let file = |order| TableFile { dates: Some(said(order)), ..plain() };
    let days = |order| values(&wells(&file(order), text).0, "measured");
    let day = |m, d| Some(CellValue::Date(date(2026, m, d)));
    assert_eq!(days(DateOrder::DayFirst), [day(3, 2), day(3, 2), day(3, 2)]);
    assert_eq!(days(DateOrder::MonthFirst), [day(2, 3), day(3, 2), day(3, 2)]);
}

#[test]
fn a_column_may_prove_that_days_come_first() {
    let (read, problems) = wells(&plain(), "name,measured\na,02/03/2026\nb,25/09/2018\n");
    assert_eq!(values(&read, "measured")[0], Some(CellValue::Date(date(2026, 3, 2))));
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn dates_of_an_open_order_are_asked_about_once() {
    let (read, problems) = wells(&plain(), "name,measured\na,02/03/2026\nb,04/05/2026\nc,2026-01-01\n");
    assert_eq!(
        told(&problems),
        [
            "2:3 Error date-order: \"02/03/2026\" may be two days: no date of this column shows whether the day \
          or the month comes first"
        ]
    );
    assert_eq!(problems[0].help, "State dates = \"day first\" or dates = \"month first\" at survey.toml:9.");
    assert_eq!((read.records.len(), read.left_out.len()), (1, 2));
}

#[test]
fn a_contradiction_and_a_month_first_column_are_asked_about_too() {
    let (_, problems) = wells(&plain(), "name,measured\na,13/02/2026\nb,2/13/2026\n");
    assert!(problems[0].message.contains("only be day first and others only month first"), "{problems:?}");
    let (_, problems) = wells(&plain(), "name,measured\na,2/13/2026\n");
    assert!(problems[0].message.contains("look month first"), "{problems:?}");
    assert_eq!(problems[0].level, Level::Error);
}

#[test]
fn what_is_no_day_leaves_its_row_out() {
    let (read, problems) = wells(&plain(), "name,measured\na,2026-02-30\nb,2-Mar-26\nc,2026-03-02\n");
    assert_eq!(
        told(&problems),
        [
            "2:3 LeftOut unreadable-date: \"2026-02-30\" is not a day",
            "3:3 LeftOut unreadable-date: \"2-Mar-26\" has no year of four digits",
        ]
    );
    assert_eq!(read.records.len(), 1);
}

#[test]
fn short_and_long_rows_are_left_out_and_the_rest_goes_on() {
    let (read, problems) = wells(&plain(), "name,lat,lon\na,-9\nb,-9,39,40\nc,-9,39\nd,-9,39,,\n");
    assert_eq!(
        told(&problems),
        [
            "2:3 LeftOut short-row: 2 cells in a table of 3 columns",
            "3:9 LeftOut long-row: 4 cells in a table of 3 columns",
        ]
    );
    assert_eq!(read.records.len(), 2);
    let lines: Vec<usize> = read.left_out.iter().map(|l| l.from.line).collect();
    assert_eq!(lines, [2, 3]);
}

#[test]
fn quoted_line_breaks_keep_lines_and_columns_right() {
    let (read, problems) = wells(&plain(), "name,depth_m\r\n\"north\r\nyard\",12\r\nb,x\r\n");
    assert_eq!(values(&read, "name"), [Some(CellValue::Text("north\r\nyard".to_owned()))]);
    let depth = &read.records[0].cells["depth_m"];
    assert_eq!((depth.at.line, depth.at.column), (3, 7));
    assert_eq!(told(&problems), ["4:3 LeftOut unreadable-number: \"x\" is not a number for depth_m"]);
}

#[test]
fn stray_quotes_never_swallow_rows_in_silence() {
    let (read, problems) = wells(&plain(), "name,depth_m\na,3\n\"b,4\nc,5\n");
    assert_eq!(
        told(&problems),
        [
            "3:1 LeftOut unclosed-quote: a quote opens here and never closes, so all rows below were lost in it"
        ]
    );
    assert_eq!((read.records.len(), read.left_out.len()), (1, 1));
    let (_, problems) = wells(&plain(), "name,depth_m\n\"a,3\nb\" c,4\n");
    assert_eq!(problems[0].code, "stray-quote");
}

#[test]
fn repeated_rows_are_kept_once() {
    let text = "name,lat,lon,note\na,-9,39,x\nb,-9,39,x\na,-9.0,39,y\n";
    let (read, problems) = wells(&plain(), text);
    assert_eq!(read.records.len(), 2);
    assert_eq!(told(&problems)[1], "4:1 Warning repeated-row: says the same as line 2; kept once");
}

#[test]
fn extra_columns_are_listed_in_one_note() {
    let (_, problems) = wells(&plain(), "name,colour,lat,smell\na,red,-9,none\n");
    assert_eq!(told(&problems), ["1:0 Note extra-columns: not used: \"colour\", \"smell\""]);
}

#[test]
fn two_columns_for_one_key_are_a_problem() {
    let (_, problems) = wells(&plain(), "depth (ft),Depth [ft]\n3,4\n");
    assert_eq!(
        told(&problems),
        ["1:12 Error duplicate-heading: \"depth (ft)\" and \"Depth [ft]\" both stand for depth_m"]
    );
    let (read, problems) = wells(&plain(), "total depth (m),depth_m\n3,4\n");
    assert_eq!(numbers(&read, "depth_m"), [4.0]);
    assert_eq!(
        told(&problems),
        ["1:1 Warning second-column: \"total depth (m)\" and \"depth_m\" both may stand for depth_m; \
          \"depth_m\" was used"]
    );
}

#[test]
fn a_mapped_heading_goes_before_a_known_one() {
    let (read, problems) = wells(&mapped(&[("depth_m", "final")]), "depth_m,final\n3,4\n");
    assert_eq!(numbers(&read, "depth_m"), [4.0]);
    assert_eq!(told(&problems), ["1:0 Note extra-columns: not used: \"depth_m\""]);
}

#[test]
fn a_mapped_heading_that_is_not_there_points_at_the_survey() {
    let (_, problems) = wells(&mapped(&[("depth_m", "total_dept")]), "total_depth,name\n3,a\n");
    assert_eq!(problems[0].at, Origin::new("survey.toml", 9, 3));
    assert_eq!(
        told(&problems),
        [
            "9:3 Error no-such-heading: a.csv has no heading \"total_dept\"",
            "1:0 Note extra-columns: not used: \"total_depth\""
        ]
    );
    assert_eq!(problems[0].help, "Did you mean \"total_depth\"? It has \"total_depth\", \"name\".");
}

#[test]
fn half_a_position_by_a_loose_name_is_no_position() {
    let (read, problems) = wells(&plain(), "lat,lon,distance\n-9,39,far\n");
    assert_eq!(read.records.len(), 1);
    assert_eq!(told(&problems), ["1:0 Note extra-columns: not used: \"distance\""]);
}

#[test]
fn a_mapped_position_puts_the_others_aside() {
    let file = mapped(&[("easting_m", "x_arc"), ("northing_m", "y_arc")]);
    let (read, _) = wells(&file, "x_arc,y_arc,lat,lon\n549738,9504281,-4.4,39.4\n");
    let keys: Vec<&str> = read.records[0].cells.keys().map(String::as_str).collect();
    assert_eq!(keys, ["easting_m", "northing_m"]);
}

#[test]
fn their_words_become_ours_and_the_kind_keeps_its_own() {
    let ours = |pairs: &[(&str, &str)]| -> BTreeMap<String, Seen<String>> {
        pairs.iter().map(|(a, b)| ((*a).to_owned(), said((*b).to_owned()))).collect()
    };
    let file = TableFile { words: ours(&[("Choo", "pit latrine"), ("none", "unknown")]), ..plain() };
    let (read, _) = read_as(&file, "kind,name\n CHOO ,Choo\nnone,b\nwell  pit,c\n", RecordKind::Hazard);
    let text = |t: &str| Some(CellValue::Text(t.to_owned()));
    assert_eq!(values(&read, "kind"), [text("pit latrine"), None, text("well pit")]);
    assert_eq!(values(&read, "written_as"), [text("CHOO"), None, None]);
    assert_eq!(values(&read, "name")[0], text("Choo"));
    let file = TableFile { words: ours(&[("Not functional", "yes"), ("Functional", "no")]), ..plain() };
    let (read, _) = wells(&file, "pump_broken\nNot functional\nfunctional\n");
    assert_eq!(values(&read, "pump_broken"), [Some(CellValue::Bool(true)), Some(CellValue::Bool(false))]);
}

#[test]
fn another_column_may_be_subtracted() {
    let mut file = mapped(&[("water_level_m", "swl"), ("depth_m", "deep")]);
    file.subtract = [("water_level_m".to_owned(), said("rim (cm)".to_owned()))].into();
    let text = "swl,rim (cm),deep\n11.5,50,20\n9,NA,21\n8,high,22\n";
    let (read, problems) = wells(&file, text);
    assert_eq!(values(&read, "water_level_m"), [Some(CellValue::Number(11.0)), None]);
    assert_eq!(
        told(&problems),
        ["4:3 LeftOut unreadable-number: \"high\" is not a number for water_level_m"]
    );
}

#[test]
fn subtracting_from_nothing_is_an_error_in_the_survey() {
    let mut file = plain();
    file.subtract = [("water_level_m".to_owned(), said("rim".to_owned()))].into();
    let (_, problems) = wells(&file, "name,rim\na,1\n");
    assert_eq!(problems[0].code, "nothing-to-subtract-from");
    assert_eq!(problems[0].at, Origin::new("survey.toml", 9, 3));
}

#[test]
fn a_row_of_tags_is_passed_over() {
    let (read, problems) = wells(&plain(), "name,lat,lon\n#loc+name,#geo+lat,#geo+lon\na,-9,39\n");
    assert_eq!(read.records.len(), 1);
    assert_eq!(told(&problems), ["2:1 Note tag-row: a row of tags (#…) under the headings was passed over"]);
}

#[test]
fn blank_rows_are_passed_over_with_a_note() {
    let (read, problems) = wells(&plain(), "name,lat\na,-9\n,\n\n , \n");
    assert_eq!(read.records.len(), 1);
    assert_eq!(
        told(&problems),
        ["3:1 Note blank-rows: 2 rows without anything in them were passed over, the first here"]
    );
}

#[test]
fn an_empty_file_and_unknown_headings_are_errors() {
    assert_eq!(told(&wells(&plain(), "").1), ["0:0 Error empty-file: the file is empty"]);
    let (_, problems) = wells(&plain(), "-9.4;39.2;14\n-9.5;39.3;15\n");
    assert_eq!(problems.last().unwrap().code, "no-known-heading");
    assert_eq!(problems.last().unwrap().level, Level::Error);
    let (_, problems) = wells(&plain(), "name,lat,lon\n");
    assert_eq!(told(&problems), ["0:0 Warning no-rows: the table has headings and no rows"]);
}

#[test]
fn a_number_too_great_after_its_unit_was_turned_is_refused() {
    let (_, problems) = wells(&plain(), "depth (km),name\n1e308,a\n");
    assert_eq!(problems[0].code, "unreadable-number");
}

/// Files that look like tables, so that more than their first line is tried.
fn table_like() -> impl Strategy<Value = String> {
    let heading = prop::sample::select(vec![
        "lat",
        "lon",
        "depth (ft)",
        "As (ug/L)",
        "measured",
        "kind",
        "name",
        "pump_broken",
        "x",
        "\"q",
        "yield",
    ]);
    let cell = prop::sample::select(vec![
        "1",
        "-9,5",
        "1,234",
        "1.234",
        "<0.5",
        "02/03/2026",
        "13/2/2026",
        "NA",
        "",
        "\"a\nb\"",
        "\"",
        "5 ft",
        "#x",
        "1e999",
        "yes",
        "é",
    ]);
    let row = prop::collection::vec(cell, 0..5);
    let separator = prop::sample::select(vec![",", ";", "\t"]);
    (prop::collection::vec(heading, 1..5), prop::collection::vec(row, 0..8), separator).prop_map(
        |(h, rows, s)| {
            let rows = rows.into_iter().map(|r| r.join(s));
            std::iter::once(h.join(s)).chain(rows).collect::<Vec<_>>().join("\n")
        },
    )
}

fn any_file() -> impl Strategy<Value = TableFile> {
    (any::<bool>(), any::<bool>()).prop_map(|(options, point)| {
        if !options {
            return plain();
        }
        let mut file = mapped(&[("depth_m", "depth (ft)"), ("name", "x")]);
        file.decimal = Some(said(if point { DecimalMark::Point } else { DecimalMark::Comma }));
        file.dates = Some(said(DateOrder::MonthFirst));
        file.missing = vec![said("-9".to_owned())];
        file.subtract = [("depth_m".to_owned(), said("yield".to_owned()))].into();
        file
    })
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..300), file in any_file()) {
        let mut problems = Problems::new();
        if let Some(text) = decode(&bytes, &"a.csv".into(), &mut problems) {
            read_as(&file, &text, RecordKind::Hazard);
        }
    }

    #[test]
    fn every_row_is_a_record_or_left_out_or_spoken_of(text in table_like(), file in any_file()) {
        for kind in [RecordKind::Hazard, RecordKind::Well] {
            let (read, problems) = read_as(&file, &text, kind);
            if problems.iter().any(|p| ["no-known-heading", "empty-file"].contains(&p.code)) {
                continue;
            }
            let layout = layout(&text);
            let all = rows(&text, layout.from, layout.delimiter, usize::MAX);
            let blank = |row: &&Vec<Field>| row.iter().all(|f| f.text.is_empty() && f.fault.is_none());
            let spoken_of = all.iter().skip(1).filter(blank).count()
                + problems.iter().filter(|p| ["repeated-row", "tag-row"].contains(&p.code)).count();
            prop_assert_eq!(read.records.len() + read.left_out.len() + spoken_of, all.len() - 1);
            let cells = read.records.iter().flat_map(|r| r.cells.values());
            let finite = |c: &Cell| match c.value {
                CellValue::Number(n) | CellValue::Below(n) => n.is_finite(),
                _ => true,
            };
            prop_assert!(cells.into_iter().all(finite));
        }
    }

    #[test]
    fn the_order_of_the_columns_makes_no_difference(
        rows in prop::collection::vec(
            prop::collection::vec(
                prop::sample::select(vec!["1", "12,5", "1,234", "02/03/2026", "13/02/2026", "NA", "", "yes", "<3"]),
                5,
            ),
            0..8,
        ),
        order in Just(vec![0usize, 1, 2, 3, 4]).prop_shuffle(),
    ) {
        let headings = ["name", "depth (ft)", "measured", "pump_broken", "iron (mg/L)"];
        let table = |order: &[usize]| {
            let line = |cells: &[&str]| order.iter().map(|i| cells[*i]).collect::<Vec<_>>().join(";");
            let mut lines = vec![line(&headings)];
            lines.extend(rows.iter().map(|r| line(r)));
            lines.join("\n")
        };
        let nowhere = |read: TableRead| -> Vec<BTreeMap<String, CellValue>> {
            let cells = |r: RawRecord| r.cells.into_iter().map(|(k, c): (String, Cell)| (k, c.value)).collect();
            read.records.into_iter().map(cells).collect()
        };
        let (plain_order, _) = wells(&plain(), &table(&[0, 1, 2, 3, 4]));
        let (other_order, _) = wells(&plain(), &table(&order));
        prop_assert_eq!(plain_order.left_out.len(), other_order.left_out.len());
        prop_assert_eq!(nowhere(plain_order), nowhere(other_order));
    }
}
