//! `forebore backtest` as people run it: on small invented tables, on maps
//! and rows with faults, and on open data.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp)]

#[path = "../common/mod.rs"]
mod common;
mod faults;
mod invented;
#[path = "../common/lots.rs"]
mod lots;
mod open_data;

use std::fs;
use std::path::Path;
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

pub use lots::Lots;

/// A table and its map in a folder of their own.
pub struct Trial {
    folder: TempDir,
    records: String,
    map: String,
}

impl Trial {
    pub fn new(name: &str, records: impl AsRef<[u8]>, map: &str) -> Self {
        let folder = TempDir::new().unwrap();
        let write = |name: &str, content: &[u8]| {
            let path = folder.path().join(name);
            fs::write(&path, content).unwrap();
            path.display().to_string()
        };
        let (records, map) = (write(name, records.as_ref()), write("map.toml", map.as_bytes()));
        Self { folder, records, map }
    }

    pub fn run(&self, rest: &[&str]) -> Output {
        run(&self.records, &self.map, rest)
    }

    pub fn json(&self, rest: &[&str]) -> Value {
        json(&self.run(&[rest, &["--format", "json"]].concat()))
    }

    /// What is wrong, as told.
    pub fn fails(&self, rest: &[&str]) -> String {
        let out = self.run(rest);
        let told = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(2), "{told}");
        assert!(out.stdout.is_empty());
        told
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }
}

pub fn run(records: &str, map: &str, rest: &[&str]) -> Output {
    let args = [&["backtest", records, "--map", map][..], rest].concat();
    Command::new(env!("CARGO_BIN_EXE_forebore")).args(args).output().unwrap()
}

pub fn json(out: &Output) -> Value {
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

/// A row of places, dates and what came, invented, on a grid of about 1 km.
pub fn grid(n: usize, mut what: impl FnMut(usize, f64, f64) -> String) -> String {
    let mut table = String::from("lat,lon,day,what\n");
    for i in 0..n {
        let (x, y) = ((i % 20) as f64, (i / 20) as f64);
        let day = format!("{}-{:02}-{:02}", 2001 + i / 336, i % 336 / 28 + 1, i % 28 + 1);
        let (lat, lon) = (-12.0 + 0.009 * y, 33.0 + 0.009 * x);
        table.push_str(&format!("{lat:.5},{lon:.5},{day},{}\n", what(i, x, y)));
    }
    table
}

pub const PLACE: &str = "date = \"day\"\n[place]\nlat = \"lat\"\nlon = \"lon\"\n";
