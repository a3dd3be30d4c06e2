//! What is to be expected at the peg from all evidence together: how deep the
//! water stands, how deep each method gets, how likely a hole is a success.
//!
//! A forecast weighs every well, near or far, against what the region leads
//! one to expect. It answers even where nobody observed anything, and one
//! piece of evidence the less may make it brighter; so it never clears
//! anything. What clears is decided from the facts.

mod bores;
mod level;
mod plan;
mod quality;
mod refusal;
mod section;
mod swing;
mod worth;

use std::rc::Rc;

use super::shared::EVERYWHERE_M;
use super::sheet::{Answer, Sheet};
use super::site::Works;
use super::{Missing, SiteFacts};
use crate::place::{Plane, distance_m};
use crate::survey::Well;
use crate::units::{Estimate, Unit};

pub use bores::{BoresForecast, DesignWanted};
pub use level::{LevelForecast, WellInForecast};
pub use plan::WellPlan;
pub use quality::QualityForecast;
pub use refusal::RefusalForecast;
pub use swing::ObservedSwing;
pub use worth::{MethodWorth, SiteWorth};

pub(super) const WORKS: Works = &[("success_chance_pct", success_chance)];

/// What is to be expected at the peg.
#[derive(Debug)]
pub struct Forecast {
    /// The depth to water in the driest month.
    pub level: LevelForecast,
    /// How deep each method at hand gets before the ground refuses it.
    pub refusal: Vec<RefusalForecast>,
    /// How likely the water exceeds a limit.
    pub quality: Vec<QualityForecast>,
    /// What virtual bores at the peg come to.
    pub bores: BoresForecast,
}

/// A well that forecasts may use.
#[derive(Debug, Clone, Copy)]
pub(super) struct Near<'a> {
    pub id: usize,
    pub well: &'a Well,
    /// From the peg.
    pub distance_m: f64,
    /// East and north of the peg.
    pub east_north_m: [f64; 2],
}

impl SiteFacts {
    /// What is to be expected at the peg.
    ///
    /// # Errors
    /// What must be written down before anything can be expected.
    pub fn forecast(&self) -> Result<Rc<Forecast>, Missing> {
        self.forecast.get_or_init(|| self.make_forecast().map(Rc::new)).clone()
    }

    fn make_forecast(&self) -> Result<Forecast, Missing> {
        let near = self.wells_for_forecast()?;
        let level = level::forecast(self, &near)?;
        let refusal = refusal::forecast(self, &near)?;
        let quality = quality::forecast(self, &near)?;
        let bores = bores::forecast(self, &near, &level, quality::chance_of_poor(&quality))?;
        Ok(Forecast { level, refusal, quality, bores })
    }

    /// The nearest wells, nearest first.
    fn wells_for_forecast(&self) -> Result<Vec<Near<'_>>, Missing> {
        let radius_m = self.prior("forecast_radius_m")?.min(EVERYWHERE_M);
        let most = self.prior("forecast_wells_most")?.max(0.0) as usize;
        let at = self.site.peg.at.value.at;
        // Ever wider, so that a peg among a million wells looks at few.
        const FIRST_M: f64 = 250.0;
        let mut reach_m = FIRST_M.min(radius_m);
        while reach_m < radius_m && self.shared.well_index.count_within(at, reach_m, None) < most {
            reach_m = (2.0 * reach_m).min(radius_m);
        }
        let plane = Plane::at(at);
        let hits = self.shared.well_index.within(at, reach_m, None);
        let mut near: Vec<Near<'_>> = hits
            .iter()
            .filter_map(|hit| {
                let id = usize::try_from(hit.id).ok()?;
                let well = self.shared.wells.get(id)?;
                let east_north_m = plane.east_north_m(well.position.at);
                let finite = east_north_m.iter().all(|x| x.is_finite());
                finite.then_some(Near {
                    id,
                    well,
                    distance_m: distance_m(at, well.position.at),
                    east_north_m,
                })
            })
            .collect();
        near.sort_by(|a, b| {
            a.distance_m
                .total_cmp(&b.distance_m)
                .then_with(|| (&a.well.name, &a.well.from).cmp(&(&b.well.name, &b.well.from)))
        });
        near.truncate(most);
        Ok(near)
    }
}

/// The chance itself, not a band of it: how sure it is stands in the report.
fn success_chance(s: &SiteFacts) -> Answer {
    let forecast = s.forecast()?;
    let mut sheet = Sheet::new();
    let bores = &forecast.bores;
    let Some((method, best)) = bores.best() else { return Ok(sheet.unknown()) };
    let wells = forecast.level.wells.iter().filter(|w| w.weight > 0.0);
    wells.for_each(|w| sheet.read(&w.from));
    bores.logs_from.iter().for_each(|from| sheet.read(from));
    let band = best.success.band80;
    sheet.note(format!(
        "by {}, from {} virtual bores; with so few logs it may be {:.0} to {:.0} %",
        method.name(),
        bores.inputs.bores,
        100.0 * band.low,
        100.0 * band.high,
    ));
    sheet.number(Estimate::exact(Unit::Percent, 100.0 * best.success.value))
}
