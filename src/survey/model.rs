//! The survey as checked values.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;

use super::{HazardKind, Method, Position, Seen, Shape};
use crate::diag::Origin;

/// Everything observed around one peg.
#[derive(Debug, Clone)]
pub struct Survey {
    /// The survey file, as named in origins.
    pub file: Arc<str>,
    /// The setting named in the survey (`region = "…"`), if any.
    pub region: Option<Seen<String>>,
    /// The spot.
    pub peg: Peg,
    /// When it was visited.
    pub visited: Option<Seen<Date>>,
    /// Who needs the water.
    pub need: Need,
    /// What is planned.
    pub plan: Plan,
    /// How far around the peg each kind of hazard was searched for, metres.
    pub looked_for: BTreeMap<HazardKind, Seen<f64>>,
    /// What was found.
    pub hazards: Vec<Hazard>,
    /// Neighbours and trial bores.
    pub wells: Vec<Well>,
    /// Signs seen at the peg.
    pub ground: Ground,
    /// Papers and consent.
    pub permission: Permission,
    /// Rows and features that could not be used: the verdict cannot then be
    /// better than "find out first".
    pub left_out: Vec<LeftOut>,
}

/// The spot where the well is proposed.
#[derive(Debug, Clone)]
pub struct Peg {
    /// What people call it.
    pub name: Seen<String>,
    /// Where it is.
    pub at: Seen<Position>,
    /// Height above any stated level, metres.
    pub elevation_m: Option<Seen<f64>>,
    /// How far that may be off, nineteen times in twenty, metres.
    pub elevation_accuracy_m: Option<Seen<f64>>,
}

/// Who needs how much water.
#[derive(Debug, Clone, Default)]
pub struct Need {
    /// People who will use the well.
    pub people: Option<Seen<f64>>,
    /// Litres for each of them a day; the region's figure where not stated.
    pub litres_per_person_day: Option<Seen<f64>>,
    /// Litres a day for animals and gardens.
    pub other_litres_per_day: Option<Seen<f64>>,
}

/// What is planned.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// Methods at hand; empty: every method is compared.
    pub methods: Vec<Seen<Method>>,
    /// The pump or lift, by the name in the region's table of lifts.
    pub lift: Option<Seen<String>>,
    /// Money set aside.
    pub budget: Option<Seen<Money>>,
    /// What another way to the same water would cost: another peg, a machine
    /// rig, an old well put in order, rainwater.
    pub alternative: Option<Seen<Money>>,
    /// When drilling is to start.
    pub start: Option<Seen<Date>>,
    /// Height of the tower, tripod or longest raised pipe, metres.
    pub tower_height_m: Option<Seen<f64>>,
    /// Litres of drilling water that can be brought to the peg in a day.
    pub drilling_water_l_per_day: Option<Seen<f64>>,
}

/// An amount in a currency (ISO 4217 code).
#[derive(Debug, Clone, PartialEq)]
pub struct Money {
    /// The amount, finite and not negative.
    pub amount: f64,
    /// The currency code, upper case.
    pub currency: String,
}

/// Something that can foul, endanger or obstruct the well.
#[derive(Debug, Clone)]
pub struct Hazard {
    /// What it is.
    pub kind: HazardKind,
    /// The words that were written for it, where they differ from the kind's
    /// name.
    pub written_as: Option<String>,
    /// What people call it; may be empty.
    pub name: String,
    /// Its position; for a shape that is not a point, the accuracy and frame
    /// hold for the shape and `at` is its first place.
    pub position: Position,
    /// Its shape on the ground.
    pub shape: Shape,
    /// Depth of its pit below ground, metres.
    pub pit_depth_m: Option<Seen<f64>>,
    /// Where it was written.
    pub from: Origin,
}

/// How a well was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Made {
    /// Dug wide enough to stand in.
    Dug,
    /// Drilled by hand.
    HandDrilled,
    /// Drilled by a machine.
    MachineDrilled,
    /// A trial bore for this survey.
    TrialBore,
}

/// What became of a well.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WellOutcome {
    /// Gives water people use.
    InUse,
    /// No water.
    Dry,
    /// Fails in some months.
    Seasonal,
    /// Too little water.
    LowYield,
    /// Salty.
    Salty,
    /// Fouled.
    Contaminated,
    /// Stopped on rock before water.
    RefusedOnRock,
    /// Fell in.
    Collapsed,
    /// Given up for another reason.
    Abandoned,
}

/// The season a water level was read in, where the surveyor says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Season {
    /// The rains, or soon after: water high.
    Wet,
    /// The end of the dry months: water low.
    Dry,
}

/// An existing well or trial bore.
#[derive(Debug, Clone)]
pub struct Well {
    /// What people call it; may be empty.
    pub name: String,
    /// Where it is.
    pub position: Position,
    /// Height above the same level as the peg's, metres.
    pub elevation_m: Option<Seen<f64>>,
    /// How far that may be off, nineteen times in twenty, metres.
    pub elevation_accuracy_m: Option<Seen<f64>>,
    /// How it was made.
    pub made: Option<Seen<Made>>,
    /// Total depth below ground, metres.
    pub depth_m: Option<Seen<f64>>,
    /// Depth to water below ground, metres.
    pub water_level_m: Option<Seen<f64>>,
    /// When the level was read.
    pub measured: Option<Seen<Date>>,
    /// The season of the level, where stated.
    pub season: Option<Seen<Season>>,
    /// The lowest level people remember in the dry months, metres below
    /// ground.
    pub lowest_level_m: Option<Seen<f64>>,
    /// What became of it.
    pub outcome: Option<Seen<WellOutcome>>,
    /// Whether only its pump or headworks are broken while the well is good.
    pub pump_broken: Option<Seen<bool>>,
    /// Yield, litres a second.
    pub yield_lps: Option<Seen<f64>>,
    /// Drawdown at that yield, metres.
    pub drawdown_m: Option<Seen<f64>>,
    /// What was met with depth; empty: no log. Layers follow one another
    /// downwards.
    pub log: Vec<Layer>,
    /// Water quality, by parameter.
    pub quality: BTreeMap<Parameter, Seen<Reading>>,
    /// Where it was written.
    pub from: Origin,
}

