//! A page as text for a terminal of 80 columns.

use textwrap::{Options, WordSplitter, fill};

use super::page::{Page, Part, Table};

/// Columns that are filled at the most.
const WIDTH: usize = 79;
/// Spaces before a table, and between its columns where there is room and
/// where there is little.
const INDENT: &str = "  ";
const BETWEEN: [&str; 2] = ["   ", "  "];

pub(super) fn written(page: &Page) -> String {
    let mut text = String::new();
    let mut after_table = false;
    for part in &page.parts {
        if after_table && !matches!(part, Part::Heading(_)) {
            text.push('\n');
        }
        after_table = matches!(part, Part::Table(_) | Part::Reliability(..));
        match part {
            Part::Lead(words) | Part::Paragraph(words) => item(&mut text, "", words),
            Part::Heading(words) => text.push_str(&format!("\n{words}\n")),
            Part::Items(all) => all.iter().for_each(|words| item(&mut text, "- ", words)),
            Part::Warnings(all) => all.iter().for_each(|words| item(&mut text, "! ", words)),
            Part::Table(t) | Part::Reliability(t, _) => table(&mut text, t),
        }
    }
    text.push('\n');
    item(&mut text, "", &page.footer);
    text
}

fn item(text: &mut String, indent: &str, words: &str) {
    let blank = " ".repeat(indent.chars().count());
    let options = Options::new(WIDTH)
        .initial_indent(indent)
        .subsequent_indent(&blank)
        .word_splitter(WordSplitter::NoHyphenation);
    text.push_str(&fill(words, options));
    text.push('\n');
}

/// Columns under each other; where they do not fit, each row as a sentence.
fn table(text: &mut String, table: &Table) {
    let columns = table.heads.len();
    let lines = || std::iter::once(&table.heads).chain(&table.rows);
    let width = |k: usize| lines().filter_map(|l| l.get(k)).map(|c| c.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let cells = INDENT.len() + widths.iter().sum::<usize>();
    let fits = |between: &&str| cells + between.len() * columns.saturating_sub(1) <= WIDTH;
    let Some(between) = BETWEEN.into_iter().find(fits) else { return sentences(text, table) };
    for line in lines() {
        let mut row = INDENT.to_owned();
        for (k, (cell, width)) in line.iter().zip(&widths).enumerate() {
            if k == 0 {
                row.push_str(&format!("{cell:<width$}"));
            } else {
                row.push_str(&format!("{between}{cell:>width$}"));
            }
        }
        text.push_str(row.trim_end());
        text.push('\n');
    }
}

fn sentences(text: &mut String, table: &Table) {
    for row in &table.rows {
        let (Some(name), Some((_, heads))) = (row.first(), table.heads.split_first()) else { continue };
        let cells =
            heads.iter().zip(row.iter().skip(1)).filter(|(_, cell)| !matches!(cell.as_str(), "-" | ""));
        let told: Vec<String> = cells.map(|(head, cell)| format!("{head} {cell}")).collect();
        item(text, INDENT, &format!("{name}: {}", told.join("; ")));
    }
}
