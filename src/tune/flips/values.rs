//! One fact known otherwise: where does a finding turn?
//!
//! A rule asks of a number only on which side of its limits the two ends lie.
//! So it is enough to try the limits and one value between and beyond them,
//! and to narrow down the ends of the stretch that turns the finding.

use std::rc::Rc;

use super::{Change, Found, Turn};
use crate::facts::{self, FORECASTS, Fact, FactSource, Form, SiteFacts, Value};
use crate::tune::sweep::With;
use crate::units::{Estimate, Unit};
use crate::verdict::answer_of;

/// Halvings of the way between a value that turns the finding and one that
/// does not.
const HALVINGS: u32 = 40;

/// Close enough, as a share of the way.
const NARROW: f64 = 1e-7;

/// Decimals a value may have.
const DECIMALS: std::ops::RangeInclusive<i32> = 0..=6;

/// For each fact that the rule reads, what it would have to be.
pub(super) fn smallest(turn: &Turn<'_>) -> Vec<Found> {
    let mut all = Vec::new();
    for name in turn.about.reads.iter().filter(|r| !FORECASTS.contains(&r.as_str())) {
        let (Some(def), Some(fact)) = (facts::def(name), turn.trials.facts.fact(name)) else { continue };
        let change = match def.form {
            Form::Word(words) => word(turn, name, words, &fact),
            Form::Number(unit) => number(turn, name, unit, &fact),
        };
        // Better knowledge costs what the rule's own way of finding out does.
        let price = turn.trials.ask_price(turn.about.ask.name());
        all.extend(change.map(|change| Found { price: price.filter(|_| change.open()), change }));
    }
    all
}

pub(super) fn with_number(
    site: &Rc<SiteFacts>,
    name: &str,
    unit: Unit,
    value: f64,
) -> Option<Rc<dyn FactSource>> {
    with(site.clone(), name, Value::Estimate(Estimate::exact(unit, value).ok()?))
}

pub(super) fn with_word(site: &Rc<SiteFacts>, name: &str, word: &'static str) -> Option<Rc<dyn FactSource>> {
    with(site.clone(), name, Value::Word(word))
}

fn with(others: Rc<dyn FactSource>, name: &str, value: Value) -> Option<Rc<dyn FactSource>> {
    let fact = Fact { value, ..(*others.fact(name)?).clone() };
    Some(Rc::new(With { name: name.to_owned(), fact: Rc::new(fact), others }))
}

