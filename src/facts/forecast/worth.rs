//! Is it worth it, when to give up, and what to find out next: what money
//! says about the virtual bores, in the region's currency.

use crate::facts::site::no_prior;
use crate::facts::{AskKind, Missing, SiteFacts, Value};
use crate::survey::Method;
use crate::well::beta::Beta;
use crate::well::worth::{
    Alternative, AlternativeKind, GiveUp, GiveUpDry, GiveUpInputs, HoleMoney, HolePrices, MoneyInputs,
    NextThings, Plan, Priced, Scenarios, WellMoney, WorthFigures, chance_of, give_up, give_up_dry, money,
    next_to_find_out,
};

/// The numbers of working wells to budget for.
const WELLS: [u32; 2] = [1, 10];

/// What money says of the peg.
#[derive(Debug)]
pub struct SiteWorth {
    /// Each method at hand, in the order of the virtual bores.
    pub methods: Vec<MethodWorth>,
    /// The one whose best plan brings most.
    pub best: usize,
    /// What else would bring the water.
    pub alternatives: Vec<Alternative>,
    /// What a working well is worth: the cheapest of them.
    pub well_worth: f64,
    /// What to do as things stand, and what to find out first.
    pub next: NextThings,
    /// The hazard whose distance is in doubt, where one could be taped again.
    pub tape: Option<String>,
}

/// What money says of one method.
#[derive(Debug)]
pub struct MethodWorth {
    /// The method.
    pub method: Method,
    /// What its holes cost.
    pub prices: HolePrices,
    /// Cost of a working well, break-even chances, budgets.
    pub money: WellMoney,
    /// When to give up, knowing only the depth.
    pub give_up: GiveUp,
    /// The same, knowing whether water-bearing ground was met.
    pub give_up_dry: GiveUpDry,
}

/// Hazards whose distance may decide, with the limit that stops the site.
const SETBACKS: [(&str, &str, &str); 3] = [
    ("nearest_pit_latrine_m", "pit_latrine_stop_m", "the nearest pit latrine"),
    ("nearest_septic_tank_m", "septic_tank_stop_m", "the nearest septic tank"),
    ("nearest_soakaway_m", "soakaway_stop_m", "the nearest soakaway"),
];

impl SiteFacts {
    /// What money says of the peg.
    ///
    /// # Errors
    /// What must be written down before anything can be said.
    pub fn worth(&self) -> Result<SiteWorth, Missing> {
        let forecast = self.forecast()?;
        let figures = WorthFigures::of(self.region()).map_err(no_prior)?;
        let unusable = |e: &dyn std::fmt::Display| {
            Missing::new(
                AskKind::Write,
                format!("Correct the prices and shares that money is reckoned from: {e}."),
            )
        };
        let alternatives = self.alternatives(&figures)?;
        let Some(cheapest) = alternatives.iter().map(|a| a.cost).min_by(f64::total_cmp) else {
            return Err(no_prior("machine_well_price"));
        };
        let level = forecast.level.dry_year_m(0.9);
        let lift = self.lift_for(level).map(|l| l.0);
        let bores = &forecast.bores;
        let step_m = bores.inputs.design.step_m;
        let mut methods = Vec::new();
        for (number, method) in bores.methods.iter().enumerate() {
            let Some(profile) = self.region().methods.get(method) else { continue };
            let prices = HolePrices::of_region(self.region(), profile, lift).map_err(no_prior)?;
            let draws = &bores.bores.draws;
            let inputs =
                GiveUpInputs { draws, method: number, prices, well_worth: cheapest, step_m, weights: None };
            let holes = HoleMoney::of(draws, number, prices).map_err(|e| unusable(&e))?;
            let chance: Beta = chance_of(&bores.bores, number).map_err(|e| unusable(&e))?;
            let money = money(&MoneyInputs {
                chance,
                holes,
                price_spread_share: figures.price_spread_share,
                alternatives: &alternatives,
                wells: &WELLS,
                client_share: figures.dry_hole_client_share,
            });
            methods.push(MethodWorth {
                method: *method,
                prices,
                money: money.map_err(|e| unusable(&e))?,
                give_up: give_up(&inputs).map_err(|e| unusable(&e))?,
                give_up_dry: give_up_dry(&inputs).map_err(|e| unusable(&e))?,
            });
        }
        let plans: Vec<Plan> = methods
            .iter()
            .map(|m| Plan { prices: m.prices, give_up_m: m.give_up.begin.then_some(m.give_up.depth_m) })
            .collect();
        let scenarios =
            Scenarios::new(&bores.bores.draws, &plans, cheapest, None).map_err(|e| unusable(&e))?;
        let mut things: Vec<Priced> = figures.things(None).to_vec();
        let tape = self.doubtful_setback();
        if let (Some((chance_below, _)), Some(first)) = (&tape, methods.first()) {
            let loss = first.money.costs.success();
            things.push(figures.tape_again(*chance_below, loss, first.prices.abandonment));
        }
        let next = next_to_find_out(&scenarios, &things).map_err(|e| unusable(&e))?;
        let best = best_of(&methods);
        Ok(SiteWorth {
            methods,
            best,
            alternatives,
            well_worth: cheapest,
            next,
            tape: tape.map(|t| t.1.to_owned()),
        })
    }

