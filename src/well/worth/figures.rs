//! The region's figures for all of this: what else would bring the water,
//! what finding out costs and how far it is to be trusted.

use super::alternative::{Alternative, AlternativeKind};
use super::find_out::Priced;
use super::holes::HolePrices;
use super::observation::{Observation, Sign};
use crate::region::{Lift, MethodProfile, Region};
use crate::units::OutOfRange;
use crate::well::cost_per_success::HoleCosts;

/// Half the width of a 95 % band in standard deviations: what a region calls
/// an error is half that width.
const HALF_BAND_95: f64 = 1.959_963_984_540_054;

/// The region's figures, money in its currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WorthFigures {
    /// The chance of success at another peg.
    pub another_peg_chance: f64,
    /// A successful well drilled by a machine, and a failed hole.
    pub machine: (f64, f64),
    /// Its chance of success.
    pub machine_chance: f64,
    /// Putting an old well in order.
    pub repair_price: f64,
    /// The chance that it then works.
    pub repair_chance: f64,
    /// Gutters and tanks for one person.
    pub rainwater_price_per_person: f64,
    /// How many more neighbours to ask at a time.
    pub neighbours_to_ask: u32,
    /// The chance that the ground at a neighbour is that of the peg.
    pub neighbour_alike: f64,
    /// How far a neighbour's level, told from memory, may be from the level
    /// at the peg; standard deviation, metres.
    pub neighbour_level_sd_m: f64,
    /// The doubt of the level that is due to the season; standard deviation,
    /// metres.
    pub season_sd_m: f64,
    /// Error of a level measured in the driest month, a drought's fall
    /// included; standard deviation, metres.
    pub dry_level_sd_m: f64,
    /// How deep a small auger hole gets, metres.
    pub trial_reach_m: f64,
    /// How far it is to be trusted.
    pub trial_hole: Sign,
    /// How far a resistivity sounding is.
    pub resistivity: Sign,
    /// How far a field kit on wells near by is.
    pub field_kit: Sign,
    /// How far a distance taped again is.
    pub tape: Sign,
    /// What each costs.
    pub prices: FindingPrices,
    /// The client's share of a dry hole where it is shared.
    pub dry_hole_client_share: f64,
    /// How far all prices may be off together, as a share.
    pub price_spread_share: f64,
}

/// What finding out costs, time included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FindingPrices {
    /// One more neighbour.
    pub neighbour: f64,
    /// A level in the driest month.
    pub dry_season_level: f64,
    /// A small auger hole.
    pub trial_hole: f64,
    /// A resistivity sounding.
    pub resistivity: f64,
    /// A field kit.
    pub field_kit: f64,
    /// A distance.
    pub tape: f64,
}

