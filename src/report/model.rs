//! The report as data: what every output format shows, and the JSON contract.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;

use super::flips::Flip;
use super::forecast::Forecast;
use super::forecast_flow::GroundwaterFlow;
use super::free_ground::FreeGround;
use super::map_plan::MapPlan;
use super::plan_model::Plan;
use super::section_model::Slice;
use super::well_plan::WellPlan;
use super::worth::Worth;
use crate::rules::Translations;
use crate::verdict::Answer;

/// A report on one peg. Field names are a contract: they may be added to,
/// not renamed.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Report {
    /// The version of the program.
    pub forebore: String,
    /// The peg.
    pub peg: Peg,
    /// The answer.
    pub verdict: Answer,
    /// The stage it holds for.
    pub stage: String,
    /// From 0 to 100; ranks sites, decides nothing. Null where no grade is
    /// known.
    pub score: Option<f64>,
    /// Share of the weight of the rules that apply whose grade is known.
    pub score_known_share: f64,
    /// Why the answer is not better, the gravest first.
    pub reasons: Vec<Point>,
    /// What a go hangs on.
    pub conditions: Vec<Point>,
    /// What to find out: what blocks first, then the cheapest first.
    pub asks: Vec<Ask>,
    /// What each rule found, in the order of topic and rule.
    pub findings: Vec<Finding>,
    /// Rules that do not hold here, with the reason and who switched them
    /// off.
    pub switched_off: Vec<SwitchedOff>,
    /// Every fact about the peg, by name.
    pub facts: BTreeMap<String, Fact>,
    /// What is to be expected from all evidence together; null where the
    /// region lacks what it takes, and once the well stands. It clears nothing.
    pub forecast: Option<Forecast>,
    /// The well that the forecast ground asks for; null where the region
    /// lacks what it takes, and once it stands.
    pub well_plan: Option<WellPlan>,
    /// What money says; null where the region lacks what it takes, and once
    /// the hole is down. It clears nothing.
    pub worth: Option<Worth>,
    /// Which way the groundwater flows and how long germs may take; null where
    /// the region lacks what it takes.
    pub groundwater_flow: Option<GroundwaterFlow>,
    /// What lies around the peg; null where the region does not say how well
    /// an unstated position is known.
    pub plan: Option<Plan>,
    /// The ground below the peg by depth; empty where nothing can be forecast,
    /// and once the well stands.
    pub section: Vec<Slice>,
    /// What would change the answer: for each finding that keeps it from
    /// being better, the gravest first, the smallest changes found that turn
    /// it. Empty where none was looked for.
    pub flips: Vec<Flip>,
    /// Where on the plot the peg could go instead; null where it was not
    /// worked out, and once a hole is begun.
    pub free_ground: Option<FreeGround>,
    /// What maps show around the peg.
    #[serde(skip)]
    pub map: Option<MapPlan>,
    /// Cautions for the people who will dig, drill and drink.
    pub cautions: Vec<Caution>,
    /// Whose word decides, and what to ask.
    pub authority: Authority,
    /// What the report was made from.
    pub provenance: Provenance,
}

/// The peg.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Peg {
    /// Its name.
    pub name: String,
    /// Latitude, degrees north (WGS84).
    pub lat_deg: f64,
    /// Longitude, degrees east (WGS84).
    pub lon_deg: f64,
    /// The day of the visit, if stated.
    pub visited: Option<String>,
    /// The region's title.
    pub region: String,
    /// Where the peg stands in the survey.
    pub from: String,
}

/// A reason or condition.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Point {
    /// The rule it comes from.
    pub rule: String,
    /// What this alone would answer: no-go, find-out or go-if.
    pub alone: Answer,
    /// The sentence.
    pub text: String,
}

/// Something to find out.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Ask {
    /// What to do.
    pub ask: String,
    /// The kind of act: look, ask, tape, …
    pub how: String,
    /// Rough price of doing it, if the region sets one.
    pub price: Option<f64>,
    /// Currency of the price.
    pub currency: String,
    /// The rules that wait for it.
    pub rules: Vec<String>,
    /// Whether the stage waits for it.
    pub blocks: bool,
    /// The stage before which it must be known.
    pub before: String,
}

