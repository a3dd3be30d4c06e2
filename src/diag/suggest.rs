//! "Did you mean …?"

/// The known word nearest to what was written, if any is near enough to be
/// what was meant.
pub fn nearest_word<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let written = written.to_lowercase();
    known
        .into_iter()
        .map(|k| (strsim::damerau_levenshtein(&written, &k.to_lowercase()), k))
        .filter(|(far, k)| *far <= 1 + k.len().max(written.len()) / 4)
        .min()
        .map(|(_, k)| k)
}

#[cfg(test)]
mod tests {
    use super::nearest_word;

    #[test]
    fn a_slip_is_recognised_and_a_stranger_is_not() {
        let known = ["depth_m", "water_level_m", "name"];
        assert_eq!(nearest_word("nmae", known), Some("name"));
        assert_eq!(nearest_word("water_lvel_m", known), Some("water_level_m"));
        assert_eq!(nearest_word("colour", known), None);
    }
}
