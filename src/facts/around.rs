//! What lies around the peg, for a plan of it: every hazard and well within a
//! radius with its distance and the ends of what the positions leave of it;
//! metres.

use super::near::{hazard_name, well_name};
use super::{Missing, SiteFacts};
use crate::place::separation;
use crate::survey::{Hazard, HazardKind, Well};
use crate::units::Part;

/// A hazard or well around the peg.
#[derive(Debug, Clone)]
pub struct Around<'a, T> {
    /// The thing itself.
    pub thing: &'a T,
    /// What people call it, or what it is and where it was written.
    pub name: String,
    /// From the peg to its nearest place.
    pub distance: Part,
    /// The direction to that place, degrees from north; `None` where the peg
    /// is inside it or on it.
    pub bearing_deg: Option<f64>,
}

impl SiteFacts {
    /// Every hazard whose best distance is within `radius_m`, nearest first.
    ///
    /// # Errors
    /// Where the region does not say how well an unstated position is known.
    pub fn hazards_around(&self, radius_m: f64) -> Result<Vec<Around<'_, Hazard>>, Missing> {
        let unstated = self.unstated()?;
        let mut all = Vec::new();
        for kind in HazardKind::ALL {
            let found = self.sources_within(super::shared::group_of(kind), radius_m, &unstated);
            all.extend(found.iter().filter_map(|source| {
                let thing = self.hazard(source)?;
                let (distance, bearing_deg) = (source.distance, source.bearing_deg);
                Some(Around { thing, name: hazard_name(thing), distance, bearing_deg })
            }));
        }
        all.sort_by(|a, b| {
            (a.distance.value.total_cmp(&b.distance.value))
                .then_with(|| (&a.name, &a.thing.from).cmp(&(&b.name, &b.thing.from)))
        });
        Ok(all)
    }

    /// The same for wells.
    ///
    /// # Errors
    /// As above.
    pub fn wells_around(&self, radius_m: f64) -> Result<Vec<Around<'_, Well>>, Missing> {
        let unstated = self.unstated()?;
        let peg = &self.site.peg.at.value;
        let hits = self.shared.well_index.within(peg.at, radius_m, None);
        let mut all: Vec<Around<'_, Well>> = hits
            .iter()
            .filter_map(|hit| {
                let thing = self.shared.wells.get(usize::try_from(hit.id).ok()?)?;
                let distance = separation(peg, &thing.position, hit.distance_m, &unstated);
                Some(Around { thing, name: well_name(thing), distance, bearing_deg: hit.bearing_deg })
            })
            .collect();
        all.sort_by(|a, b| {
            (a.distance.value.total_cmp(&b.distance.value))
                .then_with(|| (&a.name, &a.thing.from).cmp(&(&b.name, &b.thing.from)))
        });
        Ok(all)
    }
}
