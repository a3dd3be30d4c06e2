//! The reports on the examples, kept as snapshots: read what changed before
//! it is accepted (`cargo insta review`, or `INSTA_UPDATE=always cargo test
//! --test reports` and the diff).

#![allow(missing_docs, clippy::unwrap_used)]

use assert_cmd::Command;

fn report(example: &str, format: &str) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_forebore"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["assess", &format!("docs/examples/{example}/survey.toml"), "--format", format])
        .output()
        .unwrap();
    // Content hashes change with every comma and say nothing to a reader.
    let text = String::from_utf8(output.stdout).unwrap();
    let word = |w: &str| w.len() == 16 && w.chars().all(|c| c.is_ascii_hexdigit());
    let hidden: Vec<_> = text
        .split_inclusive(|c: char| !c.is_ascii_alphanumeric())
        .map(|part| {
            let plain = part.trim_end_matches(|c: char| !c.is_ascii_alphanumeric());
            if word(plain) { part.replace(plain, "(content hash)") } else { part.to_owned() }
        })
        .collect();
    hidden.concat()
}

#[test]
fn the_examples_read_in_a_terminal() {
    for example in ["lower-yard", "plateau-market", "ridge-school", "river-field"] {
        insta::assert_snapshot!(format!("{example}.txt"), report(example, "text"));
    }
}

#[test]
fn an_example_reads_as_markdown() {
    insta::assert_snapshot!("ridge-school.md", report("ridge-school", "markdown"));
}
