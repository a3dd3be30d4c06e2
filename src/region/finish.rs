//! From laid layers to a region: nothing missing, and figures that belong
//! together agree.

use std::collections::BTreeMap;

use crate::diag::{Level, Origin, Problems};
use crate::survey::Method;

use super::draft::{Draft, FigureDraft};
use super::lay::show;
use super::names::{ASK_KINDS, MATERIAL_CLASSES};
use super::{AskPrice, Casing, Figure, Layer, Lift, MethodProfile, Region};

/// The region called `id`; `None` where something is missing, which is then
/// reported.
pub(super) fn finish(id: &str, draft: Draft, problems: &mut Problems) -> Option<Region> {
    let before = problems.len();
    let place = draft.layers.first().map_or("regions", |(file, _)| file.as_str()).to_owned();
    let mut missing = Missing { place, problems };
    let mut limits = draft.limits;
    agree_on_stop_and_caution(&mut limits, missing.problems);
    low_below_high(&limits, missing.problems);
    low_below_high(&draft.priors, missing.problems);

    let mut methods = BTreeMap::new();
    let mut drafts = draft.methods;
    for method in Method::ALL {
        let name = method.name();
        let Some(mut m) = missing.or_report(drafts.remove(&method), &format!("the method {name}")) else {
            continue;
        };
        for class in MATERIAL_CLASSES.iter().filter(|class| !m.suits.contains_key(**class)) {
            missing.report(&format!("what {name} does in {class}"));
        }
        let mut figure = |key| missing.figure(&mut m.figures, key, name);
        let figures = (figure("max_depth_m"), figure("hole_mm"), figure("per_metre"), figure("mobilisation"));
        let needs_fluid = missing.or_report(m.needs_fluid, &format!("whether {name} needs fluid"));
        let source = missing.or_report(m.source, &format!("the source for {name}"));
        if let (Some(max_depth_m), Some(hole_mm), Some(per_metre), Some(mobilisation)) = figures
            && let (Some(needs_fluid), Some(source)) = (needs_fluid, source)
        {
            let suits = m.suits;
            methods.insert(
                method,
                MethodProfile { max_depth_m, hole_mm, needs_fluid, suits, per_metre, mobilisation, source },
            );
        }
    }

    let mut lifts = BTreeMap::new();
    for (name, (_, mut figures)) in draft.lifts {
        let mut figure = |key| missing.figure(&mut figures, key, &name);
        let (max_m, flow_lps, price) = (figure("max_m"), figure("flow_lps"), figure("price"));
        if let (Some(max_m), Some(flow_lps), Some(price)) = (max_m, flow_lps, price) {
            let needs_casing_mm = figures.remove("needs_casing_mm");
            lifts.insert(name.clone(), Lift { name, max_m, flow_lps, price, needs_casing_mm });
        }
    }

    let casings = casings(draft.casings, &mut missing);

    let mut asks = BTreeMap::new();
    let mut drafts = draft.asks;
    for kind in ASK_KINDS {
        let mut a = drafts.remove(kind).unwrap_or_default();
        let what = missing.or_report(a.what.take(), &format!("what \"{kind}\" is"));
        let price = missing.figure(&mut a.figures, "price", kind);
        if let (Some(what), Some(price)) = (what, price) {
            asks.insert(kind.to_owned(), AskPrice { price, what });
        }
    }

    let expected_logs = draft.expected_logs;
    if expected_logs.is_empty() {
        missing.report("what logs are to be expected ([expected_logs.…])");
    }
    let distance_protects = missing.or_report(draft.distance_protects, "distance_protects");
    let calendar = missing.or_report(draft.calendar, "the season");
    let currency = missing.or_report(draft.currency, "the currency");
    if problems.iter().skip(before).any(|p| p.level == Level::Error) {
        return None;
    }
    Some(Region {
        id: id.to_owned(),
        title: draft.title,
        about: draft.about,
        limits,
        priors: draft.priors,
        distance_protects: distance_protects?,
        switched_off: draft.switched_off,
        weights: draft.weights,
        methods,
        lifts,
        casings,
        asks,
        expected_logs,
        calendar: calendar?,
        currency: currency?,
        authority: draft.authority,
        layers: draft.layers,
    })
}

