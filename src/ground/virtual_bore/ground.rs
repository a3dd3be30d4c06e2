//! One drawn ground: layers down to where the deepest method ends, and one
//! dry-season level.
//!
//! # Below a log's end
//! What lies below the end of a log is taken from another log that goes
//! deeper and has no rock above that end, drawn by weight, and so on down.
//! This is Efron's redistribution to the right (Efron 1967, Proc. 5th
//! Berkeley Symp. 4:831; from memory): the share of bores refused above each
//! depth is then that of the weighted product-limit curve.

use super::super::material::{Classes, MaterialClass};
use super::super::properties::lognormal;
use super::inputs::{BelowLogs, GroundClass, LevelDistribution, VirtualBoreInputs};
use super::normal::standard_normal_quantile;
use crate::stats::Random;

/// No ground lets more through, metres a day: keeps a range of any width
/// within the numbers.
const MOST_K: f64 = 1e12;

/// One layer of a drawn ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct DrawnLayer {
    pub(super) bottom_m: f64,
    /// `None`: ground that refuses every method.
    pub(super) class: Option<MaterialClass>,
    /// Metres a day; 0 where it cannot be screened for water.
    pub(super) k_m_per_day: f64,
    pub(super) storage: f64,
    /// It refuses a method whose chance of refusal is greater than this.
    pub(super) firmness: f64,
}

/// One drawn ground.
#[derive(Debug, Clone, Default)]
pub(super) struct DrawnGround {
    pub(super) layers: Vec<DrawnLayer>,
    /// Below this no log shows anything.
    pub(super) seen_to_m: f64,
    /// The log it began with: neighbours' first, then the prior's, in the
    /// order given.
    pub(super) log: u32,
    pub(super) level_m: f64,
    /// Where between 0 and 1 the quality of its water stands.
    pub(super) quality: f64,
    /// How firm ground of each class met so far is: one draw a bore, because
    /// whoever gets through a class once gets through it again farther down.
    firmness: [Option<f64>; MaterialClass::ALL.len()],
}

/// The logs and figures that grounds are drawn from.
#[derive(Debug)]
pub(super) struct Grounds<'a> {
    /// By the depth to which each says something of ground below others.
    logs: Vec<Source>,
    /// Sums of weight before each log, and of all at the end.
    before: Vec<f64>,
    classes: [Option<GroundClass>; MaterialClass::ALL.len()],
    /// The classes a layer may be of which no log says anything.
    any: Classes,
    level: &'a LevelDistribution,
    thickness_error: f64,
    below_logs: BelowLogs,
    deepest_m: f64,
}

#[derive(Debug)]
struct Source {
    index: u32,
    weight: f64,
    layers: Vec<SourceLayer>,
    end_m: f64,
    soft_end: bool,
    /// The top of its rock, or its end.
    reach_m: f64,
    error_share: f64,
}

#[derive(Debug, Clone, Copy)]
struct SourceLayer {
    top_m: f64,
    bottom_m: f64,
    classes: Classes,
}

impl<'a> Grounds<'a> {
    /// `None` where no log has a layer and a weight.
    pub(super) fn new(inputs: &'a VirtualBoreInputs) -> Option<Self> {
        let ground = |class: MaterialClass| inputs.ground.get(&class);
        let prior_weight: f64 =
            inputs.prior_logs.iter().filter(|l| !l.layers.is_empty()).map(|l| l.weight).sum();
        let scale = if prior_weight > 0.0 { inputs.prior_worth / prior_weight } else { 0.0 };
        let scaled = inputs.logs.iter().map(|l| (l, 1.0)).chain(inputs.prior_logs.iter().map(|l| (l, scale)));
        let is_rock = |classes: Classes| {
            !classes.is_unknown() && classes.iter().all(|c| ground(c).is_some_and(|g| g.is_rock))
        };
        let mut logs: Vec<Source> = (0u32..)
            .zip(scaled)
            .filter_map(|(index, (log, scale))| {
                let layers = merged(&log.layers);
                let end_m = layers.last()?.bottom_m;
                let reach_m = layers.iter().find(|l| is_rock(l.classes)).map_or(end_m, |l| l.top_m);
                let soft_end = log.ends_in_soft_ground;
                let error_share = log.error_share;
                Some(Source {
                    index,
                    weight: log.weight * scale,
                    layers,
                    end_m,
                    soft_end,
                    reach_m,
                    error_share,
                })
            })
            .filter(|s| s.weight > 0.0)
            .collect();
        logs.sort_by(|a, b| a.reach_m.total_cmp(&b.reach_m).then(a.index.cmp(&b.index)));
        let mut sum = 0.0;
        let mut before = vec![0.0];
        for log in &logs {
            sum += log.weight;
            before.push(sum);
        }
        (sum > 0.0).then(|| Self {
            logs,
            before,
            classes: MaterialClass::ALL.map(|class| ground(class).copied()),
            any: inputs.ground.keys().copied().filter(|c| *c != MaterialClass::Unknown).collect(),
            level: &inputs.level,
            thickness_error: inputs.thickness_error,
            below_logs: inputs.below_logs,
            deepest_m: inputs.methods.iter().map(|m| m.max_depth_m).fold(0.0, f64::max),
        })
    }

