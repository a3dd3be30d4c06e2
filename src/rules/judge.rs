//! Runs rules on one peg. One judge per worker: it owns its engine and its
//! compiled scripts.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use rhai::{AST, CallFnOptions, Dynamic, Engine, EvalAltResult, Position, Scope};

use super::script::{Limits, Log, Ruling, Run, Site, Unmeasured};
use super::trace::Step;
use super::{About, Evidence, Finding, Outcome, Rule, RuleSet, engine};
use crate::diag::{Origin, Sources};
use crate::facts::{self, FactSource, Missing};
use crate::region::Figure;
use crate::survey::Stage;

/// A rule with its script and its record; both `None` where it is broken.
type Compiled = (Arc<Rule>, Option<(AST, Arc<About>)>);

/// Compiled rules and the engine that runs them.
pub struct Judge {
    engine: Engine,
    rules: Vec<Compiled>,
}

impl Judge {
    /// Compiles the rules of a set.
    pub fn new(set: &RuleSet) -> Self {
        let engine = engine::engine();
        let rules = set
            .rules
            .iter()
            .map(|rule| {
                let about = rule.about.as_ref().ok();
                let script = about.and_then(|about| {
                    let ast = engine.compile(rule.text.as_ref()).ok()?;
                    Some((ast, Arc::new(about.clone())))
                });
                (rule.clone(), script)
            })
            .collect();
        Self { engine, rules }
    }

    /// What every rule asked at `stage` finds, in the order of the set.
    /// Rules for which `switched_off` holds are passed over.
    pub fn judge(
        &self,
        stage: Stage,
        facts: &Rc<dyn FactSource>,
        limits: &Rc<BTreeMap<String, Figure>>,
        switched_off: impl Fn(&str) -> bool,
    ) -> Vec<Finding> {
        self.rules
            .iter()
            .filter(|(rule, _)| !switched_off(&rule.id))
            .filter(|(rule, _)| rule.about.as_ref().map_or(true, |about| about.stages.contains(&stage)))
            .map(|(rule, script)| self.one(rule, script.as_ref(), stage, facts, limits, None))
            .collect()
    }

    /// What the rule of that id finds; `None` where there is none.
    pub fn judge_one(
        &self,
        id: &str,
        stage: Stage,
        facts: &Rc<dyn FactSource>,
        limits: &Rc<BTreeMap<String, Figure>>,
    ) -> Option<Finding> {
        let (rule, script) = self.rules.iter().find(|(rule, _)| rule.id == id)?;
        Some(self.one(rule, script.as_ref(), stage, facts, limits, None))
    }

    /// What that rule finds, with all it did on the way.
    pub fn trace(
        &self,
        id: &str,
        stage: Stage,
        facts: &Rc<dyn FactSource>,
        limits: &Rc<BTreeMap<String, Figure>>,
    ) -> Option<(Finding, Vec<Step>)> {
        let (rule, script) = self.rules.iter().find(|(rule, _)| rule.id == id)?;
        let mut steps = Vec::new();
        let finding = self.one(rule, script.as_ref(), stage, facts, limits, Some(&mut steps));
        Some((finding, steps))
    }

    fn one(
        &self,
        rule: &Arc<Rule>,
        script: Option<&(AST, Arc<About>)>,
        stage: Stage,
        facts: &Rc<dyn FactSource>,
        limits: &Rc<BTreeMap<String, Figure>>,
        steps: Option<&mut Vec<Step>>,
    ) -> Finding {
        let (ast, about) = match (&rule.about, script) {
            (Ok(_), Some((ast, about))) => (ast, about),
            (Err(problem), _) => return broken(rule, problem.at.clone(), &problem.message, Log::default()),
            (Ok(_), None) => {
                let at = Origin::whole(rule.file.clone());
                return broken(rule, at, "the script does not compile", Log::default());
            }
        };
        let run = Rc::new(Run {
            facts: facts.clone(),
            limits: limits.clone(),
            about: about.clone(),
            log: RefCell::new(Log::default()),
            traced: steps.is_some(),
        });
        let options = CallFnOptions::new().eval_ast(false);
        let given = self.engine.call_fn_with_options::<Dynamic>(
            options,
            &mut Scope::new(),
            ast,
            "judge",
            (Site(run.clone()), Limits(run.clone())),
        );
        let mut log = run.log.take();
        let at =
            |p: Position| Origin::new(rule.file.clone(), p.line().unwrap_or(0), p.position().unwrap_or(0));
        if let Some(steps) = steps {
            steps.extend(log.steps.drain(..).map(|(p, did)| Step { at: at(p), did }));
        }
        match given.map(|value| (value.type_name(), value.try_cast::<Ruling>())) {
            Ok((_, Some(ruling))) => found(rule, about, stage, at(ruling.at), ruling, log),
            Ok((kind, None)) => {
                let what = if kind == "()" { "nothing" } else { kind };
                let message = format!("the script gave {what} instead of a finding");
                // It came to the end of judge, the last thing in a rule.
                let end = rule.text.rfind('}').unwrap_or_default();
                broken(rule, Sources::spot(&rule.file, &rule.text, end), &message, log)
            }
            Err(error) => {
                let inner = error.unwrap_inner();
                let position = inner.position();
                if let EvalAltResult::ErrorRuntime(value, _) = inner
                    && let Some(unmeasured) = value.clone().try_cast::<Unmeasured>()
                {
                    return unknown(rule, about, stage, at(position), &[unmeasured.fact], log);
                }
                let message = error.unwrap_inner().clone_without_position();
                let at = if position.is_none() { judge_at(rule) } else { at(position) };
                broken(rule, at, &message, log)
            }
        }
    }
}

