//! Sentences of rules, facts and regions in the reader's language.
//!
//! They are made in English with names and numbers in them. The catalogues
//! `phrases/*.fr.toml` give for an English sentence with holes the same in
//! French: what stands in a hole `{1}` is turned in its turn where it is a
//! quantity or a phrase and kept as it is where it is a name; what stands in
//! `{1.}` must be turned too, or the sentence is not told in French at all.
//! The sentences of a rule stand in the translation beside the rule, and all
//! their holes are of that second kind. What is known to neither keeps its
//! words, and [`Told::own_words`] says so.

use std::cell::Cell;
use std::sync::LazyLock;

use super::{Language, Messages};
use crate::rules::{Pair, Piece, Template, Translation, Translations};

/// What is told, and whether in the words it was written in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// The text.
    pub text: String,
    /// Written in English, shown so to a reader of another language.
    pub own_words: bool,
}

/// The catalogues, by what says the sentences.
const CATALOGUES: [&str; 6] = [
    include_str!("phrases/words.fr.toml"),
    include_str!("phrases/facts.fr.toml"),
    include_str!("phrases/asks.fr.toml"),
    include_str!("phrases/cautions.fr.toml"),
    include_str!("phrases/well.fr.toml"),
    include_str!("phrases/worth.fr.toml"),
];

static FRENCH: LazyLock<Vec<Pair>> = LazyLock::new(|| {
    let mut all: Vec<Pair> = CATALOGUES
        .iter()
        .filter_map(|text| text.parse::<toml::Table>().ok())
        .flat_map(|table| {
            let pair = |(own, other): (String, toml::Value)| {
                Some(Pair { own: Template::read(&own, "{"), other: Template::read(other.as_str()?, "{") })
            };
            table.into_iter().filter_map(pair).collect::<Vec<_>>()
        })
        .collect();
    // What is more particular is tried first.
    all.sort_by_key(|p| std::cmp::Reverse(p.own.letters()));
    all
});

/// So deep may phrases stand in one another.
const DEEPEST: u8 = 6;
/// A text of more sentences is not taken apart.
const MOST_SENTENCES: usize = 40;
/// So many phrases at most are tried on one text.
const MOST_TRIES: u32 = 200_000;

impl Messages {
    /// A sentence of a fact or a region, in the reader's language as far as
    /// the catalogues go.
    pub fn told(self, english: &str) -> Told {
        self.told_with(None, english)
    }

    /// A sentence of a rule with those translations.
    pub fn told_by(self, rule: &Translations, english: &str) -> Told {
        self.told_with(rule.get(self.language.tag()).map(AsRef::as_ref), english)
    }

    fn told_with(self, rule: Option<&Translation>, english: &str) -> Told {
        if self.language == Language::English || english.trim().is_empty() {
            return Told { text: english.to_owned(), own_words: false };
        }
        let turn = Turn { m: self, rule: rule.map_or(&[], |t| &t.pairs), tries: Cell::new(0) };
        match turn.text(english, 0) {
            Some(text) => Told { text, own_words: false },
            None => Told { text: english.to_owned(), own_words: true },
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

/// One text being turned.
struct Turn<'a> {
    m: Messages,
    rule: &'a [Pair],
    tries: Cell<u32>,
}

impl Turn<'_> {
    /// The text as a quantity or one phrase, or as sentences that each are.
    fn text(&self, english: &str, depth: u8) -> Option<String> {
        if depth > DEEPEST {
            return None;
        }
        let english = english.trim();
        if let Some(whole) = self.m.quantity(english).or_else(|| self.phrase(english, depth)) {
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

    fn phrase(&self, english: &str, depth: u8) -> Option<String> {
        let own = self.rule.iter().map(|pair| (pair, true));
        own.chain(FRENCH.iter().map(|pair| (pair, false))).find_map(|(pair, all_turned)| {
            self.tries.set(self.tries.get() + 1);
            if self.tries.get() > MOST_TRIES {
                return None;
            }
            let inside = pair.own.matched(english)?;
            let mut out = String::new();
            for piece in &pair.other.pieces {
                match piece {
                    Piece::Words(words) => out.push_str(words),
                    Piece::Hole(name) => {
                        let (_, text) = inside.iter().find(|(n, _)| n == name)?;
                        match self.inside(text, depth + 1) {
                            Some(turned) => out.push_str(&turned),
                            None if all_turned || name.ends_with('.') => return None,
                            None => out.push_str(text),
                        }
                    }
                }
            }
            Some(out)
        })
    }

    /// What stands in a hole: a quantity, a phrase, or a list of such.
    fn inside(&self, text: &str, depth: u8) -> Option<String> {
        if let Some(turned) = self.text(text, depth) {
            return Some(turned);
        }
        let (list, last) = match text.rsplit_once(" and ") {
            Some((list, last)) => (list, Some(last)),
            None => (text, None),
        };
        let parts: Vec<&str> = list.split(", ").chain(last).collect();
        if parts.len() < 2 || depth > DEEPEST {
            return None;
        }
        let mut all = parts.iter().map(|p| self.text(p, depth)).collect::<Option<Vec<String>>>()?;
        match (last, all.pop()) {
            (Some(_), Some(end)) => Some(format!("{} et {end}", all.join(", "))),
            (None, Some(end)) => {
                all.push(end);
                Some(all.join(", "))
            }
            (_, None) => None,
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::facts::{FACTS, Form};

    const FR: Messages = Messages { language: Language::French };

    #[test]
    fn quantities_take_a_comma() {
        assert_eq!(FR.told("11.8 m (11.4 m to 12.2 m)").text, "11,8\u{a0}m (11,4\u{a0}m à 12,2\u{a0}m)");
        assert_eq!(FR.told("81%").text, "81\u{a0}%");
    }

    #[test]
    fn names_are_kept_as_they_are() {
        let told = FR.told("Tape the distance from the peg to pen 2.5 b.");
        assert!(told.text.contains("pen 2.5 b") && !told.own_words, "{}", told.text);
    }

    #[test]
    fn a_trainers_own_sentence_keeps_its_words() {
        for own in ["Beware of the goat.", "Go to the market.", "Not known: the goat."] {
            let told = FR.told(own);
            assert_eq!((told.text.as_str(), told.own_words), (own, true));
        }
    }

    #[test]
    fn every_phrase_has_its_holes_in_french() {
        for text in CATALOGUES {
            assert!(!text.parse::<toml::Table>().unwrap().is_empty(), "{text}");
        }
        for pair in FRENCH.iter() {
            assert_eq!(pair.own.holes(), pair.other.holes(), "{pair:?}");
        }
    }

    #[test]
    fn a_text_made_to_be_slow_is_given_up() {
        let text = "a to ".repeat(2000);
        assert!(FR.told(&text).own_words);
    }

    #[test]
    fn every_fact_and_each_of_its_words_has_its_french() {
        for fact in FACTS {
            let about = fact.about.trim_end_matches('.');
            assert!(!FR.told(about).own_words, "{about}");
            if let Form::Word(words) = fact.form {
                for word in words {
                    assert!(!FR.told(word).own_words, "{}: {word}", fact.name);
                }
            }
        }
    }
}
