//! What a back-test found, as data. The field names are a contract: add, do
//! not rename. A score that does not apply is `null`.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::tune::records::Skipped;

/// Scores of one way to forecast.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Scores {
    /// Mean absolute error of the median depth, metres.
    pub mae_m: Option<f64>,
    /// Share of depths inside the 80 % band.
    pub band80_coverage: Option<f64>,
    /// Mean width of that band, metres.
    pub band80_width_m: Option<f64>,
    /// Mean square of chance less outcome.
    pub brier: Option<f64>,
    /// Area under the curve.
    pub auc: Option<f64>,
    /// Mean of −ln of the chance given to what happened.
    pub log_score: Option<f64>,
}

/// A gain on a baseline.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Gain {
    /// The score compared: `mae_m` or `brier`; the less the better.
    pub score: &'static str,
    /// What the baseline lost more, on average.
    pub gain: f64,
    /// Its standard error, records of one square counted as not independent.
    pub standard_error: f64,
    /// How many squares.
    pub squares: usize,
    /// `better` or `worse` by two standard errors, and by 1 % of the score and
    /// 2/n of it at the least; else `not told apart`.
    pub verdict: &'static str,
}

/// Forecast chances near each other, and what came of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bin {
    /// The least chance.
    pub from: f64,
    /// The greatest.
    pub to: f64,
    /// How many forecasts.
    pub n: usize,
    /// Their mean.
    pub mean_chance: f64,
    /// The share that came.
    pub share: f64,
    /// The ends of its 95 % band (Wilson).
    pub band95: [f64; 2],
}

/// Content hashes of what went in.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Provenance {
    /// The records.
    pub records: String,
    /// The map.
    pub map: String,
    /// The region with all its layers.
    pub region: String,
}

/// The whole result.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BackTest {
    /// The program's version.
    pub forebore: &'static str,
    /// What was forecast.
    pub forecast: String,
    /// What was asked of each record, in words.
    pub asked: String,
    /// How records were left out.
    pub leave_out: String,
    /// Records nearer than this were not used, metres.
    pub neighbours_from_m: f64,
    /// The region.
    pub region: String,
    /// How many records were forecast.
    pub n: usize,
    /// Rows that were not.
    pub skipped: Vec<Skipped>,
    /// The scores of the forecast.
    #[serde(flatten)]
    pub scores: Scores,
    /// The share of all forecast records that came out yes.
    pub base_rate: Option<f64>,
    /// The scores of forecasts anybody can make, of the same records from the
    /// same others.
    pub baselines: BTreeMap<&'static str, Scores>,
    /// Share of depths inside the 95 % band.
    pub band95_coverage: Option<f64>,
    /// The median of the forecast chances.
    pub typical: Option<f64>,
    /// The median of the forecast depths, metres.
    pub typical_m: Option<f64>,
    /// Gains on each baseline.
    pub skill: BTreeMap<&'static str, Gain>,
    /// How reliable chances were.
    pub reliability: Vec<Bin>,
    /// Chances nearer to 0 and 1 count as this far off in the log score.
    pub log_score_clip: f64,
    /// For refusal: the depths past which the chance to get was forecast,
    /// metres; every score is over pairs of bore and depth.
    pub depths_m: Vec<f64>,
    /// Records that share their spot (25 m) with another.
    pub share_spot: usize,
    /// What to bear in mind.
    pub notes: Vec<String>,
    /// The same records left out in other ways.
    pub beside: Vec<BackTest>,
    /// What went in.
    pub provenance: Provenance,
}
