use super::*;

fn planned() -> Survey {
    let mut s = bare();
    s.plan.methods = vec![Seen::new(Method::Sludging, line(7))];
    s.plan.lift = seen("direct-action hand pump".to_owned());
    s.plan.budget = seen(Money { amount: 2000.0, currency: "USD".to_owned() });
    s.plan.drilling_water_l_per_day = seen(2000.0);
    s.wells.push(dipped("trial bore", taped(0.0, 3.0), 5.0));
    s
}

#[test]
fn the_cost_is_that_of_the_needed_depth() {
    let s = planned();
    let e = estimate(&s, "cost_per_budget");
    let depth = estimate(&s, "needed_depth_m");
    let region = river();
    let p = &region.methods[&Method::Sludging];
    let prior = |n: &str| region.priors[n].value;
    let middle = |d: f64| {
        p.mobilisation.value
            + (p.per_metre.value + prior("casing_per_metre")) * d
            + region.lifts["direct-action hand pump"].price.value
    };
    let spread = prior("price_spread_share");
    let least = middle(depth.low().unwrap()) * (1.0 - spread) + prior("well_completion_price_low");
    let most = middle(depth.high().unwrap()) * (1.0 + spread) + prior("well_completion_price_high");
    assert!((e.low().unwrap() - least / 2000.0).abs() < 1e-9);
    assert!((e.high().unwrap() - most / 2000.0).abs() < 1e-9);
}

#[test]
fn money_of_another_currency_is_not_compared() {
    let mut s = planned();
    s.plan.budget = seen(Money { amount: 2000.0, currency: "KES".to_owned() });
    let f = fact(&s, "cost_per_budget");
    assert_eq!(f.value, Value::Unknown);
    assert!(asks(&f, AskKind::Write, "KES"));
}

#[test]
fn drilling_water_is_compared_with_hole_and_pits() {
    let s = planned();
    let e = estimate(&s, "drilling_water_ratio");
    let depth = estimate(&s, "needed_depth_m").high().unwrap();
    let hole_m = river().methods[&Method::Sludging].hole_mm.value / 1000.0;
    let litres = 3.0 * std::f64::consts::PI / 4.0 * hole_m * hole_m * depth * 1000.0 + 1000.0;
    assert!((e.low().unwrap() - 2000.0 / litres).abs() < 1e-9);
    assert!(e.high().is_some());
}

#[test]
fn a_method_that_does_without_water_leaves_the_ratio_open() {
    let mut s = planned();
    s.plan.methods.push(Seen::new(Method::HandAuger, line(7)));
    assert_eq!(ends(&s, "drilling_water_ratio").1, None);
}

#[test]
fn the_season_of_the_work_is_read_from_the_regions_months() {
    let mut s = planned();
    assert_eq!(word(&s, "work_season"), "unknown");
    for (month, season) in [(5, "dry"), (9, "wet"), (1, "between")] {
        s.plan.start = seen(date(2026, month, 1));
        assert_eq!(word(&s, "work_season"), season, "{month}");
    }
    s.peg.at.value.at = LonLat::new(-3.0, -40.0).unwrap();
    assert_eq!(word(&s, "work_season"), "unknown", "the months hold elsewhere");
}

#[test]
fn papers_access_and_signs_are_handed_on_as_they_are() {
    let mut s = bare();
    for name in ["permit", "land_consent", "access", "flooding", "unexploded_ordnance"] {
        assert_eq!(word(&s, name), "unknown");
    }
    s.permission.permit = seen(Consent::Applied);
    s.permission.land = seen(Consent::NotNeeded);
    s.ground.access = seen(Access::OnFoot);
    s.ground.flooding = seen(Flooding::SomeYears);
    s.ground.ordnance = seen(Ordnance::Suspected);
    assert_eq!(word(&s, "permit"), "applied");
    assert_eq!(word(&s, "land_consent"), "not needed");
    assert_eq!(word(&s, "access"), "on foot");
    assert_eq!(word(&s, "flooding"), "some years");
    assert_eq!(word(&s, "unexploded_ordnance"), "suspected");
    assert_eq!(fact(&s, "permit").from, [line(9)]);
}

#[test]
fn a_distance_nobody_measured_well_is_known_to_half_a_metre() {
    let mut s = bare();
    s.ground.working_room_m = seen(5.0);
    assert_eq!(ends(&s, "working_room_m"), (Some(4.5), Some(5.5)));
}

#[test]
fn what_was_left_out_is_counted_with_its_place() {
    let mut s = bare();
    assert_eq!(ends(&s, "left_out_records"), (Some(0.0), Some(0.0)));
    s.left_out.push(LeftOut { from: Origin::new("wells.csv", 7, 1), why: "no position".to_owned() });
    assert_eq!(ends(&s, "left_out_records"), (Some(1.0), Some(1.0)));
    assert_eq!(fact(&s, "left_out_records").from, [Origin::new("wells.csv", 7, 1)]);
}
