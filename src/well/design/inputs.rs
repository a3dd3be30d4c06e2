//! What a design starts from: plain values, whoever found them.

use serde::Serialize;

use crate::ground::{Classes, MaterialClass, grain_size, properties};
use crate::region::{Casing, Lift, MethodProfile};
use crate::survey::Method;
use crate::units::range::{at_least, from_to, positive};
use crate::units::{OutOfRange, Part};

use super::super::grain::uniformity;
use super::figures::DrillingFluid;

/// A layer of one picture of the ground at the peg.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignLayer {
    /// Its top, metres below ground.
    pub top_m: f64,
    /// Its bottom, metres below ground.
    pub bottom_m: f64,
    /// What it may be, each class with its chance; the chances need not add
    /// up to one.
    pub classes: Vec<(MaterialClass, f64)>,
    /// Whether the method is refused in it.
    pub refuses: bool,
}

/// The method and the hole it makes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DesignMethod {
    /// The method.
    pub method: Method,
    /// The diameter of its hole.
    pub hole_mm: f64,
    /// The greatest depth it reaches.
    pub max_depth_m: f64,
    /// How the hole is kept full and cleared.
    pub circulation: Circulation,
}

/// How cuttings come up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Circulation {
    /// With the tool: no fluid runs.
    None,
    /// With the fluid, between the hole and the drill pipe.
    Annulus {
        /// Outer diameter of the drill pipe.
        pipe_mm: f64,
        /// What the pump gives.
        flow_lps: Part,
        /// Whether it is worked by hand.
        by_hand: bool,
    },
    /// With the fluid, inside the drill pipe.
    InPipe {
        /// Bore of the drill pipe.
        bore_mm: f64,
        /// What the strokes lift.
        flow_lps: Part,
    },
}

impl DesignMethod {
    /// That of a method of the region.
    pub fn of(method: Method, profile: &MethodProfile, fluid: &DrillingFluid) -> Self {
        let circulation = match method {
            Method::HandAuger | Method::HandPercussion | Method::HandDigging => Circulation::None,
            Method::Sludging | Method::ToothedSludging => {
                Circulation::InPipe { bore_mm: fluid.sludging_pipe_bore_mm, flow_lps: fluid.sludging_lps }
            }
            Method::Washbore => Circulation::Annulus {
                pipe_mm: fluid.drill_pipe_mm,
                flow_lps: fluid.jetting_pump_lps,
                by_hand: false,
            },
            Method::ManualRotaryJetting => Circulation::Annulus {
                pipe_mm: fluid.drill_pipe_mm,
                flow_lps: fluid.mud_pump_lps,
                by_hand: true,
            },
        };
        let (hole_mm, max_depth_m) = (profile.hole_mm.value, profile.max_depth_m.value);
        Self { method, hole_mm, max_depth_m, circulation }
    }
}

/// The pump or other lift.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignLift {
    /// Its name.
    pub name: String,
    /// Least inner diameter of the casing; `None`: nobody says, or no casing
    /// takes it.
    pub needs_casing_mm: Option<f64>,
    /// Greatest depth to the water while pumping.
    pub max_m: f64,
}

impl DesignLift {
    /// That of a lift of the region.
    pub fn of(lift: &Lift) -> Self {
        let needs_casing_mm = lift.needs_casing_mm.as_ref().map(|f| f.value);
        Self { name: lift.name.clone(), needs_casing_mm, max_m: lift.max_m.value }
    }
}

/// Pipe that can be bought.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CasingSize {
    /// What suppliers call it.
    pub name: String,
    /// Outer diameter.
    pub outer_mm: f64,
    /// Inner diameter.
    pub inner_mm: f64,
    /// Width of the slots of the slotted pipe.
    pub slot_mm: f64,
    /// Open share of the slotted pipe.
    pub open_share: f64,
}

impl CasingSize {
    /// That of a casing of the region.
    pub fn of(casing: &Casing) -> Self {
        Self {
            name: casing.name.clone(),
            outer_mm: casing.outer_mm.value,
            inner_mm: casing.inner_mm.value,
            slot_mm: casing.slot_mm.value,
            open_share: casing.open_share.value,
        }
    }
}

/// A sieved sample of the aquifer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sieve {
    d10_mm: f64,
    d60_mm: f64,
    d50_mm: Option<f64>,
}

