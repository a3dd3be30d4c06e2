//! What holds of every design, on random ground with random figures.

use proptest::prelude::*;

use super::*;

/// Loaded once: every case starts from the same figures.
static REGION: std::sync::LazyLock<(DesignFigures, Vec<CasingSize>)> =
    std::sync::LazyLock::new(|| (figures(), region().casings.values().map(CasingSize::of).collect()));

fn ordered(from: f64, to: f64) -> impl Strategy<Value = Part> {
    [from..to, from..to, from..to].prop_map(|mut x| {
        x.sort_by(f64::total_cmp);
        part(x[0], x[1], x[2])
    })
}

fn inputs() -> impl Strategy<Value = DesignInputs> {
    let layers =
        prop::collection::vec((0.2..12.0, 0..MaterialClass::ALL.len(), 0..19usize, any::<bool>()), 1..6);
    let methods = prop::sample::select(Method::ALL.to_vec());
    let lifts = prop::sample::select(vec![Some(40.0), Some(55.0), Some(80.0), None]);
    let sieve = prop::option::of((0.05..1.0, 1.0..8.0));
    (
        layers,
        0..6usize,
        ordered(0.0, 15.0),
        0.0..5.0f64,
        ordered(0.0, 6.0),
        ordered(0.05, 2.0),
        (methods, 70.0..250.0, 5.0..60.0, lifts),
        sieve,
    )
        .prop_map(
            |(
                layers,
                aquifer,
                dry,
                swing,
                drawdown_m,
                rate_lps,
                (way, hole_mm, max_depth_m, needs),
                sieve,
            )| {
                let mut top_m = 0.0;
                let layers = layers
                    .into_iter()
                    .map(|(thick, a, b, refuses)| {
                        let bottom_m = top_m + thick;
                        let classes = vec![(MaterialClass::ALL[a], 0.6), (MaterialClass::ALL[b], 0.4)];
                        let made = DesignLayer { top_m, bottom_m, classes, refuses: refuses && thick < 1.0 };
                        top_m = bottom_m;
                        made
                    })
                    .collect();
                let up = |x: f64| x - swing;
                let mut lift = DesignLift { name: "pump".to_owned(), needs_casing_mm: needs, max_m: 15.0 };
                lift.max_m = 15.0;
                let circulation = match way {
                    Method::Sludging | Method::ToothedSludging => {
                        Circulation::InPipe { bore_mm: 35.0, flow_lps: part(0.2, 0.4, 0.7) }
                    }
                    Method::Washbore | Method::ManualRotaryJetting => {
                        Circulation::Annulus { pipe_mm: 48.3, flow_lps: part(0.7, 1.0, 1.3), by_hand: true }
                    }
                    _ => Circulation::None,
                };
                DesignInputs {
                    layers,
                    aquifer,
                    dry_level_m: dry,
                    wet_level_m: part(up(dry.low), up(dry.value), up(dry.high)),
                    drawdown_m,
                    rate_lps,
                    hours_per_day: 8.0,
                    method: DesignMethod { method: way, hole_mm, max_depth_m, circulation },
                    lift,
                    casings: REGION.1.clone(),
                    sieve: sieve.map(|(d10, u)| Sieve::new(d10, None, d10 * u).unwrap()),
                }
            },
        )
}

