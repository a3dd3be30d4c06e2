//! What several test programs share.

use std::io::Write;
use std::path::PathBuf;

/// The folder of open data, or `None`, said loudly, where it is absent. In CI
/// its absence is a failure.
pub fn open_data() -> Option<PathBuf> {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    let folder = std::env::var_os("FOREBORE_OPEN_DATA").map_or_else(beside, PathBuf::from);
    if folder.is_dir() {
        return Some(folder);
    }
    let missing = format!(
        "THE OPEN DATA IS ABSENT: {} is no folder; set FOREBORE_OPEN_DATA to where it is. Tests on it did not run.",
        folder.display()
    );
    assert!(std::env::var_os("CI").is_none(), "{missing}");
    // Not `eprintln!`: that is swallowed when a test passes.
    let _ = writeln!(std::io::stderr(), "{missing}");
    None
}
