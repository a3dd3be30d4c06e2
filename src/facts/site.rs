//! One peg with what is shared between pegs, and its facts: each is worked out
//! when it is first asked for, and kept.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::{Arc, LazyLock};

use super::near::{Neighbour, Source};
use super::sheet::{Answer, Sheet};
use super::{AskKind, FACTS, Fact, FactDef, FactSource, Forecast, Missing, Shared, Value};
use super::{
    completion, drilling, flow_side, forecast, ground, handover, hazards, hole, levels, need, quality,
    safety, side, tested, travel, water, way_down, work,
};
use crate::region::Region;
use crate::survey::{
    Completion, Drilling, Ground, HandOver, HazardKind, LeftOut, Need, Peg, Permission, Plan, Seen, Survey,
};

/// What was observed of one peg, apart from hazards and wells.
#[derive(Debug, Clone)]
pub struct Site {
    /// The spot.
    pub peg: Peg,
    /// When it was visited.
    pub visited: Option<Seen<jiff::civil::Date>>,
    /// Who needs the water.
    pub need: Need,
    /// What is planned.
    pub plan: Plan,
    /// How far around the peg each kind of hazard was searched for, metres.
    pub looked_for: BTreeMap<HazardKind, Seen<f64>>,
    /// Signs seen at the peg.
    pub ground: Ground,
    /// Papers and consent.
    pub permission: Permission,
    /// The hole while it goes down.
    pub drilling: Drilling,
    /// The well as it is to be set.
    pub completion: Completion,
    /// What is tested and looked at before people drink.
    pub handover: HandOver,
    /// Rows and features that could not be used.
    pub left_out: Vec<LeftOut>,
    /// How far the spot may be from where the signs were seen, metres: what
    /// was measured from there is known here only so far.
    pub moved_m: f64,
}

impl Site {
    /// That of a survey.
    pub fn of_survey(survey: &Survey) -> Self {
        Self {
            peg: survey.peg.clone(),
            visited: survey.visited.clone(),
            need: survey.need.clone(),
            plan: survey.plan.clone(),
            looked_for: survey.looked_for.clone(),
            ground: survey.ground.clone(),
            permission: survey.permission.clone(),
            drilling: survey.drilling.clone(),
            completion: survey.completion.clone(),
            handover: survey.handover.clone(),
            left_out: survey.left_out.clone(),
            moved_m: 0.0,
        }
    }
}

/// The facts of one peg.
#[derive(Debug)]
pub struct SiteFacts {
    pub(super) shared: Arc<Shared>,
    pub(super) site: Arc<Site>,
    facts: Vec<OnceCell<Rc<Fact>>>,
    pub(super) sources: [OnceCell<Result<Rc<[Source]>, Missing>>; HazardKind::ALL.len()],
    pub(super) neighbours: OnceCell<Result<Rc<[Neighbour]>, Missing>>,
    pub(super) levels: OnceCell<Result<Rc<levels::Levels>, Missing>>,
    pub(super) reaches: OnceCell<Result<Rc<ground::Reaches>, Missing>>,
    pub(super) forecast: OnceCell<Result<Rc<Forecast>, Missing>>,
    pub(super) water_slope: OnceCell<Result<Rc<flow_side::WaterSlope>, Missing>>,
    pub(super) hole: OnceCell<Rc<hole::Hole>>,
    pub(super) tested: OnceCell<Result<Option<Rc<tested::Tested>>, Missing>>,
}

type Work = fn(&SiteFacts) -> Answer;

/// Names of facts with what works them out.
pub(super) type Works = &'static [(&'static str, Work)];

/// Every fact with what works it out, by name; the number is its place in
/// [`FACTS`].
static WORKS: LazyLock<BTreeMap<&'static str, (usize, Work)>> = LazyLock::new(|| {
    let all = [
        hazards::WORKS,
        side::WORKS,
        travel::WORKS,
        safety::WORKS,
        ground::WORKS,
        way_down::WORKS,
        levels::WORKS,
        water::WORKS,
        quality::WORKS,
        need::WORKS,
        work::WORKS,
        drilling::WORKS,
        completion::WORKS,
        tested::WORKS,
        handover::WORKS,
        forecast::WORKS,
    ];
    let place = |name: &str| FACTS.iter().position(|d| d.name == name);
    all.into_iter().flatten().filter_map(|(name, work)| Some((*name, (place(name)?, *work)))).collect()
});

