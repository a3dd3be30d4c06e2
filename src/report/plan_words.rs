//! The well to build, its bill and its worth in sentences.

use super::well_plan::{Sheet, WellPlan};
use super::words::capital;
use super::worth::{MethodWorth, NextThing, Worth};
use crate::verdict::Answer;

/// The heading of the plan.
const PLAN_HEADING: &str = "The well this ground asks for (a plan, not a permit)";
/// The heading of the money.
const WORTH_HEADING: &str = "Is it worth it, when to give up, what to find out next";

/// Figures that a crew needs at a glance; the report as data has all.
const TOLD: [&str; 9] = [
    "pack",
    "clay on the pack",
    "cement in the grout",
    "cement in the slab",
    "drilling water",
    "bentonite for the fluid",
    "development",
    "high-test hypochlorite",
    "standing of the dose",
];

/// Said where that is so.
const NOT_WORTH_IT: &str =
    "nothing that could be found out is worth its price in money; a rule may ask for it all the same.";

/// Said where the money speaks for a peg that is ruled out.
const MONEY_ALONE: &str = " That is the money alone: while the answer is NO-GO no hole is made at this peg.";

/// Methods told of at length.
const METHODS_TOLD: usize = 2;
/// Things to find out that are told.
const THINGS_TOLD: usize = 4;

/// The sections of plan and money, as far as the report has them.
pub fn sections(report: &super::model::Report) -> Vec<(&'static str, Vec<(String, String)>)> {
    let plan = report.well_plan.as_ref().map(|p| (PLAN_HEADING, plan(p)));
    let no_go = report.verdict == Answer::NoGo;
    let worth = report.worth.as_ref().map(|w| (WORTH_HEADING, worth(w, no_go)));
    plan.into_iter().chain(worth).collect()
}

/// The plan: what it is about, and the sentences.
fn plan(p: &WellPlan) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let lift = if p.lift_planned { "as planned" } else { "the cheapest that lifts from deep enough" };
    let Some(w) = &p.well else {
        let why: Vec<String> = p.refused.iter().map(|r| format!("{} {}", r.reason, r.remedy)).collect();
        let why = if why.is_empty() {
            "no layer within reach bears water below the dry level.".to_owned()
        } else {
            why.join(" ")
        };
        out.push((
            "No well can be drawn up".to_owned(),
            format!("By {}, with the {} ({lift}), in the ground of {}: {why}", p.method, p.lift, p.ground),
        ));
        return out;
    };
    let likelier = match p.likelier.as_slice() {
        [] => String::new(),
        likelier => format!(
            " In likelier ground, that of {}, no well can be built: find out first which it is.",
            likelier.join(" or ")
        ),
    };
    out.push((
        "Ground".to_owned(),
        format!(
            "From {}.{likelier} Water is taken from {} between {} and {} m.",
            p.ground, w.aquifer, w.aquifer_m[0], w.aquifer_m[1]
        ),
    ));
    out.push(("Well".to_owned(), well(p, w, lift)));
    let numbers: Vec<String> = w
        .numbers
        .iter()
        .filter(|n| TOLD.contains(&n.what.as_str()) && n.likely > 0.0)
        .map(|n| format!("{}: {}", n.what, n.text))
        .collect();
    out.push((
        "To have at hand".to_owned(),
        format!(
            "{}. Every figure with its formula and source stands in the JSON report.",
            numbers.join("; ")
        ),
    ));
    for o in &p.others {
        out.push((
            "Or deeper".to_owned(),
            format!(
                "in {} between {} and {} m, a well {} m deep.",
                o.aquifer,
                o.aquifer_m[0],
                o.aquifer_m[1],
                ends(o.depth_m)
            ),
        ));
    }
    if let Some(bill) = &p.bill {
        let lines: Vec<String> = bill
            .lines
            .iter()
            .filter(|l| l.amount[1] != "0" && l.amount[1] != "0.00")
            .map(|l| match l.unit.as_str() {
                "once" => format!("{}, {}", l.item, whole(&l.amount[1])),
                unit => format!("{} {} {unit}, {}", l.item, three(&l.quantity[1]), whole(&l.amount[1])),
            })
            .collect();
        out.push((
            "Bill".to_owned(),
            format!(
                "about {} {} ({} to {}), {} of it kept back; a dry hole costs about {}. Lines: {}.",
                whole(&bill.total[1]),
                bill.currency,
                whole(&bill.total[0]),
                whole(&bill.total[2]),
                whole(&bill.contingency[1]),
                whole(&bill.dry_hole[1]),
                lines.join("; ")
            ),
        ));
    }
    if let Some(why) = &p.no_bill {
        out.push(("No bill".to_owned(), format!("{why}.")));
    }
    out.extend(
        w.warnings.iter().map(|warning| {
            ((if warning.hurts { "Danger" } else { "Mind" }).to_owned(), warning.text.clone())
        }),
    );
    out
}

