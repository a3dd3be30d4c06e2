//! Runs a back-test: forecasts, baselines and their scores.

use std::collections::BTreeMap;

use super::chance::{self, Chances};
use super::depth::{self, Depths};
use super::forecast::forecast_each;
use super::leave_out::{LeaveOut, Plan};
use super::refusal::{self, Bore, Curves};
use super::result::{BackTest, Provenance};
use super::scored::{Told, gained, scored};
use super::scores::{Case, mean, quantile};
use crate::ground::occurrence::{Observation, OccurrencePrior};
use crate::ground::water_table::{Reading, WaterTablePrior};
use crate::region::Region;
use crate::stats::{Foretold, LOG_SCORE_CLIP};
use crate::tune::records::map::Quality;
use crate::tune::records::{Forecast, Map, Outcome, Record, Records, Skipped};

/// With fewer records scores say little.
const FEW: usize = 30;
/// A reach beyond which distances between records are off by more than 1 %.
const WIDE_M: f64 = 1_500_000.0;

/// Forecasts each record from others, in each of the ways of `leave`; the
/// first is the result, the others stand beside it.
///
/// # Errors
/// In words, when a figure of the region is missing or the records are too
/// few.
pub fn run(
    records: &Records,
    map: &Map,
    forecast: &Forecast,
    leave: &[LeaveOut],
    region: &Region,
    provenance: &Provenance,
) -> Result<BackTest, String> {
    let one = |leave: &LeaveOut| {
        Run { records, map, forecast, region, plan: Plan::of(&records.all, *leave, map.neighbours_from_m) }
            .whole(provenance)
    };
    let mut all = leave.iter().map(one).collect::<Result<Vec<_>, _>>()?.into_iter();
    let mut first = all.next().ok_or("no way of leaving out is stated")?;
    first.beside = all.collect();
    Ok(first)
}

struct Run<'a> {
    records: &'a Records,
    map: &'a Map,
    forecast: &'a Forecast,
    region: &'a Region,
    plan: Plan,
}

