//! Counts what was found on each record into what it says of rules, limits
//! and answers. Sums only: the order of the records does not matter.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::difference::{Member, difference, share};
use super::one::{Judged, STEPS, answer, said, same};
use super::result::{AnswerRow, Confusion, LimitStep, LimitSweep, RuleSkill, Share, Without};
use crate::region::Region;
use crate::rules::{Outcome, RuleSet};
use crate::verdict::Answer;

/// What was judged, and what came.
pub(super) struct Tally<'a> {
    pub judged: &'a [Judged],
    /// Where each is, and whether it came to a success.
    pub came: &'a [Member],
    /// With fewer in a group a share says little.
    pub least: usize,
}

/// The answers, the worst first.
const ANSWERS: [Answer; 4] = [Answer::NoGo, Answer::FindOut, Answer::GoIf, Answer::Go];

impl Tally<'_> {
    fn records(&self) -> impl Iterator<Item = (&Judged, Member)> {
        self.judged.iter().zip(self.came.iter().copied())
    }

    fn share(&self, came: impl Iterator<Item = bool>) -> Share {
        let (n, successes) = came.fold((0, 0), |(n, yes), came| (n + 1, yes + usize::from(came)));
        share(n, successes, self.least)
    }

    /// What became of all.
    pub fn all(&self) -> Share {
        self.share(self.came.iter().map(|(_, yes)| *yes))
    }

    /// All rules as they stand.
    pub fn verdicts(&self) -> Confusion {
        self.confusion(|j| Some(answer(&j.found)), false)
    }

    /// The rules that decided.
    pub fn said(&self) -> Confusion {
        self.confusion(|j| said(&j.found), true)
    }

    fn confusion(&self, of: impl Fn(&Judged) -> Option<Answer>, perhaps_none: bool) -> Confusion {
        let answers: Vec<(Option<Answer>, Member)> = self.records().map(|(j, came)| (of(j), came)).collect();
        let rows = ANSWERS.into_iter().map(Some).chain(perhaps_none.then_some(None));
        let row = |answer: Option<Answer>| AnswerRow {
            answer,
            records: self.share(answers.iter().filter(|(a, _)| *a == answer).map(|(_, (_, yes))| *yes)),
        };
        let group = |through: bool| -> Vec<Member> {
            let is = |a: &Option<Answer>| a.is_some_and(|a| (a >= Answer::GoIf) == through);
            answers.iter().filter(|(a, _)| is(a)).map(|(_, came)| *came).collect()
        };
        Confusion {
            answers: rows.map(row).collect(),
            let_through: difference(&group(true), &group(false), self.least),
        }
    }

    /// What each rule did, those that decided on most records first.
    pub fn rules(&self, set: &RuleSet) -> Vec<RuleSkill> {
        let mut groups: BTreeMap<usize, BTreeMap<&'static str, Vec<Member>>> = BTreeMap::new();
        let mut without: BTreeMap<usize, [Without; 2]> = BTreeMap::new();
        for (judged, came) in self.records() {
            for f in &judged.found {
                groups.entry(f.rule).or_default().entry(f.outcome.word()).or_default().push(came);
                let [all, decided] = without.entry(f.rule).or_default();
                let others = || judged.found.iter().filter(|o| o.rule != f.rule);
                all.count(answer(&judged.found), Some(answer(others())), came.1);
                if let Some(before) = said(&judged.found).filter(|_| f.decided()) {
                    decided.count(before, said(others()), came.1);
                }
            }
        }
        let mut all: Vec<RuleSkill> = groups
            .into_iter()
            .filter_map(|(number, groups)| {
                let rule = set.rules.get(number)?;
                let of = |outcomes: &[Outcome]| -> Vec<Member> {
                    outcomes.iter().filter_map(|o| groups.get(o.word())).flatten().copied().collect()
                };
                let (clear, worse) = (of(&[Outcome::Clear]), of(&[Outcome::Caution, Outcome::Stop]));
                let [without, said_without] = without.get(&number).copied().unwrap_or_default();
                Some(RuleSkill {
                    rule: rule.id.clone(),
                    title: rule.title().to_owned(),
                    decided: clear.len() + worse.len(),
                    tells: difference(&clear, &worse, self.least),
                    found: groups
                        .iter()
                        .map(|(word, came)| (*word, self.share(came.iter().map(|(_, yes)| *yes))))
                        .collect(),
                    without,
                    said_without,
                })
            })
            .collect();
        all.sort_by_key(|r| std::cmp::Reverse(r.decided));
        all
    }

    /// How much hangs on each limit that a deciding rule read.
    pub fn limits(&self, set: &RuleSet, region: &Region) -> Vec<LimitSweep> {
        let mut names: BTreeMap<Arc<str>, (usize, BTreeSet<usize>)> = BTreeMap::new();
        for read in self.judged.iter().flat_map(|j| &j.limits).filter(|r| !r.deciding.is_empty()) {
            let (n, rules) = names.entry(read.limit.clone()).or_default();
            *n += 1;
            rules.extend(&read.deciding);
        }
        names
            .into_iter()
            .filter_map(|(name, (n, rules))| {
                let figure = region.limits.get(name.as_ref())?;
                let steps = STEPS
                    .iter()
                    .enumerate()
                    .map(|(k, factor)| self.step(&name, k, *factor, figure.value * factor));
                Some(LimitSweep {
                    unit: figure.unit.name(),
                    value: figure.value,
                    rules: rules.into_iter().filter_map(|r| Some(set.rules.get(r)?.id.clone())).collect(),
                    n,
                    steps: steps.collect(),
                    limit: name.to_string(),
                })
            })
            .collect()
    }

    fn step(&self, name: &Arc<str>, k: usize, factor: f64, value: f64) -> LimitStep {
        let (mut findings, mut answers, mut said_otherwise) = (0, 0, 0);
        let mut cleared = Vec::new();
        for (judged, (_, yes)) in self.records() {
            let Some(read) = judged.limits.iter().find(|r| r.limit == *name) else { continue };
            let Some(now) = read.steps.get(k) else { continue };
            findings += now.findings;
            answers += usize::from(now.answer != answer(&judged.found));
            said_otherwise += usize::from(now.said != said(&judged.found));
            if now.cleared {
                cleared.push(yes);
            }
        }
        debug_assert!(!same(factor) || findings == 0);
        let cleared = self.share(cleared.into_iter());
        LimitStep { factor, value, findings, answers, said: said_otherwise, cleared }
    }
}

