//! A sentence with holes in it: `${d}` in the text of a script, `{1}` in a
//! catalogue. A finished sentence is held against it to find what stands in
//! the holes.

use std::cell::Cell;

/// What takes the holes of a sentence, each by its name, or leaves them.
pub type Accept<'f, T> = dyn FnMut(&[(&str, &str)]) -> Option<T> + 'f;

/// A part of a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Words as they stand.
    Words(String),
    /// A hole, by what is written in it.
    Hole(String),
}

/// A sentence with holes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Template {
    /// Its parts, in their order.
    pub pieces: Vec<Piece>,
}

impl Template {
    /// Reads a sentence whose holes begin with `open`, which ends in a brace.
    pub fn read(text: &str, open: &str) -> Self {
        let mut pieces = Vec::new();
        let mut words = String::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once(open) {
            let Some(end) = closing(after) else { break };
            words.push_str(before);
            if !words.is_empty() {
                pieces.push(Piece::Words(std::mem::take(&mut words)));
            }
            let (inside, after) = after.split_at_checked(end).unwrap_or((after, ""));
            pieces.push(Piece::Hole(inside.trim().to_owned()));
            rest = after.strip_prefix('}').unwrap_or(after);
        }
        words.push_str(rest);
        if !words.is_empty() {
            pieces.push(Piece::Words(words));
        }
        Self { pieces }
    }

    /// What is written in its holes, each once, in order of the letters.
    pub fn holes(&self) -> Vec<&str> {
        let mut all: Vec<&str> = self
            .pieces
            .iter()
            .filter_map(|p| match p {
                Piece::Hole(name) => Some(name.as_str()),
                Piece::Words(_) => None,
            })
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Whether it begins or ends with words of its own.
    pub fn has_ends(&self) -> bool {
        [self.pieces.first(), self.pieces.last()].iter().any(|p| matches!(p, Some(Piece::Words(_))))
    }

    /// Letters outside its holes: what has more of them is more particular.
    pub fn letters(&self) -> usize {
        self.pieces
            .iter()
            .map(|p| match p {
                Piece::Words(words) => words.len(),
                Piece::Hole(_) => 0,
            })
            .sum()
    }

    /// Holds a finished `text` against the sentence and gives `accept` what
    /// stands in the holes, the shortest first, until it takes one: never
    /// nothing, and the same wherever the hole is the same. `tries` is counted
    /// down, and nothing more is tried when it has come to nothing.
    pub fn first<T>(&self, text: &str, tries: &Cell<u32>, accept: &mut Accept<'_, T>) -> Option<T> {
        go(&self.pieces, text, &mut Vec::new(), tries, accept)
    }
}

fn go<'a, T>(
    pieces: &'a [Piece],
    rest: &'a str,
    found: &mut Vec<(&'a str, &'a str)>,
    tries: &Cell<u32>,
    accept: &mut Accept<'_, T>,
) -> Option<T> {
    tries.set(tries.get().checked_sub(1)?);
    match pieces {
        [] => {
            if rest.is_empty() {
                accept(found)
            } else {
                None
            }
        }
        [Piece::Words(words), pieces @ ..] => {
            go(pieces, rest.strip_prefix(words.as_str())?, found, tries, accept)
        }
        [Piece::Hole(name)] => fill(name, rest, &[], "", found, tries, accept),
        [Piece::Hole(name), Piece::Words(words)] => {
            fill(name, rest.strip_suffix(words.as_str())?, &[], "", found, tries, accept)
        }
        [Piece::Hole(name), pieces @ ..] => {
            // Nothing tells where one of two holes side by side ends.
            let Some((Piece::Words(words), pieces)) = pieces.split_first() else { return None };
            rest.match_indices(words.as_str()).find_map(|(at, _)| {
                let (inside, after) = rest.split_at_checked(at)?;
                fill(name, inside, pieces, after.strip_prefix(words.as_str())?, found, tries, accept)
            })
        }
    }
}

/// Puts `inside` into a hole and goes on.
fn fill<'a, T>(
    name: &'a str,
    inside: &'a str,
    pieces: &'a [Piece],
    rest: &'a str,
    found: &mut Vec<(&'a str, &'a str)>,
    tries: &Cell<u32>,
    accept: &mut Accept<'_, T>,
) -> Option<T> {
    if inside.is_empty() || found.iter().any(|(n, i)| *n == name && *i != inside) {
        return None;
    }
    found.push((name, inside));
    let taken = go(pieces, rest, found, tries, accept);
    found.pop();
    taken
}

/// Where the hole that is open at the start of `text` ends.
fn closing(text: &str) -> Option<usize> {
    let mut depth = 0_usize;
    for (at, c) in text.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => return Some(at),
            '}' => depth -= 1,
            _ => {}
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(pattern: &str, text: &str) -> Option<Vec<String>> {
        let all = |found: &[(&str, &str)]| Some(found.iter().map(|(n, i)| format!("{n}={i}")).collect());
        Template::read(pattern, "{").first(text, &Cell::new(100), &mut |found| all(found))
    }

    #[test]
    fn holes_are_found_between_words() {
        assert_eq!(of("from {1} to {2}.", "from a to b to c."), Some(vec!["1=a".into(), "2=b to c".into()]));
        assert_eq!(of("from {1} to {2}.", "from a."), None);
        assert_eq!(of("plain", "plain"), Some(vec![]));
    }

    #[test]
    fn a_hole_grows_until_what_is_in_it_is_taken() {
        let template = Template::read("nearest is {1}, {2}", "{");
        let number = |found: &[(&str, &str)]| {
            let far = found.last()?.1;
            far.starts_with(|c: char| c.is_ascii_digit()).then(|| far.to_owned())
        };
        let far = template.first("nearest is pen, north, 3 m", &Cell::new(100), &mut |f| number(f));
        assert_eq!(far.as_deref(), Some("3 m"));
    }

    #[test]
    fn a_text_made_to_be_slow_is_given_up() {
        let template = Template::read("{1} a {2} a {3} a {4} a {5}!", "{");
        let tries = Cell::new(10_000);
        assert_eq!(template.first::<()>(&"x a ".repeat(2000), &tries, &mut |_| None), None);
    }

    #[test]
    fn the_same_hole_holds_the_same() {
        assert!(of("{a} or {a}.", "3 m or 3 m.").is_some());
        assert_eq!(of("{a} or {a}.", "3 m or 4 m."), None);
    }

    #[test]
    fn a_brace_that_is_never_closed_is_a_word() {
        assert_eq!(Template::read("a ${b", "${").pieces, [Piece::Words("a ${b".to_owned())]);
        assert_eq!(Template::read("${if x { y } else { z }}!", "${").holes(), ["if x { y } else { z }"]);
    }
}
