//! Which day is this text? `02/03/2026` is the second of March or the third
//! of February: the survey says which, or another date of the same column
//! proves that days come first, or nobody guesses.

use jiff::civil::Date;

use super::super::DateOrder;
use super::super::fold::letters;

/// Names of months, folded, in English, French, Portuguese and Spanish; three
/// letters or more of one of them name the month, if of no other.
const MONTHS: [&[&str]; 12] = [
    &["january", "janvier", "janeiro", "enero"],
    &["february", "fevrier", "fevereiro", "febrero"],
    &["march", "mars", "marco", "marzo"],
    &["april", "avril", "abril"],
    &["may", "mai", "maio", "mayo"],
    &["june", "juin", "junho", "junio"],
    &["july", "juillet", "julho", "julio"],
    &["august", "aout", "agosto"],
    &["september", "septembre", "setembro", "septiembre"],
    &["october", "octobre", "outubro", "octubre"],
    &["november", "novembre", "novembro", "noviembre"],
    &["december", "decembre", "dezembro", "diciembre"],
];

/// A date as its characters show it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::survey) enum Written {
    /// A year first, or a month by name: only one reading.
    Sure(Date),
    /// Two numbers and a year; which of the two is the day is open.
    Numbers {
        /// The number written first.
        first: i8,
        /// The number written second.
        second: i8,
        /// The year.
        year: i16,
    },
    /// The year has fewer than four digits.
    ShortYear,
    /// No day of any month.
    Other,
}

impl Written {
    /// Whether it may be two days, or is one by its numbers alone (`2/13`).
    pub(in crate::survey) fn is_open(self) -> bool {
        matches!(self, Written::Numbers { first, second, .. } if first != second && first.min(second) <= 12)
    }
}

/// What the characters of `text` show; a time of day behind the date is left
/// aside.
pub(in crate::survey) fn written(text: &str) -> Written {
    let day = without_time(text.trim());
    let parts: Vec<&str> = day.split(|c: char| !c.is_alphanumeric()).filter(|p| !p.is_empty()).collect();
    let [a, b, c] = parts.as_slice() else { return Written::Other };
    let sure = |year: &str, month: Option<i8>, day: Option<i8>| match (year.len(), month, day) {
        (1..=2, Some(_), Some(_)) if year.parse::<i8>().is_ok() => Written::ShortYear,
        (4, Some(month), Some(day)) => match year.parse().map(|year| Date::new(year, month, day)) {
            Ok(Ok(date)) => Written::Sure(date),
            _ => Written::Other,
        },
        _ => Written::Other,
    };
    match (month_named(a), month_named(b)) {
        (Some(month), _) => sure(c, Some(month), small(b)),
        (_, Some(month)) if a.len() == 4 => sure(a, Some(month), small(c)),
        (_, Some(month)) => sure(c, Some(month), small(a)),
        _ if a.len() == 4 => sure(a, small(b), small(c)),
        _ => match (small(a), small(b), c.len(), c.parse::<i16>()) {
            (Some(first), Some(second), 4, Ok(year)) => Written::Numbers { first, second, year },
            (Some(_), Some(_), 1..=2, Ok(_)) => Written::ShortYear,
            _ => Written::Other,
        },
    }
}

/// A number of one or two digits; `2nd` and `3rd` too.
fn small(text: &str) -> Option<i8> {
    let digits = ["st", "nd", "rd", "th"].iter().find_map(|e| text.strip_suffix(e)).unwrap_or(text);
    if digits.len() > 2 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    digits.parse().ok()
}

fn month_named(text: &str) -> Option<i8> {
    let name = letters(text);
    if name.len() < 3 || name.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let mut found = MONTHS.iter().zip(1..).filter(|(names, _)| names.iter().any(|n| n.starts_with(&name)));
    match (found.next(), found.next()) {
        (Some((_, month)), None) => Some(month),
        _ => None,
    }
}

/// The text as far as the time of day, if what follows is one.
fn without_time(text: &str) -> &str {
    for (at, c) in text.char_indices() {
        if matches!(c, 'T' | 't' | ' ') && text.get(at + c.len_utf8()..).is_some_and(is_time) {
            return text.get(..at).unwrap_or(text);
        }
    }
    text
}

/// `14:30`, `2:30 PM`, `00:00:00Z`, `08:15:30.25+02:00`.
fn is_time(text: &str) -> bool {
    let allowed = |c: char| c.is_ascii_digit() || matches!(c, ':' | '.' | '+' | '-' | ' ');
    let lower = text.trim().to_ascii_lowercase();
    let clock = ["am", "pm", "z"].iter().find_map(|e| lower.strip_suffix(e)).unwrap_or(&lower);
    let hour = clock.split(':').next().unwrap_or_default();
    clock.contains(':') && matches!(hour.len(), 1 | 2) && clock.chars().all(allowed)
}

/// What a column of dates proves about its order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(in crate::survey) struct OrderShown {
    day_first: bool,
    month_first: bool,
}

