//! What virtual bores at the peg come to: the chance that a hole is a success,
//! why it fails where it fails, how deep it gets and what it gives.

use std::collections::BTreeMap;

use super::Near;
use super::level::LevelForecast;
use super::refusal::{RefusalChances, Worth, ended_on_rock};
use crate::diag::Origin;
use crate::facts::near::well_name;
use crate::facts::sheet::Sheet;
use crate::facts::{AskKind, Missing, SiteFacts};
use crate::ground::virtual_bore::{
    BelowLogs, GroundClass, LevelDistribution, MethodForecast, MethodInputs, VirtualBoreInputs, VirtualBores,
    WeightedLog, WellDesign, virtual_bores,
};
use crate::ground::{MaterialClass, properties};
use crate::region::{LogEnd, Suits};
use crate::survey::Method;

/// A weight smaller than this does not count.
const LEAST_WEIGHT: f64 = 0.001;
/// Quantiles of the level that are handed on.
const QUANTILES: u32 = 64;
/// Seconds in an hour.
const SECONDS_PER_HOUR: f64 = 3600.0;
/// Cubic metres a day in a litre a second.
const M3_PER_DAY_IN_LPS: f64 = 86.4;

/// The well that virtual bores look for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DesignWanted {
    /// The rate wanted, litres a second.
    pub rate_lps: f64,
    /// Hours of pumping at a stretch.
    pub pumping_hours: f64,
    /// Whether the users' need set the rate, rather than the pump's.
    pub of_need: bool,
    /// Deepest pumping level of the planned lift or, where none is planned,
    /// of the one that lifts from deepest.
    pub lift_max_m: Option<f64>,
}

/// What virtual bores come to.
#[derive(Debug)]
pub struct BoresForecast {
    /// Everything they were drawn from.
    pub inputs: VirtualBoreInputs,
    /// What they came to.
    pub bores: VirtualBores,
    /// The methods, in the order of `bores.methods`.
    pub methods: Vec<Method>,
    /// The well wanted.
    pub wanted: DesignWanted,
    /// Where the logs of neighbours and trial bores that were used stand, in
    /// the order of `inputs.logs`.
    pub logs_from: Vec<Origin>,
    /// What people call those wells.
    pub log_names: Vec<String>,
}

impl BoresForecast {
    /// The method with the greatest chance, and what it comes to.
    pub fn best(&self) -> Option<(Method, &MethodForecast)> {
        Some((*self.methods.get(self.bores.best)?, self.bores.methods.get(self.bores.best)?))
    }
}

