//! Problems as text for a person: the line, a mark under it, and the remedy.

use std::collections::BTreeMap;
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level as Tone, Renderer, Snippet};

use super::{Level, Problems, Sources};

/// All problems as text, in the order of file, line and column; coloured
/// only where asked.
pub fn render(problems: &Problems, sources: &Sources, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut sorted: Vec<_> = problems.iter().collect();
    sorted.sort_by(|a, b| a.at.cmp(&b.at).then(b.level.cmp(&a.level)));
    let mut out = String::new();
    let mut lines: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for p in sorted {
        let tone = match p.level {
            Level::Note => Tone::NOTE,
            Level::Warning => Tone::WARNING,
            Level::LeftOut => Tone::WARNING.with_name("left out"),
            Level::Error => Tone::ERROR,
        };
        let place = match (p.at.line, p.at.column) {
            (0, _) => format!("{}: ", p.at.file),
            (l, 0) => format!("{}:{l}: ", p.at.file),
            (l, c) => format!("{}:{l}:{c}: ", p.at.file),
        };
        let title = format!("{place}{} [{}]", p.message, p.code);
        let of_file = lines
            .entry(p.at.file.as_ref())
            .or_insert_with(|| sources.text(&p.at.file).map(|t| t.split('\n').collect()).unwrap_or_default());
        let line = p.at.line.checked_sub(1).and_then(|n| of_file.get(n));
        let mut group = Group::with_title(tone.primary_title(title));
        if let Some(line) = line {
            let (line, span) = marked(line.trim_end_matches('\r'), p.at.column, p.length);
            group = group.element(
                Snippet::source(line)
                    .line_start(p.at.line)
                    .path(p.at.file.to_string())
                    .annotation(AnnotationKind::Primary.span(span)),
            );
        }
        if !p.help.is_empty() {
            group = group.element(Tone::HELP.message(p.help.clone()));
        }
        out.push_str(&renderer.render(&[group]));
        out.push_str("\n\n");
    }
    out
}

/// Characters shown on either side of the mark at most: a file may be one
/// long line.
const SHOWN: usize = 80;

/// The part of a line about its mark, and the bytes of the mark in it. Column
/// 0 marks the whole line.
fn marked(line: &str, column: usize, length: usize) -> (String, Range<usize>) {
    let count = line.chars().count();
    let start = column.saturating_sub(1).min(count);
    let end = if column == 0 { count } else { (start + length.max(1)).min(count) };
    let from = start.saturating_sub(SHOWN);
    let end = end.min(start + SHOWN / 2);
    let to = end.saturating_add(SHOWN).min(count);
    let cut: String = line.chars().skip(from).take(to - from).collect();
    let byte = |n: usize| cut.char_indices().nth(n.saturating_sub(from)).map_or(cut.len(), |(i, _)| i);
    let span = byte(start)..byte(end);
    let before = if from > 0 { "… " } else { "" };
    let after = if to < count { " …" } else { "" };
    let moved = before.len();
    (format!("{before}{cut}{after}"), span.start + moved..span.end + moved)
}

#[cfg(test)]
mod tests {
    use super::super::{Origin, Problems, Sources};
    use super::render;

    #[test]
    fn a_problem_shows_its_line_and_how_to_mend_it() {
        let mut sources = Sources::new();
        sources.add("survey.toml", "[peg]\nnmae = \"Lower yard\"\n");
        let mut problems = Problems::new();
        problems.error(
            "unknown-key",
            Origin::new("survey.toml", 2, 1),
            "unknown key nmae",
            "Did you mean name?",
        );
        let text = render(&problems, &sources, false);
        assert!(text.contains("survey.toml:2:1: unknown key nmae [unknown-key]"), "{text}");
        assert!(text.contains("nmae = \"Lower yard\""), "{text}");
        assert!(text.contains("Did you mean name?"), "{text}");
    }

    #[test]
    fn a_long_line_is_cut_around_its_mark() {
        let mut sources = Sources::new();
        sources.add("a.geojson", format!("{}\"lat\"{}", "é".repeat(5000), "x".repeat(5000)));
        let mut problems = Problems::new();
        problems.error("odd", Origin::new("a.geojson", 1, 5001), "odd", "");
        let text = render(&problems, &sources, false);
        assert!(text.contains("\"lat\"") && text.chars().count() < 600, "{text}");
    }

    #[test]
    fn a_spot_past_the_end_of_its_line_is_shown_at_the_end() {
        let mut sources = Sources::new();
        sources.add("a.csv", "x\n");
        let mut problems = Problems::new();
        problems.error("short-row", Origin::new("a.csv", 1, 40), "too few columns", "");
        assert!(render(&problems, &sources, false).contains("a.csv:1:40"));
    }
}
