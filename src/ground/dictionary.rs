//! Which class of ground a driller's words mean.
//!
//! The words stand in `materials.toml`. Words that are not in it are never
//! passed over: the layer's class is then unknown, and the words are kept for
//! the report.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::material::{Classes, MaterialClass};

/// What a layer's words mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Meaning {
    /// The classes it may be.
    pub classes: Classes,
    /// The words that are not understood. Where one of them stands for the
    /// material, the class is unknown; where one stands for the hardness, the
    /// ground may be hard or soft.
    pub unread: Vec<String>,
}

/// What ground of a class does with water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WaterHabit {
    /// Feeds a hand pump when below the water table; `None`: at times.
    pub bears_water: Option<bool>,
    /// May carry water so fast that distance does not protect.
    pub runs_fast: bool,
}

/// The meaning of a layer's `material` and `hardness` as written.
pub fn read_material(material: &str, hardness: Option<&str>) -> Meaning {
    DICTIONARY.read(material, hardness)
}

/// What ground of that class does with water; nothing is known of
/// [`MaterialClass::Unknown`].
pub fn water_habit(class: MaterialClass) -> Option<WaterHabit> {
    DICTIONARY.habits.get(&class).copied()
}

static DICTIONARY: LazyLock<Dictionary> = LazyLock::new(|| {
    // An unreadable dictionary understands no word, which the tests rule out.
    toml::from_str::<File>(include_str!("materials.toml")).map(Dictionary::of).unwrap_or_default()
});

#[derive(Debug, Default)]
struct Dictionary {
    phrases: BTreeMap<String, Sense>,
    longest: usize,
    harder: BTreeMap<MaterialClass, MaterialClass>,
    softer: BTreeMap<MaterialClass, MaterialClass>,
    habits: BTreeMap<MaterialClass, WaterHabit>,
}

#[derive(Debug, Clone)]
enum Sense {
    Ground(Classes),
    Weathered(BTreeMap<MaterialClass, Classes>),
    Hardness(Hardness),
    Plain,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hardness {
    Hard,
    Between,
    Soft,
}

impl Dictionary {
    fn of(file: File) -> Self {
        let mut me = Self::default();
        for class in &file.class {
            let Some(id) = MaterialClass::from_id(&class.id) else { continue };
            let bears_water = match class.bears_water.as_str() {
                "yes" => Some(true),
                "no" => Some(false),
                _ => None,
            };
            me.habits.insert(id, WaterHabit { bears_water, runs_fast: class.runs_fast });
            let other = |name: &Option<String>| name.as_deref().and_then(MaterialClass::from_id);
            me.harder.extend(other(&class.harder).map(|h| (id, h)));
            me.softer.extend(other(&class.softer).map(|s| (id, s)));
        }
        for entry in &file.material {
            me.add(&entry.words, Sense::Ground(classes(&entry.classes)));
        }
        for entry in &file.weathered {
            let to = entry
                .to
                .iter()
                .filter_map(|(from, to)| Some((MaterialClass::from_id(from)?, classes(to))))
                .collect();
            me.add(&entry.words, Sense::Weathered(to));
        }
        me.add(&file.hardness.hard, Sense::Hardness(Hardness::Hard));
        me.add(&file.hardness.soft, Sense::Hardness(Hardness::Soft));
        me.add(&file.hardness.between, Sense::Hardness(Hardness::Between));
        me.add(&file.plain.words, Sense::Plain);
        me
    }

    fn add(&mut self, words: &[String], sense: Sense) {
        for phrase in words {
            let tokens = tokens(phrase);
            self.longest = self.longest.max(tokens.len());
            self.phrases.insert(tokens.join(" "), sense.clone());
        }
    }

