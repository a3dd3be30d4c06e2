//! Which hazards and wells lie near the peg, and how far, with the ends of
//! what their positions leave of the distance; metres.
//!
//! A thing is *surely* near where even the far end of its distance is within
//! the radius, and *perhaps* near where the near end is. What is known of a
//! thing that is only perhaps near widens a fact and never narrows it.

use std::rc::Rc;

use super::SiteFacts;
use super::shared::{EVERYWHERE_M, group_of};
use super::sheet::Sheet;
use super::site::no_prior;
use super::{AskKind, Missing};
use crate::place::{Hit, UnstatedAccuracy, separation};
use crate::survey::{Accuracy, Frame, Hazard, HazardKind, Position, Well};
use crate::units::{Part, Unit};

/// A hazard near the peg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Source {
    pub(super) id: usize,
    pub(super) distance: Part,
    /// The direction to its nearest place, degrees from north; `None` where
    /// the peg is inside it or on it.
    pub(super) bearing_deg: Option<f64>,
}

/// A well near the peg.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Neighbour {
    pub(super) id: usize,
    pub(super) distance: Part,
    /// How many wells are nearer, by their best distance. It does not depend
    /// on how well positions are known.
    pub(super) rank: usize,
}

impl Neighbour {
    pub(super) fn surely_within(&self, radius_m: f64) -> bool {
        self.distance.high <= radius_m
    }

    pub(super) fn perhaps_within(&self, radius_m: f64) -> bool {
        self.distance.low <= radius_m
    }
}

/// A neighbour taken as evidence.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chosen<'a> {
    pub(super) id: usize,
    pub(super) well: &'a Well,
    pub(super) distance: Part,
    /// Surely near enough; otherwise only perhaps.
    pub(super) sure: bool,
    /// Surely so near that it stands for the peg itself.
    pub(super) at_peg: bool,
    /// Perhaps so near.
    pub(super) perhaps_at_peg: bool,
}

impl SiteFacts {
    pub(super) fn unstated(&self) -> Result<UnstatedAccuracy, Missing> {
        self.shared.unstated.map_err(no_prior)
    }

    fn peg(&self) -> &Position {
        &self.site.peg.at.value
    }

    /// How far a well may lie off its place among the others. The peg's own
    /// error moves all wells alike, but for those taped from it; these lie
    /// where the compass said, too.
    pub(super) fn place_error_m(&self, n: &Neighbour, well: &Well) -> Result<f64, Missing> {
        let unstated = self.unstated()?;
        let exact = Position { accuracy: Accuracy::Stated(0.0), ..self.peg().clone() };
        let half = |peg: &Position, other: &Position| {
            let part = separation(peg, other, n.distance.value, &unstated);
            part.high - part.value
        };
        let own_m = half(&exact, &well.position);
        if well.position.frame != Frame::Peg {
            return Ok(own_m);
        }
        let sideways_m = n.distance.value * self.prior("bearing_error_deg")?.to_radians().sin();
        Ok(own_m + sideways_m + half(self.peg(), &exact))
    }

    /// Every hazard of a kind that may be the nearest of it, nearest first.
    pub(super) fn sources(&self, kind: HazardKind) -> Result<Rc<[Source]>, Missing> {
        let find = || {
            let unstated = self.unstated()?;
            let (index, at, group) = (&self.shared.hazard_index, self.peg().at, group_of(kind));
            let Some(nearest) = index.nearest(at, group) else { return Ok([].into()) };
            let Some(first) = self.source(&nearest, &unstated) else { return Ok([].into()) };
            let reach = self.shared.hazards_may_reach_m(group, self.peg(), first.distance.high, &unstated);
            Ok(self.sources_within(group, reach, &unstated).into())
        };
        let place = usize::from(group_of(kind));
        self.sources.get(place).map_or_else(find, |cell| cell.get_or_init(find).clone())
    }

