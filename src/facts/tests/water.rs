use super::*;

fn pits_searched() -> Survey {
    let mut s = bare();
    for kind in HazardKind::ALL.into_iter().filter(|k| k.has_pit()) {
        s.looked_for.insert(kind, Seen::new(60.0, line(20)));
    }
    s.wells.push(dipped("trial bore", taped(0.0, 3.0), 12.0));
    s
}

fn latrine(distance_m: f64, pit_depth_m: Option<f64>) -> Hazard {
    let pit_depth_m = pit_depth_m.and_then(seen);
    Hazard { pit_depth_m, ..hazard(HazardKind::PitLatrine, "north latrine", taped(15.0, distance_m)) }
}

#[test]
fn no_pit_near_is_known_only_by_searching() {
    let mut s = pits_searched();
    assert_eq!(word(&s, "pit_near"), "no");
    s.looked_for.insert(HazardKind::Soakaway, Seen::new(40.0, line(20)));
    assert_eq!(word(&s, "pit_near"), "unknown");
    s.hazards.push(latrine(20.0, None));
    assert_eq!(word(&s, "pit_near"), "yes");
}

#[test]
fn a_pit_that_only_perhaps_is_near_is_told_as_that() {
    let mut s = pits_searched();
    let position = fixed(15.0, 55.0, 10.0);
    s.hazards.push(Hazard { position, ..latrine(55.0, Some(2.0)) });
    assert_eq!(word(&s, "pit_near"), "perhaps");
    assert!(asks(&fact(&s, "pit_near"), AskKind::Tape, "north latrine"));
}

#[test]
fn the_deepest_pit_near_counts() {
    let mut s = pits_searched();
    let wet = estimate(&s, "wet_level_m");
    s.hazards.push(latrine(20.0, Some(2.0)));
    s.hazards.push(latrine(40.0, Some(4.0)));
    s.hazards.push(latrine(90.0, Some(6.0)));
    let e = estimate(&s, "pit_to_water_m");
    assert_eq!(e.value(), Some(wet.value().unwrap() - 4.0));
    assert!(e.low().unwrap() < wet.low().unwrap() - 4.0);
}

#[test]
fn a_pit_of_unknown_depth_may_stand_in_the_water() {
    let mut s = pits_searched();
    s.hazards.push(latrine(20.0, Some(2.0)));
    s.hazards.push(latrine(40.0, None));
    assert_eq!(ends(&s, "pit_to_water_m").0, None);
    assert!(asks(&fact(&s, "pit_to_water_m"), AskKind::Ask, "Ask how deep the pit of north latrine is."));
}

#[test]
fn pits_that_nobody_searched_for_may_be_of_any_depth() {
    let mut s = pits_searched();
    s.hazards.push(latrine(20.0, Some(2.0)));
    s.looked_for.remove(&HazardKind::SepticTank);
    assert_eq!(ends(&s, "pit_to_water_m").0, None);
    assert!(asks(&fact(&s, "pit_to_water_m"), AskKind::Look, "septic tanks"));
}

#[test]
fn with_no_well_near_no_level_is_known() {
    let s = bare();
    for name in ["dry_level_m", "wet_level_m", "needed_depth_m", "lift_margin_m", "level_season"] {
        assert!(is_unknown(&s, name), "{name}");
    }
    assert!(asks(&fact(&s, "dry_level_m"), AskKind::TrialBore, "trial bore"));
}

#[test]
fn several_neighbours_make_an_envelope() {
    let mut s = bare();
    s.wells.push(dipped("a", fixed(0.0, 300.0, 3.0), 5.0));
    s.wells.push(dipped("b", fixed(90.0, 300.0, 3.0), 8.0));
    let e = estimate(&s, "dry_level_m");
    let alone = |level: f64| {
        let mut s = bare();
        s.wells.push(dipped("a", fixed(0.0, 300.0, 3.0), level));
        estimate(&s, "dry_level_m")
    };
    assert!((e.low().unwrap() - alone(5.0).low().unwrap()).abs() < 1e-6);
    assert!((e.high().unwrap() - alone(8.0).high().unwrap()).abs() < 1e-6);
    assert!((e.value().unwrap() - (6.5 + 1.25)).abs() < 1e-3, "the middle, and half the drought allowance");
    assert!(fact(&s, "dry_level_m").note.contains("2 wells"));
}

#[test]
fn a_neighbour_whose_level_nobody_read_may_stand_for_any_depth() {
    let mut s = bare();
    s.wells.push(dipped("a", fixed(0.0, 300.0, 3.0), 5.0));
    s.wells.push(well("school well", fixed(90.0, 300.0, 3.0)));
    assert_eq!(ends(&s, "dry_level_m"), (Some(0.0), None));
    let f = fact(&s, "dry_level_m");
    assert!(asks(&f, AskKind::Dip, "Dip the water level in school well at the end of the dry season."));
    assert_eq!(word(&s, "level_season"), "unknown");
}

