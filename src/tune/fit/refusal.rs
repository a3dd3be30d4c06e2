//! How common is each of the setting's expected logs, by the depths at which
//! bores were refused?
//!
//! Records tell a depth and whether the ground refused; a region holds that
//! only as logs. So the setting's own logs are weighed anew: the share of
//! bores refused nearest to the depth at which a log refuses every hand
//! method is that log's; bores that get past all of them are those of the logs
//! that refuse nowhere. Shares by the product-limit estimate
//! ([`crate::ground::Survival`]), so that bores that ended first count as far
//! as they went. Below the deepest bore nothing is known: what is left there
//! is parted as the setting parts it.
//!
//! Intervals: squares drawn anew with replacement (Efron 1979, Ann. Stat. 7:1;
//! from memory), which allows for wells of one square.

use std::collections::BTreeMap;

use super::Fitting;
use super::result::{Interval, LogShare, Topic, end_word};
use super::wells::{Square, Values, independent, square_of, squares};
use crate::ground::{BoreEnd, BoreSeen, MaterialClass, Survival, refuses_all};
use crate::region::{ExpectedLog, LogEnd};
use crate::stats::Random;
use crate::tune::records::{Outcome, Records};

const WHAT: &str = "the shares of the expected logs";

impl Fitting<'_> {
    pub(super) fn refusal(&self, records: &Records) -> Topic {
        let mut topic = self.topic("Depths at which the ground refuses", records);
        let bore = |r: &crate::tune::records::Record| match r.outcome {
            Outcome::Bore(depth_m, end) => {
                Some((BoreSeen { depth_m, end, weight: 1.0 }, square_of(r.at, self.square_m)))
            }
            _ => None,
        };
        let bores: Vec<(BoreSeen, Square)> = records.all.iter().filter_map(bore).collect();
        let refused = |b: &BoreSeen| b.end == BoreEnd::Refused;
        topic.not(
            "refusal_chance_slow_share, refusal_chance_cased_share",
            "the records do not say in what ground a bore was refused.",
        );
        if bores.is_empty() {
            topic.not(WHAT, "no row tells it.");
            return topic;
        }
        let independent = independent(bores.iter().map(|(b, square)| (refused(b), *square)));
        if independent < self.least {
            topic.not(WHAT, self.too_few(bores.len(), independent, self.least, "fit_least_wells"));
            return topic;
        }
        let slots = Slots::of(self);
        if slots.logs.len() < 2 {
            topic.not(WHAT, "the setting expects one log only: there is nothing to weigh.");
            return topic;
        }
        let all: Vec<BoreSeen> = bores.iter().map(|b| b.0).collect();
        let Some(shares) = slots.shares(&all) else {
            topic.not(WHAT, "a depth cannot be used.");
            return topic;
        };
        let drawn = self.drawn(&slots, &bores);
        let least = 0.5 / independent;
        for (k, (log, refuses_m)) in slots.logs.iter().enumerate() {
            let of = |list: &[f64]| list.get(k).copied().unwrap_or(0.0);
            let values = Values::of(drawn.iter().map(|s| (of(s), Square::default())));
            let hundredths = |x: f64| (x * 100.0).round() / 100.0;
            let share = hundredths(of(&shares).max(least)).max(0.01);
            let end = |p| values.quantile(p).map(hundredths);
            let interval = Interval {
                low: end(0.025).unwrap_or(0.0).min(share),
                high: Some(end(0.975).unwrap_or(1.0).max(share)),
            };
            let now = slots.now.get(k).copied().unwrap_or(0.0);
            topic.logs.push(LogShare {
                name: log.name.clone(),
                refuses_m: *refuses_m,
                share,
                interval,
                now: hundredths(now),
                differs: interval.excludes(now),
                layers: log.layers.clone(),
                ends: end_word(log.end),
                source: log.source.clone(),
                basis: log.basis.name(),
            });
        }
        topic.notes.extend(self.curve(&all));
        topic.notes.push(format!(
            "Refused {} of {} bores. A machine goes on where a hand tool is refused: shares of bores drilled by \
             machine make the ground too easy.",
            all.iter().filter(|b| refused(b)).count(),
            all.len()
        ));
        topic
    }

    /// The curve itself, which no prior holds.
    fn curve(&self, bores: &[BoreSeen]) -> Option<String> {
        let curve = Survival::fit(bores, &[], 0.0).ok()?;
        let deepest = bores.iter().map(|b| b.depth_m).fold(0.0, f64::max);
        let depths = (1..).map(|k| 5.0 * f64::from(k)).take_while(|d| *d < deepest).take(12);
        let told: Vec<String> = depths
            .filter_map(|d| Some((d, curve.past(d)?)))
            .map(|(d, p)| {
                let percent = |x: f64| (100.0 * x).round();
                format!(
                    "{d} m {} % ({} to {})",
                    percent(p.chance),
                    percent(p.band95.low),
                    percent(p.band95.high)
                )
            })
            .collect();
        (!told.is_empty()).then(|| {
            format!(
                "Bores that get past a depth, and 95 % band as if all were independent (Kaplan-Meier): {}.",
                told.join(", ")
            )
        })
    }

    /// Shares of squares drawn anew.
    fn drawn(&self, slots: &Slots<'_>, bores: &[(BoreSeen, Square)]) -> Vec<Vec<f64>> {
        let (_, cut) = squares(bores.iter().map(|b| b.1));
        let mut by_square: BTreeMap<Option<[i64; 2]>, Vec<BoreSeen>> = BTreeMap::new();
        for (bore, square) in bores {
            by_square.entry(square.get(cut).copied()).or_default().push(*bore);
        }
        let squares: Vec<Vec<BoreSeen>> = by_square.into_values().collect();
        let draw = |k: u64| {
            let mut random = Random::of_draw(self.seed, k);
            let pick = |_| squares.get((random.uniform() * squares.len() as f64) as usize);
            let again: Vec<BoreSeen> =
                (0..squares.len()).filter_map(pick).flat_map(|s| s.iter().copied()).collect();
            slots.shares(&again)
        };
        (0..self.draws).filter_map(draw).collect()
    }
}

