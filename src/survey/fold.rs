//! Words as they are compared: without case, accents, spaces, hyphens,
//! numbers after a name and simple plurals.

/// The letters and digits of `text`, lower case and without accents, word by
/// word.
pub(crate) fn words(text: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    for c in text.chars().flat_map(char::to_lowercase) {
        if let (true, Some(last)) = (c.is_alphanumeric(), words.last_mut()) {
            last.push(plain_letter(c));
        } else if !matches!(c, '\'' | '’' | '`') {
            words.push(String::new());
        }
    }
    words.retain(|w| !w.is_empty());
    words
}

/// Letters and digits alone: what names of datums are compared by.
pub(crate) fn letters(text: &str) -> String {
    words(text).concat()
}

/// What phrases are compared by: `Pit-Latrines 2` and `pit latrine` are the
/// same.
pub(crate) fn phrase(text: &str) -> String {
    singular_words(text).concat()
}

/// The words of a phrase in the singular, without bare numbers.
pub(crate) fn singular_words(text: &str) -> Vec<String> {
    let mut words = words(text);
    words.retain(|w| !w.chars().all(|c| c.is_ascii_digit()));
    for word in &mut words {
        singular(word);
    }
    words
}

/// Cuts off the ending of a simple English plural. Both sides of a comparison
/// go through it, so that a wrong cut does no harm.
fn singular(word: &mut String) {
    if let Some(stem) = word.strip_suffix("ies").filter(|s| s.len() > 2) {
        *word = format!("{stem}y");
    } else if ["ches", "shes", "xes", "sses"].iter().any(|e| word.ends_with(e)) {
        word.truncate(word.len() - 2);
    } else if word.len() > 3 && word.ends_with('s') && !word.ends_with("ss") && !word.ends_with("us") {
        word.pop();
    }
}

/// The letter without its accent, and signs that stand for a letter or a
/// digit (`µS`, `m³`).
fn plain_letter(c: char) -> char {
    match c {
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' | 'ā' | 'ă' | 'ą' => 'a',
        'ç' | 'ć' | 'č' => 'c',
        'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ę' | 'ě' => 'e',
        'ì' | 'í' | 'î' | 'ï' | 'ī' => 'i',
        'ñ' | 'ń' | 'ň' => 'n',
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' | 'ō' | 'ő' => 'o',
        'š' | 'ś' => 's',
        'ù' | 'ú' | 'û' | 'ü' | 'ū' | 'ű' | 'ů' | 'µ' | 'μ' => 'u',
        'ý' | 'ÿ' => 'y',
        'ž' | 'ź' | 'ż' => 'z',
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        _ => c,
    }
}

/// The candidate most like what was written, if any is much like it.
pub(crate) fn nearest<'a>(written: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = letters(written);
    // Nothing that long is a slip of the pen, and comparing it takes time.
    if plain.len() > 60 {
        return None;
    }
    let mut best = (0.6, None);
    for candidate in candidates {
        let likeness = strsim::normalized_damerau_levenshtein(&plain, &letters(candidate));
        if likeness > best.0 {
            best = (likeness, Some(candidate));
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spelling_habits_make_no_difference() {
        for written in ["Pit Latrine", "pit-latrines", "PIT_LATRINE 3", " pit  latrine", "pitlatrine"] {
            assert_eq!(phrase(written), "pitlatrine");
        }
        assert_eq!(phrase("Cemeteries"), phrase("cemetery"));
        assert_eq!(phrase("waste ditches"), phrase("waste ditch"));
        assert_eq!(phrase("Cimetière"), "cimetiere");
        assert_eq!(letters("M'Poraloko"), "mporaloko");
        assert_eq!(letters("Débit [m³/h]"), "debitm3h");
        assert_eq!(letters("CE µS/cm"), letters("ce μS cm"));
        assert_eq!(letters("De\u{301}bit"), "debit");
    }

    #[test]
    fn a_slip_of_the_pen_finds_its_word_and_nonsense_finds_none() {
        assert_eq!(nearest("nmae", ["name", "at"]), Some("name"));
        assert_eq!(nearest("zzz", ["name", "at"]), None);
    }
}
