//! The sentences of a rule in another language, beside it as
//! `RULE.LANGUAGE.toml`: each as the script has it, and what it is there. The
//! script itself stays as it is, and judges the same for every reader.

use std::collections::BTreeMap;
use std::sync::Arc;

use toml::Spanned;

use super::Template;
use super::sentences::Sentence;
use crate::diag::{Problems, Sources, nearest_word};

/// The languages that a rule may be told in besides its own, by the tag of
/// BCP 47 that stands in the name of the file.
pub const LANGUAGES: [&str; 1] = ["fr"];

/// What opens a hole in the text of a script.
const HOLE: &str = "${";

/// A sentence and the same in another language, with the same holes.
#[derive(Debug, Clone)]
pub struct Pair {
    /// As the script says it.
    pub own: Template,
    /// In the other language.
    pub other: Template,
}

/// A rule in another language.
#[derive(Debug, Clone)]
pub struct Translation {
    /// Its file, as named in origins.
    pub file: Arc<str>,
    /// Its text.
    pub text: Arc<str>,
    /// Its sentences, the more particular first.
    pub pairs: Vec<Pair>,
    sentences: Vec<String>,
}

impl Translation {
    /// Reads a translation of a rule that says `sentences`. What the rule does
    /// not say, or says with other holes, is told and left out.
    pub(super) fn read(
        file: Arc<str>,
        text: Arc<str>,
        sentences: &[Sentence],
        problems: &mut Problems,
    ) -> Self {
        let read: BTreeMap<Spanned<String>, String> = match toml::from_str(&text) {
            Ok(read) => read,
            Err(error) => {
                let at = Sources::spot(&file, &text, error.span().map_or(0, |s| s.start));
                problems.error("translation", at, error.message().to_owned(), HOW);
                BTreeMap::new()
            }
        };
        let mut all =
            Self { file: file.clone(), text: text.clone(), pairs: Vec::new(), sentences: Vec::new() };
        for (own, other) in read {
            let at = Sources::spot(&file, &text, own.span().start);
            let own = own.into_inner();
            let (mine, theirs) = (Template::read(&own, HOLE), Template::read(&other, HOLE));
            if !sentences.iter().any(|s| s.text == own) {
                let near = nearest_word(&own, sentences.iter().map(|s| s.text.as_str()));
                let help = near.map_or_else(|| HOW.to_owned(), |n| format!("Did you mean {n:?}?"));
                problems.error("translation-stale", at, "the rule does not say this", help);
            } else if other.trim().is_empty() || mine.holes() != theirs.holes() {
                let holes: Vec<_> = mine.holes().iter().map(|h| format!("${{{h}}}")).collect();
                let with = if holes.is_empty() { "no hole".to_owned() } else { holes.join(", ") };
                let message = "the translation has other holes than the rule's sentence";
                problems.error("translation-holes", at, message, format!("Write it with {with}."));
            } else {
                all.pairs.push(Pair { own: mine, other: theirs });
                all.sentences.push(own);
            }
        }
        all.pairs.sort_by_key(|p| std::cmp::Reverse(p.own.letters()));
        all
    }

    /// Whether it has that sentence of the script.
    pub fn has(&self, sentence: &str) -> bool {
        self.sentences.iter().any(|s| s == sentence)
    }
}

/// How a translation is written.
const HOW: &str = "Write each sentence in quotes as the script has it, = and the same in the other language, \
    with the same holes: \"Too near: ${d}.\" = \"Trop près : ${d}.\"";
