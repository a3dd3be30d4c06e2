//! What holds of every table.

use std::collections::BTreeMap;

use proptest::prelude::*;

use super::super::super::{Cell, DateOrder, DecimalMark};
use super::*;

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
