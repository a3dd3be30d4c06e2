//! Runs a back-test: forecasts, baselines and their scores.

use std::collections::BTreeMap;

use super::chance::{self, Chances};
use super::depth::{self, Depths};
use super::forecast::forecast_each;
use super::leave_out::{LeaveOut, Plan};
use super::map::Quality;
use super::records::{Outcome, Record, Records};
use super::refusal::{self, Bore, Curves};
use super::result::{BackTest, Bin, Gain, Provenance, Scores, Skipped};
use super::scores::{gain, mean, quantile};
use super::{Forecast, Map};
use crate::ground::ChanceBand;
use crate::ground::occurrence::{Observation, OccurrencePrior};
use crate::ground::water_table::{Reading, WaterTablePrior};
use crate::region::Region;
use crate::stats::{Foretold, LOG_SCORE_CLIP, auc_of_ranks, brier, brier_of, log_score};

/// With fewer records, or fewer of one kind, scores say little.
const FEW: usize = 30;
/// A gain of less than this share of the score does not matter, however sure:
/// drawing the base rate of the others an inch towards any middle gains that.
const MATTERS: f64 = 0.01;
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

/// What is the same whatever is forecast, before scores are known.
struct Told {
    scores: Scores,
    baselines: BTreeMap<&'static str, Scores>,
    skill: BTreeMap<&'static str, Gain>,
    base_rate: Option<f64>,
    band95_coverage: Option<f64>,
    typical: Option<f64>,
    typical_m: Option<f64>,
    reliability: Vec<Bin>,
    depths_m: Vec<f64>,
    notes: Vec<String>,
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
            skill
                .extend(self.gain("mae_m", mean(others.iter().copied()), &better, tested).map(|g| (name, g)));
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
        let one_each = |chances: &[f64]| -> Vec<Vec<Foretold>> {
            chances.iter().zip(&yes).map(|(c, y)| vec![Foretold { chance: *c, yes: *y }]).collect()
        };
        let plain: Vec<(&'static str, Vec<Vec<Foretold>>)> = chance::baselines(&self.plan, tested, &spots)
            .into_iter()
            .map(|(name, chances)| (name, one_each(&chances)))
            .collect();
        Ok(self.scored(&one_each(&mine), Some(&bases), &plain, tested))
    }

