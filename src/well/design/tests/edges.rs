//! Designs at the edges of what can be built.

use super::*;

#[test]
fn where_the_layer_ends_soon_the_screen_moves_up_but_not_above_the_driest_level() {
    let mut inputs = valley();
    inputs.layers[2].bottom_m = 10.5;
    inputs.layers[3].top_m = 10.5;
    inputs.dry_level_m = part(6.5, 7.0, 7.2);
    let sheet = design(&inputs);
    // Wanted from 10.5 down; the layer leaves 7.5 to 10.5.
    assert_eq!(sheet.pipe.screen_top_m.likely, 7.5);
    assert_eq!(sheet.pipe.screen_m.likely, 3.0);
    assert!(warns(&sheet, "into the screen"));
}

#[test]
fn the_deepest_of_the_driest_levels_leaves_a_warning_where_it_leaves_no_room() {
    let inputs = DesignInputs { dry_level_m: part(5.0, 6.0, 18.0), ..valley() };
    let sheet = design(&inputs);
    assert!(warns(&sheet, "the well may fail in dry years"));
    assert!(warns(&sheet, "2 m of this layer are left"), "{:#?}", sheet.warnings);
}

#[test]
fn the_screen_begins_below_the_deepest_of_the_driest_levels_where_there_is_room() {
    let inputs = DesignInputs { dry_level_m: part(5.0, 6.0, 13.0), ..valley() };
    assert!(design(&inputs).pipe.screen_top_m.likely >= 13.0);
}

#[test]
fn the_sump_stays_in_ground_that_was_seen_and_does_not_refuse() {
    let mut inputs = valley();
    inputs.dry_level_m = part(9.0, 11.0, 12.0);
    inputs.layers[3].refuses = true;
    let refusing = design(&inputs);
    assert!(refusing.pipe.depth_m.high <= 20.0);
    inputs.layers.pop();
    let unseen = design(&inputs);
    assert_eq!(unseen.pipe.depth_m, refusing.pipe.depth_m);
}

#[test]
fn a_method_that_does_not_keep_the_hole_full_needs_casing_and_no_drilling_water() {
    let sheet = design(&DesignInputs {
        method: DesignMethod { max_depth_m: 25.0, ..method(Method::HandAuger) },
        ..valley()
    });
    assert_eq!(sheet.drilling.water_l.high, 0.0);
    assert_eq!(sheet.drilling.clay_kg.high, 0.0);
    assert!(sheet.drilling.lift.is_none() && sheet.drilling.loss.is_none());
    assert_eq!(sheet.drilling.wall.water_kpa.high, 0.0);
    assert!(warns(&sheet, "temporary casing"));
}

#[test]
fn sludging_lifts_coarse_sand_inside_the_pipe() {
    let mut inputs = DesignInputs { method: method(Method::Sludging), ..valley() };
    inputs.method.hole_mm = 125.0;
    let lift = design(&inputs).drilling.lift.unwrap();
    // 0.4 L/s in 35 mm: 0.416 m/s, more than twice 0.126 m/s.
    assert_eq!(lift.in_water.enough, Enough::Likely);
    assert!(lift.widest_hole_mm.is_none());
}

#[test]
fn a_motor_pump_lifts_in_plain_water_and_needs_no_clay() {
    let mut inputs = DesignInputs { method: method(Method::Washbore), ..valley() };
    inputs.method.hole_mm = 115.0;
    let d = design(&inputs).drilling;
    assert_eq!(d.clay_kg.high, 0.0);
    assert!(matches!(d.lift.unwrap().in_water.enough, Enough::Surely | Enough::Likely));
    assert_eq!(d.water_l.likely, 5000.0);
}

#[test]
fn a_high_water_table_leaves_the_wall_without_support() {
    let inputs = DesignInputs {
        dry_level_m: part(0.5, 0.8, 0.9),
        wet_level_m: part(0.1, 0.3, 0.5),
        layers: vec![layer(0.0, 20.0, MaterialClass::SandWet)],
        aquifer: 0,
        ..valley()
    };
    let sheet = design(&inputs);
    assert_eq!(sheet.drilling.wall.head_enough, Enough::No);
    assert!(warns(&sheet, "stand-pipe"));
}

#[test]
fn too_fast_an_entrance_names_the_screen_that_would_do() {
    let mut inputs = valley();
    inputs.layers[2].bottom_m = 12.5;
    inputs.layers[3].top_m = 12.5;
    inputs.rate_lps = part(0.5, 1.0, 1.2);
    let sheet = design(&inputs);
    assert!(!sheet.entrance.passes);
    // 1.2 L/s at 0.03 m/s: 0.04 m² by 0.0079168 m².
    assert!((sheet.entrance.length_needed_m.high - 5.0525).abs() < 1e-3);
    assert!(warns(&sheet, "5.1 m of screen would do"), "{:#?}", sheet.warnings);
}

