//! The decision at hand, in the order in which money is committed.

use serde::Serialize;

/// A stage; later stages are greater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(into = "&'static str")]
pub enum Stage {
    /// From maps and records, before anyone travels.
    DeskStudy,
    /// Standing at the peg.
    SiteVisit,
    /// After a trial hole.
    TrialBore,
    /// Before buying casing and moving a crew.
    Mobilisation,
    /// While the hole goes down.
    Drilling,
    /// Before casing and screen are set.
    Completion,
    /// Before people drink.
    HandOver,
}

impl Stage {
    /// Every stage, in order.
    pub const ALL: [Stage; 7] = [
        Stage::DeskStudy,
        Stage::SiteVisit,
        Stage::TrialBore,
        Stage::Mobilisation,
        Stage::Drilling,
        Stage::Completion,
        Stage::HandOver,
    ];

    /// The name people write.
    pub fn name(self) -> &'static str {
        match self {
            Stage::DeskStudy => "desk study",
            Stage::SiteVisit => "site visit",
            Stage::TrialBore => "trial bore",
            Stage::Mobilisation => "mobilisation",
            Stage::Drilling => "drilling",
            Stage::Completion => "completion",
            Stage::HandOver => "hand-over",
        }
    }

    /// Whether the peg can still be set elsewhere: no hole was begun.
    #[must_use]
    pub fn before_the_hole(self) -> bool {
        self < Stage::Drilling
    }

    /// Whether the hole may still go deeper.
    #[must_use]
    pub fn before_the_last_metre(self) -> bool {
        self < Stage::Completion
    }

    /// Whether the well is still to be built.
    #[must_use]
    pub fn before_the_well(self) -> bool {
        self < Stage::HandOver
    }

    /// The stage of that name; spaces, hyphens and underscores are one.
    pub fn from_name(name: &str) -> Option<Self> {
        let plain = |s: &str| s.trim().to_lowercase().replace(['-', '_'], " ");
        Self::ALL.into_iter().find(|s| plain(s.name()) == plain(name))
    }
}

impl From<Stage> for &'static str {
    fn from(stage: Stage) -> Self {
        stage.name()
    }
}
