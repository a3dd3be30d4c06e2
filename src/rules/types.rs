//! Is each fact asked what it can answer? Number facts are compared with
//! limits, word facts with words of their own, and nothing with anything
//! else. Read from the script, without running it.

use std::collections::BTreeMap;

use rhai::{AST, ASTNode, Expr, FnCallExpr, Position, Stmt};

use super::inspect::Fault;
use crate::diag::nearest_word;
use crate::facts::{self, Form};

/// What was found.
#[derive(Default)]
pub(super) struct Typed {
    pub faults: Vec<Fault>,
    /// Fact, limit and place of each comparison.
    pub compared: Vec<(String, String, Position)>,
}

/// What a name or an expression stands for.
#[derive(Debug, Clone, PartialEq)]
enum Kind {
    Number(String),
    Chance,
    Word(String, &'static [&'static str]),
    Limit(String),
    Other,
}

/// Checks every question of a script.
pub(super) fn check(ast: &AST) -> Typed {
    let mut typed = Typed::default();
    let mut names = BTreeMap::new();
    ast.walk(&mut |path| {
        match path.last() {
            Some(ASTNode::Stmt(Stmt::Var(var, ..))) => {
                names.insert(var.0.name.to_string(), kind(&var.1, &names));
            }
            Some(ASTNode::Expr(Expr::Dot(pair, ..))) => {
                // `d.asked(…)`, or `site.fact.asked(…)`.
                let (object, call) = match (&pair.lhs, &pair.rhs) {
                    (Expr::Variable(name, ..), Expr::MethodCall(call, at)) => {
                        (names.get(name.1.as_str()).cloned().unwrap_or(Kind::Other), Some((call, *at)))
                    }
                    (Expr::Variable(name, ..), Expr::Dot(inner, ..)) => match (&inner.lhs, &inner.rhs) {
                        (Expr::Property(p, _), Expr::MethodCall(call, at)) => {
                            (property(&name.1, &p.2), Some((call, *at)))
                        }
                        _ => (Kind::Other, None),
                    },
                    _ => (Kind::Other, None),
                };
                if let Some((call, at)) = call {
                    question(&object, call, at, &names, &mut typed);
                }
            }
            _ => {}
        }
        true
    });
    typed
}

fn property(of: &str, name: &str) -> Kind {
    match of {
        "limits" => Kind::Limit(name.to_owned()),
        "site" => match facts::def(name).map(|d| d.form) {
            Some(Form::Number(_)) => Kind::Number(name.to_owned()),
            Some(Form::Word(words)) => Kind::Word(name.to_owned(), words),
            None => Kind::Other,
        },
        _ => Kind::Other,
    }
}

fn kind(expr: &Expr, names: &BTreeMap<String, Kind>) -> Kind {
    match expr {
        Expr::Variable(name, ..) => names.get(name.1.as_str()).cloned().unwrap_or(Kind::Other),
        Expr::Dot(pair, ..) => match (&pair.lhs, &pair.rhs) {
            (Expr::Variable(name, ..), Expr::Property(p, _)) => property(&name.1, &p.2),
            (_, Expr::MethodCall(call, _)) if call.name == "chance_below" => Kind::Chance,
            _ => Kind::Other,
        },
        _ => Kind::Other,
    }
}

fn question(
    object: &Kind,
    call: &FnCallExpr,
    at: Position,
    names: &BTreeMap<String, Kind>,
    typed: &mut Typed,
) {
    let asked = call.name.as_str();
    let mut fault = |code, at, message: String, help: String| {
        typed.faults.push(Fault { code, at, message, help });
    };
    match (object, asked) {
        (Kind::Word(fact, words), "says") => match call.args.first() {
            Some(Expr::StringConstant(word, at)) if !words.contains(&word.as_str()) => {
                let near = nearest_word(word, words.iter().copied());
                let help = near.map_or_else(
                    || format!("Its words are {}.", words.join(", ")),
                    |n| format!("Did you mean {n:?}?"),
                );
                fault("unknown-word", *at, format!("{fact} never says {:?}", word.as_str()), help);
            }
            Some(Expr::StringConstant(..)) | None => {}
            Some(other) => fault(
                "unknown-word",
                other.start_position(),
                format!("{fact} is compared with something other than a word"),
                format!("Write one of its words in quotes: {}.", words.join(", ")),
            ),
        },
        (Kind::Word(fact, words), _) if asked != "known" => {
            let help = format!("Ask site.{fact}.says(\"…\"), one of: {}.", words.join(", "));
            fault("fact-form", at, format!("{fact} is a word and is asked {asked}"), help);
        }
        (Kind::Number(fact), "says") => {
            let help =
                format!("Compare site.{fact} with a limit: surely_below, surely_at_least and their kin.");
            fault("fact-form", at, format!("{fact} is a number and is asked says"), help);
        }
        (Kind::Number(_) | Kind::Chance, _) => {
            for arg in &call.args {
                match kind(arg, names) {
                    Kind::Limit(limit) => {
                        if let Kind::Number(fact) = object {
                            typed.compared.push((fact.clone(), limit, at));
                        }
                    }
                    _ => fault(
                        "not-a-limit",
                        arg.start_position(),
                        format!("{asked} is given something other than a limit"),
                        "Compare with limits.NAME.".to_owned(),
                    ),
                }
            }
        }
        (Kind::Limit(limit), _) => fault(
            "fact-form",
            at,
            format!("the limit {limit} is asked {asked}"),
            "Ask the fact, and give it the limit: site.FACT.surely_below(limits.NAME).".to_owned(),
        ),
        _ => {}
    }
}