/// Pipes of which every figure is there; what is missing or cannot be is
/// reported.
fn casings(drafts: BTreeMap<String, FigureDraft>, missing: &mut Missing<'_>) -> BTreeMap<String, Casing> {
    let mut casings = BTreeMap::new();
    for (name, mut figures) in drafts {
        let mut figure = |key| missing.figure(&mut figures, key, &name);
        let sizes = (figure("outer_mm"), figure("inner_mm"), figure("slot_mm"), figure("open_share"));
        let prices = (figure("per_metre"), figure("slotted_per_metre"));
        let (Some(outer_mm), Some(inner_mm), Some(slot_mm), Some(open_share)) = sizes else { continue };
        let (Some(per_metre), Some(slotted_per_metre)) = prices else { continue };
        let casing = Casing {
            name: name.clone(),
            outer_mm,
            inner_mm,
            slot_mm,
            open_share,
            per_metre,
            slotted_per_metre,
        };
        if let Some((wrong, why)) = casing.impossible() {
            let help = "The pipe has to be wider outside than inside, and its slots are less than all of it.";
            let message = format!("{} is {}: {why}", wrong.name, show(wrong));
            missing.problems.error("no-such-pipe", wrong.set_by.from.clone(), message, help);
        }
        casings.insert(name, casing);
    }
    casings
}

/// Reports what no layer says.
struct Missing<'a> {
    place: String,
    problems: &'a mut Problems,
}

impl Missing<'_> {
    fn report(&mut self, what: &str) {
        let message = format!("no layer says {what}");
        let help = "Add it to the defaults, or to the file that brings it in.";
        self.problems.error("missing-everywhere", Origin::whole(self.place.as_str()), message, help);
    }

    fn or_report<T>(&mut self, value: Option<T>, what: &str) -> Option<T> {
        if value.is_none() {
            self.report(what);
        }
        value
    }

    fn figure(&mut self, figures: &mut FigureDraft, key: &str, of: &str) -> Option<Figure> {
        let figure = figures.remove(key);
        self.or_report(figure, &format!("the {key} of {of}"))
    }
}

/// A caution limit that asks less than its stop limit would never speak.
/// Where a local file made it so, it is moved to the stop limit, since an
/// authority that gives one distance need not know of the other; in a
/// setting it is a slip of the pen.
fn agree_on_stop_and_caution(limits: &mut BTreeMap<String, Figure>, problems: &mut Problems) {
    let stops: Vec<Figure> = limits.values().filter(|f| f.name.contains("_stop")).cloned().collect();
    for stop in stops {
        let Some(caution) = limits.get_mut(&stop.name.replace("_stop", "_caution")) else { continue };
        let laxer = stop.stricter.is_some_and(|s| s.is_laxer(caution.value, stop.value));
        if !laxer || caution.unit != stop.unit {
            continue;
        }
        if stop.set_by.layer == Layer::Local || caution.set_by.layer == Layer::Local {
            let note = format!(
                "Moved from {} (set by {}) to {}, because {} set by {} asks more.",
                show(caution),
                caution.set_by.from,
                show(&stop),
                stop.name,
                stop.set_by.from,
            );
            caution.value = stop.value;
            caution.source.clone_from(&stop.source);
            caution.basis = stop.basis;
            caution.set_by = stop.set_by.clone();
            caution.notes.push(note);
        } else {
            let later = if caution.set_by.layer >= stop.set_by.layer { &*caution } else { &stop };
            let message = format!(
                "{} is {}, which asks less than {}, {}",
                caution.name,
                show(caution),
                stop.name,
                show(&stop)
            );
            let help = "Caution starts before stop does; set both.";
            problems.error("caution-laxer-than-stop", later.set_by.from.clone(), message, help);
        }
    }
}

/// Reports ranges whose low end lies above their middle or high end.
fn low_below_high(figures: &BTreeMap<String, Figure>, problems: &mut Problems) {
    for (low_part, high_part) in [("low", "high"), ("low", "mid"), ("mid", "high")] {
        for low in figures.values() {
            let Some(high) = partner(&low.name, low_part, high_part).and_then(|name| figures.get(&name))
            else {
                continue;
            };
            if low.value > high.value {
                let later = if high.set_by.layer >= low.set_by.layer { high } else { low };
                let message = format!("{} is {}, above {}, {}", low.name, show(low), high.name, show(high));
                let help = format!("Set both ends; the other is set at {}.", {
                    if std::ptr::eq(later, low) { &high.set_by.from } else { &low.set_by.from }
                });
                problems.error("range-turned-round", later.set_by.from.clone(), message, help);
            }
        }
    }
}

/// `name` with its part `from` between underscores turned into `to`; `None`
/// where it has no such part.
fn partner(name: &str, from: &str, to: &str) -> Option<String> {
    let parts: Vec<_> = name.split('_').collect();
    let turned = parts.iter().map(|p| if *p == from { to } else { *p }).collect::<Vec<_>>().join("_");
    (turned != name).then_some(turned)
}
