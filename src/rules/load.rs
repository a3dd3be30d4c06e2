//! Rule sets: the built-in scripts and a trainer's own, checked as far as
//! they can be without running them.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use rhai::Position;
use sha2::{Digest, Sha256};

use super::{About, engine, inspect};
use crate::diag::{Level, Origin, Problem, Problems, Sources, nearest_word};
use crate::facts;

/// One script as it was found.
#[derive(Debug, Clone)]
pub struct Rule {
    /// The file, as named in origins.
    pub file: Arc<str>,
    /// The folder it stands in.
    pub topic: String,
    /// The file's stem.
    pub id: String,
    /// Its text.
    pub text: Arc<str>,
    /// Its record, or the first thing that is wrong with the script: such a
    /// rule is shown as broken and never passes.
    pub about: Result<About, Box<Problem>>,
    /// The constructors it calls (`clear`, `stop`, …).
    pub can_give: Vec<&'static str>,
}

impl Rule {
    /// Its title, or its id where the record cannot be read.
    pub fn title(&self) -> &str {
        self.about.as_ref().map_or(&self.id, |a| &a.title)
    }
}

/// A set of rules, in the order of topic and id.
#[derive(Debug, Clone, Default)]
pub struct RuleSet {
    /// The rules.
    pub rules: Vec<Arc<Rule>>,
}

impl RuleSet {
    /// The rules that come with the program.
    pub fn built_in(sources: &mut Sources, problems: &mut Problems) -> Self {
        let files = crate::built_in::RULE_FILES.iter().filter(|(path, _)| path.ends_with(".rhai"));
        Self::of(files.map(|(path, text)| ((*path).into(), (*text).into())), sources, problems)
    }

    /// The rules of a folder, sub-folders being topics. Links are not
    /// followed.
    pub fn folder(folder: &Path, sources: &mut Sources, problems: &mut Problems) -> Self {
        let mut files = Vec::new();
        collect(folder, 0, &mut files, problems);
        files.sort();
        if files.is_empty() && !problems.any_error() {
            problems.error(
                "no-rules",
                Origin::whole(folder.display().to_string()),
                "there is no rule in this folder",
                "Put rules in it as TOPIC/RULE.rhai; `forebore rules eject DIR` writes the built-in ones.",
            );
        }
        let mut texts = Vec::new();
        for file in files {
            let size = fs::metadata(&file).map_or(0, |m| m.len());
            if size > MAX_RULE_BYTES {
                problems.error(
                    "rule-too-long",
                    Origin::whole(file.display().to_string()),
                    format!("the rule is {size} bytes long"),
                    format!("A rule is short enough to read aloud; at most {MAX_RULE_BYTES} bytes."),
                );
                continue;
            }
            match fs::read_to_string(&file) {
                Ok(text) => texts.push((file.display().to_string().into(), text.into())),
                Err(error) => problems.error(
                    "unreadable-rule",
                    Origin::whole(file.display().to_string()),
                    format!("the rule cannot be read: {error}"),
                    "A rule is a text file in UTF-8.",
                ),
            }
        }
        Self::of(texts, sources, problems)
    }

    /// The rules in those files.
    pub fn of(
        files: impl IntoIterator<Item = (Arc<str>, Arc<str>)>,
        sources: &mut Sources,
        problems: &mut Problems,
    ) -> Self {
        let engine = engine::engine();
        let mut rules: Vec<Arc<Rule>> = Vec::new();
        for (file, text) in files {
            sources.add(file.clone(), text.clone());
            rules.push(Arc::new(read(&engine, file, text, problems)));
        }
        rules.sort_by(|a, b| (&a.topic, &a.id, &a.file).cmp(&(&b.topic, &b.id, &b.file)));
        for pair in rules.windows(2) {
            if let [a, b] = pair
                && rules.iter().filter(|r| r.id == b.id).count() > 1
                && a.id == b.id
            {
                problems.error(
                    "rule-twice",
                    Origin::whole(b.file.clone()),
                    format!("the rule {} stands in {} too", b.id, a.file),
                    "Rule names are unique over all topics: rename one.",
                );
            }
        }
        Self { rules }
    }

    /// Content hash of the set: the first 16 hexadecimal digits of the SHA-256
    /// over every rule's topic, id and text, in their order.
    pub fn hash(&self) -> String {
        let mut hash = Sha256::new();
        for rule in &self.rules {
            for part in [&rule.topic, &rule.id, rule.text.as_ref()] {
                hash.update(part.len().to_le_bytes());
                hash.update(part.as_bytes());
            }
        }
        hash.finalize().iter().take(8).map(|b| format!("{b:02x}")).collect()
    }

    /// The rule of that id.
    pub fn find(&self, id: &str) -> Option<&Arc<Rule>> {
        self.rules.iter().find(|r| r.id == id)
    }
}

/// So many faults of one rule are told at the most.
const MOST_FAULTS: usize = 20;

/// The longest script that is read.
const MAX_RULE_BYTES: u64 = 64 * 1024;

/// Depth to which sub-folders are looked into.
const MAX_FOLDER_DEPTH: usize = 4;

