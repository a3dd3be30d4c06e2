//! How much of each item a designed well takes, by its sheet.

use super::super::design::WellDesignSheet;
use super::prices::Item;
use crate::units::Part;

/// How much of an item, and why.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Quantity {
    pub item: Item,
    pub part: Part,
    pub says: &'static str,
}

const ONCE: Part = Part { low: 1.0, value: 1.0, high: 1.0 };

fn sum(a: Part, b: Part) -> Part {
    Part { low: a.low + b.low, value: a.value + b.value, high: a.high + b.high }
}

fn scaled(a: Part, by: f64) -> Part {
    Part { low: a.low * by, value: a.value * by, high: a.high * by }
}

/// What the well takes, in the order of the work.
pub(super) fn of_well(sheet: &WellDesignSheet) -> Vec<Quantity> {
    const G_PER_KG: f64 = 1000.0;
    let (p, f, a) = (&sheet.pipe, &sheet.filling, &sheet.apron);
    let (d, n) = (&sheet.drilling, &sheet.finishing);
    let dry_product = n.doses.first().map_or(Part { low: 0.0, value: 0.0, high: 0.0 }, |d| d.amount.part());
    let rows = [
        (Item::Mobilisation, ONCE, "Crew and gear, there and back."),
        (Item::Drilling, p.depth_m.part(), "The depth of the hole."),
        (Item::DrillingWater, d.water_l.part(), "Clean water on site."),
        (Item::FluidClay, d.clay_kg.part(), "Only where the fluid has to be thickened."),
        (
            Item::Casing,
            sum(p.blind_m.part(), p.sump_m.part()),
            "From its top above ground to the screen, and the sump.",
        ),
        (Item::Screen, p.screen_m.part(), "The length of the screen."),
        (Item::Caps, ONCE, "For one string."),
        (Item::Pack, f.pack_l.part(), "Around the screen and the sump, and above."),
        (Item::SealClay, f.clay_kg.part(), "Right above the pack."),
        (Item::Cement, sum(f.grout_cement_kg.part(), a.cement_kg.part()), "Grout and slab together."),
        (Item::Sand, a.sand_l.part(), "Slab and drain."),
        (Item::Stone, a.stone_l.part(), "Slab and drain."),
        (Item::Steel, a.bars_kg.part(), "Bars both ways."),
        (Item::Development, n.development_h.part(), "Until the water is clear and free of sand."),
        (Item::YieldTest, ONCE, "With the recovery."),
        (
            Item::Chlorine,
            scaled(dry_product, 1.0 / G_PER_KG),
            "By its strength; a weaker product takes more.",
        ),
        (Item::WaterAnalysis, ONCE, "Before anybody drinks."),
        (Item::Lift, ONCE, "Bought after the test."),
        (Item::Supervision, ONCE, "Log, depths and seals."),
    ];
    rows.into_iter().map(|(item, part, says)| Quantity { item, part, says }).collect()
}

/// What a hole takes that turns out dry: nothing is cased, everything is
/// filled.
pub(super) fn of_dry_hole(sheet: &WellDesignSheet) -> Vec<Quantity> {
    let (p, d) = (&sheet.pipe, &sheet.drilling);
    let rows = [
        (Item::Mobilisation, ONCE, "Crew and gear, there and back."),
        (Item::Drilling, p.depth_m.part(), "To the depth at which it is given up."),
        (Item::DrillingWater, d.water_l.part(), "Clean water on site."),
        (Item::FluidClay, d.clay_kg.part(), "Only where the fluid has to be thickened."),
        (Item::Supervision, ONCE, "Log, and the sealing."),
        (Item::FillingAndSealing, ONCE, "From the bottom up, on the same day."),
    ];
    rows.into_iter().map(|(item, part, says)| Quantity { item, part, says }).collect()
}
