//! The facts of other spots near the peg, from what was seen at the peg.
//!
//! A spot is set out from the peg with tape and compass. What is known of it
//! is what is known from the peg, made worse by the way there:
//!
//! - positions keep their errors as seen from the peg, the peg's own among
//!   them, and those of setting out come on top;
//! - what was taped from the peg at a compass bearing lies somewhere on an arc,
//!   which from the peg is everywhere equally far, and from elsewhere is not;
//! - a circle that was searched around the peg holds a smaller one around the
//!   spot;
//! - what was taped around the peg (room to work, rock, salt) is known less by
//!   the way gone; the other signs on the ground are taken to hold.

use std::sync::Arc;

use super::{Missing, Shared, Site, SiteFacts};
use crate::diag::Origin;
use crate::place::{
    Plane, UnstatedAccuracy, accuracy_of_band_m, bearing_deg, destination, distance_m, seen_from, separation,
};
use crate::region::Region;
use crate::survey::{Accuracy, Frame, Hazard, LonLat, Position, Seen, Shape, Survey};

/// Other spots near one peg.
#[derive(Debug)]
pub struct Moved {
    shared: Arc<Shared>,
    site: Site,
    peg: Position,
    unstated: UnstatedAccuracy,
    tape_m: f64,
    compass_deg: f64,
}

/// Steps of the arc on which a taped hazard may lie.
const ARC_STEPS: u32 = 16;

impl Moved {
    /// From a survey.
    ///
    /// # Errors
    /// The figure that the region lacks.
    pub fn of_survey(survey: &Survey, region: Arc<Region>) -> Result<Self, Missing> {
        let prior = |name: &'static str| {
            region.priors.get(name).map(|f| f.value).ok_or_else(|| super::site::no_prior(name))
        };
        let unstated = UnstatedAccuracy {
            coordinate_m: prior("unstated_accuracy_m")?,
            tape_share: prior("unstated_tape_error_share")?,
            tape_least_m: prior("tape_least_error_m")?,
        };
        let (tape_m, compass_deg) = (prior("tape_least_error_m")?, prior("bearing_error_deg")?);
        let peg = survey.peg.at.value.clone();
        let hazards = survey.hazards.iter().map(|h| hazard(h, &peg, &unstated, compass_deg)).collect();
        let wells = survey.wells.iter().map(|w| {
            let far_m = distance_m(peg.at, w.position.at);
            let mut position = seen_from(&peg, &w.position, far_m, &unstated);
            if w.position.frame == Frame::Peg
                && let Accuracy::Stated(radius_m) = position.accuracy
            {
                let sideways_m = far_m * compass_deg.to_radians().sin();
                position.accuracy = Accuracy::Stated(radius_m.hypot(accuracy_of_band_m(sideways_m)));
            }
            crate::survey::Well { position, ..w.clone() }
        });
        let shared = Arc::new(Shared::new(hazards, wells.collect(), region));
        Ok(Self { shared, site: Site::of_survey(survey), peg, unstated, tape_m, compass_deg })
    }

    /// The hazards, each where it may lie as seen from the peg, in the order
    /// of the survey.
    pub fn hazards(&self) -> &[Hazard] {
        &self.shared.hazards
    }

    /// Which of them lie within a distance of the peg, in their order.
    pub fn hazards_within(&self, radius_m: f64) -> Vec<usize> {
        let hits = self.shared.hazard_index.within(self.peg.at, radius_m, None);
        let mut ids: Vec<usize> = hits.iter().filter_map(|h| usize::try_from(h.id).ok()).collect();
        ids.sort_unstable();
        ids
    }

    /// How far sideways a compass bearing may be off at a distance, metres.
    pub fn sideways_m(&self, far_m: f64) -> f64 {
        far_m * self.compass_deg.to_radians().sin()
    }

    /// How much nearer to the peg, at the worse end of the 95 % band, than it
    /// is drawn something of the survey may be, metres.
    pub fn error_m(&self, position: &Position) -> f64 {
        let far_m = distance_m(self.peg.at, position.at);
        let seen = seen_from(&self.peg, position, far_m, &self.unstated);
        let part = separation(&self.exact_peg(), &seen, far_m, &self.unstated);
        part.high - part.value
    }

    /// The same for one of [`Moved::hazards`], whose errors are all in its
    /// position.
    pub fn error_of_hazard_m(&self, hazard: &Hazard) -> f64 {
        let part = separation(&self.exact_peg(), &hazard.position, 0.0, &self.unstated);
        part.high - part.value
    }

    fn exact_peg(&self) -> Position {
        let accuracy = Accuracy::Stated(0.0);
        Position { at: self.peg.at, accuracy, frame: Frame::Wgs84, taped_m: None }
    }

    /// How far off a spot may be that was set out `far_m` from the peg with
    /// tape and compass, 95 times in 100, metres.
    pub fn setting_out_m(&self, far_m: f64) -> f64 {
        self.tape_m.hypot(self.sideways_m(far_m))
    }

    /// The facts of a spot.
    pub fn at(&self, spot: LonLat) -> SiteFacts {
        let far_m = distance_m(self.peg.at, spot);
        let mut site = self.site.clone();
        let accuracy = Accuracy::Stated(accuracy_of_band_m(self.setting_out_m(far_m)));
        let from: Origin = site.peg.at.from.clone();
        site.peg.at = Seen::new(Position { at: spot, accuracy, frame: Frame::Wgs84, taped_m: None }, from);
        // Nobody levelled it.
        site.peg.elevation_m = None;
        site.peg.elevation_accuracy_m = None;
        site.looked_for.retain(|_, radius| {
            radius.value -= far_m;
            radius.value > 0.0
        });
        site.moved_m = far_m;
        SiteFacts::for_peg(self.shared.clone(), Arc::new(site))
    }

    /// The level plane at the peg.
    pub fn plane(&self) -> Plane {
        Plane::at(self.peg.at)
    }
}

fn hazard(hazard: &Hazard, peg: &Position, unstated: &UnstatedAccuracy, compass_deg: f64) -> Hazard {
    let far_m = distance_m(peg.at, hazard.position.at);
    let position = seen_from(peg, &hazard.position, far_m, unstated);
    let shape = match &hazard.shape {
        Shape::Points(points) if hazard.position.frame == Frame::Peg => match points.as_slice() {
            [only] => arc(peg.at, *only, compass_deg).unwrap_or_else(|| hazard.shape.clone()),
            _ => hazard.shape.clone(),
        },
        shape => shape.clone(),
    };
    Hazard { position, shape, ..hazard.clone() }
}

/// Where a place may lie that was taped from the peg at a compass bearing.
fn arc(peg: LonLat, place: LonLat, compass_deg: f64) -> Option<Shape> {
    let (far_m, bearing) = (distance_m(peg, place), bearing_deg(peg, place));
    if far_m <= 0.0 || compass_deg <= 0.0 {
        return None;
    }
    // The middle is the place itself. Chords of an arc lie inside it, by less
    // than a ten-thousandth of its radius.
    let half = f64::from(ARC_STEPS / 2);
    let at = |n: u32| {
        let turn = f64::from(n) / half - 1.0;
        destination(peg, bearing + turn * compass_deg.min(180.0), far_m)
    };
    let places: Option<Vec<LonLat>> = (0..=ARC_STEPS).map(at).collect();
    places.map(|places| Shape::Lines(vec![places]))
}
