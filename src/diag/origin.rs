//! Where something was read: a file, a line and a column.

use std::fmt;
use std::sync::Arc;

use serde::Serialize;

/// A spot in a user's file. Lines and columns count from 1; columns count
/// characters. Line 0 stands for the file as a whole.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Origin {
    /// The file as the user named it, relative to the survey where it can be.
    pub file: Arc<str>,
    /// Line, from 1; 0 for the whole file.
    pub line: usize,
    /// Column in characters, from 1; 0 where only the line is known.
    pub column: usize,
}

impl Origin {
    /// The spot at `line` and `column` of `file`.
    pub fn new(file: impl Into<Arc<str>>, line: usize, column: usize) -> Self {
        Self { file: file.into(), line, column }
    }

    /// The file as a whole.
    pub fn whole(file: impl Into<Arc<str>>) -> Self {
        Self::new(file, 0, 0)
    }
}

/// `file:line`, or the file alone where no line is known.
impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.line == 0 { write!(f, "{}", self.file) } else { write!(f, "{}:{}", self.file, self.line) }
    }
}

impl Serialize for Origin {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}
