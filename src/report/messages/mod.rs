//! What pages say, in the reader's language: sentences from one catalogue,
//! numbers and dates in the reader's way.
//!
//! The program's own sentences stand in `en.toml` and `fr.toml`, by key. What
//! rules, facts and regions say is made in English; [`phrases`] turns it into
//! the reader's words where the catalogue knows the sentence.

mod numbers;
mod phrases;

use std::collections::BTreeMap;
use std::sync::LazyLock;

pub use phrases::Told;

/// A language of the reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// French.
    French,
}

impl Language {
    /// The tag of BCP 47.
    pub fn tag(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::French => "fr",
        }
    }
}

type Table = BTreeMap<String, String>;

static ENGLISH: LazyLock<Table> = LazyLock::new(|| table(include_str!("en.toml")));
static FRENCH: LazyLock<Table> = LazyLock::new(|| table(include_str!("fr.toml")));

/// Keys of inner tables are joined by dots. A catalogue that cannot be read is
/// empty, and a test wants none empty.
fn table(text: &str) -> Table {
    fn walk(before: &str, value: &toml::Value, into: &mut Table) {
        match value {
            toml::Value::String(s) => {
                into.insert(before.to_owned(), s.clone());
            }
            toml::Value::Table(t) => {
                for (key, inner) in t {
                    let name = if before.is_empty() { key.clone() } else { format!("{before}.{key}") };
                    walk(&name, inner, into);
                }
            }
            _ => {}
        }
    }
    let mut into = Table::new();
    if let Ok(value) = text.parse::<toml::Table>() {
        walk("", &toml::Value::Table(value), &mut into);
    }
    into
}

/// The sentences of one language.
#[derive(Debug, Clone, Copy, Default)]
pub struct Messages {
    /// The language.
    pub language: Language,
}

impl Messages {
    /// Those of a language.
    pub fn of(language: Language) -> Self {
        Self { language }
    }

    fn find(self, key: &str) -> Option<&'static String> {
        match self.language {
            Language::English => ENGLISH.get(key),
            Language::French => FRENCH.get(key),
        }
    }

    /// The sentence of that key.
    pub fn say(self, key: &str) -> String {
        self.find(key).cloned().unwrap_or_else(|| key.to_owned())
    }

    /// The same with `{name}` filled in.
    pub fn fill(self, key: &str, with: &[(&str, &str)]) -> String {
        let mut text = String::new();
        let sentence = self.say(key);
        let mut rest = sentence.as_str();
        while let Some((before, after)) = rest.split_once('{') {
            text.push_str(before);
            let Some((name, after)) = after.split_once('}') else { break };
            let value = with.iter().find(|(n, _)| *n == name).map_or("", |(_, v)| *v);
            text.push_str(value);
            rest = after;
        }
        text.push_str(rest);
        text
    }

    /// A word of a table of words; in its own form where the table lacks it.
    pub fn word(self, table: &str, word: &str) -> String {
        let key = format!("{table}.{}", word.replace(' ', "-"));
        self.find(&key).cloned().unwrap_or_else(|| word.to_owned())
    }
}

#[cfg(test)]
#[allow(clippy::indexing_slicing)]
mod tests {
    use super::*;

    fn holes(text: &str) -> Vec<String> {
        let mut all: Vec<String> = text
            .match_indices('{')
            .filter_map(|(at, _)| Some(text[at..].split_once('}')?.0.to_owned()))
            .collect();
        all.sort();
        all
    }

    #[test]
    fn every_sentence_is_there_in_every_language_with_the_same_holes() {
        assert!(ENGLISH.len() > 100);
        let keys = |t: &Table| t.keys().cloned().collect::<Vec<_>>();
        assert_eq!(keys(&ENGLISH), keys(&FRENCH));
        for (key, text) in ENGLISH.iter() {
            assert_eq!(holes(text), holes(&FRENCH[key]), "{key}");
        }
    }

    #[test]
    fn what_is_filled_in_is_not_read_again() {
        let m = Messages::of(Language::English);
        let filled = m.fill("head.stage", &[("stage", "{setting}"), ("setting", "x")]);
        assert!(filled.contains("{setting}"), "{filled}");
    }
}
