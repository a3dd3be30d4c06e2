//! What one rule found at one peg, with all that it rests on.

use std::rc::Rc;
use std::sync::Arc;

use serde::Serialize;

use super::Rule;
use crate::diag::Origin;
use crate::facts::{Fact, Missing};
use crate::region::Figure;

/// What a rule may find, from the worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// The site fails.
    Stop,
    /// The script itself failed; shown as such, and never a pass.
    Broken,
    /// It cannot be told yet.
    FindOut,
    /// It passes on a condition.
    Caution,
    /// It passes.
    Clear,
    /// The rule has nothing to say here.
    DoesNotApply,
}

impl Outcome {
    /// The word in JSON and in worked cases.
    pub fn word(self) -> &'static str {
        match self {
            Outcome::Stop => "stop",
            Outcome::Broken => "broken",
            Outcome::FindOut => "find-out",
            Outcome::Caution => "caution",
            Outcome::Clear => "clear",
            Outcome::DoesNotApply => "does-not-apply",
        }
    }

    /// The outcome of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        use Outcome::*;
        [Stop, Broken, FindOut, Caution, Clear, DoesNotApply].into_iter().find(|o| o.word() == word)
    }
}

/// One fact that the script read.
#[derive(Debug, Clone)]
pub struct Evidence {
    /// The fact's name.
    pub name: String,
    /// The fact.
    pub fact: Rc<Fact>,
    /// The chance that it is below each limit it was compared with, where
    /// that can be told.
    pub chance_below: Vec<(String, f64)>,
}

/// What one rule found.
#[derive(Debug, Clone)]
pub struct Finding {
    /// The rule.
    pub rule: Arc<Rule>,
    /// What it found.
    pub outcome: Outcome,
    /// What was seen and what was required.
    pub why: String,
    /// What to do; empty where nothing needs doing.
    pub to_do: String,
    /// From 0 (as bad as can be) to 100; `None` where it is not known or the
    /// rule does not apply.
    pub grade: Option<f64>,
    /// For [`Outcome::FindOut`] and [`Outcome::Broken`]: whether it blocks
    /// the stage that was asked.
    pub blocks: bool,
    /// What it read, in the order read.
    pub evidence: Vec<Evidence>,
    /// The limits it read, in the order read.
    pub limits: Vec<Figure>,
    /// What would make it known, or better known.
    pub missing: Vec<Missing>,
    /// Where in the script the finding was made.
    pub at: Origin,
}
