//! The kinds of thing that can foul, endanger or obstruct a well.

use serde::Serialize;

/// A kind of hazard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(into = "&'static str")]
pub enum HazardKind {
    /// Latrine with a pit in the ground.
    PitLatrine,
    /// Tank that settles sewage.
    SepticTank,
    /// Pit or trench from which sewage seeps away.
    Soakaway,
    /// Pipe or drain that carries sewage.
    Sewer,
    /// Place where animals are kept.
    LivestockPen,
    /// Heap or store of dung.
    ManureHeap,
    /// Burial ground.
    Graveyard,
    /// Place where waste is thrown or buried.
    WasteDump,
    /// Store of fuel, oil or chemicals.
    FuelStore,
    /// Field treated with pesticide or fertiliser.
    SprayedField,
    /// River, lake, pond or ditch.
    OpenWater,
    /// Unsealed or disused well.
    OldOpenWell,
    /// House or other building.
    Building,
    /// Road or track with vehicles.
    Road,
    /// Electric or telephone line on poles.
    OverheadLine,
    /// Pipe or cable in the ground.
    BuriedService,
    /// Edge of the plot.
    Boundary,
    /// Anything else that people think could foul the well.
    Other,
}

/// The words given name no kind of hazard known here.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is not a kind of hazard known here")]
pub struct HazardKindError(pub String);

impl HazardKind {
    /// Every kind.
    pub const ALL: [HazardKind; 18] = [
        HazardKind::PitLatrine,
        HazardKind::SepticTank,
        HazardKind::Soakaway,
        HazardKind::Sewer,
        HazardKind::LivestockPen,
        HazardKind::ManureHeap,
        HazardKind::Graveyard,
        HazardKind::WasteDump,
        HazardKind::FuelStore,
        HazardKind::SprayedField,
        HazardKind::OpenWater,
        HazardKind::OldOpenWell,
        HazardKind::Building,
        HazardKind::Road,
        HazardKind::OverheadLine,
        HazardKind::BuriedService,
        HazardKind::Boundary,
        HazardKind::Other,
    ];

    /// The name people write.
    pub fn name(self) -> &'static str {
        match self {
            HazardKind::PitLatrine => "pit latrine",
            HazardKind::SepticTank => "septic tank",
            HazardKind::Soakaway => "soakaway",
            HazardKind::Sewer => "sewer",
            HazardKind::LivestockPen => "livestock pen",
            HazardKind::ManureHeap => "manure heap",
            HazardKind::Graveyard => "graveyard",
            HazardKind::WasteDump => "waste dump",
            HazardKind::FuelStore => "fuel or chemical store",
            HazardKind::SprayedField => "sprayed field",
            HazardKind::OpenWater => "open water",
            HazardKind::OldOpenWell => "old open well",
            HazardKind::Building => "building",
            HazardKind::Road => "road",
            HazardKind::OverheadLine => "overhead line",
            HazardKind::BuriedService => "buried service",
            HazardKind::Boundary => "boundary",
            HazardKind::Other => "other hazard",
        }
    }

    /// Kinds whose waste carries faecal germs.
    pub fn is_faecal(self) -> bool {
        matches!(
            self,
            HazardKind::PitLatrine
                | HazardKind::SepticTank
                | HazardKind::Soakaway
                | HazardKind::Sewer
                | HazardKind::LivestockPen
                | HazardKind::ManureHeap
        )
    }

    /// Kinds from which fouling can run or seep towards a well.
    pub fn can_foul(self) -> bool {
        self.is_faecal()
            || matches!(
                self,
                HazardKind::Graveyard
                    | HazardKind::WasteDump
                    | HazardKind::FuelStore
                    | HazardKind::SprayedField
                    | HazardKind::OldOpenWell
                    | HazardKind::Other
            )
    }

    /// Kinds that are a pit in the ground, whose bottom matters.
    pub fn has_pit(self) -> bool {
        matches!(self, HazardKind::PitLatrine | HazardKind::SepticTank | HazardKind::Soakaway)
    }
}

impl From<HazardKind> for &'static str {
    fn from(kind: HazardKind) -> Self {
        kind.name()
    }
}
