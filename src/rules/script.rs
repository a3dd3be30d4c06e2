//! What a script can see and call: the site's facts, the region's limits,
//! and the constructors of a finding. Everything read is logged.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use rhai::{Dynamic, Engine, EvalAltResult, ImmutableString, NativeCallContext, Position};

use super::trace::Did;
use super::{About, Outcome};
use crate::diag::nearest_word;
use crate::facts::{self, Fact, FactSource, Form, Value};
use crate::region::Figure;
use crate::units::{Estimate, Unit};

type Result<T> = std::result::Result<T, Box<EvalAltResult>>;

/// One run of one rule: what it may read, and what it has read so far.
pub(super) struct Run {
    pub facts: Rc<dyn FactSource>,
    pub limits: Rc<BTreeMap<String, Figure>>,
    /// Facts and limits that the record says it reads.
    pub about: Arc<About>,
    pub log: RefCell<Log>,
    /// Whether every step is noted, for a trainer who looks on.
    pub traced: bool,
}

/// What a run has read.
#[derive(Default)]
pub(super) struct Log {
    pub facts: Vec<(String, Rc<Fact>)>,
    pub limits: Vec<Figure>,
    pub chances: Vec<(String, String, f64)>,
    /// Facts that the script asked for and was told are not known.
    pub told_unknown: Vec<String>,
    /// What the script did, step by step, where that is asked for.
    pub steps: Vec<(Position, Did)>,
}

/// Ends a script that reads a fact nobody observed.
#[derive(Clone)]
pub(super) struct Unmeasured {
    pub fact: String,
}

/// `site` in a script.
#[derive(Clone)]
pub(super) struct Site(pub Rc<Run>);

/// `limits` in a script.
#[derive(Clone)]
pub(super) struct Limits(pub Rc<Run>);

/// A number fact in a script.
#[derive(Clone)]
struct Quantity {
    fact: String,
    estimate: Rc<Estimate>,
    run: Rc<Run>,
}

/// A word fact in a script.
#[derive(Clone)]
struct Word {
    fact: String,
    word: &'static str,
    known: &'static [&'static str],
    run: Rc<Run>,
}

/// A limit in a script.
#[derive(Clone)]
struct Limit {
    name: ImmutableString,
    value: f64,
    unit: Unit,
}

/// What a script gives back.
#[derive(Clone)]
pub(super) struct Ruling {
    pub outcome: Outcome,
    pub why: String,
    pub to_do: String,
    pub grade: Option<f64>,
    pub at: Position,
}

fn fail<T>(message: impl Into<String>) -> Result<T> {
    Err(message.into().into())
}

fn suggest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    nearest_word(written, known).map_or_else(String::new, |n| format!("; did you mean {n}?"))
}

impl Run {
    /// Notes a step, where that is asked for.
    fn step(&self, ctx: &NativeCallContext, did: impl FnOnce() -> Did) {
        if self.traced {
            self.log.borrow_mut().steps.push((ctx.call_position(), did()));
        }
    }

    fn asked(&self, ctx: &NativeCallContext, question: impl FnOnce() -> String, answer: impl ToString) {
        self.step(ctx, || Did::Asked { question: question(), answer: answer.to_string() });
    }

    fn fact(&self, name: &str) -> Result<Rc<Fact>> {
        if !self.about.reads.iter().any(|r| r == name) {
            return match facts::def(name) {
                Some(_) => fail(format!("reads {name}, which ABOUT does not list under reads")),
                None => {
                    let hint = suggest(name, facts::FACTS.iter().map(|d| d.name));
                    fail(format!("there is no fact {name}{hint}"))
                }
            };
        }
        let Some(fact) = self.facts.fact(name) else { return fail(format!("there is no fact {name}")) };
        let mut log = self.log.borrow_mut();
        if !log.facts.iter().any(|(n, _)| n == name) {
            log.facts.push((name.to_owned(), fact.clone()));
        }
        Ok(fact)
    }
}

