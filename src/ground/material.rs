//! Classes of ground: what a hand method and water make of it.

use std::fmt;

use serde::Serialize;

/// A class of ground. The ids are the keys of a region's
/// `[methods.<name>.suits]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(into = "&'static str")]
pub enum MaterialClass {
    /// Dark, rooted ground at the top.
    Topsoil,
    /// Ground brought by people.
    Fill,
    /// Sand above the water.
    SandDry,
    /// Sand below the water that stands while drilled.
    SandWet,
    /// Sand that flows into the hole.
    RunningSand,
    /// Silt, loam, ash.
    Silt,
    /// Clay that a finger dents.
    SoftClay,
    /// Clay that a thumb hardly dents.
    StiffClay,
    /// Stones under about 30 mm.
    FineGravel,
    /// Stones of about 30 mm and more.
    CoarseGravel,
    /// Cobbles and boulders.
    Boulders,
    /// Nodular laterite that crumbles.
    SoftLaterite,
    /// Laterite as hard as rock (cuirass).
    HardLaterite,
    /// Rock weathered to soil in its place.
    Saprolite,
    /// Sandstone, mudstone and the like that a knife peels.
    SoftSandstone,
    /// Sandstone and the like that a hammer must break.
    HardSandstone,
    /// Limestone, dolomite, coral rock.
    Limestone,
    /// Fresh granite, gneiss, basalt and their like.
    HardRock,
    /// Words that are not understood: any of the above.
    Unknown,
}

impl MaterialClass {
    /// Every class, [`MaterialClass::Unknown`] last.
    pub const ALL: [MaterialClass; 19] = [
        MaterialClass::Topsoil,
        MaterialClass::Fill,
        MaterialClass::SandDry,
        MaterialClass::SandWet,
        MaterialClass::RunningSand,
        MaterialClass::Silt,
        MaterialClass::SoftClay,
        MaterialClass::StiffClay,
        MaterialClass::FineGravel,
        MaterialClass::CoarseGravel,
        MaterialClass::Boulders,
        MaterialClass::SoftLaterite,
        MaterialClass::HardLaterite,
        MaterialClass::Saprolite,
        MaterialClass::SoftSandstone,
        MaterialClass::HardSandstone,
        MaterialClass::Limestone,
        MaterialClass::HardRock,
        MaterialClass::Unknown,
    ];

    /// The id in region files and in the dictionary of words.
    pub fn id(self) -> &'static str {
        match self {
            MaterialClass::Topsoil => "topsoil",
            MaterialClass::Fill => "fill",
            MaterialClass::SandDry => "sand_dry",
            MaterialClass::SandWet => "sand_wet",
            MaterialClass::RunningSand => "running_sand",
            MaterialClass::Silt => "silt",
            MaterialClass::SoftClay => "soft_clay",
            MaterialClass::StiffClay => "stiff_clay",
            MaterialClass::FineGravel => "fine_gravel",
            MaterialClass::CoarseGravel => "coarse_gravel",
            MaterialClass::Boulders => "boulders",
            MaterialClass::SoftLaterite => "soft_laterite",
            MaterialClass::HardLaterite => "hard_laterite",
            MaterialClass::Saprolite => "saprolite",
            MaterialClass::SoftSandstone => "soft_sandstone",
            MaterialClass::HardSandstone => "hard_sandstone",
            MaterialClass::Limestone => "limestone",
            MaterialClass::HardRock => "hard_rock",
            MaterialClass::Unknown => "unknown",
        }
    }

    /// The class of that id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.id() == id)
    }

    /// The id as words.
    pub fn name(self) -> String {
        match self {
            MaterialClass::SandDry => "dry sand".to_owned(),
            MaterialClass::SandWet => "wet sand".to_owned(),
            other => other.id().replace('_', " "),
        }
    }

    fn bit(self) -> u32 {
        1 << (self as u32)
    }
}

impl From<MaterialClass> for &'static str {
    fn from(class: MaterialClass) -> Self {
        class.id()
    }
}

/// The classes that a few words may stand for: "laterite" alone may be soft
/// or hard. What is not told apart is decided by the worst of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Classes(u32);

impl Classes {
    /// None yet; never the classes of a layer.
    pub const NONE: Classes = Classes(0);

    /// Any class whatever: the words are not understood.
    pub fn unknown() -> Self {
        MaterialClass::ALL.into_iter().collect()
    }

    /// Whether the words are not understood.
    pub fn is_unknown(self) -> bool {
        self.contains(MaterialClass::Unknown)
    }

    /// Whether there is none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether it may be that class.
    pub fn contains(self, class: MaterialClass) -> bool {
        self.0 & class.bit() != 0
    }

    /// The classes of both.
    #[must_use]
    pub fn or(self, other: Classes) -> Classes {
        Classes(self.0 | other.0)
    }

    /// The classes in both.
    #[must_use]
    pub fn and(self, other: Classes) -> Classes {
        Classes(self.0 & other.0)
    }

    /// The classes that are not in `other`.
    #[must_use]
    pub fn without(self, other: Classes) -> Classes {
        Classes(self.0 & !other.0)
    }

    /// Each of them, in the order of [`MaterialClass::ALL`].
    pub fn iter(self) -> impl Iterator<Item = MaterialClass> {
        MaterialClass::ALL.into_iter().filter(move |c| self.contains(*c))
    }

    /// Whether a property holds of the ground: surely where it holds of every
    /// class it may be, perhaps where it holds of any. A class of which
    /// `holds` knows nothing counts as perhaps.
    pub fn are(self, holds: impl Fn(MaterialClass) -> Option<bool>) -> Sure {
        let all = self.iter().all(|c| holds(c) == Some(true));
        let any = self.iter().any(|c| holds(c) != Some(false));
        match (all && !self.is_empty(), any) {
            (true, _) => Sure::Yes,
            (false, true) => Sure::Perhaps,
            (false, false) => Sure::No,
        }
    }
}

impl FromIterator<MaterialClass> for Classes {
    fn from_iter<I: IntoIterator<Item = MaterialClass>>(classes: I) -> Self {
        Classes(classes.into_iter().fold(0, |bits, c| bits | c.bit()))
    }
}

/// "soft laterite or hard laterite".
impl fmt::Display for Classes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_unknown() {
            return f.write_str("unknown");
        }
        let names: Vec<_> = self.iter().map(MaterialClass::name).collect();
        f.write_str(&names.join(" or "))
    }
}

/// How sure something is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sure {
    /// Surely so.
    Yes,
    /// Surely not.
    No,
    /// Cannot be told.
    Perhaps,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_name_their_class() {
        for class in MaterialClass::ALL {
            assert_eq!(MaterialClass::from_id(class.id()), Some(class));
        }
    }

    #[test]
    fn words_that_may_mean_two_classes_are_sure_only_of_what_both_share() {
        let laterite: Classes =
            [MaterialClass::SoftLaterite, MaterialClass::HardLaterite].into_iter().collect();
        assert_eq!(laterite.are(|c| Some(c == MaterialClass::HardLaterite)), Sure::Perhaps);
        assert_eq!(laterite.are(|c| Some(c != MaterialClass::HardRock)), Sure::Yes);
        assert_eq!(laterite.are(|c| Some(c == MaterialClass::HardRock)), Sure::No);
        assert_eq!(Classes::unknown().are(|c| Some(c == MaterialClass::HardRock)), Sure::Perhaps);
    }
}