    fn read(&self, material: &str, hardness: Option<&str>) -> Meaning {
        let mut unread = Vec::new();
        let mut ground: Vec<Classes> = Vec::new();
        let mut waiting: Option<BTreeMap<MaterialClass, Classes>> = None;
        let mut hard = Vec::new();
        for sense in self.senses(material, &mut unread) {
            match sense {
                Sense::Ground(classes) => {
                    ground.push(waiting.take().map_or(*classes, |to| weather(*classes, &to)));
                }
                Sense::Weathered(to) => waiting = Some(to.clone()),
                Sense::Hardness(h) => hard.push(*h),
                Sense::Plain => {}
            }
        }
        if let (Some(to), Some(last)) = (waiting, ground.last_mut()) {
            *last = weather(*last, &to);
        }
        let mut unread_hardness = Vec::new();
        for sense in self.senses(hardness.unwrap_or_default(), &mut unread_hardness) {
            match sense {
                Sense::Hardness(h) => hard.push(*h),
                // "weathered" in the column for hardness: told of the ground,
                // so the ground may be that too.
                Sense::Weathered(to) => {
                    ground = ground.into_iter().map(|c| c.or(weather(c, to))).collect();
                }
                Sense::Ground(_) | Sense::Plain => {}
            }
        }
        let classes = ground.into_iter().fold(Classes::NONE, Classes::or);
        let understood = !classes.is_empty() && unread.is_empty();
        let classes = match (understood, unread_hardness.is_empty()) {
            (false, _) => Classes::unknown(),
            (true, true) => self.narrow(classes, &hard),
            // A word for hardness that is not understood may mean either way.
            (true, false) => {
                classes.or(self.turned(classes, &self.harder)).or(self.turned(classes, &self.softer))
            }
        };
        unread.append(&mut unread_hardness);
        Meaning { classes, unread }
    }

    fn senses<'a>(&'a self, text: &str, unread: &mut Vec<String>) -> Vec<&'a Sense> {
        let tokens = tokens(text);
        let mut found = Vec::new();
        let mut rest = tokens.as_slice();
        while let Some((first, after)) = rest.split_first() {
            let longest = (1..=self.longest.min(rest.len())).rev().find_map(|n| {
                let (head, tail) = rest.split_at(n);
                Some((self.phrases.get(&head.join(" "))?, tail))
            });
            rest = match longest {
                Some((sense, tail)) => {
                    found.push(sense);
                    tail
                }
                // Numbers are sizes and shares, not words.
                None if first.chars().all(|c| c.is_ascii_digit()) || first == "mm" => after,
                None => {
                    unread.push(first.clone());
                    after
                }
            };
        }
        found
    }

    /// "laterite" that is "hard" is hard laterite. Where the ground has no
    /// hard kind among its classes, it may be that as well: "hard" weathered
    /// rock may be rock.
    fn narrow(&self, classes: Classes, hardness: &[Hardness]) -> Classes {
        let turn = match hardness.split_first() {
            Some((Hardness::Hard, rest)) if rest.iter().all(|h| *h == Hardness::Hard) => &self.harder,
            Some((Hardness::Soft, rest)) if rest.iter().all(|h| *h == Hardness::Soft) => &self.softer,
            _ => return classes,
        };
        let mut out = classes;
        for class in classes.iter() {
            let Some(turned) = turn.get(&class) else { continue };
            let one: Classes = [class].into_iter().collect();
            out = if classes.contains(*turned) {
                out.without(one)
            } else {
                out.or([*turned].into_iter().collect())
            };
        }
        out
    }

    fn turned(&self, classes: Classes, turn: &BTreeMap<MaterialClass, MaterialClass>) -> Classes {
        classes.iter().filter_map(|c| turn.get(&c).copied()).collect()
    }
}

fn weather(classes: Classes, to: &BTreeMap<MaterialClass, Classes>) -> Classes {
    classes.iter().fold(Classes::NONE, |all, c| {
        all.or(to.get(&c).copied().unwrap_or_else(|| [c].into_iter().collect()))
    })
}

/// Words in lower case, without marks and without a plural s.
fn tokens(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|t| !t.is_empty())
        .map(|t| match t.strip_suffix('s') {
            Some(stem) if stem.len() > 2 && !stem.ends_with('s') => stem.to_owned(),
            _ => t.to_owned(),
        })
        .collect()
}

