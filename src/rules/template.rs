//! A sentence with holes in it: `${d}` in the text of a script, `{1}` in a
//! catalogue. A finished sentence is held against it to find what stands in
//! the holes.

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

    /// What stands in its holes where `text` is this sentence: each as short
    /// as it can be, never nothing, and the same wherever the hole is the same.
    pub fn matched<'a>(&'a self, text: &'a str) -> Option<Vec<(&'a str, &'a str)>> {
        let mut found: Vec<(&str, &str)> = Vec::new();
        let mut rest = text;
        let mut open: Option<&str> = None;
        for (at, piece) in self.pieces.iter().enumerate() {
            match piece {
                // Nothing tells where one of two holes side by side ends.
                Piece::Hole(_) if open.is_some() => return None,
                Piece::Hole(name) => open = Some(name),
                Piece::Words(words) => match open.take() {
                    None => rest = rest.strip_prefix(words.as_str())?,
                    Some(name) => {
                        let last = at + 1 == self.pieces.len();
                        let (inside, after) = if last {
                            (rest.strip_suffix(words.as_str())?, "")
                        } else {
                            rest.split_once(words.as_str())?
                        };
                        found.push((name, inside));
                        rest = after;
                    }
                },
            }
        }
        match open {
            Some(name) => found.push((name, rest)),
            None if rest.is_empty() => {}
            None => return None,
        }
        let same = |(name, inside): &(&str, &str)| found.iter().all(|(n, i)| n != name || i == inside);
        let holds = found.iter().all(|f| !f.1.is_empty() && same(f));
        holds.then_some(found)
    }
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
        let template = Template::read(pattern, "{");
        template.matched(text).map(|all| all.into_iter().map(|(n, i)| format!("{n}={i}")).collect())
    }

    #[test]
    fn holes_are_found_between_words() {
        assert_eq!(of("from {1} to {2}.", "from a to b to c."), Some(vec!["1=a".into(), "2=b to c".into()]));
        assert_eq!(of("from {1} to {2}.", "from a."), None);
        assert_eq!(of("plain", "plain"), Some(vec![]));
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
