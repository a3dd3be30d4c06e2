//! What cannot be designed is refused, with every reason at once.

use super::*;

#[test]
fn too_little_water_bearing_ground_for_the_least_screen_is_refused() {
    let mut inputs = valley();
    inputs.layers[2].bottom_m = 8.5;
    inputs.layers[3].top_m = 8.5;
    let refusals = design_well(&inputs, &figures()).unwrap_err();
    assert_eq!(refusals.len(), 1);
    assert_eq!(refusals[0].kind, RefusalKind::TooThin);
    // From the level at 6 m to the layer's end at 8.5 m.
    assert!(refusals[0].reason.contains("there are 2.5 m of this layer; the least screen is 3 m"));
    assert!(!refusals[0].remedy.is_empty());
}

#[test]
fn a_casing_that_leaves_no_room_for_the_seal_is_refused() {
    let mut inputs = valley();
    inputs.method.hole_mm = 100.0;
    let refusals = design_well(&inputs, &figures()).unwrap_err();
    assert_eq!(refusals[0].kind, RefusalKind::CasingDoesNotFit);
    assert!(refusals[0].remedy.contains("Ream the hole to 113 mm"), "{}", refusals[0].remedy);
    inputs.method.hole_mm = 113.0;
    assert_eq!(design(&inputs).pipe.gap_mm.likely, 25.0);
}

#[test]
fn a_pump_too_wide_for_any_pipe_is_refused() {
    let mut inputs = valley();
    inputs.lift.needs_casing_mm = Some(150.0);
    assert_eq!(refused(&inputs), [RefusalKind::NoCasing]);
    inputs.casings.clear();
    assert_eq!(refused(&inputs), [RefusalKind::NoCasing]);
}

#[test]
fn a_lift_of_which_nobody_says_what_it_needs_is_refused() {
    assert_eq!(
        refused(&DesignInputs { lift: lift("rope and bucket"), ..valley() }),
        [RefusalKind::LiftUnknown]
    );
}

#[test]
fn a_shaft_to_stand_in_is_not_designed() {
    let refusals = design_well(&DesignInputs { method: method(Method::HandDigging), ..valley() }, &figures());
    let refusals = refusals.unwrap_err();
    assert_eq!(refusals[0].kind, RefusalKind::DugShaft);
    assert!(refusals[0].remedy.contains("Never enter"));
}

#[test]
fn clay_is_refused_as_an_aquifer() {
    assert_eq!(refused(&DesignInputs { aquifer: 3, dry_level_m: part(20.0, 20.5, 21.0), ..valley() })[0], {
        RefusalKind::BearsNoWater
    });
}

#[test]
fn ground_on_the_way_that_refuses_the_method_is_refused() {
    let mut inputs = valley();
    inputs.layers[1].refuses = true;
    let refusals = design_well(&inputs, &figures()).unwrap_err();
    assert_eq!(refusals[0].kind, RefusalKind::NotReached);
    assert!(refusals[0].reason.contains("refused at 1 m"));
}

#[test]
fn a_method_that_ends_above_the_layer_is_refused() {
    let mut inputs = valley();
    inputs.method.max_depth_m = 4.0;
    assert!(refused(&inputs).contains(&RefusalKind::NotReached));
}

#[test]
fn a_seal_is_never_shortened_for_shallow_water() {
    let inputs = DesignInputs {
        layers: vec![layer(0.0, 6.0, MaterialClass::SandWet), layer(6.0, 10.0, MaterialClass::SoftClay)],
        aquifer: 0,
        dry_level_m: part(0.5, 1.0, 1.2),
        wet_level_m: part(0.2, 0.5, 0.8),
        drawdown_m: part(0.2, 0.5, 1.0),
        ..valley()
    };
    // 3 m of seal and 1.5 m of pack leave 1.5 m for a screen of 3 m.
    assert_eq!(refused(&inputs), [RefusalKind::TooShallowToSeal]);
    let deeper = DesignInputs {
        layers: vec![layer(0.0, 7.6, MaterialClass::SandWet), layer(7.6, 10.0, MaterialClass::SoftClay)],
        ..inputs
    };
    let sheet = design(&deeper);
    assert_eq!(sheet.pipe.screen_top_m.likely, 4.5);
    assert!(sheet.filling.pack_top_m.low >= 3.0);
}

#[test]
fn a_flowing_well_is_refused() {
    let wet_level_m = part(-1.0, -0.5, 0.0);
    assert_eq!(refused(&DesignInputs { wet_level_m, ..valley() }), [RefusalKind::Artesian]);
}

#[test]
fn pumping_below_the_deepest_screen_is_refused() {
    assert_eq!(
        refused(&DesignInputs { drawdown_m: part(1.0, 15.0, 16.0), ..valley() }),
        [RefusalKind::TooThin]
    );
}

#[test]
fn every_reason_is_given_at_once() {
    let mut inputs = valley();
    inputs.layers[2].bottom_m = 8.0;
    inputs.layers[3].top_m = 8.0;
    inputs.layers[0].refuses = true;
    inputs.wet_level_m = part(-2.0, -1.0, 0.0);
    inputs.method.hole_mm = 70.0;
    let kinds = refused(&inputs);
    for kind in
        [RefusalKind::CasingDoesNotFit, RefusalKind::Artesian, RefusalKind::NotReached, RefusalKind::TooThin]
    {
        assert!(kinds.contains(&kind), "{kinds:?}");
    }
}

#[test]
fn figures_that_no_well_can_have_are_all_named() {
    let mut inputs = valley();
    inputs.layers[1].bottom_m = f64::NAN;
    inputs.rate_lps = part(0.0, f64::INFINITY, 0.3);
    inputs.dry_level_m = part(8.0, 6.0, 7.0);
    let refusals = design_well(&inputs, &figures()).unwrap_err();
    assert!(refusals.len() >= 4 && refusals.iter().all(|r| r.kind == RefusalKind::Figure), "{refusals:#?}");
    assert!(refusals.iter().any(|r| r.reason.contains("the bottom of a layer")));
}

#[test]
fn a_layer_that_is_not_there_is_refused() {
    assert_eq!(refused(&DesignInputs { aquifer: 9, ..valley() }), [RefusalKind::NoLayer]);
}

#[test]
fn a_region_without_the_figures_names_them_all() {
    let mut region = region();
    region.priors.remove("sump_m");
    region.priors.remove("apron_radius_m");
    assert_eq!(DesignFigures::of(&region).unwrap_err(), ["sump_m", "apron_radius_m"]);
}
