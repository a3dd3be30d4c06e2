//! One script read as far as it can be without running it.

use std::sync::Arc;

use rhai::{ParseErrorType, Position};

use super::sentences::{Sentence, sentences};
use super::set::{Rule, Script, Spots, Told, Translations};
use super::{About, Translation, inspect, types};
use crate::diag::{Level, Origin, Problem, Problems, Sources, nearest_word};
use crate::facts;

/// So many names may be given in one rule, the word in texts counted.
const MOST_NAMES: usize = 200;

/// So many faults of one rule are told at the most.
const MOST_FAULTS: usize = 20;

/// The rule of a script, with everything that is wrong with it told.
pub(super) fn read(engine: &rhai::Engine, script: Script, problems: &mut Problems) -> Rule {
    let Script { file, topic, id, text, own, translations } = script;
    let text = match text {
        Ok(text) => text,
        Err(why) => return unread(file, topic, id, own, &why, problems),
    };
    let mut found = Vec::new();
    let spot = |at: Position| match at.line() {
        Some(line) => Origin::new(file.clone(), line, at.position().unwrap_or(0)),
        // Functions carry no place of their own.
        None => Sources::spot(&file, &text, text.find("fn ").unwrap_or_default()),
    };
    let mut note = |code, at: Position, message: String, help: String| {
        found.push(Problem { code, level: Level::Error, at: spot(at), length: 0, message, help });
    };
    let mut about = None;
    let mut can_give = Vec::new();
    let mut spots = Spots::default();
    let names = text.matches("let ").count();
    match engine.compile(if names > MOST_NAMES { "" } else { text.as_ref() }) {
        // The compiler compares every name with every other.
        Ok(_) if names > MOST_NAMES => note(
            "rule-names",
            Position::new(1, 1),
            format!("the rule gives {names} names with let"),
            "A rule is short enough to read aloud: a handful of names is enough.".to_owned(),
        ),
        Err(error) => note(
            "rule-syntax",
            error.position(),
            lower_first(&error.err_type().to_string()),
            syntax_help(error.err_type(), &text),
        ),
        Ok(ast) => {
            let seen = inspect::inspect(&ast);
            can_give = seen.made.iter().map(|(made, _)| *made).collect();
            can_give.sort_unstable();
            can_give.dedup();
            let typed = types::check(&ast);
            let place = |list: &[(String, Position)]| -> Vec<(String, Origin)> {
                list.iter().map(|(name, at)| (name.clone(), spot(*at))).collect()
            };
            spots = Spots {
                made: seen.made.iter().map(|(made, at)| (*made, spot(*at))).collect(),
                limits: place(&seen.limits),
                compared: typed.compared.into_iter().map(|(f, l, at)| (f, l, spot(at))).collect(),
                about_keys: place(&seen.about_keys),
                sentences: Vec::new(),
            };
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
            for fault in seen.faults.into_iter().chain(typed.faults) {
                note(fault.code, fault.at, fault.message, fault.help);
            }
        }
    }
    let said = said(&text, about.as_ref());
    spots.sentences = said.iter().map(|s| (s.text.clone(), Sources::spot(&file, &text, s.at))).collect();
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
    // What is wrong with the rule itself comes first.
    let translations = about.as_ref().map(|_| translated(translations, &said, problems)).unwrap_or_default();
    Rule { file, topic, id, text, own, about, can_give, spots, translations }
}

/// What a reader may be told by the rule: its title, why there is such a rule,
/// and the sentences of its findings.
fn said(text: &str, about: Option<&About>) -> Vec<Sentence> {
    let record = about.into_iter().flat_map(|a| [&a.title, &a.why]);
    let at = |words: &str| text.find(words).unwrap_or_default();
    let mut all: Vec<Sentence> = record.map(|t| Sentence { text: t.clone(), at: at(t) }).collect();
    all.extend(sentences(text));
    all
}

fn translated(files: Vec<Told>, said: &[Sentence], problems: &mut Problems) -> Translations {
    let mut all = Translations::new();
    for Told { language, file, text } in files {
        match text {
            Ok(text) => {
                all.insert(language, Arc::new(Translation::read(file, text, said, problems)));
            }
            Err(why) => problems.error(
                "translation",
                Origin::whole(file),
                format!("the translation cannot be read: {why}"),
                "It is a text file in UTF-8 beside its rule.",
            ),
        }
    }
    all
}

/// A rule whose script cannot be had.
fn unread(file: Arc<str>, topic: String, id: String, own: bool, why: &str, problems: &mut Problems) -> Rule {
    let problem = Problem {
        code: "unreadable-rule",
        level: Level::Error,
        at: Origin::whole(file.clone()),
        length: 0,
        message: format!("the rule cannot be read: {why}"),
        help: "A rule is a text file in UTF-8, in the folder itself, short enough to read aloud.".to_owned(),
    };
    problems.push(problem.clone());
    let (can_give, spots, translations) = (Vec::new(), Spots::default(), Translations::new());
    let about = Err(Box::new(problem));
    Rule { file, topic, id, text: "".into(), own, about, can_give, spots, translations }
}

/// How to mend a script that cannot be compiled.
fn syntax_help(error: &ParseErrorType, text: &str) -> String {
    let near = |written: &str| {
        let words = text.split(|c: char| !c.is_alphanumeric() && c != '_');
        let named = words.clone().zip(words.skip(1)).filter(|(before, _)| *before == "let").map(|(_, n)| n);
        nearest_word(written, named.chain(["site", "limits"]))
    };
    match error {
        ParseErrorType::VariableUndefined(name) => near(name).map_or_else(
            || "Read facts as site.…, limits as limits.…; put words in quotes.".to_owned(),
            |n| format!("Did you mean {n}?"),
        ),
        ParseErrorType::Reserved(word) => {
            format!("A rule needs no {word}: it reads facts and limits, asks them, and gives one finding.")
        }
        ParseErrorType::ExprTooDeep => "Break the expression into shorter ones.".to_owned(),
        _ => "Mend the script here; a missing bracket, comma or quote may also stand on the line before."
            .to_owned(),
    }
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
                let near = nearest_word(name, declared.iter().map(String::as_str));
                let near = near.map_or_else(String::new, |n| format!("Did you mean {n}? Otherwise add "));
                let add = if near.is_empty() { "Add " } else { &near };
                let help = format!("{add}{name:?} to {what} in ABOUT.");
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
