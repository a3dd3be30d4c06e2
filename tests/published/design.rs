//! A whole design and its bill against figures that were published or reckoned
//! apart, by the built-in region.

use forebore::diag::{Problems, Sources};
use forebore::ground::MaterialClass;
use forebore::region::{self, Region, UNSTATED};
use forebore::survey::Method;
use forebore::units::Part;
use forebore::well::bill::{Item, PriceTable, bill};
use forebore::well::design::{
    CasingSize, Circulation, DesignFigures, DesignInputs, DesignLayer, DesignLift, DesignMethod, PackNeed,
    Sieve, SlotFit, WellDesignSheet, design_well,
};

use crate::{close, near};

fn region() -> Region {
    region::load(UNSTATED, None, &mut Sources::new(), &mut Problems::new()).unwrap()
}

fn figures() -> DesignFigures {
    DesignFigures::of(&region()).unwrap()
}

fn exactly(x: f64) -> Part {
    Part { low: x, value: x, high: x }
}

fn pipe(outer_mm: f64, inner_mm: f64) -> CasingSize {
    CasingSize { name: "pipe".to_owned(), outer_mm, inner_mm, slot_mm: 0.5, open_share: 0.08 }
}

/// Wet sand to 40 m with water at a depth that does not change, jetted by
/// hand, with no drawdown.
fn sand(level_m: f64, hole_mm: f64, casing: CasingSize) -> DesignInputs {
    DesignInputs {
        layers: vec![DesignLayer {
            top_m: 0.0,
            bottom_m: 40.0,
            classes: vec![(MaterialClass::SandWet, 1.0)],
            refuses: false,
        }],
        aquifer: 0,
        dry_level_m: exactly(level_m),
        wet_level_m: exactly(level_m),
        drawdown_m: exactly(0.0),
        rate_lps: exactly(0.3),
        hours_per_day: 8.0,
        method: DesignMethod {
            method: Method::ManualRotaryJetting,
            hole_mm,
            max_depth_m: 60.0,
            circulation: Circulation::Annulus { pipe_mm: 48.3, flow_lps: exactly(1.0), by_hand: true },
        },
        lift: DesignLift { name: "pump".to_owned(), needs_casing_mm: Some(casing.inner_mm), max_m: 45.0 },
        casings: vec![casing],
        sieve: None,
    }
}

fn design(inputs: &DesignInputs, figures: &DesignFigures) -> WellDesignSheet {
    design_well(inputs, figures).unwrap()
}

/// Common practice: 6.0 m level, 1.5 m still to fall, 1.0 m for drought, 2.0 m
/// drawdown, 1.0 m submergence, 3.0 m screen and 1.0 m sump make 15.5 m.
#[test]
fn the_depth_of_a_well() {
    let mut f = figures();
    f.lengths.submergence_m = 1.0;
    f.lengths.screen_usual_m = 3.0;
    let inputs = DesignInputs { drawdown_m: exactly(2.0), ..sand(6.0 + 1.5 + 1.0, 150.0, pipe(63.0, 57.0)) };
    close(design(&inputs, &f).pipe.depth_m.likely, 15.5, 1e-12);
}

/// US Army TI 814-01 (1998), 0.03 m/s: 63 mm, 3 m, 8 % open and half of it
/// blocked take 0.713 L/s (reckoned apart).
#[test]
fn the_rate_that_a_screen_takes() {
    let mut f = figures();
    f.lengths.screen_usual_m = 3.0;
    let entrance = design(&sand(6.0, 150.0, pipe(63.0, 57.0)), &f).entrance;
    near(entrance.rate_allowed_lps, 0.713, 1e-3);
    assert!(entrance.passes);
    // 0.3 L/s need 0.0100 m².
    near(entrance.length_needed_m.likely * 0.063 * std::f64::consts::PI * 0.08 * 0.5, 0.0100, 1e-12);
}

/// Pack of 6 m between 150 and 63 mm with a fifth of wash-out: 104.8 L.
#[test]
fn the_pack() {
    let mut f = figures();
    f.lengths.screen_usual_m = 3.5;
    let sheet = design(&sand(8.0, 150.0, pipe(63.0, 57.0)), &f);
    close(sheet.pipe.depth_m.likely - sheet.filling.pack_top_m.likely, 6.0, 1e-12);
    close(sheet.filling.pack_l.likely, 104.8, 0.05);
}

/// Alberta Agriculture, Water Wells That Last, module 6: 200 ppm in twice the
/// content of a casing of 6 in; 3.12 g of 70 % for each foot of water.
#[test]
fn chlorine_for_a_casing_of_six_inches() {
    const FOOT_M: f64 = 0.3048;
    let mut f = figures();
    f.finishing.dose_mg_l = exactly(200.0);
    f.finishing.hypochlorite_share = 0.70;
    let sheet = design(&sand(8.0, 250.0, pipe(168.3, 152.4)), &f);
    let feet = (sheet.pipe.depth_m.likely - 8.0) / FOOT_M;
    near(sheet.finishing.doses[0].amount.likely / feet, 3.12, 0.02);
    // 1.2230 imperial gallons of 4.54609 L in a foot, twice.
    near(sheet.finishing.water_l.likely / feet, 2.0 * 1.2230 * 4.546_09, 1e-3);
}

