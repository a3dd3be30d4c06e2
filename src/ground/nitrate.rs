//! Nitrate in the water that reaches the table under houses, mg/L as nitrogen.
//!
//! * By a balance of waste water and rain: N = (W·N_w·(1 − d) + R·N_b)/(W + R),
//!   with W waste water and R recharge as depths a year in one unit, N_w and
//!   N_b their nitrogen mg/L, d the share that is lost to the air (0.10 to
//!   0.35). Hantzsche & Finnemore (1992), Ground Water 30, 490–499
//!   (volume and pages from memory).
//! * By people on the land: N = 1000·a·A·f/(0.36·A·U + 10·I), with a nitrogen a
//!   person gives (about 4 kg a year), A people a hectare, f the share that is
//!   leached, U waste water L/person/d that reaches the ground and I recharge
//!   mm a year. Foster & Hirata (1988), as the ARGOSS guideline (2001) has it
//!   (from memory).
//!
//! Both are of a mixed whole: right under a pit there is more.

use crate::units::OutOfRange;
use crate::units::range::{finite, not_negative, positive, share};

/// Milligrams of nitrate in one of its nitrogen: 62.0049/14.0067.
pub const NITRATE_IN_NITROGEN: f64 = 62.0049 / 14.0067;

/// Waste water and rain that mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NitrogenBalance {
    /// W, a depth a year.
    pub waste_depth: f64,
    /// N_w.
    pub waste_n_mg_l: f64,
    /// d.
    pub lost_share: f64,
    /// R, a depth a year in the unit of W.
    pub recharge_depth: f64,
    /// N_b.
    pub recharge_n_mg_l: f64,
}

impl NitrogenBalance {
    /// What reaches the water table, mg/L as nitrogen.
    ///
    /// # Errors
    /// When a figure is below 0, the share above 1, or neither waste nor rain
    /// comes down.
    pub fn n_mg_l(&self) -> Result<f64, OutOfRange> {
        let waste = not_negative("the depth of waste water", self.waste_depth)?;
        let recharge = not_negative("the depth of recharge", self.recharge_depth)?;
        let all = positive("the depth of waste water and recharge", waste + recharge)?;
        let kept = 1.0 - share("the share of nitrogen that is lost", self.lost_share)?;
        let from_waste = waste * not_negative("the nitrogen of the waste (mg/L)", self.waste_n_mg_l)? * kept;
        let from_rain = recharge * not_negative("the nitrogen of the recharge (mg/L)", self.recharge_n_mg_l)?;
        finite("the nitrogen (mg/L)", (from_waste + from_rain) / all)
    }
}

/// People on the land.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeopleOnLand {
    /// a.
    pub n_kg_per_person_year: f64,
    /// A.
    pub people_per_ha: f64,
    /// f.
    pub leached_share: f64,
    /// U.
    pub waste_l_per_person_day: f64,
    /// I.
    pub recharge_mm_per_year: f64,
}

impl PeopleOnLand {
    /// What reaches the water table, mg/L as nitrogen.
    ///
    /// # Errors
    /// When a figure is below 0, the share above 1, or no water comes down.
    pub fn n_mg_l(&self) -> Result<f64, OutOfRange> {
        let people = not_negative("the people a hectare", self.people_per_ha)?;
        let each = not_negative("the nitrogen a person gives (kg a year)", self.n_kg_per_person_year)?;
        let leached = share("the share of nitrogen that is leached", self.leached_share)?;
        let used = not_negative("the waste water (L/person/d)", self.waste_l_per_person_day)?;
        let rain = not_negative("the recharge (mm a year)", self.recharge_mm_per_year)?;
        // Grams and cubic metres, of a hectare and a year.
        let water = positive("the water that comes down (m³/ha/a)", 0.36 * people * used + 10.0 * rain)?;
        finite("the nitrogen (mg/L)", 1000.0 * each * people * leached / water)
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;

    const LAND: PeopleOnLand = PeopleOnLand {
        n_kg_per_person_year: 4.0,
        people_per_ha: 50.0,
        leached_share: 0.3,
        waste_l_per_person_day: 10.0,
        recharge_mm_per_year: 100.0,
    };

    /// 60,000 g in 180 + 1000 m³.
    #[test]
    fn people_on_the_land_agree_with_hand_reckoning() {
        assert!((LAND.n_mg_l().unwrap() - 60_000.0 / 1180.0).abs() < 1e-9);
    }

    #[test]
    fn nobody_leaves_nothing() {
        assert_eq!(PeopleOnLand { people_per_ha: 0.0, ..LAND }.n_mg_l().unwrap(), 0.0);
    }

    #[test]
    fn without_waste_the_rain_is_left_as_it_is() {
        let rain = NitrogenBalance {
            waste_depth: 0.0,
            waste_n_mg_l: 45.0,
            lost_share: 0.2,
            recharge_depth: 300.0,
            recharge_n_mg_l: 0.7,
        };
        assert!((rain.n_mg_l().unwrap() - 0.7).abs() < 1e-12);
        assert!(NitrogenBalance { recharge_depth: 0.0, ..rain }.n_mg_l().is_err());
    }

    #[test]
    fn fifty_of_nitrate_are_eleven_of_nitrogen() {
        assert!((50.0 / NITRATE_IN_NITROGEN - 11.3).abs() < 0.01);
    }
}
