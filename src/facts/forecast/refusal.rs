//! How deep each method at hand gets before the ground refuses it: survival
//! over neighbours' logs, trial bores, outcrops and the setting's expected
//! logs; metres below ground.

use super::Near;
use crate::facts::site::no_prior;
use crate::facts::{AskKind, Missing, SiteFacts};
use crate::ground::{BoreEnd, BoreSeen, Classes, Log, MaterialClass, Survival};
use crate::region::{LogEnd, MethodProfile, Suits};
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
    let worth = Worth::of(s)?;
    let chances = RefusalChances::of(s)?;
    let prior_worth = s.prior("expected_logs_worth_bores")?;
    let mut sheet = crate::facts::sheet::Sheet::new();
    let mut all = Vec::new();
    for method in s.methods(&mut sheet) {
        let Some(profile) = s.region().methods.get(&method) else { continue };
        let mut seen = Vec::new();
        let mut bores = 0;
        for n in near {
            let weight = worth.at(n.distance_m);
            if weight < LEAST_WEIGHT {
                continue;
            }
            let before = seen.len();
            of_well(n.well, s.log_by_id(n.id), profile, chances, weight, &mut seen);
            bores += usize::from(seen.len() > before);
        }
        if let Some(outcrop) = &s.site.ground.outcrop_m {
            let weight = worth.at(outcrop.value);
            if weight >= LEAST_WEIGHT {
                seen.push(BoreSeen { depth_m: 0.0, end: BoreEnd::Refused, weight });
                bores += 1;
            }
        }
        let expected: Vec<BoreSeen> = s
            .region()
            .expected_logs
            .iter()
            .flat_map(|log| {
                let layers = log
                    .layers
                    .iter()
                    .map(|(to_m, id)| (*to_m, MaterialClass::from_id(id).into_iter().collect()));
                of_layers(layers, profile, chances, log.end == LogEnd::Refused, log.share)
            })
            .collect();
        let worth = seen.iter().map(|b| b.weight).sum();
        let past = Survival::fit(&seen, &expected, prior_worth)
            .map_err(|e| Missing::new(AskKind::Write, format!("Correct the depths of the wells: {e}.")))?;
        all.push(RefusalForecast {
            method,
            max_depth_m: profile.max_depth_m.value,
            past,
            seen: bores,
            worth,
        });
    }
    if all.is_empty() {
        return Err(no_prior("methods"));
    }
    Ok(all)
}

/// How many bores of the neighbourhood a well at a distance is worth: fewer
/// the farther away, and many where it is beside the peg.
#[derive(Debug, Clone, Copy)]
pub(super) struct Worth {
    length_m: f64,
    beside_m: f64,
    beside: f64,
}

impl Worth {
    pub(super) fn of(s: &SiteFacts) -> Result<Self, Missing> {
        Ok(Self {
            length_m: s.prior("neighbour_weight_length_m")?,
            beside_m: s.prior("trial_bore_radius_m")?,
            beside: s.prior("trial_bore_worth_bores")?,
        })
    }

    pub(super) fn at(self, distance_m: f64) -> f64 {
        let falls = |share: f64| (-share).exp();
        let far = if self.length_m > 0.0 { falls(distance_m / self.length_m) } else { 1.0 };
        let beside = if self.beside_m > 0.0 { falls((distance_m / self.beside_m).powi(2)) } else { 0.0 };
        far + (self.beside - 1.0).max(0.0) * beside
    }

    /// How different the ground may be at a distance: 0 at the peg, 1 far
    /// away.
    pub(super) fn difference(self, distance_m: f64) -> f64 {
        if self.length_m > 0.0 { 1.0 - (-distance_m / self.length_m).exp() } else { 1.0 }
    }
}

/// The chance that ground stops a method, by how the method fares in it.
#[derive(Debug, Clone, Copy)]
pub(super) struct RefusalChances {
    slow: f64,
    cased: f64,
}

impl RefusalChances {
    pub(super) fn of(s: &SiteFacts) -> Result<Self, Missing> {
        let (slow, cased) = (s.prior("refusal_chance_slow_share")?, s.prior("refusal_chance_cased_share")?);
        Ok(Self { slow: slow.min(1.0), cased: cased.min(1.0) })
    }

    pub(super) fn chance(self, suits: Option<Suits>) -> f64 {
        match suits {
            Some(Suits::Yes) => 0.0,
            Some(Suits::Slow) => self.slow,
            Some(Suits::Cased) => self.cased,
            // What the region does not speak of is not counted on.
            Some(Suits::No) | None => 1.0,
        }
    }
}

/// Whether a well ended because the ground refused it.
pub(super) fn ended_on_rock(well: &Well) -> bool {
    well.outcome.as_ref().is_some_and(|o| o.value == WellOutcome::RefusedOnRock)
}

fn of_well(
    well: &Well,
    log: &Log,
    profile: &MethodProfile,
    chances: RefusalChances,
    weight: f64,
    seen: &mut Vec<BoreSeen>,
) {
    if !log.is_empty() {
        let layers = log.layers.iter().map(|l| (l.bottom_m, l.classes));
        seen.extend(of_layers(layers, profile, chances, ended_on_rock(well), weight));
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
/// their chances that refuses counts as refused. Whoever gets through a class
/// once gets through it again farther down.
fn of_layers(
    layers: impl Iterator<Item = (f64, Classes)>,
    profile: &MethodProfile,
    chances: RefusalChances,
    refused_at_end: bool,
    weight: f64,
) -> Vec<BoreSeen> {
    let mut seen = Vec::new();
    let mut met = Classes::NONE;
    let mut left = weight;
    let mut top_m = 0.0;
    for (bottom_m, classes) in layers {
        // Ground in words nobody understands says nothing, and was passed by
        // whoever logged it.
        let share = if classes.is_unknown() { 0.0 } else { refusing_share(classes, met, profile, chances) };
        if share > 0.0 {
            seen.push(BoreSeen { depth_m: top_m, end: BoreEnd::Refused, weight: left * share });
            left *= 1.0 - share;
        }
        if !classes.is_unknown() {
            met = met.or(classes);
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

fn refusing_share(classes: Classes, met: Classes, profile: &MethodProfile, chances: RefusalChances) -> f64 {
    let all = classes.iter().count();
    let chance = |class: MaterialClass| {
        let chance = chances.chance(profile.suits.get(class.id()).copied());
        let passed = chance < 1.0 && met.iter().any(|m| m == class);
        if passed { 0.0 } else { chance }
    };
    classes.iter().map(chance).sum::<f64>() / all.max(1) as f64
}
