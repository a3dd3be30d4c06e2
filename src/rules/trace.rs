//! What one run of a rule did, step by step, for whoever writes rules.

use std::rc::Rc;

use crate::diag::Origin;
use crate::facts::Fact;
use crate::region::Figure;

/// One step of a rule.
#[derive(Debug, Clone)]
pub struct Step {
    /// Where in the script.
    pub at: Origin,
    /// What it did.
    pub did: Did,
}

/// One thing that a script did.
#[derive(Debug, Clone)]
pub enum Did {
    /// Read a fact.
    Fact(String, Rc<Fact>),
    /// Read a limit.
    Limit(Box<Figure>),
    /// Asked a question and was answered.
    Asked {
        /// The question, in the words of the interface.
        question: String,
        /// The answer.
        answer: String,
    },
}