fn word(turn: &Turn<'_>, name: &str, words: &'static [&'static str], now: &Fact) -> Option<Change> {
    let tried: Vec<(&'static str, Rc<dyn FactSource>)> =
        words.iter().filter_map(|w| Some((*w, with_word(&turn.trials.site, name, w)?))).collect();
    // What helps here because it is left to another rule, and that rule finds
    // worse for it, is no help.
    let others: Vec<&str> = turn.trials.readers(name).filter(|r| *r != turn.rule()).collect();
    let answer = |rule: &str, facts: &Rc<dyn FactSource>| turn.trials.one(rule, facts).map(|f| answer_of(&f));
    let best = |rule: &&str| tried.iter().map(|(_, facts)| answer(rule, facts)).max().flatten();
    let bests: Vec<_> = others.iter().map(best).collect();
    let helps = |facts: &Rc<dyn FactSource>| {
        turn.turned(facts).is_some()
            && others.iter().zip(&bests).all(|(rule, best)| answer(rule, facts) == *best)
    };
    let words: Vec<_> = tried.iter().filter(|(_, facts)| helps(facts)).map(|(w, _)| *w).collect();
    let open = now.value == Value::Unknown;
    (!words.is_empty()).then(|| Change::Word { fact: name.to_owned(), words, open })
}

fn number(turn: &Turn<'_>, name: &str, unit: Unit, now: &Fact) -> Option<Change> {
    let estimate = match &now.value {
        Value::Estimate(e) => Some(e),
        _ => None,
    };
    let ends = estimate.map(|e| (e.low(), e.value(), e.high())).unwrap_or_default();
    let here = ends.1.or(ends.0).or(ends.2);
    let turns = |x: f64| turn.turns(with_number(&turn.trials.site, name, unit, x));
    let points = points(turn, unit, here);
    let good: Vec<bool> = points.iter().map(|x| turns(*x)).collect();
    let far = |n: &usize| here.zip(points.get(*n)).map_or(0.0, |(h, x)| (h - x).abs());
    let nearest =
        (0..points.len()).filter(|n| good.get(*n) == Some(&true)).min_by(|a, b| far(a).total_cmp(&far(b)))?;
    // The ends of the stretch of values around it that turn the finding.
    let bad_below = (0..nearest).rev().find(|n| good.get(*n) == Some(&false));
    let bad_above = (nearest..points.len()).find(|n| good.get(*n) == Some(&false));
    let end = |bad: usize, next: usize| narrowed(unit, *points.get(bad)?, *points.get(next)?, &turns);
    let at_least = bad_below.and_then(|n| end(n, n + 1));
    let at_most = bad_above.and_then(|n| end(n, n.checked_sub(1)?));
    if at_least.is_none() && at_most.is_none() {
        return None;
    }
    let above = |low: Option<f64>, high: Option<f64>| low.zip(high).is_some_and(|(l, h)| l > h);
    let open = estimate.is_none_or(|e| !above(at_least, e.high()) && !above(e.low(), at_most));
    Some(Change::Number { fact: name.to_owned(), unit, at_least, at_most, open })
}

/// Values that stand for all others: the limits in that unit, one between
/// each two and one beyond them, and what is known now; in order.
fn points(turn: &Turn<'_>, unit: Unit, here: Option<f64>) -> Vec<f64> {
    let limits = turn.about.limits.iter().filter_map(|l| turn.trials.region.limits.get(l));
    let mut marks: Vec<f64> = limits.filter(|f| f.unit == unit).map(|f| f.value).collect();
    marks.extend(here);
    marks.sort_by(f64::total_cmp);
    let (Some(first), Some(last)) = (marks.first().copied(), marks.last().copied()) else {
        return Vec::new();
    };
    let beyond = |x: f64| x.abs().max(1.0) / 2.0;
    let mut all: Vec<f64> = vec![first - beyond(first), last + beyond(last)];
    all.extend(marks.windows(2).filter_map(|pair| match pair {
        [a, b] => Some(f64::midpoint(*a, *b)),
        _ => None,
    }));
    all.extend(&marks);
    if unit == Unit::Count {
        all.iter_mut().for_each(|x| *x = x.round().max(0.0));
    }
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| a.total_cmp(b).is_eq());
    all
}

/// The value nearest to `bad` that still turns the finding, with no more
/// decimals than it takes.
fn narrowed(unit: Unit, mut bad: f64, mut good: f64, turns: &impl Fn(f64) -> bool) -> Option<f64> {
    let (whole, span) = (unit == Unit::Count, (good - bad).abs());
    // Mostly it is the limit itself that turns it.
    let almost = good + (bad - good) * NARROW;
    if !whole && !turns(almost) {
        bad = almost;
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(bad, good);
        let middle = if whole { middle.round() } else { middle };
        let near = if whole { 0.5 } else { NARROW * span };
        if (middle - bad).abs().min((middle - good).abs()) < near {
            break;
        }
        if turns(middle) { good = middle } else { bad = middle }
    }
    let up = good > bad;
    let rounded = DECIMALS.into_iter().find_map(|decimals| {
        let by = 10_f64.powi(decimals);
        // What was narrowed down to a limit is the limit.
        let scaled = (good * by * 1e6).round() / 1e6;
        let x = if up { scaled.ceil() } else { scaled.floor() } / by;
        let near = (x - good).abs() <= 0.01 * good.abs().max(1e-9);
        (near && said(unit, x) && turns(x)).then_some(x)
    });
    Some(rounded.unwrap_or(good))
}

/// Whether the words for a value say all of it.
fn said(unit: Unit, x: f64) -> bool {
    let text = unit.show(x);
    let number: String = text.chars().take_while(|c| c.is_ascii_digit() || matches!(c, '.' | '-')).collect();
    number.parse::<f64>().is_ok_and(|n| (n - x).abs() <= 1e-9 * x.abs().max(1.0))
}
