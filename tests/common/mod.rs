//! What end-to-end tests share.
#![allow(
    dead_code,
    clippy::explicit_write,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing
)]

pub mod page;

use std::io::Write;
use std::path::{Path, PathBuf};

/// The folder of open data that some tests run on: `FOREBORE_OPEN_DATA`, or
/// `../shared/data` beside this package. Says loudly when it is absent, and
/// fails where `CI` is set, so that a green run there has really used it.
pub fn open_data() -> Option<PathBuf> {
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    let folder = std::env::var_os("FOREBORE_OPEN_DATA").map_or(beside, PathBuf::from);
    if folder.is_dir() {
        return Some(folder);
    }
    // Straight to the terminal: the test harness hides what a passing test
    // prints.
    let place = folder.display();
    writeln!(
        std::io::stderr(),
        "!!! OPEN DATA NOT FOUND at {place}: THIS TEST CHECKED NOTHING. Set FOREBORE_OPEN_DATA to its folder."
    )
    .unwrap();
    assert!(std::env::var_os("CI").is_none(), "open data must be present in CI");
    None
}

/// The rows of a CSV of the open data, each by its column names.
pub fn rows(file: &Path) -> Vec<std::collections::BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(file).unwrap();
    reader.deserialize().map(|row| row.unwrap()).collect()
}
