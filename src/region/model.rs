//! A region as checked values.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use sha2::{Digest, Sha256};

use super::ExpectedLog;
use crate::diag::Origin;
use crate::survey::{Method, Money};
use crate::units::Unit;

/// How well founded a value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(into = "&'static str")]
pub enum Basis {
    /// Stands in a source that was read.
    Published,
    /// A rule of the trade without a single source.
    CommonPractice,
    /// Recalled and not read again.
    FromMemory,
    /// Fitted to records of wells; the source names them, their number and
    /// the interval.
    LocalRecords,
}

impl Basis {
    /// All there are.
    pub const ALL: [Basis; 4] =
        [Basis::Published, Basis::CommonPractice, Basis::FromMemory, Basis::LocalRecords];

    /// The words used in files and reports.
    pub fn name(self) -> &'static str {
        match self {
            Basis::Published => "published",
            Basis::CommonPractice => "common practice",
            Basis::FromMemory => "from memory",
            Basis::LocalRecords => "local records",
        }
    }

    /// The basis those words stand for.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|b| b.name() == name)
    }
}

impl From<Basis> for &'static str {
    fn from(basis: Basis) -> Self {
        basis.name()
    }
}

/// Which layer set a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Layer {
    /// Built in.
    Defaults,
    /// The hydrogeological setting.
    Setting,
    /// The user's local file.
    Local,
}

/// Which way a limit becomes stricter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Stricter {
    /// A greater value asks more (a distance to keep).
    Greater,
    /// A smaller value asks more (a concentration not to exceed).
    Less,
}

/// Who set a value, and where.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetBy {
    /// The layer.
    pub layer: Layer,
    /// The file and line.
    pub from: Origin,
}

/// One value of a region.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its name, with the unit in it.
    pub name: String,
    /// The value, finite.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Which way it becomes stricter; `None` where neither is.
    pub stricter: Option<Stricter>,
    /// The published source, or where the practice is from.
    pub source: String,
    /// How well founded it is.
    pub basis: Basis,
    /// What it is for, in a sentence.
    pub about: String,
    /// Who set it.
    pub set_by: SetBy,
    /// What other layers asked for and why it was not taken, or that a
    /// stricter value was relaxed and with what reason; sentences for the
    /// report.
    pub notes: Vec<String>,
}

/// A rule switched off by a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct SwitchedOff {
    /// Why.
    pub reason: String,
    /// By whom.
    pub set_by: SetBy,
}

/// How a method fares in a class of ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(into = "&'static str")]
pub enum Suits {
    /// Well.
    Yes,
    /// Slowly or with care.
    Slow,
    /// Only with temporary casing or thick fluid.
    Cased,
    /// Not at all.
    No,
}

impl Suits {
    /// The word used in files.
    pub fn name(self) -> &'static str {
        match self {
            Suits::Yes => "yes",
            Suits::Slow => "slow",
            Suits::Cased => "cased",
            Suits::No => "no",
        }
    }

    /// What the word stands for.
    pub fn from_name(name: &str) -> Option<Self> {
        [Suits::Yes, Suits::Slow, Suits::Cased, Suits::No].into_iter().find(|s| s.name() == name)
    }
}

impl From<Suits> for &'static str {
    fn from(suits: Suits) -> Self {
        suits.name()
    }
}

/// What a drilling method can do in this region.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodProfile {
    /// Greatest depth, metres.
    pub max_depth_m: Figure,
    /// Diameter of the hole, millimetres.
    pub hole_mm: Figure,
    /// Whether the hole must be kept full of fluid.
    pub needs_fluid: bool,
    /// How it fares by class of ground (the class's id in
    /// `crate::ground::MaterialClass`).
    pub suits: BTreeMap<String, Suits>,
    /// Rough cost per metre, in the region's currency.
    pub per_metre: Figure,
    /// Rough cost of bringing crew and gear, in the region's currency.
    pub mobilisation: Figure,
    /// Source of the table above.
    pub source: String,
}

/// What a pump or other lift can do.
#[derive(Debug, Clone, PartialEq)]
pub struct Lift {
    /// Its name in surveys.
    pub name: String,
    /// Greatest depth to the pumping level, metres.
    pub max_m: Figure,
    /// Flow it gives, litres a second.
    pub flow_lps: Figure,
    /// Rough price in the region's currency.
    pub price: Figure,
    /// Least inner diameter of the casing it goes into, millimetres; `None`
    /// where nobody says, or where no casing takes it.
    pub needs_casing_mm: Option<Figure>,
}

/// Well pipe that can be bought, plain and slotted.
#[derive(Debug, Clone, PartialEq)]
pub struct Casing {
    /// What suppliers call it.
    pub name: String,
    /// Outer diameter, millimetres.
    pub outer_mm: Figure,
    /// Inner diameter, millimetres.
    pub inner_mm: Figure,
    /// Width of the slots of the slotted pipe, millimetres.
    pub slot_mm: Figure,
    /// Open share of the face of the slotted pipe.
    pub open_share: Figure,
    /// Price of a plain metre, in the region's currency.
    pub per_metre: Figure,
    /// Price of a slotted metre, in the region's currency.
    pub slotted_per_metre: Figure,
}