pub(super) fn forecast(
    s: &SiteFacts,
    near: &[Near<'_>],
    level: &LevelForecast,
    poor_quality_chance: f64,
) -> Result<BoresForecast, Missing> {
    let mut sheet = Sheet::new();
    let methods: Vec<Method> =
        s.methods(&mut sheet).into_iter().filter(|m| s.region().methods.contains_key(m)).collect();
    let chances = RefusalChances::of(s)?;
    let worth = Worth::of(s)?;
    let refuses = |suits: Option<Suits>| chances.chance(suits);
    let profiles: Vec<_> = methods.iter().filter_map(|m| Some((m, s.region().methods.get(m)?))).collect();
    let at_times = s.prior("bears_water_at_times_share")?;
    let least_storage = s.prior("storage_least_share")?;
    let ground: BTreeMap<MaterialClass, GroundClass> = MaterialClass::ALL
        .into_iter()
        .filter_map(|class| Some((class, GroundClass::of(properties(class)?, at_times, least_storage))))
        .collect();
    let (logs, wells): (Vec<WeightedLog>, Vec<(Origin, String)>) = near
        .iter()
        .map(|n| (n, worth.at(n.distance_m), s.log_by_id(n.id)))
        .filter(|(_, weight, log)| *weight >= LEAST_WEIGHT && !log.is_empty())
        .map(|(n, weight, log)| {
            let log = WeightedLog::of(log, weight, !ended_on_rock(n.well));
            let error_share = worth.difference(n.distance_m);
            (WeightedLog { error_share, ..log }, (n.well.from.clone(), well_name(n.well)))
        })
        .unzip();
    let (logs_from, log_names) = wells.into_iter().unzip();
    let prior_logs = s.region().expected_logs.iter().map(|log| WeightedLog {
        weight: log.share,
        layers: log
            .layers
            .iter()
            .map(|(to_m, id)| (*to_m, MaterialClass::from_id(id).into_iter().collect()))
            .collect(),
        ends_in_soft_ground: log.end == LogEnd::Soft,
        error_share: 1.0,
    });
    let wanted = wanted(s)?;
    let hole_mm = profiles.iter().map(|(_, p)| p.hole_mm.value).fold(f64::INFINITY, f64::min);
    let loss_at_1_lps = s.prior("well_loss_at_1_lps_m")?;
    let design = WellDesign {
        rate_lps: wanted.rate_lps,
        pumping_hours: wanted.pumping_hours,
        well_radius_m: hole_mm / 2000.0,
        screen_min_m: s.prior("screen_m")?,
        screen_max_m: s.prior("screen_most_m")?,
        submergence_m: s.prior("submergence_m")?,
        sump_m: s.prior("sump_m")?,
        lift_max_m: wanted.lift_max_m,
        bias_divisor: s.prior("yield_bias_divisor")?,
        well_loss_d2_per_m5: loss_at_1_lps / M3_PER_DAY_IN_LPS.powi(2),
        u_most: s.prior("cooper_jacob_u_most")?,
        step_m: s.prior("virtual_bore_step_m")?,
    };
    let quantile = |i: u32| {
        let p = (f64::from(i) + 0.5) / f64::from(QUANTILES);
        (p, level.dry_year_m(p))
    };
    let mut quantiles: Vec<(f64, f64)> = (0..QUANTILES).map(quantile).collect();
    // Rounding may turn two of them round.
    let mut deepest = 0.0_f64;
    for (_, depth) in &mut quantiles {
        deepest = deepest.max(*depth);
        *depth = deepest;
    }
    let inputs = VirtualBoreInputs {
        prior_logs: prior_logs.collect(),
        prior_worth: s.prior("expected_logs_worth_bores")?,
        thickness_error: s.prior("layer_thickness_error_share")?,
        below_logs: BelowLogs::Refuses,
        level: LevelDistribution::Quantiles(quantiles),
        ground,
        methods: profiles.iter().map(|(m, p)| MethodInputs::of(m.name(), p, refuses)).collect(),
        design,
        poor_quality_chance,
        bores: s.prior("virtual_bores")?.clamp(0.0, f64::from(u32::MAX)) as u32,
        seed: s.prior("virtual_bores_seed")?.max(0.0) as u64,
        logs,
    };
    let bores = virtual_bores(&inputs).map_err(|e| {
        Missing::new(AskKind::Write, format!("Correct the figures that virtual bores are drawn from: {e}."))
    })?;
    Ok(BoresForecast { inputs, bores, methods, wanted, logs_from, log_names })
}

/// The rate that the users need, but no less than a pump's.
fn wanted(s: &SiteFacts) -> Result<DesignWanted, Missing> {
    let mut sheet = Sheet::new();
    let pumping_hours = s.prior("pumping_hours_per_day")?;
    let least = s.prior("design_rate_lps")?;
    let need = s.need_of_day(&mut sheet)?.map(|n| n.value / (pumping_hours * SECONDS_PER_HOUR));
    let need = need.filter(|n| n.is_finite() && *n > least);
    let planned = s.lift(&mut sheet).map(|l| l.max_m.value);
    let deepest = s.region().lifts.values().map(|l| l.max_m.value).max_by(f64::total_cmp);
    Ok(DesignWanted {
        rate_lps: need.unwrap_or(least),
        pumping_hours,
        of_need: need.is_some(),
        lift_max_m: planned.or(deepest),
    })
}
