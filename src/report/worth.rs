//! What money says of the peg, as data of the report; the region's currency.

use schemars::JsonSchema;
use serde::Serialize;

use super::build::round;
use crate::facts;
use crate::well::worth::{Act, AlternativeKind, FindingOut, Observation, WhyGiveUp};

/// What money says of the peg. It clears nothing.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Worth {
    /// The currency of every amount.
    pub currency: String,
    /// What a working well is worth: the cheapest of the alternatives.
    pub well_worth: f64,
    /// What else would bring the water, and what a working source costs so.
    pub alternatives: Vec<Alternative>,
    /// Each method, the one whose plan brings most first.
    pub methods: Vec<MethodWorth>,
    /// What to do as things stand: leave, or the method to drill with.
    pub act: String,
    /// What that brings on average, over taking the alternative.
    pub brings: f64,
    /// What knowing the ground for sure would be worth.
    pub worth_of_knowing_all: f64,
    /// What to find out next, the best value for money first.
    pub next: Vec<NextThing>,
}

/// Another way to the water.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Alternative {
    /// What it is.
    pub what: String,
    /// What a working source costs by it.
    pub cost: f64,
}

/// What money says of one method.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct MethodWorth {
    /// The method.
    pub method: String,
    /// What a hole costs that becomes a well, on average.
    pub success_cost: f64,
    /// What one costs that does not, filled and sealed.
    pub failure_cost: f64,
    /// What a working well costs at the mean chance, failures counted.
    pub cost_of_a_well: f64,
    /// One time in ten a working well costs less than the first, as often more
    /// than the last; null where no money is enough.
    pub cost_band80: [Option<f64>; 3],
    /// The chance of success it takes to beat each alternative, and how sure
    /// it is that the chance here is better.
    pub break_even: Vec<BreakEven>,
    /// How many holes to try at most before turning to the alternative; null
    /// where there is no end to it.
    pub tries_at_most: Option<u32>,
    /// The money that is enough for so many wells, with that sureness.
    pub budgets: Vec<Budget>,
    /// Who carries a dry hole.
    pub dry_holes: Vec<DryHole>,
    /// When to give up.
    pub give_up: GiveUp,
    /// Cost against depth: metres, average cost of a hole down to there, the
    /// share of holes still open, and what going on brings for one of them.
    pub steps: Vec<Step>,
}

/// Drilling here against one alternative.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BreakEven {
    /// The alternative.
    pub against: String,
    /// The chance below which it is the better; null where it always is.
    pub needed_chance: Option<f64>,
    /// How sure it is that the chance here is better than that.
    pub sureness: f64,
}

/// Money for working wells.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Budget {
    /// How many.
    pub wells: u32,
    /// How sure.
    pub sureness: f64,
    /// Failures to reckon with.
    pub failures: Option<u32>,
    /// The money; null where no sum is enough.
    pub money: Option<f64>,
}

/// Who carries a dry hole.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct DryHole {
    /// The terms.
    pub terms: String,
    /// What the client pays for one dry hole.
    pub client_pays: f64,
    /// What the driller loses by it.
    pub driller_loses: f64,
    /// What the driller has to ask for a working well so as not to lose.
    pub fair_price: f64,
}

/// When to give up.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct GiveUp {
    /// Whether to begin at all.
    pub begin: bool,
    /// The depth at which to give up, metres.
    pub depth_m: f64,
    /// How deep the method gets, metres.
    pub reach_m: f64,
    /// Where to give up a hole that met no water-bearing ground.
    pub still_dry_m: f64,
    /// What beginning brings by that plan, over the alternative.
    pub brings: f64,
    /// What it brings drilled to the method's reach.
    pub brings_to_reach: f64,
    /// The chance that a hole given up there becomes a well.
    pub chance: f64,
    /// Why, in a word: not-worth-beginning, nothing-below, too-few-below or
    /// worth-it-to-reach.
    pub why: String,
    /// For too-few-below: the chance left and the chance it would take.
    pub chance_left: Option<f64>,
    /// See above.
    pub needed_chance: Option<f64>,
}

/// What lies ahead at a depth.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Step {
    /// The depth, metres.
    pub depth_m: f64,
    /// What drilling down to it costs, bringing crew and gear included.
    pub cost: f64,
    /// The share of holes still open there.
    pub open: f64,
    /// The chance that one of them becomes a well below.
    pub chance: f64,
    /// What going on brings for one of them.
    pub ahead: f64,
}

/// Something to find out next.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct NextThing {
    /// What to do.
    pub what: String,
    /// What it costs.
    pub price: f64,
    /// What it is worth.
    pub worth: f64,
    /// Its worth less its price.
    pub net: f64,
    /// Its worth for each unit of its price.
    pub for_money: Option<f64>,
    /// The chance that it changes what is best done.
    pub chance_of_change: f64,
    /// The chance that it changes whether to drill at all.
    pub chance_of_turning: f64,
}

impl Worth {
    /// Whether drilling and the alternative cost the same, as far as the two
    /// figures go to which such sums are known.
    #[must_use]
    pub fn even(&self) -> bool {
        let step = 10_f64.powf(self.well_worth.abs().max(1.0).log10().floor() - 1.0);
        self.brings.abs() < step / 2.0
    }
}

fn amount(x: f64) -> f64 {
    round(x, 0)
}

fn share(x: f64) -> f64 {
    round(x, 3)
}

