use super::*;
use crate::facts::SiteFacts;

fn signs_say_no(s: &mut Survey) {
    s.ground.boulders = seen(false);
    s.ground.hard_laterite = seen(false);
    s.ground.running_sand = seen(false);
    s.ground.gravel = seen(false);
    s.ground.fissured = seen(false);
}

fn logged(name: &str, position: Position, layers: &[(f64, &str)]) -> Well {
    Well { log: log(layers), ..dipped(name, position, 5.0) }
}

const SOFT: &[(f64, &str)] = &[(1.0, "topsoil"), (4.0, "sandy clay"), (24.0, "medium sand")];

#[test]
fn soft_ground_lets_a_method_down_to_the_end_of_the_log() {
    let mut s = bare();
    s.plan.methods = vec![Seen::new(Method::ManualRotaryJetting, line(7))];
    s.wells.push(logged("trial bore", taped(0.0, 3.0), SOFT));
    assert_eq!(ends(&s, "method_reach_m"), (Some(24.0), Some(40.0)));
    assert_eq!(ends(&s, "soft_cover_m"), (Some(24.0), None));
    assert_eq!(ends(&s, "methods_that_fit"), (Some(1.0), Some(1.0)));
    assert!(estimate(&s, "reach_margin_m").surely_above(0.0));
}

#[test]
fn rock_ends_the_reach_of_every_method() {
    let mut s = bare();
    s.wells.push(logged("trial bore", taped(0.0, 3.0), &[(6.0, "clay"), (7.0, "granite")]));
    assert_eq!(ends(&s, "soft_cover_m"), (Some(6.0), Some(6.0)));
    assert!(estimate(&s, "method_reach_m").surely_at_most(6.0));
    assert_eq!(ends(&s, "methods_that_fit"), (Some(0.0), Some(0.0)));
}

#[test]
fn words_that_are_not_understood_may_hide_rock_and_are_asked_for() {
    let mut s = bare();
    s.wells.push(logged("trial bore", taped(0.0, 3.0), &[(6.0, "clay"), (24.0, "zork")]));
    assert_eq!(ends(&s, "soft_cover_m"), (Some(6.0), None));
    assert!(asks(&fact(&s, "soft_cover_m"), AskKind::Write, "zork"));
}

#[test]
fn a_neighbour_without_a_log_may_hide_rock_at_any_depth() {
    let mut s = bare();
    s.wells.push(logged("a", fixed(0.0, 200.0, 3.0), SOFT));
    assert_eq!(ends(&s, "soft_cover_m").0, Some(24.0));
    s.wells.push(well("b", fixed(90.0, 200.0, 3.0)));
    assert_eq!(ends(&s, "soft_cover_m"), (Some(0.0), None));
    assert!(asks(&fact(&s, "soft_cover_m"), AskKind::Ask, "Ask what ground was met in b"));
}

#[test]
fn a_hole_drilled_by_hand_shows_soft_ground_to_its_bottom() {
    let mut s = bare();
    let mut w = well("a", fixed(0.0, 200.0, 3.0));
    w.made = seen(Made::HandDrilled);
    w.depth_m = seen(18.0);
    s.wells.push(w);
    assert_eq!(ends(&s, "soft_cover_m"), (Some(16.0), None), "as well as the depth is remembered");
    s.wells[0].outcome = seen(WellOutcome::RefusedOnRock);
    assert_eq!(ends(&s, "soft_cover_m"), (Some(16.0), Some(20.0)));
}

#[test]
fn without_any_evidence_nothing_is_known_of_the_ground() {
    let s = bare();
    for name in ["soft_cover_m", "method_reach_m", "hard_laterite_m", "methods_that_fit", "saturated_m"] {
        let f = fact(&s, name);
        assert_eq!(f.value, Value::Unknown, "{name}");
    }
    assert!(asks(&fact(&s, "soft_cover_m"), AskKind::TrialBore, "trial bore"));
}

#[test]
fn no_boulders_takes_both_the_surveyors_word_and_every_near_log() {
    let mut s = bare();
    s.wells.push(logged("a", fixed(0.0, 200.0, 3.0), SOFT));
    assert_eq!(word(&s, "boulders"), "unknown");
    signs_say_no(&mut s);
    assert_eq!(word(&s, "boulders"), "no");
    s.wells.push(well("b", fixed(90.0, 200.0, 3.0)));
    assert_eq!(word(&s, "boulders"), "unknown");
}

#[test]
fn boulders_seen_or_met_are_boulders() {
    let mut s = bare();
    s.ground.boulders = seen(true);
    assert_eq!(word(&s, "boulders"), "yes");
    signs_say_no(&mut s);
    s.wells.push(logged("a", fixed(0.0, 200.0, 3.0), &[(3.0, "clay"), (4.0, "boulders"), (20.0, "sand")]));
    assert_eq!(word(&s, "boulders"), "yes");
    assert_eq!(fact(&s, "boulders").note, "met in a");
}

#[test]
fn boulders_below_the_way_down_do_not_matter() {
    let mut s = bare();
    signs_say_no(&mut s);
    s.wells.push(logged("a", taped(0.0, 3.0), &[(40.0, "sand"), (41.0, "boulders")]));
    assert_eq!(word(&s, "boulders"), "no");
}

#[test]
fn a_bore_at_the_peg_is_not_gainsaid_by_neighbours() {
    let mut s = bare();
    signs_say_no(&mut s);
    s.wells.push(logged("a", fixed(0.0, 200.0, 3.0), &[(3.0, "clay"), (4.0, "boulders"), (20.0, "sand")]));
    s.wells.push(logged("trial bore", taped(0.0, 3.0), SOFT));
    assert_eq!(word(&s, "boulders"), "no");
    s.wells[1].position.accuracy = Accuracy::Stated(100.0);
    assert_eq!(word(&s, "boulders"), "unknown", "the bore may not be at the peg");
}

