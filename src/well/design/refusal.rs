//! Why a well cannot be designed, and what would mend it.

use serde::Serialize;

use crate::units::OutOfRange;

/// What stands against a design.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RefusalKind {
    /// A figure that no well can have.
    Figure,
    /// There is no such layer.
    NoLayer,
    /// The layer bears no water.
    BearsNoWater,
    /// Too little water-bearing ground below the driest level.
    TooThin,
    /// So high that the seal cannot reach its depth.
    TooShallowToSeal,
    /// The method does not get there.
    NotReached,
    /// The water would flow out of the open hole.
    Artesian,
    /// A shaft to stand in, which is another kind of well.
    DugShaft,
    /// Nobody says what casing the lift needs.
    LiftUnknown,
    /// No pipe on the list is wide enough.
    NoCasing,
    /// The casing does not fit the hole with room for pack and seal.
    CasingDoesNotFit,
}

/// One reason why there is no design.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Refusal {
    /// What stands against it.
    pub kind: RefusalKind,
    /// The reason, in a sentence.
    pub reason: String,
    /// What would mend it.
    pub remedy: String,
}

impl Refusal {
    pub(super) fn new(kind: RefusalKind, reason: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { kind, reason: reason.into(), remedy: remedy.into() }
    }
}

impl From<OutOfRange> for Refusal {
    fn from(fault: OutOfRange) -> Self {
        Self::new(
            RefusalKind::Figure,
            format!("No well can be reckoned with this: {fault}."),
            "Mend the figure where it was stated.",
        )
    }
}
