//! The index finds what going through everything finds.

use proptest::prelude::*;

use super::*;
use crate::facts::{Shared, Site};
use crate::place::{distance_m, separation};

fn position() -> impl Strategy<Value = Position> {
    let accuracy = prop_oneof![
        4 => (0.1..60.0_f64).prop_map(Accuracy::Stated),
        1 => Just(Accuracy::UnstatedCoordinate),
        1 => Just(Accuracy::UnstatedTape),
    ];
    let frame = prop_oneof![
        6 => Just(Frame::Wgs84),
        1 => (1.0..400.0_f64).prop_map(|shift_error_m| Frame::UnknownDatum { shift_error_m }),
    ];
    (0.0..360.0_f64, prop_oneof![1.0..100.0_f64, 50.0..5_000.0], accuracy, frame).prop_map(
        |(bearing, distance, accuracy, frame)| Position {
            at: destination(peg(), bearing, distance).unwrap(),
            accuracy,
            frame,
            taped_m: None,
        },
    )
}

proptest! {
    #[test]
    fn the_nearest_has_the_ends_of_all_taken_together(spots in prop::collection::vec(position(), 1..60)) {
        let mut s = bare();
        s.hazards =
            spots.into_iter().map(|p| hazard(HazardKind::Sewer, "", p)).collect();
        s.looked_for.insert(HazardKind::Sewer, Seen::new(1e5, line(1)));
        let shared = Shared::of_survey(&s, river());
        let unstated = shared.unstated.unwrap();
        let parts: Vec<_> = s.hazards.iter().map(|h| {
            separation(&s.peg.at.value, &h.position, distance_m(peg(), h.position.at), &unstated)
        }).collect();
        let least = |f: fn(&crate::units::Part) -> f64| parts.iter().map(f).fold(f64::MAX, f64::min);
        let facts = SiteFacts::for_peg(Arc::new(shared), Arc::new(Site::of_survey(&s)));
        let Value::Estimate(e) = facts.fact("nearest_sewer_m").unwrap().value.clone() else { panic!() };
        for (got, want) in [(e.low(), least(|p| p.low)), (e.value(), least(|p| p.value)), (e.high(), least(|p| p.high))] {
            prop_assert!((got.unwrap() - want).abs() < 1e-6 * want.max(1.0), "{got:?} {want}");
        }
    }
}

#[test]
fn many_pegs_share_hazards_and_wells() {
    let mut s = bare();
    s.hazards.push(hazard(HazardKind::Sewer, "", fixed(0.0, 50.0, 1.0)));
    s.looked_for.insert(HazardKind::Sewer, Seen::new(500.0, line(1)));
    let shared = Arc::new(Shared::of_survey(&s, river()));
    for north in [10.0, 20.0, 40.0] {
        let mut site = Site::of_survey(&s);
        site.peg.at.value.at = destination(peg(), 0.0, north).unwrap();
        let facts = SiteFacts::for_peg(shared.clone(), Arc::new(site));
        let Value::Estimate(e) = facts.fact("nearest_sewer_m").unwrap().value.clone() else { panic!() };
        assert!((e.value().unwrap() - (50.0 - north)).abs() < 1e-6);
    }
}

#[test]
fn a_prior_that_the_region_lacks_is_asked_for_by_name() {
    let region = river_with(|r| {
        r.priors.remove("pit_bottom_radius_m");
    });
    let f = fact_in(&bare(), &region, "pit_near");
    assert_eq!(f.value, Value::Unknown);
    assert!(asks(&f, AskKind::Write, "pit_bottom_radius_m"));
}

#[test]
fn no_fact_wants_a_prior_that_the_defaults_lack() {
    let mut s = bare();
    s.need.people = seen(100.0);
    s.plan.lift = seen("rope pump".to_owned());
    s.plan.budget = seen(Money { amount: 1000.0, currency: "USD".to_owned() });
    s.plan.drilling_water_l_per_day = seen(1000.0);
    s.ground.slope_towards_deg = seen(10.0);
    s.ground.outcrop_m = seen(100.0);
    let mut bore = dipped("trial bore", taped(0.0, 3.0), 5.0);
    bore.log = log(&[(20.0, "sand")]);
    s.wells.push(bore);
    s.hazards.push(hazard(HazardKind::PitLatrine, "latrine", taped(0.0, 20.0)));
    for (def, fact) in SiteFacts::of_survey(&s, river()).all() {
        assert!(!asks(&fact, AskKind::Write, "prior"), "{}: {:?}", def.name, fact.missing);
    }
}

#[test]
fn a_fact_that_is_unknown_always_says_what_to_find_out() {
    for (def, fact) in SiteFacts::of_survey(&bare(), river()).all() {
        assert!(fact.value != Value::Unknown || !fact.missing.is_empty(), "{}", def.name);
    }
}
