//! A region while its layers are laid over one another.

use std::collections::BTreeMap;

use crate::diag::{Level, Problems};
use crate::survey::Method;
use crate::units::Unit;

use super::currency;
use super::entry::FigureEntry;
use super::lay::{By, Known, lay};
use super::layer_file::{AskEntry, Figures, LayerFile, MethodEntry, SeasonEntry};
use super::walk::Spot;
use super::{Authority, Calendar, ExpectedLog, Figure, Layer, SetBy, Suits, SwitchedOff};

/// What has been laid so far.
#[derive(Debug, Default)]
pub(super) struct Draft {
    pub title: String,
    pub about: String,
    pub distance_protects: Option<bool>,
    pub currency: Option<String>,
    pub limits: BTreeMap<String, Figure>,
    pub priors: BTreeMap<String, Figure>,
    pub methods: BTreeMap<Method, MethodDraft>,
    pub lifts: BTreeMap<String, (Option<Spot>, FigureDraft)>,
    pub casings: BTreeMap<String, FigureDraft>,
    pub asks: BTreeMap<String, AskDraft>,
    pub expected_logs: Vec<ExpectedLog>,
    pub calendar: Option<Calendar>,
    pub authority: Option<Authority>,
    pub switched_off: BTreeMap<String, SwitchedOff>,
    pub weights: BTreeMap<String, f64>,
    pub layers: Vec<(String, String)>,
}

/// Figures by the key they stand under.
pub(super) type FigureDraft = BTreeMap<&'static str, Figure>;

/// A method so far.
#[derive(Debug, Default)]
pub(super) struct MethodDraft {
    pub named: Option<Spot>,
    pub figures: FigureDraft,
    pub needs_fluid: Option<bool>,
    pub suits: BTreeMap<String, Suits>,
    pub source: Option<String>,
}

/// A kind of finding out so far.
#[derive(Debug, Default)]
pub(super) struct AskDraft {
    pub named: Option<Spot>,
    pub what: Option<String>,
    pub figures: FigureDraft,
}

impl Draft {
    /// Lays `file` over what is here.
    pub fn lay(&mut self, file: &LayerFile, problems: &mut Problems) {
        self.layers.push((file.file.to_string(), file.hash.clone()));
        if file.layer != Layer::Local {
            self.title = file.title.clone().unwrap_or_else(|| std::mem::take(&mut self.title));
            self.about = file.about.clone().unwrap_or_else(|| std::mem::take(&mut self.about));
        }
        let old_prices = currency::change(self, file, problems);
        if let Some(authority) = &file.authority {
            self.authority = Some(authority.clone());
        }
        let authority = self.authority.as_ref().map(|a| a.name.clone());
        let by = By { layer: file.layer, authority: authority.as_deref() };
        self.lay_distance_protects(file, problems);
        lay_named(&mut self.limits, &file.limits, by, problems);
        lay_named(&mut self.priors, &file.priors, by, problems);
        for (method, entry) in &file.methods {
            self.methods.entry(*method).or_default().lay(method.name(), entry, by, problems);
        }
        self.lay_lifts(file, by, problems);
        for (name, entries) in &file.casings {
            lay_keyed(self.casings.entry(name.clone()).or_default(), entries, name, by, problems);
        }
        for (kind, entry) in &file.asks {
            self.asks.entry(kind.clone()).or_default().lay(kind, entry, by, problems);
        }
        // Logs of two layers are of two kinds of ground: never mixed.
        match file.layer {
            Layer::Defaults => self.expected_logs.extend(file.expected_logs.iter().cloned()),
            _ if file.expected_logs.is_empty() => {}
            _ => self.expected_logs.clone_from(&file.expected_logs),
        }
        self.lay_season(file.season.as_ref(), file.layer, problems);
        for (rule, reason) in &file.switched_off {
            let set_by = SetBy { layer: file.layer, from: reason.spot.at.clone() };
            self.switched_off.insert(rule.clone(), SwitchedOff { reason: reason.value.clone(), set_by });
        }
        self.weights.extend(file.weights.iter().map(|(rule, weight)| (rule.clone(), *weight)));
        if old_prices {
            currency::left_in_the_old(self, file, problems);
        }
    }

    fn lay_distance_protects(&mut self, file: &LayerFile, problems: &mut Problems) {
        let Some(found) = &file.distance_protects else { return };
        if file.layer == Layer::Local && found.value && self.distance_protects == Some(false) {
            found.spot.report(
                problems,
                Level::Warning,
                "laxer-local-value",
                "distance_protects = true is laxer than what this setting says, and is not taken",
                "In this ground distance alone does not protect. If the ground at the peg is another, name the setting that fits it.",
            );
        } else {
            self.distance_protects = Some(found.value);
        }
    }

