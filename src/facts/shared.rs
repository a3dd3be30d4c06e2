//! What any number of pegs share: hazards and wells with their indexes, their
//! logs as read, and the region.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::ground::{LevelPriors, Log, UnreadLayer, WaterBand, level_in_well};
use crate::place::{PlaceIndex, UnstatedAccuracy, separation};
use crate::region::Region;
use crate::survey::{Accuracy, Frame, Hazard, HazardKind, Position, Survey, Well};

/// Farther than any two places on Earth lie apart, metres.
pub(super) const EVERYWHERE_M: f64 = 2.1e7;

/// The group under which wells are indexed.
const WELLS: u16 = 0;

/// Hazards, wells and the region, for any number of pegs.
#[derive(Debug)]
pub struct Shared {
    /// Every hazard.
    pub hazards: Vec<Hazard>,
    /// Every neighbour and trial bore.
    pub wells: Vec<Well>,
    /// Where the hazards are; their group is the place of their kind in
    /// [`HazardKind::ALL`].
    pub hazard_index: PlaceIndex,
    /// Where the wells are.
    pub well_index: PlaceIndex,
    /// The region in force.
    pub region: Arc<Region>,
    pub(super) logs: Vec<Log>,
    pub(super) unstated: Result<UnstatedAccuracy, &'static str>,
    worst_hazards: BTreeMap<u16, Worst>,
    worst_wells: Worst,
}

impl Shared {
    /// Reads the logs and builds the indexes.
    pub fn new(hazards: Vec<Hazard>, wells: Vec<Well>, region: Arc<Region>) -> Self {
        let ids = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let hazard_index =
            PlaceIndex::build(hazards.iter().enumerate().map(|(n, h)| (ids(n), group_of(h.kind), &h.shape)));
        let spots: Vec<_> = wells.iter().map(|w| crate::survey::Shape::Points(vec![w.position.at])).collect();
        let well_index = PlaceIndex::build(spots.iter().enumerate().map(|(n, s)| (ids(n), WELLS, s)));
        let priors = LevelPriors::of(&region).ok();
        let logs = wells
            .iter()
            .map(|well| {
                let moves = priors.as_ref().and_then(|p| level_in_well(well, &region.calendar, p));
                Log::read(well, moves.map(|(shallow_m, deep_m)| WaterBand { shallow_m, deep_m }))
            })
            .collect();
        let mut worst_hazards: BTreeMap<u16, Worst> = BTreeMap::new();
        for hazard in &hazards {
            worst_hazards.entry(group_of(hazard.kind)).or_default().add(&hazard.position);
        }
        let mut worst_wells = Worst::default();
        wells.iter().for_each(|w| worst_wells.add(&w.position));
        let unstated = unstated(&region);
        Self { hazards, wells, hazard_index, well_index, region, logs, unstated, worst_hazards, worst_wells }
    }

    /// Those of one survey.
    pub fn of_survey(survey: &Survey, region: Arc<Region>) -> Self {
        Self::new(survey.hazards.clone(), survey.wells.clone(), region)
    }

    /// Layers whose words are not understood, by the index of their well.
    pub fn unread_layers(&self) -> impl Iterator<Item = (&Well, &UnreadLayer)> {
        self.wells.iter().zip(&self.logs).flat_map(|(w, log)| log.unread.iter().map(move |u| (w, u)))
    }

    /// So far must hazards of a group be searched from the peg to miss none
    /// that may lie as near as `bound_m`.
    pub(super) fn hazards_may_reach_m(
        &self,
        group: u16,
        peg: &Position,
        bound_m: f64,
        unstated: &UnstatedAccuracy,
    ) -> f64 {
        self.worst_hazards.get(&group).map_or(bound_m, |w| w.may_reach_m(peg, bound_m, unstated))
    }

    /// The same for wells.
    pub(super) fn wells_may_reach_m(&self, peg: &Position, bound_m: f64, unstated: &UnstatedAccuracy) -> f64 {
        self.worst_wells.may_reach_m(peg, bound_m, unstated)
    }
}

pub(super) fn group_of(kind: HazardKind) -> u16 {
    HazardKind::ALL.iter().position(|k| *k == kind).and_then(|n| u16::try_from(n).ok()).unwrap_or(u16::MAX)
}

fn unstated(region: &Region) -> Result<UnstatedAccuracy, &'static str> {
    let get = |name: &'static str| region.priors.get(name).map(|f| f.value).ok_or(name);
    Ok(UnstatedAccuracy {
        coordinate_m: get("unstated_accuracy_m")?,
        tape_share: get("unstated_tape_error_share")?,
        tape_least_m: get("tape_least_error_m")?,
    })
}

/// The worst known positions of a set, as two positions that are as badly
/// known as any of it.
#[derive(Debug, Default)]
struct Worst {
    /// The greatest stated accuracy, and the greatest shift of a frame.
    stated_m: f64,
    shift_m: f64,
    some: Option<Position>,
    unstated_coordinate: bool,
    unstated_tape: bool,
    /// The greatest distance that was taped from a peg, not always this one.
    taped_m: f64,
}

impl Worst {
    fn add(&mut self, position: &Position) {
        match position.accuracy {
            Accuracy::Stated(m) if m.is_finite() && m >= 0.0 => self.stated_m = self.stated_m.max(m),
            Accuracy::Stated(_) | Accuracy::UnstatedCoordinate => self.unstated_coordinate = true,
            Accuracy::UnstatedTape => self.unstated_tape = true,
        }
        match position.frame {
            Frame::Wgs84 | Frame::Peg => {}
            Frame::Datum { shift_error_m, .. } | Frame::UnknownDatum { shift_error_m } => {
                self.shift_m = self.shift_m.max(shift_error_m.abs());
            }
        }
        self.taped_m = position.taped_m.unwrap_or(0.0).max(self.taped_m);
        self.some.get_or_insert_with(|| position.clone());
    }

    /// The distance beyond which no position of the set can lie as near as
    /// `bound_m`.
    fn may_reach_m(&self, peg: &Position, bound_m: f64, unstated: &UnstatedAccuracy) -> f64 {
        let Some(some) = &self.some else { return bound_m };
        let frame = Frame::UnknownDatum { shift_error_m: self.shift_m };
        let taped_m = Some(self.taped_m);
        let worst = |accuracy| Position { at: some.at, accuracy, frame: frame.clone(), taped_m };
        let mut all = vec![worst(Accuracy::Stated(self.stated_m))];
        all.extend(self.unstated_coordinate.then(|| worst(Accuracy::UnstatedCoordinate)));
        all.extend(self.unstated_tape.then(|| worst(Accuracy::UnstatedTape)));
        let half = |d: f64| {
            all.iter()
                .map(|p| {
                    let part = separation(peg, p, d, unstated);
                    part.high - part.value
                })
                .fold(0.0, f64::max)
        };
        // The error may grow with the distance: go on until it no longer
        // does, and a millimetre farther.
        const STILL_M: f64 = 1e-6;
        const ENOUGH_M: f64 = 1e-3;
        let mut reach = bound_m;
        while reach < EVERYWHERE_M {
            let farther = bound_m + half(reach);
            if farther - reach < STILL_M {
                return farther + ENOUGH_M;
            }
            reach = farther;
        }
        EVERYWHERE_M
    }
}
