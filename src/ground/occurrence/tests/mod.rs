mod promises;
mod simulated;

use super::*;

const REGION: OccurrencePrior = OccurrencePrior { chance: 0.8, worth_wells: 5.0, length_m: 1000.0 };
const HALF: OccurrencePrior = OccurrencePrior { chance: 0.5, worth_wells: 5.0, length_m: 1000.0 };

fn seen(east_m: f64, north_m: f64, yes: f64) -> Observation {
    Observation { east_m, north_m, depth_m: None, yes }
}

fn place(east_m: f64, north_m: f64) -> Place {
    Place { east_m, north_m, depth_m: None }
}

fn at_peg(prior: &OccurrencePrior, observations: &[Observation]) -> Occurrence {
    how_likely(prior, observations, place(0.0, 0.0), Options::default()).unwrap()
}

fn learn(prior: &OccurrencePrior, observations: &[Observation]) -> OccurrenceModel {
    OccurrenceModel::learn(prior, observations, Options::default()).unwrap()
}

/// Beta(4, 1) and 2 good holes of 5: (4 + 2)/(4 + 1 + 5).
#[test]
fn wells_at_the_place_itself_make_the_beta_posterior() {
    let wells = [1.0, 1.0, 0.0, 0.0, 0.0].map(|yes| seen(0.0, 0.0, yes));
    let got = at_peg(&REGION, &wells);
    assert!((got.chance - 0.6).abs() < 1e-12 && got.basis == Basis::Region);
    let exact = Beta::new(6.0, 4.0).unwrap();
    for (band, ends) in [(got.band80, [0.1, 0.9]), (got.band95, [0.025, 0.975])] {
        for (got, p) in band.into_iter().zip(ends) {
            assert!((got - exact.quantile(p).unwrap()).abs() < 1e-9);
        }
    }
    assert!((got.sd - exact.sd()).abs() < 1e-12);
    assert!((got.sure_below(got.quantile(0.3)) - 0.3).abs() < 1e-9);
    assert!((got.effective_wells - 5.0).abs() < 1e-9 && (got.prior_share - 0.5).abs() < 1e-12);
}

#[test]
fn without_wells_it_is_the_prior() {
    let got = at_peg(&REGION, &[]);
    let exact = Beta::new(4.0, 1.0).unwrap();
    assert!((got.chance - 0.8).abs() < 1e-15 && got.basis == Basis::Prior);
    assert!((got.band80[0] - exact.quantile(0.1).unwrap()).abs() < 1e-12);
    assert!(got.weights.is_empty() && got.effective_wells.abs() < 1e-12);
    assert!((got.prior_share - 1.0).abs() < 1e-15);
}

/// One well at a distance of its length: its weight is e⁻¹/(m + 1).
#[test]
fn one_well_counts_by_its_distance() {
    let got = at_peg(&REGION, &[seen(0.0, 1000.0, 0.0)]);
    let weight = (-1.0_f64).exp() / 6.0;
    assert!((got.chance - 0.8 * (1.0 - weight)).abs() < 1e-9);
    assert!((got.weights[0].weight - weight).abs() < 1e-9);
    // m / (1 − ρ²/(m + 1)).
    assert!((got.worth_wells - 5.0 / (1.0 - (-2.0_f64).exp() / 6.0)).abs() < 1e-6);
}

/// One reading of which nothing is sure, at the place itself, with a prior of
/// one half: as if it had not been taken.
#[test]
fn a_reading_of_one_half_leaves_a_prior_of_one_half() {
    let got = at_peg(&HALF, &[seen(0.0, 0.0, 0.5)]);
    assert!((got.chance - 0.5).abs() < 1e-12 && (got.worth_wells - 5.0).abs() < 1e-9);
}

