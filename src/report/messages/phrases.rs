//! Sentences of rules, facts and regions in the reader's language.
//!
//! They are made in English with names and numbers in them. The catalogue
//! `phrases.fr.toml` gives for an English sentence with holes, `{1}`, the same
//! in French; what stands in a hole is turned in its turn where it is a
//! quantity or a phrase, and kept as it is where it is a name. A sentence that
//! the catalogue lacks, such as one of a trainer's own rule, keeps its words,
//! and [`Told::own_words`] says so.

use std::sync::LazyLock;

use super::{Language, Messages};

/// What is told, and whether in the words it was written in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The text.
    pub text: String,
    /// Written in English, shown so to a reader of another language.
    pub own_words: bool,
}

/// A part of a pattern.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    Words(String),
    Hole(u8),
}

#[derive(Debug)]
struct Phrase {
    english: Vec<Piece>,
    french: Vec<Piece>,
    /// Letters outside its holes: what is more particular is tried first.
    letters: usize,
}

static FRENCH: LazyLock<Vec<Phrase>> = LazyLock::new(|| {
    let table = include_str!("phrases.fr.toml").parse::<toml::Table>().unwrap_or_default();
    let mut all: Vec<Phrase> = table
        .iter()
        .filter_map(|(english, french)| {
            let (english, french) = (pieces(english), pieces(french.as_str()?));
            let letters = english
                .iter()
                .map(|p| match p {
                    Piece::Words(w) => w.len(),
                    Piece::Hole(_) => 0,
                })
                .sum();
            Some(Phrase { english, french, letters })
        })
        .collect();
    all.sort_by_key(|p| std::cmp::Reverse(p.letters));
    all
});

fn pieces(text: &str) -> Vec<Piece> {
    let mut all = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let hole = after.split_once('}').and_then(|(n, after)| Some((n.parse::<u8>().ok()?, after)));
        let Some((number, after)) = hole else { break };
        if !before.is_empty() {
            all.push(Piece::Words(before.to_owned()));
        }
        all.push(Piece::Hole(number));
        rest = after;
    }
    if !rest.is_empty() {
        all.push(Piece::Words(rest.to_owned()));
    }
    all
}

/// What stands in the holes of a pattern, each as short as it can be.
fn matched<'a>(pattern: &[Piece], text: &'a str) -> Option<Vec<(u8, &'a str)>> {
    let mut found = Vec::new();
    let mut rest = text;
    let mut open: Option<u8> = None;
    for (at, piece) in pattern.iter().enumerate() {
        match piece {
            Piece::Hole(n) => open = Some(*n),
            Piece::Words(words) => match open.take() {
                None => rest = rest.strip_prefix(words.as_str())?,
                Some(n) => {
                    let last = at + 1 == pattern.len();
                    let (inside, after) = if last {
                        (rest.strip_suffix(words.as_str())?, "")
                    } else {
                        rest.split_once(words.as_str())?
                    };
                    found.push((n, inside));
                    rest = after;
                }
            },
        }
    }
    match open {
        Some(n) => found.push((n, rest)),
        None if rest.is_empty() => {}
        None => return None,
    }
    found.iter().all(|(_, inside)| !inside.is_empty()).then_some(found)
}

/// So deep may phrases stand in one another.
const DEEPEST: u8 = 4;
/// A text of more sentences is not taken apart.
const MOST_SENTENCES: usize = 40;

impl Messages {
    /// A sentence of a rule, a fact or a region, in the reader's language as
    /// far as the catalogue goes.
    pub fn told(self, english: &str) -> Told {
        if self.language == Language::English || english.trim().is_empty() {
            return Told { text: english.to_owned(), own_words: false };
        }
        match self.turned(english, 0) {
            Some(text) => Told { text, own_words: false },
            None => Told { text: english.to_owned(), own_words: true },
        }
    }

    /// The text as one phrase, or as sentences or parts that each are one.
    fn turned(self, english: &str, depth: u8) -> Option<String> {
        if depth > DEEPEST {
            return None;
        }
        let english = english.trim();
        if let Some(quantity) = self.quantity(english) {
            return Some(quantity);
        }
        if let Some(whole) = self.phrase(english, depth) {
            return Some(whole);
        }
        // The sentences from the left, as many at once as one phrase knows.
        let ends: Vec<usize> = english
            .match_indices(". ")
            .map(|(at, _)| at + 1)
            .filter(|at| english.get(at + 1..).and_then(|r| r.chars().next()).is_some_and(char::is_uppercase))
            .collect();
        if ends.is_empty() || ends.len() > MOST_SENTENCES {
            return None;
        }
        let mut cuts = ends;
        cuts.push(english.len());
        let mut out = Vec::new();
        let mut from = 0;
        while from < english.len() {
            let taken = cuts.iter().rev().filter(|cut| **cut > from).find_map(|cut| {
                let part = english.get(from..*cut)?.trim();
                Some((*cut, self.phrase(part, depth)?))
            });
            let (cut, text) = taken?;
            out.push(text);
            from = cut;
        }
        Some(out.join(" "))
    }

