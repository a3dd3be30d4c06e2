//! Everything a script may call, in one table: what the reader of scripts
//! accepts, and what editors are told.

use std::fmt::Write as _;

use crate::facts::{FACTS, Form};
use crate::region::Figure;

/// Something a script may call.
#[derive(Debug)]
pub struct Callable {
    /// Its name.
    pub name: &'static str,
    /// The type it is asked of; `None` for a constructor of findings.
    pub on: Option<&'static str>,
    /// What it is given: names and types.
    pub given: &'static [(&'static str, &'static str)],
    /// How many of these may be left out, from the last.
    pub optional: usize,
    /// What it gives.
    pub gives: &'static str,
    /// What it means, in a sentence or two.
    pub about: &'static str,
}

impl Callable {
    /// Whether it takes so many things.
    pub fn takes(&self, count: usize) -> bool {
        (self.given.len() - self.optional..=self.given.len()).contains(&count)
    }

    /// How it is written.
    pub fn written(&self) -> String {
        let names: Vec<_> = self.given.iter().map(|(name, _)| *name).collect();
        let of = if self.on.is_some() { "…." } else { "" };
        format!("{of}{}({})", self.name, names.join(", "))
    }
}

const fn finding(
    name: &'static str,
    given: &'static [(&'static str, &'static str)],
    optional: usize,
    about: &'static str,
) -> Callable {
    Callable { name, on: None, given, optional, gives: "Finding", about }
}

const fn asked(
    on: &'static str,
    name: &'static str,
    given: &'static [(&'static str, &'static str)],
    gives: &'static str,
    about: &'static str,
) -> Callable {
    Callable { name, on: Some(on), given, optional: 0, gives, about }
}

/// The constructors of findings.
pub const CONSTRUCTORS: [Callable; 5] = [
    finding(
        "clear",
        &[("why", "String"), ("grade", "float")],
        1,
        "The site passes. The grade runs from 0 to 100 and is 100 where it is left out.",
    ),
    finding(
        "caution",
        &[("why", "String"), ("act", "String"), ("grade", "float")],
        1,
        "The site passes on a condition: what to do. The grade is 50 where it is left out.",
    ),
    finding(
        "stop",
        &[("why", "String"), ("act", "String")],
        0,
        "The site fails; what would change that. Its grade is 0.",
    ),
    finding(
        "find_out",
        &[("why", "String"), ("act", "String")],
        0,
        "It cannot be told yet; how to find out.",
    ),
    finding("does_not_apply", &[("why", "String")], 0, "The rule has nothing to say here."),
];

const LIMIT: &[(&str, &str)] = &[("limit", "Limit")];

/// What facts and the site may be asked.
pub const METHODS: [Callable; 8] = [
    asked("Estimate", "surely_below", LIMIT, "bool", "Even its high end is below the limit."),
    asked("Estimate", "surely_at_most", LIMIT, "bool", "Even its high end is at or below the limit."),
    asked("Estimate", "surely_above", LIMIT, "bool", "Even its low end is above the limit."),
    asked("Estimate", "surely_at_least", LIMIT, "bool", "Even its low end is at or above the limit."),
    asked(
        "Estimate",
        "chance_below",
        LIMIT,
        "Estimate",
        "The chance, from 0 to 1, that it is below the limit. Where that cannot be told the rule ends and finds out.",
    ),
    asked(
        "Estimate",
        "grade",
        &[("worst", "Limit"), ("best", "Limit")],
        "float",
        "Where it stands between two limits at its worse end: 0 at the worst, 100 at the best.",
    ),
    asked(
        "Word",
        "says",
        &[("word", "String")],
        "bool",
        "Whether the fact is this word, which must be one of its words.",
    ),
    asked(
        "Site",
        "known",
        &[("fact", "String")],
        "bool",
        "Whether anybody observed the fact of that name. A rule that is told \"not known\" can no longer say clear.",
    ),
];

/// Editor definitions (`.d.rhai`) of everything a script may read and call,
/// with the limits of a region.
pub fn definitions<'a>(limits: impl IntoIterator<Item = &'a Figure>) -> String {
    let mut text = String::from(
        "// Written by forebore for editors that know Rhai; no rule, and never run.\nmodule static;\n",
    );
    for call in CONSTRUCTORS.iter().chain(&METHODS) {
        for left_out in (0..=call.optional).rev() {
            let object = call.on.map(|on| ("_", on));
            let given = call.given.iter().copied().take(call.given.len() - left_out);
            let list: Vec<_> = object.into_iter().chain(given).map(|(n, t)| format!("{n}: {t}")).collect();
            comment(&mut text, call.about);
            let _ = writeln!(text, "fn {}({}) -> {};", call.name, list.join(", "), call.gives);
        }
    }
    for fact in FACTS {
        let (form, gives) = match fact.form {
            Form::Number(unit) if unit.name() == "1" => ("A ratio.".to_owned(), "Estimate"),
            Form::Number(unit) => (format!("In {}.", unit.name()), "Estimate"),
            Form::Word(words) => (format!("One of: {}.", words.join(", ")), "Word"),
        };
        comment(&mut text, fact.about);
        let _ = writeln!(text, "/// {form}\nfn get {}(site: Site) -> {gives};", fact.name);
    }
    for limit in limits {
        comment(&mut text, &limit.about);
        let value = limit.unit.show(limit.value);
        let _ = writeln!(
            text,
            "/// {value} where neither the setting nor a local file says otherwise.\nfn get {}(limits: Limits) -> Limit;",
            limit.name
        );
    }
    text
}

fn comment(text: &mut String, about: &str) {
    text.push('\n');
    for line in about.lines() {
        let _ = writeln!(text, "/// {line}");
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the table says may be called must be what the engine knows: each
    /// call either runs or fails for another reason than its name.
    #[test]
    fn the_engine_knows_every_call_of_the_table() {
        let engine = super::super::engine::engine();
        let value = |kind: &str| match kind {
            "String" => "\"x\"",
            "float" => "50.0",
            _ => "q",
        };
        for call in CONSTRUCTORS.iter().chain(&METHODS).filter(|c| c.on.is_none_or(|on| on == "Estimate")) {
            for left_out in 0..=call.optional {
                let list: Vec<_> =
                    call.given.iter().take(call.given.len() - left_out).map(|(_, t)| value(t)).collect();
                let object = if call.on.is_some() { "q." } else { "" };
                let script = format!("{object}{}({})", call.name, list.join(", ").replace('q', "l"));
                let mut scope = rhai::Scope::new();
                let (quantity, limit) = super::super::script::sample();
                scope.push("q", quantity).push("l", limit);
                let given = engine.eval_with_scope::<rhai::Dynamic>(&mut scope, &script);
                assert!(given.is_ok(), "{script}: {given:?}");
            }
        }
    }

    #[test]
    fn editors_are_told_every_fact_and_every_call() {
        let text = definitions([]);
        for fact in FACTS {
            assert!(text.contains(&format!("fn get {}(site: Site)", fact.name)), "{}", fact.name);
        }
        assert!(text.contains("fn caution(why: String, act: String) -> Finding;"));
        assert!(text.contains("fn caution(why: String, act: String, grade: float) -> Finding;"));
        assert!(text.contains("fn surely_below(_: Estimate, limit: Limit) -> bool;"));
    }
}
