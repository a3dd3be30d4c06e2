use super::*;
use crate::facts::{GroundwaterFlow, UpGradient};

/// Everything that can foul searched for out to 300 m.
fn searched() -> Survey {
    let mut s = bare();
    for kind in HazardKind::ALL.into_iter().filter(|k| k.can_foul()) {
        s.looked_for.insert(kind, Seen::new(300.0, line(20)));
    }
    s
}

/// A well whose water stands on a table that falls by 1 in 100 to the south,
/// levelled to 5 cm, read on that day.
fn levelled(name: &str, bearing_deg: f64, distance_m: f64, day: jiff::civil::Date) -> Well {
    let north_m = distance_m * bearing_deg.to_radians().cos();
    Well {
        water_level_m: seen(6.0),
        measured: seen(day),
        elevation_m: seen(100.0 + 6.0 + 0.01 * north_m),
        elevation_accuracy_m: seen(0.05),
        ..well(name, fixed(bearing_deg, distance_m, 1.0))
    }
}

/// Three of them around the peg.
fn three() -> Survey {
    let mut s = searched();
    // Neither a wet nor a dry month of the river: only that they were read on
    // one day tells their slope.
    let day = date(2026, 12, 5);
    s.wells = [("north", 0.0, 150.0), ("east", 120.0, 150.0), ("west", 240.0, 150.0)]
        .map(|(name, bearing, far)| levelled(name, bearing, far, day))
        .to_vec();
    s
}

fn with_latrine(mut s: Survey, bearing_deg: f64, distance_m: f64) -> Survey {
    s.hazards.push(hazard(HazardKind::PitLatrine, "latrine", taped(bearing_deg, distance_m)));
    s
}

fn flow(s: &Survey) -> GroundwaterFlow {
    SiteFacts::of_survey(s, river()).flow().unwrap()
}

const UP: &str = "nearest_upgradient_source_m";

#[test]
fn levels_of_one_day_tell_where_the_water_comes_from() {
    let flow = flow(&three());
    let possible = flow.possible.unwrap();
    assert!((possible.towards_deg - 180.0).abs() < 1.0, "{possible:?}");
    assert!(possible.half_angle_deg < 45.0, "{possible:?}");
    assert!(possible.gradient.0 < 0.01 && possible.gradient.1 > 0.01);
    let plane = flow.plane.unwrap();
    assert!((plane.towards_deg - 180.0).abs() < 0.1 && (plane.gradient.value - 0.01).abs() < 1e-4);
    assert_eq!(flow.of_one_day, Some(3));
    assert_eq!(flow.wells.len(), 3);
}

#[test]
fn a_source_down_gradient_by_the_levels_does_not_count() {
    assert_eq!(ends(&with_latrine(three(), 180.0, 40.0), UP), (Some(300.0), None));
}

#[test]
fn a_source_up_gradient_by_the_levels_counts() {
    let s = with_latrine(three(), 2.0, 40.0);
    let (low, high) = ends(&s, UP);
    assert!(low.unwrap() < 40.0 && high.unwrap() < 41.0);
    let f = fact(&s, UP);
    assert!(f.note.contains("the levels of 3 wells let the groundwater flow towards 180°"), "{}", f.note);
}

#[test]
fn each_source_is_told_with_its_chance() {
    let s = with_latrine(with_latrine(with_latrine(three(), 2.0, 40.0), 45.0, 50.0), 180.0, 60.0);
    let told = flow(&s).sources;
    let sides: Vec<_> = told.iter().map(|t| t.up_gradient).collect();
    assert_eq!(sides, [UpGradient::Surely, UpGradient::Perhaps, UpGradient::No]);
    let chances: Vec<_> = told.iter().map(|t| t.chance.unwrap()).collect();
    assert!(chances[0] > 0.95 && (chances[1] - 0.5).abs() < 0.1 && chances[2] < 0.01, "{chances:?}");
    assert_eq!(told[0].name, "latrine");
}

#[test]
fn one_elevation_forgotten_leaves_every_side_open() {
    let mut s = with_latrine(three(), 180.0, 40.0);
    s.wells[1].elevation_m = None;
    let (low, high) = ends(&s, UP);
    assert!(low.unwrap() < 40.0 && high.is_none());
    assert!(asks(&fact(&s, UP), AskKind::Dip, "Level the ground at east"), "{:?}", fact(&s, UP).missing);
}

#[test]
fn without_wells_the_ask_is_to_dip_three() {
    let s = with_latrine(searched(), 180.0, 40.0);
    assert!(asks(&fact(&s, UP), AskKind::Dip, "Dip three wells around the peg on one day"));
}

