//! What virtual bores are drawn from: every assumption, explicit.

use std::collections::BTreeMap;

use super::super::log::Log;
use super::super::material::{Classes, MaterialClass};
use super::super::properties::Properties;
use crate::region::{MethodProfile, Suits};

/// A log that the ground at the peg may resemble.
#[derive(Debug, Clone, PartialEq)]
pub struct WeightedLog {
    /// How many bores at the peg it is worth (neighbours), or how it compares
    /// with the other prior logs (prior).
    pub weight: f64,
    /// Bottom of each layer, metres below ground, and what it may be. Of
    /// several classes one is drawn, each alike. A layer of which nothing is
    /// understood is taken from what the other logs show at its depth. Rows
    /// of the same ground are one layer.
    pub layers: Vec<(f64, Classes)>,
    /// Whether it ended without being refused. If it was refused at its end,
    /// the ground there refuses every method.
    pub ends_in_soft_ground: bool,
    /// How much of [`VirtualBoreInputs::thickness_error`] its layers have, 0
    /// to 1: none where it was logged at the peg itself.
    pub error_share: f64,
}

impl WeightedLog {
    /// That of a well's log.
    pub fn of(log: &Log, weight: f64, ends_in_soft_ground: bool) -> Self {
        let layers = log.layers.iter().map(|l| (l.bottom_m, l.classes)).collect();
        Self { weight, layers, ends_in_soft_ground, error_share: 1.0 }
    }
}

/// What lies below the deepest log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BelowLogs {
    /// Ground that refuses: what nobody has seen is not counted on.
    Refuses,
    /// More of the last layer.
    GoesOn,
}

/// How deep the water may stand in the driest month, metres below ground;
/// depths above the ground count as 0.
#[derive(Debug, Clone, PartialEq)]
pub enum LevelDistribution {
    /// A normal distribution.
    Normal {
        /// Its median.
        median_m: f64,
        /// Its standard deviation.
        sd_m: f64,
    },
    /// Chances of standing no deeper, with the depth, both rising; straight
    /// lines between them and nothing beyond the first and the last.
    Quantiles(Vec<(f64, f64)>),
}

/// A quantity that spans orders of magnitude: the ends of its 95 % band and
/// its median.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogRange {
    /// The low end, above zero.
    pub low: f64,
    /// The median.
    pub typical: f64,
    /// The high end.
    pub high: f64,
}

/// What ground of a class does with water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundClass {
    /// Hydraulic conductivity, metres a day.
    pub k_m_per_day: LogRange,
    /// Storage, share of the volume, above zero.
    pub storage: f64,
    /// The chance that a layer of it can be screened for water.
    pub bears_water: f64,
    /// Whether a bore that ended above it in soft ground cannot have been in
    /// it: a log with such ground above another's end says nothing of what
    /// lies below that end.
    pub is_rock: bool,
}

impl GroundClass {
    /// That of a class's properties. `when_at_times`: the chance that ground
    /// which bears water at times does so; `least_storage`: the least storage
    /// where the specific yield may be zero. Ground that cannot be parted by
    /// hand counts as rock.
    pub fn of(properties: &Properties, when_at_times: f64, least_storage: f64) -> Self {
        let k = &properties.k_m_per_day;
        Self {
            k_m_per_day: LogRange { low: k.low, typical: k.typical, high: k.high },
            storage: properties.specific_yield.typical.max(least_storage),
            bears_water: properties.bears_water().map_or(when_at_times, f64::from),
            is_rock: !properties.unconsolidated,
        }
    }
}

/// What a method can do.
#[derive(Debug, Clone, PartialEq)]
pub struct MethodInputs {
    /// Its name.
    pub name: String,
    /// Greatest depth, metres.
    pub max_depth_m: f64,
    /// The chance that a layer of a class refuses it, by class: 1 where it
    /// does not suit, 0 where it does.
    pub refusal: BTreeMap<MaterialClass, f64>,
    /// Cost of bringing crew and gear.
    pub mobilisation: f64,
    /// Cost per metre, in the same currency.
    pub per_metre: f64,
}

