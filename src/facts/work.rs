//! Permission, season, access, drilling water, money, and what was left out.

use super::sheet::{Answer, Sheet, estimate};
use super::site::Works;
use super::{AskKind, SiteFacts};
use crate::region::MethodProfile;
use crate::survey::{Access, Consent, Method, Seen};
use crate::units::{Estimate, Unit};
use crate::well::{DrillingWater, WellPrices};

pub(super) const WORKS: Works = &[
    ("permit", permit),
    ("land_consent", land_consent),
    ("work_season", work_season),
    ("access", access),
    ("drilling_water_ratio", drilling_water_ratio),
    ("cost_per_budget", cost_per_budget),
    ("left_out_records", left_out),
];

fn consent(seen: Option<&Seen<Consent>>, ask: &str) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(seen) {
        Some(Consent::Yes) => sheet.word("yes"),
        Some(Consent::Applied) => sheet.word("applied"),
        Some(Consent::NotNeeded) => sheet.word("not needed"),
        Some(Consent::No) => sheet.word("no"),
        None => {
            sheet.ask(AskKind::Office, ask);
            Ok(sheet.unknown())
        }
    }
}

fn permit(s: &SiteFacts) -> Answer {
    let ask = "Ask the water authority whether a permit to drill is needed here, and apply for it.";
    consent(s.site.permission.permit.as_ref(), ask)
}

fn land_consent(s: &SiteFacts) -> Answer {
    let ask = "Ask whoever holds the land for consent, in writing.";
    consent(s.site.permission.land.as_ref(), ask)
}

fn work_season(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let calendar = &s.region().calendar;
    let Some(start) = sheet.take_any(s.site.plan.start.as_ref()) else {
        sheet.ask(AskKind::Write, "Write down when drilling is to start.");
        return Ok(sheet.unknown());
    };
    let stated = !calendar.wet_months.is_empty() && !calendar.driest_months.is_empty();
    if !stated || !calendar.holds_at(s.site.peg.at.value.at.lat_deg()) {
        sheet.ask(
            AskKind::Write,
            "Write the wet and the driest months of this place into the local file ([season]).",
        );
        return Ok(sheet.unknown());
    }
    let month = start.month();
    if calendar.driest_months.contains(&month) {
        sheet.word("dry")
    } else if calendar.wet_months.contains(&month) {
        sheet.word("wet")
    } else {
        sheet.word("between")
    }
}

fn access(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    match sheet.take_any(s.site.ground.access.as_ref()) {
        Some(Access::Vehicle) => sheet.word("vehicle"),
        Some(Access::Cart) => sheet.word("cart"),
        Some(Access::OnFoot) => sheet.word("on foot"),
        Some(Access::None) => sheet.word("none"),
        None => {
            sheet.ask(AskKind::Ask, "Ask how things can be brought to the peg in the season of the work.");
            Ok(sheet.unknown())
        }
    }
}

/// The profiles of the methods at hand; `None` where the region lacks one.
fn profiles<'a>(s: &'a SiteFacts, sheet: &mut Sheet) -> Option<Vec<(Method, &'a MethodProfile)>> {
    let methods = s.methods(sheet);
    for method in methods.iter().filter(|m| !s.region().methods.contains_key(m)) {
        let ask = format!("Write what {} can do into the region's file or the local file.", method.name());
        sheet.ask(AskKind::Write, ask);
    }
    let all: Option<Vec<_>> =
        methods.into_iter().map(|m| s.region().methods.get(&m).map(|p| (m, p))).collect();
    all.filter(|a| !a.is_empty())
}

