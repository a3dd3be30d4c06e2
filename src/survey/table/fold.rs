//! Headings and units as they are compared: letters and digits alone, lower
//! case, without accents.

/// `Depth (ft)` → `depthft`, `Électrique µS/cm` → `electriqueuscm`.
pub(super) fn fold(text: &str) -> String {
    text.chars().flat_map(char::to_lowercase).filter(|c| c.is_alphanumeric()).map(plain).collect()
}

/// The letter without its accent; signs that stand for a letter or digit.
fn plain(c: char) -> char {
    match c {
        'à'..='å' | 'ā' | 'ă' | 'ą' => 'a',
        'ç' | 'ć' | 'č' => 'c',
        'è'..='ë' | 'ē' | 'ę' | 'ě' => 'e',
        'ì'..='ï' | 'ī' => 'i',
        'ñ' | 'ń' | 'ň' => 'n',
        'ò'..='ö' | 'ø' | 'ō' | 'ő' => 'o',
        'š' | 'ś' => 's',
        'ù'..='ü' | 'ū' | 'ű' | 'ů' | 'µ' | 'μ' => 'u',
        'ý' | 'ÿ' => 'y',
        'ž' | 'ź' | 'ż' => 'z',
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        _ => c,
    }
}

#[cfg(test)]
mod tests {
    use super::fold;

    #[test]
    fn signs_spaces_case_and_accents_do_not_count() {
        assert_eq!(fold(" Depth-of_hole (ft)"), "depthofholeft");
        assert_eq!(fold("Débit [m³/h]"), "debitm3h");
        assert_eq!(fold("CE µS/cm"), fold("ce μS cm"));
        assert_eq!(fold("De\u{301}bit"), "debit");
    }
}
