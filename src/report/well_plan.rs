//! The well to build and its bill as data of the report.

use schemars::JsonSchema;
use serde::Serialize;

use super::build::round;
use crate::facts;
use crate::well::bill::{AmountRange, Bill, BillLine};
use crate::well::design::{Reckoned, WellDesignSheet};

/// The well that the forecast ground asks for. It advises; local codes and
/// licensed practitioners decide.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct WellPlan {
    /// The method: the likeliest.
    pub method: String,
    /// The lift.
    pub lift: String,
    /// Whether the survey names that lift; else it is the cheapest that lifts
    /// from deep enough.
    pub lift_planned: bool,
    /// What the picture of the ground is from.
    pub ground: String,
    /// Likelier pictures of the ground, in which no well can be built.
    pub likelier: Vec<String>,
    /// The picture, from the surface down.
    pub layers: Vec<Layer>,
    /// The well in the shallowest layer it can be built in.
    pub well: Option<Sheet>,
    /// The same in deeper layers, in short.
    pub others: Vec<OtherWell>,
    /// Why none can be built, layer by layer: reason and remedy.
    pub refused: Vec<Refused>,
    /// What it costs.
    pub bill: Option<BillOfQuantities>,
    /// Why there is no bill.
    pub no_bill: Option<String>,
}

/// A layer of the picture of the ground.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Layer {
    /// Its top, metres below ground.
    pub top_m: f64,
    /// Its bottom.
    pub bottom_m: f64,
    /// What it may be, with the chance of each.
    pub may_be: Vec<(String, f64)>,
    /// Whether the method is refused in it.
    pub refuses: bool,
}

/// The sheet of a well.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Sheet {
    /// The layer water is taken from: top, bottom, metres.
    pub aquifer_m: [f64; 2],
    /// What that may be.
    pub aquifer: String,
    /// The pipe to buy.
    pub casing: String,
    /// Diameter of the hole, millimetres.
    pub hole_mm: f64,
    /// Depth of hole and casing, metres: low, likely, high; and so below.
    pub depth_m: [f64; 3],
    /// Top of the screen.
    pub screen_top_m: [f64; 3],
    /// Bottom of the screen.
    pub screen_bottom_m: [f64; 3],
    /// Top of the pack.
    pub pack_top_m: [f64; 3],
    /// Top of the clay seal above the pack.
    pub clay_top_m: [f64; 3],
    /// Bottom of the sanitary seal.
    pub grout_bottom_m: [f64; 3],
    /// The water while pumping.
    pub pumping_level_m: [f64; 3],
    /// Every number, in the order of the work.
    pub numbers: Vec<Number>,
    /// What to mind, what hurts people first.
    pub warnings: Vec<Warning>,
    /// What was assumed.
    pub assumed: Vec<String>,
}

/// A number of the sheet.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Number {
    /// What it is.
    pub what: String,
    /// The low end.
    pub low: f64,
    /// The likeliest.
    pub likely: f64,
    /// The high end.
    pub high: f64,
    /// The unit.
    pub unit: String,
    /// As people read it.
    pub text: String,
    /// What it means.
    pub says: String,
    /// The formula's name.
    pub formula: String,
    /// Where formula and figures are from.
    pub sources: Vec<String>,
    /// The weakest of their bases.
    pub basis: String,
}

/// Something to mind.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Warning {
    /// Whether people may be hurt.
    pub hurts: bool,
    /// What to mind.
    pub text: String,
    /// Where it is from.
    pub source: String,
}

/// A well in a deeper layer.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct OtherWell {
    /// The layer: top, bottom, metres.
    pub aquifer_m: [f64; 2],
    /// What that may be.
    pub aquifer: String,
    /// Depth of the well: low, likely, high, metres.
    pub depth_m: [f64; 3],
}

/// Why a layer holds no well.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Refused {
    /// Why.
    pub reason: String,
    /// What would mend it.
    pub remedy: String,
}

/// What the well costs, amounts as exact decimals.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BillOfQuantities {
    /// The currency of every amount.
    pub currency: String,
    /// The lines in the order of the work.
    pub lines: Vec<Line>,
    /// What is kept back for the unforeseen: low, likely, high.
    pub contingency: [String; 3],
    /// All together.
    pub total: [String; 3],
    /// What a dry hole costs instead.
    pub dry_hole: [String; 3],
}

