//! What holds for any wells.

use proptest::prelude::*;

use super::*;

fn any_well() -> impl Strategy<Value = Observation> {
    let yes = prop_oneof![Just(0.0), Just(1.0), 0.0..=1.0];
    (-5e3..5e3, -5e3..5e3, proptest::option::of(0.0..120.0), yes)
        .prop_map(|(east_m, north_m, depth_m, yes)| Observation { east_m, north_m, depth_m, yes })
}

fn any_prior() -> impl Strategy<Value = OccurrencePrior> {
    (0.01..0.99, 0.2..60.0, 50.0..2e4).prop_map(|(chance, worth_wells, length_m)| OccurrencePrior {
        chance,
        worth_wells,
        length_m,
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]

    #[test]
    fn any_wells_give_chances_in_order(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 0..32),
        at in (-6e3..6e3, -6e3..6e3, proptest::option::of((0.0..60.0, 0.0..60.0))),
    ) {
        let depth_m = at.2.map(|(top, thick)| [top, top + thick]);
        let peg = Place { east_m: at.0, north_m: at.1, depth_m };
        let got = how_likely(&prior, &wells, peg, Options::default()).unwrap();
        let ends =
            [0.0, got.band95[0], got.band80[0], got.quantile(0.5), got.band80[1], got.band95[1], 1.0];
        prop_assert!(ends.windows(2).all(|w| w[0] <= w[1]), "{ends:?}");
        prop_assert!(ends[0] < ends[1] && ends[5] < ends[6]);
        prop_assert!((got.band80[0]..=got.band80[1]).contains(&got.chance));
        prop_assert!(0.0 < got.chance && got.chance < 1.0 && got.sd.is_finite());
        prop_assert!((0.0..=1.0).contains(&got.prior_share) && got.effective_wells >= 0.0);
        prop_assert_eq!(how_likely(&prior, &wells, peg, Options::default()).unwrap(), got);
    }

    #[test]
    fn wild_numbers_give_chances_or_a_fault(
        numbers in proptest::array::uniform6(prop_oneof![
            Just(0.0), Just(1.0), Just(-1e8), Just(9e8), Just(f64::NAN), Just(f64::INFINITY), Just(1e-300), Just(1e-8),
            -1.0..1e3,
        ]),
        n in 0_usize..30,
    ) {
        let [chance, worth_wells, length_m, x, z, yes] = numbers;
        let prior = OccurrencePrior { chance, worth_wells, length_m };
        let well = |k: usize| Observation {
            east_m: if k.is_multiple_of(2) { x } else { k as f64 },
            north_m: k as f64,
            depth_m: k.is_multiple_of(3).then_some(z),
            yes: if k.is_multiple_of(4) { yes } else { (k % 2) as f64 },
        };
        let wells: Vec<Observation> = (0..n).map(well).collect();
        let peg = Place { east_m: x, north_m: 0.0, depth_m: n.is_multiple_of(2).then_some([z, z + 1.0]) };
        if let Ok(got) = how_likely(&prior, &wells, peg, Options::default()) {
            let ends = [0.0, got.band95[0], got.band80[0], got.band80[1], got.band95[1], 1.0];
            prop_assert!(ends.windows(2).all(|w| w[0] <= w[1]) && ends[1] > 0.0 && ends[4] < 1.0);
            prop_assert!([got.sd, got.worth_wells, got.effective_wells].iter().all(|v| v.is_finite()));
        }
    }

    /// As long as what is assumed stands: fewer wells, fewer wells' worth.
    #[test]
    fn fewer_wells_are_less_sure(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 1..20),
        left in 0_usize..20,
    ) {
        let sure = |w: Observation| Observation { yes: w.yes.round(), ..w };
        let mut wells: Vec<Observation> = wells.into_iter().map(sure).collect();
        let with = at_peg(&prior, &wells);
        wells.remove(left % wells.len());
        let without = at_peg(&prior, &wells);
        prop_assert!(without.worth_wells <= with.worth_wells * (1.0 + 1e-3));
    }

    #[test]
    fn less_sure_readings_are_less_sure_chances(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 1..20),
        off in 0.0..0.5,
    ) {
        let sure: Vec<Observation> = wells.iter().map(|w| Observation { yes: w.yes.round(), ..*w }).collect();
        let unsure: Vec<Observation> =
            sure.iter().map(|w| Observation { yes: w.yes + off * (1.0 - 2.0 * w.yes), ..*w }).collect();
        let (sure, unsure) = (at_peg(&prior, &sure), at_peg(&prior, &unsure));
        prop_assert!(unsure.worth_wells <= sure.worth_wells * (1.0 + 1e-9));
    }

    /// A yes more, or a well that is more likely a yes, never lowers the
    /// chance.
    #[test]
    fn a_yes_more_never_lowers_the_chance(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 1..20),
        which in 0_usize..20,
    ) {
        let before = at_peg(&prior, &wells).chance;
        let mut wells = wells;
        let which = which % wells.len();
        wells[which].yes = 1.0;
        prop_assert!(at_peg(&prior, &wells).chance >= before - 1e-12);
    }
}
