//! A fact while it is being worked out: what it comes from, what would make it
//! better known, and what to say about it.

use std::collections::BTreeSet;

use super::{AskKind, Fact, Missing, Value};
use crate::diag::Origin;
use crate::survey::Seen;
use crate::units::{Estimate, NotANumber, Unit};

/// A worked-out fact, or the one thing without which it cannot be.
pub(super) type Answer = Result<Fact, Missing>;

/// The observations, asks and notes gathered so far.
#[derive(Debug, Clone, Default)]
pub(super) struct Sheet {
    from: BTreeSet<Origin>,
    notes: Vec<String>,
    missing: BTreeSet<Missing>,
}

impl Sheet {
    pub(super) fn new() -> Self {
        Self::default()
    }

    /// Takes down where something was read.
    pub(super) fn read(&mut self, from: &Origin) {
        self.from.insert(from.clone());
    }

    /// A value, with where it was read taken down.
    pub(super) fn take<'a, T>(&mut self, seen: &'a Seen<T>) -> &'a T {
        self.read(&seen.from);
        &seen.value
    }

    /// The same for a value that may not have been observed.
    pub(super) fn take_any<'a, T>(&mut self, seen: Option<&'a Seen<T>>) -> Option<&'a T> {
        seen.map(|s| self.take(s))
    }

    pub(super) fn ask(&mut self, how: AskKind, what: impl Into<String>) {
        self.missing.insert(Missing::new(how, what));
    }

    /// A trial bore answers many questions at once: always the same ask.
    pub(super) fn ask_trial_bore(&mut self) {
        self.ask(
            AskKind::TrialBore,
            "Make a trial bore at the peg down to the needed depth, write down every layer, read its water level the \
             next day, and bail it to see what it yields.",
        );
    }

    /// The same for neighbours.
    pub(super) fn ask_for_wells(&mut self) {
        self.ask(
            AskKind::Look,
            "Search for wells around the peg and write down where they are, how deep, and how low their water falls.",
        );
    }

    pub(super) fn note(&mut self, note: impl Into<String>) {
        self.notes.push(note.into());
    }

    /// Takes over what another fact came from and what it asks.
    pub(super) fn lean_on(&mut self, fact: &Fact) {
        self.from.extend(fact.from.iter().cloned());
        self.missing.extend(fact.missing.iter().cloned());
    }

    /// The same for a fact that was made along the way.
    pub(super) fn join(&mut self, other: &Sheet) {
        self.from.extend(other.from.iter().cloned());
        self.missing.extend(other.missing.iter().cloned());
    }

    pub(super) fn number(self, estimate: Result<Estimate, NotANumber>) -> Answer {
        match estimate {
            Ok(e) if e.low().is_none() && e.high().is_none() && e.value().is_none() => Ok(self.unknown()),
            Ok(e) => Ok(self.finish(Value::Estimate(e))),
            Err(NotANumber) => {
                Err(Missing::new(AskKind::Write, "Correct the figures: they are too great to reckon with."))
            }
        }
    }

    pub(super) fn word(self, word: &'static str) -> Answer {
        Ok(self.finish(Value::Word(word)))
    }

    pub(super) fn unknown(self) -> Fact {
        self.finish(Value::Unknown)
    }

    fn finish(self, value: Value) -> Fact {
        Fact {
            value,
            from: self.from.into_iter().collect(),
            note: self.notes.join("; "),
            missing: self.missing.into_iter().collect(),
        }
    }
}

/// An estimate from whatever ends are known; a value needs a low end.
pub(super) fn estimate(
    unit: Unit,
    low: Option<f64>,
    value: Option<f64>,
    high: Option<f64>,
) -> Result<Estimate, NotANumber> {
    match (low, value) {
        (Some(low), Some(value)) => {
            let whole = Estimate::band(unit, low, value, high.unwrap_or(value))?;
            Ok(if high.is_none() { whole.perhaps_up_to(None) } else { whole })
        }
        _ => Estimate::bounded(unit, low, high),
    }
}

/// A count that lies between two whole numbers.
pub(super) fn count(low: usize, value: usize, high: usize) -> Result<Estimate, NotANumber> {
    let number = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    Estimate::band(Unit::Count, number(low), number(value), number(high))
}
