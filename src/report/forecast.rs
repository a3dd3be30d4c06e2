//! The forecast as data of the report, numbers rounded to what they are worth.

use schemars::JsonSchema;
use serde::Serialize;

use crate::facts;
use crate::ground::ChanceBand;
use crate::ground::occurrence;
use crate::ground::virtual_bore::Spread;
use crate::ground::water_table::{self, Basis};

/// What is to be expected at the peg from all evidence together. It clears
/// nothing.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Forecast {
    /// The depth to water.
    pub level: Level,
    /// How deep each method gets before the ground refuses it.
    pub refusal: Vec<Refusal>,
    /// How likely the water exceeds a limit.
    pub quality: Vec<Quality>,
    /// What virtual bores come to, the likeliest method first.
    pub methods: Vec<Method>,
    /// How many virtual bores.
    pub virtual_bores: u32,
    /// Seed of their random numbers.
    pub seed: u64,
    /// How many bores at the peg the logs behind them are worth.
    pub worth_bores: f64,
    /// Share of that worth which is the setting's expected logs.
    pub expected_share: f64,
    /// Logs of neighbours and trial bores behind them.
    pub logs: usize,
    /// The well they look for.
    pub wanted: Wanted,
}

/// The well that virtual bores look for.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Wanted {
    /// Rate, litres a second.
    pub rate_lps: f64,
    /// Whether the users' need set it, rather than the least rate of a pump.
    pub of_need: bool,
    /// Hours of pumping at a stretch.
    pub pumping_hours: f64,
    /// Deepest pumping level of the lift, metres.
    pub lift_max_m: Option<f64>,
}

/// A value with the ends of its 80 % and 95 % bands.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Banded {
    /// The middle.
    pub median: f64,
    /// 80 %.
    pub band80: [f64; 2],
    /// 95 %.
    pub band95: [f64; 2],
}

/// The depth to water in the driest month, metres below ground.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Level {
    /// Of a dry year.
    pub dry_year_m: Banded,
    /// Of an average year.
    pub average_year_m: Banded,
    /// Of an average year, had no well been read.
    pub without_wells_m: Banded,
    /// What it rests on: prior, region, learnt or pooled.
    pub basis: String,
    /// Share of the variance without wells that the wells removed; below zero
    /// where wells scatter more than was to be expected.
    pub improved_share: f64,
    /// The wells that made it, the weightiest first.
    pub weights: Vec<Weight>,
    /// Wells whose level is known.
    pub wells: usize,
    /// How well the wells forecast each other; null with fewer than ten.
    pub skill: Option<Skill>,
    /// Ends of the year's swing, where wells were read in both seasons,
    /// metres.
    pub observed_swing_m: Option<[f64; 2]>,
    /// The wells that show it.
    pub swing_wells: Vec<String>,
}

/// A well's part in a forecast.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Weight {
    /// The well.
    pub well: String,
    /// Where it was written.
    pub from: String,
    /// From the peg, metres.
    pub distance_m: f64,
    /// Its depth to water in the driest month of an average year.
    pub depth_m: f64,
    /// Its share.
    pub weight: f64,
}

/// Errors of forecasts of each well from the others, metres.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Skill {
    /// Mean absolute error of the forecast.
    pub mae_m: f64,
    /// Of the median of the other wells.
    pub mae_median_m: f64,
    /// Of the eight nearest wells, weighted by distance.
    pub mae_idw8_m: f64,
    /// Share of the wells inside their 80 % band.
    pub band80_coverage: f64,
    /// Whether nearness was seen to tell something.
    pub carries_skill: bool,
}

/// How likely the water exceeds a limit.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Quality {
    /// The measure, in words.
    pub name: String,
    /// The limit's name.
    pub limit: String,
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Whether exceeding it stops a site; else it asks for a condition.
    pub stops: bool,
    /// The chance.
    pub chance: f64,
    /// Its 80 % band.
    pub band80: [f64; 2],
    /// Its 95 % band.
    pub band95: [f64; 2],
    /// The chance without any well.
    pub without_wells: f64,
    /// Wells that say something.
    pub wells: usize,
    /// What it rests on: prior, region, learnt or pooled.
    pub basis: String,
    /// How well the wells forecast each other; null with too few.
    pub skill: Option<ChanceSkill>,
}

