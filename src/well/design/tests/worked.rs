//! One well reckoned by hand, line by line.

use super::*;

#[track_caller]
fn is(got: &Reckoned, low: f64, likely: f64, high: f64) {
    for (got, wanted) in [(got.low, low), (got.likely, likely), (got.high, high)] {
        let close = (got - wanted).abs() <= 5e-4 * wanted.abs().max(1e-9);
        assert!(close, "{got} is not {wanted}");
    }
}

/// 0.2, 0.25 and 0.3 L/s over 8 h of 3600 s.
#[test]
fn the_water_of_a_day() {
    is(&design(&valley()).daily_l, 5760.0, 7200.0, 8640.0);
}

/// Pump of 55 mm: pipe of 63 mm (57 inside) in a hole of 150 mm, 43.5 mm on
/// each side.
#[test]
fn the_narrowest_pipe_that_takes_the_pump_is_taken() {
    let pipe = design(&valley()).pipe;
    assert_eq!((pipe.casing.outer_mm, pipe.casing.inner_mm), (63.0, 57.0));
    is(&pipe.gap_mm, 43.5, 43.5, 43.5);
}

/// Likely: 6 level + 2 drawdown + 1.5 over the intake = 9.5, then 5 of screen
/// and 1 of sump: 15.5. Best: 5 + 1 + 1.5. Worst: 7 + 3 + 1.5.
#[test]
fn the_depths_add_up() {
    let p = design(&valley()).pipe;
    is(&p.pumping_level_m, 6.0, 8.0, 10.0);
    is(&p.screen_top_m, 7.5, 9.5, 11.5);
    is(&p.intake_m, 7.5, 9.5, 11.5);
    is(&p.screen_bottom_m, 12.5, 14.5, 16.5);
    is(&p.screen_m, 5.0, 5.0, 5.0);
    is(&p.depth_m, 13.5, 15.5, 17.5);
    is(&p.blind_m, 8.0, 10.0, 12.0);
}

/// π·0.063·0.08·(1 − 0.5) = 0.0079168 m² a metre; 0.25 L/s through 5 m of it
/// is 0.006316 m/s; 0.3 L/s at 0.03 m/s need 0.01 m², 1.263 m.
#[test]
fn the_water_enters_slowly() {
    let e = design(&valley()).entrance;
    is(&e.velocity_m_per_s, 0.005_053, 0.006_316, 0.007_579);
    is(&e.length_needed_m, 0.8421, 1.0526, 1.2631);
    assert!(e.passes);
    assert!((e.rate_allowed_lps - 1.1875).abs() < 1e-3);
    // Fine sand of 1 m/d: 2 ft/min (TI 814-01).
    assert!((e.tight_ground_limit_m_per_s.unwrap() - 0.010_16).abs() < 1e-6);
}

/// π/4·(0.150² − 0.063²) = 14.5542 L a metre. Pack from 15.5 up to 8.0: 7.5 m,
/// 109.16 L, with wash-out of 0.1, 0.2 and 0.4. Clay 0.6 m, grout 3 m, between
/// them 4.4 m (2.4 and 6.4 m in the other cases). A kilogram of cement makes
/// 1/3.15 + 0.5 = 0.81746 L of grout.
#[test]
fn the_space_around_the_casing_is_filled() {
    let f = design(&valley()).filling;
    is(&f.pack_top_m, 6.0, 8.0, 10.0);
    is(&f.pack_l, 120.07, 130.99, 152.82);
    is(&f.clay_l, 9.6058, 10.479, 12.2256);
    is(&f.clay_kg, 10.566, 11.527, 13.448);
    is(&f.grout_bottom_m, 3.0, 3.0, 3.0);
    is(&f.grout_l, 48.029, 52.395, 61.128);
    is(&f.grout_cement_kg, 58.754, 64.095, 74.778);
    is(&f.grout_water_l, 29.377, 32.048, 37.389);
    is(&f.backfill_l, 38.423, 76.846, 130.406);
}

/// Slab π·(1.5² − 0.0315²) = 7.06547 m², drain 1.6 m², 0.1 m thick, a tenth
/// lost: 953.2 L. One of seven parts is 953.2·1.54/7 = 209.70 L. Bars
/// 2·7.06547/0.2 = 70.65 m of 0.3946 kg.
#[test]
fn the_slab_is_made_of_its_parts() {
    let a = design(&valley()).apron;
    is(&a.concrete_l, 953.2, 953.2, 953.2);
    is(&a.cement_kg, 301.97, 301.97, 301.97);
    is(&a.sand_l, 419.41, 419.41, 419.41);
    is(&a.stone_l, 838.82, 838.82, 838.82);
    is(&a.bars_m, 70.655, 70.655, 70.655);
    is(&a.bars_kg, 27.88, 27.88, 27.88);
}

/// Hole of 150 mm: 17.6715 L a metre. Three of it and pits of 1000 L; at the
/// high end an hour of what thickened fluid loses: K 10 m/d, 9.5 m open below
/// the water, 6 m of head, ln(9.5/0.075) = 4.8415: 739.7 m³/d, 8.561 L/s of
/// water; a fifteenth of it (15.75 cP, 1050 kg/m³), 0.5707 L/s, of the fluid.
#[test]
fn drilling_water_and_what_the_sand_swallows() {
    let d = design(&valley()).drilling;
    is(&d.hole_l, 238.57, 273.91, 309.25);
    is(&d.water_l, 1715.7, 1821.7, 1927.8 + 2054.6);
    let loss = d.loss.unwrap();
    assert!((loss.water_lps.likely - 8.561).abs() < 0.005, "{loss:?}");
    assert!((loss.thick_lps.likely - 0.5707).abs() < 0.0005);
    // Low end 1 m/d, high 100 m/d of sand.
    assert!((loss.water_lps.low - 0.8561).abs() < 0.0005 && (loss.water_lps.high - 85.61).abs() < 0.05);
}

