//! What stands in this table, whatever it is about? Headings and lines of a
//! CSV or of GeoJSON points, read column by column for those who say
//! themselves what each column means: the same splitting, numbers, dates,
//! units and marks of "no value" as for the files beside a survey.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::fold::{letters, nearest, words};
use super::spots::Spots;
use super::table::date::{self, OrderShown};
use super::table::number::{Shown, number};
use super::table::sheet::{Heading, Is, Line, Sheet, Written};
use super::table::unit_words::{Fit, fit};
use super::table::values::means_nothing;
use super::{Cell, CellValue, DateOrder, DecimalMark, LeftOut, LonLat, RecordKind, Shape, shapes, table};
use crate::diag::{Origin, Problems};
use crate::units::Unit;

/// A table or a collection of points as written.
pub struct PlainTable<'t> {
    spots: Spots<'t>,
    called: &'static str,
    headings: Vec<Heading>,
    lines: Vec<Line>,
    /// The row of each line.
    rows: Vec<usize>,
    /// Rows that could not be read at all, and why.
    pub left_out: Vec<(usize, String)>,
    commas_free: bool,
    /// Whether each line comes with a place of its own (GeoJSON).
    pub has_places: bool,
}

/// A number as a cell gives it.
#[derive(Debug, Clone, PartialEq)]
pub enum NumberRead {
    /// Nothing, or a mark that stands for "no value".
    Missing,
    /// A finite number.
    Is(f64),
    /// Less than this.
    Below(f64),
    /// Something else; why it is no number.
    Not(String),
}

/// A day as a cell gives it.
#[derive(Debug, Clone, PartialEq)]
pub enum DateRead {
    /// Nothing, or a mark that stands for "no value".
    Missing,
    /// A day.
    Is(Date),
    /// Something else; why it is no day.
    Not(String),
}

/// Why a column was not found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoColumn {
    /// It is not there; the help says what is.
    Absent(String),
    /// Several columns are called so.
    Repeated,
}

impl<'t> PlainTable<'t> {
    /// Reads `text`, the content of `name`, as CSV; `None`, and an error,
    /// where it holds nothing.
    pub fn csv(text: &'t str, name: &Arc<str>, problems: &mut Problems) -> Option<Self> {
        let spots = Spots::new(name, text);
        let (sheet, left_out) = table::sheet(&spots, text, name, problems)?;
        let (parts, left_out) = (Parts::of(sheet), left_out);
        let rows = parts.lines.iter().map(|l| l.from.line).collect();
        let left_out = left_out.into_iter().map(|l| (l.from.line, l.why)).collect();
        Some(parts.table(spots, rows, left_out))
    }

    /// Reads GeoJSON whose features are points; rows are counted by feature.
    pub fn geojson(text: &'t str, name: &Arc<str>, problems: &mut Problems) -> Option<Self> {
        let spots = Spots::new(name, text);
        let (sheet, left_out) = shapes::sheet(&spots, text, name, RecordKind::Well, problems)?;
        let parts = Parts::of(sheet);
        let mut order: Vec<(&Origin, bool, usize)> = Vec::new();
        order.extend(parts.lines.iter().enumerate().map(|(i, l)| (&l.from, false, i)));
        order.extend(left_out.iter().enumerate().map(|(i, l): (usize, &LeftOut)| (&l.from, true, i)));
        order.sort();
        let of = |left: bool| {
            let mut rows: Vec<(usize, usize)> = order
                .iter()
                .enumerate()
                .filter(|(_, (_, is_left, _))| *is_left == left)
                .map(|(row, (.., i))| (*i, row + 1))
                .collect();
            rows.sort_unstable();
            rows.into_iter().map(|(_, row)| row).collect::<Vec<usize>>()
        };
        let (rows, left_rows) = (of(false), of(true));
        let left_out = left_rows.into_iter().zip(left_out).map(|(row, l)| (row, l.why)).collect();
        Some(parts.table(spots, rows, left_out))
    }