/// One layer of a log.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Depth of its bottom, metres below ground; its top is the bottom of
    /// the layer above, or the ground.
    pub to_m: f64,
    /// The words that were written for the material.
    pub material: String,
    /// The word that was written for how hard it is.
    pub hardness: Option<String>,
    /// Where it was written.
    pub from: Origin,
}

/// A measure of water quality.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Parameter {
    /// Electrical conductivity, µS/cm.
    Ec,
    /// Arsenic, mg/L.
    Arsenic,
    /// Fluoride, mg/L.
    Fluoride,
    /// Nitrate as NO3, mg/L.
    Nitrate,
    /// Iron, mg/L.
    Iron,
    /// Manganese, mg/L.
    Manganese,
    /// E. coli or thermotolerant coliforms, colony-forming units in 100 mL.
    Ecoli,
}

impl Parameter {
    /// Every parameter.
    pub const ALL: [Parameter; 7] = [
        Parameter::Ec,
        Parameter::Arsenic,
        Parameter::Fluoride,
        Parameter::Nitrate,
        Parameter::Iron,
        Parameter::Manganese,
        Parameter::Ecoli,
    ];

    /// The key in a survey, with its unit.
    pub fn key(self) -> &'static str {
        match self {
            Parameter::Ec => "ec_us_cm",
            Parameter::Arsenic => "arsenic_mg_l",
            Parameter::Fluoride => "fluoride_mg_l",
            Parameter::Nitrate => "nitrate_mg_l",
            Parameter::Iron => "iron_mg_l",
            Parameter::Manganese => "manganese_mg_l",
            Parameter::Ecoli => "e_coli_cfu_100ml",
        }
    }
}

/// A quality reading: a value, or "less than" a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The value, or the detection limit; finite and not negative.
    pub value: f64,
    /// Written as `< value`.
    pub below: bool,
}

/// How often the peg is under flood water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flooding {
    /// Not in living memory.
    Never,
    /// In some years.
    SomeYears,
    /// Every year.
    EveryYear,
}

/// Whether explosives from past fighting may lie in the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ordnance {
    /// Asked, and nobody has reason to think so.
    NoneKnown,
    /// Cleared by those whose work it is.
    Cleared,
    /// Suspected.
    Suspected,
}

/// How things can be brought to the peg in the season of the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// By vehicle.
    Vehicle,
    /// By cart or animal.
    Cart,
    /// Carried.
    OnFoot,
    /// Cut off.
    None,
}

/// Signs seen at the peg.
#[derive(Debug, Clone, Default)]
pub struct Ground {
    /// Fall of the ground, per cent.
    pub slope_pct: Option<Seen<f64>>,
    /// The bearing the ground falls towards, degrees from true north.
    pub slope_towards_deg: Option<Seen<f64>>,
    /// The bearing groundwater flows towards, where someone has worked it
    /// out, degrees from true north.
    pub groundwater_towards_deg: Option<Seen<f64>>,
    /// Flooding.
    pub flooding: Option<Seen<Flooding>>,
    /// Distance to the nearest rock outcrop, metres.
    pub outcrop_m: Option<Seen<f64>>,
    /// Whether boulders or cobbles were seen or are told of.
    pub boulders: Option<Seen<bool>>,
    /// Whether hard laterite (cuirass) was seen or is told of.
    pub hard_laterite: Option<Seen<bool>>,
    /// Whether running sand is told of by well diggers.
    pub running_sand: Option<Seen<bool>>,
    /// Whether coarse gravel was seen or is told of.
    pub gravel: Option<Seen<bool>>,
    /// Whether the rock is open: fissures, caves, sinkholes.
    pub fissured: Option<Seen<bool>>,
    /// Distance to the sea, a salt lake or salty ground, metres.
    pub salt_water_m: Option<Seen<f64>>,
    /// Radius of level, clear ground around the peg, metres.
    pub working_room_m: Option<Seen<f64>>,
    /// Access in the season of the work.
    pub access: Option<Seen<Access>>,
    /// Explosives from past fighting.
    pub ordnance: Option<Seen<Ordnance>>,
}

/// The state of a paper or consent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Consent {
    /// In hand.
    Yes,
    /// Asked for, no answer yet.
    Applied,
    /// Not needed here, as the authority says.
    NotNeeded,
    /// Refused, or nobody asked.
    No,
}

/// Papers and consent.
#[derive(Debug, Clone, Default)]
pub struct Permission {
    /// Permit to drill.
    pub permit: Option<Seen<Consent>>,
    /// Consent of whoever holds the land.
    pub land: Option<Seen<Consent>>,
}

/// A row or feature that could not be used.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// Where it stands.
    pub from: Origin,
    /// Why it could not be used.
    pub why: String,
}