impl Run<'_> {
    fn whole(&self, provenance: &Provenance) -> Result<BackTest, String> {
        let mut skipped = self.records.skipped.clone();
        let mut tested = Vec::new();
        let of_plan = self.plan.tested();
        for (i, record) in self.records.all.iter().enumerate() {
            if of_plan.binary_search(&i).is_err() {
                let why = "among the first by date: they only serve to forecast later ones".to_owned();
                skipped.push(Skipped { row: record.row, why });
            } else if self.plan.nearest(i, 1).is_empty() {
                let why = "no other record it could be forecast from".to_owned();
                skipped.push(Skipped { row: record.row, why });
            } else {
                tested.push(i);
            }
        }
        skipped.sort_by_key(|s| s.row);
        if tested.is_empty() {
            return Err(match skipped.is_empty() {
                true => "the table holds no record".to_owned(),
                false => format!(
                    "no record can be forecast from others; {} rows were skipped, the first (row {}): {}",
                    skipped.len(),
                    skipped.first().map_or(0, |s| s.row),
                    skipped.first().map_or("", |s| s.why.as_str())
                ),
            });
        }
        let mut told = match self.forecast {
            Forecast::DepthToWater => self.depths(&tested)?,
            Forecast::Refusal => self.refusals(&tested)?,
            Forecast::Success | Forecast::Quality(_) => self.chances(&tested)?,
        };
        let mut notes = self.notes(&tested);
        notes.append(&mut told.notes);
        Ok(BackTest {
            forebore: env!("CARGO_PKG_VERSION"),
            forecast: self.forecast.name(),
            asked: self.asked(),
            leave_out: self.plan.leave().name(),
            neighbours_from_m: self.map.neighbours_from_m,
            region: self.region.id.clone(),
            n: tested.len(),
            skipped,
            scores: told.scores,
            base_rate: told.base_rate,
            baselines: told.baselines,
            band95_coverage: told.band95_coverage,
            typical: told.typical,
            typical_m: told.typical_m,
            skill: told.skill,
            reliability: told.reliability,
            log_score_clip: LOG_SCORE_CLIP,
            depths_m: told.depths_m,
            share_spot: self.plan.sharing_a_spot(),
            notes,
            beside: Vec::new(),
            provenance: provenance.clone(),
        })
    }

    fn asked(&self) -> String {
        match self.forecast {
            Forecast::DepthToWater => "how deep does the water stand below ground?".to_owned(),
            Forecast::Refusal => "does a bore get past each depth before the ground refuses it?".to_owned(),
            Forecast::Success => "does the hole give a usable well, by the words of the map?".to_owned(),
            Forecast::Quality(name) => match self.map.quality.get(name) {
                Some(Quality::Above { shown, .. }) => format!("is {name} above {shown}?"),
                _ => format!("is {name} bad, by the words of the map?"),
            },
        }
    }

    fn notes(&self, tested: &[usize]) -> Vec<String> {
        let mut notes = Vec::new();
        if tested.len() < FEW {
            notes.push(format!("Only {} records were forecast: scores of so few say little.", tested.len()));
        }
        let share = self.plan.sharing_a_spot();
        if share > 0 && self.plan.leave() == LeaveOut::One && self.map.neighbours_from_m < 1.0 {
            notes.push(format!(
                "{share} records share their spot (25 m) with another, which then forecasts them: set \
                 neighbours_from_m in the map, or leave out blocks, to see what is known of a new place."
            ));
        }
        if self.records.reach_m > WIDE_M {
            notes.push(
                "The records lie so far apart that distances between them are off by 1 % and more."
                    .to_owned(),
            );
        }
        notes
    }

    fn figure(&self, name: &str) -> Result<f64, String> {
        let figure = self.region.priors.get(name).ok_or_else(|| format!("the region sets no {name}"))?;
        Ok(figure.value)
    }

    fn depths(&self, tested: &[usize]) -> Result<Told, String> {
        let [low, mid, high, range, error] = [
            "level_prior_low_m",
            "level_prior_mid_m",
            "level_prior_high_m",
            "level_range_m",
            "level_reading_error_m",
        ]
        .map(|name| self.figure(name));
        let prior = WaterTablePrior::of_band(low?, mid?, high?, range?).map_err(|e| e.to_string())?;
        let error_sd_m = self.map.error_m.unwrap_or(error?);
        let reading = |r: &Record| match r.outcome {
            Outcome::Depth(depth_m) => {
                let [east_m, north_m] = r.at;
                Some(Reading { east_m, north_m, depth_m, error_sd_m, elevation_m: r.elevation_m })
            }
            _ => None,
        };
        let readings: Vec<Reading> =
            self.records.all.iter().map(reading).collect::<Option<_>>().ok_or("a record has no depth")?;
        let spots: Vec<([f64; 2], f64)> =
            readings.iter().map(|r| ([r.east_m, r.north_m], r.depth_m)).collect();
        let with = Depths { prior, readings };
        let told = forecast_each(&self.plan, tested, spots.len(), &with)?;
        let seen: Vec<f64> = tested.iter().filter_map(|i| spots.get(*i)).map(|s| s.1).collect();
        let mine = depth::errors(&told, &seen);
        let mut medians: Vec<f64> = told.iter().map(|t| t.median_m).collect();
        let (mut scores, mut skill) = (BTreeMap::new(), BTreeMap::new());
        for (name, plain) in depth::baselines(&self.plan, tested, &spots) {
            scores.insert(name, depth::scores(&plain, &seen));
            let others = depth::errors(&plain, &seen);
            let better: Vec<f64> = others.iter().zip(&mine).map(|(o, m)| o - m).collect();
            skill.extend(
                gained(&self.plan, "mae_m", mean(others.iter().copied()), &better, tested).map(|g| (name, g)),
            );
        }
        Ok(Told {
            scores: depth::scores(&told, &seen),
            baselines: scores,
            skill,
            base_rate: None,
            band95_coverage: depth::band95_coverage(&told, &seen),
            typical: None,
            typical_m: quantile(&mut medians, 0.5),
            reliability: Vec::new(),
            depths_m: Vec::new(),
            notes: Vec::new(),
        })
    }

    fn chances(&self, tested: &[usize]) -> Result<Told, String> {
        let (chance, worth_wells) = match self.forecast {
            Forecast::Quality(name) => {
                let own = self.figure(&format!("quality_prior_share_{name}"));
                (
                    own.or_else(|_| self.figure("quality_prior_share_other"))?,
                    self.figure("quality_prior_worth")?,
                )
            }
            _ => (self.figure("success_prior_share")?, self.figure("success_prior_worth")?),
        };
        let length_m = self.figure("neighbour_weight_length_m")?;
        let observation = |r: &Record| match r.outcome {
            Outcome::Is(yes) => {
                let [east_m, north_m] = r.at;
                Some(Observation { east_m, north_m, depth_m: None, yes: f64::from(u8::from(yes)) })
            }
            _ => None,
        };
        let seen: Vec<Observation> = self
            .records
            .all
            .iter()
            .map(observation)
            .collect::<Option<_>>()
            .ok_or("a record has no outcome")?;
        let spots: Vec<([f64; 2], f64)> = seen.iter().map(|o| ([o.east_m, o.north_m], o.yes)).collect();
        let with = Chances { prior: OccurrencePrior { chance, worth_wells, length_m }, seen };
        let told = forecast_each(&self.plan, tested, spots.len(), &with)?;
        let mine: Vec<f64> = told.iter().map(|t| t.chance).collect();
        let bases: Vec<f64> = told.iter().map(|t| t.base).collect();
        let yes: Vec<f64> = tested.iter().filter_map(|i| spots.get(*i)).map(|s| s.1).collect();
        let one_each = |chances: &[f64]| -> Vec<Case> {
            let told = chances.iter().zip(&yes).map(|(c, y)| Foretold { chance: *c, yes: *y });
            told.zip(tested).map(|(told, of)| Case { told, of: *of, level: 0, weight: 1.0 }).collect()
        };
        let plain: Vec<(&'static str, Vec<Case>)> = chance::baselines(&self.plan, tested, &spots)
            .into_iter()
            .map(|(name, chances)| (name, one_each(&chances)))
            .collect();
        Ok(scored(&self.plan, &one_each(&mine), Some(&bases), &plain))
    }

    fn refusals(&self, tested: &[usize]) -> Result<Told, String> {
        let bore = |r: &Record| match r.outcome {
            Outcome::Bore(depth_m, end) => Some(Bore { at: r.at, depth_m, end }),
            _ => None,
        };
        let bores: Vec<Bore> =
            self.records.all.iter().map(bore).collect::<Option<_>>().ok_or("a record has no depth")?;
        let free = refusal::free_until(&bores)?;
        let depths_m = refusal::depths_m(&bores, &free);
        if depths_m.is_empty() {
            return Err("no depth is known of ten bores: too few to tell a refusal from".to_owned());
        }
        let with = Curves {
            bores: &bores,
            depths_m: &depths_m,
            length_m: self.figure("neighbour_weight_length_m")?,
            prior_worth: self.figure("refusal_prior_worth")?,
            plan: &self.plan,
        };
        let mine = forecast_each(&self.plan, tested, bores.len(), &with)?;
        let paired = |told: &[Vec<f64>]| -> Vec<Case> {
            let of = tested.iter().filter_map(|i| Some((*i, bores.get(*i)?)));
            let pairs =
                |(c, (i, bore)): (&Vec<f64>, (usize, &Bore))| refusal::pairs(c, bore, i, &depths_m, &free);
            told.iter().zip(of).flat_map(pairs).collect()
        };
        let plain: Vec<(&'static str, Vec<Case>)> =
            refusal::baselines(&self.plan, tested, &bores, &depths_m)?
                .into_iter()
                .map(|(name, told)| (name, paired(&told)))
                .collect();
        let mut told = scored(&self.plan, &paired(&mine), None, &plain);
        told.depths_m = depths_m;
        Ok(told)
    }
}
