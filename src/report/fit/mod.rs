//! What was fitted to records, as a setting that a trainer reads and uses
//! (TOML), or as JSON.
//!
//! The TOML is whole: what is proposed, each with its interval and the value
//! in force beside it; what is not proposed, and why; then everything else as
//! the setting beneath has it.

mod base;
mod words;

use std::fmt::Write as _;

use textwrap::{Options, WordSplitter, fill};
use toml::Value;

use super::rounded;
use super::skipped::reasons;
use crate::tune::fit::{Fit, LogShare, Proposed, Topic};

pub use base::NotASetting;

/// Columns that are filled at the most.
const WIDTH: usize = 79;

/// As JSON, ending in a line break.
///
/// # Errors
/// When it cannot be written, which does not happen to a fit.
pub fn json(fit: &Fit) -> Result<String, serde_json::Error> {
    rounded::json(fit)
}

/// As a setting over `base`, the text of the setting's own file; `None` where
/// no setting was named.
///
/// # Errors
/// When `base` is no TOML, which a setting that could be loaded is.
pub fn toml(fit: &Fit, base: Option<&str>) -> Result<String, NotASetting> {
    let base = base::Carried::of(fit, base)?;
    let mut page = String::new();
    comment(&mut page, "", &words::head(fit));
    page.push_str("#\n");
    for line in words::bear_in_mind(fit) {
        comment(&mut page, "- ", &line);
    }
    skipped(&mut page, fit);
    let _ = writeln!(page, "\ntitle = {}", quoted(&words::title(fit)));
    let _ = writeln!(page, "about = {}", quoted(&words::about(fit, base.about.as_deref())));
    page.push_str(&base.scalars);
    for topic in &fit.topics {
        one(&mut page, fit, topic);
    }
    if !base.tables.is_empty() {
        rule(&mut page, &format!("Carried over from {}, unchanged", fit.region.id));
        page.push('\n');
        page.push_str(&base.tables);
    }
    Ok(page)
}

fn skipped(page: &mut String, fit: &Fit) {
    page.push_str("#\n");
    for topic in &fit.topics {
        if topic.wells == 0 && topic.skipped.is_empty() {
            continue;
        }
        let about = format!(
            "{}: {} wells used, in {} squares; {} rows not used.",
            topic.about,
            topic.wells,
            topic.squares,
            topic.skipped.len()
        );
        comment(page, "", &about);
        for (rows, reason) in reasons(&topic.skipped) {
            comment(page, "- ", &format!("{rows}: {reason}"));
        }
    }
}

fn one(page: &mut String, fit: &Fit, topic: &Topic) {
    rule(page, &topic.about);
    for note in &topic.notes {
        comment(page, "", note);
    }
    for n in &topic.not_proposed {
        comment(page, "", &format!("Not proposed: {}: {}", n.what, n.why));
    }
    for figure in &topic.figures {
        page.push('\n');
        proposed(page, fit, figure);
    }
    for log in &topic.logs {
        page.push('\n');
        share(page, fit, topic, log);
    }
}

fn proposed(page: &mut String, fit: &Fit, f: &Proposed) {
    comment(page, "", &words::beside(f));
    let _ = writeln!(page, "[priors.{}]\nvalue = {}", quoted_key(&f.name), number(f.value));
    let _ = writeln!(page, "unit = {}", quoted(f.unit));
    let _ = writeln!(page, "source = {}", quoted(&words::source(fit, f)));
    page.push_str("basis = \"local records\"\n");
}

fn share(page: &mut String, fit: &Fit, topic: &Topic, log: &LogShare) {
    comment(page, "", &words::log_beside(log));
    let _ = writeln!(page, "[expected_logs.{}]\nshare = {}", quoted(&log.name), number(log.share));
    page.push_str("layers = [\n");
    for (to_m, ground) in &log.layers {
        let _ = writeln!(page, "    {{ to_m = {}, ground = {} }},", number(*to_m), quoted(ground));
    }
    let _ = writeln!(page, "]\nends = {}", quoted(log.ends));
    let _ = writeln!(page, "source = {}", quoted(&words::log_source(fit, topic, log)));
    // The layers are what they were: only the share is fitted.
    let _ = writeln!(page, "basis = {}", quoted(log.basis));
}

fn rule(page: &mut String, title: &str) {
    let title = plain(title);
    let dashes = "-".repeat(WIDTH.saturating_sub(title.chars().count() + 7).max(3));
    let _ = writeln!(page, "\n# --- {title} {dashes}");
}

/// A comment, filled; `mark` stands before its first line.
fn comment(page: &mut String, mark: &str, text: &str) {
    let options = Options::new(WIDTH - 2)
        .initial_indent(mark)
        .subsequent_indent("  ".get(..mark.len()).unwrap_or(""))
        .word_splitter(WordSplitter::NoHyphenation);
    for line in fill(&plain(text), options).lines() {
        let _ = writeln!(page, "# {line}");
    }
}

/// Without what would end a comment's line or is not allowed in one.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn quoted(text: &str) -> String {
    // In one line, whatever stands in the name of a file.
    Value::String(plain(text)).to_string()
}

fn quoted_key(name: &str) -> String {
    let bare = !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || "-_".contains(c));
    if bare { name.to_owned() } else { quoted(name) }
}

/// As TOML; a number of so many digits would be no whole number there.
fn number(value: f64) -> String {
    if value.abs() < 1e15 { format!("{value}") } else { format!("{value:e}") }
}

#[cfg(test)]
mod tests;