fn collect(folder: &Path, depth: usize, files: &mut Vec<std::path::PathBuf>, problems: &mut Problems) {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) => {
            return problems.error(
                "no-rules",
                Origin::whole(folder.display().to_string()),
                format!("the folder of rules cannot be read: {error}"),
                "Name a folder with rules in it.",
            );
        }
    };
    for entry in entries.flatten() {
        let Ok(kind) = entry.file_type() else { continue };
        let path = entry.path();
        if kind.is_symlink() {
            problems.add(
                Level::Warning,
                "rule-link",
                Origin::whole(path.display().to_string()),
                "a link is not followed",
                "Copy the rule itself into the folder.",
            );
        } else if kind.is_dir() && depth < MAX_FOLDER_DEPTH {
            collect(&path, depth + 1, files, problems);
        } else if kind.is_file() && path.extension().is_some_and(|e| e == "rhai") {
            files.push(path);
        }
    }
}

fn read(engine: &rhai::Engine, file: Arc<str>, text: Arc<str>, problems: &mut Problems) -> Rule {
    let path = Path::new(file.as_ref());
    let part = |p: Option<&std::ffi::OsStr>| p.map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let id = part(path.file_stem());
    let topic = part(path.parent().and_then(Path::file_name));
    let mut found = Vec::new();
    let spot = |at: Position| Origin::new(file.clone(), at.line().unwrap_or(0), at.position().unwrap_or(0));
    let mut note = |code, at: Position, message: String, help: String| {
        found.push(Problem { code, level: Level::Error, at: spot(at), length: 0, message, help });
    };
    let mut about = None;
    let mut can_give = Vec::new();
    match engine.compile(text.as_ref()) {
        Err(error) => note(
            "rule-syntax",
            error.position(),
            lower_first(&error.err_type().to_string()),
            "Mend the script here.".to_owned(),
        ),
        Ok(ast) => {
            let seen = inspect::inspect(&ast);
            can_give = seen.made.iter().copied().collect();
            match &seen.about {
                None => note(
                    "rule-about",
                    seen.about_at,
                    "there is no ABOUT made of plain values".to_owned(),
                    "Begin the script with const ABOUT = #{ id: \"…\", … }; without anything computed."
                        .to_owned(),
                ),
                Some(map) => match About::read(&id, map) {
                    Ok(read) => about = Some(read),
                    Err(list) => {
                        for p in list {
                            let key = seen.about_keys.iter().find(|(k, _)| *k == p.key);
                            note("rule-about", key.map_or(seen.about_at, |k| k.1), p.message, p.help);
                        }
                    }
                },
            }
            if let Some(about) = &about {
                compare_reads(about, &seen, &mut note);
            }
            for fault in seen.faults {
                note(fault.code, fault.at, fault.message, fault.help);
            }
        }
    }
    let broken = found.first().cloned();
    let more = found.len().saturating_sub(MOST_FAULTS);
    for p in found.into_iter().take(MOST_FAULTS) {
        problems.push(p);
    }
    if more > 0 {
        problems.error(
            "rule-faults",
            Origin::whole(file.clone()),
            format!("and {more} faults more"),
            "Mend those first.",
        );
    }
    let about = match (broken, about) {
        (Some(problem), _) => Err(Box::new(problem)),
        (None, Some(about)) => Ok(about),
        (None, None) => Err(Box::new(Problem {
            code: "rule-about",
            level: Level::Error,
            at: Origin::whole(file.clone()),
            length: 0,
            message: "the rule has no record".to_owned(),
            help: String::new(),
        })),
    };
    Rule { file, topic, id, text, about, can_give }
}

/// What the record says is read against what the script reads.
fn compare_reads(
    about: &About,
    seen: &inspect::Seen,
    note: &mut impl FnMut(&'static str, Position, String, String),
) {
    let key = |name: &str| seen.about_keys.iter().find(|(k, _)| k == name).map_or(seen.about_at, |k| k.1);
    for (what, read, declared) in
        [("reads", &seen.facts, &about.reads), ("limits", &seen.limits, &about.limits)]
    {
        for (name, at) in read {
            if what == "reads" && facts::def(name).is_none() {
                let near = nearest_word(name, facts::FACTS.iter().map(|d| d.name));
                let help = near.map_or_else(String::new, |n| format!("Did you mean {n}?"));
                note("unknown-fact", *at, format!("there is no fact {name}"), help);
            } else if !declared.contains(name) {
                let help = format!("Add {name:?} to {what} in ABOUT.");
                note("undeclared-read", *at, format!("{name} is read and not listed under {what}"), help);
            }
        }
        for name in declared.iter().filter(|d| !read.iter().any(|(n, _)| n == *d)) {
            if what == "reads" && facts::def(name).is_none() {
                let near = nearest_word(name, facts::FACTS.iter().map(|d| d.name));
                let help = near.map_or_else(String::new, |n| format!("Did you mean {n}?"));
                note("unknown-fact", key(what), format!("there is no fact {name}"), help);
            } else {
                let message = format!("{name} is listed under {what} and never read");
                note("unread", key(what), message, "Take it out of the list, or read it.".to_owned());
            }
        }
    }
}

fn lower_first(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}