impl OrderShown {
    /// What these dates prove.
    pub(in crate::survey) fn by(dates: impl Iterator<Item = Written>) -> Self {
        let mut shown = Self::default();
        for date in dates {
            if let Written::Numbers { first, second, .. } = date {
                shown.day_first |= first > 12 && second <= 12;
                shown.month_first |= second > 12 && first <= 12;
            }
        }
        shown
    }

    /// Day first, where that alone is proved.
    pub(in crate::survey) fn order(self) -> Option<DateOrder> {
        (self.day_first && !self.month_first).then_some(DateOrder::DayFirst)
    }

    /// What to tell the person about it.
    pub(in crate::survey) fn in_words(self) -> &'static str {
        match (self.day_first, self.month_first) {
            (true, true) => "some dates of this column can only be day first and others only month first",
            (false, true) => "the dates of this column look month first",
            _ => "no date of this column shows whether the day or the month comes first",
        }
    }
}

/// The day, where the order leaves only one.
pub(in crate::survey) fn day(written: Written, order: Option<DateOrder>) -> Option<Date> {
    match (written, order) {
        (Written::Sure(date), _) => Some(date),
        (Written::Numbers { first, second, year }, Some(DateOrder::DayFirst)) => {
            Date::new(year, second, first).ok()
        }
        (Written::Numbers { first, second, year }, Some(DateOrder::MonthFirst)) => {
            Date::new(year, first, second).ok()
        }
        (Written::Numbers { first, second, year }, None) if first == second => {
            Date::new(year, first, second).ok()
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn a_year_in_front_leaves_one_reading() {
        for text in [
            "2026-03-02",
            "2026/3/2",
            "2026.03.02",
            "2026-03-02T00:00:00Z",
            "2026-03-02 14:30",
            "2026-Mar-02",
        ] {
            assert_eq!(written(text), Written::Sure(date(2026, 3, 2)), "{text}");
        }
    }

    #[test]
    fn a_month_by_name_leaves_one_reading() {
        for text in [
            "2 March 2026",
            "02-Mar-2026",
            "Mar 2, 2026",
            "March 2nd, 2026",
            "2 mars 2026",
            "2-março-2026",
            "2 Mar 2026 2:30 PM",
        ] {
            assert_eq!(written(text), Written::Sure(date(2026, 3, 2)), "{text}");
        }
        assert_eq!(written("1 août 2025"), Written::Sure(date(2025, 8, 1)));
        assert_eq!(written("1 jui 2025"), Written::Other);
    }

    #[test]
    fn two_numbers_wait_for_the_order() {
        let open = written("02/03/2026");
        assert_eq!(open, Written::Numbers { first: 2, second: 3, year: 2026 });
        assert_eq!(day(open, Some(DateOrder::DayFirst)), Some(date(2026, 3, 2)));
        assert_eq!(day(open, Some(DateOrder::MonthFirst)), Some(date(2026, 2, 3)));
        assert_eq!(day(open, Some(DateOrder::YearFirst)), None);
        assert_eq!(day(open, None), None);
        assert_eq!(day(written("05.05.2026"), None), Some(date(2026, 5, 5)));
    }

    #[test]
    fn a_column_proves_day_first_only_without_contradiction() {
        let shown = |texts: &[&str]| OrderShown::by(texts.iter().map(|t| written(t))).order();
        assert_eq!(shown(&["02/03/2026", "25/09/2018"]), Some(DateOrder::DayFirst));
        assert_eq!(shown(&["02/03/2026", "25/09/2018", "9/25/2018"]), None);
        assert_eq!(shown(&["9/25/2018"]), None);
        assert_eq!(shown(&["02/03/2026"]), None);
    }

    #[test]
    fn what_is_no_day_is_refused() {
        for text in ["2026-02-30", "31 April 2026", "March 2026", "2026", "43382", "soon", "", "1/2/3/2026"] {
            assert_eq!(written(text), Written::Other, "{text}");
        }
        assert_eq!(day(written("31/04/2026"), Some(DateOrder::DayFirst)), None);
    }

    #[test]
    fn a_year_of_two_digits_is_refused() {
        for text in ["2-Mar-26", "02/03/26", "Mar 2, 26"] {
            assert_eq!(written(text), Written::ShortYear, "{text}");
        }
    }

    proptest! {
        #[test]
        fn any_day_is_read_back(y in 1900i16..2100, m in 1i8..=12, d in 1i8..=28) {
            let day_of = date(y, m, d);
            prop_assert_eq!(written(&day_of.to_string()), Written::Sure(day_of));
            let text = format!("{d:02}/{m:02}/{y}");
            prop_assert_eq!(day(written(&text), Some(DateOrder::DayFirst)), Some(day_of));
        }

        #[test]
        fn no_text_makes_it_panic(text in "\\PC{0,24}") {
            let _ = day(written(&text), Some(DateOrder::DayFirst));
        }
    }
}
