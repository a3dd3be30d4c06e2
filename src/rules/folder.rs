//! A trainer's folder of rules: what lies in it, and how it is laid over the
//! built-in set. A rule of the same name replaces the built-in one, another
//! name adds one, and `switched-off.toml` switches one off with a reason.
//!
//! What cannot be read is never passed over in silence: a script becomes a
//! broken rule, and where the folder itself is in doubt there is no set.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Deserialize;
use toml::Spanned;

use super::set::{RuleOff, RuleSet, Script, Told};
use super::translation::LANGUAGES;
use crate::diag::{Level, Origin, Problems, Sources, nearest_word, read_own_text};

/// The longest script that is read, bytes.
pub const MAX_RULE_BYTES: u64 = 32 * 1024;

/// The file that switches rules off.
pub const SWITCHED_OFF: &str = "switched-off.toml";

/// What the name of a file of editor definitions ends in: no rule.
const DEFINITIONS: &str = ".d.rhai";

/// The topic of a rule that stands in no sub-folder and replaces none.
const OWN_TOPIC: &str = "own";

/// Depth to which sub-folders are looked into.
const MAX_FOLDER_DEPTH: usize = 4;

/// The most scripts of one folder, and the most bytes of all together: to read
/// them takes a moment, and never minutes.
const MAX_RULES: usize = 500;
const MAX_ALL_BYTES: usize = 1024 * 1024;

/// The most files and folders that are looked at.
const MAX_ENTRIES: usize = 5_000;

impl RuleSet {
    /// The built-in rules with those of `folder` laid over them. `None` where
    /// the folder cannot be used; a rule that is wrong is still loaded, and is
    /// broken.
    pub fn layered(folder: &Path, sources: &mut Sources, problems: &mut Problems) -> Option<Self> {
        let before = problems.iter().filter(|p| p.level == Level::Error).count();
        let own = scripts(folder, problems);
        let off = switched_off(folder, &own, sources, problems);
        if problems.iter().filter(|p| p.level == Level::Error).count() > before {
            return None;
        }
        let beneath = Self::built_in_scripts().filter(|b| !own.iter().any(|o| o.id == b.id));
        let on = beneath.chain(own.iter().cloned()).filter(|s| !off.contains_key(&s.id));
        let mut set = Self::of(on, sources, problems);
        set.switched_off = off;
        Some(set)
    }
}

/// The scripts of a folder, sub-folders being topics.
fn scripts(folder: &Path, problems: &mut Problems) -> Vec<Script> {
    let mut found = Found::default();
    let before = problems.len();
    found.collect(folder, 0, problems);
    found.files.sort();
    found.translations.sort();
    none_alone(&found, problems);
    let off = folder.join(SWITCHED_OFF);
    if found.files.is_empty() && !off.exists() && problems.len() == before {
        problems.error(
            "no-rules",
            Origin::whole(folder.display().to_string()),
            "there is no rule in this folder",
            "Put rules in it as TOPIC/RULE.rhai; `forebore rules eject DIR` writes the built-in ones.",
        );
    }
    let whole = Origin::whole(folder.display().to_string());
    if found.files.len() > MAX_RULES {
        let message = format!("there are {} rules in this folder, more than {MAX_RULES}", found.files.len());
        problems.error("rule-folder", whole, message, "Keep only the rules that you change.");
        return Vec::new();
    }
    let built_in: BTreeMap<String, String> = RuleSet::built_in_scripts().map(|s| (s.id, s.topic)).collect();
    let scripts: Vec<Script> = found.files.iter().map(|path| script(folder, path, &built_in)).collect();
    let told =
        |s: &Script| s.translations.iter().filter_map(|t| Some(t.text.as_ref().ok()?.len())).sum::<usize>();
    let own = |s: &Script| s.text.as_ref().map_or(0, |text| text.len());
    let bytes: usize = scripts.iter().map(|s| own(s) + told(s)).sum();
    if bytes > MAX_ALL_BYTES {
        let message = format!("the rules of this folder are {bytes} bytes long, more than {MAX_ALL_BYTES}");
        problems.error("rule-folder", whole, message, "Keep only the rules that you change.");
        return Vec::new();
    }
    scripts
}

fn script(folder: &Path, path: &Path, built_in: &BTreeMap<String, String>) -> Script {
    let file: Arc<str> = path.display().to_string().into();
    let mut script = Script { own: true, ..Script::new(file, "") };
    if path.parent() == Some(folder) {
        // The name of the folder as a whole is no topic: it differs from one
        // machine to the next, and the content hash with it.
        script.topic = built_in.get(&script.id).cloned().unwrap_or_else(|| OWN_TOPIC.to_owned());
    }
    let text_of =
        |path: &Path| read_own_text(path, MAX_RULE_BYTES).map(Into::into).map_err(|error| error.to_string());
    script.text = text_of(path);
    for language in LANGUAGES {
        let beside = path.with_extension(format!("{language}.toml"));
        if fs::symlink_metadata(&beside).is_ok() {
            let file = beside.display().to_string().into();
            script.translations.push(Told { language, file, text: text_of(&beside) });
        }
    }
    script
}

