//! Where byte `offset` of a text stands, as a line and a column that a person
//! can go to. Built once for a text, then quick for any number of offsets,
//! even where the whole file is one line.

use std::sync::Arc;

use crate::diag::Origin;

/// Bytes between two places at which characters have been counted.
const STRIDE: usize = 1024;

/// Lines and characters of one text.
pub(crate) struct Spots<'t> {
    file: Arc<str>,
    text: &'t str,
    /// Byte at which each line starts.
    lines: Vec<usize>,
    /// Characters that start before byte `n * STRIDE`; empty where every
    /// character is one byte.
    counted: Vec<usize>,
}

impl<'t> Spots<'t> {
    /// Counts the lines and characters of `text`.
    pub(crate) fn new(file: &Arc<str>, text: &'t str) -> Self {
        let lines = std::iter::once(0).chain(text.match_indices('\n').map(|(i, _)| i + 1)).collect();
        let mut before = 0;
        let mut counted = Vec::new();
        if text.is_ascii() {
            return Self { file: file.clone(), text, lines, counted };
        }
        counted.push(0);
        for block in text.as_bytes().chunks(STRIDE) {
            before += starts(block);
            counted.push(before);
        }
        Self { file: file.clone(), text, lines, counted }
    }

    /// The file and the spot of byte `offset`.
    pub(crate) fn at(&self, offset: usize) -> Origin {
        let offset = offset.min(self.text.len());
        let line = self.lines.partition_point(|&start| start <= offset).max(1);
        let start = self.lines.get(line - 1).copied().unwrap_or(0);
        Origin::new(self.file.clone(), line, self.characters(offset) - self.characters(start) + 1)
    }

    /// The spot of a part of the text that was cut from it.
    pub(crate) fn of(&self, part: &str) -> Origin {
        self.at(self.offset(part))
    }

    /// The byte at which a part of the text starts that was cut from it; the
    /// end of the text for any other.
    pub(crate) fn offset(&self, part: &str) -> usize {
        let offset = (part.as_ptr() as usize).checked_sub(self.text.as_ptr() as usize);
        offset.map_or(self.text.len(), |o| o.min(self.text.len()))
    }

    /// The spot of byte `column` (from 1) of `line` (from 1).
    pub(crate) fn at_byte(&self, line: usize, column: usize) -> Origin {
        let start = line.checked_sub(1).and_then(|l| self.lines.get(l)).copied().unwrap_or(0);
        self.at(start + column.saturating_sub(1))
    }

    fn characters(&self, offset: usize) -> usize {
        if self.counted.is_empty() {
            return offset;
        }
        let block = offset / STRIDE;
        let rest = self.text.as_bytes().get(block * STRIDE..offset).unwrap_or_default();
        self.counted.get(block).copied().unwrap_or(0) + starts(rest)
    }
}

/// How many characters start in these bytes of UTF-8.
fn starts(bytes: &[u8]) -> usize {
    bytes.iter().filter(|b| (**b & 0xC0) != 0x80).count()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::diag::Sources;

    #[test]
    fn a_spot_in_one_long_line_is_counted_in_characters() {
        let text = "é".repeat(5000);
        let spots = Spots::new(&"a".into(), &text);
        assert_eq!(spots.at(8000), Origin::new("a", 1, 4001));
    }

    #[test]
    fn a_part_of_the_text_knows_its_spot() {
        let text = String::from("one\ntwo three");
        let spots = Spots::new(&"a".into(), &text);
        assert_eq!(spots.of(&text[8..]), Origin::new("a", 2, 5));
    }

    proptest! {
        #[test]
        fn spots_are_those_of_a_plain_count(text in "(\\PC|\n){0,40}", part in 0.0..1.0f64) {
            let long = text.repeat(60);
            let mut offset = (long.len() as f64 * part) as usize;
            while !long.is_char_boundary(offset) {
                offset -= 1;
            }
            let file = "a".into();
            prop_assert_eq!(Spots::new(&file, &long).at(offset), Sources::spot(&file, &long, offset));
        }
    }
}
