//! How many independent cases are as many as there are, where cases of one
//! group resemble each other.
//!
//! With *yᵢ* 0 or 1, *p* their mean and *n* their number, the variance of *p*
//! is Σ_g (Σ_{i in g} (yᵢ − p))² · G/(G − 1) / n² over G groups; that of
//! independent cases is p(1 − p)/n. Their ratio is the design effect, and *n*
//! over it the effective number, taken as no more than *n*.
//!
//! Sources: Liang & Zeger 1986, Biometrika 73, for the variance by groups;
//! Kish 1965, Survey Sampling, for the design effect (both from memory).

use std::collections::BTreeMap;

/// The effective number of yes-or-no cases, each with its group. Where all
/// are alike their scatter says nothing of groups, and each group counts as
/// one case.
pub fn effective_number<G: Ord>(cases: impl Iterator<Item = (bool, G)>) -> f64 {
    let mut groups: BTreeMap<G, (f64, f64)> = BTreeMap::new();
    for (yes, group) in cases {
        let (n, sum) = groups.entry(group).or_default();
        *n += 1.0;
        *sum += f64::from(u8::from(yes));
    }
    let (n, yes) = groups.values().fold((0.0, 0.0), |(n, y), (m, s)| (n + m, y + s));
    let (share, g) = (yes / n, groups.len() as f64);
    let alone = share * (1.0 - share) / n;
    if !(alone > 0.0 && g > 1.0) {
        return g.min(n);
    }
    let square: f64 = groups.values().map(|(m, s)| (s - m * share).powi(2)).sum();
    let clustered = square * g / (g - 1.0) / (n * n);
    (n * alone / clustered).min(n)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cases_of_groups_of_one_count_each() {
        let n = effective_number((0..50).map(|i| (i % 2 == 0, i)));
        assert!((n - 49.0).abs() < 1e-9, "{n}");
    }

    #[test]
    fn cases_that_repeat_their_group_count_once() {
        let n = effective_number((0..500).map(|i| ((i / 10) % 2 == 0, i / 10)));
        assert!((n - 49.0).abs() < 1e-9, "{n}");
    }

    #[test]
    fn groups_that_are_more_alike_than_by_chance_are_not_counted_for_more() {
        assert!(effective_number((0..50).map(|i| (i % 2 == 0, i / 2))) <= 50.0);
    }

    #[test]
    fn where_all_are_alike_each_group_counts_once() {
        assert!((effective_number((0..40).map(|i| (true, i / 4))) - 10.0).abs() < 1e-9);
        assert!(effective_number(std::iter::empty::<(bool, u8)>()).abs() < 1e-9);
    }
}
