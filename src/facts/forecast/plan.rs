//! The well that the forecast ground asks for, and what it costs.
//!
//! One picture of the ground: the log that says most of the peg, carried on
//! downwards by the next that goes deeper. One method: the likeliest. One
//! lift: the planned one, or the cheapest that lifts from deep enough.

use crate::facts::sheet::Sheet;
use crate::facts::site::no_prior;
use crate::facts::{AskKind, Forecast, Missing, SiteFacts};
use crate::ground::virtual_bore::{MethodInputs, VirtualBoreInputs, WeightedLog};
use crate::region::Lift;
use crate::survey::Method;
use crate::units::Part;
use crate::well::BelowLevel;
use crate::well::bill::{Bill, PriceTable, bill};
use crate::well::design::{
    CasingSize, DesignFigures, DesignInputs, DesignLayer, DesignLift, DesignMethod, Refusal, WellDesignSheet,
    design_well, plausible_aquifers,
};

/// The well to build, as far as the forecast goes.
#[derive(Debug)]
pub struct WellPlan {
    /// The method.
    pub method: Method,
    /// The lift.
    pub lift: String,
    /// Whether the survey names that lift.
    pub lift_planned: bool,
    /// The log that the picture of the ground is from.
    pub picture: String,
    /// The picture, from the surface down.
    pub layers: Vec<DesignLayer>,
    /// A sheet for each layer that may bear water and that a well can be
    /// built in, the shallowest first.
    pub sheets: Vec<WellDesignSheet>,
    /// Why none can be built in the others; one list a layer. Where there is
    /// no sheet at all, of the likeliest picture.
    pub refused: Vec<Vec<Refusal>>,
    /// Likelier pictures of the ground in which no well can be built.
    pub likelier: Vec<String>,
    /// The bill of the first sheet, or why there is none.
    pub bill: Option<Result<Bill, String>>,
}

impl SiteFacts {
    /// The well that the forecast ground asks for, by the likeliest method.
    ///
    /// # Errors
    /// What must be written down before one can be designed.
    pub fn well_plan(&self) -> Result<WellPlan, Missing> {
        let forecast = self.forecast()?;
        let Some((method, _)) = forecast.bores.best() else { return Err(no_prior("methods")) };
        self.well_plan_by(&forecast, method)
    }

    fn well_plan_by(&self, f: &Forecast, method: Method) -> Result<WellPlan, Missing> {
        let region = self.region();
        let figures = DesignFigures::of(region)
            .map_err(|names| no_prior(names.first().copied().unwrap_or("figures of the design")))?;
        let profile = region.methods.get(&method).ok_or_else(|| no_prior("methods"))?;
        let below = BelowLevel::of(region).map_err(no_prior)?;
        let level = |p: f64| f.level.dry_year_m(p);
        let dry_level_m = Part { low: level(0.1), value: level(0.5), high: level(0.9) };
        let wet_level_m = wet_level(self, f, dry_level_m)?;
        let pumped = dry_level_m.high + below.drawdown_m.high;
        let (lift, lift_planned) = self
            .lift_for(pumped)
            .ok_or_else(|| Missing::new(AskKind::Write, "Write down which pump or lift is planned."))?;
        let number = f.bores.methods.iter().position(|m| *m == method);
        let drill = number.and_then(|n| f.bores.inputs.methods.get(n));
        let rate = f.bores.wanted.rate_lps;
        let inputs = |layers: &[DesignLayer], aquifer| DesignInputs {
            layers: layers.to_vec(),
            aquifer,
            dry_level_m,
            wet_level_m,
            drawdown_m: below.drawdown_m,
            rate_lps: Part { low: rate, value: rate, high: rate },
            hours_per_day: f.bores.wanted.pumping_hours,
            method: DesignMethod::of(method, profile, &figures.fluid),
            lift: DesignLift::of(lift),
            casings: region.casings.values().map(CasingSize::of).collect(),
            sieve: None,
        };
        let design = |layers: &[DesignLayer]| {
            let (mut sheets, mut refused) = (Vec::new(), Vec::new());
            for aquifer in plausible_aquifers(layers, dry_level_m) {
                match design_well(&inputs(layers, aquifer), &figures) {
                    Ok(sheet) => sheets.push(sheet),
                    Err(reasons) => refused.push(reasons),
                }
            }
            (sheets, refused)
        };
        let logs = logs_by_worth(self, f);
        let mut likelier = Vec::new();
        let mut first = None;
        let mut made = None;
        for number in 0..logs.len().min(PICTURES) {
            let (name, layers) = picture(&logs, number, drill, profile.max_depth_m.value);
            let (sheets, refused) = design(&layers);
            if !sheets.is_empty() {
                made = Some((name, layers, sheets, refused));
                break;
            }
            likelier.push(name.clone());
            first.get_or_insert((name, layers, sheets, refused));
        }
        if made.is_none() {
            likelier.clear();
        }
        let Some((picture, layers, sheets, refused)) = made.or(first) else {
            return Err(no_prior("expected_logs"));
        };
        let bill = sheets.first().map(|sheet| {
            PriceTable::of(region, method, &sheet.pipe.casing.name, &lift.name)
                .and_then(|table| bill(sheet, &table))
                .map_err(|e| e.to_string())
        });
        Ok(WellPlan {
            method,
            lift: lift.name.clone(),
            lift_planned,
            picture,
            layers,
            sheets,
            refused,
            likelier,
            bill,
        })
    }

