//! Drilling one drawn ground: the depth at which a hole would be a success,
//! and how far each method gets.
//!
//! # The well
//! A screen runs from a top at least the submergence below the level down to
//! a bottom a sump above the hole's end. What it crosses of ground that bears
//! water is screened, up to the greatest length; the rest is blind pipe. While
//! pumped the water may fall to the submergence above the top of the screen,
//! or to the lift's reach. Only what is screened gives water: ground beside a
//! blind pipe is not counted, which errs on the safe side. Every top and
//! bottom on the step's marks is tried and the best kept, so a deeper level,
//! which only takes tops away and leaves each less drawdown, never helps.

use std::collections::BTreeMap;

use super::super::material::MaterialClass;
use super::ground::DrawnGround;
use super::inputs::{MethodInputs, WellDesign};
use super::supply::{Aquifer, Pumping, gives, greatest_rate_m3_per_day};

/// Cubic metres a day in a litre a second.
const M3_PER_DAY_IN_LPS: f64 = 86.4;
const HOURS_PER_DAY: f64 = 24.0;
/// Lengths that differ by less are the same, metres.
const SAME_M: f64 = 1e-9;

/// How a virtual hole ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Enough good water.
    Success,
    /// The ground stopped it first.
    Refused,
    /// No ground that bears water below the dry-season level within reach.
    Dry,
    /// Too little such ground for the least screen.
    ThinScreen,
    /// Enough screen, too little water.
    LowYield,
    /// Enough water, not good.
    PoorQuality,
}

/// Where one method's hole ended in one drawn ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// How it ended.
    pub outcome: Outcome,
    /// How deep it was drilled, metres.
    pub depth_m: f32,
    /// How deep the method could have got, metres.
    pub reach_m: f32,
    /// The most that the hole as left gives, litres a second.
    pub yield_lps: f32,
}

impl Reached {
    pub(super) const NOWHERE: Reached =
        Reached { outcome: Outcome::Dry, depth_m: 0.0, reach_m: 0.0, yield_lps: 0.0 };
}

/// A method with its chance of refusal by class.
#[derive(Debug)]
pub(super) struct Drill {
    max_depth_m: f64,
    refusal: [f64; MaterialClass::ALL.len()],
}

impl Drill {
    pub(super) fn new(method: &MethodInputs) -> Self {
        let of = |refusal: &BTreeMap<MaterialClass, f64>, class| refusal.get(&class).copied().unwrap_or(1.0);
        Self {
            max_depth_m: method.max_depth_m,
            refusal: MaterialClass::ALL.map(|class| of(&method.refusal, class)),
        }
    }

    /// How deep it gets, and whether the ground stops it there.
    fn reach(&self, ground: &DrawnGround) -> (f64, bool) {
        let mut top_m = 0.0;
        for layer in &ground.layers {
            if top_m >= self.max_depth_m {
                break;
            }
            let chance =
                layer.class.map_or(1.0, |class| self.refusal.get(class as usize).copied().unwrap_or(1.0));
            if layer.firmness < chance {
                return (top_m, true);
            }
            top_m = layer.bottom_m;
        }
        (self.max_depth_m, false)
    }
}

/// The well wanted, in the units of the formulas.
#[derive(Debug)]
pub(super) struct Wanted {
    design: WellDesign,
    rate_m3_per_day: f64,
    pumping: Pumping,
    /// A transmissivity below this times rate over drawdown cannot do.
    least_t_factor: f64,
    marks: usize,
    poor_quality_chance: f64,
}

impl Wanted {
    pub(super) fn new(design: WellDesign, deepest_m: f64, poor_quality_chance: f64) -> Self {
        let pumping = Pumping::new(
            design.pumping_hours / HOURS_PER_DAY,
            design.well_radius_m,
            design.well_loss_d2_per_m5,
            design.u_most,
        );
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "checked to be a small count"
        )]
        let marks = (deepest_m / design.step_m + SAME_M).floor() as usize;
        Self {
            design,
            rate_m3_per_day: design.rate_lps * M3_PER_DAY_IN_LPS,
            least_t_factor: pumping.least_log / (4.0 * std::f64::consts::PI),
            pumping,
            marks,
            poor_quality_chance,
        }
    }

    #[allow(clippy::cast_precision_loss, reason = "a small count")]
    fn depth_of_mark_m(&self, mark: usize) -> f64 {
        mark as f64 * self.design.step_m
    }

    /// The drawdown that a screen with its top at a depth allows.
    fn drawdown_m(&self, top_m: f64, level_m: f64) -> f64 {
        let lowest = top_m - self.design.submergence_m;
        self.design.lift_max_m.map_or(lowest, |lift| lowest.min(lift)) - level_m
    }
}

