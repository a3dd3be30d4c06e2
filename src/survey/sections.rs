//! The sections of a survey that speak of the peg itself: `[visit]`,
//! `[need]`, `[plan]`, `[looked_for]`, `[ground]`, `[permission]`.

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::toml_table::{Table, no_advice};
use super::toml_value::{Bounds, Values};
use super::{Ground, HazardKind, Money, Need, Permission, Plan, Seen};
use crate::diag::Problems;

const fn bounds(unit: &'static str, least: f64, most: f64) -> Bounds {
    Bounds { unit, least, most }
}

/// The greatest distance anybody looks for things around a peg, metres.
const FARTHEST: Bounds = bounds("m", 0.0, 100_000.0);
const BEARING: Bounds = bounds("degrees from true north", 0.0, 360.0);

/// When the peg was visited, and how well its positions are known.
#[derive(Debug, Default)]
pub(crate) struct Visit {
    pub date: Option<Seen<Date>>,
    pub gps_accuracy_m: Option<Seen<f64>>,
}

pub(crate) fn visit(top: &mut Table<'_>, problems: &mut Problems) -> Visit {
    let Some(mut table) = top.section("visit", problems) else { return Visit::default() };
    let visit = Visit {
        date: table.date("date", problems),
        gps_accuracy_m: table.number("gps_accuracy_m", bounds("m", 0.001, 100_000.0), problems),
    };
    table.finish(no_advice, problems);
    visit
}

pub(crate) fn need(top: &mut Table<'_>, problems: &mut Problems) -> Need {
    let Some(mut table) = top.section("need", problems) else { return Need::default() };
    let need = Need {
        people: table.number("people", bounds("people", 1.0, 1_000_000.0), problems),
        litres_per_person_day: table.number(
            "litres_per_person_day",
            bounds("litres", 0.1, 1_000.0),
            problems,
        ),
        other_litres_per_day: table.number(
            "other_litres_per_day",
            bounds("litres", 0.0, 10_000_000.0),
            problems,
        ),
    };
    table.finish(no_advice, problems);
    need
}

pub(crate) fn plan(top: &mut Table<'_>, problems: &mut Problems) -> Plan {
    let Some(mut table) = top.section("plan", problems) else { return Plan::default() };
    let help = "Write methods = [\"hand auger\", …]; an empty list compares all methods.";
    let mut methods = Vec::new();
    for value in table.list("methods", help, problems) {
        let method = Values { toml: table.toml(), problems }.word("methods", value);
        methods.extend(method);
    }
    let plan = Plan {
        methods,
        lift: table.text("lift", problems),
        budget: money(&mut table, "budget", problems),
        alternative: money(&mut table, "alternative", problems),
        start: table.date("start", problems),
        tower_height_m: table.number("tower_height_m", bounds("m", 0.0, 200.0), problems),
        drilling_water_l_per_day: table.number(
            "drilling_water_l_per_day",
            bounds("litres", 0.0, 10_000_000.0),
            problems,
        ),
    };
    table.finish(no_advice, problems);
    plan
}

fn money(plan: &mut Table<'_>, key: &str, problems: &mut Problems) -> Option<Seen<Money>> {
    let mut table = plan.table(key, problems)?;
    let amount = table.number("amount", bounds("money", 0.01, 1e15), problems);
    let currency = table.text("currency", problems);
    let (from, span, toml) = (table.origin(), table.span(), table.toml());
    let whole = (table.has("amount"), table.has("currency"));
    table.finish(no_advice, problems);
    let how = format!("Write {key} = {{ amount = 900, currency = \"USD\" }}.");
    let called = if key == "budget" { "a budget" } else { "the cost of an alternative" };
    for (there, part) in [(whole.0, "amount"), (whole.1, "currency")] {
        if !there {
            let message = format!("{called} without its {part}");
            toml.error(span.clone(), "missing-key", message, &how, problems);
        }
    }
    let currency = currency?;
    let code = currency.value.to_uppercase();
    if code.len() != 3 || !code.chars().all(|c| c.is_ascii_uppercase()) {
        let message = format!("{:?} is not the code of a currency", currency.value);
        let help = "Write its three letters (ISO 4217), such as USD, KES or MWK.";
        problems.error("bad-currency", currency.from, message, help);
        return None;
    }
    Some(Seen::new(Money { amount: amount?.value, currency: code }, from))
}

pub(crate) fn looked_for(top: &mut Table<'_>, problems: &mut Problems) -> BTreeMap<HazardKind, Seen<f64>> {
    let mut found: BTreeMap<HazardKind, Seen<f64>> = BTreeMap::new();
    let Some(mut table) = top.section("looked_for", problems) else { return found };
    for (words, at, value) in table.all() {
        let kind = match HazardKind::from_words(words) {
            Ok(kind) => kind,
            Err(error) => {
                let suggestion = HazardKind::suggested_by(words);
                let help = suggestion.map_or_else(
                    || format!("Write one of: {}.", HazardKind::names()),
                    |kind| format!("Did you mean \"{}\"?", kind.name()),
                );
                table.toml().error(at, "unknown-kind", error.to_string(), help, problems);
                continue;
            }
        };
        if super::toml_value::says_unknown(value) {
            continue;
        }
        let radius = Values { toml: table.toml(), problems }.number(words, value, FARTHEST);
        let Some(radius) = radius else { continue };
        if let Some(earlier) = found.get(&kind) {
            let message = format!("{} is said twice, first in line {}", kind.name(), earlier.from.line);
            table.toml().error(at, "repeated-key", message, "Keep one of the two.", problems);
            continue;
        }
        found.insert(kind, radius);
    }
    found
}

pub(crate) fn ground(top: &mut Table<'_>, problems: &mut Problems) -> Ground {
    let Some(mut table) = top.section("ground", problems) else { return Ground::default() };
    let ground = Ground {
        slope_pct: table.number("slope_pct", bounds("%", 0.0, 200.0), problems),
        slope_towards_deg: table.number("slope_towards_deg", BEARING, problems),
        groundwater_towards_deg: table.number("groundwater_towards_deg", BEARING, problems),
        flooding: table.word("flooding", problems),
        outcrop_m: table.number("outcrop_m", FARTHEST, problems),
        boulders: table.yes_no("boulders", problems),
        hard_laterite: table.yes_no("hard_laterite", problems),
        running_sand: table.yes_no("running_sand", problems),
        gravel: table.yes_no("gravel", problems),
        fissured: table.yes_no("fissured", problems),
        salt_water_m: table.number("salt_water_m", bounds("m", 0.0, 10_000_000.0), problems),
        working_room_m: table.number("working_room_m", FARTHEST, problems),
        access: table.word("access", problems),
        ordnance: table.word("unexploded_ordnance", problems),
    };
    table.finish(no_advice, problems);
    ground
}

pub(crate) fn permission(top: &mut Table<'_>, problems: &mut Problems) -> Permission {
    let Some(mut table) = top.section("permission", problems) else { return Permission::default() };
    let permission =
        Permission { permit: table.word("permit", problems), land: table.word("land", problems) };
    table.finish(no_advice, problems);
    permission
}