impl WorthFigures {
    /// Those of a region.
    ///
    /// # Errors
    /// The name of the figure that the region does not have.
    pub fn of(region: &Region) -> Result<Self, &'static str> {
        let get = |name: &'static str| region.priors.get(name).map(|f| f.value).ok_or(name);
        let ask = |name: &'static str| region.asks.get(name).map(|a| a.price.value).ok_or(name);
        let sign = |sensitivity, specificity| {
            Ok::<_, &'static str>(Sign { sensitivity: get(sensitivity)?, specificity: get(specificity)? })
        };
        let machine = get("machine_well_price")?;
        // Neighbours lie half-way to the edge of what is near, on average.
        let away_km = get("near_evidence_radius_m")? / 2.0 / 1000.0;
        let apart_m = get("level_local_error_m")? + get("level_error_per_km_m")? * away_km;
        let drought_m = (get("drought_allowance_high_m")? - get("drought_allowance_low_m")?) / 2.0;
        let auger = region.methods.iter().find(|(method, _)| method.name() == AUGER);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
        let neighbours_to_ask = get("neighbours_to_ask_count")?.round().clamp(1.0, 10.0) as u32;
        Ok(Self {
            another_peg_chance: get("another_peg_chance")?,
            machine: (machine, machine * get("machine_failed_share")?),
            machine_chance: get("machine_well_chance")?,
            repair_price: get("repair_price")?,
            repair_chance: get("repair_chance")?,
            rainwater_price_per_person: get("rainwater_price_per_person")?,
            neighbours_to_ask,
            neighbour_alike: get("neighbour_alike_share")?,
            neighbour_level_sd_m: apart_m.hypot(get("remembered_level_error_m")?) / HALF_BAND_95,
            season_sd_m: get("swing_high_m")? / 2.0 / HALF_BAND_95,
            dry_level_sd_m: drought_m.hypot(get("level_reading_error_m")?) / HALF_BAND_95,
            trial_reach_m: auger.map(|(_, m)| m.max_depth_m.value).ok_or(AUGER)?,
            trial_hole: sign("trial_hole_sensitivity", "trial_hole_specificity")?,
            resistivity: sign("resistivity_sensitivity", "resistivity_specificity")?,
            field_kit: sign("field_kit_sensitivity", "field_kit_specificity")?,
            tape: sign("tape_sensitivity", "tape_specificity")?,
            prices: FindingPrices {
                neighbour: ask("ask")?,
                dry_season_level: ask("dip")?,
                trial_hole: ask("trial bore")?,
                resistivity: get("resistivity_price")?,
                field_kit: ask("field kit")?,
                tape: ask("tape")?,
            },
            dry_hole_client_share: get("dry_hole_client_share")?,
            price_spread_share: get("price_spread_share")?,
        })
    }

    /// Another peg with holes like those here.
    ///
    /// # Errors
    /// When the region's chance is none.
    pub fn another_peg(&self, holes: HoleCosts) -> Result<Alternative, OutOfRange> {
        Alternative::tried(AlternativeKind::AnotherPeg, holes, self.another_peg_chance)
    }

    /// A well drilled by a machine.
    ///
    /// # Errors
    /// When the region's chance or price is none.
    pub fn machine_rig(&self) -> Result<Alternative, OutOfRange> {
        let holes = HoleCosts::new(self.machine.0, self.machine.1)?;
        Alternative::tried(AlternativeKind::MachineRig, holes, self.machine_chance)
    }

    /// An old well put in order; a repair that fails has cost as much.
    ///
    /// # Errors
    /// When the region's chance or price is none.
    pub fn repair(&self) -> Result<Alternative, OutOfRange> {
        let holes = HoleCosts::new(self.repair_price, self.repair_price)?;
        Alternative::tried(AlternativeKind::RepairOldWell, holes, self.repair_chance)
    }

    /// Gutters and tanks for so many people.
    ///
    /// # Errors
    /// When their number or the region's price is none.
    pub fn rainwater(&self, people: f64) -> Result<Alternative, OutOfRange> {
        Alternative::sure(AlternativeKind::Rainwater, self.rainwater_price_per_person * people)
    }

    /// Everything about the ground that could be found out, with its price;
    /// `like_method`: the number of the hand auger among the methods of the
    /// bores, where it is one of them.
    pub fn things(&self, like_method: Option<usize>) -> [Priced; 5] {
        let count = self.neighbours_to_ask;
        let neighbours = Observation::Neighbours {
            count,
            alike: self.neighbour_alike,
            level_error_sd_m: self.neighbour_level_sd_m,
        };
        let dry_season =
            Observation::DrySeasonLevel { season_sd_m: self.season_sd_m, error_sd_m: self.dry_level_sd_m };
        let trial_hole =
            Observation::TrialHole { reach_m: self.trial_reach_m, like_method, sign: self.trial_hole };
        let prices = self.prices;
        [
            (neighbours, f64::from(count) * prices.neighbour),
            (dry_season, prices.dry_season_level),
            (trial_hole, prices.trial_hole),
            (Observation::Resistivity { sign: self.resistivity }, prices.resistivity),
            (Observation::QualityKit { sign: self.field_kit }, prices.field_kit),
        ]
        .map(|(observation, price)| Priced { observation, price })
    }

    /// Taping a distance again that may be below its limit with that chance;
    /// a well too near is lost with what it cost, and filled.
    pub fn tape_again(&self, chance_below: f64, success_cost: f64, abandonment: f64) -> Priced {
        let loss = success_cost + abandonment;
        Priced {
            observation: Observation::TapeAgain { chance_below, loss, sign: self.tape },
            price: self.prices.tape,
        }
    }
}

