//! At what depths screen, sump, intake, pack and seals stand.
//!
//! The screen's top is the deepest of: the top of the layer; the driest level
//! with drawdown and the water kept above the intake; the driest level at its
//! deepest; and the depth that leaves room for the seal. Where the layer then
//! ends too soon, the screen moves up, but never above the driest level nor
//! into the seal. It never leaves the layer.
//!
//! Three cases are reckoned: water high and little drawdown, the likely, water
//! deep and much drawdown.

use crate::ground::Sure;
use crate::units::{Part, Unit};

use super::figures::DesignFigures;
use super::inputs::{DesignInputs, DesignLayer, bears_water};
use super::refusal::{Refusal, RefusalKind};

/// The depths of one case, metres below ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Depths {
    pub dry_level: f64,
    pub pumping_level: f64,
    pub intake: f64,
    pub screen_top: f64,
    pub screen_bottom: f64,
    pub bottom: f64,
    pub pack_top: f64,
    /// Top of the clay on the pack.
    pub clay_top: f64,
    /// Bottom of the seal from the ground down, where the clay does not take
    /// its place.
    pub grout_bottom: f64,
}

/// The three cases; `worst` is `None` where the deepest water leaves too
/// little ground.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cases {
    pub best: Depths,
    pub likely: Depths,
    pub worst: Option<Depths>,
    /// The water-bearing ground below the deepest of the driest levels.
    pub left_at_worst: f64,
}

impl Cases {
    /// A depth over the cases.
    pub fn over(&self, of: impl Fn(&Depths) -> f64) -> Part {
        let likely = of(&self.likely);
        let others = [of(&self.best), self.worst.as_ref().map_or(likely, &of)];
        super::reckoned::over(likely, &others)
    }
}

fn m(x: f64) -> String {
    Unit::Metre.show(x)
}

/// The layer and the depths of the well in it.
///
/// # Errors
/// Everything that stands against it.
pub(super) fn place<'a>(
    inputs: &'a DesignInputs,
    figures: &DesignFigures,
    length_wanted: f64,
) -> Result<(&'a DesignLayer, Cases), Vec<Refusal>> {
    let Some(aquifer) = inputs.aquifer() else {
        return Err(vec![Refusal::new(
            RefusalKind::NoLayer,
            "The layer to take water from is not in the picture of the ground.",
            "Name one of its layers.",
        )]);
    };
    let mut refusals = Vec::new();
    refusals.extend(no_water(aquifer));
    refusals.extend(flows_over(inputs));
    refusals.extend(not_reached(inputs, aquifer));
    let limit = deepest_screen(inputs, figures, aquifer);
    let case = |level: f64, drawdown: f64, not_above: f64| {
        one(figures, aquifer, limit, length_wanted, [level, drawdown, not_above])
    };
    let (dry, fall) = (inputs.dry_level_m, inputs.drawdown_m);
    let best = case(dry.low, fall.low, dry.low);
    let likely = case(dry.value, fall.value, dry.high);
    let worst = case(dry.high, fall.high, dry.high).ok();
    match likely {
        Err(refusal) => refusals.push(refusal),
        Ok(likely) if refusals.is_empty() => {
            // Water that stands higher never leaves less ground.
            let best = best.unwrap_or(likely);
            let left_at_worst = (limit - aquifer.top_m.max(dry.high)).max(0.0);
            return Ok((aquifer, Cases { best, likely, worst, left_at_worst }));
        }
        Ok(_) => {}
    }
    Err(refusals)
}

fn no_water(aquifer: &DesignLayer) -> Option<Refusal> {
    (aquifer.may_be().are(bears_water) == Sure::No).then(|| {
        Refusal::new(
            RefusalKind::BearsNoWater,
            format!("Ground like this ({}) gives no water to a screen.", aquifer.may_be()),
            "Take water from another layer.",
        )
    })
}

fn flows_over(inputs: &DesignInputs) -> Option<Refusal> {
    (inputs.wet_level_m.value < 0.0).then(|| {
        Refusal::new(
            RefusalKind::Artesian,
            "The water would rise above the ground: an open hole would flow and cannot be held by hand.",
            "Do not drill by hand here; leave it to a crew with experience of flowing wells.",
        )
    })
}

