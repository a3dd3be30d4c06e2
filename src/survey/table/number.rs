//! Which number is this text? Points and commas are read only as what they
//! surely are: `1,234` may be 1.234 or 1234, and a depth a thousand times too
//! small is worse than a row left out.

use super::super::DecimalMark;

/// A number as its characters show it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::survey) enum Form {
    /// Digits alone.
    Whole,
    /// This mark stands for the decimals and for nothing else (`12,5`).
    Sure(DecimalMark),
    /// Three digits behind this mark: it may part thousands (`1,234`).
    Unsure(DecimalMark),
    /// Marks that part thousands (`1,234.5`, `1.234.567`).
    Grouped,
    /// No number.
    Other,
}

/// Why a text is not a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::survey) enum NumberFault {
    /// The mark may part thousands or decimals.
    Ambiguous,
    /// A comma where decimals have a point, or the other way round.
    OtherMark,
    /// Thousands are parted.
    Grouped,
    /// Too great to be held.
    TooGreat,
    /// No number at all.
    Other,
}

/// A text cut into the parts of a number.
struct Parts<'t> {
    sign: &'t str,
    digits: &'t str,
    exponent: &'t str,
}

fn parts(text: &str) -> Parts<'_> {
    let text = text.trim();
    let unsigned = text.strip_prefix(['+', '-', '\u{2212}']).unwrap_or(text);
    let sign = text.get(..text.len() - unsigned.len()).unwrap_or_default();
    let (digits, exponent) = match unsigned.find(['e', 'E']) {
        Some(at) => unsigned.split_at(at),
        None => (unsigned, ""),
    };
    Parts { sign, digits, exponent }
}

/// What the characters of `text` show.
pub(in crate::survey) fn form(text: &str) -> Form {
    let p = parts(text);
    let exponent = p.exponent.get(1..).unwrap_or_default();
    let power = exponent.strip_prefix(['+', '-']).unwrap_or(exponent);
    let digits_only = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
    if !p.exponent.is_empty() && (power.is_empty() || !digits_only(power)) {
        return Form::Other;
    }
    if !p.digits.contains(|c: char| c.is_ascii_digit()) {
        return Form::Other;
    }
    let marks: Vec<(usize, char)> = p.digits.char_indices().filter(|(_, c)| !c.is_ascii_digit()).collect();
    match marks.as_slice() {
        [] => Form::Whole,
        [(at, c @ (',' | '.'))] => {
            let mark = if *c == ',' { DecimalMark::Comma } else { DecimalMark::Point };
            let thousands = (1..=3).contains(at)
                && p.digits.len() - at == 4
                && !p.digits.starts_with('0')
                && p.exponent.is_empty();
            if thousands { Form::Unsure(mark) } else { Form::Sure(mark) }
        }
        // A blank or an apostrophe counts only between groups of three.
        many if many
            .iter()
            .all(|(_, c)| matches!(c, ',' | '.' | ' ' | '\'' | '’' | '\u{a0}' | '\u{202f}'))
            && in_groups(p.digits) =>
        {
            Form::Grouped
        }
        _ => Form::Other,
    }
}

fn in_groups(digits: &str) -> bool {
    let mut groups = digits.split(|c: char| !c.is_ascii_digit());
    let first = groups.next().unwrap_or_default().len();
    let rest: Vec<usize> = groups.map(str::len).collect();
    let inner = rest.split_last().map_or(&[][..], |(_, inner)| inner);
    (1..=3).contains(&first) && inner.iter().all(|n| *n == 3) && rest.last().is_some_and(|n| *n > 0)
}

/// The number that `text` stands for, decimals behind `mark`; `None` where
/// the column leaves the mark open.
pub(in crate::survey) fn number(text: &str, mark: Option<DecimalMark>) -> Result<f64, NumberFault> {
    match (form(text), mark) {
        (Form::Other, _) => return Err(NumberFault::Other),
        (Form::Grouped, _) => return Err(NumberFault::Grouped),
        (Form::Unsure(_), None) => return Err(NumberFault::Ambiguous),
        (Form::Unsure(m), Some(mark)) if m != mark => return Err(NumberFault::Ambiguous),
        (Form::Sure(DecimalMark::Comma), None) => return Err(NumberFault::OtherMark),
        (Form::Sure(m), Some(mark)) if m != mark => return Err(NumberFault::OtherMark),
        _ => {}
    }
    let p = parts(text);
    let plain = format!("{}{}{}", p.sign.replace('\u{2212}', "-"), p.digits.replace(',', "."), p.exponent);
    match plain.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        Ok(_) => Err(NumberFault::TooGreat),
        Err(_) => Err(NumberFault::Other),
    }
}

/// The marks that a number of texts prove.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::survey) struct Shown {
    point: bool,
    comma: bool,
    unsure_point: bool,
}

