//! What a fit carries over from the setting beneath it.

use toml::{Table, Value};

use crate::tune::fit::Fit;

/// The text is no setting.
#[derive(Debug, thiserror::Error)]
#[error("the setting beneath cannot be carried over: {0}")]
pub struct NotASetting(String);

/// The setting beneath without what the fit says anew.
#[derive(Debug, Default)]
pub(super) struct Carried {
    /// What ground it stands for.
    pub about: Option<String>,
    /// What stands before any table.
    pub scalars: String,
    /// Everything else.
    pub tables: String,
}

impl Carried {
    pub(super) fn of(fit: &Fit, text: Option<&str>) -> Result<Self, NotASetting> {
        let Some(text) = text else { return Ok(Self::default()) };
        let mut all: Table = text.parse().map_err(|e: toml::de::Error| NotASetting(e.to_string()))?;
        all.remove("title");
        let about = all.remove("about").and_then(|v| v.as_str().map(str::to_owned));
        if let Some(Value::Table(priors)) = all.get_mut("priors") {
            for figure in fit.topics.iter().flat_map(|t| &t.figures) {
                priors.remove(&figure.name);
            }
            if priors.is_empty() {
                all.remove("priors");
            }
        }
        if fit.topics.iter().any(|t| !t.logs.is_empty()) {
            all.remove("expected_logs");
        }
        let (tables, scalars): (Table, Table) = all.into_iter().partition(|(_, v)| v.is_table());
        let written = |t: &Table| toml::to_string(t).map_err(|e| NotASetting(e.to_string()));
        let as_it_was = kept_blocks(text, |path| names(&tables, path));
        let same = as_it_was.parse::<Table>().is_ok_and(|t| t == tables);
        // Written anew, without its comments, where the layout of the file is
        // not the plain one.
        let tables = if same { Ok(as_it_was) } else { written(&tables) };
        Ok(Self { about, scalars: written(&scalars)?, tables: tables? })
    }
}

/// Whether `tables` still holds the table of that path.
fn names(tables: &Table, path: &Table) -> bool {
    path.iter().all(|(key, inner)| match (tables.get(key), inner) {
        (Some(Value::Table(deeper)), Value::Table(inner)) => names(deeper, inner),
        (found, _) => found.is_some(),
    })
}

/// The tables of a file as they are written, each with the comments before
/// it, that `keep` wants; what stands before the first is left out.
fn kept_blocks(text: &str, keep: impl Fn(&Table) -> bool) -> String {
    let (mut kept, mut waiting) = (String::new(), String::new());
    let mut keeps = false;
    for line in text.lines() {
        let header = line.starts_with('[').then(|| line.parse::<Table>().ok()).flatten();
        if let Some(path) = header {
            keeps = keep(&path);
            if !keeps {
                waiting.clear();
            }
        } else if line.trim().is_empty() || line.starts_with('#') {
            waiting.push_str(line);
            waiting.push('\n');
            continue;
        }
        if keeps {
            kept.push_str(&std::mem::take(&mut waiting));
            kept.push_str(line);
            kept.push('\n');
        }
        waiting.clear();
    }
    kept.trim_start_matches('\n').to_owned()
}
