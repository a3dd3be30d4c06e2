//! The grains around the screen: whether a pack is needed, how coarse, and
//! how wide the slots may be.

use serde::Serialize;

use crate::ground::{Sure, properties};
use crate::units::{OutOfRange, Part, Unit};

use super::figures::DesignFigures;
use super::formulas;
use super::inputs::{CasingSize, DesignInputs, DesignLayer};
use super::reckoned::{Naming, Reckoned, shown};

/// Whether a pack is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PackNeed {
    /// To hold the ground back.
    HoldsGround,
    /// Only to keep the wall from falling on the screen: the ground is rock.
    SupportsWall,
    /// None: once the fines are drawn out the ground is its own pack.
    OwnPack,
}

/// The grains around the screen.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PackGrain {
    /// Whether a pack is needed.
    pub need: PackNeed,
    /// Why, in a sentence.
    pub why: String,
    /// Whether a sample of the ground was sieved.
    pub sieved: bool,
    /// Middle grain of the ground; `None` in rock.
    pub ground_mm: Option<Part>,
    /// Middle grain of the pack; `None` where the ground is its own, or is
    /// rock.
    pub middle_mm: Option<Reckoned>,
    /// The widest slots that hold back enough.
    pub slot_most_mm: Option<Reckoned>,
    /// Slots of the pipe that is bought.
    pub slot_bought_mm: f64,
    /// Whether those are narrow enough: surely, not, or it cannot be told
    /// before a sample is sieved.
    pub slot_fits: SlotFit,
}

/// Whether slots hold back what they should.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SlotFit {
    /// For any ground the layer may be.
    Fits,
    /// For none.
    TooWide,
    /// Sieve a sample first.
    SieveFirst,
}

const PACK: &[&str] = &["pack_to_ground_low_ratio", "pack_to_ground_high_ratio"];
const SLOT: &[&str] = &["pack_uniformity_most_ratio", "pack_retained_share"];
const OWN: &[&str] = &["natural_retained_share"];

/// Whether the layer can be parted by hand.
fn loose(layer: &DesignLayer) -> Sure {
    layer.may_be().are(|class| properties(class).map(|p| p.unconsolidated))
}

/// The grains around a screen in that layer.
///
/// # Errors
/// When a figure is out of range.
pub(super) fn grain(
    inputs: &DesignInputs,
    layer: &DesignLayer,
    casing: &CasingSize,
    figures: &DesignFigures,
) -> Result<PackGrain, OutOfRange> {
    let fill = &figures.filling;
    let ground_mm = match &inputs.sieve {
        Some(s) => Some(super::reckoned::exactly(s.d50_mm())),
        None => layer.grains_mm().map(|(middle, _)| middle),
    };
    let (need, why) = need(inputs, layer, ground_mm, figures);
    let mut made = PackGrain {
        need,
        why,
        sieved: inputs.sieve.is_some(),
        ground_mm,
        middle_mm: None,
        slot_most_mm: None,
        slot_bought_mm: casing.slot_mm,
        slot_fits: SlotFit::Fits,
    };
    match (need, ground_mm, &inputs.sieve) {
        (PackNeed::HoldsGround, Some(ground), _) => {
            let (low, high) = fill.pack_to_ground;
            let middle = Part {
                low: ground.low * low,
                value: ground.value * f64::midpoint(low, high),
                high: ground.high * high,
            };
            let share = slot_by_middle(fill.pack_uniformity_most, 1.0 - fill.pack_retained_share);
            let says = format!(
                "Rounded grains of quartz, most of them between {} and {} of the middle grain.",
                Unit::One.show(slot_by_middle(fill.pack_uniformity_most, 0.1)),
                Unit::One.show(slot_by_middle(fill.pack_uniformity_most, 0.9)),
            );
            let naming = Naming {
                what: "middle grain of the pack",
                unit: Unit::Millimetre,
                formula: &formulas::PACK_GRAIN,
                figures: PACK,
            };
            made.middle_mm = Some(naming.number(middle, says, figures)?);
            made.slot(
                Part { low: middle.low * share, value: middle.value * share, high: middle.high * share },
                SLOT,
                figures,
            )?;
        }
        (PackNeed::OwnPack, _, Some(sieve)) => {
            let slot = sieve.at_share(1.0 - fill.natural_retained_share);
            made.slot(super::reckoned::exactly(slot), OWN, figures)?;
        }
        _ => {}
    }
    Ok(made)
}

/// A size of the pack by its middle grain, on a straight line of log size by
/// share with the pack's uniformity.
fn slot_by_middle(uniformity: f64, finer: f64) -> f64 {
    uniformity.max(1.0).powf((finer - 0.5) / 0.5)
}

impl PackGrain {
    fn slot(
        &mut self,
        widest: Part,
        rests_on: &'static [&'static str],
        figures: &DesignFigures,
    ) -> Result<(), OutOfRange> {
        let bought = self.slot_bought_mm;
        self.slot_fits = if bought <= widest.low {
            SlotFit::Fits
        } else if bought > widest.high {
            SlotFit::TooWide
        } else {
            SlotFit::SieveFirst
        };
        let says = match self.slot_fits {
            SlotFit::Fits => "The slots of the pipe are narrow enough.".to_owned(),
            SlotFit::TooWide => format!(
                "The slots of the pipe ({}) are too wide: sand comes through. Ask for narrower ones.",
                Unit::Millimetre.show(bought)
            ),
            SlotFit::SieveFirst => format!(
                "Whether slots of {} hold it back cannot be told before a sample of the layer is sieved.",
                Unit::Millimetre.show(bought)
            ),
        };
        let naming = Naming {
            what: "widest slots that hold it back",
            unit: Unit::Millimetre,
            formula: &formulas::SLOT,
            figures: rests_on,
        };
        self.slot_most_mm = Some(naming.number(widest, says, figures)?);
        Ok(())
    }
}

fn need(
    inputs: &DesignInputs,
    layer: &DesignLayer,
    ground_mm: Option<Part>,
    figures: &DesignFigures,
) -> (PackNeed, String) {
    let fill = &figures.filling;
    if let Some(sieve) = &inputs.sieve {
        let coarse = sieve.d10_mm() >= fill.natural_pack_d10_least_mm;
        let mixed = sieve.uniformity() >= fill.natural_pack_uniformity_least;
        let measured = format!(
            "d10 is {}, d60 is {} times that",
            Unit::Millimetre.show(sieve.d10_mm()),
            Unit::One.show(sieve.uniformity())
        );
        return if coarse && mixed {
            (PackNeed::OwnPack, format!("Coarse and mixed enough to make its own pack: {measured}."))
        } else {
            (PackNeed::HoldsGround, format!("Too fine or too even to make its own pack: {measured}."))
        };
    }
    match (loose(layer), ground_mm) {
        (Sure::No, _) => (
            PackNeed::SupportsWall,
            "Rock holds itself back; the pack keeps pieces off the screen.".to_owned(),
        ),
        (_, Some(grain)) => (
            PackNeed::HoldsGround,
            format!(
                "No sample was sieved; ground like this has a middle grain of {}.",
                shown(grain, Unit::Millimetre)
            ),
        ),
        (_, None) => (PackNeed::HoldsGround, "What the ground is, and how coarse, is not known.".to_owned()),
    }
}
