//! What is written down once work has begun: the drilling log, the well as it
//! is to be set or was set, and what is tested and looked at before people
//! drink. Depths in metres below ground; `None` is "not observed".

use std::collections::BTreeMap;

use jiff::civil::Date;

use super::{Method, Parameter, Reading, Seen};
use crate::diag::Origin;

/// Temporary casing, which holds the hole open while it is drilled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HoleCasing {
    /// There is none.
    None,
    /// It lies at the peg.
    AtHand,
    /// It stands in the hole, down to its bottom.
    Set,
}

/// How much of the drilling fluid stays in the ground.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FluidLoss {
    /// What goes down comes up.
    None,
    /// The pit sinks.
    Some,
    /// Nothing comes up.
    Total,
}

/// The hole while it goes down.
#[derive(Debug, Clone, Default)]
pub struct Drilling {
    /// The method at work.
    pub method: Option<Seen<Method>>,
    /// The day it began.
    pub started: Option<Seen<Date>>,
    /// Diameter of the hole, millimetres.
    pub hole_mm: Option<Seen<f64>>,
    /// Temporary casing.
    pub casing: Option<Seen<HoleCasing>>,
    /// The depth down to which the payer agreed to go.
    pub agreed_depth_m: Option<Seen<f64>>,
    /// Depth to water in the hole at rest, after it stood for a night.
    pub water_level_m: Option<Seen<f64>>,
    /// The day of that level.
    pub measured: Option<Seen<Date>>,
    /// The log, in the order in which it was written.
    pub progress: Vec<Progress>,
}

/// One row of the drilling log: what was done and met since the row before.
#[derive(Debug, Clone, PartialEq)]
pub struct Progress {
    /// Depth of the hole; that of the row before where nothing was gained.
    pub depth_m: f64,
    /// Minutes at work since the row before.
    pub minutes: Option<Seen<f64>>,
    /// The words that were written for what came up.
    pub material: Option<String>,
    /// The word that was written for how hard it is.
    pub hardness: Option<String>,
    /// Fluid that was lost.
    pub fluid_loss: Option<Seen<FluidLoss>>,
    /// The same, litres for each metre drilled.
    pub fluid_loss_l_per_m: Option<Seen<f64>>,
    /// Whether water was struck.
    pub water_strike: Option<Seen<bool>>,
    /// Whether water flows out of the top by itself.
    pub flows_out: Option<Seen<bool>>,
    /// Whether the wall caves in or the string is held tight.
    pub caving: Option<Seen<bool>>,
    /// Whether gas was smelt or bubbles.
    pub gas: Option<Seen<bool>>,
    /// Electrical conductivity of the water that was struck, µS/cm.
    pub ec_us_cm: Option<Seen<Reading>>,
    /// Anything else; nothing is made of it.
    pub remark: Option<String>,
    /// Where it was written.
    pub from: Origin,
}

/// The well as it is to be set, or was.
#[derive(Debug, Clone, Default)]
pub struct Completion {
    /// Bottom of the casing, its sump included.
    pub depth_m: Option<Seen<f64>>,
    /// Outer diameter of the casing, millimetres.
    pub casing_mm: Option<Seen<f64>>,
    /// Top of the screen.
    pub screen_top_m: Option<Seen<f64>>,
    /// Bottom of the screen.
    pub screen_bottom_m: Option<Seen<f64>>,
    /// Top of the gravel pack.
    pub pack_top_m: Option<Seen<f64>>,
    /// Top of the clay seal on the pack.
    pub clay_top_m: Option<Seen<f64>>,
    /// Bottom of the clay seal on the pack.
    pub clay_bottom_m: Option<Seen<f64>>,
    /// Depth from the ground to which the annulus is sealed at the top.
    pub sanitary_seal_m: Option<Seen<f64>>,
    /// Hours of surging and bailing.
    pub developed_hours: Option<Seen<f64>>,
    /// Whether the water then came clear and without sand.
    pub clear_of_sand: Option<Seen<bool>>,
}

