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
const CATALOGUES: [&str; 7] = [
    include_str!("phrases/words.fr.toml"),
    include_str!("phrases/facts.fr.toml"),
    include_str!("phrases/asks.fr.toml"),
    include_str!("phrases/cautions.fr.toml"),
    include_str!("phrases/changes.fr.toml"),
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
const MOST_PARTS: usize = 40;
/// What a sentence ends with.
const ENDS: [char; 3] = ['.', '?', '!'];
/// So many steps at most are taken to turn one text.
const MOST_TRIES: u32 = 300_000;

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
        let turn = Turn { m: self, rule: rule.map_or(&[], |t| &t.pairs), tries: Cell::new(MOST_TRIES) };
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
        let size = number.parse::<f64>().ok()?.abs();
        let unit = match unit {
            "" => String::new(),
            "%" => "\u{a0}%".to_owned(),
            "°" => "°".to_owned(),
            unit => {
                let unit = unit.strip_prefix(' ')?;
                let key = unit.replace([' ', '/'], "-");
                // In French what is less than two stands in the singular.
                let one = (size < 2.0).then(|| self.find(&format!("units_one.{key}"))).flatten();
                let known = one.or_else(|| self.find(&format!("units.{key}")))?;
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
    /// The text as a quantity, a sentence of the rule, parts that each are
    /// known, or one phrase.
    fn text(&self, english: &str, depth: u8) -> Option<String> {
        if depth > DEEPEST {
            return None;
        }
        let english = english.trim();
        if let Some(whole) = self.m.quantity(english).or_else(|| self.phrase(self.rule, true, english, depth))
        {
            return Some(whole);
        }
        // Parts come first: a name in a phrase might swallow a sentence.
        if let Some(parts) = self.parts(english, depth) {
            return Some(parts);
        }
        if let Some(whole) = self.phrase(&FRENCH, false, english, depth) {
            return Some(whole);
        }
        // A word that begins a sentence.
        if depth == 0 || !english.starts_with(|c: char| c.is_ascii_uppercase()) {
            return None;
        }
        let lower = first_letter(english, char::to_ascii_lowercase);
        let whole = self.phrase(&FRENCH, false, &lower, depth)?;
        Some(first_letter(&whole, char::to_ascii_uppercase))
    }

    /// The text as sentences, or as the parts of a note, from the left, each
    /// as few as are known together.
    fn parts(&self, english: &str, depth: u8) -> Option<String> {
        let sentences = english.ends_with(ENDS);
        let between = if sentences { " ".to_owned() } else { self.m.say("mark.semicolon") };
        // Behind each cut stand the mark and a space.
        let cut_at = |(at, _): (usize, char)| {
            let mut after = english.get(at + 1..).unwrap_or_default().chars();
            let spaced = after.next() == Some(' ');
            spaced && (!sentences || after.next().is_some_and(char::is_uppercase))
        };
        let marks = |c: char| if sentences { ENDS.contains(&c) } else { c == ';' };
        let mut cuts: Vec<usize> = english
            .char_indices()
            .filter(|(_, c)| marks(*c))
            .filter(|mark| cut_at(*mark))
            .map(|(at, _)| at)
            .collect();
        if cuts.is_empty() || cuts.len() > MOST_PARTS {
            return None;
        }
        cuts.push(english.len());
        let mut out = Vec::new();
        let mut from = 0;
        while from < english.len() {
            let (cut, text) = cuts.iter().filter(|cut| **cut > from).find_map(|cut| {
                // A sentence keeps its full stop.
                let end = if sentences { (cut + 1).min(english.len()) } else { *cut };
                let part = english.get(from..end)?.trim();
                let own = || self.phrase(self.rule, true, part, depth);
                Some((*cut, own().or_else(|| self.phrase(&FRENCH, false, part, depth))?))
            })?;
            out.push(text);
            from = cut + 2;
        }
        Some(out.join(&between))
    }

    /// One of these phrases; `all_turned` where nothing may stay as it is.
    fn phrase(&self, among: &[Pair], all_turned: bool, english: &str, depth: u8) -> Option<String> {
        let ends_as_sentence = english.ends_with(ENDS);
        among.iter().find_map(|pair| {
            if ends_as_sentence && !pair.own.has_ends() {
                return None;
            }
            let mut told = |inside: &[(&str, &str)]| {
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
            };
            pair.own.first(english, &self.tries, &mut told)
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

fn first_letter(text: &str, change: fn(&char) -> char) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| change(&c)).into_iter().chain(chars).collect()
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::diag::{Problems, Sources};
    use crate::facts::{FACTS, Form};
    use crate::rules::RuleSet;

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
    fn a_name_never_swallows_a_sentence() {
        let told = FR.told(
            "Dip the water level in a well near the peg and write down the date. Dip the water level in pump 2 and write down the date.",
        );
        assert_eq!(
            told.text,
            "Mesurez le niveau d'eau d'un puits près du piquet et notez la date. Mesurez le niveau d'eau de pump 2 et notez la date."
        );
        let note = "pen may lie up-slope, 41 m at bearing 262°; nearest is latrine, 11.8 m at bearing 15°";
        let whole = "pen est peut-être plus haut sur la pente, à 41\u{a0}m, direction 262°\u{a0}; le plus proche\u{a0}: latrine, à 11,8\u{a0}m, direction 15°";
        assert_eq!(FR.told(note).text, whole);
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
    fn every_sentence_of_every_rule_has_its_french() {
        let (mut sources, mut problems) = (Sources::new(), Problems::new());
        let set = RuleSet::built_in(&mut sources, &mut problems);
        assert!(problems.is_empty() && set.rules.len() > 80);
        for rule in &set.rules {
            for (sentence, at) in &rule.spots.sentences {
                let filled: String = Template::read(sentence, "${")
                    .pieces
                    .iter()
                    .map(|p| match p {
                        Piece::Words(words) => words.as_str(),
                        Piece::Hole(_) => "12.5 m (11 m to 14 m)",
                    })
                    .collect();
                let told = FR.told_by(&rule.translations, &filled);
                assert!(!told.own_words, "{at}: {filled}");
                assert!(!told.text.contains("${") && !told.text.contains("12.5"), "{at}: {}", told.text);
                let spaced = told.text.contains([':', ';', '?', '!']);
                let plain = [" :", " ;", " ?", " !"].iter().any(|mark| told.text.contains(mark));
                assert!(!spaced || !plain, "{at}: a line may break before a mark: {}", told.text);
            }
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
