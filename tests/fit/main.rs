//! `forebore regions fit` as people run it: on records drawn from known
//! figures, on too few, on faults, and on open data.

#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing, clippy::float_cmp)]

#[path = "../common/mod.rs"]
mod common;
mod district;
mod faults;
#[path = "../common/lots.rs"]
mod lots;
mod open_data;
mod recovers;

use std::fs;
use std::path::Path;
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// A table and its map in a folder of their own.
pub struct Trial {
    folder: TempDir,
}

impl Trial {
    pub fn new(records: &str, map: &str) -> Self {
        let folder = TempDir::new().unwrap();
        fs::write(folder.path().join("wells.csv"), records).unwrap();
        fs::write(folder.path().join("map.toml"), map).unwrap();
        Self { folder }
    }

    pub fn path(&self, name: &str) -> String {
        self.folder.path().join(name).display().to_string()
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub fn command(&self, rest: &[&str]) -> Command {
        let mut command =
            forebore(&["regions", "fit", &self.path("wells.csv"), "--map", &self.path("map.toml")]);
        command.args(rest);
        command
    }

    pub fn run(&self, rest: &[&str]) -> Output {
        self.command(rest).output().unwrap()
    }

    pub fn toml(&self, rest: &[&str]) -> String {
        text(&self.run(rest))
    }

    pub fn json(&self, rest: &[&str]) -> Value {
        serde_json::from_str(&text(&self.run(&[rest, &["--format", "json"]].concat()))).unwrap()
    }

    /// What is wrong, as told.
    pub fn fails(&self, rest: &[&str]) -> String {
        let out = self.run(rest);
        let told = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(2), "{told}");
        assert!(out.stdout.is_empty());
        told
    }
}

pub fn forebore(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_forebore"));
    command.args(args);
    command
}

pub fn text(out: &Output) -> String {
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout.clone()).unwrap()
}

/// Every figure proposed, by its prior.
pub fn figure<'a>(fit: &'a Value, name: &str) -> Option<&'a Value> {
    let topics = fit["topics"].as_array().unwrap();
    topics.iter().flat_map(|t| t["figures"].as_array().unwrap()).find(|f| f["name"] == name)
}

/// Why a prior is not proposed.
pub fn why_not(fit: &Value, name: &str) -> String {
    let topics = fit["topics"].as_array().unwrap();
    let mut all = topics.iter().flat_map(|t| t["not_proposed"].as_array().unwrap());
    let found = all.find(|n| n["what"].as_str().unwrap().contains(name));
    found.map_or_else(|| panic!("{name} is not told of\n{fit:#}"), |n| n["why"].as_str().unwrap().to_owned())
}

/// A comment's text without its line breaks.
pub fn unfolded(page: &str) -> String {
    page.replace("\n#   ", " ").replace("\n# ", " ")
}
