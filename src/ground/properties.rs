//! How well ground of a class lets water through, gives it up and lets it
//! travel: hydraulic conductivity in metres a day, specific yield and
//! effective porosity as shares of the volume.
//!
//! The ranges stand in `properties.toml`, each with its source. They span
//! orders of magnitude: no single value of them decides anything, only a
//! range or many draws.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::dictionary::water_habit;
use super::interval::HALF_BAND_95;
use super::material::MaterialClass;
use crate::region::Basis;

/// A range with a typical value, and where it is from.
#[derive(Debug, Clone, PartialEq)]
pub struct PropertyRange {
    /// The low end.
    pub low: f64,
    /// The typical value.
    pub typical: f64,
    /// The high end.
    pub high: f64,
    /// The source.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
}

impl PropertyRange {
    /// The value of a lognormal quantity `z` standard deviations from its
    /// median, which is the typical value; the ends are those of its 95 %
    /// band, each side as wide as its end says.
    pub fn lognormal(&self, z: f64) -> f64 {
        lognormal(self.low, self.typical, self.high, z)
    }
}

/// See [`PropertyRange::lognormal`].
pub(super) fn lognormal(low: f64, typical: f64, high: f64, z: f64) -> f64 {
    let end = if z < 0.0 { typical / low } else { high / typical };
    typical * (z / HALF_BAND_95 * end.ln()).exp()
}

/// What water does in ground of a class.
#[derive(Debug, Clone, PartialEq)]
pub struct Properties {
    /// The class.
    pub class: MaterialClass,
    /// Whether its grains can be parted by hand.
    pub unconsolidated: bool,
    /// Hydraulic conductivity, metres a day.
    pub k_m_per_day: PropertyRange,
    /// Specific yield, share of the volume.
    pub specific_yield: PropertyRange,
    /// Effective porosity, share of the volume.
    pub effective_porosity: PropertyRange,
}

impl Properties {
    /// Whether it feeds a hand pump when below the water table; `None`: at
    /// times.
    pub fn bears_water(&self) -> Option<bool> {
        water_habit(self.class).and_then(|h| h.bears_water)
    }
}

/// What water does in ground of that class; nothing is known of
/// [`MaterialClass::Unknown`].
pub fn properties(class: MaterialClass) -> Option<&'static Properties> {
    TABLE.get(&class)
}

static TABLE: LazyLock<BTreeMap<MaterialClass, Properties>> = LazyLock::new(|| {
    // An unreadable table knows of no class, which the tests rule out.
    read(include_str!("properties.toml")).unwrap_or_default()
});

fn read(text: &str) -> Option<BTreeMap<MaterialClass, Properties>> {
    let file: File = toml::from_str(text).ok()?;
    file.material.into_iter().map(|entry| entry.checked().map(|p| (p.class, p))).collect()
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
    unconsolidated: bool,
    k_m_per_day: RangeEntry,
    specific_yield: RangeEntry,
    effective_porosity: RangeEntry,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RangeEntry {
    low: f64,
    typical: f64,
    high: f64,
    source: String,
    basis: String,
}

impl Entry {
    fn checked(self) -> Option<Properties> {
        Some(Properties {
            class: MaterialClass::from_id(&self.id)?,
            unconsolidated: self.unconsolidated,
            k_m_per_day: self.k_m_per_day.checked()?,
            specific_yield: self.specific_yield.checked()?,
            effective_porosity: self.effective_porosity.checked()?,
        })
    }
}

impl RangeEntry {
    pub(super) fn checked(self) -> Option<PropertyRange> {
        let ends = [self.low, self.typical, self.high];
        let ordered = ends.iter().all(|x| x.is_finite() && *x >= 0.0) && ends.is_sorted();
        let basis = Basis::from_name(&self.basis)?;
        let Self { low, typical, high, source, .. } = self;
        ordered.then_some(PropertyRange { low, typical, high, source, basis })
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    #[test]
    fn every_class_but_the_unknown_has_its_row() {
        assert!(read(include_str!("properties.toml")).is_some());
        for class in MaterialClass::ALL {
            assert_eq!(properties(class).is_some(), class != MaterialClass::Unknown, "{class:?}");
        }
    }

    #[test]
    fn every_figure_is_possible_and_says_where_it_is_from() {
        for p in TABLE.values() {
            assert!(p.k_m_per_day.low > 0.0, "{p:?}");
            for share in [&p.specific_yield, &p.effective_porosity] {
                assert!(share.high < 1.0 && !share.source.is_empty(), "{p:?}");
            }
            assert!(p.effective_porosity.low > 0.0, "a travel time is divided by it: {p:?}");
            assert!(!p.k_m_per_day.source.is_empty());
        }
    }

    /// Ranges of Bouwer 1978 and Johnson 1967 as tabulated.
    #[test]
    fn sand_and_clay_have_their_published_ranges() {
        let sand = properties(MaterialClass::SandWet).unwrap();
        assert_eq!((sand.k_m_per_day.low, sand.k_m_per_day.high), (1.0, 100.0));
        let clay = properties(MaterialClass::SoftClay).unwrap();
        assert_eq!((clay.specific_yield.low, clay.specific_yield.typical), (0.0, 0.02));
    }

    #[test]
    fn ground_that_bears_water_lets_more_through_than_clay() {
        let clay = properties(MaterialClass::SoftClay).unwrap().k_m_per_day.typical;
        for p in TABLE.values().filter(|p| p.bears_water() == Some(true) && p.unconsolidated) {
            assert!(p.k_m_per_day.typical > clay, "{:?}", p.class);
        }
    }

    #[test]
    fn a_lognormal_passes_through_its_ends() {
        let k = &properties(MaterialClass::HardRock).unwrap().k_m_per_day;
        for (z, at) in [(-HALF_BAND_95, k.low), (0.0, k.typical), (HALF_BAND_95, k.high)] {
            assert!((k.lognormal(z) / at - 1.0).abs() < 1e-9);
        }
    }
}
