//! Which unit does a heading state, and by what must its numbers be
//! multiplied to be in the unit of the key?
//!
//! Factors are those of NIST Special Publication 811 (2008), appendix B (foot
//! 0.3048 m, US gallon 3.785 411 784 L, both exact), the imperial gallon of
//! 4.546 09 L from the same. Parts per million and per billion are taken by
//! mass in water of 1 kg a litre (common practice). Nitrate from nitrogen:
//! standard atomic weights (IUPAC 2021), (14.007 + 3 × 15.999) / 14.007.

use crate::units::Unit;

/// Nitrate for each part of nitrogen, by mass.
const NITRATE_PER_NITROGEN: f64 = (14.007 + 3.0 * 15.999) / 14.007;

/// Litres in a US gallon.
const US_GALLON_L: f64 = 3.785_411_784;

/// Litres in an imperial gallon.
const IMPERIAL_GALLON_L: f64 = 4.546_09;

/// Spellings, folded, of the units that are not made of a volume and a time.
const UNITS: &[(Unit, f64, &[&str])] = &[
    (
        Unit::Metre,
        1.0,
        &[
            "m", "metre", "metres", "meter", "meters", "miter", "miters", "mtr", "mtrs", "mbgl", "masl",
            "mamsl",
        ],
    ),
    (Unit::Metre, 0.3048, &["ft", "foot", "feet", "ftbgl"]),
    (Unit::Metre, 0.0254, &["inch", "inches"]),
    (Unit::Metre, 0.01, &["cm", "cms", "centimetre", "centimetres", "centimeter", "centimeters"]),
    (Unit::Metre, 0.001, &["mm", "millimetre", "millimetres", "millimeter", "millimeters"]),
    (Unit::Metre, 1000.0, &["km", "kms", "kilometre", "kilometres", "kilometer", "kilometers"]),
    (Unit::Metre, 0.9144, &["yd", "yds", "yard", "yards"]),
    (Unit::Degree, 1.0, &["deg", "degs", "degree", "degrees", "decimaldegrees", "decdeg", "dd", "wgs84"]),
    (Unit::LitrePerSecond, 1.0, &["lps"]),
    (Unit::LitrePerSecond, 1.0 / 60.0, &["lpm"]),
    (Unit::LitrePerSecond, 1.0 / 3600.0, &["lph"]),
    // Where nobody says whose gallon, the smaller: no yield is made greater.
    (Unit::LitrePerSecond, US_GALLON_L / 60.0, &["gpm", "usgpm", "gpmus"]),
    (Unit::LitrePerSecond, IMPERIAL_GALLON_L / 60.0, &["igpm", "impgpm", "gpmimp"]),
    (
        Unit::MicrosiemensPerCm,
        1.0,
        &["uscm", "uspercm", "uscm1", "umhocm", "umhoscm", "microsiemenscm", "microsiemenspercm"],
    ),
    (
        Unit::MicrosiemensPerCm,
        1000.0,
        &["mscm", "mspercm", "mscm1", "mmhocm", "mmhoscm", "dsm", "dsperm", "dsm1", "millisiemenspercm"],
    ),
    (Unit::MicrosiemensPerCm, 10.0, &["msm", "msperm", "msm1"]),
    (
        Unit::MilligramPerLitre,
        1.0,
        &["mgl", "mgperl", "mgl1", "mglitre", "mgliter", "mgperlitre", "mgperliter", "ppm", "gm3"],
    ),
    (
        Unit::MilligramPerLitre,
        0.001,
        &["ugl", "ugperl", "ugl1", "uglitre", "ugliter", "ugperlitre", "ugperliter", "mcgl", "ppb"],
    ),
    (Unit::CfuPer100Ml, 1.0, &["cfu100ml", "cfuper100ml", "per100ml", "100ml", "mpn100ml", "mpnper100ml"]),
    (Unit::CfuPer100Ml, 100.0, &["cfuml", "cfuperml"]),
    (Unit::Minute, 1.0, &["minute", "minutes", "mins"]),
    (Unit::Minute, 60.0, &["hour", "hours", "hrs"]),
    (Unit::LitrePerMetre, 1.0, &["lperm", "litrespermetre", "literspermeter"]),
];

/// Spellings that are believed only where the key is of their unit: elsewhere
/// they are words of their own.
const SHORT: &[(Unit, f64, &str)] = &[
    (Unit::Metre, 0.0254, "in"),
    (Unit::MicrosiemensPerCm, 1.0, "us"),
    (Unit::MicrosiemensPerCm, 1000.0, "ms"),
    (Unit::Minute, 1.0, "min"),
    (Unit::Minute, 60.0, "h"),
    (Unit::Minute, 1.0 / 60.0, "s"),
];

/// Litres in each volume that a flow may be given in.
const VOLUMES: &[(&str, f64)] = &[
    ("litres", 1.0),
    ("litre", 1.0),
    ("liters", 1.0),
    ("liter", 1.0),
    ("l", 1.0),
    ("cubicmetres", 1000.0),
    ("cubicmetre", 1000.0),
    ("cubicmeters", 1000.0),
    ("cubicmeter", 1000.0),
    ("m3", 1000.0),
    ("cum", 1000.0),
    ("usgallons", US_GALLON_L),
    ("usgal", US_GALLON_L),
    ("gallons", US_GALLON_L),
    ("gal", US_GALLON_L),
    ("imperialgallons", IMPERIAL_GALLON_L),
    ("impgal", IMPERIAL_GALLON_L),
];