    fn lay_lifts(&mut self, file: &LayerFile, by: By<'_>, problems: &mut Problems) {
        for (name, entries) in &file.lifts {
            let (spot, figures) = self.lifts.entry(name.clone()).or_default();
            if spot.is_none() {
                *spot = entries.values().next().map(|e| e.named.clone());
            }
            lay_keyed(figures, entries, name, by, problems);
        }
    }

    fn lay_season(&mut self, season: Option<&SeasonEntry>, layer: Layer, problems: &mut Problems) {
        let Some(season) = season else { return };
        if let Some(old) = self.calendar.as_ref().filter(|c| c.set_by.layer == layer) {
            let help = format!("It is set at {} already; keep one of the two.", old.set_by.from);
            season.named.report(problems, Level::Error, "set-twice", "the season is set a second time", help);
        }
        self.calendar = Some(Calendar {
            wet_months: season.wet_months.clone(),
            driest_months: season.driest_months.clone(),
            latitudes_deg: season.latitudes_deg,
            source: season.source.clone(),
            basis: season.basis,
            set_by: SetBy { layer, from: season.named.at.clone() },
        });
    }
}

impl MethodDraft {
    fn lay(&mut self, name: &str, entry: &MethodEntry, by: By<'_>, problems: &mut Problems) {
        self.named.get_or_insert_with(|| entry.named.clone());
        lay_keyed(&mut self.figures, &entry.figures, name, by, problems);
        self.needs_fluid = entry.needs_fluid.or(self.needs_fluid);
        self.suits.extend(entry.suits.iter().map(|(class, suits)| (class.clone(), *suits)));
        if let Some(source) = &entry.source {
            // A layer that changes a few classes leaves the others on the
            // source beneath, so both are named.
            self.source = Some(match &self.source {
                Some(beneath) if !entry.suits.is_empty() => format!("{source} Else: {beneath}"),
                _ => source.clone(),
            });
        }
    }
}

impl AskDraft {
    fn lay(&mut self, kind: &str, entry: &AskEntry, by: By<'_>, problems: &mut Problems) {
        self.named.get_or_insert_with(|| entry.named.clone());
        self.what = entry.what.clone().or_else(|| self.what.take());
        if let Some(price) = &entry.price {
            let entries = Figures::from([("price", price.clone())]);
            lay_keyed(&mut self.figures, &entries, kind, by, problems);
        }
    }
}

/// Lays figures whose names are their own: limits and priors.
fn lay_named(
    figures: &mut BTreeMap<String, Figure>,
    entries: &BTreeMap<String, FigureEntry>,
    by: By<'_>,
    problems: &mut Problems,
) {
    let mut laid = Vec::new();
    for (name, entry) in entries {
        let near = figures.keys().map(String::as_str).collect();
        let known = Known { name: name.clone(), unit: None, about: None, near };
        laid.extend(lay(figures.get(name), entry, &known, by, problems));
    }
    figures.extend(laid.into_iter().map(|figure| (figure.name.clone(), figure)));
}

/// Lays figures whose key settles their unit, under the name of the thing
/// they belong to.
fn lay_keyed(figures: &mut FigureDraft, entries: &Figures, of: &str, by: By<'_>, problems: &mut Problems) {
    for (key, entry) in entries {
        let (unit, about) = match *key {
            "max_depth_m" => (Unit::Metre, "Greatest depth"),
            "hole_mm" => (Unit::Millimetre, "Diameter of the hole"),
            "per_metre" => (Unit::Money, "Rough cost of a metre"),
            "mobilisation" => (Unit::Money, "Rough cost of bringing crew and gear"),
            "max_m" => (Unit::Metre, "Greatest depth to the water while pumping"),
            "flow_lps" => (Unit::LitrePerSecond, "Flow"),
            "needs_casing_mm" => (Unit::Millimetre, "Least inner diameter of the casing"),
            "outer_mm" => (Unit::Millimetre, "Outer diameter"),
            "inner_mm" => (Unit::Millimetre, "Inner diameter"),
            "slot_mm" => (Unit::Millimetre, "Width of the slots of the slotted pipe"),
            "open_share" => (Unit::One, "Open share of the face of the slotted pipe"),
            "slotted_per_metre" => (Unit::Money, "Price of a metre, slotted"),
            _ => (Unit::Money, "Rough price"),
        };
        let known = Known {
            name: format!("{of} {key}"),
            unit: Some(unit),
            about: Some(format!("{about}, {of}.")),
            near: Vec::new(),
        };
        if let Some(figure) = lay(figures.get(key), entry, &known, by, problems) {
            figures.insert(key, figure);
        }
    }
}