    fn phrase(self, english: &str, depth: u8) -> Option<String> {
        FRENCH.iter().find_map(|phrase| {
            let inside = matched(&phrase.english, english)?;
            // What begins with a hole says little by itself: the hole must hold
            // a quantity or a phrase, or any sentence with "to" in it would do.
            let first = inside.first().filter(|_| matches!(phrase.english.first(), Some(Piece::Hole(_))));
            if first.is_some_and(|(_, text)| self.turned(text, depth + 1).is_none()) {
                return None;
            }
            let mut out = String::new();
            for piece in &phrase.french {
                match piece {
                    Piece::Words(words) => out.push_str(words),
                    Piece::Hole(n) => {
                        let (_, text) = inside.iter().find(|(m, _)| m == n)?;
                        out.push_str(&self.inside(text, depth + 1));
                    }
                }
            }
            Some(out)
        })
    }

    /// What stands in a hole: a quantity, a phrase, a list of such, or a name.
    fn inside(self, text: &str, depth: u8) -> String {
        if let Some(turned) = self.turned(text, depth) {
            return turned;
        }
        let (list, last) = match text.rsplit_once(" and ") {
            Some((list, last)) => (list, Some(last)),
            None => (text, None),
        };
        let parts: Vec<&str> = list.split(", ").chain(last).collect();
        let turned: Vec<Option<String>> = if parts.len() > 1 && depth <= DEEPEST {
            parts.iter().map(|p| self.turned(p, depth)).collect()
        } else {
            Vec::new()
        };
        // A list is one where the catalogue knows some of it.
        if turned.iter().all(Option::is_none) {
            return text.to_owned();
        }
        let mut all: Vec<String> =
            turned.into_iter().zip(&parts).map(|(t, p)| t.unwrap_or_else(|| (*p).to_owned())).collect();
        match (last, all.pop()) {
            (Some(_), Some(end)) => format!("{} et {end}", all.join(", ")),
            (None, Some(end)) => {
                all.push(end);
                all.join(", ")
            }
            (_, None) => text.to_owned(),
        }
    }

    /// A number with its unit in the reader's way; `None` where the text is
    /// something else.
    fn quantity(self, text: &str) -> Option<String> {
        let number_end =
            text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(text.len());
        let (number, unit) = text.split_at_checked(number_end)?;
        number.parse::<f64>().ok()?;
        let unit = match unit {
            "" => String::new(),
            "%" => "\u{a0}%".to_owned(),
            "°" => "°".to_owned(),
            unit => {
                let unit = unit.strip_prefix(' ')?;
                let known = self.find(&format!("units.{}", unit.replace([' ', '/'], "-")))?;
                format!("\u{a0}{known}")
            }
        };
        Some(format!("{}{unit}", self.number_text(number)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FR: Messages = Messages { language: Language::French };

    #[test]
    fn holes_are_found_between_words() {
        let pattern = pieces("Tape from {1} to {2}.");
        assert_eq!(matched(&pattern, "Tape from a to b to c."), Some(vec![(1, "a"), (2, "b to c")]));
        assert_eq!(matched(&pattern, "Tape from a."), None);
    }

    #[test]
    fn quantities_take_a_comma() {
        assert_eq!(FR.told("11.8 m (11.4 m to 12.2 m)").text, "11,8\u{a0}m (11,4\u{a0}m à 12,2\u{a0}m)");
        assert_eq!(FR.told("81%").text, "81\u{a0}%");
    }

    #[test]
    fn a_sentence_with_to_in_it_is_no_range() {
        let english = "Tell the goat how likely it is to fall.";
        assert_eq!(FR.told(english), Told { text: english.to_owned(), own_words: true });
    }

    #[test]
    fn names_are_kept_as_they_are() {
        let told = FR.told("Tape the distance from the peg to pen 2.5 b.");
        assert!(told.text.contains("pen 2.5 b") && !told.own_words, "{}", told.text);
    }

    #[test]
    fn a_trainers_own_sentence_keeps_its_words() {
        let told = FR.told("Beware of the goat.");
        assert_eq!((told.text.as_str(), told.own_words), ("Beware of the goat.", true));
    }

    #[test]
    fn every_hole_of_a_phrase_has_its_place() {
        for phrase in FRENCH.iter() {
            let holes = |list: &[Piece]| {
                let mut all: Vec<u8> = list
                    .iter()
                    .filter_map(|p| if let Piece::Hole(n) = p { Some(*n) } else { None })
                    .collect();
                all.sort_unstable();
                all
            };
            assert_eq!(holes(&phrase.english), holes(&phrase.french), "{phrase:?}");
        }
    }
}