/// Water that can be brought, by what the methods need that keep the hole
/// full. A method at hand that does without has no upper bound.
fn drilling_water_ratio(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let needed = s.needed_depth(&mut sheet)?;
    let water = DrillingWater {
        hole_volumes: s.prior("drilling_water_hole_volumes")?,
        pits_l: s.prior("drilling_water_pits_l")?,
    };
    let jetting_l = s.prior("washbore_water_l")?;
    let brought = sheet.take_any(s.site.plan.drilling_water_l_per_day.as_ref()).copied();
    if brought.is_none() {
        sheet.ask(
            AskKind::Ask,
            "Ask how many litres of clean drilling water can be brought to the peg in a day.",
        );
    }
    let profiles = profiles(s, &mut sheet);
    let (Some(brought), Some(profiles), Some(needed)) = (brought, profiles, needed) else {
        return Ok(sheet.unknown());
    };
    let fluid = |p: &&(Method, &MethodProfile)| p.1.needs_fluid;
    let some_dry = profiles.iter().any(|p| !fluid(&p));
    let only_dry = profiles.iter().all(|p| !fluid(&p));
    let litres = |(method, profile): &(Method, &MethodProfile), depth: f64| match method {
        Method::Washbore => jetting_l,
        _ => water.needed_l(profile.hole_mm.value, depth),
    };
    let over = |depth: Option<f64>, most: bool| {
        let all = profiles.iter().filter(|p| only_dry || fluid(p));
        let each = depth.map(|d| all.map(|p| litres(p, d)).collect::<Vec<_>>())?;
        let litres = if most {
            each.into_iter().max_by(f64::total_cmp)
        } else {
            each.into_iter().min_by(f64::total_cmp)
        };
        litres.filter(|l| *l > 0.0).map(|l| brought / l)
    };
    let low = over(needed.high(), true).or(Some(0.0));
    let high = over(needed.low(), false).filter(|_| !some_dry);
    let value = over(needed.value(), true).filter(|_| !only_dry);
    sheet.number(estimate(Unit::One, low, value, high))
}

/// Rough cost of one well over all methods at hand, by the money set aside.
fn cost_per_budget(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let needed = s.needed_depth(&mut sheet)?;
    let lift = s.lift(&mut sheet);
    let casing_per_metre = s.prior("casing_per_metre")?;
    let completion = (s.prior("well_completion_price_low")?, s.prior("well_completion_price_high")?);
    let spread_share = s.prior("price_spread_share")?;
    let budget = sheet.take_any(s.site.plan.budget.as_ref());
    let budget = match budget {
        None => {
            sheet.ask(AskKind::Ask, "Ask how much money is set aside for the well.");
            None
        }
        Some(money) if money.currency != s.region().currency => {
            sheet.ask(
                AskKind::Write,
                format!(
                    "Write the money set aside in {} instead of {}, or the prices in {} into the local file.",
                    s.region().currency,
                    money.currency,
                    money.currency
                ),
            );
            None
        }
        Some(money) => Some(money.amount),
    };
    let profiles = profiles(s, &mut sheet);
    let (Some(budget), Some(profiles), Some(needed), Some(lift)) = (budget, profiles, needed, lift) else {
        return Ok(sheet.unknown());
    };
    if budget <= 0.0 {
        sheet.ask(AskKind::Ask, "Find the money for the well and write down how much there is.");
        return Ok(sheet.unknown());
    }
    let prices = |p: &MethodProfile| WellPrices {
        mobilisation: p.mobilisation.value,
        drilling_per_metre: p.per_metre.value,
        casing_per_metre,
        lift: lift.price.value,
        completion,
        spread_share,
    };
    let each: Vec<_> = profiles.iter().map(|(_, p)| prices(p)).collect();
    let low = needed
        .low()
        .and_then(|d| each.iter().map(|p| p.least(d)).min_by(f64::total_cmp))
        .map_or(0.0, |c| c / budget);
    let usual = needed.value().and_then(|d| each.iter().map(|p| p.usual(d)).min_by(f64::total_cmp));
    let high = needed.high().and_then(|d| each.iter().map(|p| p.most(d)).max_by(f64::total_cmp));
    sheet.ask(AskKind::Ask, "Ask crews and suppliers for their prices and write them into the local file.");
    sheet.number(estimate(Unit::One, Some(low), usual.map(|c| c / budget), high.map(|c| c / budget)))
}

fn left_out(s: &SiteFacts) -> Answer {
    let mut sheet = Sheet::new();
    let left = &s.site.left_out;
    for record in left {
        sheet.read(&record.from);
        sheet.ask(AskKind::Write, format!("Mend the record at {}: {}.", record.from, record.why));
    }
    let number = f64::from(u32::try_from(left.len()).unwrap_or(u32::MAX));
    sheet.number(Estimate::exact(Unit::Count, number))
}
