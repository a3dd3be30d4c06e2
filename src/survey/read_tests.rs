//! Surveys as people write them, right and wrong.

use super::super::{
    Access, Accuracy, Consent, Flooding, Frame, HazardKind, Made, Method, Ordnance, Parameter, Season,
    WellOutcome,
};
use super::*;

/// A survey from texts, with all problems as `place level code: message | help`.
fn read(text: &str, files: &[(&str, &str)]) -> (Option<Survey>, Vec<String>) {
    let open = |path: &str| match files.iter().find(|(name, _)| *name == path) {
        Some((_, text)) => Ok(text.as_bytes().to_vec()),
        None => Err(io::ErrorKind::NotFound.into()),
    };
    let (mut sources, mut problems) = (Sources::new(), Problems::new());
    let survey = survey(&"survey.toml".into(), text.as_bytes(), &open, &mut sources, &mut problems);
    let line = |p: &crate::diag::Problem| {
        let place = format!("{}:{}:{}+{}", p.at.file, p.at.line, p.at.column, p.length);
        format!("{place} {:?} {}: {} | {}", p.level, p.code, p.message, p.help)
    };
    (survey, problems.iter().map(line).collect())
}

const PEG: &str = "[peg]\nname = \"Yard\"\nat = { lat = -9.41231, lon = 39.28114, accuracy_m = 4 }\n";

#[test]
fn probe() {
    let text = std::fs::read_to_string("/tmp/gen/bad.toml").unwrap();
    let (s, p) = read(&text, &[]);
    println!("{}", s.is_some());
    for p in p {
        println!("{p}");
    }
}