impl Casing {
    /// The figure that no pipe can have, and why.
    pub(super) fn impossible(&self) -> Option<(&Figure, &'static str)> {
        let above_zero = |x: f64| x > 0.0;
        if !above_zero(self.inner_mm.value) || self.outer_mm.value <= self.inner_mm.value {
            return Some((&self.inner_mm, "it has to be above 0 and below the outer diameter"));
        }
        if !above_zero(self.slot_mm.value) {
            return Some((&self.slot_mm, "it has to be above 0"));
        }
        let open = self.open_share.value;
        (!above_zero(open) || open >= 1.0).then_some((&self.open_share, "it has to be above 0 and below 1"))
    }
}

/// A kind of thing that can be found out, with what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct AskPrice {
    /// What doing it once costs, in the region's currency, time included.
    pub price: Figure,
    /// What it is, in a few words ("tape the distance").
    pub what: String,
}

/// Wet and dry months.
#[derive(Debug, Clone, PartialEq)]
pub struct Calendar {
    /// Months (1–12) in which the water stands high.
    pub wet_months: BTreeSet<i8>,
    /// Months in which it stands lowest.
    pub driest_months: BTreeSet<i8>,
    /// Latitudes between which the months hold, south first, degrees north;
    /// `None`: wherever the region is used. Beyond them no month is known.
    pub latitudes_deg: Option<(f64, f64)>,
    /// The source.
    pub source: String,
    /// How well founded.
    pub basis: Basis,
    /// Who set it.
    pub set_by: SetBy,
}

impl Calendar {
    /// Whether the months hold at that latitude, degrees north.
    pub fn holds_at(&self, lat_deg: f64) -> bool {
        self.latitudes_deg.is_none_or(|(from, to)| (from..=to).contains(&lat_deg))
    }
}

/// The office whose word decides, and what to ask it.
#[derive(Debug, Clone, PartialEq)]
pub struct Authority {
    /// Its name.
    pub name: String,
    /// What to ask of it.
    pub ask: Vec<String>,
}

/// A region after its layers are laid over one another.
#[derive(Debug, Clone)]
pub struct Region {
    /// Its id: the file's stem.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What ground it stands for, in a paragraph.
    pub about: String,
    /// What the rules compare with.
    pub limits: BTreeMap<String, Figure>,
    /// What the calculations assume where nothing was observed.
    pub priors: BTreeMap<String, Figure>,
    /// Whether distance alone protects in this ground (no in karst and open
    /// rock): the word the fact `fast_ground` starts from.
    pub distance_protects: bool,
    /// Rules that do not hold here.
    pub switched_off: BTreeMap<String, SwitchedOff>,
    /// Weights that replace those of the rules.
    pub weights: BTreeMap<String, f64>,
    /// Methods.
    pub methods: BTreeMap<Method, MethodProfile>,
    /// Pumps and lifts, by name.
    pub lifts: BTreeMap<String, Lift>,
    /// Well pipe, by name.
    pub casings: BTreeMap<String, Casing>,
    /// What finding out costs, by the kind of asking.
    pub asks: BTreeMap<String, AskPrice>,
    /// Logs to be expected where nobody drilled.
    pub expected_logs: Vec<ExpectedLog>,
    /// Months.
    pub calendar: Calendar,
    /// Currency of every price here (ISO 4217).
    pub currency: String,
    /// Who decides.
    pub authority: Option<Authority>,
    /// The layers' files and content hashes, in the order they were laid.
    pub layers: Vec<(String, String)>,
}

impl Region {
    /// Content hash of the layers in their order: the first 16 hexadecimal
    /// digits of the SHA-256 over the hash of each. Where a file lies and what
    /// it is called do not matter.
    pub fn hash(&self) -> String {
        let mut all: String = self.layers.iter().map(|(_, hash)| format!("{hash}\n")).collect();
        // A file is laid otherwise as a setting than as a local file.
        all.push_str(if self.id == super::UNSTATED { "no setting" } else { "setting" });
        Sha256::digest(all.as_bytes()).iter().take(8).map(|b| format!("{b:02x}")).collect()
    }

    /// The same with at most so many virtual bores as the prior of that name
    /// says, for work on many pegs at once; `None` where it sets neither.
    #[must_use]
    pub fn with_bores_at_most(&self, prior: &str) -> Option<Self> {
        let most = self.priors.get(prior)?.value;
        let mut less = self.clone();
        let bores = less.priors.get_mut("virtual_bores")?;
        bores.value = bores.value.min(most);
        Some(less)
    }

    /// An amount in the region's currency.
    pub fn money(&self, amount: f64) -> Money {
        Money { amount, currency: self.currency.clone() }
    }
}
