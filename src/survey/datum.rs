//! Which figure of the Earth is a grid reference on, and how well is its
//! shift to WGS 84 known? Read from the table `datums.toml` beside this file,
//! which names its sources.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::fold;

/// A datum: an ellipsoid and its place in the Earth.
#[derive(Debug, Clone, PartialEq)]
pub struct Datum {
    /// The name it is known by.
    pub name: String,
    /// Other names.
    pub also: Vec<String>,
    /// Half the longest diameter of its ellipsoid, metres.
    pub a_m: f64,
    /// Inverse flattening of its ellipsoid.
    pub inverse_flattening: f64,
    /// Shift of earth-centred coordinates to WGS 84: metres, then, where
    /// known, seconds of arc (position vector convention) and parts a
    /// million.
    pub to_wgs84: Vec<f64>,
    /// Radius that holds the true shift about two times in three, metres;
    /// 0 for WGS 84 itself.
    pub shift_error_m: f64,
    /// Where it is in use.
    pub used_in: String,
    /// South, north, west and east of where it is in use, degrees.
    pub area: [f64; 4],
    /// The published source of the shift.
    pub source: String,
    /// `published` or `from memory`.
    pub basis: String,
}

/// No datum of that name is in the table.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{written:?} is not a datum known here")]
pub struct DatumError {
    /// What was written.
    pub written: String,
    /// The name most like it, if any.
    pub suggestion: Option<&'static str>,
}

#[derive(Deserialize)]
struct Table {
    source: BTreeMap<String, String>,
    ellipsoid: BTreeMap<String, Ellipsoid>,
    datum: Vec<Row>,
}

#[derive(Deserialize, Clone, Copy)]
struct Ellipsoid {
    a_m: f64,
    inverse_flattening: f64,
}

#[derive(Deserialize)]
struct Row {
    name: String,
    #[serde(default)]
    also: Vec<String>,
    ellipsoid: String,
    to_wgs84: Vec<f64>,
    shift_error_m: f64,
    #[serde(rename = "where")]
    used_in: String,
    area: [f64; 4],
    source: String,
    basis: String,
}

/// Every datum of the table; empty only if the table is broken, which a test
/// rules out.
static DATUMS: LazyLock<Vec<Datum>> = LazyLock::new(|| {
    let Ok(table) = toml::from_str::<Table>(include_str!("datums.toml")) else { return Vec::new() };
    let whole = |row: Row| {
        let ellipsoid = table.ellipsoid.get(&row.ellipsoid)?;
        Some(Datum {
            a_m: ellipsoid.a_m,
            inverse_flattening: ellipsoid.inverse_flattening,
            source: table.source.get(&row.source)?.clone(),
            name: row.name,
            also: row.also,
            to_wgs84: row.to_wgs84,
            shift_error_m: row.shift_error_m,
            used_in: row.used_in,
            area: row.area,
            basis: row.basis,
        })
    };
    table.datum.into_iter().filter_map(whole).collect()
});

static BY_NAME: LazyLock<BTreeMap<String, &'static Datum>> = LazyLock::new(|| {
    let each = DATUMS.iter().flat_map(|d| d.names().map(move |n| (fold::letters(n), d)));
    each.collect()
});

impl Datum {
    /// Every datum known.
    pub fn all() -> &'static [Datum] {
        &DATUMS
    }

    /// The datum of that name, without regard to case, spaces and hyphens.
    ///
    /// # Errors
    /// When the table has no such name.
    pub fn named(written: &str) -> Result<&'static Datum, DatumError> {
        BY_NAME.get(&fold::letters(written)).copied().ok_or_else(|| DatumError {
            written: written.trim().to_owned(),
            suggestion: fold::nearest(written, DATUMS.iter().flat_map(Datum::names)),
        })
    }

    /// Whether it is WGS 84 itself.
    pub fn is_wgs84(&self) -> bool {
        self.shift_error_m <= 0.0
    }

    /// Whether a place is where the datum is in use.
    pub fn covers(&self, lat_deg: f64, lon_deg: f64) -> bool {
        let [south, north, west, east] = self.area;
        (south..=north).contains(&lat_deg) && (west..=east).contains(&lon_deg)
    }

    fn names(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.name.as_str()).chain(self.also.iter().map(String::as_str))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_whole() {
        let rows = include_str!("datums.toml").matches("[[datum]]").count();
        assert!(rows > 80);
        assert_eq!(Datum::all().len(), rows);
        for d in Datum::all() {
            assert!(matches!(d.to_wgs84.len(), 3 | 7), "{}", d.name);
            assert!(matches!(d.basis.as_str(), "published" | "from memory"), "{}", d.name);
            let [south, north, west, east] = d.area;
            assert!(south < north && west < east, "{}", d.name);
            assert_eq!(d.is_wgs84(), d.name == "WGS 84", "{}", d.name);
        }
    }

    #[test]
    fn no_name_stands_for_two_datums() {
        let names = Datum::all().iter().flat_map(Datum::names).count();
        assert_eq!(names, BY_NAME.len());
    }

    #[test]
    fn names_are_found_however_they_are_written() {
        for written in ["WGS84", "wgs-84", "WGS 1984"] {
            assert_eq!(Datum::named(written).unwrap().name, "WGS 84");
        }
        assert_eq!(Datum::named("arc1960").unwrap().name, "Arc 1960");
        assert_eq!(Datum::named("Arc 1960 (Kenya)").unwrap().name, "Arc 1960 Kenya");
        assert_eq!(Datum::named("Clarke/Cape").unwrap().name, "Cape");
        assert_eq!(Datum::named("Arc 196O").unwrap_err().suggestion, Some("Arc 1960"));
    }
}
