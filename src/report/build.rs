//! Makes the report out of the assessment.

use std::rc::Rc;

use sha2::{Digest, Sha256};

use super::cautions::{DEFERS, cautions};
use super::model;
use crate::diag::{Origin, Sources};
use crate::facts::{self, FACTS, FactSource, Value};
use crate::region::{Basis, Figure, Layer, Region, SetBy};
use crate::rules::{self, Outcome, RuleSet};
use crate::survey::Survey;
use crate::verdict::Assessment;

/// Everything a report is made of.
pub struct Inputs<'a> {
    /// The survey.
    pub survey: &'a Survey,
    /// The texts of the survey's files.
    pub survey_sources: &'a Sources,
    /// The region.
    pub region: &'a Region,
    /// The rules.
    pub rules: &'a RuleSet,
    /// The facts.
    pub facts: &'a Rc<dyn FactSource>,
    /// The peg's facts, for what is to be expected; `None` for facts of no
    /// site.
    pub site: Option<&'a facts::SiteFacts>,
    /// Where the peg could go instead, where that was worked out.
    pub free_ground: Option<&'a crate::tune::free_ground::FreeGround>,
    /// What was found.
    pub assessment: &'a Assessment,
}

/// The report.
pub fn build(inputs: &Inputs) -> model::Report {
    let Inputs { survey, region, assessment, .. } = inputs;
    let verdict = &assessment.verdict;
    let point = |p: &crate::verdict::Point| model::Point {
        rule: p.rule.clone(),
        alone: p.alone,
        text: p.text.clone(),
    };
    let unbuilt = inputs.site.filter(|_| verdict.stage.before_the_well());
    let undrilled = inputs.site.filter(|_| verdict.stage.before_the_last_metre());
    let not_clear = |id: &str| {
        assessment
            .findings
            .iter()
            .any(|f| f.rule.id == id && !matches!(f.outcome, Outcome::Clear | Outcome::DoesNotApply))
    };
    model::Report {
        forebore: env!("CARGO_PKG_VERSION").to_owned(),
        peg: model::Peg {
            name: survey.peg.name.value.clone(),
            lat_deg: round(survey.peg.at.value.at.lat_deg(), 7),
            lon_deg: round(survey.peg.at.value.at.lon_deg(), 7),
            visited: survey.visited.as_ref().map(|d| d.value.to_string()),
            region: region.title.clone(),
            from: survey.peg.at.from.to_string(),
        },
        verdict: verdict.answer,
        stage: verdict.stage.name().to_owned(),
        score: verdict.score.value.map(|s| round(s, 1)),
        score_known_share: round(verdict.score.known_share, 3),
        reasons: verdict.reasons.iter().map(point).collect(),
        conditions: verdict.conditions.iter().map(point).collect(),
        asks: verdict
            .asks
            .iter()
            .map(|a| model::Ask {
                ask: a.ask.clone(),
                how: a.how.name().to_owned(),
                price: a.price,
                currency: region.currency.clone(),
                rules: a.rules.clone(),
                blocks: a.blocks,
                before: a.before.name().to_owned(),
            })
            .collect(),
        findings: assessment.findings.iter().map(finding).collect(),
        switched_off: switched_off(inputs),
        facts: FACTS
            .iter()
            .filter_map(|d| Some((d.name.to_owned(), fact(inputs.facts.fact(d.name)?.as_ref()))))
            .collect(),
        // What is built is not forecast: a well that stands is tested.
        forecast: unbuilt.and_then(|s| s.forecast().ok()).map(|f| super::forecast::of(&f)),
        well_plan: unbuilt.and_then(|s| s.well_plan().ok()).map(|p| super::well_plan::of(&p)),
        worth: undrilled.and_then(|s| s.worth().ok()).map(|w| super::worth::of(&w, &region.currency)),
        groundwater_flow: inputs.site.and_then(super::forecast_flow::of),
        plan: inputs.site.and_then(super::plan_model::of),
        section: unbuilt.map(super::section_model::of).unwrap_or_default(),
        flips: Vec::new(),
        free_ground: inputs
            .free_ground
            .filter(|_| verdict.stage.before_the_hole())
            .map(super::free_ground::of),
        map: inputs.free_ground.map(|ground| super::map_plan::of(survey, ground)),
        cautions: cautions(verdict.stage, not_clear),
        authority: model::Authority {
            name: region.authority.as_ref().map(|a| a.name.clone()),
            ask: region.authority.as_ref().map(|a| a.ask.clone()).unwrap_or_default(),
            defers: DEFERS.split_whitespace().collect::<Vec<_>>().join(" "),
        },
        provenance: provenance(inputs),
    }
}