    /// How many lines there are.
    pub fn len(&self) -> usize {
        self.lines.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    /// The row of a line as people find it: the line of a CSV, the number of
    /// a feature.
    pub fn row(&self, line: usize) -> usize {
        self.rows.get(line).copied().unwrap_or(0)
    }

    /// The place a feature comes with.
    pub fn place(&self, line: usize) -> Option<LonLat> {
        match self.lines.get(line)?.shape.as_ref()? {
            Shape::Points(places) => places.first().copied(),
            _ => None,
        }
    }

    /// The height a point comes with, metres.
    pub fn height_m(&self, line: usize) -> Option<f64> {
        let given = &self.lines.get(line)?.given;
        match given.iter().find(|(key, _)| *key == "elevation_m") {
            Some((_, Cell { value: CellValue::Number(height), .. })) => Some(*height),
            _ => None,
        }
    }

    /// The column of that heading: to the letter, else apart from case,
    /// spaces and signs.
    ///
    /// # Errors
    /// When there is none, or more than one.
    pub fn column(&self, wanted: &str) -> Result<usize, NoColumn> {
        let (wanted, folded) = (wanted.trim(), letters(wanted));
        let to_the_letter = |h: &Heading| h.text.trim() == wanted;
        let alike = |h: &Heading| !folded.is_empty() && letters(&h.text) == folded;
        for same in [&to_the_letter as &dyn Fn(&Heading) -> bool, &alike] {
            let mut found = self.headings.iter().enumerate().filter(|(_, h)| same(h));
            match (found.next(), found.next()) {
                (Some((index, _)), None) => return Ok(index),
                (Some(_), Some(_)) => return Err(NoColumn::Repeated),
                _ => {}
            }
        }
        let names = || self.headings.iter().map(|h| h.text.as_str()).filter(|t| !t.is_empty());
        let near = nearest(wanted, names()).map(|n| format!("Did you mean \"{n}\"? ")).unwrap_or_default();
        let some: Vec<String> = names().take(12).map(|n| format!("\"{n}\"")).collect();
        let more = names().count().saturating_sub(some.len());
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        Err(NoColumn::Absent(format!("{near}Its {}s are {}{rest}.", self.called, some.join(", "))))
    }

    /// The words of each line in that column; `None` where there are none.
    pub fn texts(&self, index: usize, missing: &[String]) -> Vec<Option<&str>> {
        self.cells(index).map(|c| c.map(|w| w.text.trim()).filter(|t| !is_missing(t, missing))).collect()
    }

    /// The numbers of each line in that column, times `factor`.
    pub fn numbers(
        &self,
        index: usize,
        factor: f64,
        missing: &[String],
        decimal: Option<DecimalMark>,
    ) -> Vec<NumberRead> {
        let texts = self.texts(index, missing);
        let digits = |t: &str| t.trim_start_matches(['<', ' ']).to_owned();
        let all: Vec<String> = texts.iter().flatten().map(|t| digits(t)).collect();
        let shown = Shown::by(all.iter().map(String::as_str));
        let mark = match decimal {
            Some(stated) => Some(stated),
            None if !self.commas_free => Some(DecimalMark::Point),
            None => shown.mark(shown),
        };
        let read = |(text, cell): (Option<&str>, Option<&Written>)| {
            let (Some(text), Some(cell)) = (text, cell) else { return NumberRead::Missing };
            if cell.is == Is::Structure {
                return NumberRead::Not("it is a list or an object".to_owned());
            }
            let mark = if cell.is == Is::Number { Some(DecimalMark::Point) } else { mark };
            let (below, digits) = match text.strip_prefix('<') {
                Some(rest) => (true, rest.trim()),
                None => (false, text),
            };
            match number(digits, mark) {
                Ok(value) if is_missing_number(value, missing) => NumberRead::Missing,
                Ok(value) if !(value * factor).is_finite() => NumberRead::Not("it is too great".to_owned()),
                Ok(value) if below => NumberRead::Below(value * factor),
                Ok(value) => NumberRead::Is(value * factor),
                Err(_) => NumberRead::Not(format!("\"{}\" is not one plain number", short(text))),
            }
        };
        texts.into_iter().zip(self.cells(index)).map(read).collect()
    }

    /// The days of each line in that column, in the order that is stated or
    /// that the column itself proves; each that may be two days is none.
    pub fn dates(&self, index: usize, missing: &[String], order: Option<DateOrder>) -> Vec<DateRead> {
        let texts = self.texts(index, missing);
        let shown = OrderShown::by(texts.iter().flatten().map(|t| date::written(t)));
        let order = order.or_else(|| shown.order());
        let read = |text: Option<&str>| {
            let Some(text) = text else { return DateRead::Missing };
            let written = date::written(text);
            match date::day(written, order) {
                Some(day) => DateRead::Is(day),
                None if written.is_open() && order.is_none() => DateRead::Not(format!(
                    "\"{}\" may be two days: state dates = \"day first\" or \"month first\"",
                    short(text)
                )),
                None => DateRead::Not(format!("\"{}\" is not a day", short(text))),
            }
        };
        texts.into_iter().map(read).collect()
    }

    /// Lines that say the same as an earlier one, cell by cell and place by
    /// place, with that one.
    pub fn repeats(&self) -> BTreeMap<usize, usize> {
        let mut first: BTreeMap<String, usize> = BTreeMap::new();
        let mut again = BTreeMap::new();
        for (i, line) in self.lines.iter().enumerate() {
            let mut said = format!("{:?}", line.shape);
            for (column, cell) in line.cells.iter().filter(|(_, c)| !c.text.is_empty()) {
                said.push_str(&format!("\n{column} {}", cell.text));
            }
            match first.get(&said) {
                Some(earlier) => _ = again.insert(i, *earlier),
                None => _ = first.insert(said, i),
            }
        }
        again
    }

    fn cells(&self, index: usize) -> impl Iterator<Item = Option<&Written>> {
        self.lines.iter().map(move |l| l.cell(index))
    }

    /// Where a line starts.
    pub fn from(&self, line: usize) -> Option<&Origin> {
        self.lines.get(line).map(|l| &l.from)
    }

    /// Where the cell of a line in that column stands.
    pub fn spot(&self, line: usize, index: usize) -> Option<Origin> {
        let cell = self.lines.get(line)?.cell(index)?;
        Some(self.spots.at(cell.start))
    }
}

/// A sheet apart from its borrowed spots.
struct Parts {
    called: &'static str,
    headings: Vec<Heading>,
    lines: Vec<Line>,
    commas_free: bool,
    shapes: bool,
}

impl Parts {
    fn of(sheet: Sheet<'_>) -> Self {
        let Sheet { called, headings, lines, shapes, commas_free, .. } = sheet;
        Self { called, headings, lines, commas_free, shapes }
    }