/// One drawn ground as seen from the marks of the step: running sums from the
/// surface over ground that bears water.
#[derive(Debug, Default)]
pub(super) struct Column {
    marks: Vec<Mark>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Mark {
    depth_m: f64,
    /// Thickness.
    thick_m: f64,
    /// Conductivity times thickness, metres² a day.
    t_m2_per_day: f64,
    /// Storage times thickness.
    store_m: f64,
}

impl Column {
    /// Takes the sums of a drawn ground.
    pub(super) fn take(&mut self, ground: &DrawnGround, wanted: &Wanted) {
        self.marks.clear();
        self.marks.push(Mark::default());
        let mut sum = Mark::default();
        let mut layers = ground.layers.iter();
        let mut layer = layers.next();
        for mark in 1..=wanted.marks {
            let depth_m = wanted.depth_of_mark_m(mark);
            while let Some(l) = layer {
                let to_m = l.bottom_m.min(depth_m);
                let part_m = to_m - sum.depth_m;
                if part_m > 0.0 {
                    if l.k_m_per_day > 0.0 {
                        sum.thick_m += part_m;
                        sum.t_m2_per_day += part_m * l.k_m_per_day;
                        sum.store_m += part_m * l.storage;
                    }
                    sum.depth_m = to_m;
                }
                if l.bottom_m > depth_m {
                    break;
                }
                layer = layers.next();
            }
            sum.depth_m = depth_m;
            self.marks.push(sum);
        }
    }

    /// The first mark at which ground that bears water has been met below the
    /// level.
    pub(super) fn first_water_m(&self, level_m: f64) -> Option<f64> {
        let below = self.marks.partition_point(|m| m.depth_m <= level_m);
        let dry_m = self.thick_above_m(level_m);
        self.marks.get(below..)?.iter().find(|m| m.thick_m > dry_m + SAME_M).map(|m| m.depth_m)
    }

    /// The marks from which a screen may begin, with those below each.
    fn tops(&self, level_m: f64, wanted: &Wanted) -> impl Iterator<Item = (&Mark, &[Mark])> {
        let highest_m = level_m + wanted.design.submergence_m - SAME_M;
        let first = self.marks.partition_point(|m| m.depth_m < highest_m);
        let rest = self.marks.get(first..).unwrap_or_default();
        (0..rest.len()).filter_map(move |i| {
            let (top, below) = rest.get(i..)?.split_first()?;
            // A screen that begins in ground without water is a shorter one.
            (below.first()?.thick_m > top.thick_m).then_some((top, below))
        })
    }

    /// The least depth at which a hole is a success.
    pub(super) fn least_depth_m(&self, level_m: f64, wanted: &Wanted) -> Option<f64> {
        let design = &wanted.design;
        let mut least: Option<f64> = None;
        for (top, below) in self.tops(level_m, wanted) {
            let deepest = least.unwrap_or(f64::MAX);
            if top.depth_m + design.screen_min_m + design.sump_m >= deepest {
                break;
            }
            let drawdown_m = wanted.drawdown_m(top.depth_m, level_m);
            if drawdown_m <= 0.0 {
                continue;
            }
            let least_t = wanted.least_t_factor * wanted.rate_m3_per_day / drawdown_m;
            for (bottom, screened) in screens(top, below, design) {
                let depth_m = bottom.depth_m + design.sump_m;
                if depth_m >= deepest {
                    break;
                }
                if screened.t_m2_per_day >= least_t
                    && gives(&screened, wanted.rate_m3_per_day, drawdown_m, &wanted.pumping)
                {
                    least = Some(depth_m);
                    break;
                }
            }
        }
        least
    }