#[test]
fn a_level_at_the_peg_makes_the_neighbours_needless() {
    let mut s = bare();
    s.wells.push(dipped("trial bore", taped(0.0, 3.0), 5.0));
    let alone = ends(&s, "dry_level_m");
    s.wells.push(well("school well", fixed(90.0, 300.0, 3.0)));
    s.wells.push(dipped("far", fixed(90.0, 800.0, 3.0), 15.0));
    assert_eq!(ends(&s, "dry_level_m"), alone);
    assert_eq!(word(&s, "level_season"), "dry");
}

#[test]
fn a_well_that_only_perhaps_is_near_is_no_evidence() {
    let mut s = bare();
    s.wells.push(dipped("a", fixed(0.0, 950.0, 100.0), 5.0));
    assert!(is_unknown(&s, "dry_level_m"));
    assert_eq!(ends(&s, "evidence_points"), (Some(0.0), Some(1.0)));
}

#[test]
fn the_worst_season_of_the_readings_is_told() {
    let mut s = bare();
    s.wells.push(dipped("a", fixed(0.0, 300.0, 3.0), 5.0));
    assert_eq!(word(&s, "level_season"), "dry");
    let mut wet = dipped("b", fixed(90.0, 300.0, 3.0), 4.0);
    wet.measured = seen(date(2025, 9, 1));
    s.wells.push(wet);
    assert_eq!(word(&s, "level_season"), "corrected");
    s.wells[1].measured = None;
    assert_eq!(word(&s, "level_season"), "date unknown");
    assert!(asks(&fact(&s, "level_season"), AskKind::Write, "when the water level in b was read"));
}

#[test]
fn agreement_takes_two_wells_or_one_at_the_peg() {
    let mut s = bare();
    s.wells.push(dipped("a", fixed(0.0, 300.0, 3.0), 5.0));
    assert!(is_unknown(&s, "level_agreement_m"));
    s.wells.push(dipped("b", fixed(90.0, 300.0, 3.0), 8.0));
    let e = estimate(&s, "level_agreement_m");
    assert!((e.value().unwrap() - 3.0).abs() < 1e-9);
    assert!(e.surely_at_most(3.3) && e.surely_at_least(2.7));
    let mut s = bare();
    s.wells.push(dipped("trial bore", taped(0.0, 3.0), 5.0));
    assert_eq!(ends(&s, "level_agreement_m"), (Some(0.0), Some(0.0)));
}

#[test]
fn the_age_is_that_of_the_newest_reading_at_the_visit() {
    let mut s = bare();
    let mut old = dipped("old", fixed(0.0, 300.0, 3.0), 5.0);
    old.measured = seen(date(2020, 5, 14));
    s.wells.push(old);
    assert!((estimate(&s, "newest_level_age_a").value().unwrap() - 6.0).abs() < 0.01);
    s.wells.push(dipped("new", fixed(90.0, 300.0, 3.0), 5.0));
    assert!(estimate(&s, "newest_level_age_a").surely_at_most(0.1));
    s.visited = None;
    assert!(is_unknown(&s, "newest_level_age_a"));
}

#[test]
fn a_well_of_which_nobody_says_may_fail() {
    let mut s = bare();
    let mut dry = well("dry well", fixed(0.0, 300.0, 3.0));
    dry.outcome = seen(WellOutcome::Dry);
    s.wells.push(dry);
    let mut good = well("good well", fixed(60.0, 300.0, 3.0));
    good.outcome = seen(WellOutcome::InUse);
    s.wells.push(good);
    s.wells.push(well("silent well", fixed(90.0, 300.0, 3.0)));
    assert_eq!(ends(&s, "failing_neighbours"), (Some(1.0), Some(2.0)));
    assert!(asks(&fact(&s, "failing_neighbours"), AskKind::Ask, "silent well"));
    assert!(fact(&s, "failing_neighbours").note.contains("dry well"));
}

#[test]
fn where_no_well_is_known_near_by_silence_counts_none_as_good() {
    const COUNTS: [&str; 4] =
        ["failing_neighbours", "salty_neighbours", "contaminated_neighbours", "repairable_neighbours"];
    let mut s = bare();
    for name in COUNTS {
        assert!(is_unknown(&s, name), "{name}");
        assert!(asks(&fact(&s, name), AskKind::Look, "Search for wells"), "{name}");
    }
    // A well that only may be near does not make it known.
    let mut perhaps = well("old well", fixed(0.0, 1005.0, 60.0));
    perhaps.outcome = seen(WellOutcome::InUse);
    s.wells.push(perhaps);
    assert!(is_unknown(&s, "failing_neighbours"));
    assert!(asks(&fact(&s, "failing_neighbours"), AskKind::Tape, "old well"));
}