    fn table(self, spots: Spots<'_>, rows: Vec<usize>, left_out: Vec<(usize, String)>) -> PlainTable<'_> {
        PlainTable {
            spots,
            called: self.called,
            headings: self.headings,
            lines: self.lines,
            rows,
            left_out,
            commas_free: self.commas_free,
            has_places: self.shapes,
        }
    }
}

/// What numbers in the unit written as `text` must be multiplied by to be in
/// `unit`; `parameter` tells nitrate, which may be given as nitrogen. `None`
/// where the text is no unit of that kind.
pub fn unit_factor(text: &str, unit: Unit, parameter: &str) -> Option<f64> {
    let key = if parameter == "nitrate" { "quality.nitrate_mg_l" } else { "" };
    match fit(&letters(text), unit, key) {
        Fit::By(factor) => Some(factor),
        _ => None,
    }
}

/// Whether a cell that may hold several choices holds `choice`: as a whole or
/// as one of the parts between commas, semicolons, bars or line breaks.
/// Compared without case, accents and signs.
pub fn holds_choice(cell: &str, choice: &str) -> bool {
    let wanted = letters(choice);
    let same = |part: &str| !wanted.is_empty() && letters(part) == wanted;
    same(cell) || cell.split([',', ';', '|', '\n']).any(same)
}

/// Whether the words of `phrase` stand one after another somewhere in a cell.
pub fn says(cell: &str, phrase: &str) -> bool {
    let (cell, phrase) = (words(cell), words(phrase));
    !phrase.is_empty() && cell.windows(phrase.len()).any(|w| w == phrase)
}

fn is_missing(text: &str, missing: &[String]) -> bool {
    let plain = text.trim().to_lowercase();
    means_nothing(&plain) || missing.iter().any(|m| m.trim().to_lowercase() == plain)
}

/// -9 stands for -9.0 too.
fn is_missing_number(value: f64, missing: &[String]) -> bool {
    let marks = missing.iter().filter_map(|m| number(m, Some(DecimalMark::Point)).ok());
    marks.into_iter().any(|m| m.total_cmp(&(value + 0.0)).is_eq())
}

/// The start of a text, for messages.
fn short(text: &str) -> String {
    let cut: String = text.chars().take(40).collect();
    if cut.len() < text.len() { format!("{cut}…") } else { cut }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(text: &str) -> PlainTable<'_> {
        PlainTable::csv(text, &"t.csv".into(), &mut Problems::new()).unwrap()
    }