/// WHO/UNHCR (1997): 5.39 m³ at 100 mg/L take 769.7 g of 70 %; here by the
/// same strength in the water of a casing.
#[test]
fn chlorine_by_the_cubic_metre() {
    let mut f = figures();
    f.finishing.hypochlorite_share = 0.70;
    let sheet = design(&sand(8.0, 250.0, pipe(168.3, 152.4)), &f);
    let per_m3 = sheet.finishing.doses[0].amount.likely / (sheet.finishing.water_l.likely / 1000.0);
    near(per_m3, 142.86, 1e-4);
    near(per_m3 * 5.388, 769.7, 1e-3);
}

/// Ferguson & Church (2004) and Pitt (2000), reckoned apart: up a hole of
/// 120 mm around a pipe of 48.3 mm 1 L/s rises at 0.106 m/s; sand of 1 mm takes
/// 2.40 L/s in water and sinks at 0.0398 m/s in fluid of 40 s.
#[test]
fn sand_up_a_hole_of_120_mm() {
    let lift = design(&sand(8.0, 120.0, pipe(63.0, 57.0)), &figures()).drilling.lift.unwrap();
    near(lift.rise_m_per_s.likely, 0.106, 0.005);
    near(lift.in_water.needed_lps.likely, 2.40, 0.005);
    near(lift.in_thick.settling_m_per_s.likely, 0.0398, 0.01);
    // 0.106 m/s is less than twice 0.126 and more than twice 0.0398 m/s.
    let marsh = lift.marsh_needed_s.unwrap().likely;
    assert!(marsh > 26.0 && marsh < 40.0, "{marsh}");
    assert!(lift.says.contains("cannot lift grains of 1 mm in plain water"), "{}", lift.says);
}

/// Hvorslev (1951), Bulletin 36, reckoned apart: K 10 m/d, 5 m open below 2 m
/// of head, radius 0.06 m: 1.644 L/s.
#[test]
fn water_lost_into_open_sand() {
    let mut f = figures();
    // A screen of 2.5 m from 4.5 m, without sump: the hole ends at 7 m.
    f.lengths.screen_least_m = 2.5;
    f.lengths.screen_usual_m = 2.5;
    f.lengths.sump_m = 0.0;
    let sheet = design(&sand(2.0, 120.0, pipe(63.0, 57.0)), &f);
    close(sheet.pipe.depth_m.likely, 7.0, 1e-12);
    near(sheet.drilling.loss.unwrap().water_lps.likely, 1.644, 1e-3);
}

/// Reckoned apart: at 10 m under a full hole with the water table at 4 m water
/// supports the wall with 39.2 kPa, fluid of 1050 kg/m³ with 44.1 kPa.
#[test]
fn the_wall_at_ten_metres() {
    let mut f = figures();
    f.lengths.screen_usual_m = 3.5;
    f.lengths.sump_m = 1.0;
    let sheet = design(&sand(4.0, 120.0, pipe(63.0, 57.0)), &f);
    close(sheet.pipe.depth_m.likely, 10.0, 1e-12);
    near(sheet.drilling.wall.water_kpa.likely, 39.2, 2e-3);
    near(sheet.drilling.wall.thick_kpa.likely, 44.1, 2e-3);
}

/// Reckoned apart: a hole of 150 mm and 30 m holds 530.1 L, three of it 1590 L.
#[test]
fn water_for_a_hole_of_thirty_metres() {
    let mut f = figures();
    f.fluid.pits_l = 0.0;
    f.lengths.screen_usual_m = 5.0;
    let sheet = design(&sand(22.5, 150.0, pipe(63.0, 57.0)), &f);
    close(sheet.pipe.depth_m.likely, 30.0, 1e-12);
    close(sheet.drilling.hole_l.likely, 530.1, 0.1);
    close(sheet.drilling.water_l.likely, 1590.0, 1.0);
}

/// The sieved samples of the Groundwater Project's exercise 6 (printed
/// uniformity 1.96 and 4.6): one too even, one too fine to make its own pack.
#[test]
fn the_pack_of_two_sieved_samples() {
    let of = |d10, d60| {
        let sieve = Some(Sieve::new(d10, None, d60).unwrap());
        design(&DesignInputs { sieve, ..sand(8.0, 150.0, pipe(63.0, 57.0)) }, &figures()).grain
    };
    let (even, fine) = (of(0.66, 1.3), of(0.058, 0.27));
    assert_eq!((even.need, fine.need), (PackNeed::HoldsGround, PackNeed::HoldsGround));
    assert!(even.why.contains("1.97 times") && fine.why.contains("4.66 times"), "{} {}", even.why, fine.why);
    // d50 of the fine one is 0.199 mm: 4 times that, held by slots of 0.38 mm.
    assert_eq!((even.slot_fits, fine.slot_fits), (SlotFit::Fits, SlotFit::SieveFirst));
}

/// Common practice: a tenth kept back; the parts of a line are quantity and
/// price.
#[test]
fn the_bill_of_that_well_adds_up() {
    let region = region();
    let casing = CasingSize::of(&region.casings["uPVC 63 mm"]);
    let sheet = design(&sand(8.0, 150.0, casing), &figures());
    let lift = "direct-action hand pump";
    let table = PriceTable::of(&region, Method::ManualRotaryJetting, "uPVC 63 mm", lift).unwrap();
    let bill = bill(&sheet, &table).unwrap();
    let drilling = bill.lines.iter().find(|l| l.item == Item::Drilling).unwrap();
    assert_eq!(drilling.quantity.likely.to_string(), "15.5");
    let price = region.methods[&Method::ManualRotaryJetting].per_metre.value;
    assert_eq!(drilling.amount.likely.to_string(), format!("{:.2} USD", 15.5 * price));
    let sum = bill.subtotal.likely.plus(&bill.contingency.likely).unwrap();
    assert_eq!(bill.total.likely, sum);
}
