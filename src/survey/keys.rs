//! What a record of a survey may say: the canonical keys of hazards, wells
//! and layers, what kind of value each takes, and the other names under
//! which people's own tables carry the same thing. Every reader (TOML,
//! tables, shapes) goes by these lists, so that a key means the same
//! wherever it stands.

use crate::units::Unit;

/// What a record stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RecordKind {
    /// Something that can foul, endanger or obstruct the well.
    Hazard,
    /// An existing well or a trial bore.
    Well,
    /// A row of the drilling log.
    Progress,
    /// A reading of the yield test.
    Test,
}

/// What kind of value a key takes. A reader makes the cell of that kind;
/// bounds are checked later and in one place, by [`super::entry`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum KeyForm {
    /// Any words, kept as they were written (a zone `37` stays `37`).
    Text,
    /// Words that stand for one of a list (`kind`, `made`, `outcome`, …);
    /// a reader hands them on as text.
    Word,
    /// A number in that unit, between the bounds (both included).
    Number {
        /// The unit of the key; readers turn other units into it.
        unit: Unit,
        /// The least that is possible.
        least: f64,
        /// The most that is possible.
        most: f64,
    },
    /// A number of at least 0 in that unit, or "less than" a number.
    Reading(Unit),
    /// Yes or no.
    YesNo,
    /// A day.
    Date,
}

impl KeyForm {
    /// The unit, where the key has one.
    pub fn unit(self) -> Option<Unit> {
        match self {
            KeyForm::Number { unit, .. } | KeyForm::Reading(unit) => Some(unit),
            _ => None,
        }
    }
}

/// One key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Key {
    /// The canonical name; parts are joined by dots (`quality.ec_us_cm`).
    pub name: &'static str,
    /// The kind of value.
    pub form: KeyForm,
    /// Other column names that mean the same, as [`plain_name`] makes them
    /// and without their unit (`water_level` for `Water level (ft)`); the
    /// likelier first, where a table has several.
    pub other_names: &'static [&'static str],
}

impl Key {
    /// The last part of the name, by which tables may call it.
    pub fn bare(&self) -> &'static str {
        self.name.rsplit('.').next().unwrap_or(self.name)
    }
}

/// In a cell of this name a reader keeps the words that stood for the kind of
/// a hazard before the survey's own `words` turned them into ours. People
/// cannot write it themselves.
pub const WRITTEN_AS: &str = "written_as";

const fn metres(least: f64, most: f64) -> KeyForm {
    KeyForm::Number { unit: Unit::Metre, least, most }
}

const fn degrees(least: f64, most: f64) -> KeyForm {
    KeyForm::Number { unit: Unit::Degree, least, most }
}