const AUGER: &str = "hand auger";

impl HolePrices {
    /// A method of the region, with a lift where one is chosen.
    ///
    /// # Errors
    /// The name of the figure that the region does not have.
    pub fn of_region(
        region: &Region,
        method: &MethodProfile,
        lift: Option<&Lift>,
    ) -> Result<Self, &'static str> {
        let get = |name: &'static str| region.priors.get(name).map(|f| f.value).ok_or(name);
        let completion = (get("well_completion_price_low")?, get("well_completion_price_high")?);
        Ok(Self {
            mobilisation: method.mobilisation.value,
            per_metre: method.per_metre.value,
            casing_per_metre: get("casing_per_metre")?,
            completion: f64::midpoint(completion.0, completion.1),
            lift: lift.map_or(0.0, |l| l.price.value),
            abandonment: get("abandonment_price")?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::alternative::cheapest;
    use super::*;
    use crate::diag::{Problems, Sources};
    use crate::region;

    fn all() -> Vec<Region> {
        let ids = region::settings().into_iter().map(|(id, _)| id).chain([region::UNSTATED.to_owned()]);
        ids.map(|id| region::load(&id, None, &mut Sources::new(), &mut Problems::new()).unwrap()).collect()
    }

    #[test]
    fn every_region_has_the_figures_and_they_can_be_used() {
        for region in all() {
            let figures = WorthFigures::of(&region).unwrap();
            for sign in [figures.trial_hole, figures.resistivity, figures.field_kit, figures.tape] {
                assert!(sign.checked().is_ok(), "{}", region.id);
                // Else what is seen would mean its contrary.
                assert!(sign.sensitivity + sign.specificity > 1.0, "{}", region.id);
            }
            let here = HoleCosts::new(1000.0, 400.0).unwrap();
            let others = [
                figures.another_peg(here).unwrap(),
                figures.machine_rig().unwrap(),
                figures.repair().unwrap(),
                figures.rainwater(180.0).unwrap(),
            ];
            assert!(cheapest(&others).unwrap().cost > 0.0, "{}", region.id);
            assert!(figures.things(None).iter().all(|t| t.price > 0.0), "{}", region.id);
            assert!(figures.season_sd_m > 0.0 && figures.trial_reach_m > 0.0, "{}", region.id);
        }
    }

    /// By hand: 6000 + 41/59 · 3000.
    #[test]
    fn a_machine_well_counts_its_failures() {
        let region = all().pop().unwrap();
        let rig = WorthFigures::of(&region).unwrap().machine_rig().unwrap();
        assert!((rig.cost - (6000.0 + 41.0 / 59.0 * 3000.0)).abs() < 1e-6);
    }

    #[test]
    fn every_method_has_its_prices() {
        for region in all() {
            for (method, profile) in &region.methods {
                let lift = region.lifts.values().next();
                let prices = HolePrices::of_region(&region, profile, lift).unwrap();
                assert!(prices.checked().is_ok(), "{} {}", region.id, method.name());
                assert!(prices.success(20.0) > prices.failure(20.0), "{} {}", region.id, method.name());
            }
        }
    }

    #[test]
    fn a_figure_that_is_missing_is_named() {
        let mut region = all().pop().unwrap();
        region.priors.remove("repair_chance");
        assert_eq!(WorthFigures::of(&region), Err("repair_chance"));
    }
}
