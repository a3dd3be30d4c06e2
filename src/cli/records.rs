//! Reading somebody's table of wells and its map, for the commands that work
//! on them.

use std::path::Path;
use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::diag::{Level, Origin, Problems, Sources};
use crate::region::Region;
use crate::survey::plain::PlainTable;
use crate::survey::table::decode;
use crate::tune::records::{Map, read_map};

/// The text of a file, and how messages call it.
pub(super) struct Text {
    pub name: Arc<str>,
    pub text: Option<Arc<str>>,
}

impl Text {
    /// Reads a file; where it cannot be read that is reported.
    pub(super) fn of(path: &Path, sources: &mut Sources, problems: &mut Problems) -> Self {
        let name: Arc<str> = path.display().to_string().into();
        let text = text_of(path, &name, sources, problems);
        Self { name, text }
    }

    /// The content's hash.
    pub(super) fn hash(&self) -> String {
        hash(self.text.as_deref().unwrap_or_default())
    }

    /// As a map of the columns of records.
    pub(super) fn map(&self, region: Option<&Region>, problems: &mut Problems) -> Option<Map> {
        read_map(&self.name, self.text.as_ref()?, region, problems)
    }

    /// As records. Rows that are left out are told with the result, not as
    /// problems.
    pub(super) fn table(&self, path: &Path, problems: &mut Problems) -> Option<PlainTable<'_>> {
        let text = self.text.as_ref()?;
        let mut own = Problems::new();
        let table = match is_geojson(path) {
            true => PlainTable::geojson(text, &self.name, &mut own),
            false => PlainTable::csv(text, &self.name, &mut own),
        };
        own.into_iter().filter(|p| p.level != Level::LeftOut).for_each(|p| problems.push(p));
        table
    }
}

/// The first 16 hexadecimal digits of the SHA-256.
pub(super) fn hash(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().take(8).map(|b| format!("{b:02x}")).collect()
}

fn text_of(path: &Path, name: &Arc<str>, sources: &mut Sources, problems: &mut Problems) -> Option<Arc<str>> {
    let bytes = match std::fs::read(path) {
        Ok(bytes) => bytes,
        Err(e) => {
            let help = "Check the path and that the file may be read.";
            problems.error("cannot-read", Origin::whole(name.clone()), format!("cannot be read: {e}"), help);
            return None;
        }
    };
    let text: Arc<str> = decode(&bytes, name, problems)?.into();
    sources.add(name.clone(), text.clone());
    Some(text)
}

fn is_geojson(path: &Path) -> bool {
    path.extension().is_some_and(|e| e.eq_ignore_ascii_case("geojson") || e.eq_ignore_ascii_case("json"))
}
