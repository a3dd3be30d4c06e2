//! Which sites change their answer between two sets of rules, or two
//! regions, and because of which rules?

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

use rayon::prelude::*;

use crate::facts::FactSource;
use crate::region::{Figure, Region};
use crate::rules::{Finding, Judge, Outcome, RuleSet};
use crate::survey::Stage;
use crate::verdict::{Answer, answer_of, decide};

/// One site as each side sees it.
pub struct Site {
    /// Its name.
    pub name: String,
    /// The file it came from.
    pub from: String,
    /// The region of each side, with the facts worked out under it.
    pub sides: [(Arc<Region>, Rc<dyn FactSource>); 2],
}

/// What a rule finds on one side.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// What it finds.
    pub outcome: Outcome,
    /// What this alone would answer.
    pub alone: Answer,
    /// Why.
    pub why: String,
}

/// A rule that finds something else on one side than on the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Because {
    /// The rule.
    pub rule: String,
    /// What it finds on each side; `None` where it is not asked there.
    pub sides: [Option<Side>; 2],
    /// Whether the worse answer hangs on it: alone it gives that answer on
    /// the worse side, and a better one on the other.
    pub decides: bool,
}

/// A site whose answer, or some finding, changes.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteChange {
    /// The site.
    pub name: String,
    /// Its file.
    pub from: String,
    /// The answer on each side.
    pub answers: [Answer; 2],
    /// The rules that differ, those that decide first.
    pub because: Vec<Because>,
}

/// How much one rule does.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct RuleEffect {
    /// Sites whose answer changes because of it.
    pub decides: usize,
    /// Sites on which it finds something else.
    pub differs: usize,
}

/// Everything that changes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Comparison {
    /// Sites compared.
    pub sites: usize,
    /// Sites that could not be used: file and why.
    pub unused: Vec<(String, String)>,
    /// How many sites go from one answer to another, or keep theirs.
    pub moves: BTreeMap<(Answer, Answer), usize>,
    /// Each rule that differs anywhere.
    pub rules: BTreeMap<String, RuleEffect>,
    /// Sites whose answer changes, in the order given.
    pub changed: Vec<SiteChange>,
    /// Sites that keep their answer though some finding changes.
    pub findings_only: usize,
}

impl Comparison {
    fn add(&mut self, site: Result<SiteChange, (String, String)>) {
        let site = match site {
            Ok(site) => site,
            Err(unused) => return self.unused.push(unused),
        };
        self.sites += 1;
        let [a, b] = site.answers;
        *self.moves.entry((a, b)).or_default() += 1;
        for because in &site.because {
            let effect = self.rules.entry(because.rule.clone()).or_default();
            effect.differs += 1;
            effect.decides += usize::from(because.decides);
        }
        if a != b {
            self.changed.push(site);
        } else {
            self.findings_only += usize::from(!site.because.is_empty());
        }
    }
}

/// Sites that one worker judges before it takes more.
const CHUNK: usize = 128;

/// Judges every site by both sets. `site` makes a site out of an item, or
/// says which file cannot be used and why; it runs on every core.
pub fn compare<T: Sync>(
    sets: [&RuleSet; 2],
    items: &[T],
    stage: Stage,
    site: impl Fn(&T) -> Result<Site, (String, String)> + Sync,
) -> Comparison {
    let parts: Vec<Vec<_>> = items
        .par_chunks(CHUNK)
        .map(|chunk| {
            let mut worker = Worker::new(sets, stage);
            chunk.iter().map(|item| Ok(worker.change(&site(item)?))).collect()
        })
        .collect();
    let mut comparison = Comparison::default();
    parts.into_iter().flatten().for_each(|site| comparison.add(site));
    comparison
}

/// A region's limits as judges take them.
type Limits = Rc<BTreeMap<String, Figure>>;

/// What one core judges with.
struct Worker {
    judges: [Judge; 2],
    stage: Stage,
    /// Rules that are the same on both sides: on the same facts and limits
    /// they find the same.
    same: BTreeSet<String>,
    /// Limits of the regions met so far.
    limits: Vec<(Arc<Region>, Limits)>,
}

impl Worker {
    fn new(sets: [&RuleSet; 2], stage: Stage) -> Self {
        let [a, b] = sets;
        let alike = |id: &str, text: &str| b.find(id).is_some_and(|other| other.text.as_ref() == text);
        let same = a.rules.iter().filter(|r| alike(&r.id, &r.text)).map(|r| r.id.clone()).collect();
        Self { judges: sets.map(Judge::new), stage, same, limits: Vec::new() }
    }

    fn limits(&mut self, region: &Arc<Region>) -> Limits {
        if let Some((_, limits)) = self.limits.iter().find(|(r, _)| Arc::ptr_eq(r, region)) {
            return limits.clone();
        }
        let limits: Limits = Rc::new(region.limits.clone());
        self.limits.push((region.clone(), limits.clone()));
        limits
    }

    fn change(&mut self, site: &Site) -> SiteChange {
        let [(region_a, facts_a), (region_b, facts_b)] = &site.sides;
        let (limits_a, limits_b) = (self.limits(region_a), self.limits(region_b));
        let [judge_a, judge_b] = &self.judges;
        let off = |region: &Region, rule: &str| region.switched_off.contains_key(rule);
        let found_a = judge_a.judge(self.stage, facts_a, &limits_a, |rule| off(region_a, rule));
        let one_ground = Arc::ptr_eq(region_a, region_b) && Rc::ptr_eq(facts_a, facts_b);
        let found_b = if one_ground {
            let again = |rule: &str| self.same.contains(rule);
            let mut found =
                judge_b.judge(self.stage, facts_b, &limits_b, |rule| off(region_b, rule) || again(rule));
            found.extend(found_a.iter().filter(|f| again(&f.rule.id)).cloned());
            found
        } else {
            judge_b.judge(self.stage, facts_b, &limits_b, |rule| off(region_b, rule))
        };
        let answer = |found: &[Finding], region: &Region| {
            decide(self.stage, found, &region.weights, &region.asks).answer
        };
        let answers = [answer(&found_a, region_a), answer(&found_b, region_b)];
        SiteChange {
            name: site.name.clone(),
            from: site.from.clone(),
            because: because(&found_a, &found_b, answers),
            answers,
        }
    }
}

fn because(a: &[Finding], b: &[Finding], [answer_a, answer_b]: [Answer; 2]) -> Vec<Because> {
    let mut rules: BTreeMap<&str, [Option<&Finding>; 2]> = BTreeMap::new();
    for f in a {
        rules.entry(f.rule.id.as_str()).or_default()[0] = Some(f);
    }
    for f in b {
        rules.entry(f.rule.id.as_str()).or_default()[1] = Some(f);
    }
    let worse = answer_a.min(answer_b);
    let mut all: Vec<Because> = rules
        .into_iter()
        .filter(|(_, [a, b])| a.map(|f| (f.outcome, f.blocks)) != b.map(|f| (f.outcome, f.blocks)))
        .map(|(rule, [a, b])| {
            let alone = |f: Option<&Finding>| f.map_or(Answer::Go, answer_of);
            let (bad, good) = if answer_a < answer_b { (a, b) } else { (b, a) };
            let decides = answer_a != answer_b && alone(bad) == worse && alone(good) > worse;
            let side = |f: Option<&Finding>| {
                f.map(|f| Side { outcome: f.outcome, alone: answer_of(f), why: f.why.clone() })
            };
            Because { rule: rule.to_owned(), sides: [side(a), side(b)], decides }
        })
        .collect();
    all.sort_by_key(|b| !b.decides);
    all
}