/// Where judge begins, for what has no place of its own.
fn judge_at(rule: &Rule) -> Origin {
    Sources::spot(&rule.file, &rule.text, rule.text.find("fn judge").unwrap_or_default())
}

/// The error's words without its position, which is shown beside it.
trait Words {
    fn clone_without_position(&self) -> String;
}

impl Words for EvalAltResult {
    fn clone_without_position(&self) -> String {
        let text = self.to_string();
        let text = text.split(" (line ").next().unwrap_or_default();
        text.strip_prefix("Runtime error: ").unwrap_or(text).to_owned()
    }
}

fn finding(rule: &Arc<Rule>, outcome: Outcome, at: Origin, log: Log) -> Finding {
    let evidence = log
        .facts
        .into_iter()
        .map(|(name, fact)| {
            let mine = log.chances.iter().filter(|(f, ..)| *f == name);
            let chance_below = mine.map(|(_, limit, chance)| (limit.clone(), *chance)).collect();
            Evidence { name, fact, chance_below }
        })
        .collect();
    Finding {
        rule: rule.clone(),
        outcome,
        why: String::new(),
        to_do: String::new(),
        grade: None,
        blocks: false,
        evidence,
        limits: log.limits,
        missing: Vec::new(),
        at,
    }
}

fn broken(rule: &Arc<Rule>, at: Origin, message: &str, log: Log) -> Finding {
    let mut f = finding(rule, Outcome::Broken, at, log);
    f.why = format!("The rule itself failed and judged nothing: {message}.");
    f.to_do = format!("Have the trainer mend {}, then assess again.", f.at);
    f.blocks = true;
    f
}

/// What is asked where facts are not known.
fn unknown(rule: &Arc<Rule>, about: &About, stage: Stage, at: Origin, names: &[String], log: Log) -> Finding {
    let mut f = finding(rule, Outcome::FindOut, at, log);
    let said: Vec<_> = names
        .iter()
        .map(|n| facts::def(n).map_or(n.as_str(), |d| d.about).trim_end_matches('.').to_owned())
        .collect();
    f.why = format!("Not known: {}.", said.join("; "));
    f.missing = missing_of(&f.evidence, |name| names.iter().any(|n| n == name));
    f.to_do = match f.missing.is_empty() {
        true => "Find this out and add it to the survey.".to_owned(),
        false => f.missing.iter().map(|m| m.ask.as_str()).collect::<Vec<_>>().join(" "),
    };
    f.blocks = about.blocks_at(stage);
    if f.missing.is_empty() {
        f.missing.push(Missing::new(about.ask, f.to_do.clone()));
    }
    f
}

fn missing_of(evidence: &[Evidence], wanted: impl Fn(&str) -> bool) -> Vec<Missing> {
    let mut all: Vec<Missing> = Vec::new();
    for m in evidence.iter().filter(|e| wanted(&e.name)).flat_map(|e| &e.fact.missing) {
        if !all.contains(m) {
            all.push(m.clone());
        }
    }
    all
}

fn found(rule: &Arc<Rule>, about: &About, stage: Stage, at: Origin, ruling: Ruling, log: Log) -> Finding {
    // A script that was told "not known" may still stop or warn, but it
    // cannot pass the site, nor say that the rule does not concern it.
    if !log.told_unknown.is_empty() && matches!(ruling.outcome, Outcome::Clear | Outcome::DoesNotApply) {
        let names = log.told_unknown.clone();
        return unknown(rule, about, stage, at, &names, log);
    }
    let mut f = finding(rule, ruling.outcome, at, log);
    f.why = ruling.why;
    f.to_do = ruling.to_do;
    f.grade = ruling.grade;
    if ruling.outcome == Outcome::FindOut {
        f.blocks = about.blocks_at(stage);
        f.missing = missing_of(&f.evidence, |_| true);
        let own = Missing::new(about.ask, f.to_do.clone());
        if f.missing.is_empty() {
            f.missing.push(own);
        }
    }
    f
}
