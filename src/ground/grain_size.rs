//! How coarse the grains of a class of ground are, millimetres.
//!
//! The ranges stand in `grain_size.toml`, each with its source. They are as
//! wide as the words they come from; a sample that was sieved replaces them.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::material::MaterialClass;
use super::properties::{PropertyRange, RangeEntry};

/// The grains of a class of ground.
#[derive(Debug, Clone, PartialEq)]
pub struct GrainSize {
    /// Half of the mass is finer.
    pub middle_mm: PropertyRange,
    /// The coarsest that comes up in any number.
    pub coarsest_mm: PropertyRange,
}

/// The grains of that class; `None` where there are none to hold back or to
/// lift, or nothing is known.
pub fn grain_size(class: MaterialClass) -> Option<&'static GrainSize> {
    TABLE.get(&class)
}

static TABLE: LazyLock<BTreeMap<MaterialClass, GrainSize>> = LazyLock::new(|| {
    // An unreadable table knows of no class, which the tests rule out.
    read(include_str!("grain_size.toml")).unwrap_or_default()
});

fn read(text: &str) -> Option<BTreeMap<MaterialClass, GrainSize>> {
    let file: File = toml::from_str(text).ok()?;
    file.material.into_iter().map(Entry::checked).collect()
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    material: Vec<Entry>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    id: String,
    middle_mm: RangeEntry,
    coarsest_mm: RangeEntry,
}

impl Entry {
    fn checked(self) -> Option<(MaterialClass, GrainSize)> {
        let grains =
            GrainSize { middle_mm: self.middle_mm.checked()?, coarsest_mm: self.coarsest_mm.checked()? };
        Some((MaterialClass::from_id(&self.id)?, grains))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::properties;

    #[test]
    fn every_row_is_read() {
        let rows = include_str!("grain_size.toml").matches("[[material]]").count();
        assert_eq!(read(include_str!("grain_size.toml")).map(|t| t.len()), Some(rows));
    }

    #[test]
    fn loose_ground_that_bears_water_has_grains() {
        for class in MaterialClass::ALL {
            let loose = properties(class).is_some_and(|p| p.unconsolidated && p.bears_water() == Some(true));
            assert!(!loose || grain_size(class).is_some(), "{class:?}");
        }
    }

    #[test]
    fn rock_and_what_is_not_understood_have_none() {
        for class in [MaterialClass::HardRock, MaterialClass::Limestone, MaterialClass::Unknown] {
            assert!(grain_size(class).is_none());
        }
    }

    #[test]
    fn the_coarsest_grain_is_no_finer_than_the_middle_one() {
        for g in TABLE.values() {
            assert!(g.middle_mm.low > 0.0 && g.coarsest_mm.typical >= g.middle_mm.typical, "{g:?}");
            assert!(g.coarsest_mm.high >= g.middle_mm.high, "{g:?}");
        }
    }

    /// Sand is 0.063 to 2 mm in ISO 14688.
    #[test]
    fn sand_has_its_published_ends() {
        let sand = &grain_size(MaterialClass::SandWet).unwrap().middle_mm;
        assert!((sand.low - 0.063).abs() < 1e-12 && (sand.high - 2.0).abs() < 1e-12);
    }
}
