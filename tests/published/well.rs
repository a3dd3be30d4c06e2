//! The hole, its screen, its fluid and its disinfection.

use forebore::well::annulus::Annulus;
use forebore::well::chlorine::{product_g, product_l, shaft_water_l};
use forebore::well::entrance::{BLOCKED_SHARE, LIMIT_M_PER_S, Screen, open_area_m2};
use forebore::well::hvorslev::OpenLength;
use forebore::well::litres_per_day;
use forebore::well::settling::{Fluid, Grains, QUARTZ_KG_M3, ferguson_church_m_per_s, marsh_viscosity_cp};
use forebore::well::theis::M3_PER_DAY_IN_LPS;
use forebore::well::uphole::Rise;

use crate::{close, near};

/// US Army TI 814-01 (1998), p. 5-16: 0.1 ft/s, 0.03 m/s. The screens are
/// reckoned apart.
#[test]
fn the_entrance_velocity() {
    close(open_area_m2(0.3, LIMIT_M_PER_S).unwrap(), 0.0100, 1e-15);
    close(LIMIT_M_PER_S, 0.1 * 0.3048, 5e-4);
    let open = Screen::new(63.0, 0.08, 0.0).unwrap();
    close(open.open_m2_per_m() * 3.0, 0.0475, 5e-5);
    near(open.rate_lps(LIMIT_M_PER_S, 3.0).unwrap(), 1.425, 5e-4);
    let blocked = Screen::new(63.0, 0.08, BLOCKED_SHARE).unwrap();
    near(blocked.rate_lps(LIMIT_M_PER_S, 3.0).unwrap(), 0.713, 1e-3);
    near(Screen::new(110.0, 0.10, 0.0).unwrap().rate_lps(LIMIT_M_PER_S, 4.0).unwrap(), 4.147, 5e-4);
    let narrow = Screen::new(50.0, 0.05, BLOCKED_SHARE).unwrap();
    near(narrow.velocity_m_per_s(0.3, 2.0).unwrap(), 0.0382, 2e-3);
    near(open_area_m2(10.0 / 60.0, LIMIT_M_PER_S).unwrap(), 0.00556, 1e-3);
}

/// π/4·(D² − d²), L/m.
#[test]
fn the_annulus() {
    for (hole, casing, litres) in
        [(150.0, 63.0, 14.554), (120.0, 63.0, 8.192), (150.0, 110.0, 8.168), (200.0, 110.0, 21.913)]
    {
        close(Annulus::new(hole, casing).unwrap().volume_l(1.0, 0.0).unwrap(), litres, 1e-3);
    }
    close(Annulus::new(150.0, 63.0).unwrap().volume_l(6.0, 0.2).unwrap(), 104.8, 0.05);
}

/// Alberta Agriculture, Water Wells That Last, module 6: 200 ppm in twice the
/// casing's content; by foot of water 1.1, 2.4 and 4.2 imperial gallons, 1.44,
/// 3.12 and 5.46 g of 70 %, 0.019, 0.042 and 0.072 L of 5.25 %, 0.008, 0.018
/// and 0.032 L of 12 %.
#[test]
fn chlorine_by_the_foot_of_casing() {
    const LITRES_PER_IMPERIAL_GALLON: f64 = 4.546_09;
    for (gallons, powder_g, weak_l, strong_l) in
        [(1.1, 1.44, 0.019, 0.008), (2.4, 3.12, 0.042, 0.018), (4.2, 5.46, 0.072, 0.032)]
    {
        let water = gallons * LITRES_PER_IMPERIAL_GALLON;
        near(product_g(200.0, water, 0.70).unwrap(), powder_g, 0.02);
        // Printed to a thousandth of a litre.
        close(product_l(200.0, water, 0.0525).unwrap(), weak_l, 1e-3);
        close(product_l(200.0, water, 0.12).unwrap(), strong_l, 1e-3);
    }
    near(shaft_water_l(6.0 * 0.0254, 0.3048).unwrap(), 18.241 * 0.3048, 1e-4);
}

