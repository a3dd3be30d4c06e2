//! Worked cases: what a rule must find on facts that are stated.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::rc::Rc;
use std::sync::Arc;

use serde::Deserialize;
use toml::Spanned;

use crate::diag::{Level, Origin, Problems, Sources, nearest_word};
use crate::facts::{self, FactSource, FactTable, Form, Value};
use crate::region::{Basis, Figure, Layer, SetBy};
use crate::rules::{Finding, Judge, Outcome, Rule};
use crate::survey::Stage;
use crate::units::{Estimate, Unit};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CaseFile {
    #[serde(default)]
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    name: Spanned<String>,
    stage: Option<String>,
    #[serde(default)]
    facts: BTreeMap<Spanned<String>, Spanned<Stated>>,
    #[serde(default)]
    limits: BTreeMap<Spanned<String>, f64>,
    outcome: Spanned<String>,
    says: Option<Spanned<String>>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Stated {
    Number(f64),
    Word(String),
    Band(Band),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Band {
    low: Option<f64>,
    value: Option<f64>,
    high: Option<f64>,
}

/// How the check of a rule set went.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct CaseReport {
    /// Rules checked.
    pub rules: usize,
    /// Cases run.
    pub run: usize,
    /// Cases in which the rule found what the case says.
    pub held: usize,
}

/// Line and column of the findings that were made.
pub(super) type Reached = BTreeSet<(usize, usize)>;

/// What cases are run with.
pub(super) struct Cases<'a> {
    pub judge: &'a Judge,
    /// The limits that there are, for their units.
    pub limits: &'a BTreeMap<String, Figure>,
}

/// Runs the cases beside a rule: `text_of` gives the text of a case file by
/// its path, or why it cannot be read. Failed cases are problems of
/// [`Level::Error`]; a rule without cases, or whose cases leave an outcome or
/// a side of a limit untried, is a warning. Gives where findings were made.
pub(super) fn check_cases(
    cases: &Cases<'_>,
    rule: &Arc<Rule>,
    text_of: &impl Fn(&str) -> Option<Result<String, String>>,
    sources: &mut Sources,
    problems: &mut Problems,
    report: &mut CaseReport,
) -> Reached {
    let file = cases_path(&rule.file);
    match text_of(&file) {
        Some(Ok(text)) => {
            let checker =
                Checker { rule, judge: cases.judge, defaults: cases.limits, file: file.into(), text: &text };
            return checker.check(sources, problems, report);
        }
        Some(Err(why)) => problems.error(
            "case-syntax",
            Origin::whole(file),
            format!("it cannot be read: {why}"),
            "Worked cases are a text file in UTF-8, in the folder itself.",
        ),
        None => problems.add(
            Level::Warning,
            "no-cases",
            Origin::whole(rule.file.clone()),
            format!("the rule {} has no worked cases", rule.id),
            format!("Write {file} with at least a clear, a stop or caution, and a find-out case."),
        ),
    }
    Reached::new()
}

/// The case file beside a rule.
fn cases_path(rule: &str) -> String {
    Path::new(rule).with_extension("cases.toml").display().to_string()
}

struct Checker<'a> {
    rule: &'a Arc<Rule>,
    judge: &'a Judge,
    defaults: &'a BTreeMap<String, Figure>,
    file: Arc<str>,
    text: &'a str,
}