fn well(p: &WellPlan, w: &Sheet, lift: &str) -> String {
    format!(
        "By {}: a hole of {:.0} mm, {} m deep, with {} pipe; screen from {} to {} m; pack from {} m down; clay on it \
         from {} m; grout from the ground down to {} m; the {} ({lift}).",
        p.method,
        w.hole_mm,
        ends(w.depth_m),
        w.casing,
        ends(w.screen_top_m),
        ends(w.screen_bottom_m),
        ends(w.pack_top_m),
        ends(w.clay_top_m),
        ends(w.grout_bottom_m),
        p.lift
    )
}

/// "12.5", or "12.5 (11 to 14)", to half a metre.
fn ends([low, likely, high]: [f64; 3]) -> String {
    let half = |m: f64| (2.0 * m).round() / 2.0;
    if half(low).total_cmp(&half(high)).is_eq() {
        format!("{}", half(likely))
    } else {
        format!("{} ({} to {})", half(likely), half(low), half(high))
    }
}

/// An exact amount as people say it.
fn whole(amount: &str) -> String {
    amount.parse::<f64>().map_or_else(|_| amount.to_owned(), money)
}

/// A quantity to three figures, or whole units from a hundred on.
fn three(quantity: &str) -> String {
    let Ok(x) = quantity.parse::<f64>() else { return quantity.to_owned() };
    let places = (2.0 - x.abs().max(0.01).log10().floor()).max(0.0);
    let by = 10_f64.powf(places);
    format!("{}", (x * by).round() / by)
}

/// Two figures, or whole units under a hundred.
fn money(x: f64) -> String {
    let size = x.abs();
    if size < 100.0 {
        return format!("{x:.0}");
    }
    let by = 10_f64.powf(size.log10().floor() - 1.0);
    format!("{:.0}", (x / by).round() * by)
}

/// To 5 %, but never "0 %" of what may happen.
fn percent(c: f64) -> String {
    match c {
        c if c > 0.0 && c < 0.025 => "under 5 %".to_owned(),
        c if c > 0.975 && c <= 1.0 => "over 95 %".to_owned(),
        c => format!("{:.0} %", (c * 20.0).round() * 5.0),
    }
}

/// Money: what it is about, and the sentences.
fn worth(w: &Worth, no_go: bool) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let others: Vec<String> =
        w.alternatives.iter().map(|a| format!("{} {} {}", a.what, money(a.cost), w.currency)).collect();
    let act = if w.act == "leave" {
        "As things stand the alternative is the better: drilling here costs more on average than it saves."
            .to_owned()
    } else if w.even() {
        format!("As things stand drilling by {} costs about as much on average as the alternative.", w.act)
    } else {
        format!(
            "As things stand it is worth drilling by {}: it saves about {} {} on average.",
            w.act,
            money(w.brings),
            w.currency
        )
    };
    out.push((
        "Against what else would bring the water".to_owned(),
        format!("{} a working source. {act}{}", others.join(", "), if no_go { MONEY_ALONE } else { "" }),
    ));
    out.extend(w.methods.iter().take(METHODS_TOLD).map(|m| (capital(&m.method), method(m, &w.currency))));
    out.push(("Find out next, the best value for money first".to_owned(), find_out(w)));
    out
}

