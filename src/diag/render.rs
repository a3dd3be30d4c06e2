//! Problems as text for a person: the line, a mark under it, and the remedy.

use std::collections::BTreeMap;

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
            let line = line.trim_end_matches('\r');
            let at = |n: usize| line.char_indices().nth(n).map_or(line.len(), |(i, _)| i);
            let start = p.at.column.saturating_sub(1);
            let span = if p.at.column == 0 { 0..line.len() } else { at(start)..at(start + p.length.max(1)) };
            group = group.element(
                Snippet::source(line.to_owned())
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
    fn a_spot_past_the_end_of_its_line_is_shown_at_the_end() {
        let mut sources = Sources::new();
        sources.add("a.csv", "x\n");
        let mut problems = Problems::new();
        problems.error("short-row", Origin::new("a.csv", 1, 40), "too few columns", "");
        assert!(render(&problems, &sources, false).contains("a.csv:1:40"));
    }
}
