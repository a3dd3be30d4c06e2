use super::*;
use crate::facts::Travel;
use crate::ground::{MaterialClass, properties};

const TIME: &str = "least_travel_time_days";

/// A latrine up-gradient by what the survey states, everything searched for,
/// a trial bore at the peg in that ground.
fn bore(ground: &[(f64, &str)]) -> Survey {
    let mut s = bare();
    for kind in HazardKind::ALL.into_iter().filter(|k| k.can_foul()) {
        s.looked_for.insert(kind, Seen::new(300.0, line(20)));
    }
    s.ground.groundwater_towards_deg = seen(180.0);
    s.hazards.push(hazard(HazardKind::PitLatrine, "latrine", taped(0.0, 40.0)));
    s.wells = vec![Well { log: log(ground), ..dipped("bore", fixed(10.0, 3.0, 0.5), 6.0) }];
    s
}

fn travel(s: &Survey) -> Travel {
    SiteFacts::of_survey(s, river()).travel().unwrap()
}

fn prior(name: &str) -> f64 {
    river().priors[name].value
}

#[test]
fn the_fastest_water_takes_every_worse_end() {
    let s = bore(&[(60.0, "sand")]);
    let sand = properties(MaterialClass::SandWet).unwrap();
    let per_m = sand.effective_porosity.low / (sand.k_m_per_day.high * prior("hydraulic_gradient_high"));
    let near = ends(&s, "nearest_upgradient_faecal_source_m").0.unwrap();
    let (low, high) = ends(&s, TIME);
    assert!((low.unwrap() - near * per_m).abs() < 1e-9, "{low:?}");
    assert!(high.unwrap() > 1000.0);
    let told = travel(&s);
    assert!((told.sources[0].fastest_days - low.unwrap()).abs() < 1e-9);
    assert!(!told.ground_unknown && !told.gradient_from_levels);
}

#[test]
fn ground_above_the_water_does_not_count() {
    let deep = |ground| {
        let mut s = bore(ground);
        s.wells[0].water_level_m = seen(20.0);
        ends(&s, TIME)
    };
    assert_eq!(deep(&[(5.0, "gravel"), (60.0, "silt")]), deep(&[(60.0, "silt")]));
    assert_ne!(deep(&[(25.0, "gravel"), (60.0, "silt")]), deep(&[(60.0, "silt")]));
}

#[test]
fn slow_ground_gives_weeks() {
    let (low, high) = ends(&bore(&[(60.0, "stiff clay")]), TIME);
    assert!(low.unwrap() > 50.0);
    assert_eq!(high, None, "it may as well stand still");
}

#[test]
fn ground_that_nobody_saw_may_be_any() {
    let whole = bore(&[(60.0, "silt")]);
    let short = bore(&[(8.0, "silt")]);
    assert!(ends(&short, TIME).0.unwrap() < ends(&whole, TIME).0.unwrap());
    assert_eq!(ends(&short, TIME).1, None);
    assert!(asks(&fact(&short, TIME), AskKind::Ask, "what ground lies below 8 m in bore"));
    let none = bore(&[]);
    assert_eq!(ends(&none, TIME).0, ends(&short, TIME).0);
    assert!(travel(&none).ground_unknown);
}

#[test]
fn a_nearer_source_is_never_longer_on_the_way() {
    let far = bore(&[(60.0, "sand")]);
    let mut near = far.clone();
    near.hazards.push(hazard(HazardKind::PitLatrine, "other", taped(5.0, 20.0)));
    assert!(ends(&near, TIME).0.unwrap() < ends(&far, TIME).0.unwrap());
}

#[test]
fn a_source_that_is_not_up_gradient_sends_nothing() {
    let mut s = bore(&[(60.0, "sand")]);
    s.hazards[0] = hazard(HazardKind::PitLatrine, "latrine", taped(180.0, 40.0));
    let per_m = travel(&s).days_per_m.0;
    assert!((ends(&s, TIME).0.unwrap() - 300.0 * per_m).abs() < 1e-9, "only what lies beyond the search");
}

#[test]
fn where_nobody_searched_the_time_is_not_known() {
    let mut s = bore(&[(60.0, "sand")]);
    s.looked_for.clear();
    s.hazards.clear();
    assert!(is_unknown(&s, TIME));
}

#[test]
fn levels_narrow_the_slope() {
    let mut s = bore(&[(60.0, "sand")]);
    let before = travel(&s);
    // A table that falls by 1 in 200 to the south.
    for (name, bearing, north_m) in
        [("north", 0.0_f64, 200.0), ("east", 120.0, -100.0), ("west", 240.0, -100.0)]
    {
        s.wells.push(Well {
            elevation_m: seen(106.0 + 0.005 * north_m),
            elevation_accuracy_m: seen(0.02),
            ..dipped(name, fixed(bearing, 200.0, 1.0), 6.0)
        });
    }
    let after = travel(&s);
    assert!(after.gradient_from_levels);
    assert!(after.gradient.high < before.gradient.high && after.gradient.low > before.gradient.low);
    assert!(after.days_per_m.0 > before.days_per_m.0);
}
