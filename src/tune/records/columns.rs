//! What the columns of a table say of each row, by the map: its place, its
//! day and what became of it, or why that cannot be told.

use jiff::civil::Date;

use super::map::{Map, NumberColumn, PlaceColumns, Quality, Words, YesNo};
use super::read::{Outcome, lacks};
use super::{Amount, Dates, Forecast, Given};
use crate::diag::Problems;
use crate::ground::BoreEnd;
use crate::survey::LonLat;
use crate::survey::grid::from_grid;
use crate::survey::plain::{DateRead, NumberRead, PlainTable, holds_choice, says};

/// Why a row is not used; what stands before a colon groups such rows.
pub(super) type Why = String;

/// A number or why there is none.
pub(super) type Numbers = Vec<Result<f64, Why>>;

/// A table and what its columns mean.
pub(super) struct Columns<'t, 'm> {
    pub table: &'t PlainTable<'t>,
    pub map: &'m Map,
}

impl Columns<'_, '_> {
    fn marks(&self, own: &[String]) -> Vec<String> {
        self.map.missing.iter().chain(own).cloned().collect()
    }

    /// The numbers of a column in the unit of its factor; `what` is how
    /// reasons call them.
    pub(super) fn numbers(&self, number: &NumberColumn, what: &str) -> Numbers {
        let raw = self.raw(number, what);
        let bounded = |value: Result<f64, Why>| value.and_then(|v| in_bounds(v, number, what));
        match &number.subtract {
            None => raw.into_iter().map(bounded).collect(),
            Some(subtract) => {
                let heights = self.raw(&subtract.number, "height of the reference point");
                let height = |h: Result<f64, Why>| {
                    let read =
                        h.and_then(|h| in_bounds(h, &subtract.number, "height of the reference point"));
                    read.or_else(|why| subtract.otherwise.map(|o| o * subtract.number.factor).ok_or(why))
                };
                let less = |(v, h): (Result<f64, Why>, Result<f64, Why>)| Ok(v? - height(h)?);
                raw.into_iter().zip(heights).map(less).map(bounded).collect()
            }
        }
    }

    fn raw(&self, number: &NumberColumn, what: &str) -> Numbers {
        let Ok(index) = self.table.column(&number.column.value) else { return Vec::new() };
        let marks = self.marks(&number.missing);
        let read = |n: NumberRead| match n {
            NumberRead::Is(value) => Ok(value),
            NumberRead::Missing => Err(format!("no {what}")),
            NumberRead::Below(limit) => Err(format!("{what} is not a number: less than {limit}")),
            NumberRead::Not(why) => Err(format!("{what} is not a number: {why}")),
        };
        self.table.numbers(index, number.factor, &marks, self.map.decimal).into_iter().map(read).collect()
    }

    pub(super) fn places(&self) -> Vec<Result<LonLat, Why>> {
        let off = |e: String| format!("the place is not on Earth: {e}");
        match &self.map.place {
            PlaceColumns::Given => (0..self.table.len())
                .map(|i| self.table.place(i).ok_or_else(|| "no place".to_owned()))
                .collect(),
            PlaceColumns::Degrees { lat, lon } => {
                let (lats, lons) = (self.numbers(lat, "latitude"), self.numbers(lon, "longitude"));
                let place = |(lat, lon): (Result<f64, Why>, Result<f64, Why>)| {
                    let (lat, lon) = (lat?, lon?);
                    if lat.abs() + lon.abs() <= 0.0 {
                        return Err("no place: latitude and longitude are both 0".to_owned());
                    }
                    LonLat::new(lon, lat).map_err(|e| off(e.to_string()))
                };
                lats.into_iter().zip(lons).map(place).collect()
            }
            PlaceColumns::Grid { easting, northing, zone, datum } => {
                let (east, north) = (self.numbers(easting, "easting"), self.numbers(northing, "northing"));
                let place = |(e, n): (Result<f64, Why>, Result<f64, Why>)| {
                    from_grid(e?, n?, *zone, datum).map_err(|e| off(e.to_string()))
                };
                east.into_iter().zip(north).map(place).collect()
            }
        }
    }

