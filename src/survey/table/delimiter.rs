//! What separates the cells: a comma, a semicolon or a tab? Found by trying
//! each on the first rows: the right one cuts them all into the same number
//! of cells.

use super::rows::rows;

/// Rows looked at.
const TRIED: usize = 50;

/// Where the table starts and what separates its cells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Layout {
    /// Byte at which the header starts.
    pub from: usize,
    /// The separator.
    pub delimiter: u8,
}

/// Finds out how the table is laid out.
pub(super) fn layout(text: &str) -> Layout {
    let from = text.len() - text.trim_start_matches('\u{feff}').len();
    let text = text.get(from..).unwrap_or_default();
    // Some spreadsheets state the separator in a line of its own.
    if let Some((line, _)) = text.split_once('\n')
        && let Some(stated) = line.trim_end_matches('\r').strip_prefix("sep=")
        && let [delimiter @ (b',' | b';' | b'\t')] = stated.as_bytes()
    {
        return Layout { from: from + line.len() + 1, delimiter: *delimiter };
    }
    let mut best = (0, 1, b',');
    for delimiter in [b',', b';', b'\t'] {
        let rows = rows(text, 0, delimiter, TRIED);
        let width = rows.first().map_or(0, Vec::len);
        let alike = if width < 2 { 0 } else { rows.iter().filter(|r| r.len() == width).count() };
        if (alike, width) > (best.0, best.1) {
            best = (alike, width, delimiter);
        }
    }
    Layout { from, delimiter: best.2 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_separator_is_the_one_that_cuts_all_rows_alike() {
        assert_eq!(layout("a,b\n1,2\n").delimiter, b',');
        assert_eq!(layout("a;b\n1,5;2,5\n").delimiter, b';');
        assert_eq!(layout("a\tb, c; d\n1\t2\n").delimiter, b'\t');
        assert_eq!(layout("a\n1,2\n").delimiter, b',');
        assert_eq!(layout("").delimiter, b',');
    }

    #[test]
    fn a_comma_inside_quotes_does_not_count() {
        assert_eq!(layout("\"a, b\";c\n\"1, 2\";3\n").delimiter, b';');
    }

    #[test]
    fn a_stated_separator_is_believed() {
        assert_eq!(layout("sep=;\r\na,b;c\n"), Layout { from: 7, delimiter: b';' });
    }
}
