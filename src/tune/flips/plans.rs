//! A figure of the need or the plan set otherwise: the nearest that turns a
//! finding.

use std::rc::Rc;

use super::{Change, Found, PlanFigure, Turn};
use crate::facts::{FactSource, Site, SiteFacts};
use crate::survey::Money;

/// A figure is tried up to so many times what it is, or down to that part.
const FACTOR: f64 = 8.0;

/// Halvings, in logarithms, of that span.
const HALVINGS: u32 = 10;

/// Figures people can set: which way helps, and which facts rest on it.
const FIGURES: [(PlanFigure, bool, &[&str]); 4] = [
    (PlanFigure::People, false, &["need_l_per_day", "yield_per_need"]),
    (PlanFigure::Budget, true, &["cost_per_budget"]),
    (PlanFigure::DrillingWater, true, &["drilling_water_ratio"]),
    (PlanFigure::TowerHeight, false, &["overhead_line_margin_m"]),
];

impl PlanFigure {
    fn value(self, site: &Site) -> Option<f64> {
        match self {
            PlanFigure::People => site.need.people.as_ref().map(|p| p.value),
            PlanFigure::Budget => site.plan.budget.as_ref().map(|b| b.value.amount),
            PlanFigure::DrillingWater => site.plan.drilling_water_l_per_day.as_ref().map(|w| w.value),
            PlanFigure::TowerHeight => site.plan.tower_height_m.as_ref().map(|h| h.value),
        }
    }

    fn set(self, site: &mut Site, to: f64) {
        let set = |seen: &mut Option<crate::survey::Seen<f64>>| seen.iter_mut().for_each(|s| s.value = to);
        match self {
            PlanFigure::People => set(&mut site.need.people),
            PlanFigure::DrillingWater => set(&mut site.plan.drilling_water_l_per_day),
            PlanFigure::TowerHeight => set(&mut site.plan.tower_height_m),
            PlanFigure::Budget => {
                site.plan.budget.iter_mut().for_each(|b| b.value = Money { amount: to, ..b.value.clone() })
            }
        }
    }
}

pub(super) fn with_figure(site: &SiteFacts, which: PlanFigure, to: f64) -> Option<Rc<dyn FactSource>> {
    which.value(site.site())?;
    let mut new = site.site().clone();
    which.set(&mut new, to);
    Some(Rc::new(site.with_site(new)))
}

/// The figures that turn the finding, each by itself.
pub(super) fn smallest(turn: &Turn<'_>) -> Vec<Found> {
    let bearing = FIGURES.iter().filter(|(.., facts)| turn.reads(facts));
    bearing.filter_map(|(which, more, _)| figure(turn, *which, *more)).collect()
}

fn figure(turn: &Turn<'_>, which: PlanFigure, more: bool) -> Option<Found> {
    let site = &turn.trials.site;
    let from = which.value(site.site()).filter(|x| *x > 0.0)?;
    let turns = |x: f64| turn.turns(with_figure(site, which, x));
    let most = if more { from * FACTOR } else { from / FACTOR };
    if !most.is_finite() || !turns(most) {
        return None;
    }
    let (mut bad, mut good) = (from, most);
    for _ in 0..HALVINGS {
        let middle = (bad * good).sqrt();
        if turns(middle) { good = middle } else { bad = middle }
    }
    // Two figures are enough to plan by; where rounding undoes it, three.
    let to = [2, 3, 6].into_iter().map(|digits| rounded(good, digits, more)).find(|x| turns(*x))?;
    let price = (which == PlanFigure::Budget).then_some(to - from);
    Some(Found { change: Change::Figure { which, from, to }, price })
}

/// So many leading figures, rounded up or down.
fn rounded(x: f64, digits: i32, up: bool) -> f64 {
    let by = 10_f64.powi(digits - 1 - x.abs().log10().floor() as i32);
    let scaled = x * by;
    if up { scaled.ceil() / by } else { scaled.floor() / by }
}
