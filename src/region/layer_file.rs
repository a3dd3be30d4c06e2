//! One layer's file as written: every part checked by itself, nothing yet
//! compared with the layers beneath.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use sha2::{Digest, Sha256};
use toml::de::DeTable;

use crate::diag::Problems;
use crate::survey::Method;

use super::entry::{FigureEntry, Kind, figure, source_and_basis};
use super::expected_log::{ExpectedLog, expected_log};
use super::names::{ASK_KINDS, MATERIAL_CLASSES};
use super::walk::{Found, Spot, Table, Walk, suggestion};
use super::{Authority, Basis, Layer, Suits};

/// What a file of a layer says.
#[derive(Debug)]
pub(super) struct LayerFile {
    pub file: Arc<str>,
    pub layer: Layer,
    pub hash: String,
    pub title: Option<String>,
    pub about: Option<String>,
    pub distance_protects: Option<Found<bool>>,
    pub currency: Option<Found<String>>,
    pub exchange: Option<FigureEntry>,
    pub limits: BTreeMap<String, FigureEntry>,
    pub priors: BTreeMap<String, FigureEntry>,
    pub season: Option<SeasonEntry>,
    pub methods: BTreeMap<Method, MethodEntry>,
    pub lifts: BTreeMap<String, Figures>,
    pub casings: BTreeMap<String, Figures>,
    pub asks: BTreeMap<String, AskEntry>,
    pub expected_logs: Vec<ExpectedLog>,
    pub authority: Option<Authority>,
    pub switched_off: BTreeMap<String, Found<String>>,
    pub weights: BTreeMap<String, f64>,
}

/// Figures by the key they stand under.
pub(super) type Figures = BTreeMap<&'static str, FigureEntry>;

/// A calendar as written.
#[derive(Debug)]
pub(super) struct SeasonEntry {
    pub named: Spot,
    pub wet_months: BTreeSet<i8>,
    pub driest_months: BTreeSet<i8>,
    pub latitudes_deg: Option<(f64, f64)>,
    pub source: String,
    pub basis: Basis,
}

/// What is said of a method.
#[derive(Debug)]
pub(super) struct MethodEntry {
    pub named: Spot,
    pub figures: Figures,
    pub needs_fluid: Option<bool>,
    pub suits: BTreeMap<String, Suits>,
    pub source: Option<String>,
}

/// What is said of a kind of finding out.
#[derive(Debug)]
pub(super) struct AskEntry {
    pub named: Spot,
    pub what: Option<String>,
    pub price: Option<FigureEntry>,
}

const TOP_KEYS: [&str; 16] = [
    "title",
    "about",
    "distance_protects",
    "currency",
    "exchange",
    "limits",
    "priors",
    "season",
    "methods",
    "lifts",
    "casings",
    "asks",
    "expected_logs",
    "authority",
    "switch_off",
    "weights",
];

/// Greatest weight that a rule's grade may be given.
const GREATEST_WEIGHT: f64 = 10.0;

/// The first 16 hexadecimal digits of the SHA-256 of a file's bytes.
pub(super) fn content_hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().take(8).map(|b| format!("{b:02x}")).collect()
}

/// Reads `text`, the content of `file`; all its problems are added.
pub(super) fn read(file: &Arc<str>, text: &str, layer: Layer, problems: &mut Problems) -> LayerFile {
    let (document, errors) = DeTable::parse_recoverable(text);
    let mut walk = Walk::new(file.clone(), text, problems);
    walk.syntax(&errors);
    let top = walk.top(document.get_ref());
    walk.refuse_other_keys(&top, &TOP_KEYS);
    if layer == Layer::Setting {
        walk.need(&top, "title", "\"…\": what people call this ground");
        walk.need(&top, "about", "\"…\": what ground it stands for, in a few sentences");
    }
    LayerFile {
        file: file.clone(),
        layer,
        hash: content_hash(text.as_bytes()),
        title: walk.text(&top, "title").map(|f| f.value),
        about: walk.text(&top, "about").map(|f| f.value),
        distance_protects: walk.yes_no(&top, "distance_protects"),
        currency: currency(&mut walk, &top),
        exchange: walk.table(&top, "exchange").and_then(|t| figure(&mut walk, &t, Kind::Plain)),
        limits: named_figures(&mut walk, &top, "limits", Kind::Limit),
        priors: named_figures(&mut walk, &top, "priors", Kind::Plain),
        season: walk.table(&top, "season").and_then(|t| season(&mut walk, &t)),
        methods: methods(&mut walk, &top),
        lifts: tables_of_figures(&mut walk, &top, "lifts", &LIFT_FIGURES),
        casings: tables_of_figures(&mut walk, &top, "casings", &CASING_FIGURES),
        asks: asks(&mut walk, &top),
        expected_logs: inner(&mut walk, &top, "expected_logs")
            .iter()
            .filter_map(|(name, table)| expected_log(&mut walk, name, table))
            .collect(),
        authority: walk.table(&top, "authority").and_then(|t| authority(&mut walk, &t)),
        switched_off: switched_off(&mut walk, &top),
        weights: weights(&mut walk, &top),
    }
}