#[test]
fn gravel_on_the_way_and_running_sand_are_read_from_logs() {
    let mut s = bare();
    let layers = [(3.0, "clay"), (5.0, "quartz gravel"), (7.0, "quicksand"), (20.0, "clay")];
    s.wells.push(logged("a", taped(0.0, 3.0), &layers));
    assert_eq!(word(&s, "gravel_on_the_way"), "yes");
    assert_eq!(word(&s, "running_sand"), "yes");
}

#[test]
fn hard_laterite_is_as_thick_as_the_logs_have_it() {
    let mut s = bare();
    signs_say_no(&mut s);
    s.wells.push(logged("a", taped(0.0, 3.0), &[(1.0, "topsoil"), (2.5, "ironstone"), (24.0, "saprolite")]));
    assert_eq!(ends(&s, "hard_laterite_m"), (Some(1.5), Some(1.5)));
}

#[test]
fn laterite_of_no_stated_hardness_may_be_hard() {
    let mut s = bare();
    signs_say_no(&mut s);
    s.wells.push(logged("a", taped(0.0, 3.0), &[(1.0, "topsoil"), (2.5, "laterite"), (24.0, "saprolite")]));
    assert_eq!(ends(&s, "hard_laterite_m"), (Some(0.0), Some(1.5)));
}

#[test]
fn below_a_short_log_all_may_be_laterite() {
    let mut s = bare();
    signs_say_no(&mut s);
    s.wells.push(logged("a", taped(0.0, 3.0), &[(5.0, "clay")]));
    let needed = estimate(&s, "needed_depth_m").high().unwrap();
    assert!((ends(&s, "hard_laterite_m").1.unwrap() - (needed - 5.0)).abs() < 1e-9);
    assert!(asks(&fact(&s, "hard_laterite_m"), AskKind::Ask, "below 5 m in a"));
}

#[test]
fn every_method_at_hand_needs_fluid_or_not() {
    let mut s = bare();
    s.plan.methods = vec![Seen::new(Method::Sludging, line(7))];
    assert_eq!(word(&s, "fluid_methods_only"), "yes");
    s.plan.methods.push(Seen::new(Method::HandAuger, line(7)));
    assert_eq!(word(&s, "fluid_methods_only"), "no");
}

#[test]
fn ground_is_fast_by_the_region_by_signs_or_by_logs() {
    let mut s = bare();
    assert_eq!(word(&s, "fast_ground"), "unknown");
    signs_say_no(&mut s);
    assert_eq!(word(&s, "fast_ground"), "no");
    let karst = river_with(|r| r.distance_protects = false);
    assert_eq!(fact_in(&s, &karst, "fast_ground").value, Value::Word("yes"));
    s.wells.push(logged("a", fixed(0.0, 200.0, 3.0), &[(3.0, "clay"), (9.0, "coarse gravel")]));
    assert_eq!(word(&s, "fast_ground"), "yes");
    s.wells.clear();
    s.ground.fissured = seen(true);
    assert_eq!(word(&s, "fast_ground"), "yes");
}

#[test]
fn only_water_bearing_ground_between_level_and_reach_counts() {
    let mut s = bare();
    s.plan.methods = vec![Seen::new(Method::ManualRotaryJetting, line(7))];
    s.wells.push(logged("a", taped(0.0, 3.0), &[(10.0, "clay"), (16.0, "sand"), (20.0, "soft clay")]));
    let (low, high) = ends(&s, "saturated_m");
    assert_eq!(low, Some(6.0));
    assert_eq!(high, Some(6.0 + 20.0), "below the log, down to 40 m, all may bear water");
}

#[test]
fn the_needed_depth_stacks_up_below_the_level() {
    let mut s = bare();
    s.wells.push(dipped("trial bore", taped(0.0, 3.0), 5.0));
    let (level, needed) = (estimate(&s, "dry_level_m"), estimate(&s, "needed_depth_m"));
    // Submergence 1.5, screen 3, sump 1, drawdown 0.5 to 3 in this setting.
    assert!((needed.low().unwrap() - level.low().unwrap() - 6.0).abs() < 1e-9);
    assert!((needed.high().unwrap() - level.high().unwrap() - 8.5).abs() < 1e-9);
}

#[test]
fn the_report_is_told_how_deep_each_method_reaches() {
    let mut s = bare();
    s.plan.methods = vec![Seen::new(Method::HandAuger, line(7)), Seen::new(Method::Sludging, line(8))];
    s.wells.push(logged("a", taped(0.0, 3.0), &[(5.0, "clay"), (9.0, "sand")]));
    let reaches = SiteFacts::of_survey(&s, river()).method_reaches();
    assert_eq!(reaches.iter().map(|r| r.0).collect::<Vec<_>>(), [Method::HandAuger, Method::Sludging]);
    assert!(fact(&s, "method_reach_m").note.contains("hand auger: "));
}

#[test]
fn a_method_of_which_the_region_says_nothing_may_fit() {
    let region = river_with(|r| {
        r.methods.remove(&Method::Sludging);
    });
    let mut s = bare();
    s.plan.methods = vec![Seen::new(Method::Sludging, line(7)), Seen::new(Method::HandAuger, line(7))];
    s.wells.push(logged("a", taped(0.0, 3.0), &[(5.0, "clay"), (6.0, "granite")]));
    let f = fact_in(&s, &region, "methods_that_fit");
    let Value::Estimate(e) = &f.value else { panic!("{f:?}") };
    assert_eq!((e.low(), e.high()), (Some(0.0), Some(1.0)));
    assert!(asks(&f, AskKind::Write, "sludging"));
}