fn get_fact(ctx: NativeCallContext, site: &mut Site, name: ImmutableString) -> Result<Dynamic> {
    let run = &site.0;
    let fact = run.fact(&name)?;
    run.step(&ctx, || Did::Fact(name.to_string(), fact.clone()));
    match &fact.value {
        Value::Estimate(estimate) => Ok(Dynamic::from(Quantity {
            fact: name.to_string(),
            estimate: Rc::new(estimate.clone()),
            run: run.clone(),
        })),
        Value::Word(word) => {
            let known = match facts::def(&name).map(|d| d.form) {
                Some(Form::Word(known)) => known,
                _ => &[],
            };
            Ok(Dynamic::from(Word { fact: name.to_string(), word, known, run: run.clone() }))
        }
        Value::Unknown => Err(Box::new(EvalAltResult::ErrorRuntime(
            Dynamic::from(Unmeasured { fact: name.to_string() }),
            Position::NONE,
        ))),
    }
}

fn known(ctx: NativeCallContext, site: &mut Site, name: ImmutableString) -> Result<bool> {
    let fact = site.0.fact(&name)?;
    let known = fact.value != Value::Unknown;
    site.0.asked(&ctx, || format!("is {name} known?"), yes_no(known));
    if !known {
        let mut log = site.0.log.borrow_mut();
        if !log.told_unknown.iter().any(|n| *n == name.as_str()) {
            log.told_unknown.push(name.to_string());
        }
    }
    Ok(known)
}

fn yes_no(answer: bool) -> &'static str {
    if answer { "yes" } else { "no" }
}

fn get_limit(ctx: NativeCallContext, limits: &mut Limits, name: ImmutableString) -> Result<Limit> {
    let run = &limits.0;
    if !run.about.limits.iter().any(|l| *l == name.as_str()) {
        let hint = suggest(&name, run.about.limits.iter().map(String::as_str));
        return fail(format!("reads the limit {name}, which ABOUT does not list under limits{hint}"));
    }
    let Some(figure) = run.limits.get(name.as_str()) else {
        let hint = suggest(&name, run.limits.keys().map(String::as_str));
        return fail(format!("the region sets no limit {name}{hint}"));
    };
    run.step(&ctx, || Did::Limit(Box::new(figure.clone())));
    let mut log = run.log.borrow_mut();
    if !log.limits.iter().any(|f| f.name == figure.name) {
        log.limits.push(figure.clone());
    }
    Ok(Limit { name, value: figure.value, unit: figure.unit })
}

impl Quantity {
    /// Notes the chance for the report, and refuses to compare unlike units.
    fn against(&self, limit: &Limit) -> Result<f64> {
        if self.estimate.unit() != limit.unit {
            return fail(format!(
                "compares {} in {} with {} in {}",
                self.fact,
                self.estimate.unit().name(),
                limit.name,
                limit.unit.name()
            ));
        }
        if let Some(chance) = self.estimate.chance_below(limit.value) {
            let mut log = self.run.log.borrow_mut();
            if !log.chances.iter().any(|(f, l, _)| *f == self.fact && *l == limit.name.as_str()) {
                log.chances.push((self.fact.clone(), limit.name.to_string(), chance));
            }
        }
        Ok(limit.value)
    }

    fn compare(
        &mut self,
        ctx: &NativeCallContext,
        (asked, how): (&str, fn(&Estimate, f64) -> bool),
        limit: &Limit,
    ) -> Result<bool> {
        let answer = how(&self.estimate, self.against(limit)?);
        let question = || {
            let (fact, value) = (&self.fact, limit.unit.show(limit.value));
            format!("is {fact} {} {value} ({})?", asked.replace('_', " "), limit.name)
        };
        self.run.asked(ctx, question, yes_no(answer));
        Ok(answer)
    }

    fn chance(ctx: NativeCallContext, q: &mut Quantity, limit: Limit) -> Result<Quantity> {
        q.chance_below(&ctx, &limit)
    }