/// Every table under `key`, with its name; none where `key` is not there.
fn inner<'t, 'd>(walk: &mut Walk<'_>, top: &Table<'t, 'd>, key: &str) -> Vec<(Found<String>, Table<'t, 'd>)> {
    walk.table(top, key).map_or_else(Vec::new, |t| walk.tables(&t))
}

fn currency(walk: &mut Walk<'_>, top: &Table<'_, '_>) -> Option<Found<String>> {
    let code = walk.text(top, "currency")?;
    if code.value.len() == 3 && code.value.bytes().all(|b| b.is_ascii_uppercase()) {
        return Some(code);
    }
    let message = format!("\"{}\" is no currency code", code.value);
    walk.error(
        "not-a-currency",
        &code.spot,
        message,
        "Write the three capital letters of ISO 4217, such as USD or KES.",
    );
    None
}

fn named_figures(
    walk: &mut Walk<'_>,
    top: &Table<'_, '_>,
    key: &str,
    kind: Kind,
) -> BTreeMap<String, FigureEntry> {
    let tables = inner(walk, top, key);
    tables.iter().filter_map(|(name, t)| Some((name.value.clone(), figure(walk, t, kind)?))).collect()
}

/// The figures of `table` that stand under `keys`.
fn figures_at(walk: &mut Walk<'_>, table: &Table<'_, '_>, keys: &[&'static str]) -> Figures {
    keys.iter()
        .filter_map(|key| {
            let inner = walk.table(table, key)?;
            Some((*key, figure(walk, &inner, Kind::Plain)?))
        })
        .collect()
}

fn season(walk: &mut Walk<'_>, table: &Table<'_, '_>) -> Option<SeasonEntry> {
    walk.refuse_other_keys(
        table,
        &["wet_months", "driest_months", "lat_from_deg", "lat_to_deg", "source", "basis"],
    );
    walk.need(table, "wet_months", "[12, 1, 2, 3]");
    walk.need(table, "driest_months", "[10, 11]");
    let (source, basis) = source_and_basis(walk, table);
    let wet = months(walk, table, "wet_months");
    let driest = months(walk, table, "driest_months");
    let latitudes_deg = latitudes(walk, table);
    let (wet_months, driest_months) = (wet?, driest?);
    if let Some(both) = wet_months.intersection(&driest_months).next() {
        walk.error(
            "month-wet-and-dry",
            &table.spot,
            format!("month {both} is named both wet and driest"),
            "Leave it out of one of the two lists, or of both.",
        );
    }
    let named = table.spot.clone();
    Some(SeasonEntry { named, wet_months, driest_months, latitudes_deg, source: source?, basis: basis? })
}

fn months(walk: &mut Walk<'_>, table: &Table<'_, '_>, key: &str) -> Option<BTreeSet<i8>> {
    let numbers = walk.whole_numbers(table, key)?;
    let mut months = BTreeSet::new();
    for number in numbers {
        match i8::try_from(number.value).ok().filter(|m| (1..=12).contains(m)) {
            Some(month) => {
                months.insert(month);
            }
            None => walk.error(
                "not-a-month",
                &number.spot,
                format!("{} is no month", number.value),
                "Months are 1 for January to 12 for December.",
            ),
        }
    }
    Some(months)
}

fn latitudes(walk: &mut Walk<'_>, table: &Table<'_, '_>) -> Option<(f64, f64)> {
    if !table.has("lat_from_deg") && !table.has("lat_to_deg") {
        return None;
    }
    walk.need(table, "lat_from_deg", "-20");
    walk.need(table, "lat_to_deg", "-5");
    let from = walk.number(table, "lat_from_deg")?;
    let to = walk.number(table, "lat_to_deg")?;
    if -90.0 <= from.value && from.value < to.value && to.value <= 90.0 {
        return Some((from.value, to.value));
    }
    walk.error(
        "latitudes-out-of-order",
        &from.spot,
        format!("the calendar cannot hold from latitude {} to {}", from.value, to.value),
        "Give the southern end first, degrees north of the equator, south negative: -20 to -5.",
    );
    None
}

const METHOD_FIGURES: [&str; 4] = ["max_depth_m", "hole_mm", "per_metre", "mobilisation"];

