//! A page as Markdown.

use super::page::{Page, Part, Table};
use crate::report::markdown::escape;

pub(super) fn written(page: &Page) -> String {
    let mut text = format!("# {}\n", escape(&page.title));
    let list = |all: &[String], mark: &str| -> String {
        all.iter().map(|words| format!("- {mark}{}\n", escape(words))).collect()
    };
    for part in &page.parts {
        text.push('\n');
        match part {
            Part::Lead(words) | Part::Paragraph(words) => text.push_str(&format!("{}\n", escape(words))),
            Part::Heading(words) => text.push_str(&format!("## {}\n", escape(words))),
            Part::Items(all) => text.push_str(&list(all, "")),
            Part::Warnings(all) => text.push_str(&list(all, "**Note:** ")),
            Part::Table(t) | Part::Reliability(t, _) => table(&mut text, t),
        }
    }
    text.push_str(&format!("\n---\n\n{}\n", escape(&page.footer)));
    text
}

fn table(text: &mut String, table: &Table) {
    let line = |cells: &[String]| {
        let cells: Vec<String> = cells.iter().map(|c| escape(c)).collect();
        format!("| {} |\n", cells.join(" | "))
    };
    text.push_str(&line(&table.heads));
    let marks: Vec<&str> = (0..table.heads.len()).map(|k| if k == 0 { "---" } else { "---:" }).collect();
    text.push_str(&format!("| {} |\n", marks.join(" | ")));
    table.rows.iter().for_each(|row| text.push_str(&line(row)));
}