/// Scores of forecasts of each well from the others.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ChanceSkill {
    /// Brier score.
    pub brier: f64,
    /// That of the base rate of the others.
    pub brier_base_rate: f64,
    /// Area under the curve; null where all wells are alike.
    pub auc: Option<f64>,
    /// Whether nearness was seen to tell something.
    pub carries_skill: bool,
}

/// The chance to get past depths, by what refuses.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Refusal {
    /// The method.
    pub method: String,
    /// Greatest depth of the method itself, metres.
    pub max_depth_m: f64,
    /// Wells, trial bores and outcrops that say something.
    pub seen: usize,
    /// How many bores at the peg they are worth.
    pub worth_bores: f64,
    /// The curve, a point each half metre down to the method's own limit.
    pub past: Vec<Past>,
}

/// The chance to get past a depth.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Past {
    /// The depth, metres.
    pub depth_m: f64,
    /// The chance.
    pub chance: f64,
    /// Its 80 % band.
    pub band80: [f64; 2],
}

/// What one method's virtual bores come to; shares of all bores.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Method {
    /// The method.
    pub method: String,
    /// Chance of success.
    pub success: f64,
    /// Its 80 % band, for resting on so few logs.
    pub success_band80: [f64; 2],
    /// Its 95 % band.
    pub success_band95: [f64; 2],
    /// Refused by the ground.
    pub refused: f64,
    /// No water-bearing ground below the dry level.
    pub dry: f64,
    /// Too little of it for the least screen.
    pub thin_screen: f64,
    /// Too little water.
    pub low_yield: f64,
    /// Enough water, of poor quality.
    pub poor_quality: f64,
    /// Share that hangs on ground no log shows.
    pub unseen: f64,
    /// Depth of the holes that are a success, metres.
    pub depth_of_success_m: Option<Banded>,
    /// Depth of all holes, metres.
    pub depth_m: Banded,
    /// Yield of the holes that are a success, litres a second.
    pub yield_of_success_lps: Option<Banded>,
    /// Drilling cost of a hole on average, success or not, in the region's
    /// currency.
    pub mean_cost: f64,
}

/// Shares keep three digits after the point.
fn share(x: f64) -> f64 {
    super::build::round(x, 3)
}

fn depth(x: f64) -> f64 {
    super::build::round(x, 2)
}

fn ends(band: ChanceBand) -> [f64; 2] {
    [share(band.low), share(band.high)]
}

fn spread(s: &Spread) -> Banded {
    let f = |x: f64| super::build::round(x, 3);
    Banded { median: f(s.median), band80: [f(s.low80), f(s.high80)], band95: [f(s.low95), f(s.high95)] }
}

fn table(t: &water_table::WaterTable) -> Banded {
    Banded { median: depth(t.median_m), band80: t.band80_m.map(depth), band95: t.band95_m.map(depth) }
}

/// The forecast for the report.
pub fn of(f: &facts::Forecast) -> Forecast {
    let bores = &f.bores;
    let mut methods: Vec<Method> = bores
        .bores
        .methods
        .iter()
        .map(|m| Method {
            method: m.name.clone(),
            success: share(m.success.value),
            success_band80: ends(m.success.band80),
            success_band95: ends(m.success.band95),
            refused: share(m.failures.refused),
            dry: share(m.failures.dry),
            thin_screen: share(m.failures.thin_screen),
            low_yield: share(m.failures.low_yield),
            poor_quality: share(m.failures.poor_quality),
            unseen: share(m.unseen),
            depth_of_success_m: m.depth_of_success_m.as_ref().map(spread),
            depth_m: spread(&m.depth_m),
            yield_of_success_lps: m.yield_of_success_lps.as_ref().map(spread),
            mean_cost: super::build::round(m.mean_cost, 0),
        })
        .collect();
    let best = methods.get(bores.bores.best).map(|m| m.method.clone());
    methods.sort_by(|a, b| {
        let first = |m: &Method| Some(&m.method) != best.as_ref();
        first(a).cmp(&first(b)).then(b.success.total_cmp(&a.success))
    });
    Forecast {
        level: level(&f.level),
        refusal: f.refusal.iter().map(refusal).collect(),
        quality: f.quality.iter().map(quality).collect(),
        methods,
        virtual_bores: bores.inputs.bores,
        seed: bores.inputs.seed,
        worth_bores: super::build::round(bores.bores.worth, 2),
        expected_share: share(bores.bores.prior_share),
        logs: bores.logs_from.len(),
        wanted: Wanted {
            rate_lps: super::build::round(bores.wanted.rate_lps, 3),
            of_need: bores.wanted.of_need,
            pumping_hours: bores.wanted.pumping_hours,
            lift_max_m: bores.wanted.lift_max_m,
        },
    }
}