    fn refusals(&self, tested: &[usize]) -> Result<Told, String> {
        let bore = |r: &Record| match r.outcome {
            Outcome::Bore(depth_m, end) => Some(Bore { at: r.at, depth_m, end }),
            _ => None,
        };
        let bores: Vec<Bore> =
            self.records.all.iter().map(bore).collect::<Option<_>>().ok_or("a record has no depth")?;
        let depths_m = refusal::depths_m(&bores);
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
        let paired = |told: &[Vec<f64>]| -> Vec<Vec<Foretold>> {
            let tested = tested.iter().filter_map(|i| bores.get(*i));
            told.iter().zip(tested).map(|(c, bore)| refusal::pairs(c, bore, &depths_m)).collect()
        };
        let plain: Vec<(&'static str, Vec<Vec<Foretold>>)> =
            refusal::baselines(&self.plan, tested, &bores, &depths_m)?
                .into_iter()
                .map(|(name, told)| (name, paired(&told)))
                .collect();
        let mut told = self.scored(&paired(&mine), None, &plain, tested);
        told.depths_m = depths_m;
        Ok(told)
    }

    /// The scores of chances, one or several a record; `bases` are the
    /// forecast's own base rates, where it has them.
    fn scored(
        &self,
        mine: &[Vec<Foretold>],
        bases: Option<&[f64]>,
        plain: &[(&'static str, Vec<Vec<Foretold>>)],
        tested: &[usize],
    ) -> Told {
        let cases: Vec<Foretold> = mine.iter().flatten().copied().collect();
        let of_case: Vec<usize> =
            mine.iter().zip(tested).flat_map(|(m, i)| std::iter::repeat_n(*i, m.len())).collect();
        let flat: Vec<(&'static str, Vec<Foretold>)> =
            plain.iter().map(|(name, told)| (*name, told.iter().flatten().copied().collect())).collect();
        let (mut scores, mut skill) = (BTreeMap::new(), BTreeMap::new());
        for (name, told) in &flat {
            let own: Vec<f64> = told.iter().map(|t| t.chance).collect();
            scores.insert(*name, self.chance_scores(told, (*name == "base-rate").then_some(&own)));
            let better: Vec<f64> = told.iter().zip(&cases).map(|(o, m)| brier_of(o) - brier_of(m)).collect();
            skill.extend(self.gain("brier", brier(told), &better, &of_case).map(|g| (*name, g)));
        }
        let mut chances: Vec<f64> = cases.iter().map(|c| c.chance).collect();
        let yes = cases.iter().filter(|c| c.yes > 0.5).count();
        let mut notes = Vec::new();
        let least = yes.min(cases.len() - yes);
        if least < FEW / 3 {
            notes.push(format!(
                "Only {least} of {} came out one of the two ways: scores say little.",
                cases.len()
            ));
        }
        Told {
            scores: self.chance_scores(&cases, bases),
            baselines: scores,
            skill,
            base_rate: mean(cases.iter().map(|c| c.yes)),
            band95_coverage: None,
            typical: quantile(&mut chances, 0.5),
            typical_m: None,
            reliability: bins(&cases),
            depths_m: Vec::new(),
            notes,
        }
    }

    /// Brier, log score and the area under the curve. A base rate of the
    /// *other* records is lower for every yes, whatever is known: where single
    /// records or blocks are left out the area is that of how far the odds are
    /// above those of the forecast's own base rate.
    fn chance_scores(&self, told: &[Foretold], bases: Option<&[f64]>) -> Scores {
        let ln_odds = |p: f64| (p / (1.0 - p)).clamp(1e-12, 1e12).ln();
        let lift = |(t, base): (&Foretold, &f64)| {
            // To a ten-millionth: what is left of rounding is no order.
            let lift = ln_odds(t.chance) - ln_odds(*base);
            ((lift * 1e7).round(), t.yes)
        };
        let pairs: Vec<(f64, f64)> = match bases.filter(|_| self.plan.leave() != LeaveOut::Forward) {
            Some(bases) => told.iter().zip(bases).map(lift).collect(),
            None => told.iter().map(|t| (t.chance, t.yes)).collect(),
        };
        Scores {
            brier: brier(told),
            auc: auc_of_ranks(&pairs),
            log_score: log_score(told),
            ..Scores::default()
        }
    }

    /// The gain on a plain forecast that scored `theirs`.
    fn gain(&self, score: &'static str, theirs: Option<f64>, better: &[f64], of: &[usize]) -> Option<Gain> {
        let squares = self.plan.squares();
        let found = gain(better, of.iter().map(|i| squares.get(*i)))?;
        let matters = found.gain.abs() >= MATTERS * theirs?;
        let verdict = match found.gain / found.standard_error {
            sure if matters && sure >= 2.0 => "better",
            sure if matters && sure <= -2.0 => "worse",
            _ => "not told apart",
        };
        let super::scores::Gain { gain, standard_error, groups } = found;
        Some(Gain { score, gain, standard_error, squares: groups, verdict })
    }
}

/// Forecasts in tenths, each with what came of them.
fn bins(cases: &[Foretold]) -> Vec<Bin> {
    let tenth = |c: &Foretold| ((c.chance * 10.0).floor() as usize).min(9);
    (0..10)
        .filter_map(|k| {
            let here: Vec<&Foretold> = cases.iter().filter(|c| tenth(c) == k).collect();
            let share = mean(here.iter().map(|c| c.yes))?;
            let band = ChanceBand::wilson95(share, here.len() as f64);
            Some(Bin {
                from: k as f64 / 10.0,
                to: (k + 1) as f64 / 10.0,
                n: here.len(),
                mean_chance: mean(here.iter().map(|c| c.chance))?,
                share,
                band95: [band.low, band.high],
            })
        })
        .collect()
}