/// Annulus of 150 and 48.3 mm: 0.015839 m²; 0.7, 1.0 and 1.3 L/s rise at
/// 0.0442, 0.0631 and 0.0821 m/s. Sand of 1 mm sinks at about 0.126 m/s in
/// water and needs twice that; in fluid of 40 s at 0.0398 m/s it needs
/// 0.0796 m/s, which the likely flow does not reach.
#[test]
fn a_hand_pump_cannot_lift_coarse_sand_up_a_wide_hole() {
    let lift = design(&valley()).drilling.lift.unwrap();
    is(&lift.rise_m_per_s, 0.044_19, 0.063_13, 0.082_07);
    assert!((lift.in_water.settling_m_per_s.likely / 0.126 - 1.0).abs() < 0.01);
    assert!((lift.in_thick.settling_m_per_s.likely / 0.0398 - 1.0).abs() < 0.01);
    assert_eq!(lift.in_water.enough, Enough::No);
    assert_eq!(lift.in_thick.enough, Enough::Hardly);
    // 2·0.126·0.015839 m² = 4.0 L/s.
    assert!((lift.in_water.needed_lps.likely - 4.0).abs() < 0.05);
    // √(48.3² + 4/π·1e-3/0.2525·1e6) mm.
    assert!((lift.widest_hole_mm.as_ref().unwrap().likely - 85.9).abs() < 0.3);
    let marsh = lift.marsh_needed_s.as_ref().unwrap();
    assert!(marsh.likely > 40.0 && marsh.likely < 50.0, "{marsh:?}");
    assert!(lift.says.contains("cannot lift grains of 1 mm") && lift.says.contains("pilot hole"));
}

/// Wettest month at 2, driest at 7 m, a full hole of 15.5 m: head 2, 4.5 and
/// 7 m; water holds with 9.80665 kPa a metre of head, fluid of 1050 kg/m³ with
/// 7.6002 kPa more.
#[test]
fn a_full_hole_holds_its_wall() {
    let w = design(&valley()).drilling.wall;
    is(&w.head_m, 2.0, 4.5, 7.0);
    is(&w.water_kpa, 19.613, 44.130, 68.647);
    is(&w.thick_kpa, 27.213, 51.730, 76.247);
    assert_eq!(w.head_enough, Enough::Surely);
}

/// Pipe of 57 mm holds 2.5518 L a metre. Likely from 4.5 to 15.5 m, twice
/// that: 56.14 L; 100 mg/L of 65 % are 8.637 g, of bleach of 0.05 kg/L
/// 112.3 mL. Least from 7 to 13.5 m at 50 mg/L, most from 2 to 17.5 m at 200.
#[test]
fn the_dose_by_product() {
    let n = design(&valley()).finishing;
    is(&n.water_l, 33.173, 56.139, 79.105);
    assert_eq!(n.doses.iter().map(|d| d.product).collect::<Vec<_>>().len(), 3);
    is(&n.doses[0].amount, 2.5518, 8.6367, 24.340);
    is(&n.doses[1].amount, 5.5288, 18.713, 52.737);
    is(&n.doses[2].amount, 33.173, 112.28, 316.42);
    is(&n.contact_h, 24.0, 24.0, 24.0);
}

/// The middle grain of sand by its name is 0.063 to 2 mm: the pack 4 to 6
/// times that, its slots 0.4804 of its middle (2.5^-0.8).
#[test]
fn without_a_sieve_the_pack_is_a_range_and_the_slots_wait() {
    let g = design(&valley()).grain;
    assert_eq!((g.need, g.slot_fits), (PackNeed::HoldsGround, SlotFit::SieveFirst));
    is(g.middle_mm.as_ref().unwrap(), 0.252, 1.75, 12.0);
    is(g.slot_most_mm.as_ref().unwrap(), 0.121_07, 0.840_74, 5.7651);
}

/// d10 0.2 and d60 0.4 mm: d50 0.2·2^0.8 = 0.34822 mm, pack 1.3929 to
/// 2.0893 mm, slots from 0.6692 mm: those of 0.5 mm hold it.
#[test]
fn a_sieved_sand_has_its_pack() {
    let sieve = Some(Sieve::new(0.2, None, 0.4).unwrap());
    let g = design(&DesignInputs { sieve, ..valley() }).grain;
    assert_eq!((g.need, g.slot_fits), (PackNeed::HoldsGround, SlotFit::Fits));
    is(g.middle_mm.as_ref().unwrap(), 1.3929, 1.7411, 2.0893);
    is(g.slot_most_mm.as_ref().unwrap(), 0.6692, 0.8365, 1.0038);
}

/// d10 0.3 and d60 1.5 mm (uniformity 5): its own pack; slots hold 60 % back,
/// d40 = 0.3·5^0.6 = 0.788 mm.
#[test]
fn coarse_mixed_sand_makes_its_own_pack() {
    let sieve = Some(Sieve::new(0.3, None, 1.5).unwrap());
    let sheet = design(&DesignInputs { sieve, ..valley() });
    assert_eq!(sheet.grain.need, PackNeed::OwnPack);
    is(sheet.grain.slot_most_mm.as_ref().unwrap(), 0.788, 0.788, 0.788);
    is(&sheet.filling.pack_l, 0.0, 0.0, 0.0);
    assert!(sheet.filling.clay_l.likely > 0.0);
}
