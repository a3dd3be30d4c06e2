//! The hole itself: its log as layers of ground, how deep its water falls in
//! the driest month, and how much water-bearing ground it has met below that;
//! metres below ground.

use std::rc::Rc;

use super::sheet::Sheet;
use super::{AskKind, Missing, SiteFacts};
use crate::diag::Origin;
use crate::ground::{
    Classes, Log, MaterialClass, ReadLayer, Sure, WaterBand, level_at_peg, level_in_well, water_habit,
};
use crate::region::MethodProfile;
use crate::survey::{Layer, Made, Progress, Well};
use crate::units::{Estimate, Part, Unit};

/// The hole as far as it has gone.
#[derive(Debug)]
pub(super) struct Hole {
    /// The hole as a well at the peg.
    pub well: Well,
    /// What it met.
    pub log: Log,
}

/// A row of the drilling log with the depth from which it went down.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch<'a> {
    pub top_m: f64,
    pub row: &'a Progress,
}

impl Stretch<'_> {
    pub fn gained_m(&self) -> f64 {
        self.row.depth_m - self.top_m
    }
}

impl SiteFacts {
    /// The rows of the drilling log, top down.
    pub(super) fn stretches(&self) -> Vec<Stretch<'_>> {
        let mut top_m = 0.0;
        let each = self.site.drilling.progress.iter().map(|row| {
            let stretch = Stretch { top_m, row };
            top_m = row.depth_m;
            stretch
        });
        each.collect()
    }

    /// How deep the hole is; `None` where no log was written.
    pub(super) fn hole_depth_m(&self, sheet: &mut Sheet) -> Option<f64> {
        let Some(last) = self.site.drilling.progress.last() else {
            sheet.ask(AskKind::Write, ASK_LOG);
            return None;
        };
        sheet.read(&last.from);
        Some(last.depth_m)
    }

    /// The hole with its log.
    pub(super) fn hole(&self) -> Rc<Hole> {
        self.hole.get_or_init(|| Rc::new(self.work_out_hole())).clone()
    }

    fn work_out_hole(&self) -> Hole {
        let drilling = &self.site.drilling;
        let stretches = self.stretches();
        let layer = |s: &Stretch<'_>| Layer {
            to_m: s.row.depth_m,
            material: s.row.material.clone().unwrap_or_else(|| "unknown".to_owned()),
            hardness: s.row.hardness.clone(),
            from: s.row.from.clone(),
        };
        let peg = &self.site.peg;
        let well = Well {
            name: "this hole".to_owned(),
            position: peg.at.value.clone(),
            elevation_m: None,
            elevation_accuracy_m: None,
            made: None,
            depth_m: None,
            water_level_m: drilling.water_level_m.clone(),
            measured: drilling.measured.clone(),
            season: None,
            lowest_level_m: None,
            outcome: None,
            pump_broken: None,
            yield_lps: None,
            drawdown_m: None,
            log: stretches.iter().filter(|s| s.gained_m() > 0.0).map(layer).collect(),
            quality: std::collections::BTreeMap::new(),
            from: peg.at.from.clone(),
        };
        let well =
            Well { made: Some(crate::survey::Seen::new(Made::HandDrilled, peg.at.from.clone())), ..well };
        let moves = self.level_priors().ok().and_then(|p| level_in_well(&well, &p));
        let band = moves.map(|(shallow_m, deep_m)| WaterBand { shallow_m, deep_m });
        let log = Log::read(&well, band);
        Hole { well, log }
    }

    /// The level of the driest month in the hole: the deeper of what the hole
    /// itself and what its neighbours say. Without one of the two it may lie
    /// at any depth.
    pub(super) fn hole_dry_level(&self, sheet: &mut Sheet) -> Result<Option<Estimate>, Missing> {
        let hole = self.hole();
        let here = Part { low: 0.0, value: 0.0, high: 0.0 };
        let own = level_at_peg(&hole.well, &here, true, self.months(), &self.level_priors()?).map(|l| l.dry);
        let drilling = &self.site.drilling;
        sheet.take_any(drilling.water_level_m.as_ref());
        sheet.take_any(drilling.measured.as_ref());
        if own.is_none() {
            sheet.ask(
                AskKind::Dip,
                "Let the hole stand for a night, dip its water, and write down the level and the day.",
            );
        } else if drilling.measured.is_none() {
            sheet.ask(AskKind::Write, "Write down the day on which the water in the hole was dipped.");
        }
        let around = self.dry_level(sheet)?;
        let deeper = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (one, other) => one.or(other),
        };
        let (o, a) = (own.as_ref(), around.as_ref());
        let low = deeper(o.map(|p| p.low), a.and_then(Estimate::low));
        let value = deeper(o.map(|p| p.value), a.and_then(Estimate::value));
        let high = o.map(|p| p.high).zip(a.and_then(Estimate::high)).map(|(x, y)| x.max(y));
        if o.is_none() && a.is_none() {
            return Ok(None);
        }
        Ok(super::sheet::estimate(Unit::Metre, low, value, high).ok())
    }

    /// The profile of the method at work; asks where it is not known.
    pub(super) fn method_at_work(&self, sheet: &mut Sheet) -> Option<&MethodProfile> {
        let Some(method) = sheet.take_any(self.site.drilling.method.as_ref()) else {
            sheet.ask(AskKind::Write, "Write down the method at work ([drilling] method = …).");
            return None;
        };
        let profile = self.region().methods.get(method);
        if profile.is_none() {
            sheet.ask(
                AskKind::Write,
                format!("Write what {} can do into the region's file or the local file.", method.name()),
            );
        }
        profile
    }

    /// Thickness of water-bearing ground that the hole met between two depths:
    /// surely so much, and at most so much.
    pub(super) fn bearing_m(
        &self,
        dry: Option<&Estimate>,
        from_m: f64,
        to_m: f64,
    ) -> (f64, Option<f64>, f64) {
        let hole = self.hole();
        let sure_top = dry.and_then(Estimate::high);
        let low = sure_top.map_or(0.0, |top| bearing(&hole.log, top.max(from_m), to_m, |m| m == Sure::Yes));
        let top = dry.and_then(Estimate::low).unwrap_or(0.0).max(from_m);
        let unseen = (to_m - hole.log.end_m().max(top)).max(0.0);
        let high = bearing(&hole.log, top, to_m, |m| m != Sure::No) + unseen;
        let value = dry.and_then(Estimate::value);
        let value =
            value.map(|v| bearing(&hole.log, v.max(from_m), to_m, |m| m == Sure::Yes).clamp(low, high));
        (low, value, high.max(low))
    }

    /// Asks for other words where a layer of the hole is not understood.
    pub(super) fn ask_for_words(&self, sheet: &mut Sheet) {
        for unread in &self.hole().log.unread {
            let ask = format!(
                "Write the ground \"{}\" of the drilling log ({}) in other words.",
                unread.written, unread.from
            );
            sheet.ask(AskKind::Write, ask);
        }
    }
}

/// What to do about a drilling log that nobody wrote.
pub(super) const ASK_LOG: &str = "Write the drilling log: for each stretch its depth, the minutes at work, what came up, \
                                  fluid lost, water struck, caving, gas, and whether water flows out.";

fn bearing(log: &Log, top_m: f64, bottom_m: f64, how: fn(Sure) -> bool) -> f64 {
    let bears = |classes: Classes| classes.are(|class| water_habit(class).and_then(|h| h.bears_water));
    let part = |l: &ReadLayer| (l.bottom_m.min(bottom_m) - l.top_m.max(top_m)).max(0.0);
    log.layers.iter().filter(|l| how(bears(l.classes))).map(part).sum()
}

/// Whether ground is of a class, `None` where the class is not known.
pub(super) fn is_of(class: MaterialClass, wanted: &[MaterialClass]) -> Option<bool> {
    (class != MaterialClass::Unknown).then(|| wanted.contains(&class))
}

/// Where each of several rows was written.
pub(super) fn read_rows<'a>(rows: impl Iterator<Item = &'a Origin>, sheet: &mut Sheet) {
    rows.for_each(|from| sheet.read(from));
}