/// A line of the bill.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Line {
    /// What is bought or done.
    pub item: String,
    /// How much: low, likely, high.
    pub quantity: [String; 3],
    /// What it is counted in.
    pub unit: String,
    /// The price of one.
    pub each: String,
    /// What it costs: low, likely, high.
    pub amount: [String; 3],
    /// Where the price is from.
    pub source: String,
    /// How well founded it is.
    pub basis: String,
}

fn three(r: &Reckoned) -> [f64; 3] {
    [r.low, r.likely, r.high].map(|x| round(x, 3))
}

/// The plan for the report.
pub fn of(p: &facts::WellPlan) -> WellPlan {
    let (bill, no_bill) = match &p.bill {
        Some(Ok(b)) => (Some(bill_of(b)), None),
        Some(Err(e)) => (None, Some(e.clone())),
        None => (None, None),
    };
    let mut refused: Vec<Refused> = Vec::new();
    for r in p.refused.iter().flatten() {
        if !refused.iter().any(|known| known.reason == r.reason) {
            refused.push(Refused { reason: r.reason.clone(), remedy: r.remedy.clone() });
        }
    }
    WellPlan {
        method: p.method.name().to_owned(),
        lift: p.lift.clone(),
        lift_planned: p.lift_planned,
        ground: p.picture.clone(),
        likelier: p.likelier.clone(),
        layers: p
            .layers
            .iter()
            .map(|l| Layer {
                top_m: round(l.top_m, 2),
                bottom_m: round(l.bottom_m, 2),
                may_be: l.classes.iter().map(|(c, chance)| (c.name(), round(*chance, 3))).collect(),
                refuses: l.refuses,
            })
            .collect(),
        well: p.sheets.first().map(sheet),
        others: p
            .sheets
            .iter()
            .skip(1)
            .map(|s| OtherWell {
                aquifer_m: [round(s.aquifer.top_m, 2), round(s.aquifer.bottom_m, 2)],
                aquifer: s.aquifer.ground.clone(),
                depth_m: three(&s.pipe.depth_m),
            })
            .collect(),
        refused,
        bill,
        no_bill,
    }
}

fn sheet(s: &WellDesignSheet) -> Sheet {
    Sheet {
        aquifer_m: [round(s.aquifer.top_m, 2), round(s.aquifer.bottom_m, 2)],
        aquifer: s.aquifer.ground.clone(),
        casing: s.pipe.casing.name.clone(),
        hole_mm: round(s.pipe.hole_mm.likely, 0),
        depth_m: three(&s.pipe.depth_m),
        screen_top_m: three(&s.pipe.screen_top_m),
        screen_bottom_m: three(&s.pipe.screen_bottom_m),
        pack_top_m: three(&s.filling.pack_top_m),
        clay_top_m: three(&s.filling.clay_top_m),
        grout_bottom_m: three(&s.filling.grout_bottom_m),
        pumping_level_m: three(&s.pipe.pumping_level_m),
        numbers: s.numbers().into_iter().map(number).collect(),
        warnings: s
            .warnings
            .iter()
            .map(|w| Warning { hurts: w.hurts, text: w.text.clone(), source: w.source.clone() })
            .collect(),
        assumed: s.assumed.clone(),
    }
}

fn number(r: &Reckoned) -> Number {
    let [low, likely, high] = [r.low, r.likely, r.high].map(|x| round(x, 5));
    let mut sources: Vec<String> =
        r.sources.iter().map(|s| format!("{}: {} ({})", s.of, s.source, s.basis.name())).collect();
    sources.dedup();
    Number {
        what: r.what.to_owned(),
        low,
        likely,
        high,
        unit: r.unit.name().to_owned(),
        text: r.shown(),
        says: r.says.clone(),
        formula: r.formula.to_owned(),
        sources,
        basis: r.basis.name().to_owned(),
    }
}

fn range(a: &AmountRange) -> [String; 3] {
    [a.low, a.likely, a.high].map(|x| x.decimal().to_string())
}

fn bill_of(b: &Bill) -> BillOfQuantities {
    BillOfQuantities {
        currency: b.currency.code().to_owned(),
        lines: b.lines.iter().map(line).collect(),
        contingency: range(&b.contingency),
        total: range(&b.total),
        dry_hole: range(&b.dry_hole.total),
    }
}

fn line(l: &BillLine) -> Line {
    let q = &l.quantity;
    Line {
        item: l.name.to_owned(),
        quantity: [q.low, q.likely, q.high].map(|d| d.normalize().to_string()),
        unit: l.unit.to_owned(),
        each: l.each.decimal().normalize().to_string(),
        amount: range(&l.amount),
        source: l.source.clone(),
        basis: l.basis.name().to_owned(),
    }
}