#[test]
fn heights_by_satellite_say_nothing_and_are_to_be_levelled() {
    let mut s = with_latrine(three(), 180.0, 40.0);
    s.wells.iter_mut().for_each(|w| w.elevation_accuracy_m = None);
    assert!(ends(&s, UP).0.unwrap() < 40.0);
    assert!(asks(&fact(&s, UP), AskKind::Dip, "with a hose or an instrument"));
    assert!(flow(&s).possible.unwrap_err().contains("no two levels differ"));
}

#[test]
fn wells_in_a_line_ask_for_one_off_it() {
    let mut s = with_latrine(three(), 180.0, 40.0);
    let day = date(2026, 12, 5);
    s.wells = [("a", 0.0, 150.0), ("b", 0.0, 40.0), ("c", 180.0, 150.0)]
        .map(|(name, bearing, far)| levelled(name, bearing, far, day))
        .to_vec();
    assert!(ends(&s, UP).0.unwrap() < 40.0);
    assert!(asks(&fact(&s, UP), AskKind::Dip, "off the line of b, a, c"), "{:?}", fact(&s, UP).missing);
    assert!(flow(&s).plane.unwrap_err().contains("nearly in a line"));
}

#[test]
fn levels_on_no_one_slope_are_to_be_checked() {
    let mut s = with_latrine(three(), 180.0, 40.0);
    let mut odd = levelled("odd", 180.0, 60.0, date(2026, 12, 5));
    odd.elevation_m = seen(111.0);
    s.wells.push(odd);
    assert!(ends(&s, UP).0.unwrap() < 40.0);
    assert!(asks(&fact(&s, UP), AskKind::Dip, "lie on no one slope"));
}

#[test]
fn levels_of_different_months_are_as_vague_as_the_swing() {
    let mut s = with_latrine(three(), 180.0, 40.0);
    s.wells[0].measured = seen(date(2026, 7, 5));
    assert!(ends(&s, UP).0.unwrap() < 40.0);
}

#[test]
fn levels_of_the_driest_months_need_no_common_day() {
    let mut s = with_latrine(three(), 180.0, 40.0);
    for (w, day) in s.wells.iter_mut().zip([4_i8, 5, 6]) {
        w.measured = seen(date(2026, day, 1));
    }
    assert_eq!(ends(&s, UP), (Some(300.0), None));
    assert_eq!(flow(&s).of_one_day, None);
}

#[test]
fn a_trial_bore_at_the_peg_stands_at_the_pegs_elevation() {
    let mut s = with_latrine(three(), 180.0, 40.0);
    s.wells[0] = Well { elevation_m: None, ..levelled("bore", 0.0, 4.0, date(2026, 12, 5)) };
    s.peg.elevation_m = seen(106.0);
    s.peg.elevation_accuracy_m = seen(0.05);
    assert_eq!(flow(&s).wells.len(), 2, "nobody says how the ground falls between the two");
    s.ground.slope_pct = seen(1.0);
    assert_eq!(flow(&s).wells.len(), 3);
}

#[test]
fn a_direction_stated_and_levels_exclude_each_what_they_can() {
    let mut s = three();
    s.ground.groundwater_towards_deg = seen(200.0);
    // By the levels up-gradient is to the north, as stated to 20°.
    assert!(ends(&with_latrine(s.clone(), 10.0, 40.0), UP).0.unwrap() < 40.0);
    // 100° is off by the direction stated, 280° may be on the side by it but
    // is off by the levels.
    for bearing in [100.0, 280.0] {
        assert_eq!(ends(&with_latrine(s.clone(), bearing, 40.0), UP), (Some(300.0), None), "{bearing}");
    }
    assert!(!flow(&s).contradicts_stated);
}

#[test]
fn where_levels_contradict_what_is_stated_both_count() {
    let mut s = three();
    s.ground.groundwater_towards_deg = seen(0.0);
    for bearing in [0.0, 180.0] {
        let s = with_latrine(s.clone(), bearing, 40.0);
        assert!(ends(&s, UP).0.unwrap() < 40.0, "{bearing}");
        assert!(asks(&fact(&s, UP), AskKind::Dip, "contradicts the levels"));
    }
    assert!(flow(&s).contradicts_stated);
}

#[test]
fn a_stated_direction_is_no_better_than_its_error() {
    let mut s = searched();
    s.ground.groundwater_towards_deg = seen(180.0);
    let at = |bearing| SiteFacts::of_survey(&with_latrine(s.clone(), bearing, 40.0), river()).flow().unwrap();
    let side = |bearing| at(bearing).sources[0].up_gradient;
    assert_eq!(
        (side(0.0), side(60.0), side(100.0)),
        (UpGradient::Surely, UpGradient::Perhaps, UpGradient::No)
    );
    assert_eq!(at(0.0).sources[0].chance, None, "there is no plane");
}
