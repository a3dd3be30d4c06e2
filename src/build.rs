//! Lists the built-in rules and regions for the binary, so that it works
//! alone: every file of `rules/` and `regions/` with its path and its text.

use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let root = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    let mut code = String::new();
    for (name, folder) in [("RULE_FILES", "rules"), ("REGION_FILES", "regions")] {
        println!("cargo:rerun-if-changed={folder}");
        let mut files = Vec::new();
        list(&root.join(folder), &mut files)?;
        files.sort();
        code.push_str(&format!("pub(crate) const {name}: &[(&str, &str)] = &[\n"));
        for file in files {
            println!("cargo:rerun-if-changed={}", file.display());
            let relative = file.strip_prefix(&root).unwrap_or(&file).display().to_string().replace('\\', "/");
            code.push_str(&format!("    ({relative:?}, include_str!({:?})),\n", file.display().to_string()));
        }
        code.push_str("];\n");
    }
    fs::write(PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default()).join("built_in.rs"), code)
}

fn list(folder: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    if !folder.is_dir() {
        return Ok(());
    }
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            list(&path, files)?;
        } else if path.extension().is_some_and(|e| e == "rhai" || e == "toml") {
            files.push(path);
        }
    }
    Ok(())
}