    /// Ways to the same water: the one the survey states; else a machine rig,
    /// rain from the roofs, and an old well where one only needs its pump
    /// mended. Another peg is left out, because nobody has said there is one.
    fn alternatives(&self, figures: &WorthFigures) -> Result<Vec<Alternative>, Missing> {
        let unusable = |e: crate::units::OutOfRange| {
            Missing::new(AskKind::Write, format!("Correct the prices of other ways to the water: {e}."))
        };
        if let Some(stated) = self.site.plan.alternative.as_ref().map(|a| &a.value) {
            if stated.currency != self.region().currency {
                let ask = format!("Write the cost of the alternative in {}.", self.region().currency);
                return Err(Missing::new(AskKind::Write, ask));
            }
            let one = Alternative::sure(AlternativeKind::Stated, stated.amount).map_err(unusable)?;
            return Ok(vec![one]);
        }
        let mut all = vec![figures.machine_rig().map_err(unusable)?];
        if let Some(people) = self.site.need.people.as_ref().map(|p| p.value).filter(|p| *p > 0.0) {
            all.push(figures.rainwater(people).map_err(unusable)?);
        }
        if let Value::Estimate(e) = &self.known("repairable_neighbours").value
            && e.low().is_some_and(|n| n >= 1.0)
        {
            all.push(figures.repair().map_err(unusable)?);
        }
        Ok(all)
    }

    /// The setback that may or may not be kept, if there is one, with the
    /// chance that it is not.
    fn doubtful_setback(&self) -> Option<(f64, &'static str)> {
        let in_doubt = |(fact, limit, name): &(&str, &str, &'static str)| {
            let limit = self.region().limits.get(*limit)?.value;
            let Value::Estimate(e) = &self.known(fact).value else { return None };
            let chance = e.chance_below(limit)?;
            (chance > 0.0 && chance < 1.0).then_some((chance, *name))
        };
        SETBACKS.iter().filter_map(in_doubt).max_by(|a, b| {
            let doubt = |c: f64| c * (1.0 - c);
            doubt(a.0).total_cmp(&doubt(b.0))
        })
    }
}

fn best_of(methods: &[MethodWorth]) -> usize {
    // Where none is worth beginning, the likeliest.
    let rank = |m: &MethodWorth| (m.give_up.begin, m.give_up.worth, m.money.chance.mean());
    let mut best = 0;
    for (number, method) in methods.iter().enumerate() {
        let better = |b: &MethodWorth| {
            let (a, b) = (rank(method), rank(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2)).is_gt()
        };
        if methods.get(best).is_some_and(better) {
            best = number;
        }
    }
    best
}