pub(super) fn round(x: f64, digits: i32) -> f64 {
    let by = 10_f64.powi(digits);
    let rounded = (x * by).round() / by;
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Numbers of facts keep no more digits than a millimetre or its like.
fn number(x: f64) -> f64 {
    round(x, 3)
}

fn layer(layer: Layer) -> &'static str {
    match layer {
        Layer::Defaults => "defaults",
        Layer::Setting => "setting",
        Layer::Local => "local",
    }
}

fn set_by(by: &SetBy) -> String {
    format!("{} {}", layer(by.layer), by.from)
}

/// What the region switches off, and then what the folder of rules does.
fn switched_off(inputs: &Inputs) -> Vec<model::SwitchedOff> {
    let by_region =
        inputs.region.switched_off.iter().map(|(rule, off)| (rule, &off.reason, set_by(&off.set_by)));
    let by_rules = inputs.rules.switched_off.iter();
    let by_rules = by_rules.map(|(rule, off)| (rule, &off.reason, format!("rules {}", off.from)));
    by_region
        .chain(by_rules)
        .map(|(rule, reason, set_by)| model::SwitchedOff {
            rule: rule.clone(),
            reason: reason.clone(),
            set_by,
        })
        .collect()
}

fn finding(f: &rules::Finding) -> model::Finding {
    let about = f.rule.about.as_ref().ok();
    model::Finding {
        rule: f.rule.id.clone(),
        topic: f.rule.topic.clone(),
        title: f.rule.title().to_owned(),
        outcome: f.outcome.word().to_owned(),
        blocks: f.blocks,
        why: f.why.clone(),
        to_do: f.to_do.clone(),
        source: about.map(|a| a.source.clone()).unwrap_or_default(),
        basis: about.map_or(Basis::FromMemory, |a| a.basis).name().to_owned(),
        grade: f.grade.map(|g| round(g, 1)),
        rule_line: f.at.to_string(),
        rule_why: about.map(|a| a.why.clone()).unwrap_or_default(),
        rule_text: f.rule.text.to_string(),
        translations: f.rule.translations.clone(),
        limits: f.limits.iter().map(limit).collect(),
        evidence: f
            .evidence
            .iter()
            .map(|e| model::Evidence {
                fact: e.name.clone(),
                is: fact(&e.fact),
                chance_below: e.chance_below.iter().map(|(l, c)| (l.clone(), round(*c, 4))).collect(),
            })
            .collect(),
    }
}

fn limit(l: &Figure) -> model::Limit {
    model::Limit {
        name: l.name.clone(),
        value: l.value,
        unit: l.unit.name().to_owned(),
        set_by: layer(l.set_by.layer).to_owned(),
        from: l.set_by.from.to_string(),
        source: l.source.clone(),
        basis: l.basis.name().to_owned(),
        notes: l.notes.clone(),
    }
}

fn fact(f: &facts::Fact) -> model::Fact {
    let (value, unit, low, high, text) = match &f.value {
        Value::Estimate(e) => (
            e.value().map_or(model::FactValue::Unknown, |v| model::FactValue::Number(number(v))),
            Some(e.unit().name().to_owned()),
            e.low().map(number),
            e.high().map(number),
            e.to_string(),
        ),
        Value::Word(w) => (model::FactValue::Word((*w).to_owned()), None, None, None, (*w).to_owned()),
        Value::Unknown => (model::FactValue::Unknown, None, None, None, "not known".to_owned()),
    };
    let from_all: Vec<String> = f.from.iter().map(Origin::to_string).collect();
    model::Fact {
        value,
        unit,
        low,
        high,
        text,
        note: f.note.clone(),
        from: from_all.first().cloned().unwrap_or_default(),
        from_all,
    }
}

fn provenance(inputs: &Inputs) -> model::Provenance {
    let files: Vec<model::HashedFile> = inputs
        .survey_sources
        .iter()
        .map(|(file, text)| model::HashedFile { file: file.to_owned(), sha256: hash(text.as_bytes()) })
        .collect();
    let layers: Vec<model::HashedFile> = inputs
        .region
        .layers
        .iter()
        .map(|(file, sha256)| model::HashedFile { file: file.clone(), sha256: sha256.clone() })
        .collect();
    let of = |list: &[model::HashedFile]| {
        hash(list.iter().map(|f| format!("{} {}\n", f.sha256, f.file)).collect::<String>().as_bytes())
    };
    model::Provenance {
        survey: of(&files),
        region: inputs.region.hash(),
        rules: inputs.rules.hash(),
        survey_files: files,
        region_layers: layers,
    }
}

fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(8).map(|b| format!("{b:02x}")).collect()
}
