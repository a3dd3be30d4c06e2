//! Where on Earth is a grid reference? Universal Transverse Mercator easting
//! and northing, in metres, on a stated datum, to longitude and latitude on
//! WGS 84.
//!
//! The projection is the Poder–Engsager series and the shift of datum the
//! Helmert transformation, both of the `proj4rs` library.

use std::fmt;

use proj4rs::Proj;
use proj4rs::transform::transform;

use super::{Datum, LonLat};

/// How far a grid reference may be off when nobody stated its datum, metres.
///
/// Read as WGS 84, references on the datums of the table land up to this far
/// from their true place (tested): 314 m in coastal Kenya on Arc 1960, 600 m
/// in Vietnam on Indian 1960.
pub const UNKNOWN_DATUM_ERROR_M: f64 = 650.0;

/// A zone of the grid and its half of the Earth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Zone {
    number: u8,
    south: bool,
    /// Written with `S`, which may also be meant as the band of latitude
    /// from 32 to 40 degrees north.
    by_letter_s: bool,
}

/// The words given are no zone of the grid.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ZoneError {
    /// The number is missing or not from 1 to 60.
    #[error("{0:?} is not a zone from 1 to 60")]
    Number(String),
    /// Neither half of the Earth nor band of latitude is stated.
    #[error("{0:?} does not say whether it is north or south of the equator")]
    Half(String),
}

/// A grid reference that is not on Earth.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("easting {easting_m} m, northing {northing_m} m is outside the grid")]
pub struct GridError {
    easting_m: f64,
    northing_m: f64,
}

impl Zone {
    /// Reads `37S`, `37 south`, `UTM zone 37 M`, `zone 32N`.
    ///
    /// `N` and `S` (or the words) are the halves of the Earth. Any other
    /// letter is a band of latitude: `C` to `M` lie in the south, `P` to `X`
    /// in the north.
    ///
    /// # Errors
    /// When the number is not from 1 to 60 or the half is not stated.
    pub fn parse(written: &str) -> Result<Self, ZoneError> {
        let plain = written.to_uppercase();
        let plain = plain.trim().trim_start_matches("UTM").trim_start().trim_start_matches("ZONE").trim();
        let digits = plain.chars().take_while(char::is_ascii_digit).count();
        let (number, half) = plain.split_at(digits);
        let number = number
            .parse()
            .ok()
            .filter(|n| (1..=60).contains(n))
            .ok_or_else(|| ZoneError::Number(written.to_owned()))?;
        let half = half.trim_matches(|c: char| !c.is_alphanumeric());
        let mut letters = half.chars();
        let south = match (half, letters.next(), letters.next()) {
            ("NORTH", ..) => false,
            ("SOUTH", ..) => true,
            (_, Some('S'), None) => true,
            (_, Some(band @ 'C'..='X'), None) if !matches!(band, 'I' | 'O') => band < 'N',
            _ => return Err(ZoneError::Half(written.to_owned())),
        };
        Ok(Self { number, south, by_letter_s: half == "S" })
    }

    /// Whether a place at that latitude suggests that the band `S` in the
    /// north was meant: southern land that far from the equator is rare, and
    /// its mirror image is not.
    pub fn perhaps_band_s(self, at: LonLat) -> bool {
        self.by_letter_s && at.lat_deg() < -48.0
    }

    /// The number, from 1 to 60.
    pub fn number(self) -> u8 {
        self.number
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.number, if self.south { "south" } else { "north" })
    }
}

/// The place of a grid reference.
///
/// # Errors
/// When it is outside the grid.
pub fn from_grid(easting_m: f64, northing_m: f64, zone: Zone, datum: &Datum) -> Result<LonLat, GridError> {
    let error = GridError { easting_m, northing_m };
    if !((100_000.0..=900_000.0).contains(&easting_m) && (0.0..=10_000_000.0).contains(&northing_m)) {
        return Err(error);
    }
    let half = if zone.south { "+south" } else { "" };
    let projection = format!("+proj=utm +zone={} {half} +units=m", zone.number);
    let place = to_wgs84(&projection, datum, (easting_m, northing_m)).ok_or(error)?;
    // The grid ends at 80 degrees south and 84 degrees north.
    if (-80.1..=84.1).contains(&place.lat_deg()) { Ok(place) } else { Err(error) }
}

/// The place on WGS 84 of a longitude and latitude on another datum.
pub fn from_datum(at: LonLat, datum: &Datum) -> Option<LonLat> {
    if datum.is_wgs84() {
        return Some(at);
    }
    to_wgs84("+proj=longlat", datum, (at.lon_deg().to_radians(), at.lat_deg().to_radians()))
}

