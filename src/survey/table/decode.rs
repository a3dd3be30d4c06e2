//! What characters do these bytes stand for? Spreadsheets write UTF-8 with or
//! without a byte order mark, UTF-16, and on older machines Windows-1252.

use std::sync::Arc;

use crate::diag::{Level, Origin, Problems};

/// The text of a file: UTF-8 with or without a byte order mark, UTF-16 with
/// one, else Windows-1252 with a warning. `None`, and an error, where the
/// bytes are no text at all.
pub fn decode(bytes: &[u8], name: &Arc<str>, problems: &mut Problems) -> Option<String> {
    if let Some(what) = not_text(bytes) {
        problems.error("not-text", Origin::whole(name.clone()), what.0, what.1);
        return None;
    }
    let text = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => utf8(rest, name, problems),
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes, name, problems)?,
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes, name, problems)?,
        _ => utf8(bytes, name, problems),
    };
    if text.contains('\0') {
        problems.error(
            "not-text",
            Origin::whole(name.clone()),
            "the file holds zero bytes, so it is not plain text",
            "Save it as CSV or GeoJSON in UTF-8.",
        );
        return None;
    }
    // A lone carriage return ended lines on old Macintoshes.
    Some(if text.contains('\r') && !text.contains('\n') { text.replace('\r', "\n") } else { text })
}

/// Files that people hand over in place of a table, by their first bytes.
fn not_text(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    match bytes {
        [b'P', b'K', 3, 4, ..] => {
            Some(("the file is a workbook or a zip archive", "Save the sheet as CSV in UTF-8."))
        }
        [0xD0, 0xCF, 0x11, 0xE0, ..] => {
            Some(("the file is an old workbook", "Save the sheet as CSV in UTF-8."))
        }
        [b'%', b'P', b'D', b'F', ..] => {
            Some(("the file is a PDF", "Copy its table into a sheet and save that as CSV."))
        }
        _ => None,
    }
}

fn utf8(bytes: &[u8], name: &Arc<str>, problems: &mut Problems) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(error) => {
            let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
            let line = before.iter().filter(|b| **b == b'\n').count() + 1;
            problems.add(
                Level::Warning,
                "not-utf-8",
                Origin::new(name.clone(), line, 0),
                "the file is not UTF-8; it was read as Windows-1252",
                "Check names with accents and signs such as µ, and save the file as UTF-8.",
            );
            bytes.iter().map(|b| windows_1252(*b)).collect()
        }
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16, name: &Arc<str>, problems: &mut Problems) -> Option<String> {
    let pairs = bytes.chunks_exact(2);
    let whole = pairs.remainder().is_empty();
    let units: Vec<u16> = pairs.filter_map(|p| <[u8; 2]>::try_from(p).ok().map(unit)).collect();
    match String::from_utf16(&units) {
        Ok(text) if whole => Some(text),
        _ => {
            problems.error(
                "not-text",
                Origin::whole(name.clone()),
                "the file starts as UTF-16 but does not go on as such",
                "Save it again as UTF-8.",
            );
            None
        }
    }
}

/// Bytes 0x80 to 0x9F; the rest are their own code points. The five bytes
/// that Windows-1252 leaves open become the control characters of that number.
const UPPER: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}',
    '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

fn windows_1252(byte: u8) -> char {
    usize::from(byte)
        .checked_sub(0x80)
        .and_then(|i| UPPER.get(i))
        .copied()
        .unwrap_or_else(|| char::from(byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(bytes: &[u8]) -> (Option<String>, Problems) {
        let mut problems = Problems::new();
        let text = decode(bytes, &"a.csv".into(), &mut problems);
        (text, problems)
    }

    #[test]
    fn a_byte_order_mark_is_taken_off() {
        let (text, problems) = read(b"\xEF\xBB\xBFname\n\xC3\xA9\n");
        assert_eq!(text.as_deref(), Some("name\né\n"));
        assert!(problems.is_empty());
    }

    #[test]
    fn utf_16_of_either_order_is_read() {
        assert_eq!(read(b"\xFF\xFEa\0\xE9\0").0.as_deref(), Some("aé"));
        assert_eq!(read(b"\xFE\xFF\0a\0\xE9").0.as_deref(), Some("aé"));
    }

    #[test]
    fn other_bytes_are_read_as_windows_1252_with_a_warning_at_their_line() {
        let (text, problems) = read(b"name\nPuits de l\x92\xE9cole\n");
        assert_eq!(text.as_deref(), Some("name\nPuits de l’école\n"));
        let p = problems.iter().next().unwrap();
        assert_eq!((p.code, p.level, p.at.line), ("not-utf-8", Level::Warning, 2));
    }

    #[test]
    fn a_workbook_is_refused_with_the_way_out() {
        let (text, problems) = read(b"PK\x03\x04 and so on");
        assert_eq!(text, None);
        let p = problems.iter().next().unwrap();
        assert_eq!((p.code, p.level), ("not-text", Level::Error));
        assert_eq!(p.help, "Save the sheet as CSV in UTF-8.");
    }

    #[test]
    fn zero_bytes_and_torn_utf_16_are_refused() {
        assert_eq!(read(b"a\0b").0, None);
        assert_eq!(read(b"\xFF\xFEa\0b").0, None);
        assert_eq!(read(b"\xFF\xFE\x00\xD8").0, None);
    }

    #[test]
    fn lone_carriage_returns_end_lines() {
        assert_eq!(read(b"a\rb\r").0.as_deref(), Some("a\nb\n"));
    }
}