    pub(super) fn dates(&self, given: &Given<'_>, problems: &mut Problems) -> Option<Vec<Result<Date, Why>>> {
        let Some(column) = &self.map.date else {
            if given.dates == Dates::Needed {
                lacks(given, "date", "date = \"the heading of the day of drilling\"", problems);
            }
            return None;
        };
        let index = self.table.column(&column.value).ok()?;
        let read = |d: DateRead| match d {
            DateRead::Is(day) => Ok(day),
            DateRead::Missing => Err("no date".to_owned()),
            DateRead::Not(why) => Err(format!("the date cannot be read: {why}")),
        };
        let dates: Vec<_> =
            self.table.dates(index, &self.map.missing, self.map.dates).into_iter().map(read).collect();
        // A date that nobody needs costs no row.
        (given.dates != Dates::Unused).then_some(dates)
    }

    pub(super) fn outcomes(
        &self,
        forecast: &Forecast,
        given: &Given<'_>,
        problems: &mut Problems,
    ) -> Option<Vec<Result<Outcome, Why>>> {
        let depths = self.map.hole_depth.as_ref().map(|n| self.numbers(n, "depth of the hole"));
        let is = |all: Vec<Result<bool, Why>>| all.into_iter().map(|r| r.map(Outcome::Is)).collect();
        match forecast {
            Forecast::DepthToWater => {
                let Some(number) = &self.map.depth_to_water else {
                    lacks(given, "depth to water", "[depth_to_water] with column and unit", problems);
                    return None;
                };
                // Both as read, from whatever point.
                let (read, holes) = (self.raw(number, "depth to water"), depths.unwrap_or_default());
                let dry = |i: usize| match (read.get(i), holes.get(i)) {
                    (Some(Ok(level)), Some(Ok(hole))) if level >= hole => Some((level, hole)),
                    _ => None,
                };
                let above_bottom = |(i, level): (usize, Result<f64, Why>)| match (level?, dry(i)) {
                    (_, Some((level, hole))) => Err(format!(
                        "the water stands no higher than the bottom of the hole: {level:.2} m in {hole:.2} m"
                    )),
                    (level, None) => Ok(Outcome::Depth(level)),
                };
                Some(
                    self.numbers(number, "depth to water")
                        .into_iter()
                        .enumerate()
                        .map(above_bottom)
                        .collect(),
                )
            }
            Forecast::Refusal => {
                let (Some(depths), Some(refused)) = (depths, &self.map.refusal) else {
                    let example = "[hole_depth] with column and unit, and [refusal] with yes and no";
                    lacks(given, "depth reached and whether the ground refused it", example, problems);
                    return None;
                };
                let end = |refused: bool| if refused { BoreEnd::Refused } else { BoreEnd::Censored };
                let bore = |(depth, refused): (Result<f64, Why>, Result<bool, Why>)| match depth? {
                    depth if depth > 0.0 => Ok(Outcome::Bore(depth, end(refused?))),
                    depth => Err(format!("depth of the hole is not above 0: {depth}")),
                };
                Some(depths.into_iter().zip(self.yes_no(refused, "refusal")).map(bore).collect())
            }
            Forecast::Success => {
                let Some(success) = &self.map.success else {
                    lacks(given, "outcome", "[success] with yes and no", problems);
                    return None;
                };
                Some(is(self.yes_no(success, "outcome")))
            }
            Forecast::Quality(name) => match self.map.quality.get(name) {
                Some(Quality::Words(words)) => Some(is(self.yes_no(words, name))),
                Some(Quality::Above { number, limit, .. }) => Some(is(self.above(number, *limit, name))),
                None => {
                    let known: Vec<&str> = self.map.quality.keys().map(String::as_str).collect();
                    let known = if known.is_empty() {
                        String::new()
                    } else {
                        format!("; it knows {}", known.join(", "))
                    };
                    let example =
                        format!("[quality.{name}] with column, unit and above, or with yes and no{known}");
                    lacks(given, &format!("quality {name}"), &example, problems);
                    None
                }
            },
        }
    }

    /// Yields, or falls of the water from the wettest to the driest month.
    pub(super) fn amounts(
        &self,
        amount: Amount,
        given: &Given<'_>,
        problems: &mut Problems,
    ) -> Option<Vec<Result<Outcome, Why>>> {
        match (amount, &self.map.well_yield, &self.map.wet_and_dry) {
            (Amount::Yield, Some(number), _) => {
                let given = |y: f64| if y < 0.0 { Err(format!("yield is below 0: {y}")) } else { Ok(y) };
                let read = self.numbers(number, "yield").into_iter();
                Some(read.map(|y| y.and_then(given).map(Outcome::Amount)).collect())
            }
            (Amount::Fall, _, [Some(wet), Some(dry)]) => {
                let levels = self
                    .numbers(wet, "wet-season level")
                    .into_iter()
                    .zip(self.numbers(dry, "dry-season level"));
                Some(levels.map(|(wet, dry)| fall(wet?, dry?).map(Outcome::Amount)).collect())
            }
            (Amount::Yield, ..) => {
                lacks(given, "yield", "[yield] with column and unit", problems);
                None
            }
            (Amount::Fall, ..) => {
                let example = "[depth_to_water_wet] and [depth_to_water_dry], each with column and unit";
                lacks(given, "levels of both seasons", example, problems);
                None
            }
        }
    }

