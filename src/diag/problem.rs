//! One thing that is wrong, and the collection of all of them.

use super::Origin;

/// How much a problem matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// Said for the record (an extra column left aside).
    Note,
    /// Used, but not as it stands (a repeated row kept once).
    Warning,
    /// The row or entry could not be used; the rest goes on, and the verdict
    /// cannot be better than "find out first".
    LeftOut,
    /// The file cannot be used at all.
    Error,
}

/// One problem: its stable code, where it is, what was found, and what was
/// expected and how to mend it.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Stable kebab-case code, unique to this kind of problem.
    pub code: &'static str,
    /// How much it matters.
    pub level: Level,
    /// Where it is.
    pub at: Origin,
    /// How many characters of the line it covers (0: the spot alone).
    pub length: usize,
    /// What was found; lower case, no full stop.
    pub message: String,
    /// What was expected and how to mend it; a sentence.
    pub help: String,
}

/// All problems met so far, in the order they were met.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Problems(Vec<Problem>);

impl Problems {
    /// No problem yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        self.0.push(problem);
    }

    /// Adds an [`Level::Error`].
    pub fn error(
        &mut self,
        code: &'static str,
        at: Origin,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.add(Level::Error, code, at, message, help);
    }

    /// Adds a problem of any level covering no more than its spot.
    pub fn add(
        &mut self,
        level: Level,
        code: &'static str,
        at: Origin,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.0.push(Problem { code, level, at, length: 0, message: message.into(), help: help.into() });
    }

    /// Adds all of another collection.
    pub fn extend(&mut self, other: Problems) {
        self.0.extend(other.0);
    }

    /// Whether any of them is an [`Level::Error`].
    pub fn any_error(&self) -> bool {
        self.0.iter().any(|p| p.level == Level::Error)
    }

    /// All of them, in the order met.
    pub fn iter(&self) -> impl Iterator<Item = &Problem> {
        self.0.iter()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }
}

impl IntoIterator for Problems {
    type Item = Problem;
    type IntoIter = std::vec::IntoIter<Problem>;
    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}