impl SiteFacts {
    /// The facts of a survey's peg.
    pub fn of_survey(survey: &Survey, region: Arc<Region>) -> Self {
        let shared = Arc::new(Shared::of_survey(survey, region));
        Self::for_peg(shared, Arc::new(Site::of_survey(survey)))
    }

    /// The facts of one of many pegs. Nothing is worked out yet.
    pub fn for_peg(shared: Arc<Shared>, site: Arc<Site>) -> Self {
        Self {
            shared,
            site,
            facts: std::iter::repeat_with(OnceCell::new).take(FACTS.len()).collect(),
            sources: std::array::from_fn(|_| OnceCell::new()),
            neighbours: OnceCell::new(),
            levels: OnceCell::new(),
            reaches: OnceCell::new(),
            forecast: OnceCell::new(),
            water_slope: OnceCell::new(),
            hole: OnceCell::new(),
            tested: OnceCell::new(),
        }
    }

    /// Every fact with its definition, in the order of [`FACTS`].
    pub fn all(&self) -> impl Iterator<Item = (&'static FactDef, Rc<Fact>)> {
        FACTS.iter().filter_map(|def| Some((def, self.fact(def.name)?)))
    }

    /// How deep each method at hand can reach through this ground, for the
    /// report; metres.
    pub fn method_reaches(&self) -> Vec<(crate::survey::Method, Rc<Fact>)> {
        ground::method_reaches(self)
    }

    /// The facts of another peg, or of another plan for it, among the same
    /// hazards and wells.
    #[must_use]
    pub fn with_site(&self, site: Site) -> Self {
        Self::for_peg(self.shared.clone(), Arc::new(site))
    }

    /// What is shared between pegs.
    pub fn shared(&self) -> &Shared {
        &self.shared
    }

    /// What was observed of the peg.
    pub fn site(&self) -> &Site {
        &self.site
    }

    pub(super) fn region(&self) -> &Region {
        &self.shared.region
    }

    /// A fact that surely exists.
    pub(super) fn known(&self, name: &str) -> Rc<Fact> {
        self.fact(name)
            .unwrap_or_else(|| Rc::new(unknown(Missing::new(AskKind::Ask, format!("Find out {name}.")))))
    }

    /// What the region assumes.
    pub(super) fn prior(&self, name: &'static str) -> Result<f64, Missing> {
        self.region().priors.get(name).map(|f| f.value).ok_or_else(|| no_prior(name))
    }
}

/// What to do about a prior that the region does not have.
pub(super) fn no_prior(name: &str) -> Missing {
    Missing::new(AskKind::Write, format!("Write the prior {name} into the region's file or the local file."))
}

fn unknown(missing: Missing) -> Fact {
    let mut sheet = Sheet::new();
    sheet.ask(missing.how, missing.ask);
    sheet.unknown()
}

impl FactSource for SiteFacts {
    fn fact(&self, name: &str) -> Option<Rc<Fact>> {
        let (place, work) = WORKS.get(name)?;
        let made = || {
            let mut fact = work(self).unwrap_or_else(unknown);
            if fact.value == Value::Unknown && fact.missing.is_empty() {
                fact.missing.push(Missing::new(AskKind::Ask, format!("Find out {name}.")));
            }
            Rc::new(fact)
        };
        Some(self.facts.get(*place)?.get_or_init(made).clone())
    }
}

#[cfg(test)]
mod tests {
    use super::WORKS;
    use crate::facts::FACTS;

    #[test]
    fn every_fact_that_rules_may_read_is_worked_out() {
        for def in FACTS {
            assert!(WORKS.contains_key(def.name), "{}", def.name);
        }
        assert_eq!(WORKS.len(), FACTS.len());
    }
}