#[test]
fn a_trial_bore_in_which_water_stood_did_not_fail_and_wants_no_pump() {
    let mut s = bare();
    let mut bore = dipped("trial bore", taped(0.0, 3.0), 5.0);
    bore.made = seen(Made::TrialBore);
    s.wells.push(bore);
    assert_eq!(ends(&s, "failing_neighbours"), (Some(0.0), Some(0.0)));
    assert_eq!(ends(&s, "repairable_neighbours"), (Some(0.0), Some(0.0)));
}

#[test]
fn a_broken_pump_on_a_good_well_is_counted() {
    let mut s = bare();
    let mut w = well("school well", fixed(0.0, 300.0, 3.0));
    w.outcome = seen(WellOutcome::InUse);
    s.wells.push(w);
    assert_eq!(ends(&s, "repairable_neighbours"), (Some(0.0), Some(1.0)));
    s.wells[0].pump_broken = seen(true);
    assert_eq!(ends(&s, "repairable_neighbours"), (Some(1.0), Some(1.0)));
    s.wells[0].outcome = seen(WellOutcome::Salty);
    assert_eq!(ends(&s, "repairable_neighbours"), (Some(0.0), Some(0.0)));
}

#[test]
fn a_reading_stands_in_for_an_outcome_that_nobody_told() {
    let mut s = bare();
    s.wells.push(well("a", fixed(0.0, 300.0, 3.0)));
    assert_eq!(ends(&s, "salty_neighbours"), (Some(0.0), Some(1.0)));
    let fresh = Reading { value: 300.0, below: false };
    s.wells[0].quality.insert(Parameter::Ec, Seen::new(fresh, line(5)));
    assert_eq!(ends(&s, "salty_neighbours"), (Some(0.0), Some(0.0)));
}

#[test]
fn the_lift_has_to_raise_the_water_from_the_pumping_level() {
    let mut s = bare();
    s.wells.push(dipped("trial bore", taped(0.0, 3.0), 5.0));
    s.plan.lift = seen("direct-action hand pump".to_owned());
    let (low, high) = ends(&s, "lift_margin_m");
    let level = estimate(&s, "dry_level_m");
    assert!((low.unwrap() - (15.0 - level.high().unwrap() - 3.0)).abs() < 1e-9);
    assert!((high.unwrap() - (15.0 - level.low().unwrap() - 0.5)).abs() < 1e-9);
    s.plan.lift = seen("moon pump".to_owned());
    let f = fact(&s, "lift_margin_m");
    assert_eq!(f.value, Value::Unknown);
    assert!(asks(&f, AskKind::Write, "rope pump"));
}

fn reading(well: &mut Well, parameter: Parameter, value: f64, below: bool) {
    well.quality.insert(parameter, Seen::new(Reading { value, below }, line(300)));
}

#[test]
fn less_than_is_anything_from_nothing_to_that() {
    let mut s = bare();
    let mut w = well("a", fixed(0.0, 300.0, 3.0));
    reading(&mut w, Parameter::Arsenic, 0.01, true);
    s.wells.push(w);
    let e = estimate(&s, "neighbour_arsenic_mg_l");
    assert_eq!((e.low(), e.value(), e.high()), (Some(0.0), Some(0.005), Some(0.01)));
}

#[test]
fn the_worst_neighbour_counts_and_an_untested_one_may_be_worse() {
    let mut s = bare();
    for (name, value) in [("a", 0.002), ("b", 0.02)] {
        let mut w = well(name, fixed(0.0, 300.0, 3.0));
        reading(&mut w, Parameter::Arsenic, value, false);
        s.wells.push(w);
    }
    assert_eq!(ends(&s, "neighbour_arsenic_mg_l"), (Some(0.02), Some(0.02)));
    assert_eq!(fact(&s, "neighbour_arsenic_mg_l").note, "greatest in b");
    s.wells.push(well("c", fixed(90.0, 300.0, 3.0)));
    assert_eq!(ends(&s, "neighbour_arsenic_mg_l"), (Some(0.02), None));
    let f = fact(&s, "neighbour_arsenic_mg_l");
    assert!(asks(&f, AskKind::FieldKit, "the water of c for") && asks(&f, AskKind::FieldKit, "arsenic"));
}

#[test]
fn a_reading_of_a_well_that_only_perhaps_is_near_raises_the_high_end() {
    let mut s = bare();
    let mut near = well("a", fixed(0.0, 300.0, 3.0));
    reading(&mut near, Parameter::Nitrate, 10.0, false);
    let mut far = well("b", fixed(0.0, 1000.0, 30.0));
    reading(&mut far, Parameter::Nitrate, 80.0, false);
    s.wells = vec![near, far];
    assert_eq!(ends(&s, "neighbour_nitrate_mg_l"), (Some(10.0), Some(80.0)));
}