#[test]
fn a_band_of_the_region_becomes_a_worth() {
    let prior = OccurrencePrior::of_band(0.35, 0.6, 0.8, 800.0).unwrap();
    let sd = 0.25 / HALF_BAND_95;
    assert!((prior.worth_wells - (0.24 / (sd * sd) - 1.0)).abs() < 1e-9);
    assert!(OccurrencePrior::of_band(0.0, 0.5, 1.0, 800.0).unwrap().worth_wells >= 0.5);
    assert!(OccurrencePrior::of_band(0.5, 0.4, 0.8, 800.0).is_err());
    assert!(OccurrencePrior::of_band(0.5, 0.5, 0.5, 800.0).is_err());
}

// --- How wells count --------------------------------------------------------------

#[test]
fn a_crowd_far_off_counts_for_what_it_has_in_common() {
    let crowd: Vec<Observation> = (0..24).map(|k| seen(2000.0, f64::from(k), 0.0)).collect();
    let got = at_peg(&REGION, &crowd);
    let most = (-2.0_f64).exp();
    assert!(got.chance > 0.8 * (1.0 - most) && got.base_share > 1.0 - most);
    let beside: Vec<Observation> = (0..24).map(|k| seen(0.0, f64::from(k), 0.0)).collect();
    assert!(at_peg(&REGION, &beside).chance < 0.2);
}

#[test]
fn wells_out_of_reach_leave_the_prior() {
    let got = at_peg(&REGION, &[seen(1e5, 0.0, 0.0), seen(0.0, -1e5, 0.0)]);
    assert!((got.chance - 0.8).abs() < 1e-9 && got.weights.is_empty());
}

#[test]
fn weights_and_shares_make_the_whole() {
    let wells: Vec<Observation> =
        (0..10).map(|k| seen(90.0 * f64::from(k), 50.0, f64::from(k % 2))).collect();
    let got = at_peg(&REGION, &wells);
    let sum: f64 = got.weights.iter().map(|w| w.weight).sum();
    assert!((sum + got.base_share - 1.0).abs() < 0.02);
    let told: f64 = got.weights.iter().map(|w| w.weight * (wells[w.observation].yes - 0.8)).sum();
    assert!((0.8 + told - got.chance).abs() < 0.02);
    assert!(got.weights.windows(2).all(|w| w[0].weight >= w[1].weight));
}

#[test]
fn wells_of_other_depths_count_less() {
    let at_depth = |z: Option<f64>| {
        let well = Observation { depth_m: z, ..seen(0.0, 0.0, 0.0) };
        let peg = Place { depth_m: Some([20.0, 20.0]), ..place(0.0, 0.0) };
        how_likely(&REGION, &[well], peg, Options::default()).unwrap()
    };
    let (same, near, far) = (at_depth(Some(20.0)), at_depth(Some(35.0)), at_depth(Some(90.0)));
    assert!(same.chance < near.chance && near.chance < far.chance && far.chance < 0.8);
    assert!((same.chance - 4.0 / 6.0).abs() < 1e-9);
    let unknown = at_depth(None);
    assert!(unknown.chance > same.chance && unknown.chance < far.chance);
    assert!(unknown.worth_wells < same.worth_wells);
}

#[test]
fn a_peg_of_uncertain_depth_learns_less() {
    let well = Observation { depth_m: Some(20.0), ..seen(0.0, 0.0, 0.0) };
    let worth = |depth_m| {
        let peg = Place { depth_m, ..place(0.0, 0.0) };
        how_likely(&REGION, &[well], peg, Options::default()).unwrap().worth_wells
    };
    assert!(worth(Some([20.0, 20.0])) > worth(Some([10.0, 30.0])));
    assert!(worth(Some([10.0, 30.0])) > worth(None) && worth(None) > 5.0);
}