    fn chance_below(&self, ctx: &NativeCallContext, limit: &Limit) -> Result<Quantity> {
        let value = self.against(limit)?;
        let chance = self.estimate.chance_below(value).and_then(|c| Estimate::exact(Unit::One, c).ok());
        match chance {
            Some(chance) => {
                self.run.asked(ctx, || format!("chance that {} is below {}", self.fact, limit.name), &chance);
                Ok(Quantity { fact: self.fact.clone(), estimate: Rc::new(chance), run: self.run.clone() })
            }
            None => Err(Box::new(EvalAltResult::ErrorRuntime(
                Dynamic::from(Unmeasured { fact: self.fact.clone() }),
                Position::NONE,
            ))),
        }
    }

    fn grade(ctx: NativeCallContext, q: &mut Quantity, worst: Limit, best: Limit) -> Result<f64> {
        let grade = q.estimate.grade(q.against(&worst)?, q.against(&best)?);
        let question = || format!("grade of {} from {} to {}", q.fact, worst.name, best.name);
        q.run.asked(&ctx, question, format_args!("{grade:.0}"));
        Ok(grade)
    }
}

impl Word {
    fn says(ctx: NativeCallContext, this: &mut Word, word: ImmutableString) -> Result<bool> {
        if !this.known.contains(&word.as_str()) {
            let hint = suggest(&word, this.known.iter().copied());
            return fail(format!(
                "{word:?} is never the answer here; the words are {}{hint}",
                this.known.join(", ")
            ));
        }
        let answer = this.word == word.as_str();
        this.run.asked(&ctx, || format!("does {} say \"{word}\"?", this.fact), yes_no(answer));
        Ok(answer)
    }
}

fn ruling(
    ctx: &NativeCallContext,
    outcome: Outcome,
    why: ImmutableString,
    to_do: ImmutableString,
    grade: Option<f64>,
) -> Result<Ruling> {
    if why.trim().is_empty() {
        return fail("a finding needs its reason in words");
    }
    let needs_doing = matches!(outcome, Outcome::Caution | Outcome::Stop | Outcome::FindOut);
    if needs_doing && to_do.trim().is_empty() {
        return fail("a finding that is not clear needs what to do, in words");
    }
    if grade.is_some_and(|g| !(0.0..=100.0).contains(&g)) {
        return fail("a grade is a number from 0 to 100");
    }
    Ok(Ruling { outcome, why: why.to_string(), to_do: to_do.to_string(), grade, at: ctx.call_position() })
}