    /// Every hazard of a kind out to ever greater radii, until `enough` says
    /// so or there are no more. `enough` is told the hazards found and the
    /// distance within which surely none was missed.
    pub(super) fn sources_until(
        &self,
        kind: HazardKind,
        enough: impl Fn(&[Source], f64) -> bool,
    ) -> Result<Vec<Source>, Missing> {
        let unstated = self.unstated()?;
        let group = group_of(kind);
        let mut complete_m = match self.sources(kind)?.last() {
            Some(last) => last.distance.high,
            None => return Ok(Vec::new()),
        };
        loop {
            let reach = self.shared.hazards_may_reach_m(group, self.peg(), complete_m, &unstated);
            let found = self.sources_within(group, reach, &unstated);
            if reach >= EVERYWHERE_M || enough(&found, complete_m) {
                return Ok(found);
            }
            complete_m += reach;
        }
    }

    pub(super) fn sources_within(
        &self,
        group: u16,
        radius_m: f64,
        unstated: &UnstatedAccuracy,
    ) -> Vec<Source> {
        let hits = self.shared.hazard_index.within(self.peg().at, radius_m, Some(group));
        let mut all: Vec<_> = hits.iter().filter_map(|h| self.source(h, unstated)).collect();
        let key = |s: &Source| self.shared.hazards.get(s.id).map(|h| (&h.name, &h.from));
        all.sort_by(|a, b| a.distance.value.total_cmp(&b.distance.value).then_with(|| key(a).cmp(&key(b))));
        all
    }

    fn source(&self, hit: &Hit, unstated: &UnstatedAccuracy) -> Option<Source> {
        let id = usize::try_from(hit.id).ok()?;
        let hazard = self.shared.hazards.get(id)?;
        let distance = separation(self.peg(), &hazard.position, hit.distance_m, unstated);
        Some(Source { id, distance, bearing_deg: hit.bearing_deg })
    }

    pub(super) fn hazard(&self, source: &Source) -> Option<&Hazard> {
        self.shared.hazards.get(source.id)
    }

    /// Every well that may be near enough for any fact, nearest first.
    pub(super) fn neighbours(&self) -> Result<Rc<[Neighbour]>, Missing> {
        let find = || {
            let unstated = self.unstated()?;
            let radii = [
                "evidence_radius_m",
                "near_evidence_radius_m",
                "quality_radius_m",
                "repair_radius_m",
                "trial_bore_radius_m",
            ];
            let farthest = radii
                .iter()
                .filter_map(|r| self.region().priors.get(*r))
                .map(|f| f.value)
                .fold(0.0, f64::max);
            let reach = self.shared.wells_may_reach_m(self.peg(), farthest, &unstated);
            let hits = self.shared.well_index.within(self.peg().at, reach, None);
            let mut all: Vec<_> = hits
                .iter()
                .filter_map(|hit| {
                    let id = usize::try_from(hit.id).ok()?;
                    let well = self.shared.wells.get(id)?;
                    let distance = separation(self.peg(), &well.position, hit.distance_m, &unstated);
                    Some(Neighbour { id, distance, rank: 0 })
                })
                .collect();
            let key = |n: &Neighbour| self.shared.wells.get(n.id).map(|w| (&w.name, &w.from));
            all.sort_by(|a, b| {
                a.distance.value.total_cmp(&b.distance.value).then_with(|| key(a).cmp(&key(b)))
            });
            for (rank, neighbour) in all.iter_mut().enumerate() {
                neighbour.rank = rank;
            }
            Ok(all.into())
        };
        self.neighbours.get_or_init(find).clone()
    }