/// One reading of a yield test.
#[derive(Debug, Clone, PartialEq)]
pub struct TestReading {
    /// Minutes since the test began.
    pub time_min: f64,
    /// Depth to water.
    pub level_m: Option<Seen<f64>>,
    /// What is drawn from this moment until another row says otherwise,
    /// litres a second; 0 where the pump stops.
    pub rate_lps: Option<Seen<f64>>,
    /// Where it was written.
    pub from: Origin,
}

/// Questions of a sanitary inspection; yes is a risk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Inspected {
    /// A latrine within 10 m.
    LatrineNear,
    /// The nearest latrine is up-hill.
    LatrineUphill,
    /// Other fouling within 10 m.
    OtherFouling,
    /// Water stands within 2 m.
    PoolsNear,
    /// The drain is missing, broken or blocked.
    DrainBroken,
    /// The fence is missing or lets animals in.
    FenceBroken,
    /// The apron reaches less than 1 m.
    ApronSmall,
    /// Water stands on the apron.
    PoolsOnApron,
    /// The apron is cracked.
    ApronCracked,
    /// The pump is loose where it stands.
    PumpLoose,
}

impl Inspected {
    /// Every question with its key.
    ///
    /// Ten questions as the WHO form for a tubewell with a hand pump is
    /// recalled (Guidelines for drinking-water quality, volume 3, 1997); from
    /// memory, in words of our own.
    pub const ALL: [(Inspected, &'static str); 10] = [
        (Inspected::LatrineNear, "latrine_within_10m"),
        (Inspected::LatrineUphill, "latrine_uphill"),
        (Inspected::OtherFouling, "other_fouling_within_10m"),
        (Inspected::PoolsNear, "water_stands_within_2m"),
        (Inspected::DrainBroken, "drain_broken"),
        (Inspected::FenceBroken, "fence_broken"),
        (Inspected::ApronSmall, "apron_under_1m"),
        (Inspected::PoolsOnApron, "water_stands_on_apron"),
        (Inspected::ApronCracked, "apron_cracked"),
        (Inspected::PumpLoose, "pump_loose"),
    ];

    /// The question as it is asked.
    pub fn question(self) -> &'static str {
        match self {
            Inspected::LatrineNear => "is there a latrine within 10 m",
            Inspected::LatrineUphill => "does the nearest latrine lie higher than the well",
            Inspected::OtherFouling => "is there anything else that fouls within 10 m",
            Inspected::PoolsNear => "does water stand within 2 m",
            Inspected::DrainBroken => "is the drain missing, broken or blocked",
            Inspected::FenceBroken => "is the fence missing, or can animals get in",
            Inspected::ApronSmall => "does the apron reach less than 1 m from the pump",
            Inspected::PoolsOnApron => "does water stand on the apron",
            Inspected::ApronCracked => "is the apron cracked",
            Inspected::PumpLoose => "is the pump loose where it stands",
        }
    }
}

/// What is tested and looked at before people drink.
#[derive(Debug, Clone, Default)]
pub struct HandOver {
    /// The pump that was set, by its name in the region's table of lifts.
    pub pump: Option<Seen<String>>,
    /// Depth of its intake.
    pub pump_depth_m: Option<Seen<f64>>,
    /// Depth to water at rest, just before the test.
    pub rest_level_m: Option<Seen<f64>>,
    /// Whether the test was made with a bailer.
    pub bailed: Option<Seen<bool>>,
    /// Readings of the yield test, in the order of time.
    pub test: Vec<TestReading>,
    /// The day water was taken for testing.
    pub sampled: Option<Seen<Date>>,
    /// Quality of the well's own water.
    pub quality: BTreeMap<Parameter, Seen<Reading>>,
    /// The day of disinfection.
    pub disinfected: Option<Seen<Date>>,
    /// Chlorine in the water while it stood.
    pub dose_mg_l: Option<Seen<f64>>,
    /// How long it stood, hours.
    pub contact_h: Option<Seen<f64>>,
    /// Whether the smell of chlorine was pumped out.
    pub smell_gone: Option<Seen<bool>>,
    /// How far the apron reaches from the pump, metres.
    pub apron_m: Option<Seen<f64>>,
    /// Whether somebody of the users was trained to look after the pump.
    pub caretaker_trained: Option<Seen<bool>>,
    /// Answers of the sanitary inspection; yes is a risk.
    pub inspection: BTreeMap<Inspected, Seen<bool>>,
}
