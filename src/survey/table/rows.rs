//! Which cells does the text hold, and where does each stand? The splitting
//! is csv-core's; it also says how many bytes each cell took, from which
//! comes the spot, right across line breaks inside quotes.

use csv_core::{ReadFieldResult, ReaderBuilder};

/// One cell as written.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Field {
    /// Its text without quotes and outer blanks.
    pub text: String,
    /// Byte at which it starts.
    pub start: usize,
    /// Characters it covers, as far as its first line goes.
    pub length: usize,
    /// What is wrong with its quotes.
    pub fault: Option<Fault>,
}

/// What can be wrong with the quotes of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fault {
    /// A quote opens and never closes: all that follows is swallowed.
    Unclosed,
    /// More text stands after the closing quote.
    AfterQuote,
}

/// The rows of a text from byte `from` on, blank lines aside; at most `most`.
pub(super) fn rows(text: &str, from: usize, delimiter: u8, most: usize) -> Vec<Vec<Field>> {
    let mut reader = ReaderBuilder::new().delimiter(delimiter).build();
    let bytes = text.as_bytes();
    let mut rows = Vec::new();
    let mut row = Vec::new();
    let mut at = from;
    let mut buffer = vec![0; 256];
    while rows.len() < most {
        let mut start = at;
        if row.is_empty() {
            while bytes.get(start).is_some_and(|b| matches!(b, b'\r' | b'\n')) {
                start += 1;
            }
        }
        let mut filled = 0;
        let record_end = loop {
            let input = bytes.get(at..).unwrap_or_default();
            let output = buffer.get_mut(filled..).unwrap_or_default();
            let (result, taken, written) = reader.read_field(input, output);
            at += taken;
            filled += written;
            match result {
                ReadFieldResult::InputEmpty => {}
                ReadFieldResult::OutputFull => buffer.resize(buffer.len() * 2, 0),
                ReadFieldResult::Field { record_end } => break Some(record_end),
                ReadFieldResult::End => break None,
            }
        };
        let Some(record_end) = record_end else { break };
        let content = String::from_utf8_lossy(buffer.get(..filled).unwrap_or_default());
        row.push(field(text, start..at, delimiter, content.trim()));
        if record_end {
            rows.push(std::mem::take(&mut row));
        }
    }
    rows
}

fn field(text: &str, taken: std::ops::Range<usize>, delimiter: u8, content: &str) -> Field {
    let raw = text.get(taken.clone()).unwrap_or_default();
    let ended = |c: char| c == '\r' || c == '\n';
    let raw = match raw.strip_suffix(char::from(delimiter)) {
        Some(raw) => raw,
        None => raw.trim_end_matches(ended),
    };
    let blank = raw.len() - raw.trim_start().len();
    let shown = raw.trim().split(ended).next().unwrap_or_default();
    Field {
        text: content.to_owned(),
        start: taken.start + blank,
        length: shown.chars().count(),
        fault: fault(raw),
    }
}

fn fault(raw: &str) -> Option<Fault> {
    let mut rest = raw.strip_prefix('"')?;
    loop {
        match rest.split_once('"') {
            None => return Some(Fault::Unclosed),
            Some((_, after)) => match after.strip_prefix('"') {
                Some(after) => rest = after,
                None => return (!after.trim().is_empty()).then_some(Fault::AfterQuote),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn texts(text: &str, delimiter: u8) -> Vec<Vec<String>> {
        rows(text, 0, delimiter, usize::MAX)
            .into_iter()
            .map(|r| r.into_iter().map(|f| f.text).collect())
            .collect()
    }

    fn starts(text: &str) -> Vec<Vec<usize>> {
        rows(text, 0, b',', usize::MAX).iter().map(|r| r.iter().map(|f| f.start).collect()).collect()
    }

    #[test]
    fn cells_start_where_they_are_written() {
        assert_eq!(starts("a,b\r\n\r\n\"x\ny\", 2\r\nc,\r\n"), [[0, 2], [7, 14], [17, 19]]);
    }

    #[test]
    fn quoted_line_breaks_and_doubled_quotes_belong_to_the_cell() {
        assert_eq!(texts("\"a\nb\",\"5\"\" pipe\"\n", b','), [["a\nb", "5\" pipe"]]);
        assert_eq!(rows("\"a\nb\",2\n", 0, b',', 9)[0][0].length, 2);
    }

    #[test]
    fn a_quote_that_never_closes_is_found() {
        let read = rows("a,b\n1,\"x\n2,y\n", 0, b',', 9);
        assert_eq!(read.len(), 2);
        assert_eq!(read[1][1].fault, Some(Fault::Unclosed));
    }

    #[test]
    fn a_quote_that_swallowed_the_next_row_is_found() {
        let read = rows("1,\"x,2\n3,\"y\",4\n", 0, b',', 9);
        assert_eq!(read.len(), 1);
        assert_eq!(read[0][1].fault, Some(Fault::AfterQuote));
    }

    #[test]
    fn quotes_inside_a_bare_cell_are_its_own() {
        let read = rows("5\" pipe,2\n", 0, b',', 9);
        assert_eq!((read[0][0].text.as_str(), read[0][0].fault), ("5\" pipe", None));
    }

    proptest! {
        #[test]
        fn cells_are_those_of_the_csv_library(text in "[a,;\" \r\né1]{0,60}") {
            let mut reader = csv::ReaderBuilder::new()
                .has_headers(false).flexible(true).from_reader(text.as_bytes());
            let theirs: Vec<Vec<String>> = reader
                .records()
                .map(|r| r.unwrap().iter().map(|f| f.trim().to_owned()).collect())
                .collect();
            prop_assert_eq!(texts(&text, b','), theirs);
        }
    }
}
