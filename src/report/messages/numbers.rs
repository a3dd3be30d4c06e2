//! Numbers, dates and money in the reader's way: a decimal comma and a narrow
//! space between thousands in French (common practice of the language).

use super::{Language, Messages};

/// Between a number and its unit, so that a line never breaks there.
const HARD_SPACE: char = '\u{a0}';

impl Messages {
    /// A number with at most so many digits after the point, none of them a
    /// trailing zero.
    pub fn number(self, x: f64, digits: usize) -> String {
        let plain = format!("{x:.digits$}");
        let plain =
            if plain.contains('.') { plain.trim_end_matches('0').trim_end_matches('.') } else { &plain };
        self.number_text(if plain == "-0" { "0" } else { plain })
    }

    /// A number written with a point, in the reader's way.
    pub fn number_text(self, plain: &str) -> String {
        match self.language {
            Language::English => plain.to_owned(),
            Language::French => plain.replace('.', ","),
        }
    }

    /// Metres to the digits that a distance is worth.
    pub fn metres(self, x: f64) -> String {
        format!("{}{HARD_SPACE}m", self.number(x, usize::from(x.abs() < 100.0)))
    }

    /// Metres to half a metre, as depths are told.
    pub fn depth(self, x: f64) -> String {
        format!("{}{HARD_SPACE}m", self.number((2.0 * x).round() / 2.0, 1))
    }

    /// Two depths, to half a metre.
    pub fn depths(self, from: f64, to: f64) -> String {
        let half = |x: f64| self.number((2.0 * x).round() / 2.0, 1);
        self.fill("unit.range_m", &[("low", &half(from)), ("high", &half(to))])
    }

    /// A chance to 5 %, but never "0 %" or "100 %" of what may happen.
    pub fn chance(self, c: f64) -> String {
        let percent = |text: &str| format!("{text}{HARD_SPACE}%");
        match c {
            c if c <= 0.0 => percent("0"),
            c if c < 0.025 => self.fill("unit.under", &[("x", &percent("5"))]),
            c if c >= 1.0 => percent("100"),
            c if c > 0.975 => self.fill("unit.over", &[("x", &percent("95"))]),
            c => percent(&format!("{:.0}", (c * 20.0).round() * 5.0)),
        }
    }

    /// Money: two figures, or whole units under a hundred.
    pub fn money(self, x: f64, currency: &str) -> String {
        let by = if x.abs() < 100.0 { 1.0 } else { 10_f64.powf(x.abs().log10().floor() - 1.0) };
        let whole = format!("{:.0}", (x / by).round() * by);
        format!("{}{HARD_SPACE}{currency}", self.grouped(if whole == "-0" { "0" } else { &whole }))
    }

    /// A whole number with its thousands apart.
    fn grouped(self, whole: &str) -> String {
        let between = match self.language {
            Language::English => ',',
            Language::French => '\u{202f}',
        };
        let (sign, digits) = whole.strip_prefix('-').map_or(("", whole), |d| ("-", d));
        // Four digits are read as they are.
        if digits.len() <= 4 {
            return whole.to_owned();
        }
        let mut out = sign.to_owned();
        for (n, c) in digits.chars().enumerate() {
            if n > 0 && (digits.len() - n).is_multiple_of(3) {
                out.push(between);
            }
            out.push(c);
        }
        out
    }

    /// A day written as 2026-05-14, in words.
    pub fn date(self, iso: &str) -> String {
        let mut parts = iso.splitn(3, '-');
        let (year, month, day) = (parts.next(), parts.next(), parts.next());
        let (Some(year), Some(month), Some(day)) = (year, month, day) else { return iso.to_owned() };
        let number = day.parse::<u8>().ok();
        let Some(number) = number.filter(|_| month.len() == 2 && month.bytes().all(|b| b.is_ascii_digit()))
        else {
            return iso.to_owned();
        };
        let day = match (self.language, number) {
            (Language::French, 1) => "1er".to_owned(),
            _ => number.to_string(),
        };
        format!("{day} {} {year}", self.say(&format!("month.{month}")))
    }

    /// A bearing with the quarter of the sky.
    pub fn bearing(self, deg: f64) -> String {
        const QUARTERS: [&str; 8] = ["n", "ne", "e", "se", "s", "sw", "w", "nw"];
        let nearest = (deg.rem_euclid(360.0) / 45.0).round() as usize;
        let quarter = QUARTERS.get(nearest % QUARTERS.len()).copied().unwrap_or("n");
        let mut whole = format!("{:.0}", deg.rem_euclid(360.0));
        if whole == "360" {
            "0".clone_into(&mut whole);
        }
        format!("{whole}° ({})", self.say(&format!("quarter.{quarter}")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EN: Messages = Messages { language: Language::English };
    const FR: Messages = Messages { language: Language::French };

    #[test]
    fn a_french_reader_sees_a_decimal_comma() {
        assert_eq!(FR.metres(11.83), "11,8\u{a0}m");
        assert_eq!(EN.metres(11.83), "11.8\u{a0}m");
    }

    #[test]
    fn a_day_is_told_in_words() {
        assert_eq!(EN.date("2026-05-14"), "14 May 2026");
        assert_eq!(FR.date("2026-05-01"), "1er mai 2026");
        assert_eq!(FR.date("some day"), "some day");
    }

    #[test]
    fn chances_are_told_to_five_in_a_hundred() {
        assert_eq!(EN.chance(0.37), "35\u{a0}%");
        assert_eq!(EN.chance(0.01), "under 5\u{a0}%");
        assert_eq!(EN.chance(0.999), "over 95\u{a0}%");
    }

    #[test]
    fn thousands_stand_apart() {
        assert_eq!(EN.money(1_234_567.0, "XOF"), "1,200,000\u{a0}XOF");
        assert_eq!(FR.money(12_345.0, "XOF"), "12\u{202f}000\u{a0}XOF");
        assert_eq!(EN.money(940.0, "USD"), "940\u{a0}USD");
    }
}
