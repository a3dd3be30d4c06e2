//! What do these shapes stand for? Reads GeoJSON (RFC 7946): features with a
//! geometry on WGS84, whose properties are the keys of a survey, known by the
//! same names, units, words and mapping as the columns of a table.
//!
//! A feature that cannot be used is left out with its place and the reason;
//! the rest goes on.

mod geometry;
mod json;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::sync::Arc;

use self::geometry::{Fault, Part, parts, stands_twice};
use self::json::{Members, items, text as characters, whole};
use super::spots::Spots;
use super::table::sheet::{Cells, Heading, Is, Line, Sheet, Written};
use super::table::{TableRead, read_sheet};
use super::{Cell, CellValue, LeftOut, RecordKind, Shape, TableFile};
use crate::diag::{Level, Origin, Problem, Problems};

/// The key that a point's altitude is for.
const ELEVATION: &str = "elevation_m";

/// Reads a FeatureCollection, a Feature or a bare geometry.
///
/// Geometries of a collection become records of their own with the properties
/// of their feature. Each feature that is left out is in `left_out` and has a
/// [`Level::LeftOut`] problem at the spot that is to blame.
pub fn read_geojson(
    text: &str,
    name: &Arc<str>,
    file: &TableFile,
    kind: RecordKind,
    problems: &mut Problems,
) -> TableRead {
    let spots = Spots::new(name, text);
    let Some((sheet, left_out)) = sheet(&spots, text, name, kind, problems) else {
        return TableRead::default();
    };
    let mut read = read_sheet(&sheet, file, kind, problems);
    read.left_out.extend(left_out);
    read.left_out.sort_by(|a, b| a.from.cmp(&b.from));
    read
}

/// The features with their properties, before anyone asks what they mean, and
/// those that could not be used; `None`, and an error, where it is no GeoJSON.
pub(super) fn sheet<'t>(
    spots: &'t Spots<'t>,
    text: &'t str,
    name: &Arc<str>,
    kind: RecordKind,
    problems: &mut Problems,
) -> Option<(Sheet<'t>, Vec<LeftOut>)> {
    let mut reader = Reader {
        spots,
        kind,
        problems,
        left_out: Vec::new(),
        headings: Vec::new(),
        columns: BTreeMap::new(),
        lines: Vec::new(),
    };
    if !reader.document(text.trim_start_matches('\u{feff}')) {
        return None;
    }
    let Reader { left_out, headings, lines, .. } = reader;
    let sheet = Sheet {
        spots,
        top: Origin::whole(name.clone()),
        called: "property",
        headings,
        lines,
        shapes: true,
        commas_free: true,
    };
    Some((sheet, left_out))
}

struct Reader<'a, 't> {
    spots: &'a Spots<'t>,
    kind: RecordKind,
    problems: &'a mut Problems,
    left_out: Vec<LeftOut>,
    /// Names of properties in the order met.
    headings: Vec<Heading>,
    columns: BTreeMap<String, usize>,
    lines: Vec<Line>,
}