    #[test]
    fn columns_are_found_by_their_headings_and_missed_ones_get_a_suggestion() {
        let t = table("\u{feff}Lat,longtude,Depth (m)\n1,2,3\n");
        assert_eq!((t.column("lat"), t.column("longtude"), t.column("depth m")), (Ok(0), Ok(1), Ok(2)));
        let Err(NoColumn::Absent(help)) = t.column("longitude") else { panic!() };
        assert!(help.contains("Did you mean \"longtude\"?"), "{help}");
        assert_eq!(table("a,a\n1,2\n").column("a"), Err(NoColumn::Repeated));
    }

    #[test]
    fn numbers_know_missing_marks_and_less_than() {
        let t = table("x\n1.5\n-9\nNA\n< 0.1\nabout 3\n-9.0\n");
        let marks = ["-9".to_owned()];
        let read = t.numbers(0, 2.0, &marks, None);
        use NumberRead::{Below, Is, Missing, Not};
        assert_eq!(read[..4], [Is(3.0), Missing, Missing, Below(0.2)]);
        assert!(matches!(read[4], Not(_)));
        assert_eq!(read[5], Missing);
    }

    #[test]
    fn rows_are_lines_even_after_a_cell_of_several_lines() {
        let t = table("a,b\n\"x\ny\",1\nz,2\nq\n");
        assert_eq!((t.row(0), t.row(1)), (2, 4));
        assert_eq!(t.left_out.first().map(|l| l.0), Some(5));
    }

    #[test]
    fn a_choice_is_a_whole_part_of_a_cell_and_words_stand_anywhere() {
        assert!(holds_choice("Salinity, Odor", "odor") && holds_choice("Odor or Smell", "odor or smell"));
        assert!(!holds_choice("Not functional", "functional"));
        assert!(says("Sediments and salinity", "Salinity") && !says("desalination", "salinity"));
    }

    #[test]
    fn features_are_counted_with_those_left_out() {
        let text = r#"{"type":"FeatureCollection","features":[
            {"type":"Feature","geometry":{"type":"Point","coordinates":[35,-15,700]},"properties":{"d":4}},
            {"type":"Feature","geometry":null,"properties":{"d":5}},
            {"type":"Feature","geometry":{"type":"Point","coordinates":[35,-15.1]},"properties":{"d":6}}]}"#;
        let t = PlainTable::geojson(text, &"t.geojson".into(), &mut Problems::new()).unwrap();
        assert_eq!((t.row(0), t.row(1), t.left_out[0].0), (1, 3, 2));
        assert_eq!(t.height_m(0), Some(700.0));
        assert_eq!(t.numbers(t.column("d").unwrap(), 1.0, &[], None)[1], NumberRead::Is(6.0));
    }
}