impl MethodInputs {
    /// That of a method of the region. `refuses`: the chance that ground
    /// refuses the method, by how the method fares in it; `None` where the
    /// region does not say.
    pub fn of(name: &str, profile: &MethodProfile, refuses: impl Fn(Option<Suits>) -> f64) -> Self {
        let chance = |class: MaterialClass| (class, refuses(profile.suits.get(class.id()).copied()));
        Self {
            name: name.to_owned(),
            max_depth_m: profile.max_depth_m.value,
            refusal: MaterialClass::ALL.into_iter().map(chance).collect(),
            mobilisation: profile.mobilisation.value,
            per_metre: profile.per_metre.value,
        }
    }
}

/// The well wanted, and how its yield is judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WellDesign {
    /// The rate wanted, litres a second.
    pub rate_lps: f64,
    /// How long it is wanted at a stretch, hours.
    pub pumping_hours: f64,
    /// Radius of the hole, metres.
    pub well_radius_m: f64,
    /// Least length of screen in ground that bears water, metres.
    pub screen_min_m: f64,
    /// Greatest length of screen, metres.
    pub screen_max_m: f64,
    /// How far the water must stand above the screen while pumped, metres.
    pub submergence_m: f64,
    /// Blind pipe below the screen, metres.
    pub sump_m: f64,
    /// Deepest pumping level the lift can draw from, metres below ground;
    /// `None`: not a limit.
    pub lift_max_m: Option<f64>,
    /// What the transmissivity is divided by, for what single-well figures
    /// promise too much (Halford, Weight & Schreiber 2006 found a factor of 2
    /// on average).
    pub bias_divisor: f64,
    /// Well loss coefficient, day²/m⁵ (drawdown in metres over the square of
    /// the rate in cubic metres a day).
    pub well_loss_d2_per_m5: f64,
    /// Greatest u for which the Cooper–Jacob formula is used as it stands
    /// (Kruseman & de Ridder: 0.05 to 0.1).
    pub u_most: f64,
    /// How far a hole is deepened at a time before it is judged again, and
    /// the step of every curve over depth, metres.
    pub step_m: f64,
}

/// Everything virtual bores are drawn from.
#[derive(Debug, Clone, PartialEq)]
pub struct VirtualBoreInputs {
    /// Logs of neighbours and trial bores.
    pub logs: Vec<WeightedLog>,
    /// The region's prior logs.
    pub prior_logs: Vec<WeightedLog>,
    /// How many bores at the peg the prior logs are worth together.
    pub prior_worth: f64,
    /// Relative error (one standard deviation of its logarithm) of a layer's
    /// thickness at the peg against the log.
    pub thickness_error: f64,
    /// What lies below the deepest log.
    pub below_logs: BelowLogs,
    /// The water level in the driest month.
    pub level: LevelDistribution,
    /// What ground does with water, for every class a log may hold.
    pub ground: BTreeMap<MaterialClass, GroundClass>,
    /// The methods to compare.
    pub methods: Vec<MethodInputs>,
    /// The well wanted.
    pub design: WellDesign,
    /// The chance that water found is of poor quality.
    pub poor_quality_chance: f64,
    /// How many bores.
    pub bores: u32,
    /// Seed of the random numbers.
    pub seed: u64,
}

