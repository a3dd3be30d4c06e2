//! How a survey says another file is to be read: which of its columns is
//! which, what stands for "missing", in which order its dates are. Each
//! option knows where it was written, so that a message can point at it.

use std::collections::BTreeMap;

use super::{Cell, RawRecord, Seen};
use crate::diag::Origin;

/// One file of hazards or wells named in a survey.
#[derive(Debug, Clone, PartialEq)]
pub struct TableFile {
    /// Where the survey names it.
    pub from: Origin,
    /// Its path as written.
    pub path: Seen<String>,
    /// Canonical key to the heading (or property) that carries it there.
    /// These go before any heading that is known by itself.
    pub columns: BTreeMap<String, Seen<String>>,
    /// Canonical key to the value that holds for every row that has none of
    /// its own. [`TableFile::fill`] puts them in; a reader need not.
    pub set: BTreeMap<String, Cell>,
    /// Texts that stand for "no value" in any column.
    pub missing: Vec<Seen<String>>,
    /// Canonical key to texts that stand for "no value" in its column.
    pub missing_in: BTreeMap<String, Vec<Seen<String>>>,
    /// The order of day, month and year in its dates.
    pub dates: Option<Seen<DateOrder>>,
    /// The mark between whole numbers and decimals.
    pub decimal: Option<Seen<DecimalMark>>,
    /// Their words to ours, for keys that take words or yes and no; compared
    /// without regard to case and to spaces at the ends. A reader applies
    /// them before it makes the cell, and for `kind` keeps the original in a
    /// cell named [`super::keys::WRITTEN_AS`].
    pub words: BTreeMap<String, Seen<String>>,
    /// Accuracy of coordinates whose row states none, metres;
    /// [`TableFile::fill`] puts it in.
    pub accuracy_m: Option<Seen<f64>>,
    /// Datum of grid references whose row states none;
    /// [`TableFile::fill`] puts it in.
    pub datum: Option<Seen<String>>,
    /// Zone of grid references whose row states none;
    /// [`TableFile::fill`] puts it in.
    pub zone: Option<Seen<String>>,
    /// Canonical key to a heading whose value is to be subtracted, in a unit
    /// of the same kind. A row without that value has no value for the key.
    pub subtract: BTreeMap<String, Seen<String>>,
}

/// The order of the parts of a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DateOrder {
    /// 25/09/2018.
    DayFirst,
    /// 09/25/2018.
    MonthFirst,
    /// 2018/09/25.
    YearFirst,
}

/// The mark between whole numbers and decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalMark {
    /// 3,5.
    Comma,
    /// 3.5.
    Point,
}

impl TableFile {
    /// A file read without any option.
    pub fn plain(path: Seen<String>) -> Self {
        Self {
            from: path.from.clone(),
            path,
            columns: BTreeMap::new(),
            set: BTreeMap::new(),
            missing: Vec::new(),
            missing_in: BTreeMap::new(),
            dates: None,
            decimal: None,
            words: BTreeMap::new(),
            accuracy_m: None,
            datum: None,
            zone: None,
            subtract: BTreeMap::new(),
        }
    }

    /// Puts into a record what the survey says of every row of the file.
    pub fn fill(&self, record: &mut RawRecord) {
        use super::CellValue::{Number, Text};
        let text = |s: &Seen<String>| Cell { value: Text(s.value.clone()), at: s.from.clone(), length: 0 };
        let mut put = |key: &str, cell: Option<Cell>| {
            if let Some(cell) = cell {
                record.cells.entry(key.to_owned()).or_insert(cell);
            }
        };
        for (key, cell) in &self.set {
            put(key, Some(cell.clone()));
        }
        let accuracy = self.accuracy_m.as_ref();
        put("accuracy_m", accuracy.map(|a| Cell { value: Number(a.value), at: a.from.clone(), length: 0 }));
        put("datum", self.datum.as_ref().map(text));
        put("zone", self.zone.as_ref().map(text));
    }
}

#[cfg(test)]
mod tests {
    use super::super::CellValue;
    use super::*;

    #[test]
    fn a_row_keeps_its_own_value() {
        let at = Origin::new("a.csv", 2, 1);
        let own = Cell { value: CellValue::Number(3.0), at: at.clone(), length: 1 };
        let mut record = RawRecord {
            from: at,
            cells: [("accuracy_m".to_owned(), own.clone())].into(),
            shape: None,
            log: Vec::new(),
        };
        let said = Origin::new("survey.toml", 4, 1);
        let mut file = TableFile::plain(Seen::new("a.csv".to_owned(), said.clone()));
        file.accuracy_m = Some(Seen::new(12.0, said.clone()));
        file.datum = Some(Seen::new("Arc 1960".to_owned(), said));
        file.fill(&mut record);
        assert_eq!(record.cells.get("accuracy_m"), Some(&own));
        assert_eq!(
            record.cells.get("datum").map(|c| &c.value),
            Some(&CellValue::Text("Arc 1960".to_owned()))
        );
    }
}