/// What one rule found.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Finding {
    /// The rule's id.
    pub rule: String,
    /// Its topic.
    pub topic: String,
    /// Its title.
    pub title: String,
    /// clear, caution, stop, find-out, does-not-apply or broken.
    pub outcome: String,
    /// For find-out and broken: whether the stage waits for it.
    pub blocks: bool,
    /// What was seen and what was required.
    pub why: String,
    /// What to do.
    #[serde(rename = "do")]
    pub to_do: String,
    /// The published source.
    pub source: String,
    /// published, common practice or from memory.
    pub basis: String,
    /// From 0 to 100, where known.
    pub grade: Option<f64>,
    /// The line of the script that made the finding.
    pub rule_line: String,
    /// Why there is such a rule.
    pub rule_why: String,
    /// The script itself, for formats that show it.
    #[serde(skip)]
    #[schemars(skip)]
    pub rule_text: String,
    /// Its sentences in other languages, for formats that speak them.
    #[serde(skip)]
    #[schemars(skip)]
    pub translations: Translations,
    /// The limits it used.
    pub limits: Vec<Limit>,
    /// The facts it read.
    pub evidence: Vec<Evidence>,
}

/// A limit that was used.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Limit {
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// The layer that set it: defaults, setting or local.
    pub set_by: String,
    /// The file and line that set it.
    pub from: String,
    /// The published source.
    pub source: String,
    /// published, common practice or from memory.
    pub basis: String,
    /// What other layers asked, or what was relaxed and why.
    pub notes: Vec<String>,
}

/// A fact that a rule read.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Evidence {
    /// The fact's name.
    pub fact: String,
    /// The fact.
    #[serde(flatten)]
    pub is: Fact,
    /// The chance that it is below each limit it was compared with, where
    /// that can be told.
    pub chance_below: BTreeMap<String, f64>,
}

/// A fact about the peg.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Fact {
    /// A number, a word, or null where nobody observed it or only bounds are
    /// known.
    pub value: FactValue,
    /// The unit of a number.
    pub unit: Option<String>,
    /// The low end of the 95 % band; for a distance the pessimistic end.
    pub low: Option<f64>,
    /// The high end.
    pub high: Option<f64>,
    /// As people read it.
    pub text: String,
    /// How it came about.
    pub note: String,
    /// The first observation it came from, as file:line; empty where none.
    pub from: String,
    /// Every observation it came from.
    pub from_all: Vec<String>,
}

/// The value of a fact.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum FactValue {
    /// A quantity.
    Number(f64),
    /// A word.
    Word(String),
    /// Not observed, or only bounds are known.
    Unknown,
}

/// A rule switched off.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SwitchedOff {
    /// The rule.
    pub rule: String,
    /// Why.
    pub reason: String,
    /// The layer, file and line.
    pub set_by: String,
}

/// A caution.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Caution {
    /// The sentence.
    pub text: String,
    /// Where it is from.
    pub source: String,
    /// Whether something found at this peg calls for it.
    pub called_for: bool,
}

/// Whose word decides.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Authority {
    /// The office, if the local file names it.
    pub name: Option<String>,
    /// What to ask it.
    pub ask: Vec<String>,
    /// The sentence that every report carries.
    pub defers: String,
}

/// What the report was made from.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Provenance {
    /// Content hash of the survey and its files.
    pub survey: String,
    /// Content hash of the region's layers.
    pub region: String,
    /// Content hash of the rules.
    pub rules: String,
    /// The survey's files with their content hashes.
    pub survey_files: Vec<HashedFile>,
    /// The region's layers with their content hashes.
    pub region_layers: Vec<HashedFile>,
}

/// A file and the hash of its content.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct HashedFile {
    /// The file.
    pub file: String,
    /// The first 16 hexadecimal digits of the SHA-256 of its content.
    pub sha256: String,
}