fn kind(kind: AlternativeKind) -> &'static str {
    match kind {
        AlternativeKind::AnotherPeg => "another peg",
        AlternativeKind::MachineRig => "a machine rig",
        AlternativeKind::RepairOldWell => "an old well put in order",
        AlternativeKind::Rainwater => "rain from the roofs",
        AlternativeKind::Stated => "the alternative stated in the survey",
    }
}

/// Money for the report.
pub fn of(w: &facts::SiteWorth, currency: &str) -> Worth {
    let mut methods: Vec<(bool, f64, MethodWorth)> = w
        .methods
        .iter()
        .enumerate()
        .map(|(n, m)| {
            (n != w.best, m.money.chance.mean() + if m.give_up.begin { 1.0 } else { 0.0 }, method(m))
        })
        .collect();
    methods.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
    Worth {
        currency: currency.to_owned(),
        well_worth: amount(w.well_worth),
        alternatives: w
            .alternatives
            .iter()
            .map(|a| Alternative { what: kind(a.kind).to_owned(), cost: amount(a.cost) })
            .collect(),
        methods: methods.into_iter().map(|m| m.2).collect(),
        act: match w.next.act {
            Act::Leave => "leave".to_owned(),
            Act::Drill { method } => {
                w.methods.get(method).map_or_else(|| "leave".to_owned(), |m| m.method.name().to_owned())
            }
        },
        brings: amount(w.next.brings),
        worth_of_knowing_all: amount(w.next.worth_of_knowing_all),
        next: w.next.list.iter().map(|f| next(f, w.tape.as_deref())).collect(),
    }
}

fn method(m: &facts::MethodWorth) -> MethodWorth {
    let money = &m.money;
    let terms = ["the client pays", "the driller pays", "it is shared"];
    let g = &m.give_up;
    let (why, chance_left, needed_chance) = match g.why {
        WhyGiveUp::NotWorthBeginning { chance, needed_chance } => {
            ("not-worth-beginning", Some(chance), needed_chance)
        }
        WhyGiveUp::NothingBelow { .. } => ("nothing-below", None, None),
        WhyGiveUp::TooFewBelow { chance, needed_chance, .. } => {
            ("too-few-below", Some(chance), needed_chance)
        }
        WhyGiveUp::WorthItToReach => ("worth-it-to-reach", None, None),
    };
    MethodWorth {
        method: m.method.name().to_owned(),
        success_cost: amount(money.costs.success()),
        failure_cost: amount(money.costs.failure()),
        cost_of_a_well: amount(money.cost.at_mean_chance),
        cost_band80: [money.cost.low80, money.cost.median, money.cost.high80].map(|c| c.map(amount)),
        break_even: money
            .break_even
            .iter()
            .map(|b| BreakEven {
                against: kind(b.alternative.kind).to_owned(),
                needed_chance: b.needed_chance.map(share),
                sureness: share(b.sureness),
            })
            .collect(),
        tries_at_most: money.tries.and_then(|t| t.most),
        budgets: money
            .budgets
            .iter()
            .map(|b| Budget {
                wells: b.wells,
                sureness: b.sureness,
                failures: b.failures,
                money: b.money.map(amount),
            })
            .collect(),
        dry_holes: money
            .dry_holes
            .iter()
            .zip(terms)
            .map(|(d, terms)| DryHole {
                terms: terms.to_owned(),
                client_pays: amount(d.client_dry_hole),
                driller_loses: amount(d.driller_dry_hole),
                fair_price: amount(d.fair_price),
            })
            .collect(),
        give_up: GiveUp {
            begin: g.begin,
            depth_m: round(g.depth_m, 1),
            reach_m: round(g.reach_m, 1),
            still_dry_m: round(m.give_up_dry.dry_m, 1),
            brings: amount(g.worth_if_begun),
            brings_to_reach: amount(g.worth_to_reach),
            chance: share(g.chance),
            why: why.to_owned(),
            chance_left: chance_left.map(share),
            needed_chance: needed_chance.map(share),
        },
        steps: g
            .steps
            .iter()
            .map(|s| Step {
                depth_m: round(s.depth_m, 1),
                cost: amount(m.prices.drilled(s.depth_m)),
                open: share(s.open),
                chance: share(s.chance),
                ahead: amount(s.gain),
            })
            .collect(),
    }
}

fn next(f: &FindingOut, tape: Option<&str>) -> NextThing {
    let what = match f.observation {
        Observation::Neighbours { count, .. } => {
            format!("Ask at {count} more wells near by: did they find water, and how low does it fall?")
        }
        Observation::DrySeasonLevel { .. } => {
            "Wait for the driest month and dip the water level in a well near by.".to_owned()
        }
        Observation::TrialHole { reach_m, .. } => {
            format!("Make a small auger hole at the peg, down to {reach_m:.0} m where it gets there.")
        }
        Observation::Resistivity { .. } => {
            "Have a resistivity sounding made at the peg by people who know how.".to_owned()
        }
        Observation::QualityKit { .. } => "Test the water of the nearest wells with a field kit.".to_owned(),
        Observation::TapeAgain { .. } => {
            format!("Tape the distance to {} again.", tape.unwrap_or("the hazard in doubt"))
        }
    };
    NextThing {
        what,
        price: amount(f.price),
        worth: amount(f.worth),
        net: amount(f.net),
        for_money: f.for_money.map(|x| round(x, 2)),
        chance_of_change: share(f.chance_of_change),
        chance_of_turning: share(f.chance_of_turning),
    }
}
