//! Reads a script without running it: its record, the facts and limits it
//! reads, and anything a rule may not contain.

use rhai::{AST, ASTNode, Expr, Map, Position, Stmt};

use super::interface::{CONSTRUCTORS, METHODS};
use crate::diag::nearest_word;

/// Something a rule may not contain, or does not have.
#[derive(Debug, Clone)]
pub(super) struct Fault {
    pub code: &'static str,
    pub at: Position,
    pub message: String,
    pub help: String,
}

/// What was seen in a script.
#[derive(Default)]
pub(super) struct Seen {
    pub about: Option<Map>,
    pub about_at: Position,
    /// Where each key of the record stands.
    pub about_keys: Vec<(String, Position)>,
    pub facts: Vec<(String, Position)>,
    pub limits: Vec<(String, Position)>,
    /// Each finding it can make: the constructor and its place.
    pub made: Vec<(&'static str, Position)>,
    pub faults: Vec<Fault>,
}

pub(super) fn inspect(ast: &AST) -> Seen {
    let mut seen = Seen::default();
    if let Some((_, _, value)) = ast.iter_literal_variables(true, false).find(|(name, ..)| *name == "ABOUT") {
        seen.about = value.try_cast::<Map>();
    }
    let judges = ast.iter_functions().filter(|f| f.name == "judge").collect::<Vec<_>>();
    match judges.first() {
        Some(f) if f.params == ["site", "limits"] => {}
        Some(_) => seen.fault(
            "rule-judge",
            Position::NONE,
            "judge has other parameters",
            "Write fn judge(site, limits).",
        ),
        None => seen.fault(
            "rule-judge",
            Position::new(1, 1),
            "there is no judge",
            "Write fn judge(site, limits) { … }.",
        ),
    }
    for f in ast.iter_functions().filter(|f| f.name != "judge") {
        let name = f.name.to_owned();
        seen.fault(
            "rule-function",
            Position::NONE,
            format!("the function {name} stands beside judge"),
            "Keep a rule to the one function judge, short enough to read aloud.",
        );
    }
    ast.walk(&mut |path| {
        if !in_about(path, &mut seen) {
            node(path, &mut seen);
        }
        true
    });
    seen
}

impl Seen {
    fn fault(
        &mut self,
        code: &'static str,
        at: Position,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.faults.push(Fault { code, at, message: message.into(), help: help.into() });
    }
}

/// Whether the node belongs to the record; notes where its keys stand.
fn in_about(path: &[ASTNode], seen: &mut Seen) -> bool {
    let Some(ASTNode::Stmt(Stmt::Var(var, _, at))) = path.first() else { return false };
    if var.0.name != "ABOUT" {
        return false;
    }
    if path.len() == 1 {
        seen.about_at = *at;
        if let Expr::Map(map, _) = &var.1 {
            seen.about_keys = map.0.iter().map(|(key, _)| (key.name.to_string(), key.pos)).collect();
        }
    }
    true
}

fn variable(expr: &Expr) -> Option<&str> {
    match expr {
        Expr::Variable(v, ..) => Some(v.1.as_str()),
        _ => None,
    }
}

fn node(path: &[ASTNode], seen: &mut Seen) {
    match path.last() {
        Some(ASTNode::Expr(Expr::Dot(pair, ..))) => {
            let first = match &pair.rhs {
                Expr::Dot(inner, ..) => &inner.lhs,
                other => other,
            };
            match (variable(&pair.lhs), first) {
                (Some("site"), Expr::Property(p, at)) => seen.facts.push((p.2.to_string(), *at)),
                (Some("limits"), Expr::Property(p, at)) => seen.limits.push((p.2.to_string(), *at)),
                (Some("site"), Expr::MethodCall(call, at)) if call.name == "known" => match call.args.first()
                {
                    Some(Expr::StringConstant(name, at)) => seen.facts.push((name.to_string(), *at)),
                    _ => seen.fault(
                        "rule-known",
                        *at,
                        "known is asked with something other than a fact's name",
                        "Write site.known(\"…\") with the name in quotes.",
                    ),
                },
                (_, Expr::Property(p, at)) => seen.fault(
                    "rule-property",
                    *at,
                    format!("{} is read from something other than site or limits", p.2),
                    "Read facts as site.… and limits as limits.….",
                ),
                _ => {}
            }
        }
        // It would compare a fact with a word as `==` does: never alike, and
        // without an error.
        Some(ASTNode::Stmt(Stmt::Switch(_, at))) => seen.fault(
            "rule-switch",
            *at,
            "switch is used",
            "Ask site.FACT.says(\"…\") in an if for each word.",
        ),
        Some(ASTNode::Stmt(Stmt::Assignment(it))) => seen.fault(
            "rule-assign",
            it.0.position(),
            "a name is given another meaning",
            "Give each thing a name of its own with let, and keep to it.",
        ),
        Some(ASTNode::Expr(Expr::Index(_, _, at))) => {
            seen.fault(
                "rule-index",
                *at,
                "square brackets are used to read",
                "Read facts as site.… and limits as limits.….",
            );
        }
        Some(ASTNode::Expr(Expr::FnCall(call, at))) => {
            match CONSTRUCTORS.iter().find(|c| c.name == call.name) {
                Some(made) => {
                    seen.made.push((made.name, *at));
                    if !made.takes(call.args.len()) {
                        seen.fault(
                            "rule-arguments",
                            *at,
                            format!("{} is given {} things", made.name, call.args.len()),
                            format!("Write {}.", made.written()),
                        );
                    }
                }
                None if call.is_operator_call() && call.name == "!" => {}
                None if call.is_operator_call() => seen.fault(
                    "rule-operator",
                    *at,
                    format!("the operator {} is used", call.name),
                    "Compare with surely_below, surely_at_least, says(…); leave arithmetic to the facts.",
                ),
                None => seen.fault(
                    "rule-call",
                    *at,
                    format!("{} is called", call.name),
                    callable(&call.name, CONSTRUCTORS.iter().map(|c| c.name), "A rule may call"),
                ),
            }
        }
        Some(ASTNode::Expr(Expr::MethodCall(call, at))) => match METHODS.iter().find(|m| m.name == call.name)
        {
            Some(method) if method.takes(call.args.len()) => {}
            Some(method) => seen.fault(
                "rule-arguments",
                *at,
                format!("{} is given {} things", method.name, call.args.len()),
                format!("Write {}.", method.written()),
            ),
            None => seen.fault(
                "rule-call",
                *at,
                format!("{} is called", call.name),
                callable(&call.name, METHODS.iter().map(|m| m.name), "A fact may be asked"),
            ),
        },
        Some(ASTNode::Expr(Expr::IntegerConstant(_, at) | Expr::FloatConstant(_, at))) => {
            let grade = path.iter().rev().nth(1).is_some_and(|parent| {
                matches!(parent, ASTNode::Expr(Expr::FnCall(call, _)) if CONSTRUCTORS.iter().any(|c| c.name == call.name))
            });
            if !grade {
                seen.fault(
                    "rule-number",
                    *at,
                    "a number stands in the rule",
                    "Give it a name, a source and a value as a limit in the region, and read limits.….",
                );
            }
        }
        _ => {}
    }
}

/// What may be called instead.
fn callable(written: &str, names: impl Iterator<Item = &'static str> + Clone, may: &str) -> String {
    match nearest_word(written, names.clone()) {
        Some(near) => format!("Did you mean {near}?"),
        None => format!("{may} {}.", names.collect::<Vec<_>>().join(", ")),
    }
}