/// The setting's logs, and the depths between which a refusal is each one's.
struct Slots<'a> {
    /// Each with the depth at which it refuses, the shallowest first and those
    /// that refuse nowhere last.
    logs: Vec<(&'a ExpectedLog, Option<f64>)>,
    /// Their shares in force, of 1.
    now: Vec<f64>,
    /// For each the slot it falls into.
    slot: Vec<usize>,
    /// Where each slot ends; the last has no end.
    ends_m: Vec<f64>,
}

impl<'a> Slots<'a> {
    fn of(fitting: &Fitting<'a>) -> Self {
        let region = fitting.region;
        let refuses = |log: &ExpectedLog| {
            let tops = std::iter::once(0.0).chain(log.layers.iter().map(|l| l.0));
            let hard = |id: &str| {
                MaterialClass::from_id(id).and_then(|class| refuses_all(region, class)) == Some(true)
            };
            let first = log.layers.iter().zip(tops).find(|((_, id), _)| hard(id)).map(|(_, top)| top);
            let end = log.layers.last().map(|l| l.0).filter(|_| log.end == LogEnd::Refused);
            first.or(end)
        };
        let mut logs: Vec<(&ExpectedLog, Option<f64>)> =
            region.expected_logs.iter().map(|log| (log, refuses(log))).collect();
        let depth = |d: &Option<f64>| d.unwrap_or(f64::INFINITY);
        logs.sort_by(|a, b| depth(&a.1).total_cmp(&depth(&b.1)).then(a.0.name.cmp(&b.0.name)));
        let total: f64 = logs.iter().map(|(log, _)| log.share).sum();
        let now = logs.iter().map(|(log, _)| log.share / total).collect();
        let mut depths: Vec<f64> = logs.iter().filter_map(|l| l.1).collect();
        depths.dedup();
        let mut ends_m: Vec<f64> = depths.windows(2).map(|w| 0.5 * w.iter().sum::<f64>()).collect();
        let soft_to =
            logs.iter().filter(|l| l.1.is_none()).filter_map(|(log, _)| log.layers.last()).map(|l| l.0);
        if let (Some(deepest), Some(soft)) = (depths.last(), soft_to.reduce(f64::max)) {
            // Past the deepest refusal, or half the way from there to the end
            // of the log that refuses nowhere.
            ends_m.push(deepest.max(f64::midpoint(*deepest, soft)));
        }
        let slot_of =
            |d: &Option<f64>| d.map_or(ends_m.len(), |d| ends_m.iter().filter(|end| **end < d).count());
        let slot = logs.iter().map(|l| slot_of(&l.1)).collect();
        Self { logs, now, slot, ends_m }
    }

    /// The share of each log, of 1.
    fn shares(&self, bores: &[BoreSeen]) -> Option<Vec<f64>> {
        let curve = Survival::fit(bores, &[], 0.0).ok()?;
        let deepest = bores.iter().map(|b| b.depth_m).fold(0.0, f64::max);
        let known = self.ends_m.iter().take_while(|end| **end <= deepest).count();
        let mut past = 1.0;
        let mut of_slot = Vec::new();
        for end in self.ends_m.iter().take(known) {
            let here = curve.past(*end)?.chance;
            of_slot.push(past - here);
            past = here;
        }
        let weight = |wanted: &dyn Fn(usize) -> bool| -> f64 {
            self.now.iter().zip(&self.slot).filter(|(_, s)| wanted(**s)).map(|(now, _)| now).sum()
        };
        let beyond = weight(&|s| s >= known);
        let of = |(now, slot): (&f64, &usize)| match of_slot.get(*slot) {
            Some(mass) => mass * now / weight(&|s| s == *slot),
            None if beyond > 0.0 => past * now / beyond,
            None => 0.0,
        };
        Some(self.now.iter().zip(&self.slot).map(of).collect())
    }
}
