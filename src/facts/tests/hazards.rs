use super::*;

fn looked(survey: &mut Survey, kinds: impl IntoIterator<Item = HazardKind>, radius_m: f64) {
    for kind in kinds {
        survey.looked_for.insert(kind, Seen::new(radius_m, line(20)));
    }
}

#[test]
fn a_taped_hazard_is_known_to_its_tape_and_named() {
    let mut s = bare();
    looked(&mut s, [HazardKind::PitLatrine], 60.0);
    s.hazards.push(hazard(HazardKind::PitLatrine, "north latrine", taped(15.0, 24.5)));
    let f = fact(&s, "nearest_pit_latrine_m");
    let e = estimate(&s, "nearest_pit_latrine_m");
    assert_eq!(e.value(), Some(24.5));
    assert!(e.surely_at_least(23.5) && e.surely_at_most(25.5));
    assert_eq!(f.note, "nearest is north latrine, 24.5 m at bearing 15°");
    assert_eq!(f.from, [line(20), line(100)]);
    assert!(f.missing.is_empty(), "{:?}", f.missing);
}

#[test]
fn none_recorded_means_none_as_far_as_was_searched() {
    let mut s = bare();
    looked(&mut s, [HazardKind::Graveyard], 80.0);
    assert_eq!(ends(&s, "nearest_graveyard_m"), (Some(80.0), None));
}

#[test]
fn none_recorded_and_not_searched_for_is_unknown() {
    let f = fact(&bare(), "nearest_graveyard_m");
    assert_eq!(f.value, Value::Unknown);
    assert!(asks(&f, AskKind::Look, "graveyards"));
}

#[test]
fn one_recorded_without_a_search_may_not_be_the_nearest() {
    let mut s = bare();
    s.hazards.push(hazard(HazardKind::PitLatrine, "north latrine", taped(15.0, 24.5)));
    let (low, high) = ends(&s, "nearest_pit_latrine_m");
    assert_eq!(low, Some(0.0));
    assert!(high.unwrap() < 25.5);
    assert!(asks(&fact(&s, "nearest_pit_latrine_m"), AskKind::Look, "pit latrines, septic tanks"));
}

#[test]
fn a_search_shorter_than_the_way_to_the_nearest_limits_what_is_known() {
    let mut s = bare();
    looked(&mut s, [HazardKind::PitLatrine], 20.0);
    s.hazards.push(hazard(HazardKind::PitLatrine, "north latrine", taped(15.0, 40.0)));
    assert_eq!(ends(&s, "nearest_pit_latrine_m").0, Some(20.0));
    assert!(asks(&fact(&s, "nearest_pit_latrine_m"), AskKind::Look, "farther than 20 m"));
}

#[test]
fn a_farther_hazard_that_is_badly_known_may_be_the_nearest() {
    let mut s = bare();
    looked(&mut s, [HazardKind::PitLatrine], 100.0);
    s.hazards.push(hazard(HazardKind::PitLatrine, "taped", taped(15.0, 30.0)));
    s.hazards.push(hazard(HazardKind::PitLatrine, "by satellite", fixed(200.0, 45.0, 20.0)));
    let (low, high) = ends(&s, "nearest_pit_latrine_m");
    assert!(low.unwrap() < 20.0, "{low:?}");
    assert!(high.unwrap() < 31.0, "{high:?}");
    assert!(asks(&fact(&s, "nearest_pit_latrine_m"), AskKind::Tape, "by satellite"));
}

#[test]
fn a_hazard_of_no_stated_datum_is_asked_for_its_datum() {
    let mut s = bare();
    let frame = Frame::UnknownDatum { shift_error_m: 300.0 };
    s.hazards.push(hazard(HazardKind::WasteDump, "dump", Position { frame, ..fixed(0.0, 400.0, 5.0) }));
    let f = fact(&s, "nearest_waste_dump_m");
    assert!(asks(&f, AskKind::Write, "datum of the grid reference of dump"));
}

#[test]
fn a_kind_not_searched_for_leaves_all_faecal_sources_open() {
    let mut s = bare();
    let faecal: Vec<_> = HazardKind::ALL.into_iter().filter(|k| k.is_faecal()).collect();
    looked(&mut s, faecal.iter().copied(), 90.0);
    assert_eq!(ends(&s, "nearest_faecal_source_m"), (Some(90.0), None));
    s.looked_for.remove(&HazardKind::Sewer);
    assert!(is_unknown(&s, "nearest_faecal_source_m"));
    s.hazards.push(hazard(HazardKind::PitLatrine, "north latrine", taped(15.0, 24.5)));
    assert_eq!(ends(&s, "nearest_faecal_source_m").0, Some(0.0));
}