impl Without {
    /// One record: its answer with the rule and without it. Where no other
    /// rule decided, nothing holds it back.
    fn count(&mut self, with: Answer, without: Option<Answer>, success: bool) {
        let Some(without) = without else { return };
        self.changed += usize::from(without != with);
        if with < Answer::GoIf && without >= Answer::GoIf {
            self.let_through += 1;
            self.let_through_successes += usize::from(success);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::one::Found;
    use super::*;

    fn found(rule: usize, outcome: Outcome, alone: Answer) -> Found {
        Found { rule, outcome, alone }
    }

    fn judged(found: Vec<Found>) -> Judged {
        Judged { found, chance: None, limits: Vec::new() }
    }

    #[test]
    fn answers_are_counted_in_both_readings() {
        let clear = found(0, Outcome::Clear, Answer::Go);
        let ask = found(1, Outcome::FindOut, Answer::FindOut);
        let stop = found(2, Outcome::Stop, Answer::NoGo);
        let all = [judged(vec![clear, ask]), judged(vec![clear, ask, stop]), judged(vec![ask])];
        let came = [((0, 0), true), ((1, 0), false), ((2, 0), true)];
        let tally = Tally { judged: &all, came: &came, least: 10 };
        let counts = |c: &Confusion| -> Vec<(usize, usize)> {
            c.answers.iter().map(|r| (r.records.n, r.records.successes)).collect()
        };
        assert_eq!(counts(&tally.verdicts()), [(1, 0), (2, 2), (0, 0), (0, 0)]);
        assert_eq!(counts(&tally.said()), [(1, 0), (0, 0), (0, 0), (1, 1), (1, 1)]);
        assert!(tally.verdicts().answers[1].records.few);
    }

    #[test]
    fn what_a_rule_alone_holds_back_is_counted_with_what_came_of_it() {
        let stop = found(0, Outcome::Stop, Answer::NoGo);
        let clear = found(1, Outcome::Clear, Answer::Go);
        let caution = found(1, Outcome::Caution, Answer::GoIf);
        let other = found(2, Outcome::Stop, Answer::NoGo);
        let all = [judged(vec![stop, clear]), judged(vec![stop, caution]), judged(vec![stop, clear, other])];
        let came = [((0, 0), true), ((1, 0), false), ((2, 0), true)];
        let mut without = Without::default();
        for (j, (_, yes)) in all.iter().zip(came) {
            let others = j.found.iter().filter(|f| f.rule != 0);
            without.count(answer(&j.found), Some(answer(others)), yes);
        }
        assert_eq!(without, Without { changed: 2, let_through: 2, let_through_successes: 1 });
    }
}
