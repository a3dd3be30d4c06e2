//! The texts that were read, kept so that a problem can show its line.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::Origin;

/// Every file read so far, by the name that origins use.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    texts: BTreeMap<Arc<str>, Arc<str>>,
}

impl Sources {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Keeps the text of `file`.
    pub fn add(&mut self, file: impl Into<Arc<str>>, text: impl Into<Arc<str>>) {
        self.texts.insert(file.into(), text.into());
    }

    /// Keeps all texts of another collection too.
    pub fn extend(&mut self, other: &Sources) {
        self.texts.extend(other.texts.iter().map(|(n, t)| (n.clone(), t.clone())));
    }

    /// The text of `file`, if it was read as text.
    pub fn text(&self, file: &str) -> Option<&str> {
        self.texts.get(file).map(AsRef::as_ref)
    }

    /// Names and texts, in the order of the names.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.texts.iter().map(|(n, t)| (n.as_ref(), t.as_ref()))
    }

    /// The spot of byte `offset` in `text`, as lines and characters from 1.
    pub fn spot(file: &Arc<str>, text: &str, offset: usize) -> Origin {
        let mut offset = offset.min(text.len());
        while !text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = text.get(..offset).unwrap_or_default();
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or_default().chars().count() + 1;
        Origin::new(file.clone(), line, column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spot_counts_characters_not_bytes() {
        let file: Arc<str> = "a.toml".into();
        let spot = Sources::spot(&file, "é = 1\nüb = 2", 10);
        assert_eq!((spot.line, spot.column), (2, 3));
    }
}
