//! How deep each method at hand gets before the ground refuses it: survival
//! over neighbours' logs, trial bores, outcrops and the setting's expected
//! logs; metres below ground.

use super::Near;
use crate::facts::site::no_prior;
use crate::facts::{AskKind, Missing, SiteFacts};
use crate::ground::{BoreEnd, BoreSeen, Classes, Log, MaterialClass, Survival, refuses};
use crate::region::{LogEnd, MethodProfile};
use crate::survey::{Made, Method, Well, WellOutcome};

/// A weight smaller than this does not count.
const LEAST_WEIGHT: f64 = 0.001;

/// How deep one method gets.
#[derive(Debug, Clone)]
pub struct RefusalForecast {
    /// The method.
    pub method: Method,
    /// Greatest depth of the method itself, metres.
    pub max_depth_m: f64,
    /// The chance to get past each depth.
    pub past: Survival,
    /// Wells, trial bores and outcrops that say something.
    pub seen: usize,
    /// How many bores at the peg those are worth.
    pub worth: f64,
}

pub(super) fn forecast(s: &SiteFacts, near: &[Near<'_>]) -> Result<Vec<RefusalForecast>, Missing> {
    let length_m = s.prior("neighbour_weight_length_m")?;
    let prior_worth = s.prior("expected_logs_worth_bores")?;
    let mut sheet = crate::facts::sheet::Sheet::new();
    let mut all = Vec::new();
    for method in s.methods(&mut sheet) {
        let Some(profile) = s.region().methods.get(&method) else { continue };
        let mut seen = Vec::new();
        let mut bores = 0;
        for n in near {
            let weight = weight(n.distance_m, length_m);
            if weight < LEAST_WEIGHT {
                continue;
            }
            let before = seen.len();
            of_well(n.well, s.log_by_id(n.id), profile, weight, &mut seen);
            bores += usize::from(seen.len() > before);
        }
        if let Some(outcrop) = &s.site.ground.outcrop_m {
            let weight = weight(outcrop.value, length_m);
            if weight >= LEAST_WEIGHT {
                seen.push(BoreSeen { depth_m: 0.0, end: BoreEnd::Refused, weight });
                bores += 1;
            }
        }
        let expected: Vec<BoreSeen> = s.region().expected_logs.iter().flat_map(|log| {
            let layers = log.layers.iter().map(|(to_m, id)| (*to_m, MaterialClass::from_id(id).into_iter().collect()));
            of_layers(layers, profile, log.end == LogEnd::Refused, log.share)
        }).collect();
        let worth = seen.iter().map(|b| b.weight).sum();
        let past = Survival::fit(&seen, &expected, prior_worth)
            .map_err(|e| Missing::new(AskKind::Write, format!("Correct the depths of the wells: {e}.")))?;
        all.push(RefusalForecast { method, max_depth_m: profile.max_depth_m.value, past, seen: bores, worth });
    }
    if all.is_empty() {
        return Err(no_prior("methods"));
    }
    Ok(all)
}

/// How many bores at the peg a well at a distance is worth.
pub(super) fn weight(distance_m: f64, length_m: f64) -> f64 {
    if length_m > 0.0 { (-distance_m / length_m).exp() } else { 1.0 }
}

/// Whether a well ended because the ground refused it.
pub(super) fn ended_on_rock(well: &Well) -> bool {
    well.outcome.as_ref().is_some_and(|o| o.value == WellOutcome::RefusedOnRock)
}

fn of_well(well: &Well, log: &Log, profile: &MethodProfile, weight: f64, seen: &mut Vec<BoreSeen>) {
    if !log.is_empty() {
        let layers = log.layers.iter().map(|l| (l.bottom_m, l.classes));
        seen.extend(of_layers(layers, profile, ended_on_rock(well), weight));
        return;
    }
    let Some(depth_m) = well.depth_m.as_ref().map(|d| d.value).filter(|d| d.is_finite() && *d >= 0.0) else {
        return;
    };
    let by_hand = well.made.as_ref().is_some_and(|m| matches!(m.value, Made::HandDrilled | Made::TrialBore));
    if ended_on_rock(well) {
        seen.push(BoreSeen { depth_m, end: BoreEnd::Refused, weight });
    } else if by_hand {
        seen.push(BoreSeen { depth_m, end: BoreEnd::Censored, weight });
    }
}

/// What a log says: of ground that may be of several classes, the share of
/// them that refuses counts as refused.
fn of_layers(
    layers: impl Iterator<Item = (f64, Classes)>,
    profile: &MethodProfile,
    refused_at_end: bool,
    weight: f64,
) -> Vec<BoreSeen> {
    let mut seen = Vec::new();
    let mut left = weight;
    let mut top_m = 0.0;
    for (bottom_m, classes) in layers {
        let share = refusing_share(classes, profile);
        if share > 0.0 {
            seen.push(BoreSeen { depth_m: top_m, end: BoreEnd::Refused, weight: left * share });
            left *= 1.0 - share;
        }
        top_m = bottom_m;
        if left <= 0.0 {
            return seen;
        }
    }
    let end = if refused_at_end { BoreEnd::Refused } else { BoreEnd::Censored };
    seen.push(BoreSeen { depth_m: top_m, end, weight: left });
    seen
}

/// The share of what a layer may be that refuses the method; ground in words
/// nobody understands says nothing and counts as passed by whoever logged it.
fn refusing_share(classes: Classes, profile: &MethodProfile) -> f64 {
    if classes.is_unknown() {
        return 0.0;
    }
    let all = classes.iter().count();
    let refusing = classes.iter().filter(|c| refuses(profile, *c) == Some(true)).count();
    refusing as f64 / all.max(1) as f64
}