fn to_wgs84(projection: &str, datum: &Datum, (x, y): (f64, f64)) -> Option<LonLat> {
    let shift: Vec<String> = datum.to_wgs84.iter().map(f64::to_string).collect();
    let from = format!(
        "{projection} +a={} +rf={} +towgs84={} +no_defs",
        datum.a_m,
        datum.inverse_flattening,
        shift.join(",")
    );
    let from = Proj::from_proj_string(&from).ok()?;
    let to = Proj::from_proj_string("+proj=longlat +datum=WGS84 +no_defs").ok()?;
    let mut point = (x, y, 0.0);
    transform(&from, &to, &mut point).ok()?;
    let mut lon_deg = point.0.to_degrees();
    if lon_deg.abs() > 180.0 {
        lon_deg -= 360.0_f64.copysign(lon_deg);
    }
    LonLat::new(lon_deg, point.1.to_degrees()).ok()
}

#[cfg(test)]
mod tests {
    use geo::{Distance, Geodesic, Point};

    use super::*;

    fn apart_m(a: LonLat, b: LonLat) -> f64 {
        Geodesic.distance(Point::new(a.lon_deg(), a.lat_deg()), Point::new(b.lon_deg(), b.lat_deg()))
    }

    #[test]
    fn zones_are_read_in_the_ways_people_write_them() {
        for written in ["37S", "37 s", "37 South", "UTM 37S", "utm zone 37-S", "37M", "37L"] {
            assert_eq!(Zone::parse(written).unwrap().to_string(), "37 south", "{written}");
        }
        for written in ["37N", "37 north", "zone 37P", "37X"] {
            assert_eq!(Zone::parse(written).unwrap().to_string(), "37 north", "{written}");
        }
    }

    #[test]
    fn a_zone_without_its_half_is_refused() {
        assert_eq!(Zone::parse("37"), Err(ZoneError::Half("37".into())));
        assert_eq!(Zone::parse("37I"), Err(ZoneError::Half("37I".into())));
        assert_eq!(Zone::parse("61S"), Err(ZoneError::Number("61S".into())));
        assert_eq!(Zone::parse("S"), Err(ZoneError::Number("S".into())));
    }

    #[test]
    fn swapped_or_short_references_are_refused() {
        let (zone, wgs84) = (Zone::parse("37S").unwrap(), Datum::named("WGS 84").unwrap());
        assert!(from_grid(9_504_281.0, 549_738.0, zone, wgs84).is_err());
        assert!(from_grid(49_738.0, 504_281.0, zone, wgs84).is_err());
        assert!(from_grid(549_738.0, f64::NAN, zone, wgs84).is_err());
    }

    #[test]
    fn band_s_of_the_north_is_suspected_when_s_lands_in_the_southern_ocean() {
        let (zone, wgs84) = (Zone::parse("38S").unwrap(), Datum::named("WGS 84").unwrap());
        let place = from_grid(440_000.0, 3_690_000.0, zone, wgs84).unwrap();
        assert!(zone.perhaps_band_s(place));
        let zone = Zone::parse("38 south").unwrap();
        assert!(!zone.perhaps_band_s(place));
    }

    /// The statement beside [`UNKNOWN_DATUM_ERROR_M`].
    #[test]
    fn an_unstated_datum_is_taken_to_be_off_by_as_much_as_the_known_ones() {
        let wgs84 = Datum::named("WGS 84").unwrap();
        let mut worst: (f64, &str) = (0.0, "");
        for datum in Datum::all() {
            let [south, north, west, east] = datum.area;
            let lat = ((south + north) / 2.0).clamp(-75.0, 75.0);
            let lon = (west + east) / 2.0;
            let zone = Zone { number: ((lon + 180.0) / 6.0) as u8 + 1, south: lat < 0.0, by_letter_s: false };
            // A reference near the middle of the datum's area: its northing
            // by the length of a degree, near enough for this purpose.
            let northing = lat * 110_600.0 + if zone.south { 10_000_000.0 } else { 0.0 };
            let (true_place, read_place) = (
                from_grid(400_000.0, northing, zone, datum).unwrap(),
                from_grid(400_000.0, northing, zone, wgs84).unwrap(),
            );
            let off = apart_m(true_place, read_place);
            println!("{off:6.0} m  {}", datum.name);
            if off > worst.0 {
                worst = (off, &datum.name);
            }
        }
        assert!(worst.0 > 300.0 && worst.0 < UNKNOWN_DATUM_ERROR_M, "{worst:?}");
    }
}
