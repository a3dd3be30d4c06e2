//! What each untidy habit of real tables becomes, and what is said of it.

mod headings;
mod promises;
mod values;

use super::super::{CellValue, Seen};
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
fn semicolons_and_tabs_are_found_by_looking() {
    for text in ["name;depth_m\na;14\n", "name\tdepth_m\na\t14\n", "sep=;\nname;depth_m\na;14\n"] {
        assert_eq!(numbers(&wells(&plain(), text).0, "depth_m"), [14.0], "{text:?}");
    }
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
