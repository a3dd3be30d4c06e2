use super::*;

fn yielding(lps: f64) -> Survey {
    let mut s = bare();
    s.need.people = seen(100.0);
    s.need.litres_per_person_day = seen(20.0);
    s.need.other_litres_per_day = seen(0.0);
    s.plan.lift = seen("direct-action hand pump".to_owned());
    let mut w = well("trial bore", taped(0.0, 3.0));
    w.yield_lps = seen(lps);
    s.wells.push(w);
    s
}

#[test]
fn people_times_litres_and_the_rest_are_needed() {
    let mut s = yielding(0.2);
    s.need.other_litres_per_day = seen(300.0);
    assert_eq!(ends(&s, "need_l_per_day"), (Some(2300.0), Some(2300.0)));
    s.need.people = None;
    assert!(is_unknown(&s, "need_l_per_day"));
}

#[test]
fn what_nobody_stated_of_the_need_widens_it() {
    let mut s = yielding(0.2);
    s.need.litres_per_person_day = None;
    s.need.other_litres_per_day = None;
    let e = estimate(&s, "need_l_per_day");
    assert_eq!(e.value(), Some(2000.0), "the region's figure");
    assert!(e.low().unwrap() < 2000.0 && e.high().unwrap() > 5000.0);
    assert!(asks(&fact(&s, "need_l_per_day"), AskKind::Ask, "animals and gardens"));
}

#[test]
fn a_day_of_drawing_is_compared_with_the_need() {
    // 0.2 L/s over 8 h are 5760 L, for 2000 L.
    let s = yielding(0.2);
    let (low, high) = ends(&s, "yield_per_need");
    assert!((low.unwrap() - 2.88).abs() < 1e-9 && (high.unwrap() - 2.88).abs() < 1e-9);
}

#[test]
fn a_pump_gives_no_more_than_its_own_flow() {
    let mut s = yielding(3.0);
    assert!((ends(&s, "yield_per_need").1.unwrap() - 0.28 * 8.0 * 3600.0 / 2000.0).abs() < 1e-9);
    s.plan.lift = None;
    let (low, high) = ends(&s, "yield_per_need");
    assert_eq!(low, Some(0.0), "of an unknown pump nothing is known to come");
    assert!(high.unwrap() > 40.0);
}

#[test]
fn a_neighbour_of_unknown_yield_may_give_nothing() {
    let mut s = yielding(0.2);
    s.wells[0].position = fixed(0.0, 300.0, 3.0);
    s.wells.push(well("b", fixed(90.0, 300.0, 3.0)));
    assert_eq!(ends(&s, "yield_per_need").0, Some(0.0));
    assert!(asks(&fact(&s, "yield_per_need"), AskKind::Ask, "how fast b fills a bucket"));
}

#[test]
fn without_any_yield_nothing_is_known() {
    let mut s = yielding(0.2);
    s.wells.clear();
    assert!(is_unknown(&s, "yield_per_need"));
}
