//! One fact, and what it takes to know it.

use std::rc::Rc;

use serde::Serialize;

use crate::diag::Origin;
use crate::units::Estimate;

/// A fact about the peg.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// What is known.
    pub value: Value,
    /// The observations it came from, in the order of file and line.
    pub from: Vec<Origin>,
    /// How it came about, for the report: "nearest is north latrine, bearing
    /// 15°". May be empty.
    pub note: String,
    /// What would make it better known. Never empty where the value is
    /// [`Value::Unknown`].
    pub missing: Vec<Missing>,
}

/// What is known of a fact.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A quantity with its uncertainty.
    Estimate(Estimate),
    /// One word of the fact's list.
    Word(&'static str),
    /// Nobody observed it.
    Unknown,
}

/// Something to find out.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Missing {
    /// By what kind of act.
    pub how: AskKind,
    /// What to do, as a sentence to the person at the peg.
    pub ask: String,
}

impl Missing {
    /// Something to find out by `how`.
    pub fn new(how: AskKind, ask: impl Into<String>) -> Self {
        Self { how, ask: ask.into() }
    }
}

/// Kinds of finding out; their prices stand in the region's `[asks]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(into = "&'static str")]
pub enum AskKind {
    /// Write down what is known already (an accuracy, a datum, a unit).
    Write,
    /// Walk around and look.
    Look,
    /// Ask people who live there.
    Ask,
    /// Tape a distance or a depth.
    Tape,
    /// Dip a well for its water level.
    Dip,
    /// Ask an office or an owner for a paper.
    Office,
    /// Test water with a field kit or meter.
    FieldKit,
    /// Send water to a laboratory.
    Laboratory,
    /// Make a trial bore.
    TrialBore,
}

impl AskKind {
    /// Every kind.
    pub const ALL: [AskKind; 9] = [
        AskKind::Write,
        AskKind::Look,
        AskKind::Ask,
        AskKind::Tape,
        AskKind::Dip,
        AskKind::Office,
        AskKind::FieldKit,
        AskKind::Laboratory,
        AskKind::TrialBore,
    ];

    /// The name in region files and rules.
    pub fn name(self) -> &'static str {
        match self {
            AskKind::Write => "write",
            AskKind::Look => "look",
            AskKind::Ask => "ask",
            AskKind::Tape => "tape",
            AskKind::Dip => "dip",
            AskKind::Office => "office",
            AskKind::FieldKit => "field kit",
            AskKind::Laboratory => "laboratory",
            AskKind::TrialBore => "trial bore",
        }
    }

    /// The kind of that name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.name() == name)
    }
}

impl From<AskKind> for &'static str {
    fn from(kind: AskKind) -> Self {
        kind.name()
    }
}

/// Anything that can answer for facts: a site, or a worked case.
pub trait FactSource {
    /// The fact of that name; `None` where no fact has that name.
    fn fact(&self, name: &str) -> Option<Rc<Fact>>;
}
