//! The units that facts and limits are given in.

use serde::Serialize;

/// A unit; names in TOML and JSON are those of [`Unit::name`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(into = "&'static str")]
pub enum Unit {
    /// A plain number (a ratio, a factor).
    One,
    /// A count of things.
    Count,
    /// Metres.
    Metre,
    /// Per cent.
    Percent,
    /// Degrees of arc.
    Degree,
    /// Litres.
    Litre,
    /// Litres a day.
    LitrePerDay,
    /// Litres a second.
    LitrePerSecond,
    /// Milligrams a litre.
    MilligramPerLitre,
    /// Microsiemens a centimetre (at 25 °C).
    MicrosiemensPerCm,
    /// Colony-forming units in 100 mL.
    CfuPer100Ml,
    /// Years.
    Year,
    /// Days.
    Day,
    /// Hours a day.
    HourPerDay,
    /// Hours.
    Hour,
    /// Minutes.
    Minute,
    /// Metres an hour.
    MetrePerHour,
    /// Litres a metre.
    LitrePerMetre,
    /// Square metres a day.
    SquareMetrePerDay,
    /// Seconds.
    Second,
    /// Metres a second.
    MetrePerSecond,
    /// Grams.
    Gram,
    /// Kilograms.
    Kilogram,
    /// Millilitres.
    Millilitre,
    /// Kilograms a cubic metre.
    KilogramPerCubicMetre,
    /// Kilopascals.
    Kilopascal,
    /// Millimetres.
    Millimetre,
    /// Money in the currency of the region.
    Money,
}

/// Every unit with the name it has in files and the mark it has in text.
const UNITS: &[(Unit, &str, &str)] = &[
    (Unit::One, "1", ""),
    (Unit::Count, "count", ""),
    (Unit::Metre, "m", "m"),
    (Unit::Percent, "%", "%"),
    (Unit::Degree, "deg", "°"),
    (Unit::Litre, "L", "L"),
    (Unit::LitrePerDay, "L/d", "L a day"),
    (Unit::LitrePerSecond, "L/s", "L/s"),
    (Unit::MilligramPerLitre, "mg/L", "mg/L"),
    (Unit::MicrosiemensPerCm, "uS/cm", "µS/cm"),
    (Unit::CfuPer100Ml, "cfu/100 mL", "cfu/100 mL"),
    (Unit::Year, "a", "years"),
    (Unit::Day, "d", "days"),
    (Unit::HourPerDay, "h/d", "hours a day"),
    (Unit::Hour, "h", "hours"),
    (Unit::Minute, "min", "min"),
    (Unit::MetrePerHour, "m/h", "m an hour"),
    (Unit::LitrePerMetre, "L/m", "L/m"),
    (Unit::SquareMetrePerDay, "m2/d", "m²/d"),
    (Unit::Second, "s", "s"),
    (Unit::MetrePerSecond, "m/s", "m/s"),
    (Unit::Gram, "g", "g"),
    (Unit::Kilogram, "kg", "kg"),
    (Unit::Millilitre, "mL", "mL"),
    (Unit::KilogramPerCubicMetre, "kg/m3", "kg/m³"),
    (Unit::Kilopascal, "kPa", "kPa"),
    (Unit::Millimetre, "mm", "mm"),
    (Unit::Money, "money", ""),
];

impl Unit {
    /// The name in files: `m`, `mg/L`, `uS/cm`, …
    pub fn name(self) -> &'static str {
        UNITS.iter().find(|u| u.0 == self).map_or("", |u| u.1)
    }

    /// The unit with that name in a file.
    pub fn from_name(name: &str) -> Option<Self> {
        UNITS.iter().find(|u| u.1 == name).map(|u| u.0)
    }

    /// Every name a file may use.
    pub fn names() -> impl Iterator<Item = &'static str> {
        UNITS.iter().map(|u| u.1)
    }

    /// A number in this unit as people read it: no more digits than such
    /// evidence supports.
    pub fn show(self, value: f64) -> String {
        let size = value.abs();
        let digits = match self {
            Unit::Count | Unit::Degree | Unit::LitrePerDay | Unit::Litre | Unit::MicrosiemensPerCm => 0,
            Unit::CfuPer100Ml | Unit::Money | Unit::KilogramPerCubicMetre => 0,
            Unit::Millimetre | Unit::Day | Unit::Minute if size >= 10.0 => 0,
            Unit::MetrePerHour if size < 1.0 => 2,
            Unit::MilligramPerLitre if size < 0.1 => 3,
            Unit::MetrePerSecond => 3,
            Unit::MilligramPerLitre | Unit::LitrePerSecond | Unit::Millimetre | Unit::One if size < 10.0 => 2,
            _ if size < 100.0 => 1,
            _ => 0,
        };
        let text = format!("{value:.digits$}");
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        let text = if text == "-0" { "0" } else { text };
        let mark = UNITS.iter().find(|u| u.0 == self).map_or("", |u| u.2);
        match mark {
            "" => text.to_owned(),
            "%" | "°" => format!("{text}{mark}"),
            _ => format!("{text} {mark}"),
        }
    }
}

impl From<Unit> for &'static str {
    fn from(unit: Unit) -> Self {
        unit.name()
    }
}

#[cfg(test)]
mod tests {
    use super::Unit;

    #[test]
    fn numbers_carry_no_more_digits_than_the_evidence() {
        assert_eq!(Unit::Metre.show(24.52), "24.5 m");
        assert_eq!(Unit::Metre.show(30.0), "30 m");
        assert_eq!(Unit::MilligramPerLitre.show(0.012), "0.012 mg/L");
        assert_eq!(Unit::Count.show(3.0), "3");
        assert_eq!(Unit::Metre.show(-0.01), "0 m");
    }
}