impl Checker<'_> {
    fn at(&self, byte: usize) -> Origin {
        Sources::spot(&self.file, self.text, byte)
    }

    fn check(&self, sources: &mut Sources, problems: &mut Problems, report: &mut CaseReport) -> Reached {
        sources.add(self.file.clone(), self.text);
        let file: CaseFile = match toml::from_str(self.text) {
            Ok(file) => file,
            Err(error) => {
                let at = self.at(error.span().map_or(0, |s| s.start));
                let help = "A case has name, facts, limits and outcome.";
                problems.error("case-syntax", at, error.message().to_owned(), help);
                return Reached::new();
            }
        };
        let mut findings = Vec::new();
        for case in &file.case {
            let Some(finding) = self.run(case, problems) else { continue };
            report.run += 1;
            if self.holds(case, &finding, problems) {
                report.held += 1;
            }
            findings.push(finding);
        }
        self.coverage(&findings, problems);
        findings.iter().map(|f| (f.at.line, f.at.column)).collect()
    }

    fn run(&self, case: &Case, problems: &mut Problems) -> Option<Finding> {
        let before = problems.len();
        let mut table = FactTable::default();
        for (name, stated) in &case.facts {
            let at = self.at(name.span().start);
            let Some(def) = facts::def(name.as_ref()) else {
                let near = nearest_word(name.as_ref(), facts::FACTS.iter().map(|d| d.name));
                let help = near.map_or_else(String::new, |n| format!("Did you mean {n}?"));
                problems.error("unknown-fact", at, format!("there is no fact {}", name.as_ref()), help);
                continue;
            };
            match value(def.form, stated.as_ref()) {
                Ok(value) => table.state(name.as_ref().as_str(), value),
                Err(message) => problems.error(
                    "case-fact",
                    at,
                    format!("{}: {message}", name.as_ref()),
                    "Give a number, { low, value, high }, one of the fact's words, or \"unknown\".",
                ),
            }
        }
        let mut limits = BTreeMap::new();
        for (name, value) in &case.limits {
            let name_text: &String = name.as_ref();
            let Some(unit) = self.defaults.get(name_text).map(|f| f.unit) else {
                let near = nearest_word(name_text, self.defaults.keys().map(String::as_str));
                let help = near.map_or_else(
                    || "Add it to the region's limits.".into(),
                    |n| format!("Did you mean {n}?"),
                );
                problems.error(
                    "unknown-limit",
                    self.at(name.span().start),
                    format!("no region sets {name_text}"),
                    help,
                );
                continue;
            };
            limits.insert(name_text.clone(), figure(name_text, *value, unit, self.at(name.span().start)));
        }
        let stage = match &case.stage {
            None => Stage::Mobilisation,
            Some(name) => match Stage::from_name(name) {
                Some(stage) => stage,
                None => {
                    let names = Stage::ALL.map(Stage::name).join(", ");
                    let at = self.at(case.name.span().start);
                    problems.error(
                        "case-stage",
                        at,
                        format!("{name:?} is not a stage"),
                        format!("Use {names}."),
                    );
                    return None;
                }
            },
        };
        if problems.len() > before {
            return None;
        }
        let table: Rc<dyn FactSource> = Rc::new(table);
        self.judge.judge_one(&self.rule.id, stage, &table, &Rc::new(limits))
    }

    fn holds(&self, case: &Case, finding: &Finding, problems: &mut Problems) -> bool {
        let wanted: &String = case.outcome.as_ref();
        if Outcome::from_word(wanted).is_none() {
            let help = "Use clear, caution, stop, find-out or does-not-apply.";
            let at = self.at(case.outcome.span().start);
            problems.error("case-outcome", at, format!("{wanted:?} is not an outcome"), help);
            return false;
        }
        let name: &String = case.name.as_ref();
        let found = finding.outcome.word();
        if found != wanted {
            problems.error(
                "case-failed",
                self.at(case.outcome.span().start),
                format!("case {name:?} of {}: found {found}, not {wanted}", self.rule.id),
                format!("The rule said at {}: {}", finding.at, finding.why),
            );
            return false;
        }
        let Some(says) = &case.says else { return true };
        let says_text: &String = says.as_ref();
        let said = finding.why.contains(says_text.as_str()) || finding.to_do.contains(says_text.as_str());
        if !said {
            problems.error(
                "case-failed",
                self.at(says.span().start),
                format!("case {name:?} of {}: does not say {says_text:?}", self.rule.id),
                format!("It said: {} {}", finding.why, finding.to_do),
            );
        }
        said
    }

    fn coverage(&self, findings: &[Finding], problems: &mut Problems) {
        let Ok(about) = &self.rule.about else { return };
        let reached: BTreeSet<_> = findings.iter().map(|f| f.outcome.word()).collect();
        let mut untried: Vec<String> = self
            .rule
            .can_give
            .iter()
            .map(|c| c.replace('_', "-"))
            .filter(|c| !reached.contains(c.as_str()))
            .collect();
        if !about.reads.is_empty()
            && !reached.contains("find-out")
            && !untried.iter().any(|u| u == "find-out")
        {
            untried.push("find-out".to_owned());
        }
        for outcome in untried {
            problems.add(
                Level::Warning,
                "case-outcome-untried",
                Origin::whole(self.file.clone()),
                format!("no case of {} reaches {outcome}", self.rule.id),
                "Add a case for it.",
            );
        }
        for limit in &about.limits {
            let chances: Vec<f64> = findings
                .iter()
                .flat_map(|f| &f.evidence)
                .flat_map(|e| &e.chance_below)
                .filter(|(name, _)| name == limit)
                .map(|(_, chance)| *chance)
                .collect();
            let below = chances.iter().any(|c| *c > 0.5);
            let above = chances.iter().any(|c| *c < 0.5);
            if !(below && above) {
                problems.add(
                    Level::Warning,
                    "case-limit-untried",
                    Origin::whole(self.file.clone()),
                    format!("the cases of {} do not stand on both sides of {limit}", self.rule.id),
                    "Add a case just below and one just above the limit.",
                );
            }
        }
    }
}