/// Seconds in each time that a flow may be given for.
const TIMES: &[(&[&str], f64)] = &[
    (&["s", "sec", "second", "s1"], 1.0),
    (&["min", "minute", "min1"], 60.0),
    (&["h", "hr", "hour", "h1"], 3600.0),
    (&["d", "day", "d1"], 86_400.0),
];

/// Spellings behind a nitrate column that mean nitrogen, and those that mean
/// nitrate itself.
const AS_NITROGEN: &[&str] = &["mglasn", "mgln", "mgnl", "mglno3n", "mglasno3n", "nmgl", "asnmgl"];
const AS_NITRATE: &[&str] = &["mglasno3", "mglno3", "mgno3l", "asno3mgl"];

/// How a text that may be a unit fits a key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::survey) enum Fit {
    /// It is one of the key's kind: multiply by this.
    By(f64),
    /// It is a unit of another kind.
    Misfit,
    /// It is no unit known here.
    Unknown,
}

/// How `text`, folded, fits `unit`, the unit of the key called `key`.
pub(in crate::survey) fn fit(text: &str, unit: Unit, key: &str) -> Fit {
    let text =
        ["at25degc", "at25c", "25degc", "25c"].iter().find_map(|t| text.strip_suffix(t)).unwrap_or(text);
    if key == "quality.nitrate_mg_l" {
        if AS_NITROGEN.contains(&text) {
            return Fit::By(NITRATE_PER_NITROGEN);
        }
        if AS_NITRATE.contains(&text) {
            return Fit::By(1.0);
        }
    }
    if let Some((_, factor, _)) = SHORT.iter().find(|(u, _, t)| *u == unit && *t == text) {
        return Fit::By(*factor);
    }
    let known = UNITS.iter().find(|(_, _, names)| names.contains(&text)).map(|(u, f, _)| (*u, *f));
    match known.or_else(|| flow(text).map(|f| (Unit::LitrePerSecond, f))) {
        Some((u, factor)) if u == unit => Fit::By(factor),
        Some(_) => Fit::Misfit,
        None => Fit::Unknown,
    }
}

/// Litres a second in one of a flow spelt as a volume and a time.
fn flow(text: &str) -> Option<f64> {
    VOLUMES.iter().find_map(|(volume, litres)| {
        let rest = text.strip_prefix(volume)?;
        let time = rest.strip_prefix("per").unwrap_or(rest);
        let (_, seconds) = TIMES.iter().find(|(names, _)| names.contains(&time))?;
        Some(litres / seconds)
    })
}

#[cfg(test)]
mod tests {
    use super::super::super::fold::letters;
    use super::*;

    fn factor(text: &str, unit: Unit) -> f64 {
        match fit(&letters(text), unit, "") {
            Fit::By(factor) => factor,
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn lengths_become_metres() {
        for (text, per) in
            [("ft", 0.3048), ("Feet", 0.3048), ("miters", 1.0), ("cm", 0.01), ("km", 1e3), ("in", 0.0254)]
        {
            assert!((factor(text, Unit::Metre) - per).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn flows_become_litres_a_second() {
        for (text, per) in [
            ("L/min", 1.0 / 60.0),
            ("l/h", 1.0 / 3600.0),
            ("m³/h", 1.0 / 3.6),
            ("m3 per day", 1.0 / 86.4),
            ("liters per second", 1.0),
            ("L s⁻1", 1.0),
            // NIST SP 811, appendix B.9: gallon (U.S.) per minute, 6.309 02 E-05 m3/s.
            ("gpm", 0.063_090_2),
            ("gpm (US)", 0.063_090_2),
        ] {
            assert!((factor(text, Unit::LitrePerSecond) - per).abs() < 1e-7, "{text}");
        }
    }

    #[test]
    fn conductivities_and_concentrations_become_those_of_the_keys() {
        assert!((factor("mS/cm", Unit::MicrosiemensPerCm) - 1000.0).abs() < 1e-9);
        assert!((factor("dS/m", Unit::MicrosiemensPerCm) - 1000.0).abs() < 1e-9);
        assert!((factor("µS/cm at 25 °C", Unit::MicrosiemensPerCm) - 1.0).abs() < 1e-9);
        assert!((factor("µg/L", Unit::MilligramPerLitre) - 0.001).abs() < 1e-12);
        assert!((factor("ppb", Unit::MilligramPerLitre) - 0.001).abs() < 1e-12);
        assert!((factor("ppm", Unit::MilligramPerLitre) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn nitrate_given_as_nitrogen_is_four_times_as_much_nitrate() {
        let Fit::By(factor) = fit("mglasn", Unit::MilligramPerLitre, "quality.nitrate_mg_l") else {
            panic!("mg/L as N is known")
        };
        assert!((factor - 4.43).abs() < 0.01);
        assert_eq!(fit("mglasn", Unit::MilligramPerLitre, "quality.iron_mg_l"), Fit::Unknown);
    }

    #[test]
    fn a_unit_of_another_kind_does_not_fit() {
        assert_eq!(fit("mgl", Unit::Metre, ""), Fit::Misfit);
        assert_eq!(fit("ls", Unit::MilligramPerLitre, ""), Fit::Misfit);
        assert_eq!(fit("in", Unit::MilligramPerLitre, ""), Fit::Unknown);
        assert_eq!(fit("fathoms", Unit::Metre, ""), Fit::Unknown);
    }

    #[test]
    fn no_spelling_stands_for_two_units() {
        let mut all: Vec<&str> = UNITS.iter().flat_map(|u| u.2.iter().copied()).collect();
        assert!(all.iter().all(|text| flow(text).is_none() && letters(text) == **text));
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
    }
}