#[test]
fn wells_left_out_by_name_are_as_if_never_seen() {
    let mut wells: Vec<Observation> =
        (0..20).map(|k| seen(70.0 * f64::from(k), 30.0, f64::from(k % 3 % 2))).collect();
    let model = learn(&REGION, &wells);
    let got = model.at_without(place(100.0, 0.0), |i| i >= 12).unwrap();
    wells.truncate(12);
    let fresh = learn(&REGION, &wells).at(place(100.0, 0.0)).unwrap();
    assert_eq!(got, fresh);
    let none = model.at_without(place(100.0, 0.0), |_| true).unwrap();
    assert!((none.chance - 0.8).abs() < 1e-12 && none.basis == Basis::Prior);
}

#[test]
fn a_well_left_out_is_forecast_as_if_never_seen() {
    let wells: Vec<Observation> =
        (0..15).map(|k| seen(150.0 * f64::from(k / 2), 30.0, f64::from(k % 3 % 2))).collect();
    let model = learn(&REGION, &wells);
    for l in model.left_out() {
        let at = place(wells[l.observation].east_m, wells[l.observation].north_m);
        let fresh = model.at_without(at, |i| i == l.observation).unwrap();
        assert!((l.chance - fresh.chance).abs() < 1e-3, "{l:?} {}", fresh.chance);
    }
}

// --- Edges ------------------------------------------------------------------------

#[test]
fn all_alike_stays_inside_by_the_prior() {
    for yes in [0.0, 1.0] {
        for n in [1, 24, 25, 300] {
            let wells: Vec<Observation> =
                (0..n).map(|k| seen(100.0 * f64::from(k % 17), 90.0 * f64::from(k / 17), yes)).collect();
            let got = at_peg(&HALF, &wells);
            let [low, high] = got.band95;
            assert!(0.0 < low && low <= got.chance && got.chance <= high && high < 1.0, "{n} {got:?}");
            assert!((got.chance - yes).abs() < 0.5, "{n}");
            assert!(n < 25 || got.basis == Basis::Pooled, "{n} {:?}", got.basis);
        }
    }
}

#[test]
fn thousands_at_one_spot_are_one_share() {
    let wells: Vec<Observation> = (0..12_000).map(|k| seen(5.0, 5.0, f64::from(k % 4 / 3))).collect();
    let model = learn(&HALF, &wells);
    assert_eq!(model.left_out().len(), 12_000);
    let got = model.at(place(5.0, 5.0)).unwrap();
    assert!((got.chance - 0.25).abs() < 0.01, "{got:?}");
}

#[test]
fn what_cannot_be_used_is_refused() {
    let good = seen(0.0, 0.0, 1.0);
    for bad in [
        seen(f64::NAN, 0.0, 1.0),
        seen(0.0, f64::INFINITY, 1.0),
        seen(0.0, 0.0, 1.5),
        seen(0.0, 0.0, f64::NAN),
        Observation { depth_m: Some(f64::NAN), ..good },
    ] {
        let got = OccurrenceModel::learn(&REGION, &[good, bad], Options::default());
        assert_eq!(got.err(), Some(BadOccurrence::Observation(1)));
    }
    for bad in [
        OccurrencePrior { chance: 0.0, ..REGION },
        OccurrencePrior { chance: 1.0, ..REGION },
        OccurrencePrior { worth_wells: 0.0, ..REGION },
        OccurrencePrior { worth_wells: f64::INFINITY, ..REGION },
        OccurrencePrior { length_m: f64::NAN, ..REGION },
    ] {
        assert_eq!(
            OccurrenceModel::learn(&bad, &[good], Options::default()).err(),
            Some(BadOccurrence::Prior)
        );
    }
    let model = learn(&REGION, &[good]);
    for depth_m in [Some([3.0, 2.0]), Some([f64::NAN, 2.0])] {
        assert_eq!(model.at(Place { depth_m, ..place(0.0, 0.0) }).err(), Some(BadOccurrence::Place));
    }
    assert_eq!(model.at(place(f64::NAN, 0.0)).err(), Some(BadOccurrence::Place));
    let none = Options { vertical_length_m: 0.0, ..Options::default() };
    assert_eq!(OccurrenceModel::learn(&REGION, &[good], none).err(), Some(BadOccurrence::Options));
}