    /// How many bores the logs are worth together: a weight is already that.
    pub(super) fn bores(&self) -> f64 {
        self.logs.iter().map(|l| l.weight).sum()
    }

    /// The share of the weight that logs from number `first` on have.
    pub(super) fn share_from(&self, first: usize) -> f64 {
        let sum: f64 = self.logs.iter().map(|l| l.weight).sum();
        let from = self.logs.iter().filter(|l| l.index as usize >= first).map(|l| l.weight).sum::<f64>();
        from / sum
    }

    /// Draws one ground into `into`.
    pub(super) fn draw(&self, random: &mut Random, into: &mut DrawnGround) {
        into.layers.clear();
        into.level_m = level_at(self.level, random.uniform());
        into.quality = random.uniform();
        into.firmness = [None; MaterialClass::ALL.len()];
        let mut from_m = 0.0;
        let mut bottom_m = 0.0;
        let mut source = self.pick(0, random.uniform());
        into.log = source.map_or(0, |s| s.index);
        while let Some(log) = source {
            let first = log.layers.partition_point(|l| l.bottom_m <= from_m);
            for layer in log.layers.iter().skip(first) {
                let thickness_m = layer.bottom_m - layer.top_m.max(from_m);
                let middle_m = f64::midpoint(layer.top_m.max(from_m), layer.bottom_m);
                bottom_m += thickness_m * self.stretch(log.error_share, random.uniform());
                let drawn = self.layer(layer.classes, middle_m, bottom_m, random, &mut into.firmness);
                self.push_wet_or_dry(drawn, into);
                if bottom_m >= self.deepest_m {
                    into.seen_to_m = self.deepest_m;
                    return;
                }
            }
            from_m = log.end_m;
            if !log.soft_end {
                into.seen_to_m = self.deepest_m;
                into.layers.push(refusing(self.deepest_m));
                return;
            }
            let deeper = self.logs.partition_point(|l| l.reach_m <= from_m);
            source = self.pick(deeper, random.uniform());
        }
        into.seen_to_m = bottom_m;
        match (self.below_logs, into.layers.last_mut()) {
            (BelowLogs::GoesOn, Some(last)) => last.bottom_m = self.deepest_m,
            _ => into.layers.push(refusing(self.deepest_m)),
        }
    }

    /// Sand is dry above the drawn level and wet below it, whatever it was in
    /// the well whose log it is from.
    fn push_wet_or_dry(&self, drawn: DrawnLayer, into: &mut DrawnGround) {
        let known = |class: MaterialClass| self.classes.get(class as usize).is_some_and(Option::is_some);
        let both = known(MaterialClass::SandDry) && known(MaterialClass::SandWet);
        let sand = matches!(drawn.class, Some(MaterialClass::SandDry | MaterialClass::SandWet));
        if !(both && sand) {
            into.layers.push(drawn);
            return;
        }
        let top_m = into.layers.last().map_or(0.0, |l| l.bottom_m);
        let as_class = |class, bottom_m| DrawnLayer { class: Some(class), bottom_m, ..drawn };
        if into.level_m > top_m {
            into.layers.push(as_class(MaterialClass::SandDry, drawn.bottom_m.min(into.level_m)));
        }
        if into.level_m < drawn.bottom_m {
            into.layers.push(as_class(MaterialClass::SandWet, drawn.bottom_m));
        }
    }

