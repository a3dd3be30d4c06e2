//! How wide text is, without a font at hand.
//!
//! Pictures are shown in whatever sans-serif the reader's device has. Widths
//! here are those of a wide one of the kind (Verdana and DejaVu Sans, advance
//! widths rounded up, from memory), so that text takes no more room than was
//! kept for it. Units are those of the picture.

/// Width of a character in parts of the size of the letters.
fn of(c: char) -> f64 {
    match c {
        'i' | 'j' | 'l' | 'I' | '|' | '\'' | '.' | ',' | ':' | ';' | '!' => 0.38,
        ' ' | '\u{a0}' | '\u{202f}' => 0.36,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '/' | '-' | '"' => 0.48,
        'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' | 'J' | '°' => 0.62,
        'm' | 'M' | 'W' | '%' | '@' | 'œ' | 'æ' => 1.02,
        'w' | '+' | '<' | '>' | '=' | '~' => 0.86,
        'N' | 'G' | 'O' | 'Q' | 'D' | 'H' | 'U' => 0.82,
        'A'..='Z' => 0.74,
        'a'..='z' | '0'..='9' => 0.65,
        // Letters with accents are as wide as without; what is unknown may be
        // as wide as it is high.
        'à'..='å' | 'è'..='ë' | 'ñ'..='ö' | 'ù'..='ü' | 'ß' | 'ç' => 0.68,
        'ì'..='ï' => 0.42,
        'À'..='Ý' => 0.86,
        '–' | '·' | '’' | '‘' => 0.55,
        _ => 1.1,
    }
}

/// Width of a line of text.
pub fn width(text: &str, size: f64) -> f64 {
    text.chars().map(of).sum::<f64>() * size
}

/// The text in lines no wider than `most`, at most so many; what does not fit
/// ends with dots. A word wider than a line is cut.
pub fn lines(text: &str, size: f64, most: f64, count: usize) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    let mut left_over = false;
    // A hard space holds a number and its unit together.
    for word in text.split([' ', '\n', '\t']).filter(|w| !w.is_empty()) {
        let joined = all.last().map(|line| format!("{line} {word}"));
        match joined.filter(|j| width(j, size) <= most) {
            Some(joined) => {
                all.pop();
                all.push(joined);
            }
            None if all.len() < count => all.push(word.to_owned()),
            None => {
                left_over = true;
                break;
            }
        }
    }
    let last = all.len().saturating_sub(1);
    all.iter().enumerate().map(|(n, line)| shortened(line, size, most, left_over && n == last)).collect()
}

/// A line no wider than `most`, ending with dots where it was cut or more
/// follows.
fn shortened(line: &str, size: f64, most: f64, more: bool) -> String {
    if !more && width(line, size) <= most {
        return line.to_owned();
    }
    let mut kept = String::new();
    for c in line.chars() {
        kept.push(c);
        if width(&kept, size) + width("…", size) > most {
            kept.pop();
            break;
        }
    }
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn no_line_is_wider_than_asked(text in "\\PC{0,80}", most in 20.0..200.0_f64, count in 1_usize..4) {
            let all = lines(&text, 10.0, most, count);
            prop_assert!(all.len() <= count);
            for line in all {
                prop_assert!(width(&line, 10.0) <= most + 1e-9, "{line}");
            }
        }
    }

    #[test]
    fn words_are_kept_whole_where_there_is_room() {
        assert_eq!(lines("north latrine of the school", 10.0, 100.0, 3), ["north latrine of", "the school"]);
    }

    #[test]
    fn what_is_left_out_leaves_dots() {
        assert_eq!(lines("one two three", 10.0, 45.0, 1), ["one t…"]);
    }
}