    /// Every well that is perhaps within a radius.
    pub(super) fn around(&self, radius: &'static str) -> Result<Vec<Chosen<'_>>, Missing> {
        let radius_m = self.prior(radius)?;
        let at_peg_m = self.prior("trial_bore_radius_m")?;
        let all = self.neighbours()?;
        Ok(all.iter().filter_map(|n| self.choose(n, radius_m, at_peg_m)).collect())
    }

    /// The wells that picture the peg: where one that `says` something surely
    /// stands for the peg itself, those that may stand for it; otherwise the
    /// nearest few that are perhaps within the radius. The second set always
    /// holds the first.
    pub(super) fn evidence(
        &self,
        radius: &'static str,
        says: impl Fn(&Well) -> bool,
    ) -> Result<Vec<Chosen<'_>>, Missing> {
        let radius_m = self.prior(radius)?;
        let at_peg_m = self.prior("trial_bore_radius_m")?;
        let all = self.neighbours()?;
        let at_peg: Vec<_> = all
            .iter()
            .filter(|n| n.perhaps_within(at_peg_m))
            .filter_map(|n| self.choose(n, at_peg_m, at_peg_m))
            .collect();
        if at_peg.iter().any(|c| c.at_peg && says(c.well)) {
            return Ok(at_peg);
        }
        let nearest = self.nearest_few()?;
        Ok(all
            .iter()
            .filter(|n| n.rank < nearest || n.perhaps_within(at_peg_m))
            .filter_map(|n| {
                let c = self.choose(n, radius_m.max(at_peg_m), at_peg_m)?;
                // Beyond the nearest few a well counts only for standing for
                // the peg: a worse position must not make it count surely.
                Some(Chosen { sure: c.sure && (n.rank < nearest || c.at_peg), ..c })
            })
            .collect())
    }

    /// The nearest few wells that are perhaps within a radius.
    pub(super) fn nearest_around(&self, radius: &'static str) -> Result<Vec<Chosen<'_>>, Missing> {
        self.evidence(radius, |_| false)
    }

    fn nearest_few(&self) -> Result<usize, Missing> {
        let most = self.prior("ground_neighbours_max")?;
        // Saturates: a count of wells is a small whole number.
        Ok(most.max(0.0) as usize)
    }

    fn choose(&self, n: &Neighbour, radius_m: f64, at_peg_m: f64) -> Option<Chosen<'_>> {
        let well = self.shared.wells.get(n.id).filter(|_| n.perhaps_within(radius_m))?;
        Some(Chosen {
            id: n.id,
            well,
            distance: n.distance,
            sure: n.surely_within(radius_m),
            at_peg: n.surely_within(at_peg_m),
            perhaps_at_peg: n.perhaps_within(at_peg_m),
        })
    }

    /// The weight of a neighbour at a distance.
    pub(super) fn weight(&self, distance: &Part) -> Result<f64, Missing> {
        let length = self.prior("neighbour_weight_length_m")?;
        Ok(if length > 0.0 { (-distance.value / length).exp() } else { 1.0 })
    }

    /// Asks for what would make a distance better known.
    pub(super) fn ask_where(&self, sheet: &mut Sheet, position: &Position, name: &str) {
        if matches!(position.frame, Frame::UnknownDatum { .. }) {
            sheet.ask(
                AskKind::Write,
                format!(
                    "Write down the datum of the grid reference of {name}, or tape its distance from the peg."
                ),
            );
        } else if !matches!(position.accuracy, Accuracy::Stated(_)) {
            sheet.ask(
                AskKind::Write,
                format!(
                    "Write down how well the position of {name} is known, or tape its distance from the peg."
                ),
            );
        } else if position.frame != Frame::Peg {
            sheet.ask(AskKind::Tape, format!("Tape the distance from the peg to {name}."));
        }
    }
}

/// What people call a hazard, or what it is and where it was written.
pub(super) fn hazard_name(hazard: &Hazard) -> String {
    if hazard.name.trim().is_empty() {
        format!("the {} of {}", hazard.kind.name(), hazard.from)
    } else {
        hazard.name.trim().to_owned()
    }
}

/// What people call a well, or where it was written.
pub(super) fn well_name(well: &Well) -> String {
    if well.name.trim().is_empty() {
        format!("the well of {}", well.from)
    } else {
        well.name.trim().to_owned()
    }
}

/// "24.5 m at bearing 15°".
pub(super) fn place_of(distance: &Part, bearing_deg: Option<f64>) -> String {
    let metres = Unit::Metre.show(distance.value);
    match bearing_deg {
        Some(b) => format!("{metres} at bearing {}", Unit::Degree.show(b)),
        None => metres,
    }
}
