//! Where something is, how well that is known, and what shape it has.

use std::sync::Arc;

/// Longitude and latitude on WGS84, in degrees; always finite, latitude
/// within ±90, longitude within ±180.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LonLat {
    lon_deg: f64,
    lat_deg: f64,
}

/// A longitude or latitude that is not on Earth.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "longitude {lon_deg}, latitude {lat_deg} is not on Earth (latitude −90 to 90, longitude −180 to 180)"
)]
pub struct LonLatError {
    lon_deg: f64,
    lat_deg: f64,
}

impl LonLat {
    /// The place at that longitude and latitude.
    ///
    /// # Errors
    /// When either is not finite or out of range. Longitudes of 180 to 360
    /// are refused too: they are more often a slip than a habit.
    pub fn new(lon_deg: f64, lat_deg: f64) -> Result<Self, LonLatError> {
        if (-180.0..=180.0).contains(&lon_deg) && (-90.0..=90.0).contains(&lat_deg) {
            Ok(Self { lon_deg, lat_deg })
        } else {
            Err(LonLatError { lon_deg, lat_deg })
        }
    }

    /// Longitude, degrees east.
    pub fn lon_deg(self) -> f64 {
        self.lon_deg
    }

    /// Latitude, degrees north.
    pub fn lat_deg(self) -> f64 {
        self.lat_deg
    }
}

/// How well a position is known: the radius, in metres, inside which it lies
/// about two times in three (the figure a phone shows).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Accuracy {
    /// The surveyor stated it.
    Stated(f64),
    /// Nobody stated it for a coordinate; the region says what to assume
    /// (`unstated_accuracy_m`).
    UnstatedCoordinate,
    /// Nobody stated it for a bearing and distance; the region says what
    /// share of the distance to assume (`unstated_tape_error_share`).
    UnstatedTape,
}

/// What a position was referred to. Errors of the frame are shared by all
/// positions of the same frame and cancel between them.
#[derive(Debug, Clone, PartialEq)]
pub enum Frame {
    /// Latitude and longitude on WGS84, or a grid on it.
    Wgs84,
    /// Taken from the peg by bearing and distance: the peg's own error
    /// cancels.
    Peg,
    /// A grid on another datum: the shift to WGS84 is uncertain by
    /// `shift_error_m`, in the same direction for every point of the datum.
    Datum {
        /// The datum's name.
        name: Arc<str>,
        /// How well its shift to WGS84 is known, metres.
        shift_error_m: f64,
    },
    /// A grid reference whose datum nobody stated: it may be off by
    /// `shift_error_m`, and two of them need not share the same datum.
    UnknownDatum {
        /// How far such a reference may be off, metres.
        shift_error_m: f64,
    },
}

/// A place, how well it is known, and to what it was referred.
#[derive(Debug, Clone, PartialEq)]
pub struct Position {
    /// The best place.
    pub at: LonLat,
    /// How well it is known.
    pub accuracy: Accuracy,
    /// What it was referred to.
    pub frame: Frame,
    /// For [`Frame::Peg`]: the distance as it was measured, metres.
    pub taped_m: Option<f64>,
}

/// The shape of a hazard on the ground. Never empty: a line has at least two
/// places, a ring at least four with the first repeated.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// One or more points.
    Points(Vec<LonLat>),
    /// One or more lines.
    Lines(Vec<Vec<LonLat>>),
    /// One or more polygons, each an outer ring and its holes.
    Polygons(Vec<Vec<Vec<LonLat>>>),
}
