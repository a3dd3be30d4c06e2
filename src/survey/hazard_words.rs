//! Which kind of hazard do these words stand for? The words are in the table
//! `hazard_words.toml` beside this file.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::{HazardKind, HazardKindError, fold};

const TABLE: &str = include_str!("hazard_words.toml");

/// Each phrase as it is compared, with its kind.
static KINDS: LazyLock<BTreeMap<String, HazardKind>> = LazyLock::new(|| {
    let table: BTreeMap<String, Vec<String>> = toml::from_str(TABLE).unwrap_or_default();
    let mut kinds = BTreeMap::new();
    for kind in HazardKind::ALL {
        let others = table.get(kind.name()).map(Vec::as_slice).unwrap_or_default();
        for words in others.iter().map(String::as_str).chain([kind.name()]) {
            kinds.insert(fold::phrase(words), kind);
        }
    }
    kinds
});

impl HazardKind {
    /// The kind that those words stand for, without regard to case, accents,
    /// spaces, hyphens, simple plurals and a number after them.
    ///
    /// # Errors
    /// When the words are in no list. Words that merely hold a known one
    /// ("latrine of the school") are not guessed at: see
    /// [`HazardKind::suggested_by`].
    pub fn from_words(written: &str) -> Result<Self, HazardKindError> {
        KINDS.get(&fold::phrase(written)).copied().ok_or_else(|| HazardKindError(written.trim().to_owned()))
    }

    /// The kind that may have been meant: the one of the longest known phrase
    /// among the words, else the one of the phrase most like them.
    pub fn suggested_by(written: &str) -> Option<Self> {
        let words = fold::singular_words(written);
        // Longer texts are sentences, not names of a kind.
        let words = words.get(..words.len().min(12)).unwrap_or_default();
        let runs = (0..words.len()).flat_map(|from| (from + 1..=words.len()).map(move |to| (from, to)));
        let known = runs.filter_map(|(from, to)| {
            let run = words.get(from..to)?.concat();
            KINDS.get(&run).map(|kind| (run.len(), *kind))
        });
        let within = known.max_by_key(|(length, _)| *length).map(|(_, kind)| kind);
        let like = || fold::nearest(&words.concat(), KINDS.keys().map(String::as_str));
        within.or_else(|| like().and_then(|phrase| KINDS.get(phrase).copied()))
    }

    /// The names of all kinds, for messages.
    pub fn names() -> String {
        HazardKind::ALL.map(HazardKind::name).join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_speaks_of_every_kind_and_of_no_other() {
        let table: BTreeMap<String, Vec<String>> = toml::from_str(TABLE).unwrap();
        let mut names: Vec<_> = HazardKind::ALL.iter().map(|k| k.name()).collect();
        names.sort_unstable();
        assert_eq!(table.keys().collect::<Vec<_>>(), names);
    }

    #[test]
    fn no_phrase_stands_for_two_kinds() {
        let table: BTreeMap<String, Vec<String>> = toml::from_str(TABLE).unwrap();
        for (kind, phrases) in &table {
            for phrase in phrases {
                let found = HazardKind::from_words(phrase).map(HazardKind::name);
                assert_eq!(found, Ok(kind.as_str()), "{phrase}");
            }
        }
    }

    #[test]
    fn common_words_find_their_kind() {
        for (words, kind) in [
            ("Pit Latrines", HazardKind::PitLatrine),
            ("long-drop", HazardKind::PitLatrine),
            ("latrine 2", HazardKind::PitLatrine),
            ("Cess Pit", HazardKind::Soakaway),
            ("KRAAL", HazardKind::LivestockPen),
            ("Cemeteries", HazardKind::Graveyard),
            ("petrol station", HazardKind::FuelStore),
            ("powerline", HazardKind::OverheadLine),
            ("rivers", HazardKind::OpenWater),
            ("water-pipe", HazardKind::BuriedService),
            ("other", HazardKind::Other),
        ] {
            assert_eq!(HazardKind::from_words(words), Ok(kind), "{words}");
        }
    }

    #[test]
    fn what_is_not_listed_is_suggested_but_never_guessed() {
        for (words, kind) in [
            ("latrine of the school", Some(HazardKind::PitLatrine)),
            ("laterine", Some(HazardKind::PitLatrine)),
            ("the old cattle kraal by the church", Some(HazardKind::LivestockPen)),
            ("qwertyuiop", None),
        ] {
            assert_eq!(HazardKind::from_words(words), Err(HazardKindError(words.into())));
            assert_eq!(HazardKind::suggested_by(words), kind, "{words}");
        }
        assert!(HazardKind::from_words("7").is_err() && HazardKind::from_words("").is_err());
    }
}