impl Sieve {
    /// By the sizes than which 10 and 60 % of the mass are finer, and 50 %
    /// where that was read too.
    ///
    /// # Errors
    /// When they are not above 0, do not rise or lie beyond 200 mm.
    pub fn new(d10_mm: f64, d50_mm: Option<f64>, d60_mm: f64) -> Result<Self, OutOfRange> {
        const COARSEST_MM: f64 = 200.0;
        let d10_mm = positive("d10 (mm)", d10_mm)?;
        let d60_mm = from_to("d60 (mm)", d60_mm, d10_mm, COARSEST_MM)?;
        let d50_mm = match d50_mm {
            Some(d) => Some(from_to("d50 (mm)", d, d10_mm, d60_mm)?),
            None => None,
        };
        Ok(Self { d10_mm, d60_mm, d50_mm })
    }

    /// d₁₀.
    pub fn d10_mm(&self) -> f64 {
        self.d10_mm
    }

    /// d₅₀, between d₁₀ and d₆₀ where it was not read.
    pub fn d50_mm(&self) -> f64 {
        self.d50_mm.unwrap_or_else(|| self.at_share(0.5))
    }

    /// d₆₀/d₁₀.
    pub fn uniformity(&self) -> f64 {
        uniformity(self.d10_mm, self.d60_mm).unwrap_or(1.0)
    }

    /// The size than which a share of the mass is finer, on a straight line
    /// of the logarithm of the size through d₁₀ and d₆₀.
    pub fn at_share(&self, finer: f64) -> f64 {
        self.d10_mm * (self.d60_mm / self.d10_mm).powf((finer.clamp(0.0, 1.0) - 0.1) / 0.5)
    }
}

/// Everything a design starts from.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignInputs {
    /// One picture of the ground, from the surface down.
    pub layers: Vec<DesignLayer>,
    /// The layer to take water from, by its place in `layers`.
    pub aquifer: usize,
    /// Depth to water in the driest month, below ground.
    pub dry_level_m: Part,
    /// Depth to water in the wettest month, below ground.
    pub wet_level_m: Part,
    /// The fall of the water while pumping.
    pub drawdown_m: Part,
    /// The rate wanted.
    pub rate_lps: Part,
    /// How long it is wanted in a day.
    pub hours_per_day: f64,
    /// The method.
    pub method: DesignMethod,
    /// The pump or lift.
    pub lift: DesignLift,
    /// Pipe that can be bought.
    pub casings: Vec<CasingSize>,
    /// A sieved sample of the aquifer, where there is one.
    pub sieve: Option<Sieve>,
}

/// A depth beyond which nothing is drilled by hand, metres.
const DEEPEST_M: f64 = 1000.0;
/// Water may stand so high above the ground, metres.
const HIGHEST_M: f64 = 50.0;

impl DesignInputs {
    /// The layer to take water from.
    pub(super) fn aquifer(&self) -> Option<&DesignLayer> {
        self.layers.get(self.aquifer)
    }