/// What to find out next: first what is worth its price.
fn find_out(w: &Worth) -> String {
    let told = |n: &NextThing| {
        format!(
            "{} (costs about {}, worth about {} {}; changes what is best {} of the time)",
            n.what.trim_end_matches('.'),
            money(n.price),
            money(n.worth),
            w.currency,
            percent(n.chance_of_change)
        )
    };
    let things = w.next.iter().filter(|n| n.worth > 0.0).take(THINGS_TOLD);
    let (worth_it, not): (Vec<_>, Vec<_>) = things.partition(|n| n.net > 0.0);
    let list = |things: &[&NextThing]| things.iter().map(|n| told(n)).collect::<Vec<_>>().join("; ");
    match (worth_it.as_slice(), not.as_slice()) {
        ([], []) => NOT_WORTH_IT.to_owned(),
        ([], not) => format!("{NOT_WORTH_IT} {}.", list(not)),
        (worth_it, []) => format!("{}.", list(worth_it)),
        (worth_it, not) => format!(
            "{}. Not worth their price in money, though a rule may ask for them all the same: {}.",
            list(worth_it),
            list(not)
        ),
    }
}

fn method(m: &MethodWorth, currency: &str) -> String {
    if !m.give_up.begin {
        return format!(
            "{} A good hole would cost about {} {currency}, a failed one {}.",
            give_up(m),
            money(m.success_cost),
            money(m.failure_cost)
        );
    }
    let band = match m.cost_band80 {
        [Some(low), _, Some(high)] => format!(" (eight times in ten {} to {})", money(low), money(high)),
        [Some(low), _, None] => format!(" ({} at the least; no sum is sure to be enough)", money(low)),
        _ => " (no sum is sure to be enough)".to_owned(),
    };
    let mut text = format!(
        "A working well costs about {} {currency} with its failures{band}; a good hole {}, a failed one {}.",
        money(m.cost_of_a_well),
        money(m.success_cost),
        money(m.failure_cost)
    );
    for b in m.break_even.iter().take(1) {
        text.push_str(&match b.needed_chance {
            Some(needed) => format!(
                " Worth it against {} from a chance of {} on; that the chance here is better is {} sure.",
                b.against,
                percent(needed),
                percent(b.sureness)
            ),
            None => format!(" {} is cheaper than even a sure success here.", capital(&b.against)),
        });
    }
    text.push(' ');
    text.push_str(&give_up(m));
    if let Some(b) = m.budgets.iter().find(|b| b.wells == 1 && b.sureness > 0.85) {
        text.push_str(&match (b.money, b.failures) {
            (Some(sum), Some(failures)) => format!(
                " To be nine times in ten sure of one well, set aside {} {currency} (up to {failures} failed holes).",
                money(sum)
            ),
            _ => " No sum makes one well nine times in ten sure.".to_owned(),
        });
    }
    if let [client, driller, shared] = m.dry_holes.as_slice() {
        text.push_str(&format!(
            " A dry hole: where the client pays it costs the client {}; where the driller pays, a working well has to be \
             priced {}; shared, {}.",
            money(client.client_pays),
            money(driller.fair_price),
            money(shared.fair_price)
        ));
    }
    text
}

fn give_up(m: &MethodWorth) -> String {
    let g = &m.give_up;
    let needed = g.needed_chance.map_or(String::new(), |n| format!("; it would take {}", percent(n)));
    match g.why.as_str() {
        "not-worth-beginning" => format!(
            "Not worth beginning: even by the best plan only {} of holes become a well{needed}.",
            percent(g.chance)
        ),
        "worth-it-to-reach" => {
            format!("Going on is worth it down to the reach of the method, {:.1} m.", g.reach_m)
        }
        "nothing-below" => {
            format!("Give up at {:.1} m: no well is to be expected below that is not met above.", g.depth_m)
        }
        _ => format!(
            "Give up at {:.1} m: of holes still open there only {} become a well below{needed}.",
            g.depth_m,
            percent(g.chance_left.unwrap_or_default())
        ),
    }
}
