//! What can be known about one peg, worked out from the survey and the
//! region: the values that rules read. Each fact knows the observations it
//! came from; a fact that nobody observed knows what to find out.

mod fact;
mod registry;
mod table;

pub use fact::{AskKind, Fact, FactSource, Missing, Value};
pub use registry::{FACTS, FactDef, Form, def};
pub use table::FactTable;
