//! Rule sets: the built-in scripts, and a trainer's own laid over them rule
//! by rule.

use std::collections::BTreeMap;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use super::{About, LANGUAGES, Translation, engine, load};
use crate::diag::{Origin, Problem, Problems, Sources};

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
    /// Whether it comes from a trainer's folder.
    pub own: bool,
    /// Its record, or the first thing that is wrong with the script: such a
    /// rule is shown as broken and never passes.
    pub about: Result<About, Box<Problem>>,
    /// The constructors it calls (`clear`, `stop`, …).
    pub can_give: Vec<&'static str>,
    /// What stands where in the script.
    pub spots: Spots,
    /// Its sentences in other languages, by the tag of the language.
    pub translations: Translations,
}

/// The translations of a rule, by the tag of the language.
pub type Translations = BTreeMap<&'static str, Arc<Translation>>;

/// What stands where in a script.
#[derive(Debug, Clone, Default)]
pub struct Spots {
    /// Each finding it can make: the constructor and its place.
    pub made: Vec<(&'static str, Origin)>,
    /// Each limit read, by name.
    pub limits: Vec<(String, Origin)>,
    /// Each fact compared with a limit: fact, limit, place.
    pub compared: Vec<(String, String, Origin)>,
    /// Each sentence that it may say, as it stands in the script.
    pub sentences: Vec<(String, Origin)>,
    /// Each key of the record.
    pub about_keys: Vec<(String, Origin)>,
}

impl Spots {
    /// Where a key of the record stands.
    pub fn key(&self, name: &str) -> Option<Origin> {
        self.about_keys.iter().find(|(key, _)| key == name).map(|(_, at)| at.clone())
    }
}

impl Rule {
    /// Its title, or its id where the record cannot be read.
    pub fn title(&self) -> &str {
        self.about.as_ref().map_or(&self.id, |a| &a.title)
    }
}

/// A rule that a trainer's folder switches off.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleOff {
    /// Why, in words; never empty.
    pub reason: String,
    /// Where it is switched off.
    pub from: Origin,
}

/// The text of one script, and where it was found.
#[derive(Debug, Clone)]
pub struct Script {
    /// The file, as named in origins.
    pub file: Arc<str>,
    /// The topic.
    pub topic: String,
    /// The id.
    pub id: String,
    /// Its text, or why it cannot be had.
    pub text: Result<Arc<str>, String>,
    /// Whether it comes from a trainer's folder.
    pub own: bool,
    /// The files beside it that tell it in other languages.
    pub translations: Vec<Told>,
}

/// A file that tells a script in another language.
#[derive(Debug, Clone)]
pub struct Told {
    /// The tag of the language.
    pub language: &'static str,
    /// The file, as named in origins.
    pub file: Arc<str>,
    /// Its text, or why it cannot be had.
    pub text: Result<Arc<str>, String>,
}

impl Script {
    /// A script whose file says its topic (the folder) and its id (the stem).
    pub fn new(file: impl Into<Arc<str>>, text: impl Into<Arc<str>>) -> Self {
        let file = file.into();
        let path = std::path::Path::new(file.as_ref());
        let part =
            |p: Option<&std::ffi::OsStr>| p.map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
        let (id, topic) = (part(path.file_stem()), part(path.parent().and_then(std::path::Path::file_name)));
        Self { topic, id, text: Ok(text.into()), own: false, translations: Vec::new(), file }
    }
}

/// A set of rules, in the order of topic and id.
#[derive(Debug, Clone, Default)]
pub struct RuleSet {
    /// The rules.
    pub rules: Vec<Arc<Rule>>,
    /// Rules that are switched off, by id; they are not among the rules.
    pub switched_off: BTreeMap<String, RuleOff>,
}

impl RuleSet {
    /// The scripts that come with the program.
    pub fn built_in_scripts() -> impl Iterator<Item = Script> {
        let files = || crate::built_in::RULE_FILES.iter();
        files().filter_map(move |(path, text)| {
            let stem = path.strip_suffix(".rhai")?;
            let mut script = Script::new(*path, *text);
            for language in LANGUAGES {
                let name = format!("{stem}.{language}.toml");
                let beside = files().find(|(path, _)| *path == name);
                script.translations.extend(beside.map(|(file, text)| Told {
                    language,
                    file: (*file).into(),
                    text: Ok((*text).into()),
                }));
            }
            Some(script)
        })
    }

    /// The rules that come with the program.
    pub fn built_in(sources: &mut Sources, problems: &mut Problems) -> Self {
        Self::of(Self::built_in_scripts(), sources, problems)
    }

    /// The rules of those scripts.
    pub fn of(
        scripts: impl IntoIterator<Item = Script>,
        sources: &mut Sources,
        problems: &mut Problems,
    ) -> Self {
        let engine = engine::engine();
        let mut rules: Vec<Arc<Rule>> = Vec::new();
        for script in scripts {
            if let Ok(text) = &script.text {
                sources.add(script.file.clone(), text.clone());
            }
            for told in &script.translations {
                if let Ok(text) = &told.text {
                    sources.add(told.file.clone(), text.clone());
                }
            }
            rules.push(Arc::new(load::read(&engine, script, problems)));
        }
        rules.sort_by(|a, b| (&a.topic, &a.id, &a.file).cmp(&(&b.topic, &b.id, &b.file)));
        let mut seen: BTreeMap<&str, &Rule> = BTreeMap::new();
        for rule in &rules {
            if let Some(other) = seen.insert(&rule.id, rule) {
                problems.error(
                    "rule-twice",
                    Origin::whole(rule.file.clone()),
                    format!("the rule {} stands in {} too", rule.id, other.file),
                    "Rule names are unique over all topics: rename one.",
                );
            }
        }
        Self { rules, switched_off: BTreeMap::new() }
    }

    /// Content hash of the set: the first 16 hexadecimal digits of the SHA-256
    /// over every rule's topic, id, text and translations in their order, and
    /// over what is switched off and why.
    pub fn hash(&self) -> String {
        let mut hash = Sha256::new();
        let mut add = |part: &str| {
            hash.update(part.len().to_le_bytes());
            hash.update(part.as_bytes());
        };
        for rule in &self.rules {
            [&rule.topic, &rule.id, rule.text.as_ref()].into_iter().for_each(&mut add);
            for (language, told) in &rule.translations {
                [*language, told.text.as_ref()].into_iter().for_each(&mut add);
            }
        }
        for (id, off) in &self.switched_off {
            ["switched off", id, &off.reason].into_iter().for_each(&mut add);
        }
        hash.finalize().iter().take(8).map(|b| format!("{b:02x}")).collect()
    }

    /// The rule of that id.
    pub fn find(&self, id: &str) -> Option<&Arc<Rule>> {
        self.rules.iter().find(|r| r.id == id)
    }
}