    /// The planned lift, and whether it is planned; else the cheapest that
    /// lifts from `depth_m`, and where none does the one that lifts from
    /// deepest.
    pub(super) fn lift_for(&self, depth_m: f64) -> Option<(&Lift, bool)> {
        if let Some(planned) = self.lift(&mut Sheet::new()) {
            return Some((planned, true));
        }
        let lifts = &self.region().lifts;
        let reach = lifts.values().filter(|l| l.max_m.value >= depth_m);
        let cheapest = reach.min_by(|a, b| a.price.value.total_cmp(&b.price.value));
        let deepest = || lifts.values().max_by(|a, b| a.max_m.value.total_cmp(&b.max_m.value));
        cheapest.or_else(deepest).map(|l| (l, false))
    }
}

/// The wettest month of a year, above the driest by the swing and what a dry
/// year adds.
fn wet_level(s: &SiteFacts, f: &Forecast, dry: Part) -> Result<Part, Missing> {
    let (low, high) = match &f.level.swing {
        Some(seen) => (seen.low_m, seen.high_m),
        None => (s.prior("swing_low_m")?, s.prior("swing_high_m")?),
    };
    let drought = f.level.drought_m;
    let up = |level: f64, swing: f64, drought: f64| (level - swing - drought).max(0.0);
    let value = up(dry.value, f64::midpoint(low, high), drought.value);
    Ok(Part {
        low: up(dry.low, high, drought.high).min(value),
        value,
        high: up(dry.high, low, drought.low).max(value),
    })
}

/// So many pictures of the ground are tried until a well can be built in one.
const PICTURES: usize = 4;

/// Every log with what it is called, the one that says most first.
fn logs_by_worth<'a>(s: &SiteFacts, f: &'a Forecast) -> Vec<(f64, &'a WeightedLog, String)> {
    let inputs: &VirtualBoreInputs = &f.bores.inputs;
    let expected: f64 = inputs.prior_logs.iter().map(|l| l.weight).sum();
    let scale = if expected > 0.0 { inputs.prior_worth / expected } else { 0.0 };
    let own = inputs.logs.iter().enumerate().map(|(i, log)| {
        let name = f.bores.log_names.get(i).cloned().unwrap_or_default();
        (log.weight, log, name)
    });
    let setting = inputs
        .prior_logs
        .iter()
        .zip(&s.region().expected_logs)
        .map(|(log, e)| (log.weight * scale, log, format!("the setting's \"{}\"", e.name)));
    let mut logs: Vec<(f64, &WeightedLog, String)> = own.chain(setting).collect();
    logs.sort_by(|a, b| b.0.total_cmp(&a.0));
    logs
}

/// The layers of one log, carried on downwards by those that go deeper.
fn picture(
    logs: &[(f64, &WeightedLog, String)],
    number: usize,
    drill: Option<&MethodInputs>,
    max_depth_m: f64,
) -> (String, Vec<DesignLayer>) {
    let mut layers: Vec<DesignLayer> = Vec::new();
    let mut name = String::new();
    let others = logs.iter().enumerate().filter(|(n, _)| *n != number).map(|(_, l)| l);
    for (_, log, of) in logs.get(number).into_iter().chain(others) {
        let end_m = layers.last().map_or(0.0, |l: &DesignLayer| l.bottom_m);
        if log.layers.last().is_none_or(|l| l.0 <= end_m) || end_m >= max_depth_m {
            continue;
        }
        if name.is_empty() {
            name.clone_from(of);
        } else {
            name.push_str(&format!(", below {end_m:.1} m {of}"));
        }
        for (to_m, classes) in &log.layers {
            let top_m = layers.last().map_or(0.0, |l| l.bottom_m);
            if *to_m <= top_m {
                continue;
            }
            let chance = 1.0 / classes.iter().count().max(1) as f64;
            let classes: Vec<_> = classes.iter().map(|c| (c, chance)).collect();
            let refuses = drill.is_some_and(|d| {
                !classes.is_empty() && classes.iter().all(|(c, _)| d.refusal.get(c).is_none_or(|r| *r >= 1.0))
            });
            match layers.last_mut() {
                Some(last) if last.classes == classes => last.bottom_m = *to_m,
                _ => layers.push(DesignLayer { top_m, bottom_m: *to_m, classes, refuses }),
            }
        }
        if !log.ends_in_soft_ground {
            break;
        }
    }
    (name, layers)
}