#[test]
fn the_height_of_the_tower_is_taken_from_the_distance_to_the_line() {
    let mut s = bare();
    looked(&mut s, [HazardKind::OverheadLine], 60.0);
    s.plan.tower_height_m = seen(6.0);
    assert_eq!(ends(&s, "overhead_line_margin_m"), (Some(54.0), None));
    s.plan.tower_height_m = None;
    assert!(is_unknown(&s, "overhead_line_margin_m"));
    s.hazards.push(hazard(HazardKind::OverheadLine, "line", taped(0.0, 20.0)));
    let (low, high) = ends(&s, "overhead_line_margin_m");
    assert_eq!(low, None);
    assert!(high.unwrap() < 21.0);
    assert!(asks(&fact(&s, "overhead_line_margin_m"), AskKind::Write, "height of the tower"));
}

/// A slope that falls to the south, everything that can foul searched for out
/// to 120 m.
fn slope() -> Survey {
    let mut s = bare();
    looked(&mut s, HazardKind::ALL.into_iter().filter(|k| k.can_foul()), 120.0);
    s.ground.slope_pct = seen(4.0);
    s.ground.slope_towards_deg = seen(180.0);
    s
}

#[test]
fn a_source_down_slope_does_not_lie_up_slope() {
    let mut s = slope();
    s.hazards.push(hazard(HazardKind::PitLatrine, "lower latrine", taped(190.0, 30.0)));
    assert_eq!(ends(&s, "nearest_upslope_source_m"), (Some(120.0), None));
}

#[test]
fn the_nearest_source_up_slope_counts_though_another_is_nearer() {
    let mut s = slope();
    s.hazards.push(hazard(HazardKind::PitLatrine, "lower latrine", taped(190.0, 30.0)));
    s.hazards.push(hazard(HazardKind::LivestockPen, "upper pen", taped(350.0, 70.0)));
    let e = estimate(&s, "nearest_upslope_source_m");
    assert_eq!(e.value(), Some(70.0));
    assert!(fact(&s, "nearest_upslope_source_m").note.contains("upper pen"));
}

#[test]
fn a_source_at_the_edge_of_the_side_may_lie_on_it() {
    let mut s = slope();
    s.hazards.push(hazard(HazardKind::PitLatrine, "side latrine", taped(95.0, 30.0)));
    let (low, high) = ends(&s, "nearest_upslope_source_m");
    assert!(low.unwrap() < 30.0);
    assert_eq!(high, None, "it may as well lie below");
}

#[test]
fn a_field_that_reaches_round_may_lie_up_slope() {
    let mut s = slope();
    let corner = |b, d| destination(peg(), b, d).unwrap();
    let mut field = hazard(HazardKind::SprayedField, "maize", fixed(150.0, 30.0, 1.0));
    let ring = vec![corner(150.0, 30.0), corner(150.0, 60.0), corner(40.0, 90.0), corner(150.0, 30.0)];
    field.shape = Shape::Polygons(vec![vec![ring]]);
    s.hazards.push(field);
    assert!(ends(&s, "nearest_upslope_source_m").0.unwrap() < 40.0);
}

#[test]
fn ground_slopes_from_the_regions_mark_on() {
    let mut s = bare();
    assert_eq!(word(&s, "slopes"), "unknown");
    s.ground.slope_pct = seen(0.9);
    assert_eq!(word(&s, "slopes"), "no");
    s.ground.slope_pct = seen(1.0);
    assert_eq!(word(&s, "slopes"), "yes");
}

#[test]
fn kinds_never_searched_for_are_asked_for_in_one_walk() {
    let mut s = bare();
    looked(&mut s, [HazardKind::PitLatrine], 60.0);
    let (a, b) = (fact(&s, "nearest_sewer_m"), fact(&s, "nearest_road_m"));
    assert_eq!(a.missing, b.missing);
    assert!(asks(&a, AskKind::Look, "septic tanks") && !asks(&a, AskKind::Look, "pit latrines"));
}

#[test]
fn on_flat_ground_nothing_lies_up_slope() {
    let mut s = slope();
    s.ground.slope_pct = seen(0.4);
    s.hazards.push(hazard(HazardKind::PitLatrine, "latrine", taped(0.0, 10.0)));
    assert_eq!(ends(&s, "nearest_upslope_source_m"), (Some(120.0), None));
}

#[test]
fn where_nobody_says_which_way_the_ground_falls_any_source_may_lie_up_slope() {
    let mut s = slope();
    s.ground = Ground::default();
    s.hazards.push(hazard(HazardKind::PitLatrine, "latrine", taped(190.0, 30.0)));
    let (low, high) = ends(&s, "nearest_upslope_source_m");
    assert!(low.unwrap() < 30.0 && high.is_none());
    assert!(asks(&fact(&s, "nearest_upslope_source_m"), AskKind::Look, "which way the ground falls"));
    s.looked_for.remove(&HazardKind::Sewer);
    assert!(is_unknown(&s, "nearest_upslope_source_m"));
}

#[test]
fn up_gradient_is_against_the_flow_of_the_groundwater() {
    let mut s = slope();
    s.ground.groundwater_towards_deg = seen(270.0);
    s.hazards.push(hazard(HazardKind::PitLatrine, "east latrine", taped(90.0, 40.0)));
    s.hazards.push(hazard(HazardKind::PitLatrine, "west latrine", taped(270.0, 20.0)));
    assert_eq!(estimate(&s, "nearest_upgradient_source_m").value(), Some(40.0));
}
