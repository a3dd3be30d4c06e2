//! Which headings are known by themselves: canonical names, the last parts of
//! them, and the other names by which people call the same thing, with a unit
//! behind them or without.

use super::super::RecordKind;
use super::super::fold::letters;
use super::super::keys::Key;
use super::unit_words::{Fit, fit};

/// Ranks from here on are other names, not ours.
pub(super) const LOOSE: usize = 2;

/// Every name of every key of one kind of record, as names are compared.
pub(super) struct Names {
    /// Canonical names (rank 0) and their last parts (1).
    ours: Vec<(String, &'static Key, usize)>,
    /// Other names, the likelier the lower their rank.
    others: Vec<(String, &'static Key, usize)>,
}

/// What a heading stands for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    /// The key.
    pub key: &'static Key,
    /// How sure that is, 0 the surest.
    pub rank: usize,
    /// What of the heading is left as its unit; empty where nothing is.
    pub unit: String,
}

impl Names {
    /// The names of the keys of `kind`.
    pub(super) fn new(kind: RecordKind) -> Self {
        let canonical = kind.keys().map(|k| (letters(k.name), k, 0));
        let bare = kind.keys().map(|k| (letters(k.bare()), k, 1));
        let each = |k: &'static Key| k.other_names.iter().zip(LOOSE..).map(move |(n, r)| (letters(n), k, r));
        Self { ours: canonical.chain(bare).collect(), others: kind.keys().flat_map(each).collect() }
    }

    /// What `heading` stands for, if its name is known.
    pub(super) fn of(&self, heading: &str) -> Option<Named> {
        let text = letters(heading);
        let whole = |names: &[(String, &'static Key, usize)]| {
            let (_, key, rank) = names.iter().find(|(name, ..)| *name == text)?;
            Some(Named { key, rank: *rank, unit: String::new() })
        };
        // `ec_us` is a name of its own and a name with a unit behind it.
        whole(&self.ours).or_else(|| self.with_unit(&text)).or_else(|| whole(&self.others))
    }

    /// `depthft` and `depthinft`: a name and a unit, of whatever kind.
    fn with_unit(&self, text: &str) -> Option<Named> {
        self.others.iter().find_map(|(name, key, rank)| {
            let rest = text.strip_prefix(name.as_str()).filter(|r| !r.is_empty())?;
            let unit = key.form.unit()?;
            let known = |rest: &str| fit(rest, unit, key.name) != Fit::Unknown;
            let rest = if known(rest) { rest } else { rest.strip_prefix("in").filter(|r| known(r))? };
            Some(Named { key, rank: *rank, unit: rest.to_owned() })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(heading: &str) -> Option<(&'static str, String)> {
        Names::new(RecordKind::Well).of(heading).map(|n| (n.key.name, n.unit))
    }

    #[test]
    fn our_own_names_go_before_a_name_with_a_unit() {
        assert_eq!(Names::new(RecordKind::Well).of("Depth (m)").map(|n| n.rank), Some(0));
        assert_eq!(Names::new(RecordKind::Well).of("EC_uS_cm").map(|n| n.rank), Some(1));
    }

    #[test]
    fn a_unit_may_stand_behind_a_name() {
        assert_eq!(named("Depth in feet"), Some(("depth_m", "feet".to_owned())));
        assert_eq!(named("EC_uS"), Some(("quality.ec_us_cm", "us".to_owned())));
        assert_eq!(named("depth in"), Some(("depth_m", "in".to_owned())));
        assert_eq!(named("SWL"), Some(("water_level_m", String::new())));
    }

    #[test]
    fn other_words_behind_a_name_make_another_name() {
        for heading in ["depth_of_pump", "depth_from_1", "lattice", "", "()", "fathom"] {
            assert_eq!(named(heading), None, "{heading}");
        }
    }
}
