//! Which answer do these words stand for? The words are in the table
//! `words.toml` beside this file.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::{
    Access, Consent, Flooding, FluidLoss, HoleCasing, Made, Method, Ordnance, Season, WellOutcome, fold,
};

const TABLE: &str = include_str!("words.toml");

/// Phrases of each list as they are compared, with the name they stand for.
static LISTS: LazyLock<BTreeMap<String, BTreeMap<String, String>>> = LazyLock::new(|| {
    let table: BTreeMap<String, BTreeMap<String, Vec<String>>> = toml::from_str(TABLE).unwrap_or_default();
    let list = |names: BTreeMap<String, Vec<String>>| {
        let each = names.into_iter().flat_map(|(name, others)| {
            let all: Vec<_> = others.into_iter().chain([name.clone()]).collect();
            all.into_iter().map(move |words| (fold::phrase(&words), name.clone()))
        });
        each.collect()
    };
    table.into_iter().map(|(key, names)| (key, list(names))).collect()
});

/// What words turned out to mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning<T> {
    /// One of the answers.
    Known(T),
    /// Words that leave the question open.
    Unknown,
}

/// An answer that is given in words.
pub trait Word: Copy + PartialEq + 'static {
    /// Its list in the table of words.
    const LIST: &'static str;
    /// Every answer and its name in files and reports.
    const ALL: &'static [(Self, &'static str)];

    /// Its name in files and reports.
    fn word(self) -> &'static str {
        Self::ALL.iter().find(|(answer, _)| *answer == self).map_or("", |(_, name)| name)
    }

    /// What the words mean; `None` where they are in no list.
    fn from_words(written: &str) -> Option<Meaning<Self>> {
        if is_unknown(written) {
            return Some(Meaning::Unknown);
        }
        let phrase = fold::phrase(written);
        let exact = Self::ALL.iter().find(|(_, name)| fold::phrase(name) == phrase);
        if let Some((answer, _)) = exact {
            return Some(Meaning::Known(*answer));
        }
        let name = LISTS.get(Self::LIST)?.get(&phrase)?;
        let known = Self::ALL.iter().find(|(_, n)| n == name);
        Some(known.map_or(Meaning::Unknown, |(answer, _)| Meaning::Known(*answer)))
    }

    /// The answer that may have been meant.
    fn suggested_by(written: &str) -> Option<&'static str> {
        let list = LISTS.get(Self::LIST)?;
        let phrase = fold::nearest(&fold::phrase(written), list.keys().map(String::as_str))?;
        let name = list.get(phrase)?;
        Self::ALL.iter().map(|(_, n)| *n).find(|n| n == name)
    }

    /// All names, for messages.
    fn names() -> String {
        Self::ALL.iter().map(|(_, name)| *name).collect::<Vec<_>>().join(", ")
    }
}

/// Whether the words say that something was not observed.
pub fn is_unknown(written: &str) -> bool {
    matches!(fold::letters(written).as_str(), "unknown" | "notknown" | "dontknow")
}

impl Word for Made {
    const LIST: &'static str = "made";
    const ALL: &'static [(Self, &'static str)] = &[
        (Made::Dug, "dug"),
        (Made::HandDrilled, "hand-drilled"),
        (Made::MachineDrilled, "machine-drilled"),
        (Made::TrialBore, "trial bore"),
    ];
}

impl Word for WellOutcome {
    const LIST: &'static str = "outcome";
    const ALL: &'static [(Self, &'static str)] = &[
        (WellOutcome::InUse, "in use"),
        (WellOutcome::Dry, "dry"),
        (WellOutcome::Seasonal, "seasonal"),
        (WellOutcome::LowYield, "low yield"),
        (WellOutcome::Salty, "salty"),
        (WellOutcome::Contaminated, "contaminated"),
        (WellOutcome::RefusedOnRock, "refused on rock"),
        (WellOutcome::Collapsed, "collapsed"),
        (WellOutcome::Abandoned, "abandoned"),
    ];
}

impl Word for Season {
    const LIST: &'static str = "season";
    const ALL: &'static [(Self, &'static str)] = &[(Season::Wet, "wet"), (Season::Dry, "dry")];
}

impl Word for Flooding {
    const LIST: &'static str = "flooding";
    const ALL: &'static [(Self, &'static str)] = &[
        (Flooding::Never, "never"),
        (Flooding::SomeYears, "some years"),
        (Flooding::EveryYear, "every year"),
    ];
}