const fn key(name: &'static str, form: KeyForm, other_names: &'static [&'static str]) -> Key {
    Key { name, form, other_names }
}

/// The deepest hole or level that is believed, metres: well beyond any water
/// well made by hand or by machine nearby, so that only slips of the pen and
/// wrong units are refused.
const DEEPEST_M: f64 = 2_000.0;

/// The farthest that anything is taped or paced from the peg, metres.
const FARTHEST_M: f64 = 100_000.0;

/// A position: latitude and longitude, or a grid reference, or a bearing and
/// distance from the peg.
pub const POSITION_KEYS: &[Key] = &[
    key(
        "lat",
        degrees(-90.0, 90.0),
        &["latitude", "lat_wgs84", "latitude_wgs84", "gps_latitude", "gps_lat", "lat_deg", "y"],
    ),
    key(
        "lon",
        degrees(-180.0, 180.0),
        &[
            "longitude",
            "long",
            "lng",
            "lon_wgs84",
            "long_wgs84",
            "longitude_wgs84",
            "gps_longitude",
            "gps_lon",
            "gps_long",
            "longtude",
            "lon_deg",
            "x",
        ],
    ),
    key(
        "accuracy_m",
        metres(0.001, FARTHEST_M),
        &["accuracy", "gps_accuracy", "position_accuracy", "hdop_m"],
    ),
    key(
        "easting_m",
        metres(0.0, 1_000_000.0),
        &["easting", "eastings", "utm_x", "utm_e", "utm_easting", "x_utm"],
    ),
    key(
        "northing_m",
        metres(0.0, 10_000_000.0),
        &["northing", "northings", "utm_y", "utm_n", "utm_northing", "y_utm"],
    ),
    key("zone", KeyForm::Text, &["utm_zone", "grid_zone"]),
    key("datum", KeyForm::Text, &["geodetic_datum", "grid_datum"]),
    key("from_peg.bearing_deg", degrees(0.0, 360.0), &["bearing", "bearing_from_peg", "azimuth"]),
    key(
        "from_peg.distance_m",
        metres(0.0, FARTHEST_M),
        &["distance", "distance_from_peg", "distance_to_peg", "taped_distance"],
    ),
    key("from_peg.accuracy_m", metres(0.001, FARTHEST_M), &["distance_accuracy", "tape_accuracy"]),
];

/// What a hazard says besides its position.
pub const HAZARD_KEYS: &[Key] = &[
    key("kind", KeyForm::Word, &["hazard", "hazard_kind", "hazard_type", "type", "category"]),
    key("name", KeyForm::Text, &["label", "hazard_name", "site_name", "id"]),
    key("pit_depth_m", metres(0.0, 100.0), &["pit_depth", "depth_of_pit", "latrine_depth", "depth"]),
];

/// What a well says besides its position.
pub const WELL_KEYS: &[Key] = &[
    key(
        "name",
        KeyForm::Text,
        &[
            "well_name",
            "borehole_name",
            "waterpoint_name",
            "site_name",
            "label",
            "well_id",
            "borehole_id",
            "id",
        ],
    ),
    key("elevation_m", metres(-500.0, 9_000.0), &["elevation", "altitude", "height", "gps_altitude", "elev"]),
    key(
        "elevation_accuracy_m",
        metres(0.0, 1_000.0),
        &["elevation_error_m", "elevation_accuracy", "height_accuracy"],
    ),
    key(
        "made",
        KeyForm::Word,
        &["how_made", "well_type", "type_of_well", "type_of_waterpoint", "waterpoint_type"],
    ),
    key(
        "depth_m",
        metres(0.0, DEEPEST_M),
        &[
            "depth",
            "total_depth",
            "well_depth",
            "borehole_depth",
            "hole_depth",
            "total_hole_depth",
            "total_well_depth",
            "drilled_depth",
            "final_depth",
        ],
    ),
    key(
        "water_level_m",
        metres(0.0, DEEPEST_M),
        &[
            "water_level",
            "static_water_level",
            "swl",
            "static_level",
            "rest_water_level",
            "rwl",
            "depth_to_water",
            "dtw",
            "water_depth",
            "water_table_depth",
        ],
    ),
    key(
        "measured",
        KeyForm::Date,
        &["date_measured", "measurement_date", "date_of_measurement", "date_of_test", "reading_date", "date"],
    ),
    key("season", KeyForm::Word, &["season_measured", "measured_season"]),
    key(
        "lowest_level_m",
        metres(0.0, DEEPEST_M),
        &["lowest_level", "lowest_water_level", "dry_season_level", "dry_season_water_level", "driest_level"],
    ),
    key("outcome", KeyForm::Word, &["result", "status", "functional_status", "well_status", "condition"]),
    key("pump_broken", KeyForm::YesNo, &["broken_pump", "pump_is_broken"]),
    key(
        "yield_lps",
        KeyForm::Number { unit: Unit::LitrePerSecond, least: 0.0, most: 1_000.0 },
        &[
            "yield",
            "well_yield",
            "tested_yield",
            "discharge",
            "flow_rate",
            "pumping_rate",
            "max_pumping_rate",
        ],
    ),
    key("drawdown_m", metres(0.0, DEEPEST_M), &["drawdown"]),
    key(
        "quality.ec_us_cm",
        KeyForm::Reading(Unit::MicrosiemensPerCm),
        &["ec", "conductivity", "electrical_conductivity", "ec_us"],
    ),
    key("quality.arsenic_mg_l", KeyForm::Reading(Unit::MilligramPerLitre), &["arsenic", "as"]),
    key("quality.fluoride_mg_l", KeyForm::Reading(Unit::MilligramPerLitre), &["fluoride", "f"]),
    key("quality.nitrate_mg_l", KeyForm::Reading(Unit::MilligramPerLitre), &["nitrate", "no3"]),
    key("quality.iron_mg_l", KeyForm::Reading(Unit::MilligramPerLitre), &["iron", "fe"]),
    key("quality.manganese_mg_l", KeyForm::Reading(Unit::MilligramPerLitre), &["manganese", "mn"]),
    key(
        "quality.e_coli_cfu_100ml",
        KeyForm::Reading(Unit::CfuPer100Ml),
        &["e_coli", "ecoli", "e_coli_cfu", "thermotolerant_coliforms", "faecal_coliforms", "fecal_coliforms"],
    ),
];

/// What one layer of a log says.
pub const LAYER_KEYS: &[Key] = &[
    key("to_m", metres(0.0, DEEPEST_M), &["to", "bottom", "base", "depth_to", "to_depth"]),
    key("material", KeyForm::Text, &["lithology", "formation", "soil", "description"]),
    key("hardness", KeyForm::Text, &["hard"]),
];

/// What one row of the drilling log says.
pub const PROGRESS_KEYS: &[Key] = &[
    key("depth_m", metres(0.0, DEEPEST_M), &["depth", "hole_depth", "to_m", "to", "depth_to", "to_depth"]),
    key(
        "minutes",
        KeyForm::Number { unit: Unit::Minute, least: 0.0, most: 1_440.0 },
        &["min", "time", "minutes_at_work", "drilling_time", "duration"],
    ),
    key("material", KeyForm::Text, &["lithology", "formation", "soil", "description", "cuttings"]),
    key("hardness", KeyForm::Text, &["hard"]),
    key("fluid_loss", KeyForm::Word, &["loss", "mud_loss", "lost_circulation"]),
    key(
        "fluid_loss_l_per_m",
        KeyForm::Number { unit: Unit::LitrePerMetre, least: 0.0, most: 100_000.0 },
        &["loss_per_metre", "loss_l_per_m"],
    ),
    key("water_strike", KeyForm::YesNo, &["water_struck", "strike"]),
    key("flows_out", KeyForm::YesNo, &["artesian", "overflows"]),
    key("caving", KeyForm::YesNo, &["caves", "collapse", "tight"]),
    key("gas", KeyForm::YesNo, &["gas_smell", "smell_of_gas"]),
    key(
        "ec_us_cm",
        KeyForm::Reading(Unit::MicrosiemensPerCm),
        &["ec", "conductivity", "electrical_conductivity"],
    ),
    key("remark", KeyForm::Text, &["remarks", "note", "notes", "comment", "comments"]),
];

/// What one reading of the yield test says.
pub const TEST_KEYS: &[Key] = &[
    key(
        "time_min",
        KeyForm::Number { unit: Unit::Minute, least: 0.0, most: 100_000.0 },
        &["time", "minutes", "min", "elapsed", "elapsed_time"],
    ),
    key(
        "level_m",
        metres(0.0, DEEPEST_M),
        &["level", "water_level", "water_level_m", "depth_to_water", "dtw"],
    ),
    key(
        "rate_lps",
        KeyForm::Number { unit: Unit::LitrePerSecond, least: 0.0, most: 1_000.0 },
        &["rate", "discharge", "flow", "flow_rate", "pumping_rate", "yield"],
    ),
];

impl RecordKind {
    /// The keys of such a record that are not of its position.
    pub fn own_keys(self) -> &'static [Key] {
        match self {
            RecordKind::Hazard => HAZARD_KEYS,
            RecordKind::Well => WELL_KEYS,
            RecordKind::Progress => PROGRESS_KEYS,
            RecordKind::Test => TEST_KEYS,
        }
    }

    /// Whether such a record stands at a place of its own.
    pub fn has_place(self) -> bool {
        matches!(self, RecordKind::Hazard | RecordKind::Well)
    }

    /// Every key of such a record, its position's first.
    pub fn keys(self) -> impl Iterator<Item = &'static Key> {
        let place = if self.has_place() { POSITION_KEYS } else { &[] };
        place.iter().chain(self.own_keys())
    }

    /// The key of that canonical name, or of that last part of a name
    /// (`arsenic_mg_l`, `bearing_deg`), exactly as written.
    pub fn key(self, name: &str) -> Option<&'static Key> {
        self.keys().find(|k| k.name == name).or_else(|| self.keys().find(|k| k.bare() == name))
    }

    /// The key that a column of that heading stands for, unit aside: first
    /// by canonical name, then by the last part of one, then by other names.
    /// The rank (0 the surest) says which of several columns for one key to
    /// take.
    pub fn key_for_column(self, heading: &str) -> Option<(&'static Key, usize)> {
        let plain = plain_name(heading);
        let canonical = self.keys().find(|k| plain_name(k.name) == plain).map(|k| (k, 0));
        let bare = || self.keys().find(|k| k.bare() == plain).map(|k| (k, 1));
        let other = || {
            self.keys().find_map(|k| k.other_names.iter().position(|n| *n == plain).map(|rank| (k, rank + 2)))
        };
        canonical.or_else(bare).or_else(other)
    }

    /// The word for one such record.
    pub fn word(self) -> &'static str {
        match self {
            RecordKind::Hazard => "hazard",
            RecordKind::Well => "well",
            RecordKind::Progress => "row of the drilling log",
            RecordKind::Test => "reading of the test",
        }
    }
}

