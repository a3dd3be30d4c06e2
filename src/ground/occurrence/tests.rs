use super::*;

const REGION: OccurrencePrior = OccurrencePrior { chance: 0.8, worth_wells: 5.0, length_m: 1000.0 };

fn seen(east_m: f64, north_m: f64, yes: f64) -> Observation {
    Observation { east_m, north_m, depth_m: None, yes }
}

fn place(east_m: f64, north_m: f64) -> Place {
    Place { east_m, north_m, depth_m: None }
}

fn at_peg(prior: &OccurrencePrior, observations: &[Observation]) -> Occurrence {
    how_likely(prior, observations, place(0.0, 0.0), Options::default()).unwrap()
}

/// Beta(4, 1) and 2 good holes of 5: (4 + 2)/(4 + 1 + 5).
#[test]
fn wells_at_the_place_itself_make_the_beta_posterior() {
    let wells = [1.0, 1.0, 0.0, 0.0, 0.0].map(|yes| seen(0.0, 0.0, yes));
    let got = at_peg(&REGION, &wells);
    assert!((got.chance - 0.6).abs() < 1e-12);
    let exact = Beta::new(6.0, 4.0).unwrap();
    assert!((got.band95[0] - exact.quantile(0.025).unwrap()).abs() < 1e-9);
    assert!((got.sd - exact.sd()).abs() < 1e-12);
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
