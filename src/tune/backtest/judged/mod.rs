//! How good are the rules where it is known what came? Each record is judged
//! as the peg it was before the hole was there, with other records as its
//! neighbours, and what the rules found is held against its outcome.
//!
//! ```text
//! records + map ─► pegs ─► judged (facts ─► findings, limits swept) ─► tally ─► result
//!           plan (who may be whose neighbour) ─┘
//! ```
//!
//! Of most records little was written down before drilling, so that most
//! rules only ask. So there are two readings: all rules as they stand, and
//! only those that decided.

mod difference;
mod one;
mod pegs;
mod result;
mod tally;

use std::sync::Arc;

use rayon::prelude::*;

pub use pegs::{Pegs, read_pegs};
pub use result::{
    AnswerRow, ChanceTest, Confusion, Difference, JudgedFrom, LimitStep, LimitSweep, RuleSkill, RulesTest,
    Share, Without,
};

use self::difference::Member;
use self::one::{Bench, Judged};
use self::tally::Tally;
use super::chance;
use super::evaluate::{split, warn_of_places};
use super::leave_out::{LeaveOut, Plan};
use super::scored::{Few, Ranked, scored};
use super::scores::Case;
use crate::region::Region;
use crate::rules::RuleSet;
use crate::stats::{Foretold, LOG_SCORE_CLIP};
use crate::survey::Stage;
use crate::tune::records::{Map, Records};

/// Records that one core judges before it takes more.
const CHUNK: usize = 64;

/// What is judged, and by what.
pub struct Trial<'a> {
    /// The records.
    pub records: &'a Records,
    /// The same as pegs and wells.
    pub pegs: &'a Pegs,
    /// What their columns mean.
    pub map: &'a Map,
    /// The rules.
    pub rules: &'a RuleSet,
    /// The region.
    pub region: &'a Region,
    /// The stage.
    pub stage: Stage,
    /// What went in.
    pub provenance: &'a JudgedFrom,
}

/// Judges each record with others as its neighbours, in each of the ways of
/// `leave`; the first is the result, the others stand beside it.
///
/// # Errors
/// In words, when a figure of the region is missing or the records are too
/// few.
pub fn judge_records(trial: &Trial<'_>, leave: &[LeaveOut]) -> Result<RulesTest, String> {
    let mut all = leave.iter().map(|l| trial.one(*l)).collect::<Result<Vec<_>, _>>()?.into_iter();
    let mut first = all.next().ok_or("no way of leaving out is stated")?;
    first.beside = all.collect();
    Ok(first)
}

