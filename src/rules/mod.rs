//! The host of the rule scripts: what scripts see, how they are run, and
//! what they find.
//!
//! A script can lie by accident, because its language compares unlike things
//! in silence. So an unmeasured fact never reaches it (reading one ends the
//! script and becomes a *find out*), facts and limits are types of their own
//! that no operator compares, findings are made only by the host's
//! constructors, and anything else a script does is *broken*, which never
//! counts as a pass.

mod about;
mod engine;
mod finding;
mod folder;
mod inspect;
mod interface;
mod judge;
mod load;
mod script;
mod sentences;
mod set;
mod template;
#[cfg(test)]
mod tests;
mod trace;
mod translation;
mod types;

pub use about::About;
pub use finding::{Evidence, Finding, Outcome};
pub use folder::{MAX_RULE_BYTES, SWITCHED_OFF};
pub use interface::{CONSTRUCTORS, Callable, METHODS, definitions};
pub use judge::Judge;
pub use set::{Rule, RuleOff, RuleSet, Script, Spots, Told, Translations};
pub use template::{Piece, Template};
pub use trace::{Did, Step};
pub use translation::{LANGUAGES, Pair, Translation};