fn quality(q: &facts::QualityForecast) -> Quality {
    Quality {
        name: q.name.to_owned(),
        limit: q.limit.name.clone(),
        value: q.limit.value,
        unit: q.limit.unit.name().to_owned(),
        stops: q.stops,
        chance: share(q.chance.chance),
        band80: q.chance.band80.map(share),
        band95: q.chance.band95.map(share),
        without_wells: share(q.prior),
        wells: q.wells,
        basis: match q.chance.basis {
            occurrence::Basis::Prior => "prior",
            occurrence::Basis::Region => "region",
            occurrence::Basis::Learnt => "learnt",
            occurrence::Basis::Pooled => "pooled",
        }
        .to_owned(),
        skill: q.skill.map(|s| ChanceSkill {
            brier: share(s.brier),
            brier_base_rate: share(s.brier_base),
            auc: s.auc.map(share),
            carries_skill: s.carries_skill,
        }),
    }
}

fn level(l: &facts::LevelForecast) -> Level {
    let dry = |p: f64| depth(l.dry_year_m(p));
    let mut weights: Vec<Weight> = l
        .wells
        .iter()
        .map(|w| Weight {
            well: w.name.clone(),
            from: w.from.to_string(),
            distance_m: super::build::round(w.distance_m, 0),
            depth_m: depth(w.depth_m),
            weight: share(w.weight),
        })
        .filter(|w| w.weight.abs() > 0.0)
        .collect();
    weights.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    Level {
        dry_year_m: Banded {
            median: dry(0.5),
            band80: [dry(0.1), dry(0.9)],
            band95: [dry(0.025), dry(0.975)],
        },
        average_year_m: table(&l.average_year),
        without_wells_m: table(&l.prior),
        basis: match l.average_year.basis {
            Basis::Prior => "prior",
            Basis::Region => "region",
            Basis::Learnt => "learnt",
            Basis::Pooled => "pooled",
        }
        .to_owned(),
        improved_share: share(l.average_year.variance_removed),
        weights,
        wells: l.wells.len(),
        skill: l.skill.as_ref().map(|s| Skill {
            mae_m: depth(s.mae_m),
            mae_median_m: depth(s.mae_median_m),
            mae_idw8_m: depth(s.mae_idw8_m),
            band80_coverage: share(s.coverage80),
            carries_skill: s.carries_skill,
        }),
        observed_swing_m: l.swing.as_ref().map(|s| [depth(s.low_m), depth(s.high_m)]),
        swing_wells: l.swing.as_ref().map(|s| s.wells.clone()).unwrap_or_default(),
    }
}

/// Depths are told to half a metre.
const STEP_M: f64 = 0.5;

fn refusal(r: &facts::RefusalForecast) -> Refusal {
    let past = (0u32..)
        .map(|k| f64::from(k) * STEP_M)
        .take_while(|d| *d < r.max_depth_m)
        .filter_map(|depth_m| {
            let p = r.past.past(depth_m)?;
            Some(Past { depth_m, chance: share(p.chance), band80: ends(p.band80) })
        })
        .collect();
    Refusal {
        method: r.method.name().to_owned(),
        max_depth_m: r.max_depth_m,
        seen: r.seen,
        worth_bores: super::build::round(r.worth, 2),
        past,
    }
}
