//! Rows of a table that were not used, by the reason.

use std::collections::BTreeMap;

use crate::tune::records::Skipped;

/// Rows named for each reason at the most.
const ROWS_NAMED: usize = 5;

/// How many rows were not used for each reason, and the reason with the first
/// of them.
pub(super) fn reasons(skipped: &[Skipped]) -> Vec<(usize, String)> {
    let told = |(reason, rows): (&str, Vec<usize>)| {
        let named: Vec<String> = rows.iter().take(ROWS_NAMED).map(ToString::to_string).collect();
        let more = rows.len().saturating_sub(named.len());
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        (rows.len(), format!("{reason} (row {}{rest})", named.join(", ")))
    };
    grouped(skipped).into_iter().map(told).collect()
}

/// Rows by reason, the commonest first; what stands behind a colon is about
/// one row.
fn grouped(skipped: &[Skipped]) -> Vec<(&str, Vec<usize>)> {
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for s in skipped {
        groups.entry(s.why.split(": ").next().unwrap_or(&s.why)).or_default().push(s.row);
    }
    let mut groups: Vec<_> = groups.into_iter().collect();
    groups.sort_by_key(|(_, rows)| std::cmp::Reverse(rows.len()));
    groups
}