fn methods(walk: &mut Walk<'_>, top: &Table<'_, '_>) -> BTreeMap<Method, MethodEntry> {
    let mut methods = BTreeMap::new();
    for (name, table) in inner(walk, top, "methods") {
        let Some(method) = Method::from_name(&name.value) else {
            let names = Method::ALL.map(Method::name);
            let near = suggestion(&name.value, names.into_iter());
            let message = format!("\"{}\" is no method known here", name.value);
            walk.error("unknown-method", &name.spot, message, format!("{near}Known: {}.", names.join(", ")));
            continue;
        };
        walk.refuse_other_keys(
            &table,
            &["max_depth_m", "hole_mm", "per_metre", "mobilisation", "needs_fluid", "suits", "source"],
        );
        let suits = walk.table(&table, "suits").map(|t| suits(walk, &t));
        if suits.is_some() {
            walk.need(&table, "source", "\"…\": where the table of suits comes from");
        }
        let entry = MethodEntry {
            named: name.spot.clone(),
            figures: figures_at(walk, &table, &METHOD_FIGURES),
            needs_fluid: walk.yes_no(&table, "needs_fluid").map(|f| f.value),
            suits: suits.unwrap_or_default(),
            source: walk.text(&table, "source").map(|f| f.value),
        };
        if methods.insert(method, entry).is_some() {
            let message = format!("{} stands here twice", method.name());
            walk.error("method-twice", &name.spot, message, "Keep one of the two spellings.");
        }
    }
    methods
}

fn suits(walk: &mut Walk<'_>, table: &Table<'_, '_>) -> BTreeMap<String, Suits> {
    walk.refuse_other_keys(table, &MATERIAL_CLASSES);
    let words = [Suits::Yes, Suits::Slow, Suits::Cased, Suits::No].map(Suits::name);
    MATERIAL_CLASSES
        .iter()
        .filter_map(|class| {
            let suits = walk.choice(table, class, "unknown-suits", &words, Suits::from_name)?;
            Some(((*class).to_owned(), suits.value))
        })
        .collect()
}

const LIFT_FIGURES: [&str; 4] = ["max_m", "flow_lps", "price", "needs_casing_mm"];
const CASING_FIGURES: [&str; 6] =
    ["outer_mm", "inner_mm", "slot_mm", "open_share", "per_metre", "slotted_per_metre"];

/// The tables under `key` by their names, each of figures under `keys`.
fn tables_of_figures(
    walk: &mut Walk<'_>,
    top: &Table<'_, '_>,
    key: &str,
    keys: &[&'static str],
) -> BTreeMap<String, Figures> {
    let tables = inner(walk, top, key);
    tables
        .iter()
        .map(|(name, table)| {
            walk.refuse_other_keys(table, keys);
            (name.value.clone(), figures_at(walk, table, keys))
        })
        .collect()
}

fn asks(walk: &mut Walk<'_>, top: &Table<'_, '_>) -> BTreeMap<String, AskEntry> {
    let mut asks = BTreeMap::new();
    for (name, table) in inner(walk, top, "asks") {
        if !ASK_KINDS.contains(&name.value.as_str()) {
            let near = suggestion(&name.value, ASK_KINDS.into_iter());
            let message = format!("\"{}\" is no kind of finding out known here", name.value);
            walk.error("unknown-ask", &name.spot, message, format!("{near}Known: {}.", ASK_KINDS.join(", ")));
            continue;
        }
        walk.refuse_other_keys(&table, &["what", "price"]);
        let entry = AskEntry {
            named: name.spot.clone(),
            what: walk.text(&table, "what").map(|f| f.value),
            price: walk.table(&table, "price").and_then(|t| figure(walk, &t, Kind::Plain)),
        };
        asks.insert(name.value, entry);
    }
    asks
}

fn authority(walk: &mut Walk<'_>, table: &Table<'_, '_>) -> Option<Authority> {
    walk.refuse_other_keys(table, &["name", "ask"]);
    walk.need(table, "name", "\"…\": the office whose word decides");
    let ask = walk.texts(table, "ask").unwrap_or_default();
    Some(Authority { name: walk.text(table, "name")?.value, ask })
}

fn switched_off(walk: &mut Walk<'_>, top: &Table<'_, '_>) -> BTreeMap<String, Found<String>> {
    let tables = inner(walk, top, "switch_off");
    tables
        .iter()
        .filter_map(|(rule, table)| {
            walk.refuse_other_keys(table, &["reason"]);
            walk.need(table, "reason", "\"…\": why the rule does not hold here");
            let reason = walk.text(table, "reason")?;
            Some((rule.value.clone(), Found { value: reason.value, spot: rule.spot.clone() }))
        })
        .collect()
}

fn weights(walk: &mut Walk<'_>, top: &Table<'_, '_>) -> BTreeMap<String, f64> {
    let Some(table) = walk.table(top, "weights") else { return BTreeMap::new() };
    let mut weights = BTreeMap::new();
    for rule in table.keys() {
        let Some(weight) = walk.number(&table, &rule) else { continue };
        if (0.0..=GREATEST_WEIGHT).contains(&weight.value) {
            weights.insert(rule, weight.value);
        } else {
            walk.error(
                "weight-out-of-range",
                &weight.spot,
                format!("the weight of {rule} is {}", weight.value),
                format!("Weights run from 0 (does not count) to {GREATEST_WEIGHT}; rules come with 1 to 5."),
            );
        }
    }
    weights
}