/// A heading as it is compared: lower case, with every run of anything but
/// letters and digits as one `_`, and none at the ends.
pub fn plain_name(heading: &str) -> String {
    let mut plain = String::with_capacity(heading.len());
    for c in heading.chars() {
        if c.is_alphanumeric() {
            plain.extend(c.to_lowercase());
        } else if !plain.is_empty() && !plain.ends_with('_') {
            plain.push('_');
        }
    }
    if plain.ends_with('_') {
        plain.pop();
    }
    plain
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    #[test]
    fn no_name_stands_for_two_keys() {
        for kind in [RecordKind::Hazard, RecordKind::Well, RecordKind::Progress, RecordKind::Test] {
            let mut seen: BTreeMap<String, &str> = BTreeMap::new();
            for key in kind.keys() {
                for name in [key.name].iter().chain(key.other_names) {
                    let other = seen.insert(plain_name(name), key.name);
                    assert_eq!(other, None, "{name} stands for {} and another", key.name);
                }
            }
        }
    }

    #[test]
    fn other_names_are_written_as_they_are_compared() {
        for key in RecordKind::Hazard
            .keys()
            .chain(RecordKind::Well.keys())
            .chain(LAYER_KEYS)
            .chain(PROGRESS_KEYS)
            .chain(TEST_KEYS)
        {
            for name in key.other_names {
                assert_eq!(plain_name(name), *name);
            }
        }
    }

    #[test]
    fn a_quality_column_may_stand_without_its_group() {
        let (key, _) = RecordKind::Well.key_for_column("Arsenic_mg_L").unwrap();
        assert_eq!(key.name, "quality.arsenic_mg_l");
        assert_eq!(RecordKind::Well.key("arsenic_mg_l").map(|k| k.name), Some("quality.arsenic_mg_l"));
    }

    #[test]
    fn the_accuracy_of_a_coordinate_is_not_that_of_a_tape() {
        assert_eq!(RecordKind::Hazard.key("accuracy_m").map(|k| k.name), Some("accuracy_m"));
        assert_eq!(
            RecordKind::Hazard.key_for_column("from_peg.accuracy_m").map(|k| k.0.name),
            Some("from_peg.accuracy_m")
        );
    }

    #[test]
    fn every_quality_parameter_has_its_key() {
        for p in crate::survey::Parameter::ALL {
            assert!(RecordKind::Well.key(&format!("quality.{}", p.key())).is_some(), "{}", p.key());
        }
    }
}
