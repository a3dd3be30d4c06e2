//! The record at the head of every rule, read without running the rule.

use rhai::{Dynamic, Map};

use crate::facts::AskKind;
use crate::region::Basis;
use crate::survey::Stage;

/// What a rule says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct About {
    /// Its id: the file's stem.
    pub id: String,
    /// What it looks at, in a few words.
    pub title: String,
    /// Why it matters.
    pub why: String,
    /// Where it is asked.
    pub stages: Vec<Stage>,
    /// The facts it may read.
    pub reads: Vec<String>,
    /// The limits it may read.
    pub limits: Vec<String>,
    /// The stage from which not knowing blocks; before it, not knowing is a
    /// condition. `None` ("never"): it is always no more than a condition, as
    /// it must be where the rule can at worst ask for one.
    pub blocks_from: Option<Stage>,
    /// The cheapest kind of act that would settle it.
    pub ask: AskKind,
    /// The weight of its grade in the site's score.
    pub weight: f64,
    /// The published source.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
    /// The version it came with.
    pub since: String,
}

/// One thing wrong with a record: the key, what was found, how to mend it.
#[derive(Debug, Clone, PartialEq)]
pub struct AboutProblem {
    /// The key, or `ABOUT` for the record as a whole.
    pub key: String,
    /// What was found.
    pub message: String,
    /// How to mend it.
    pub help: String,
}

/// Every key a record has, all required.
pub const KEYS: [&str; 12] = [
    "id",
    "title",
    "why",
    "stages",
    "reads",
    "limits",
    "blocks_from",
    "ask",
    "weight",
    "source",
    "basis",
    "since",
];

/// The greatest weight, as in regions.
const MOST_WEIGHT: f64 = 10.0;

/// What may stand under `blocks_from`.
const BLOCKS_FROM: [&str; 8] = [
    "desk study",
    "site visit",
    "trial bore",
    "mobilisation",
    "drilling",
    "completion",
    "hand-over",
    "never",
];

fn blocks_from(text: &str) -> Option<Option<Stage>> {
    if text == "never" { Some(None) } else { Stage::from_name(text).map(Some) }
}

impl About {
    /// Whether not knowing blocks at `stage`.
    pub fn blocks_at(&self, stage: Stage) -> bool {
        self.blocks_from.is_some_and(|from| stage >= from)
    }

    /// The stage before which it must be known: where not knowing begins to
    /// block, or, where it never does, the last one.
    pub fn known_before(&self) -> Stage {
        self.blocks_from.unwrap_or(Stage::HandOver)
    }

    /// Reads the record of the rule in the file with that stem.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn read(stem: &str, map: &Map) -> Result<Self, Vec<AboutProblem>> {
        let mut read = Reader { map, problems: Vec::new() };
        let about = Self {
            id: read.text("id"),
            title: read.text("title"),
            why: read.text("why"),
            stages: read.words("stages", Stage::from_name, &Stage::ALL.map(Stage::name)),
            reads: read.texts("reads"),
            limits: read.texts("limits"),
            blocks_from: read
                .word("blocks_from", blocks_from, &BLOCKS_FROM)
                .unwrap_or(Some(Stage::DeskStudy)),
            ask: read
                .word("ask", AskKind::from_name, &AskKind::ALL.map(AskKind::name))
                .unwrap_or(AskKind::Look),
            weight: read.number("weight"),
            source: read.text("source"),
            basis: read
                .word("basis", Basis::from_name, &Basis::ALL.map(Basis::name))
                .unwrap_or(Basis::FromMemory),
            since: read.text("since"),
        };
        for key in map.keys().filter(|k| !KEYS.contains(&k.as_str())) {
            let near = crate::diag::nearest_word(key, KEYS.iter().copied());
            let help = near.map_or_else(
                || format!("The keys are {}.", KEYS.join(", ")),
                |n| format!("Did you mean {n}?"),
            );
            read.problem(key, format!("unknown key {key} in ABOUT"), help);
        }
        if !about.id.is_empty() && about.id != stem {
            read.problem(
                "id",
                format!("the id {:?} is not the file's name", about.id),
                format!("Write id: {stem:?}."),
            );
        }
        if read.problems.is_empty() { Ok(about) } else { Err(read.problems) }
    }
}

struct Reader<'a> {
    map: &'a Map,
    problems: Vec<AboutProblem>,
}

impl Reader<'_> {
    fn problem(&mut self, key: &str, message: impl Into<String>, help: impl Into<String>) {
        self.problems.push(AboutProblem { key: key.to_owned(), message: message.into(), help: help.into() });
    }

    fn get(&mut self, key: &str, what: &str) -> Option<Dynamic> {
        let value = self.map.get(key).cloned();
        if value.is_none() {
            self.problem("ABOUT", format!("ABOUT has no {key}"), format!("Add {key}: {what}."));
        }
        value
    }

    fn text(&mut self, key: &str) -> String {
        let Some(value) = self.get(key, "\"…\"") else { return String::new() };
        match value.into_string() {
            Ok(text) if !text.trim().is_empty() => text,
            Ok(_) => {
                self.problem(key, format!("{key} is empty"), "Say it in words.");
                String::new()
            }
            Err(found) => {
                self.problem(key, format!("{key} is {found}, not text"), "Put it in double quotes.");
                String::new()
            }
        }
    }

    fn number(&mut self, key: &str) -> f64 {
        let Some(value) = self.get(key, "a number above 0") else { return 0.0 };
        let number = value.as_float().or_else(|_| value.as_int().map(|i| i as f64)).unwrap_or(f64::NAN);
        if number > 0.0 && number <= MOST_WEIGHT {
            return number;
        }
        self.problem(
            key,
            format!("{key} is not a number above 0, up to {MOST_WEIGHT}"),
            format!("Write {key}: 1."),
        );
        0.0
    }

    fn texts(&mut self, key: &str) -> Vec<String> {
        let Some(value) = self.get(key, "[\"…\"]") else { return Vec::new() };
        let Ok(array) = value.into_array() else {
            self.problem(key, format!("{key} is not a list"), format!("Write {key}: [\"…\"]."));
            return Vec::new();
        };
        let texts: Vec<_> = array.into_iter().filter_map(|v| v.into_string().ok()).collect();
        let mut sorted = texts.clone();
        sorted.sort();
        sorted.dedup();
        if sorted.len() != texts.len() {
            self.problem(key, format!("{key} names something twice"), "Name each once.");
        }
        texts
    }

    fn one<T>(&mut self, key: &str, text: &str, from: fn(&str) -> Option<T>, names: &[&str]) -> Option<T> {
        let found = from(text);
        if found.is_none() {
            self.problem(
                key,
                format!("{key}: {text:?} is not known"),
                format!("Use one of: {}.", names.join(", ")),
            );
        }
        found
    }

    fn word<T>(&mut self, key: &str, from: fn(&str) -> Option<T>, names: &[&str]) -> Option<T> {
        let text = self.text(key);
        if text.is_empty() { None } else { self.one(key, &text, from, names) }
    }

    fn words<T>(&mut self, key: &str, from: fn(&str) -> Option<T>, names: &[&str]) -> Vec<T> {
        let texts = self.texts(key);
        if texts.is_empty() && self.map.contains_key(key) {
            self.problem(
                key,
                format!("{key} is empty"),
                format!("Name at least one of: {}.", names.join(", ")),
            );
        }
        texts.iter().filter_map(|t| self.one(key, t, from, names)).collect()
    }
}
