//! The report as JSON, and the schema of that JSON.

use super::model::Report;

/// The report as indented JSON, ending in a line break.
pub fn render(report: &Report) -> String {
    serde_json::to_string_pretty(report).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |s| s + "\n")
}

/// The JSON Schema (2020-12) of the report.
pub fn schema() -> String {
    let schema = schemars::schema_for!(Report);
    serde_json::to_string_pretty(&schema).map_or_else(|e| format!("{{\"error\": \"{e}\"}}\n"), |s| s + "\n")
}
