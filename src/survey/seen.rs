//! An observed value and where it was written down.

use crate::diag::Origin;

/// A value with the file and line it came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen<T> {
    /// What was observed.
    pub value: T,
    /// Where it was written.
    pub from: Origin,
}

impl<T> Seen<T> {
    /// `value` as written at `from`.
    pub fn new(value: T, from: Origin) -> Self {
        Self { value, from }
    }

    /// The same observation, read differently.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Seen<U> {
        Seen { value: f(self.value), from: self.from }
    }
}