impl Shown {
    /// What these texts show.
    pub(in crate::survey) fn by<'t>(texts: impl Iterator<Item = &'t str>) -> Self {
        let mut shown = Self::default();
        for text in texts {
            match form(text) {
                Form::Sure(DecimalMark::Point) => shown.point = true,
                Form::Sure(DecimalMark::Comma) => shown.comma = true,
                Form::Unsure(DecimalMark::Point) => shown.unsure_point = true,
                _ => {}
            }
        }
        shown
    }

    /// What both show together.
    pub(in crate::survey) fn and(self, other: Self) -> Self {
        Self {
            point: self.point || other.point,
            comma: self.comma || other.comma,
            unsure_point: self.unsure_point || other.unsure_point,
        }
    }

    /// The mark of a column that shows this, in a table that as a whole shows
    /// `table`; `None` where that is open. A column without any mark of its
    /// own, or with unsure ones alone, follows the table.
    pub(in crate::survey) fn mark(self, table: Self) -> Option<DecimalMark> {
        match (self.point, self.comma) {
            (true, true) => None,
            (true, false) => Some(DecimalMark::Point),
            (false, true) => Some(DecimalMark::Comma),
            (false, false) => match (table.point, table.comma) {
                (_, false) => Some(DecimalMark::Point),
                (false, true) if !self.unsure_point => Some(DecimalMark::Comma),
                _ => None,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const POINT: Option<DecimalMark> = Some(DecimalMark::Point);
    const COMMA: Option<DecimalMark> = Some(DecimalMark::Comma);

    #[test]
    fn plain_numbers_are_read() {
        for (text, value) in
            [("12", 12.0), ("-9.5", -9.5), ("+.5", 0.5), ("5.", 5.0), ("1.5e3", 1500.0), ("\u{2212}2", -2.0)]
        {
            assert_eq!(number(text, POINT), Ok(value), "{text}");
        }
        assert_eq!(number("12,5", COMMA), Ok(12.5));
        assert_eq!(number("1,234", COMMA), Ok(1.234));
    }

    #[test]
    fn a_comma_that_may_part_thousands_is_not_guessed_at() {
        assert_eq!(number("1,234", POINT), Err(NumberFault::Ambiguous));
        assert_eq!(number("1,234", None), Err(NumberFault::Ambiguous));
        assert_eq!(number("1.234", COMMA), Err(NumberFault::Ambiguous));
        assert_eq!(number("0,234", POINT), Err(NumberFault::OtherMark));
        assert_eq!(number("12,5", POINT), Err(NumberFault::OtherMark));
    }

    #[test]
    fn parted_thousands_are_refused() {
        for text in ["1,234.5", "1.234,5", "1 234 567", "1'234'567", "1,234,567"] {
            assert_eq!(number(text, POINT), Err(NumberFault::Grouped), "{text}");
        }
        assert_eq!(number("1 234", POINT), Err(NumberFault::Grouped));
    }

    #[test]
    fn what_is_not_finite_or_no_number_is_refused() {
        assert_eq!(number("1e999", POINT), Err(NumberFault::TooGreat));
        for text in ["", "nan", "inf", "-", "about 12", "12-14", "1e", "0x10", "1_0", ".", "٣", "1,,2"] {
            assert_eq!(number(text, POINT), Err(NumberFault::Other), "{text}");
        }
    }

    #[test]
    fn a_column_proves_its_own_mark_before_the_table_does() {
        let shown = |texts: &[&'static str]| Shown::by(texts.iter().copied());
        let table = shown(&["-9.41", "12,5"]);
        assert_eq!(shown(&["12,5", "1,234"]).mark(table), COMMA);
        assert_eq!(shown(&["-9.41"]).mark(table), POINT);
        assert_eq!(shown(&["1,234"]).mark(table), None);
        assert_eq!(shown(&["1,234"]).mark(shown(&["12,5"])), COMMA);
        assert_eq!(shown(&["1.234"]).mark(shown(&["12,5"])), None);
        assert_eq!(shown(&["1.234"]).mark(shown(&["9.5"])), POINT);
        assert_eq!(shown(&["1.5", "2,5"]).mark(table), None);
    }

    proptest! {
        #[test]
        fn a_number_that_is_read_is_finite(text in "[-+0-9.,eE ']{0,12}") {
            for mark in [POINT, COMMA, None] {
                if let Ok(value) = number(&text, mark) {
                    prop_assert!(value.is_finite());
                }
            }
        }

        #[test]
        fn what_is_written_is_what_is_read(value in -1.0e6..1.0e6f64) {
            prop_assert_eq!(number(&format!("{value}"), POINT), Ok(value));
            prop_assert_eq!(number(&format!("{value}").replace('.', ","), COMMA), Ok(value));
        }
    }
}