/// Inputs that no bore can be drawn from.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum InputFault {
    /// A number is not finite or outside what it may be.
    #[error("{0} is not a number that can be used")]
    Number(&'static str),
    /// No log has a layer and a weight.
    #[error("no log, of a neighbour or of the region, says what the ground is")]
    NoGround,
    /// No method is given.
    #[error("no method is given")]
    NoMethod,
    /// No bore is asked for.
    #[error("no virtual bore is asked for")]
    NoBores,
    /// A log's layers do not go down.
    #[error("a log's layers do not each end below the one above")]
    Layers,
    /// A class in a log or its chance of refusal has no figures.
    #[error("nothing is said of ground of the class `{0}`")]
    Ground(&'static str),
    /// The step is too fine for the depth.
    #[error("the step is too fine for the depth the methods reach")]
    Step,
}

/// Beyond these no quantity of a well lies, and no product of a few of them
/// leaves the numbers.
const LEAST: f64 = 1e-30;
const MOST: f64 = 1e12;

/// The most steps a hole may be judged in, for the sake of memory.
const MOST_STEPS: f64 = 20_000.0;

impl VirtualBoreInputs {
    pub(super) fn check(&self) -> Result<(), InputFault> {
        self.check_design()?;
        self.check_level()?;
        positive_or_zero("worth of the prior logs", self.prior_worth)?;
        positive_or_zero("error of a layer's thickness", self.thickness_error)?;
        chance("chance of poor quality", self.poor_quality_chance)?;
        if self.bores == 0 {
            return Err(InputFault::NoBores);
        }
        if self.methods.is_empty() {
            return Err(InputFault::NoMethod);
        }
        for ground in self.ground.values() {
            let LogRange { low, typical, high } = ground.k_m_per_day;
            positive("conductivity", low)?;
            if !(low <= typical && typical <= high && high <= MOST) {
                return Err(InputFault::Number("conductivity"));
            }
            positive("storage", ground.storage)?;
            chance("chance to bear water", ground.bears_water)?;
        }
        let mut used = Classes::NONE;
        for log in self.logs.iter().chain(&self.prior_logs) {
            positive_or_zero("weight of a log", log.weight)?;
            chance("share of the error of a log", log.error_share)?;
            let mut top = 0.0;
            for (to_m, classes) in &log.layers {
                if !(*to_m > top && *to_m <= MOST) || classes.is_empty() {
                    return Err(InputFault::Layers);
                }
                top = *to_m;
                if !classes.is_unknown() {
                    used = used.or(*classes);
                }
            }
        }
        if let Some(class) = used.iter().find(|c| !self.ground.contains_key(c)) {
            return Err(InputFault::Ground(class.id()));
        }
        for method in &self.methods {
            positive("depth of a method", method.max_depth_m)?;
            if method.max_depth_m / self.design.step_m > MOST_STEPS {
                return Err(InputFault::Step);
            }
            positive_or_zero("price of a method", method.mobilisation)?;
            positive_or_zero("price of a method", method.per_metre)?;
            for class in self.ground.keys() {
                let refuses = method.refusal.get(class).ok_or(InputFault::Ground(class.id()))?;
                chance("chance of refusal", *refuses)?;
            }
        }
        Ok(())
    }

    fn check_design(&self) -> Result<(), InputFault> {
        let d = &self.design;
        positive("rate", d.rate_lps)?;
        positive("hours of pumping", d.pumping_hours)?;
        positive("radius of the hole", d.well_radius_m)?;
        positive("least length of screen", d.screen_min_m)?;
        positive("greatest length of screen", d.screen_max_m)?;
        positive_or_zero("submergence", d.submergence_m)?;
        positive_or_zero("sump", d.sump_m)?;
        positive_or_zero("greatest lift", d.lift_max_m.unwrap_or_default())?;
        positive("bias allowance", d.bias_divisor)?;
        positive_or_zero("well loss", d.well_loss_d2_per_m5)?;
        positive("greatest u", d.u_most)?;
        positive("step", d.step_m)?;
        if d.screen_max_m < d.screen_min_m {
            return Err(InputFault::Number("greatest length of screen"));
        }
        // Above this the logarithm would grow with the transmissivity faster
        // than the transmissivity itself.
        if 2.25 / (4.0 * d.u_most) < std::f64::consts::E {
            return Err(InputFault::Number("greatest u"));
        }
        Ok(())
    }

    fn check_level(&self) -> Result<(), InputFault> {
        const LEVEL: &str = "water level";
        match &self.level {
            LevelDistribution::Normal { median_m, sd_m } => {
                positive_or_zero(LEVEL, *sd_m)?;
                if median_m.abs() <= MOST { Ok(()) } else { Err(InputFault::Number(LEVEL)) }
            }
            LevelDistribution::Quantiles(points) => {
                let rising = |f: fn(&(f64, f64)) -> f64| points.iter().map(f).is_sorted();
                let good = points.iter().all(|(p, z)| (0.0..=1.0).contains(p) && z.abs() <= MOST);
                let usable = good && !points.is_empty() && rising(|x| x.0) && rising(|x| x.1);
                if usable { Ok(()) } else { Err(InputFault::Number(LEVEL)) }
            }
        }
    }
}

fn positive(what: &'static str, x: f64) -> Result<(), InputFault> {
    if (LEAST..=MOST).contains(&x) { Ok(()) } else { Err(InputFault::Number(what)) }
}

fn positive_or_zero(what: &'static str, x: f64) -> Result<(), InputFault> {
    if (0.0..=MOST).contains(&x) { Ok(()) } else { Err(InputFault::Number(what)) }
}

fn chance(what: &'static str, p: f64) -> Result<(), InputFault> {
    if (0.0..=1.0).contains(&p) { Ok(()) } else { Err(InputFault::Number(what)) }
}