    /// Every figure that no design can start from.
    pub(super) fn faults(&self) -> Vec<OutOfRange> {
        let mut faults = Vec::new();
        let mut keep = |got: Result<f64, OutOfRange>| faults.extend(got.err());
        let mut top = 0.0;
        for layer in &self.layers {
            keep(from_to("the top of a layer (m)", layer.top_m, top, DEEPEST_M));
            keep(from_to("the bottom of a layer (m)", layer.bottom_m, layer.top_m, DEEPEST_M));
            layer.classes.iter().for_each(|(_, chance)| keep(from_to("a chance", *chance, 0.0, 1.0)));
            if layer.bottom_m.is_finite() {
                top = layer.bottom_m;
            }
        }
        for (what, part, from, to) in [
            ("the water level of the driest month (m)", self.dry_level_m, -HIGHEST_M, DEEPEST_M),
            ("the water level of the wettest month (m)", self.wet_level_m, -HIGHEST_M, DEEPEST_M),
            ("the drawdown (m)", self.drawdown_m, 0.0, DEEPEST_M),
            ("the rate (L/s)", self.rate_lps, 0.0, 1000.0),
        ] {
            keep(from_to(what, part.low, from, to));
            keep(from_to(what, part.value, from, to));
            keep(from_to(what, part.high, from, to));
            keep(at_least(what, part.value, part.low));
            keep(at_least(what, part.high, part.value));
        }
        keep(positive("the rate (L/s)", self.rate_lps.low));
        keep(from_to("the hours of pumping a day", self.hours_per_day, 0.0, 24.0));
        let wet = self.wet_level_m.value;
        keep(at_least("the dry level against the wet level (m)", self.dry_level_m.value, wet));
        keep(positive("the diameter of the hole (mm)", self.method.hole_mm));
        keep(from_to("the diameter of the hole (mm)", self.method.hole_mm, 0.0, 10_000.0));
        keep(from_to("the greatest depth of the method (m)", self.method.max_depth_m, 0.0, DEEPEST_M));
        keep(from_to("the greatest depth of the lift (m)", self.lift.max_m, 0.0, DEEPEST_M));
        if let Some(needs) = self.lift.needs_casing_mm {
            keep(from_to("the casing that the lift needs (mm)", needs, 0.0, 10_000.0));
        }
        for casing in &self.casings {
            keep(positive("the inner diameter of a casing (mm)", casing.inner_mm));
            keep(from_to("the outer diameter of a casing (mm)", casing.outer_mm, casing.inner_mm, 10_000.0));
            keep(positive("the slots of a casing (mm)", casing.slot_mm));
        }
        faults
    }
}

impl DesignLayer {
    /// What it may be: the classes with a chance above nothing.
    pub(super) fn may_be(&self) -> Classes {
        let all: Classes = self.likely_classes().map(|(class, _)| class).collect();
        if all.is_empty() { Classes::unknown() } else { all }
    }

    fn likely_classes(&self) -> impl Iterator<Item = (MaterialClass, f64)> {
        self.classes.iter().copied().filter(|(_, chance)| *chance > 0.0)
    }

    /// The range of a quantity over what the layer may be: the outermost
    /// ends, and the mean of the typical values' logarithms by chance;
    /// `None` where no class has it.
    pub(super) fn over_classes(&self, of: impl Fn(MaterialClass) -> Option<Part>) -> Option<Part> {
        let all: Vec<(Part, f64)> =
            self.likely_classes().filter_map(|(class, chance)| Some((of(class)?, chance))).collect();
        let low = all.iter().map(|(p, _)| p.low).min_by(f64::total_cmp)?;
        let high = all.iter().map(|(p, _)| p.high).max_by(f64::total_cmp)?;
        let weight: f64 = all.iter().map(|(_, chance)| chance).sum();
        let mean = all.iter().map(|(p, chance)| p.value.ln() * chance).sum::<f64>() / weight;
        Some(Part { low, value: mean.exp().clamp(low, high), high })
    }

    /// Hydraulic conductivity, metres a day.
    pub(super) fn conductivity_m_per_day(&self) -> Option<Part> {
        self.over_classes(|class| {
            let k = &properties(class)?.k_m_per_day;
            Some(Part { low: k.low, value: k.typical, high: k.high })
        })
    }

    /// The middle grain and the coarsest, mm.
    pub(super) fn grains_mm(&self) -> Option<(Part, Part)> {
        let middle = self.over_classes(|class| {
            let d = &grain_size(class)?.middle_mm;
            Some(Part { low: d.low, value: d.typical, high: d.high })
        })?;
        let coarsest = self.over_classes(|class| {
            let d = &grain_size(class)?.coarsest_mm;
            Some(Part { low: d.low, value: d.typical, high: d.high })
        })?;
        Some((middle, coarsest))
    }
}

/// The layers, by their places, that may bear water below the driest-month
/// level at its shallowest: each is worth a design of its own.
pub fn plausible_aquifers(layers: &[DesignLayer], dry_level_m: Part) -> Vec<usize> {
    let bears = |layer: &DesignLayer| layer.may_be().are(bears_water) != crate::ground::Sure::No;
    layers
        .iter()
        .enumerate()
        .filter(|(_, layer)| layer.bottom_m > dry_level_m.low && !layer.refuses && bears(layer))
        .map(|(place, _)| place)
        .collect()
}

/// Whether ground of a class bears water; `None`: at times, or not known.
pub(super) fn bears_water(class: MaterialClass) -> Option<bool> {
    properties(class).and_then(crate::ground::Properties::bears_water)
}