/// A translation without its rule would be passed over in silence.
fn none_alone(found: &Found, problems: &mut Problems) {
    for path in &found.translations {
        let rule = path.with_extension("").with_extension("rhai");
        if !found.files.contains(&rule) {
            problems.error(
                "translation-alone",
                Origin::whole(path.display().to_string()),
                "the rule that this translates does not stand beside it",
                "Put both into the same folder under the same name; `forebore rules eject` writes both.",
            );
        }
    }
}

/// Whether a file of that name tells a rule in another language.
fn is_translation(name: &str) -> bool {
    LANGUAGES.iter().any(|language| name.ends_with(&format!(".{language}.toml")))
}

#[derive(Default)]
struct Found {
    files: Vec<PathBuf>,
    translations: Vec<PathBuf>,
    seen: usize,
}

impl Found {
    fn collect(&mut self, folder: &Path, depth: usize, problems: &mut Problems) {
        let at = |path: &Path| Origin::whole(path.display().to_string());
        let entries = match fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(error) => {
                return problems.error(
                    "no-rules",
                    at(folder),
                    format!("the folder of rules cannot be read: {error}"),
                    "Name a folder with rules in it.",
                );
            }
        };
        for entry in entries {
            self.seen += 1;
            if self.seen > MAX_ENTRIES {
                if self.seen == MAX_ENTRIES + 1 {
                    let message = format!("there are more than {MAX_ENTRIES} files in this folder");
                    let help = "Name the folder of the rules alone.";
                    problems.error("rule-folder", at(folder), message, help);
                }
                return;
            }
            let kind = entry.and_then(|entry| Ok((entry.path(), entry.file_type()?)));
            let (path, kind) = match kind {
                Ok(found) => found,
                Err(error) => {
                    let message = format!("a file of the folder cannot be looked at: {error}");
                    problems.error("rule-folder", at(folder), message, "");
                    continue;
                }
            };
            let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
            let is_rule = name.ends_with(".rhai") && !name.ends_with(DEFINITIONS);
            if kind.is_symlink() && !is_rule {
                // What the link leads to might be rules: a set without them
                // would be another one than its author meant.
                if fs::metadata(&path).is_ok_and(|m| m.is_dir()) {
                    let message = "a link to a folder is not followed";
                    problems.error(
                        "rule-link",
                        at(&path),
                        message,
                        "Copy the rules themselves into the folder.",
                    );
                }
            } else if kind.is_dir() && name.starts_with('.') {
                // A tool's own folder (version control, an editor).
            } else if kind.is_dir() && depth < MAX_FOLDER_DEPTH {
                self.collect(&path, depth + 1, problems);
            } else if kind.is_dir() {
                let message = format!("folders lie more than {MAX_FOLDER_DEPTH} deep");
                problems.error("rule-folder", at(&path), message, "Put rules in as TOPIC/RULE.rhai.");
            } else if is_rule {
                self.files.push(path);
            } else if is_translation(&name) {
                self.translations.push(path);
            }
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OffFile {
    #[serde(default)]
    switch_off: BTreeMap<Spanned<String>, Off>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Off {
    reason: Spanned<String>,
}

fn switched_off(
    folder: &Path,
    own: &[Script],
    sources: &mut Sources,
    problems: &mut Problems,
) -> BTreeMap<String, RuleOff> {
    const HOW: &str = "Write [switch_off.RULE] and under it reason = \"why this rule does not hold here\".";
    let path = folder.join(SWITCHED_OFF);
    let file: Arc<str> = path.display().to_string().into();
    if fs::symlink_metadata(&path).is_err() {
        return BTreeMap::new();
    }
    let text = match read_own_text(&path, MAX_RULE_BYTES) {
        Ok(text) => text,
        Err(error) => {
            let message = format!("it cannot be read: {error}");
            problems.error("switched-off", Origin::whole(file), message, HOW);
            return BTreeMap::new();
        }
    };
    sources.add(file.clone(), text.as_str());
    let spot = |byte: usize| Sources::spot(&file, &text, byte);
    let read: OffFile = match toml::from_str(&text) {
        Ok(read) => read,
        Err(error) => {
            let at = spot(error.span().map_or(0, |s| s.start));
            problems.error("switched-off", at, error.message().to_owned(), HOW);
            return BTreeMap::new();
        }
    };
    let known: Vec<String> =
        RuleSet::built_in_scripts().map(|s| s.id).chain(own.iter().map(|s| s.id.clone())).collect();
    let mut off = BTreeMap::new();
    for (id, Off { reason }) in read.switch_off {
        let at = spot(id.span().start);
        let id = id.into_inner();
        if !known.contains(&id) {
            let near = nearest_word(&id, known.iter().map(String::as_str));
            let help = near
                .map_or_else(|| "See `forebore rules list`.".to_owned(), |n| format!("Did you mean {n}?"));
            problems.error("no-such-rule", at, format!("there is no rule {id}"), help);
        } else if reason.get_ref().trim().is_empty() {
            let message = format!("{id} is switched off without a reason");
            problems.error("switched-off", spot(reason.span().start), message, HOW);
        } else {
            off.insert(id, RuleOff { reason: reason.into_inner().trim().to_owned(), from: at });
        }
    }
    off
}