    /// The well of each row.
    pub(super) fn wells(&self) -> Option<Vec<Option<String>>> {
        let index = self.table.column(&self.map.well.as_ref()?.value).ok()?;
        Some(self.table.texts(index, &self.map.missing).into_iter().map(|t| t.map(str::to_owned)).collect())
    }

    fn above(&self, number: &NumberColumn, limit: f64, what: &str) -> Vec<Result<bool, Why>> {
        let Ok(index) = self.table.column(&number.column.value) else { return Vec::new() };
        let marks = self.marks(&number.missing);
        let read = |n: NumberRead| match n {
            NumberRead::Is(value) => in_bounds(value, number, what).map(|v| v > limit),
            NumberRead::Below(below) if below <= limit => Ok(false),
            NumberRead::Below(below) => {
                Err(format!("{what} is not told apart from its limit: less than {below}"))
            }
            NumberRead::Missing => Err(format!("no {what}")),
            NumberRead::Not(why) => Err(format!("{what} is not a number: {why}")),
        };
        self.table.numbers(index, number.factor, &marks, self.map.decimal).into_iter().map(read).collect()
    }

    fn yes_no(&self, means: &YesNo, what: &str) -> Vec<Result<bool, Why>> {
        type Test = fn(&str, &str) -> bool;
        let mut found = vec![(false, false); self.table.len()];
        let mut written = vec![None; self.table.len()];
        let parts: [(&[Words], Test, bool); 4] = [
            (&means.yes, holds_choice, true),
            (&means.no, holds_choice, false),
            (&means.yes_says, says, true),
            (&means.no_says, says, false),
        ];
        for (list, test, yes) in parts {
            for Words { column, words } in list {
                let Ok(index) = self.table.column(&column.value) else { continue };
                let texts = self.table.texts(index, &self.map.missing);
                for ((text, found), written) in texts.into_iter().zip(&mut found).zip(&mut written) {
                    let Some(text) = text else { continue };
                    *written = written.or(Some(text));
                    let hit = words.iter().any(|w| test(text, w));
                    if yes {
                        found.0 |= hit;
                    } else {
                        found.1 |= hit;
                    }
                }
            }
        }
        let decided = |((yes, no), written): ((bool, bool), Option<&str>)| match (yes, no, written) {
            (true, true, _) => Err(format!("the row says both yes and no to {what}")),
            (true, false, _) => Ok(true),
            (false, true, _) => Ok(false),
            (false, false, Some(_)) if means.otherwise_no => Ok(false),
            (false, false, Some(text)) => {
                let cut: String = text.chars().take(40).collect();
                Err(format!("{what} is neither yes nor no: \"{cut}\""))
            }
            (false, false, None) => Err(format!("no {what}")),
        };
        found.into_iter().zip(written).map(decided).collect()
    }

    /// Which rows the map leaves aside.
    pub(super) fn kept(&self) -> Vec<bool> {
        let mut kept = vec![true; self.table.len()];
        for Words { column, words } in &self.map.keep {
            let Ok(index) = self.table.column(&column.value) else { continue };
            for (text, kept) in self.table.texts(index, &self.map.missing).into_iter().zip(&mut kept) {
                *kept &= text.is_some_and(|t| words.iter().any(|w| holds_choice(t, w)));
            }
        }
        kept
    }
}

fn fall(wet: f64, dry: f64) -> Result<f64, Why> {
    match dry - wet {
        fall if fall < 0.0 => {
            Err(format!("the water stands higher in the dry season: {dry:.2} m, {wet:.2} m in the wet"))
        }
        fall => Ok(fall),
    }
}

fn in_bounds(value: f64, number: &NumberColumn, what: &str) -> Result<f64, Why> {
    match number.plausible {
        Some((low, high)) if value < low * number.factor || value > high * number.factor => {
            let own = value / number.factor;
            Err(format!("{what} is not plausible: {own:.4} is outside {low} to {high} {}", number.unit))
        }
        _ => Ok(value),
    }
}