    /// A log of number `first` or later, by weight.
    fn pick(&self, first: usize, u: f64) -> Option<&Source> {
        let (from, to) = (*self.before.get(first)?, *self.before.last()?);
        if to <= from {
            return None;
        }
        let at = from + u * (to - from);
        let next = self.before.partition_point(|sum| *sum <= at);
        self.logs.get(next.saturating_sub(1).max(first).min(self.logs.len().saturating_sub(1)))
    }

    fn stretch(&self, error_share: f64, u: f64) -> f64 {
        if self.thickness_error > 0.0 {
            (error_share * self.thickness_error * standard_normal_quantile(u)).exp()
        } else {
            1.0
        }
    }

    fn layer(
        &self,
        classes: Classes,
        middle_m: f64,
        bottom_m: f64,
        random: &mut Random,
        met: &mut [Option<f64>; MaterialClass::ALL.len()],
    ) -> DrawnLayer {
        // The same count of draws for every layer, so that a change of one
        // figure does not shuffle the rest.
        let [which, other, k, bears, firmness] = std::array::from_fn(|_| random.uniform());
        let classes = if classes.is_unknown() { self.shown_at(middle_m, other) } else { classes };
        let class = one_of(classes, which);
        let Some(ground) = self.classes.get(class as usize).copied().flatten() else {
            return refusing(bottom_m);
        };
        let firmness = match met.get_mut(class as usize) {
            Some(met) => *met.get_or_insert(firmness),
            None => firmness,
        };
        let range = ground.k_m_per_day;
        let screened = bears < ground.bears_water;
        let k = if screened {
            lognormal(range.low, range.typical, range.high, standard_normal_quantile(k)).min(MOST_K)
        } else {
            0.0
        };
        DrawnLayer { bottom_m, class: Some(class), k_m_per_day: k, storage: ground.storage, firmness }
    }

    /// What another log shows at a depth; any class at all where none does.
    fn shown_at(&self, depth_m: f64, u: f64) -> Classes {
        let at = |log: &Source| {
            let layer = log.layers.get(log.layers.partition_point(|l| l.bottom_m <= depth_m))?;
            (!layer.classes.is_unknown()).then_some(layer.classes)
        };
        let sum: f64 = self.logs.iter().filter(|l| at(l).is_some()).map(|l| l.weight).sum();
        let mut left = u * sum;
        let mut shown = None;
        for log in &self.logs {
            let Some(classes) = at(log) else { continue };
            shown = Some(classes);
            left -= log.weight;
            if left < 0.0 {
                break;
            }
        }
        shown.unwrap_or(self.any)
    }
}

/// Rows of the same ground as one layer, so that a log is read alike however
/// finely it was written.
fn merged(rows: &[(f64, Classes)]) -> Vec<SourceLayer> {
    let mut layers: Vec<SourceLayer> = Vec::with_capacity(rows.len());
    for (to_m, classes) in rows {
        let top_m = layers.last().map_or(0.0, |l| l.bottom_m);
        match layers.last_mut() {
            Some(last) if last.classes == *classes => last.bottom_m = *to_m,
            _ => layers.push(SourceLayer { top_m, bottom_m: *to_m, classes: *classes }),
        }
    }
    layers
}

fn refusing(bottom_m: f64) -> DrawnLayer {
    DrawnLayer { bottom_m, class: None, k_m_per_day: 0.0, storage: 1.0, firmness: 0.0 }
}

fn one_of(classes: Classes, u: f64) -> MaterialClass {
    let count = classes.iter().count();
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a share of a small count"
    )]
    let which = (u * count as f64) as usize;
    classes.iter().nth(which.min(count.saturating_sub(1))).unwrap_or(MaterialClass::Unknown)
}

fn level_at(level: &LevelDistribution, u: f64) -> f64 {
    let depth_m = match level {
        LevelDistribution::Normal { median_m, sd_m } if *sd_m > 0.0 => {
            median_m + sd_m * standard_normal_quantile(u)
        }
        LevelDistribution::Normal { median_m, .. } => *median_m,
        LevelDistribution::Quantiles(points) => {
            let above = points.partition_point(|(p, _)| *p <= u);
            let below = above.checked_sub(1).and_then(|i| points.get(i));
            match (below, points.get(above)) {
                (Some((p0, z0)), Some((p1, z1))) => z0 + (z1 - z0) * (u - p0) / (p1 - p0),
                (Some((_, z)), None) | (None, Some((_, z))) => *z,
                (None, None) => 0.0,
            }
        }
    };
    depth_m.max(0.0)
}