/// Layers on the way that refuse, and ground beyond the method's depth.
fn not_reached(inputs: &DesignInputs, aquifer: &DesignLayer) -> Option<Refusal> {
    let stop = inputs.layers.iter().take(inputs.aquifer + 1).find(|l| l.refuses);
    if let Some(stop) = stop {
        return Some(Refusal::new(
            RefusalKind::NotReached,
            format!(
                "{} is refused at {} ({}), which the well has to go through.",
                inputs.method.method.name(),
                m(stop.top_m),
                stop.may_be()
            ),
            "Take a method that gets through it, or a layer above it.",
        ));
    }
    (aquifer.top_m >= inputs.method.max_depth_m).then(|| {
        Refusal::new(
            RefusalKind::NotReached,
            format!(
                "The layer begins at {}; {} reaches {}.",
                m(aquifer.top_m),
                inputs.method.method.name(),
                m(inputs.method.max_depth_m)
            ),
            "Take a method that reaches deeper, or a layer above.",
        )
    })
}

/// The deepest that the bottom of a screen may stand: in the layer, with the
/// sump in ground that can be drilled and was seen, within the method's depth.
fn deepest_screen(inputs: &DesignInputs, figures: &DesignFigures, aquifer: &DesignLayer) -> f64 {
    let sump = figures.lengths.sump_m;
    let below = inputs.layers.iter().skip(inputs.aquifer + 1);
    let mut drillable = aquifer.bottom_m;
    for layer in below.take_while(|l| !l.refuses) {
        // A gap in the picture is not seen.
        if layer.top_m > drillable {
            break;
        }
        drillable = layer.bottom_m;
    }
    aquifer.bottom_m.min(drillable - sump).min(inputs.method.max_depth_m - sump)
}

fn one(
    figures: &DesignFigures,
    aquifer: &DesignLayer,
    limit: f64,
    length_wanted: f64,
    [level, drawdown, not_above]: [f64; 3],
) -> Result<Depths, Refusal> {
    let l = &figures.lengths;
    let fill = &figures.filling;
    let least = l.screen_least_m;
    let under = aquifer.top_m.max(level).max(0.0);
    let room = limit - under;
    if room < least {
        return Err(Refusal::new(
            RefusalKind::TooThin,
            format!(
                "Between the driest level ({}) and the deepest a screen may stand ({}) there are {} of this layer; the least screen is {}.",
                m(level),
                m(limit),
                m(room.max(0.0)),
                m(least)
            ),
            "Take a deeper layer, a method that reaches deeper, or another peg; a shorter screen would run dry.",
        ));
    }
    let sealed = fill.sanitary_seal_m + fill.pack_over_screen_m;
    if limit - least < sealed {
        return Err(Refusal::new(
            RefusalKind::TooShallowToSeal,
            format!(
                "A screen under {} of seal and {} of pack begins at {} or deeper; here it would have to begin at {}.",
                m(fill.sanitary_seal_m),
                m(fill.pack_over_screen_m),
                m(sealed),
                m(limit - least)
            ),
            "Take a deeper layer or another peg: the seal keeps dirty water from above out of the well and is never shortened.",
        ));
    }
    let pumping_level = level + drawdown;
    let wanted_top = under.max(pumping_level + l.submergence_m).max(not_above).max(sealed);
    let screen_top = wanted_top.min(limit - least);
    let screen_bottom = (screen_top + length_wanted.max(least)).min(limit);
    if pumping_level >= screen_bottom {
        return Err(Refusal::new(
            RefusalKind::TooThin,
            format!(
                "Pumping draws the water down to {}, below the deepest screen ({}).",
                m(pumping_level),
                m(screen_bottom)
            ),
            "Ask for a lower rate, or take a deeper layer or a method that reaches deeper.",
        ));
    }
    let pack_top = screen_top - fill.pack_over_screen_m;
    let clay_top = (pack_top - fill.pack_seal_m).max(0.0);
    Ok(Depths {
        dry_level: level,
        pumping_level,
        intake: (pumping_level + l.submergence_m).clamp(0.0, screen_bottom),
        screen_top,
        screen_bottom,
        bottom: screen_bottom + l.sump_m,
        pack_top,
        clay_top,
        grout_bottom: clay_top.min(fill.sanitary_seal_m),
    })
}