#[test]
fn a_great_rate_asks_for_a_longer_screen_where_there_is_room() {
    let sheet = design(&DesignInputs { rate_lps: part(1.0, 1.5, 2.0), ..valley() });
    assert!(sheet.pipe.screen_m.likely > 8.0 && sheet.entrance.passes);
}

#[test]
fn rock_is_packed_only_to_keep_its_pieces_off() {
    let mut inputs = valley();
    inputs.layers[2].classes = vec![(MaterialClass::Limestone, 1.0)];
    let sheet = design(&inputs);
    assert_eq!(sheet.grain.need, PackNeed::SupportsWall);
    assert!(sheet.grain.middle_mm.is_none());
    assert!(sheet.assumed.iter().any(|a| a.contains("only at times")));
}

#[test]
fn ground_of_unknown_words_waits_for_a_sieve() {
    let mut inputs = valley();
    inputs.layers[2].classes = vec![(MaterialClass::Unknown, 1.0)];
    let sheet = design(&inputs);
    assert!(sheet.grain.middle_mm.is_none() && sheet.drilling.loss.is_none());
    assert!(warns(&sheet, "not known: buy no pack"));
}

#[test]
fn several_classes_widen_every_range() {
    let mut inputs = valley();
    inputs.layers[2].classes = vec![(MaterialClass::SandWet, 0.7), (MaterialClass::FineGravel, 0.3)];
    let (one, both) = (design(&valley()), design(&inputs));
    let loss = |s: &WellDesignSheet| s.drilling.loss.as_ref().map(|l| l.water_lps.high).unwrap();
    assert!(loss(&both) > loss(&one));
    let pack = |s: &WellDesignSheet| s.grain.middle_mm.as_ref().map(|p| p.high).unwrap();
    assert!(pack(&both) > pack(&one));
}

#[test]
fn a_pack_that_would_join_two_waters_is_warned_of() {
    let mut inputs = valley();
    inputs.layers = vec![
        layer(0.0, 8.0, MaterialClass::SandWet),
        layer(8.0, 8.5, MaterialClass::SoftClay),
        layer(8.5, 20.0, MaterialClass::SandWet),
    ];
    assert!(warns(&design(&inputs), "two layers with water are never joined"));
    assert!(!warns(&design(&valley()), "never joined"));
}

#[test]
fn every_layer_that_may_bear_water_is_worth_a_design() {
    let v = valley();
    assert_eq!(plausible_aquifers(&v.layers, v.dry_level_m), [2]);
    assert_eq!(plausible_aquifers(&v.layers, part(21.0, 22.0, 23.0)), [] as [usize; 0]);
    let mut two = v.layers.clone();
    two[3].classes = vec![(MaterialClass::HardRock, 1.0)];
    assert_eq!(plausible_aquifers(&two, v.dry_level_m), [2, 3]);
    two[3].refuses = true;
    assert_eq!(plausible_aquifers(&two, v.dry_level_m), [2]);
}

#[test]
fn the_cautions_of_the_work_are_always_there_and_what_hurts_comes_first() {
    let sheet = design(&valley());
    for words in
        ["Never enter", "chlorine in the open air", "Cover hole and pits", "Cement burns", "Local codes"]
    {
        assert!(warns(&sheet, words), "{words}");
    }
    let hurts: Vec<_> = sheet.warnings.iter().map(|w| w.hurts).collect();
    assert!(hurts.is_sorted_by(|a, b| a >= b), "{hurts:?}");
}

#[test]
fn a_sieve_that_cannot_be_is_refused() {
    assert!(Sieve::new(0.0, None, 1.0).is_err());
    assert!(Sieve::new(1.0, None, 0.5).is_err());
    assert!(Sieve::new(0.2, Some(0.9), 0.5).is_err());
    assert!(Sieve::new(f64::NAN, None, 0.5).is_err());
    assert!((Sieve::new(0.2, Some(0.3), 0.5).unwrap().d50_mm() - 0.3).abs() < 1e-12);
}

#[test]
fn a_sheet_is_written_as_json() {
    let json = serde_json::to_value(design(&valley())).unwrap();
    assert_eq!(json["pipe"]["screen_top_m"]["likely"], 9.5);
    assert_eq!(json["pipe"]["screen_top_m"]["unit"], "m");
    assert_eq!(json["drilling"]["lift"]["in_water"]["enough"], "no");
}