/// Teaches the engine everything above.
pub(super) fn register(engine: &mut Engine) {
    engine.register_type_with_name::<Site>("Site");
    engine.register_type_with_name::<Limits>("Limits");
    engine.register_type_with_name::<Quantity>("Estimate");
    engine.register_type_with_name::<Word>("Word");
    engine.register_type_with_name::<Limit>("Limit");
    engine.register_type_with_name::<Ruling>("Finding");

    engine.register_indexer_get(get_fact);
    engine.register_indexer_get(get_limit);
    engine.register_fn("known", known);

    type Compare = (&'static str, fn(&Estimate, f64) -> bool);
    let compares: [Compare; 4] = [
        ("surely_below", Estimate::surely_below),
        ("surely_at_most", Estimate::surely_at_most),
        ("surely_above", Estimate::surely_above),
        ("surely_at_least", Estimate::surely_at_least),
    ];
    for how in compares {
        engine.register_fn(how.0, move |c: NativeCallContext, q: &mut Quantity, l: Limit| {
            q.compare(&c, how, &l)
        });
    }
    engine.register_fn("chance_below", Quantity::chance);
    engine.register_fn("grade", Quantity::grade);
    engine.register_fn("says", Word::says);

    for name in ["to_string", "to_debug"] {
        engine.register_fn(name, |q: &mut Quantity| q.estimate.to_string());
        engine.register_fn(name, |l: &mut Limit| l.unit.show(l.value));
        engine.register_fn(name, |w: &mut Word| w.word.to_owned());
    }

    type Text = ImmutableString;
    type Ctx<'a> = NativeCallContext<'a>;
    let none = ImmutableString::new;
    engine
        .register_fn("clear", move |c: Ctx, why: Text| ruling(&c, Outcome::Clear, why, none(), Some(100.0)))
        .register_fn("clear", move |c: Ctx, why: Text, g: f64| {
            ruling(&c, Outcome::Clear, why, none(), Some(g))
        })
        .register_fn("clear", move |c: Ctx, why: Text, g: i64| {
            ruling(&c, Outcome::Clear, why, none(), Some(g as f64))
        })
        .register_fn("caution", |c: Ctx, why: Text, act: Text| {
            ruling(&c, Outcome::Caution, why, act, Some(50.0))
        })
        .register_fn("caution", |c: Ctx, why: Text, act: Text, g: f64| {
            ruling(&c, Outcome::Caution, why, act, Some(g))
        })
        .register_fn("caution", |c: Ctx, why: Text, act: Text, g: i64| {
            ruling(&c, Outcome::Caution, why, act, Some(g as f64))
        })
        .register_fn("stop", |c: Ctx, why: Text, act: Text| ruling(&c, Outcome::Stop, why, act, Some(0.0)))
        .register_fn("find_out", |c: Ctx, why: Text, act: Text| ruling(&c, Outcome::FindOut, why, act, None))
        .register_fn("does_not_apply", move |c: Ctx, why: Text| {
            ruling(&c, Outcome::DoesNotApply, why, none(), None)
        });

    refuse_operators(engine);
}

/// Comparing one of our types with anything by an operator would be `false`
/// in silence: every such pair is an error instead.
fn refuse_operators(engine: &mut Engine) {
    fn refused<A, B>(_: A, _: B) -> Result<bool> {
        fail(
            "facts and limits are compared with surely_below, surely_at_least and their kin, words with says(…)",
        )
    }
    macro_rules! pairs {
        ($engine:ident, $op:expr, $($ours:ty),+) => { $(pairs!(@each $engine, $op, $ours, Quantity, Word, Limit);
            pairs!(@both $engine, $op, $ours, f64, i64, bool, ImmutableString, (), char);)+ };
        (@each $engine:ident, $op:expr, $ours:ty, $($other:ty),+) => {
            $($engine.register_fn($op, refused::<$ours, $other>);)+ };
        (@both $engine:ident, $op:expr, $ours:ty, $($other:ty),+) => {
            $($engine.register_fn($op, refused::<$ours, $other>); $engine.register_fn($op, refused::<$other, $ours>);)+ };
    }
    for op in ["==", "!=", "<", "<=", ">", ">="] {
        pairs!(engine, op, Quantity, Word, Limit);
    }
}

/// A fact and a limit as a script holds them, for tests of the engine.
#[cfg(test)]
pub(super) fn sample() -> (Dynamic, Dynamic) {
    let about = About {
        id: String::new(),
        title: String::new(),
        why: String::new(),
        stages: Vec::new(),
        reads: Vec::new(),
        limits: Vec::new(),
        blocks_from: None,
        ask: crate::facts::AskKind::Look,
        weight: 1.0,
        source: String::new(),
        basis: crate::region::Basis::CommonPractice,
        since: String::new(),
    };
    let run = Run {
        facts: Rc::new(facts::FactTable::default()),
        limits: Rc::default(),
        about: Arc::new(about),
        log: RefCell::default(),
        traced: false,
    };
    let limit = Limit { name: "y".into(), value: 1.0, unit: Unit::Metre };
    let estimate = Estimate::exact(Unit::Metre, 10.0).unwrap();
    let quantity = Quantity { fact: "x".into(), estimate: Rc::new(estimate), run: Rc::new(run) };
    (Dynamic::from(quantity), Dynamic::from(limit))
}
