//! JSON one level at a time, each value still the piece of text it was cut
//! from, so that it knows where it stands. No level calls the next by itself:
//! nesting, however deep, takes no stack.

use std::borrow::Cow;
use std::fmt;

use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;

/// The members of an object, in the order written, repeated ones included.
pub(super) struct Members<'t>(Vec<(Cow<'t, str>, &'t str)>);

/// A member that stands twice in one object.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Twice<'t>(pub &'t str);

impl<'t> Members<'t> {
    /// The members of the object that `text` is, if it is one.
    pub(super) fn of(text: &'t str) -> Option<Self> {
        serde_json::from_str(text).ok()
    }

    /// The value of that member; `null` counts as none.
    pub(super) fn get(&self, name: &str) -> Result<Option<&'t str>, Twice<'t>> {
        let mut found = self.0.iter().filter(|(n, _)| n == name).map(|(_, v)| *v);
        match (found.next(), found.next()) {
            (_, Some(again)) => Err(Twice(again)),
            (first, None) => Ok(first.filter(|v| *v != "null")),
        }
    }

    /// The text of that member, where it is one.
    pub(super) fn text(&self, name: &str) -> Result<Option<String>, Twice<'t>> {
        Ok(self.get(name)?.and_then(text))
    }

    /// Every member.
    pub(super) fn iter(&self) -> impl Iterator<Item = (&str, &'t str)> {
        self.0.iter().map(|(n, v)| (n.as_ref(), *v))
    }
}

impl<'de: 't, 't> Deserialize<'de> for Members<'t> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Pairs;
        impl<'de> Visitor<'de> for Pairs {
            type Value = Vec<(Cow<'de, str>, &'de str)>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut pairs = Vec::new();
                while let Some((name, value)) = map.next_entry::<String, &'de RawValue>()? {
                    pairs.push((Cow::Owned(name), value.get()));
                }
                Ok(pairs)
            }
        }
        deserializer.deserialize_map(Pairs).map(Members)
    }
}

/// The whole text as one value, or what is wrong with its grammar.
pub(super) fn whole(text: &str) -> Result<&str, serde_json::Error> {
    serde_json::from_str::<&RawValue>(text).map(RawValue::get)
}

/// The items of the list that `text` is, if it is one.
pub(super) fn items(text: &str) -> Option<Vec<&str>> {
    let items: Vec<&RawValue> = serde_json::from_str(text).ok()?;
    Some(items.into_iter().map(RawValue::get).collect())
}

/// The numbers of the list that `text` is, if it is one of finite numbers
/// alone; each the nearest to what is written.
pub(super) fn numbers(text: &str) -> Option<Vec<f64>> {
    let number = |item: &str| item.parse::<f64>().ok().filter(|n| n.is_finite());
    items(text)?.into_iter().map(number).collect()
}

/// The characters that `text` is, if it is a string.
pub(super) fn text(text: &str) -> Option<String> {
    serde_json::from_str(text).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_are_pieces_of_the_text() {
        let text = String::from(r#" {"a": [1, 2], "b": {"c": null}} "#);
        let members = Members::of(&text).unwrap();
        let b = members.get("b").unwrap().unwrap();
        assert_eq!(b, r#"{"c": null}"#);
        assert_eq!(b.as_ptr() as usize - text.as_ptr() as usize, text.find("{\"c").unwrap());
        assert_eq!(Members::of(b).unwrap().get("c"), Ok(None));
    }

    #[test]
    fn a_member_that_stands_twice_is_found() {
        assert_eq!(Members::of(r#"{"a": 1, "a": 2}"#).unwrap().get("a"), Err(Twice("2")));
    }

    #[test]
    fn nesting_takes_no_stack() {
        let deep = format!("{}{}", "[".repeat(2_000_000), "]".repeat(2_000_000));
        assert!(whole(&deep).is_ok());
        assert_eq!(items(&deep).map(|i| i.len()), Some(1));
        assert_eq!(numbers(&deep), None);
    }

    #[test]
    fn numbers_beyond_what_can_be_held_are_none() {
        assert_eq!(numbers("[1e999, 0]"), None);
        assert_eq!(numbers("[39.1, -9.4, 12]"), Some(vec![39.1, -9.4, 12.0]));
        assert_eq!(numbers(r#"["39.1", 1]"#), None);
    }
}