impl Word for Access {
    const LIST: &'static str = "access";
    const ALL: &'static [(Self, &'static str)] = &[
        (Access::Vehicle, "vehicle"),
        (Access::Cart, "cart"),
        (Access::OnFoot, "on foot"),
        (Access::None, "none"),
    ];
}

impl Word for Ordnance {
    const LIST: &'static str = "ordnance";
    const ALL: &'static [(Self, &'static str)] = &[
        (Ordnance::NoneKnown, "none known"),
        (Ordnance::Cleared, "cleared"),
        (Ordnance::Suspected, "suspected"),
    ];
}

impl Word for Consent {
    const LIST: &'static str = "consent";
    const ALL: &'static [(Self, &'static str)] = &[
        (Consent::Yes, "yes"),
        (Consent::Applied, "applied"),
        (Consent::NotNeeded, "not needed"),
        (Consent::No, "no"),
    ];
}

impl Word for HoleCasing {
    const LIST: &'static str = "hole_casing";
    const ALL: &'static [(Self, &'static str)] =
        &[(HoleCasing::None, "none"), (HoleCasing::AtHand, "at hand"), (HoleCasing::Set, "set")];
}

impl Word for FluidLoss {
    const LIST: &'static str = "fluid_loss";
    const ALL: &'static [(Self, &'static str)] =
        &[(FluidLoss::None, "none"), (FluidLoss::Some, "some"), (FluidLoss::Total, "total")];
}

impl Word for bool {
    const LIST: &'static str = "yes_no";
    const ALL: &'static [(Self, &'static str)] = &[(true, "yes"), (false, "no")];
}

impl Word for Method {
    const LIST: &'static str = "method";
    const ALL: &'static [(Self, &'static str)] = &[
        (Method::HandAuger, "hand auger"),
        (Method::HandPercussion, "hand percussion"),
        (Method::Sludging, "sludging"),
        (Method::ToothedSludging, "toothed sludging"),
        (Method::Washbore, "washbore"),
        (Method::ManualRotaryJetting, "manual rotary jetting"),
        (Method::HandDigging, "hand digging"),
    ];
}

#[cfg(test)]
mod tests {
    use super::*;

    fn list_is_sound<T: Word + std::fmt::Debug>() {
        let table: BTreeMap<String, BTreeMap<String, Vec<String>>> = toml::from_str(TABLE).unwrap();
        for (name, phrases) in &table[T::LIST] {
            let meant = T::ALL.iter().find(|(_, n)| n == name).map(|(answer, _)| *answer);
            assert!(meant.is_some() || name == "unknown", "{name} of {}", T::LIST);
            for phrase in phrases {
                let found = T::from_words(phrase).unwrap();
                assert_eq!(found, meant.map_or(Meaning::Unknown, Meaning::Known), "{phrase} of {}", T::LIST);
            }
        }
        for (answer, name) in T::ALL {
            assert_eq!(T::from_words(name), Some(Meaning::Known(*answer)));
            assert_eq!(answer.word(), *name);
        }
    }

    #[test]
    fn every_list_of_words_is_sound() {
        list_is_sound::<Made>();
        list_is_sound::<WellOutcome>();
        list_is_sound::<Season>();
        list_is_sound::<Flooding>();
        list_is_sound::<Access>();
        list_is_sound::<Ordnance>();
        list_is_sound::<Consent>();
        list_is_sound::<HoleCasing>();
        list_is_sound::<FluidLoss>();
        list_is_sound::<bool>();
        list_is_sound::<Method>();
    }

    #[test]
    fn methods_have_the_names_of_their_type() {
        for (method, name) in <Method as Word>::ALL {
            assert_eq!(method.name(), *name);
        }
        assert_eq!(<Method as Word>::ALL.len(), Method::ALL.len());
    }

    #[test]
    fn a_broken_pump_says_nothing_of_the_well() {
        assert_eq!(WellOutcome::from_words("Not functional"), Some(Meaning::Unknown));
        assert_eq!(WellOutcome::from_words("Non-functional"), Some(Meaning::Unknown));
    }

    #[test]
    fn words_in_no_list_mean_nothing_but_may_suggest() {
        assert_eq!(WellOutcome::from_words("sallty"), None);
        assert_eq!(WellOutcome::suggested_by("sallty"), Some("salty"));
        assert_eq!(bool::from_words("1"), None);
        assert_eq!(bool::from_words(""), None);
    }
}