    /// The most that a hole of a depth gives, litres a second.
    pub(super) fn yield_lps(&self, depth_m: f64, level_m: f64, wanted: &Wanted) -> f64 {
        let end_m = depth_m - wanted.design.sump_m + SAME_M;
        let mut most: f64 = 0.0;
        for (top, below) in self.tops(level_m, wanted) {
            if top.depth_m >= end_m {
                break;
            }
            let drawdown_m = wanted.drawdown_m(top.depth_m, level_m);
            let within = below.get(..below.partition_point(|m| m.depth_m <= end_m)).unwrap_or_default();
            // More screen gives more, save that what is beyond the greatest
            // length may be the tighter part.
            let mut last: [Option<Aquifer>; 2] = [None; 2];
            for (_, screened) in screens(top, within, &wanted.design) {
                last = [last[1], Some(screened)];
            }
            for screened in last.into_iter().flatten() {
                most = most.max(greatest_rate_m3_per_day(&screened, drawdown_m, &wanted.pumping));
            }
        }
        most / M3_PER_DAY_IN_LPS
    }

    /// Thickness of ground that bears water between two depths.
    fn thick_m(&self, from_m: f64, to_m: f64) -> f64 {
        (self.thick_above_m(to_m) - self.thick_above_m(from_m)).max(0.0)
    }

    fn thick_above_m(&self, depth_m: f64) -> f64 {
        let next = self.marks.partition_point(|m| m.depth_m <= depth_m);
        match (next.checked_sub(1).and_then(|i| self.marks.get(i)), self.marks.get(next)) {
            (Some(a), Some(b)) => {
                a.thick_m + (b.thick_m - a.thick_m) * (depth_m - a.depth_m) / (b.depth_m - a.depth_m)
            }
            (Some(a), None) => a.thick_m,
            _ => 0.0,
        }
    }

    /// Drills a method's hole.
    pub(super) fn drill(
        &self,
        ground: &DrawnGround,
        drill: &Drill,
        least_depth_m: Option<f64>,
        wanted: &Wanted,
    ) -> Reached {
        let (reach_m, stopped) = drill.reach(ground);
        let level_m = ground.level_m;
        let least = least_depth_m.filter(|d| *d <= reach_m + SAME_M);
        let (outcome, depth_m) = match least {
            Some(depth_m) if ground.quality < wanted.poor_quality_chance => (Outcome::PoorQuality, depth_m),
            Some(depth_m) => (Outcome::Success, depth_m),
            None if stopped => (Outcome::Refused, reach_m),
            None => {
                let from_m = level_m + wanted.design.submergence_m;
                let screen_m = self.thick_m(from_m, reach_m - wanted.design.sump_m);
                let outcome = if self.thick_m(level_m, reach_m) <= SAME_M {
                    Outcome::Dry
                } else if screen_m + SAME_M < wanted.design.screen_min_m {
                    Outcome::ThinScreen
                } else {
                    Outcome::LowYield
                };
                (outcome, reach_m)
            }
        };
        let yield_lps = self.yield_lps(depth_m, level_m, wanted);
        #[allow(clippy::cast_possible_truncation, reason = "kept compactly")]
        let compact = |x: f64| x as f32;
        Reached {
            outcome,
            depth_m: compact(depth_m),
            reach_m: compact(reach_m),
            yield_lps: compact(yield_lps.min(f64::from(f32::MAX))),
        }
    }
}

/// The bottoms a screen may have below a top, with what it then screens.
fn screens<'a>(
    top: &Mark,
    below: &'a [Mark],
    design: &WellDesign,
) -> impl Iterator<Item = (&'a Mark, Aquifer)> {
    let (top, min_m, max_m, bias) = (*top, design.screen_min_m, design.screen_max_m, design.bias_divisor);
    let mut full = false;
    below
        .iter()
        .map_while(move |bottom| {
            let crossed_m = bottom.thick_m - top.thick_m;
            if full {
                return None;
            }
            full = crossed_m + SAME_M >= max_m;
            Some((bottom, crossed_m))
        })
        .filter(move |(_, crossed_m)| crossed_m + SAME_M >= min_m)
        .map(move |(bottom, crossed_m)| {
            let screened = if crossed_m > max_m { max_m / crossed_m } else { 1.0 };
            let t_m2_per_day = (bottom.t_m2_per_day - top.t_m2_per_day) * screened / bias;
            let storage = (bottom.store_m - top.store_m) / crossed_m;
            (bottom, Aquifer { t_m2_per_day, storage })
        })
}
