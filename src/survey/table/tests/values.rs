//! What single cells become.

use std::collections::BTreeMap;

use jiff::civil::date;

use super::super::super::{DateOrder, DecimalMark};
use super::*;

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
fn a_number_too_great_after_its_unit_was_turned_is_refused() {
    let (_, problems) = wells(&plain(), "depth (km),name\n1e308,a\n");
    assert_eq!(problems[0].code, "unreadable-number");
}
