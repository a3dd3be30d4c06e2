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
        Ok(Self { about, scalars: written(&scalars)?, tables: written(&tables)? })
    }
}