impl Trial<'_> {
    fn figure(&self, name: &str) -> Result<f64, String> {
        let figure = self.region.priors.get(name).ok_or_else(|| format!("the region sets no {name}"))?;
        Ok(figure.value)
    }

    /// The region with fewer virtual bores, where it draws more.
    fn drawn_less(&self) -> Result<(Arc<Region>, f64), String> {
        const MOST: &str = "backtest_virtual_bores";
        let none = || format!("the region sets no virtual_bores or no {MOST}");
        let region = self.region.with_bores_at_most(MOST).ok_or_else(none)?;
        let drawn = region.priors.get("virtual_bores").map(|p| p.value).ok_or_else(none)?;
        Ok((Arc::new(region), drawn))
    }

    fn one(&self, leave: LeaveOut) -> Result<RulesTest, String> {
        let plan = Plan::of(&self.records.all, leave, self.map.neighbours_from_m);
        let (tested, skipped) = split(&plan, self.records, "judged")?;
        let few = Few::of(self.region)?;
        let neighbours_most = self.figure("forecast_wells_most")?.max(0.0) as usize;
        let (region, virtual_bores) = self.drawn_less()?;
        let chunks: Vec<Vec<Judged>> = tested
            .par_chunks(CHUNK)
            .map(|chunk| {
                let mut bench = Bench::new(self.rules, &region, self.stage, neighbours_most);
                chunk.iter().filter_map(|i| bench.judge(&plan, self.pegs, *i)).collect()
            })
            .collect();
        let judged: Vec<Judged> = chunks.into_iter().flatten().collect();
        let squares = plan.squares();
        let came: Vec<Member> =
            tested.iter().filter_map(|i| Some((*squares.get(*i)?, *self.pegs.success.get(*i)?))).collect();
        if judged.len() != tested.len() || came.len() != tested.len() {
            return Err("a record was lost while it was judged".to_owned());
        }
        let tally = Tally { judged: &judged, came: &came, least: few.group };
        let chance = self.chance(&plan, &tested, &judged, virtual_bores, few);
        Ok(RulesTest {
            forebore: env!("CARGO_PKG_VERSION"),
            stage: self.stage.name(),
            leave_out: leave.name(),
            neighbours_from_m: self.map.neighbours_from_m,
            neighbours_most,
            region: self.region.id.clone(),
            observed: self.pegs.keys.clone(),
            rules_asked: judged.first().map_or(0, |j| j.found.len()),
            records: tally.all(),
            skipped,
            few: few.group as f64,
            verdicts: tally.verdicts(),
            said: tally.said(),
            rules: tally.rules(self.rules),
            limits: tally.limits(self.rules, self.region),
            notes: self.notes(&plan, &tally, few),
            chance,
            beside: Vec::new(),
            provenance: self.provenance.clone(),
        })
    }

    fn chance(
        &self,
        plan: &Plan,
        tested: &[usize],
        judged: &[Judged],
        virtual_bores: f64,
        few: Few,
    ) -> Option<ChanceTest> {
        let told: Vec<(usize, f64)> =
            tested.iter().zip(judged).filter_map(|(i, j)| Some((*i, j.chance?))).collect();
        if told.is_empty() {
            return None;
        }
        let yes = |i: usize| f64::from(u8::from(self.pegs.success.get(i) == Some(&true)));
        let case = |of: usize, chance: f64| Case {
            told: Foretold { chance, yes: yes(of) },
            of,
            level: 0,
            weight: 1.0,
        };
        let cases: Vec<Case> = told.iter().map(|(i, chance)| case(*i, *chance)).collect();
        let of: Vec<usize> = told.iter().map(|(i, _)| *i).collect();
        let spots: Vec<([f64; 2], f64)> =
            self.records.all.iter().enumerate().map(|(i, r)| (r.at, yes(i))).collect();
        let plain: Vec<(&'static str, Vec<Case>)> = chance::baselines(plan, &of, &spots)
            .into_iter()
            .map(|(name, chances)| (name, chances.iter().zip(&of).map(|(c, i)| case(*i, *c)).collect()))
            .collect();
        let scored = scored(plan, &cases, Ranked::AsTold, &plain, few);
        Some(ChanceTest {
            n: cases.len(),
            untold: tested.len() - cases.len(),
            virtual_bores,
            scores: scored.scores,
            base_rate: scored.base_rate,
            baselines: scored.baselines,
            skill: scored.skill,
            typical: scored.typical,
            reliability: scored.reliability,
            log_score_clip: LOG_SCORE_CLIP,
        })
    }

    fn notes(&self, plan: &Plan, tally: &Tally<'_>, few: Few) -> Vec<String> {
        let all = tally.all();
        let failures = all.n - all.successes;
        let mut notes = Vec::new();
        if all.n < few.records {
            notes.push(format!("Only {} records were judged: so few say little of any rule.", all.n));
        }
        let least = failures.min(all.successes);
        if least < few.group {
            let which = if failures < all.successes { "failed" } else { "succeeded" };
            notes.push(format!(
                "Only {least} of {} records {which}: whatever is compared rests on these.",
                all.n
            ));
        }
        notes.extend(warn_of_places(plan, self.records, "becomes its neighbour"));
        if self.map.neighbours_from_m > 0.0 {
            notes.push(format!(
                "Records nearer than {:.0} m were hidden: rules that count the wells near a peg judged as if \
                 there were none.",
                self.map.neighbours_from_m
            ));
        }
        for (key, (n, row, why)) in &self.pegs.unread {
            notes.push(format!(
                "{n} cells of {key} could not be read and count as not observed; the first: {why} (row {row})."
            ));
        }
        notes
    }
}