fn value(form: Form, stated: &Stated) -> Result<Value, String> {
    let finite = "not a finite number";
    match (form, stated) {
        (_, Stated::Word(word)) if word == "unknown" => Ok(Value::Unknown),
        (Form::Word(words), Stated::Word(word)) => words
            .iter()
            .find(|w| **w == word.as_str())
            .map(|w| Value::Word(w))
            .ok_or_else(|| format!("{word:?} is none of {}", words.join(", "))),
        (Form::Number(unit), Stated::Number(number)) => {
            Estimate::exact(unit, *number).map(Value::Estimate).map_err(|_| finite.to_owned())
        }
        (Form::Number(unit), Stated::Band(band)) => stated_band(unit, band).map(Value::Estimate),
        (Form::Word(words), _) => Err(format!("not one of {}", words.join(", "))),
        (Form::Number(unit), Stated::Word(word)) => {
            Err(format!("{word:?} is not a number in {}", unit.name()))
        }
    }
}

fn stated_band(unit: Unit, band: &Band) -> Result<Estimate, String> {
    let finite = |_| "not a finite number".to_owned();
    match (band.low, band.value, band.high) {
        (low, None, high) => Estimate::bounded(unit, low, high).map_err(finite),
        (Some(low), Some(value), Some(high)) if low <= value && value <= high => {
            Estimate::band(unit, low, value, high).map_err(finite)
        }
        (Some(_), Some(_), Some(_)) => Err("low, value and high do not rise".to_owned()),
        (low, Some(value), high) => {
            let both =
                Estimate::band(unit, low.unwrap_or(value), value, high.unwrap_or(value)).map_err(finite)?;
            let both = if low.is_none() { both.perhaps_down_to(None) } else { both };
            Ok(if high.is_none() { both.perhaps_up_to(None) } else { both })
        }
    }
}

fn figure(name: &str, value: f64, unit: Unit, from: Origin) -> Figure {
    Figure {
        name: name.to_owned(),
        value,
        unit,
        stricter: None,
        source: "worked case".to_owned(),
        basis: Basis::CommonPractice,
        about: String::new(),
        set_by: SetBy { layer: Layer::Local, from },
        notes: Vec::new(),
    }
}