impl<'t> Reader<'_, 't> {
    /// Reads the whole text; `false`, after an error, where it is no GeoJSON.
    fn document(&mut self, text: &'t str) -> bool {
        let value = match whole(text) {
            Ok(value) => value,
            Err(error) => {
                let said = error.to_string();
                let said = said.split(" at line ").next().unwrap_or_default();
                let at = self.spots.at_byte(error.line(), error.column());
                self.problems.error(
                    "not-json",
                    at,
                    format!("this is not JSON: {said}"),
                    "Export the file again, or mend the spot by hand.",
                );
                return false;
            }
        };
        let top = Members::of(value);
        let kind = top.as_ref().and_then(|m| m.text("type").ok().flatten());
        let (Some(top), Some(kind)) = (top, kind) else {
            return self.no_geojson(value, "there is no GeoJSON object here");
        };
        if !self.crs_is_wgs84(&top) {
            return false;
        }
        match kind.as_str() {
            "FeatureCollection" => {
                let Some(features) = top.get("features").ok().flatten().and_then(items) else {
                    return self.no_geojson(value, "the FeatureCollection has no list of features");
                };
                if features.is_empty() {
                    self.problems.add(
                        Level::Warning,
                        "no-rows",
                        self.spots.of(value),
                        "the collection has no features",
                        "Check that it is the right file.",
                    );
                }
                features.into_iter().for_each(|f| self.feature(f));
            }
            "Feature" => self.feature(value),
            _ => self.geometry(value, value, &[]),
        }
        true
    }

    fn no_geojson(&mut self, at: &str, message: &str) -> bool {
        self.problems.error(
            "not-geojson",
            self.spots.of(at),
            message,
            "GeoJSON is a FeatureCollection, a Feature or a geometry (RFC 7946).",
        );
        false
    }

    /// RFC 7946 has WGS84 alone; older files may name another system.
    fn crs_is_wgs84(&mut self, top: &Members<'t>) -> bool {
        let Some((_, crs)) = top.iter().find(|(name, _)| *name == "crs") else { return true };
        let properties = Members::of(crs).and_then(|m| m.get("properties").ok().flatten());
        let name = properties.and_then(Members::of).and_then(|m| m.text("name").ok().flatten());
        let code = name.as_deref().map(|n| n.to_ascii_uppercase().replace(':', ""));
        if code.is_some_and(|c| ["CRS84", "CRS84H", "EPSG4326"].iter().any(|known| c.ends_with(known))) {
            return true;
        }
        self.problems.error(
            "crs-not-wgs84",
            self.spots.of(crs),
            match name {
                Some(name) => format!("the coordinates are said to be in {name:?}"),
                None => "the coordinates are said to be in a system that is not named".to_owned(),
            },
            "GeoJSON holds longitude and latitude on WGS84 alone (RFC 7946): export it so, or take crs out if they are.",
        );
        false
    }

    fn feature(&mut self, feature: &'t str) {
        match self.feature_parts(feature) {
            Ok((geometry, properties)) => self.geometry(feature, geometry, &properties),
            Err(fault) => self.leave_out(feature, fault),
        }
    }

    /// The geometry of a feature and its properties by column.
    fn feature_parts(&mut self, feature: &'t str) -> Result<(&'t str, Cells), Fault<'t>> {
        let bad =
            |at, message: &str, help| Fault { at, code: "not-a-feature", message: message.to_owned(), help };
        let members = Members::of(feature)
            .filter(|m| m.text("type").is_ok_and(|t| t.as_deref() == Some("Feature")))
            .ok_or_else(|| {
                bad(feature, "this is no Feature", "A feature has type, geometry and properties.")
            })?;
        let geometry = members.get("geometry").map_err(|twice| stands_twice(twice.0))?;
        let geometry = geometry.ok_or_else(|| Fault {
            at: feature,
            code: "empty-geometry",
            message: "the feature has no geometry".to_owned(),
            help: "Draw it, or take the feature out if it is nowhere.",
        })?;
        let mut cells: BTreeMap<usize, Written> = BTreeMap::new();
        if let Some(properties) = members.get("properties").map_err(|twice| stands_twice(twice.0))? {
            let properties = Members::of(properties)
                .ok_or_else(|| bad(properties, "the properties are no object", "Write { \"kind\": … }."))?;
            for (name, value) in properties.iter() {
                let index = self.column(name, value);
                let Some(written) = self.written(value) else { continue };
                if cells.insert(index, written).is_some() {
                    return Err(stands_twice(value));
                }
            }
        }
        Ok((geometry, cells.into_iter().collect()))
    }

    /// A line for each shape of the geometry.
    fn geometry(&mut self, feature: &'t str, geometry: &'t str, cells: &[(usize, Written)]) {
        let parts = parts(geometry);
        let several = parts.len() > 1;
        for part in parts {
            let spot = |at| if several { at } else { feature };
            match part.and_then(|p| self.fits_kind(p)) {
                Err(fault) => self.leave_out(spot(fault.at), fault),
                Ok(part) => self.shape(spot(part.at), part, cells.to_vec()),
            }
        }
    }

    fn fits_kind(&self, part: Part<'t>) -> Result<Part<'t>, Fault<'t>> {
        let point = matches!(&part.shape, Shape::Points(places) if places.len() == 1);
        if self.kind == RecordKind::Well && !point {
            return Err(Fault {
                at: part.at,
                code: "well-not-a-point",
                message: "a well is one point, and this geometry is more".to_owned(),
                help: "Write each well as a feature with a Point.",
            });
        }
        Ok(part)
    }

    fn shape(&mut self, from: &'t str, part: Part<'t>, cells: Cells) {
        for ring in part.closed {
            self.problems.add(
                Level::Warning,
                "open-ring",
                self.spots.of(ring),
                "the ring does not end where it starts; it was closed",
                "Repeat its first position at its end.",
            );
        }
        let altitude = part.altitude.filter(|_| self.kind == RecordKind::Well).map(|(metres, at)| {
            let length = first_line(at);
            (ELEVATION, Cell { value: CellValue::Number(metres), at: self.spots.of(at), length })
        });
        let given = altitude.into_iter().collect();
        self.lines.push(Line { from: self.spots.of(from), cells, given, shape: Some(part.shape) });
    }

    /// The column of that property.
    fn column(&mut self, name: &str, value: &str) -> usize {
        if let Some(index) = self.columns.get(name) {
            return *index;
        }
        let index = self.headings.len();
        self.headings.push(Heading {
            text: name.to_owned(),
            at: self.spots.of(value),
            length: first_line(value),
        });
        self.columns.insert(name.to_owned(), index);
        index
    }

    /// A property's value as a cell; nothing for `null`.
    fn written(&self, value: &str) -> Option<Written> {
        let (text, is) = match value.as_bytes().first() {
            Some(b'n') => return None,
            Some(b'"') => (characters(value)?, Is::Text),
            Some(b'[' | b'{') => (String::new(), Is::Structure),
            Some(b't' | b'f') => (value.to_owned(), Is::Text),
            _ => (value.to_owned(), Is::Number),
        };
        let length = first_line(value);
        Some(Written { text, is, start: self.spots.offset(value), length })
    }

    fn leave_out(&mut self, from: &str, fault: Fault<'_>) {
        self.left_out.push(LeftOut { from: self.spots.of(from), why: fault.message.clone() });
        self.problems.push(Problem {
            code: fault.code,
            level: Level::LeftOut,
            at: self.spots.of(fault.at),
            length: 1,
            message: fault.message,
            help: fault.help.to_owned(),
        });
    }
}

/// Characters of the first line of a piece of text.
fn first_line(text: &str) -> usize {
    text.lines().next().unwrap_or_default().chars().count()
}
