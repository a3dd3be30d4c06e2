//! How likely the water at the peg exceeds a limit, from what was tested in
//! wells around; depths count where they are known.
//!
//! The limit is that of the rules: the one that stops a site where there is
//! one, otherwise the one that asks for a condition. Water that exceeds one
//! that stops a site is of poor quality for the virtual bores; that several
//! are exceeded is taken as independent.

use super::Near;
use crate::facts::sheet::Sheet;
use crate::facts::{AskKind, Missing, SiteFacts};
use crate::ground::occurrence::{
    Observation, Occurrence, OccurrenceModel, OccurrencePrior, Options, Place, QualityReading, Skill,
    chance_above,
};
use crate::region::Figure;
use crate::survey::{Parameter, Well, WellOutcome};

/// How likely the water exceeds one limit.
#[derive(Debug, Clone)]
pub struct QualityForecast {
    /// The measure.
    pub parameter: Parameter,
    /// What people call it.
    pub name: &'static str,
    /// The limit.
    pub limit: Figure,
    /// Whether exceeding it stops a site.
    pub stops: bool,
    /// The chance.
    pub chance: Occurrence,
    /// The chance without any well.
    pub prior: f64,
    /// Wells that say something.
    pub wells: usize,
    /// How well they forecast each other, where there are enough.
    pub skill: Option<Skill>,
}

/// A measure, what people call it, its limits (the first that the region has)
/// and the prior of its chance.
struct About {
    parameter: Parameter,
    name: &'static str,
    stop: &'static str,
    caution: &'static str,
    prior: &'static str,
}

const fn about(
    parameter: Parameter,
    name: &'static str,
    stop: &'static str,
    caution: &'static str,
    prior: &'static str,
) -> About {
    About { parameter, name, stop, caution, prior }
}

const ABOUT: [About; 7] = [
    about(
        Parameter::Arsenic,
        "arsenic",
        "arsenic_stop_mg_l",
        "arsenic_caution_mg_l",
        "quality_prior_share_arsenic",
    ),
    about(
        Parameter::Fluoride,
        "fluoride",
        "fluoride_stop_mg_l",
        "fluoride_caution_mg_l",
        "quality_prior_share_fluoride",
    ),
    about(
        Parameter::Nitrate,
        "nitrate",
        "nitrate_stop_mg_l",
        "nitrate_caution_mg_l",
        "quality_prior_share_nitrate",
    ),
    about(Parameter::Ec, "salt", "ec_stop_us_cm", "ec_caution_us_cm", "quality_prior_share_salinity"),
    about(Parameter::Iron, "iron", "iron_stop_mg_l", "iron_caution_mg_l", "quality_prior_share_iron"),
    about(
        Parameter::Manganese,
        "manganese",
        "manganese_stop_mg_l",
        "manganese_caution_mg_l",
        "quality_prior_share_other",
    ),
    about(
        Parameter::Ecoli,
        "faecal germs",
        "e_coli_stop_cfu_100ml",
        "e_coli_caution_cfu_100ml",
        "quality_prior_share_faecal",
    ),
];

pub(super) fn forecast(s: &SiteFacts, near: &[Near<'_>]) -> Result<Vec<QualityForecast>, Missing> {
    let length_m = s.prior("quality_range_m")?;
    let worth_wells = s.prior("quality_prior_worth")?;
    let relative_sd = s.prior("quality_reading_error_share")?;
    let mut sheet = Sheet::new();
    let needed = s.needed_depth(&mut sheet)?;
    let depth_m = needed.and_then(|n| Some([n.low()?, n.high()?]));
    let mut all = Vec::new();
    for a in &ABOUT {
        let limits = &s.region().limits;
        let (limit, stops) = match (limits.get(a.stop), limits.get(a.caution)) {
            (Some(stop), _) => (stop, true),
            (None, Some(caution)) => (caution, false),
            (None, None) => continue,
        };
        let prior = OccurrencePrior { chance: s.prior(a.prior)?, worth_wells, length_m };
        let observations: Vec<Observation> = near
            .iter()
            .filter_map(|n| {
                Some(Observation {
                    east_m: n.east_north_m[0],
                    north_m: n.east_north_m[1],
                    depth_m: n.well.depth_m.as_ref().map(|d| d.value),
                    yes: exceeds(n.well, a.parameter, limit.value, relative_sd)?,
                })
            })
            .collect();
        let unusable = |e: &dyn std::fmt::Display| {
            Missing::new(AskKind::Write, format!("Correct the figures of {} in the water: {e}.", a.name))
        };
        let model =
            OccurrenceModel::learn(&prior, &observations, Options::default()).map_err(|e| unusable(&e))?;
        let chance = model.at(Place { east_m: 0.0, north_m: 0.0, depth_m }).map_err(|e| unusable(&e))?;
        all.push(QualityForecast {
            parameter: a.parameter,
            name: a.name,
            limit: limit.clone(),
            stops,
            chance,
            prior: prior.chance,
            wells: observations.len(),
            skill: model.skill(),
        });
    }
    Ok(all)
}

/// The chance that water is unfit by any measure that stops a site.
pub(super) fn chance_of_poor(all: &[QualityForecast]) -> f64 {
    let good: f64 = all.iter().filter(|q| q.stops).map(|q| 1.0 - q.chance.chance).product();
    (1.0 - good).clamp(0.0, 1.0)
}

/// How likely a well exceeds a limit; `None` where nothing says. What became
/// of a well speaks where nobody tested it.
fn exceeds(well: &Well, parameter: Parameter, limit: f64, relative_sd: f64) -> Option<f64> {
    let Some(reading) = well.quality.get(&parameter).map(|r| r.value) else {
        let outcome = well.outcome.as_ref().map(|o| o.value);
        return match (parameter, outcome) {
            (Parameter::Ec, Some(WellOutcome::Salty)) => Some(1.0),
            (Parameter::Ecoli, Some(WellOutcome::Contaminated)) => Some(1.0),
            _ => None,
        };
    };
    let reading = if reading.below {
        QualityReading::Below(reading.value)
    } else {
        QualityReading::Value { value: reading.value, relative_sd }
    };
    chance_above(reading, limit)
}
