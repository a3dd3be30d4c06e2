//! `forebore rules eject`: a folder for a trainer to work in.

use std::fs;
use std::path::Path;
use std::process::ExitCode;

use anyhow::{Context, bail};

use super::rule_hint;
use crate::cli::output;
use crate::diag::{Problems, Sources};
use crate::region;
use crate::rules::{RuleSet, SWITCHED_OFF, definitions};

/// For the trainer, in plain words.
const GUIDE: &str = include_str!("../template/rules-guide.md");

/// How a rule is switched off.
const OFF: &str = include_str!("../template/switched-off.toml");

pub(super) fn run(folder: &Path, wanted: &[String]) -> anyhow::Result<ExitCode> {
    let set = RuleSet::built_in(&mut Sources::new(), &mut Problems::new());
    if let Some(stranger) = wanted.iter().find(|id| set.find(id).is_none()) {
        bail!("there is no rule {stranger}; {}", rule_hint(stranger, &set));
    }
    output::fresh_folder(folder)?;
    let mut count = 0;
    for (path, text) in crate::built_in::RULE_FILES {
        let path = Path::new(path.strip_prefix("rules/").unwrap_or(path));
        let name = path.file_name().map(|n| n.to_string_lossy()).unwrap_or_default();
        let id = name.split('.').next().unwrap_or_default();
        if !wanted.is_empty() && !wanted.iter().any(|w| w == id) {
            continue;
        }
        put(folder, path, text)?;
        count += usize::from(path.extension().is_some_and(|e| e == "rhai"));
    }
    let region = region::load(region::UNSTATED, None, &mut Sources::new(), &mut Problems::new());
    let limits = region.iter().flat_map(|r| r.limits.values());
    put(folder, Path::new("definitions/forebore.d.rhai"), &definitions(limits))?;
    put(folder, Path::new("GUIDE.md"), GUIDE)?;
    put(folder, Path::new(SWITCHED_OFF), OFF)?;
    output::print(&format!(
        "Wrote {count} rules with their worked cases to {0}, with a guide (GUIDE.md) and definitions for editors. \
         Change them, then\n\n    forebore rules check {0}\n    forebore assess SURVEY --rules {0}\n",
        folder.display()
    ))?;
    Ok(ExitCode::SUCCESS)
}

fn put(folder: &Path, path: &Path, text: &str) -> anyhow::Result<()> {
    let path = folder.join(path);
    if let Some(parent) = path.parent() {
        fs::create_dir_all(parent).with_context(|| format!("cannot make {}", parent.display()))?;
    }
    output::write(&path, text)
}