/// WHO/UNHCR (1997): a well of 1.40 m with 3.5 m of water holds about 5 m³;
/// 100 mg/L of 70 % need 140 g/m³.
#[test]
fn chlorine_by_the_shaft() {
    let water = shaft_water_l(1.40, 3.5).unwrap();
    near(water, 5388.0, 0.005);
    near(product_g(100.0, 1000.0, 0.70).unwrap(), 142.9, 0.005);
    near(product_g(100.0, 1000.0, 0.70).unwrap(), 140.0, 0.025);
    near(product_g(100.0, water, 0.70).unwrap(), 769.7, 0.005);
}

/// Ferguson & Church (2004), J. Sedimentary Research 74, 933–937: R 1.65, ν
/// 1e-6 m²/s, g 9.81 m/s².
#[test]
fn sand_in_water() {
    close(ferguson_church_m_per_s(1.0, 1.65 * 9.81, 1e-6, Grains::Natural).unwrap(), 0.12628, 1e-4);
}

/// Pitt (2000): water runs 26 s and is 1 cP; 40 s at 1.05 g/cm³ is 15.75 cP,
/// in which sand of 1 mm sinks at 0.0398 m/s (reckoned apart, with the rest).
#[test]
fn sand_in_mud() {
    assert_eq!(marsh_viscosity_cp(1000.0, 26.0).unwrap(), 1.0);
    assert_eq!(marsh_viscosity_cp(1050.0, 40.0).unwrap(), 15.75);
    for (seconds, density, w, share) in [
        (26.0, 1000.0, 0.126, 0.01),
        (30.0, 1020.0, 0.079, 0.01),
        (35.0, 1030.0, 0.054, 0.01),
        (40.0, 1050.0, 0.0398, 0.01),
    ] {
        let mud = Fluid::by_marsh_funnel(density, seconds).unwrap();
        near(mud.settling_m_per_s(1.0, QUARTZ_KG_M3, Grains::Natural).unwrap(), w, share);
    }
}

/// Hole and pipe of hand rigs; reckoned apart.
#[test]
fn the_uphole_velocity() {
    let rise = Rise::between(120.0, 48.3).unwrap();
    near(rise.area_m2(), 9.477e-3, 5e-4);
    for (lps, velocity) in [(1.0, 0.106), (2.0, 0.211), (4.0, 0.422)] {
        near(rise.velocity_m_per_s(lps).unwrap(), velocity, 0.005);
    }
    near(rise.flow_lps(0.5).unwrap(), 4.74, 0.001);
    near(rise.lift(2.0, 0.12642).unwrap().needed_lps, 2.40, 0.002);
    let narrow = Rise::between(90.0, 33.7).unwrap();
    near(narrow.area_m2(), 5.470e-3, 5e-4);
    near(narrow.lift(1.0, 0.12642).unwrap().needed_lps, 1.38, 0.003);
    near(Rise::between(150.0, 60.3).unwrap().flow_lps(0.5).unwrap(), 7.41, 0.001);
}

/// Hvorslev (1951), Bulletin 36: 5 m of hole of 0.06 m radius under 2 m of
/// head; reckoned apart, L/s by K in m/d.
#[test]
fn fluid_lost_to_sand() {
    let open = OpenLength::new(5.0, 0.06).unwrap();
    for (k, lps) in [(0.1, 0.0164), (1.0, 0.1644), (10.0, 1.644), (50.0, 8.22)] {
        near(open.loss_m3_per_day(k, 2.0).unwrap() / M3_PER_DAY_IN_LPS, lps, 0.003);
    }
    near(open.loss_m3_per_day(10.0, 2.0).unwrap() / M3_PER_DAY_IN_LPS, 1.644, 0.001);
}

/// MacDonald, Barker & Davies (2008) in British Geological Survey OR/16/044:
/// 250 people at 25 L are 6.25 m³/d, 0.145 L/s or 520 L/h over 12 h.
#[test]
fn the_demand_of_a_village() {
    near(litres_per_day(0.145, 12.0), 250.0 * 25.0, 0.005);
    near(litres_per_day(520.0 / 3600.0, 12.0), 6250.0, 0.005);
}