fn classes(ids: &[String]) -> Classes {
    ids.iter().filter_map(|id| MaterialClass::from_id(id)).collect()
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    class: Vec<ClassEntry>,
    material: Vec<MaterialEntry>,
    weathered: Vec<WeatheredEntry>,
    hardness: HardnessEntry,
    plain: PlainEntry,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ClassEntry {
    id: String,
    bears_water: String,
    runs_fast: bool,
    harder: Option<String>,
    softer: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct MaterialEntry {
    classes: Vec<String>,
    words: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WeatheredEntry {
    words: Vec<String>,
    to: BTreeMap<String, Vec<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct HardnessEntry {
    hard: Vec<String>,
    soft: Vec<String>,
    between: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PlainEntry {
    words: Vec<String>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ids(material: &str, hardness: Option<&str>) -> Vec<&'static str> {
        read_material(material, hardness).classes.iter().map(MaterialClass::id).collect()
    }

    #[test]
    fn the_dictionary_is_well_formed() {
        let file: File = toml::from_str(include_str!("materials.toml")).unwrap();
        let known = |id: &String| MaterialClass::from_id(id).is_some_and(|c| c != MaterialClass::Unknown);
        let mut described: Vec<_> = file.class.iter().map(|c| c.id.as_str()).collect();
        described.sort_unstable();
        let mut all: Vec<_> =
            MaterialClass::ALL.iter().filter(|c| **c != MaterialClass::Unknown).map(|c| c.id()).collect();
        all.sort_unstable();
        assert_eq!(described, all, "every class is described once");
        for class in &file.class {
            assert!(["yes", "no", "perhaps"].contains(&class.bears_water.as_str()), "{class:?}");
            assert!(class.harder.iter().chain(&class.softer).all(known), "{class:?}");
        }
        assert!(file.material.iter().flat_map(|m| &m.classes).all(known));
        assert!(file.weathered.iter().all(|w| w.to.keys().chain(w.to.values().flatten()).all(known)));
        let mut words: Vec<_> = file
            .material
            .iter()
            .flat_map(|m| &m.words)
            .chain(file.weathered.iter().flat_map(|w| &w.words))
            .chain(&file.hardness.hard)
            .chain(&file.hardness.soft)
            .chain(&file.hardness.between)
            .chain(&file.plain.words)
            .map(|w| tokens(w).join(" "))
            .collect();
        words.sort();
        let twice: Vec<_> = words.windows(2).filter(|w| w[0] == w[1]).collect();
        assert!(twice.is_empty(), "a word with two meanings: {twice:?}");
    }

    #[test]
    fn words_of_drillers_are_understood() {
        assert_eq!(ids("Sandy clay", None), ["soft_clay", "stiff_clay"]);
        assert_eq!(ids("black cotton soil", None), ["soft_clay", "stiff_clay"]);
        assert_eq!(ids("weathered granite", None), ["saprolite"]);
        assert_eq!(ids("granite, weathered", None), ["saprolite"]);
        assert_eq!(ids("fresh GRANITE", None), ["hard_rock"]);
        assert_eq!(ids("ironstone", None), ["hard_laterite"]);
        assert_eq!(ids("quartz gravels", None), ["fine_gravel", "coarse_gravel"]);
        assert_eq!(ids("reddish-brown coarse sand", None), ["sand_dry", "sand_wet"]);
        assert_eq!(ids("slightly weathered gneiss", None), ["saprolite", "hard_rock"]);
    }

    #[test]
    fn hardness_tells_soft_from_hard() {
        assert_eq!(ids("laterite", None), ["soft_laterite", "hard_laterite"]);
        assert_eq!(ids("laterite", Some("hard")), ["hard_laterite"]);
        assert_eq!(ids("hard laterite", None), ["hard_laterite"]);
        assert_eq!(ids("murram", Some("soft")), ["soft_laterite"]);
        assert_eq!(ids("clay", Some("very stiff")), ["stiff_clay"]);
        assert_eq!(ids("clay", Some("firm")), ["soft_clay", "stiff_clay"]);
    }

    #[test]
    fn hard_weathered_rock_may_be_rock() {
        assert_eq!(ids("weathered granite", Some("hard")), ["saprolite", "hard_rock"]);
    }

    #[test]
    fn mixed_ground_may_be_any_of_its_parts() {
        assert_eq!(ids("soft clay with boulders", None), ["soft_clay", "boulders"]);
        assert_eq!(ids("sand and fine gravel", None), ["sand_dry", "sand_wet", "fine_gravel"]);
    }

    #[test]
    fn a_word_that_is_not_understood_makes_the_class_unknown() {
        let meaning = read_material("clay with zork", None);
        assert!(meaning.classes.is_unknown());
        assert_eq!(meaning.unread, ["zork"]);
        assert!(read_material("", None).classes.is_unknown());
        assert!(read_material("brown", None).classes.is_unknown());
    }

    #[test]
    fn a_hardness_that_is_not_understood_may_mean_either_way() {
        let meaning = read_material("weathered granite", Some("blorp"));
        assert!(meaning.classes.contains(MaterialClass::HardRock));
        assert_eq!(meaning.unread, ["blorp"]);
    }

    #[test]
    fn narrowing_by_hardness_stays_inside_what_the_word_alone_may_mean() {
        for word in ["laterite", "clay", "sandstone", "sand", "silt", "gravel", "limestone"] {
            let alone = read_material(word, None).classes;
            for hardness in ["hard", "soft", "firm"] {
                let narrowed = read_material(word, Some(hardness)).classes;
                assert!(narrowed.without(alone).is_empty(), "{word} {hardness}");
            }
        }
    }
}