/// Ground in which a design mostly succeeds.
fn drillable() -> impl Strategy<Value = DesignInputs> {
    inputs().prop_map(|mut i| {
        let deep = layer(0.0, 45.0, MaterialClass::SandWet);
        i.layers = vec![deep, layer(45.0, 60.0, MaterialClass::SoftClay)];
        i.aquifer = 0;
        i.method.hole_mm = i.method.hole_mm.max(160.0);
        i.method.max_depth_m = i.method.max_depth_m.max(45.0);
        i.lift.needs_casing_mm = i.lift.needs_casing_mm.or(Some(55.0));
        if i.method.method == Method::HandDigging {
            i.method.method = Method::HandAuger;
        }
        i.wet_level_m = i.dry_level_m;
        i
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn every_number_is_finite_and_its_ends_in_order(i in prop_oneof![inputs(), drillable()]) {
        match design_well(&i, &REGION.0) {
            Err(refusals) => {
                prop_assert!(!refusals.is_empty());
                prop_assert!(refusals.iter().all(|r| !r.reason.is_empty() && !r.remedy.is_empty()));
            }
            Ok(sheet) => for n in sheet.numbers() {
                prop_assert!([n.low, n.likely, n.high].iter().all(|x| x.is_finite()), "{n:?}");
                prop_assert!(n.low <= n.likely && n.likely <= n.high, "{n:?}");
                prop_assert!(!n.says.is_empty() && !n.sources.is_empty() && !n.formula.is_empty());
                prop_assert!(n.sources.iter().all(|s| s.source.len() >= 8), "{n:?}");
            },
        }
    }

    #[test]
    fn no_length_or_volume_is_below_nothing(i in drillable()) {
        let sheet = design_well(&i, &REGION.0).unwrap();
        for n in sheet.numbers().into_iter().filter(|n| n.unit != Unit::Kilopascal && !n.what.contains("head")) {
            prop_assert!(n.low >= 0.0, "{n:?}");
        }
    }

    #[test]
    fn the_screen_stands_below_the_driest_level_and_inside_its_layer(i in prop_oneof![inputs(), drillable()]) {
        let Ok(sheet) = design_well(&i, &REGION.0) else { return Ok(()) };
        let (p, layer) = (&sheet.pipe, &i.layers[i.aquifer]);
        prop_assert!(p.screen_top_m.low >= i.dry_level_m.low - 1e-9);
        prop_assert!(p.screen_top_m.likely >= i.dry_level_m.value - 1e-9);
        prop_assert!(p.screen_top_m.low >= layer.top_m - 1e-9);
        prop_assert!(p.screen_bottom_m.high <= layer.bottom_m + 1e-9);
        prop_assert!(p.screen_m.low >= REGION.0.lengths.screen_least_m - 1e-9);
        prop_assert!(p.depth_m.high <= i.method.max_depth_m + 1e-9);
        prop_assert!(sheet.filling.pack_top_m.low >= REGION.0.filling.sanitary_seal_m - 1e-9);
        prop_assert!(p.intake_m.likely >= p.pumping_level_m.low - 1e-9);
    }

    #[test]
    fn the_casing_takes_the_pump_and_leaves_room(i in drillable()) {
        let pipe = design_well(&i, &REGION.0).unwrap().pipe;
        prop_assert!(pipe.casing.inner_mm >= i.lift.needs_casing_mm.unwrap());
        prop_assert!(pipe.gap_mm.low >= REGION.0.lengths.annulus_least_mm - 1e-9);
    }

    #[test]
    fn a_longer_screen_never_lets_water_in_faster(i in drillable(), more in 0.0..10.0) {
        let longer = {
            let mut f = REGION.0.clone();
            f.lengths.screen_usual_m += more;
            f
        };
        let (short, long) = (design_well(&i, &REGION.0).unwrap(), design_well(&i, &longer).unwrap());
        prop_assert!(long.pipe.screen_m.likely >= short.pipe.screen_m.likely - 1e-9);
        prop_assert!(long.entrance.velocity_m_per_s.high <= short.entrance.velocity_m_per_s.high + 1e-12);
        prop_assert!(!short.entrance.passes || long.entrance.passes);
    }

    #[test]
    fn water_that_stands_deeper_never_makes_a_shallower_well(i in drillable(), fall in 0.0..5.0) {
        let down = |p: Part| part(p.low + fall, p.value + fall, p.high + fall);
        let deep = DesignInputs { dry_level_m: down(i.dry_level_m), ..i.clone() };
        let (Ok(shallow), Ok(deep)) = (design_well(&i, &REGION.0), design_well(&deep, &REGION.0)) else {
            return Ok(());
        };
        prop_assert!(deep.pipe.screen_top_m.likely >= shallow.pipe.screen_top_m.likely - 1e-9);
        prop_assert!(deep.pipe.depth_m.likely >= shallow.pipe.depth_m.likely - 1e-9);
    }

    /// A wider band of the level never clears a design that its middle alone
    /// does not, nor raises the screen.
    #[test]
    fn knowing_the_level_less_well_never_raises_the_screen(i in drillable(), more in 0.0..5.0f64) {
        let d = i.dry_level_m;
        let wide = DesignInputs { dry_level_m: part((d.low - more).max(0.0), d.value, d.high + more), ..i.clone() };
        match (design_well(&i, &REGION.0), design_well(&wide, &REGION.0)) {
            (Ok(sure), Ok(unsure)) => {
                prop_assert!(unsure.pipe.screen_top_m.likely >= sure.pipe.screen_top_m.likely - 1e-9);
            }
            (Err(_), Ok(_)) => prop_assert!(false, "knowing less cleared it"),
            _ => {}
        }
    }

    #[test]
    fn the_same_inputs_give_the_same_sheet(i in drillable()) {
        prop_assert_eq!(design_well(&i, &REGION.0), design_well(&i, &REGION.0));
    }

    #[test]
    fn figures_of_any_size_give_a_sheet_or_refusals(
        i in drillable(),
        x in prop::sample::select(vec![0.0, -1.0, 1e-300, 1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY]),
        which in 0..8usize,
    ) {
        let mut i = i;
        match which {
            0 => i.dry_level_m.value = x,
            1 => i.drawdown_m.high = x,
            2 => i.rate_lps.low = x,
            3 => i.method.hole_mm = x,
            4 => i.method.max_depth_m = x,
            5 => i.layers[0].bottom_m = x,
            6 => i.casings[0].outer_mm = x,
            _ => i.method.circulation = Circulation::Annulus { pipe_mm: x, flow_lps: part(x, x, x), by_hand: true },
        }
        if let Ok(sheet) = design_well(&i, &REGION.0) {
            prop_assert!(sheet.numbers().iter().all(|n| n.low.is_finite() && n.high.is_finite()));
        }
    }
}
