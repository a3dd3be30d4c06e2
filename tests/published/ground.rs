//! Grains, seepage, water tables and salt water.

use forebore::ground::season::remaining_fall_m;
use forebore::place::distance_m;
use forebore::survey::LonLat;
use forebore::well::darcy::{self, Layer, Layered};
use forebore::well::dupuit::Strip;
use forebore::well::ghyben_herzberg::{interface_below_sea_m, interface_m};
use forebore::well::grain;
use forebore::well::water::Water;

use crate::{close, near};

const SECONDS_PER_DAY: f64 = 86_400.0;

/// A calculator's worked example of the formula of Kozeny (1927) and Carman
/// (1937): n 0.30, 0.1 mm, 10 °C; printed 2.3e-5 m/s.
#[test]
fn kozeny_and_carman() {
    let water = Water { density_kg_m3: 999.7, viscosity_pa_s: 1.307e-3 };
    let k = grain::kozeny_carman_m_per_day(0.30, 0.1, &water).unwrap() / SECONDS_PER_DAY;
    near(k, 2.297e-5, 0.001);
    near(k, 2.3e-5, 0.01);
    let at_ten = grain::kozeny_carman_m_per_day(0.30, 0.1, &Water::at(10.0).unwrap()).unwrap();
    near(at_ten / SECONDS_PER_DAY, 2.297e-5, 0.002);
}

/// Hazen (1893): C 100 and 0.2 mm are 0.04 cm/s. Exercise 6 of a textbook of
/// the Groundwater Project has 0.66 mm (good) and 0.058 mm (too fine).
#[test]
fn hazen() {
    close(grain::hazen(100.0, 0.2).unwrap().m_per_day, 34.56, 1e-10);
    let cm_per_s = |d10| grain::hazen(100.0, d10).unwrap().m_per_day * 100.0 / SECONDS_PER_DAY;
    close(cm_per_s(0.66), 0.4356, 1e-10);
    close(cm_per_s(0.058), 0.003364, 1e-10);
    assert!(grain::hazen(100.0, 0.66).unwrap().in_range);
    assert!(!grain::hazen(100.0, 0.058).unwrap().in_range);
}

/// Groundwater Project, exercise 6: printed 1.96 and 4.6. An open course
/// (iGW-I): d₁₀ 0.22, d₆₀ 1.0 mm; printed 4.5.
#[test]
fn uniformity() {
    close(grain::uniformity(0.66, 1.3).unwrap(), 1.96, 0.06);
    close(grain::uniformity(0.058, 0.27).unwrap(), 4.6, 0.06);
    close(grain::uniformity(0.22, 1.0).unwrap(), 4.5, 0.06);
}

/// An open course (iGW-I): K 1.5 m/d, 30 m by 5 km, 5 m of fall over 1.5 km;
/// printed 750 m³/d. Fetter (2001), chapter 4: K 1.2 m/d, 33 m by 7 km, 8.5 m
/// over 1.2 km; printed 1963.5 m³/d (from memory).
#[test]
fn the_discharge_of_an_aquifer() {
    let q = darcy::discharge_m3_per_day(1.5, 5.0 / 1500.0, 30.0 * 5000.0).unwrap();
    close(q, 750.0, 1e-9);
    let q = darcy::discharge_m3_per_day(1.2, (97.5 - 89.0) / 1200.0, 33.0 * 7000.0).unwrap();
    close(q, 1963.5, 1e-9);
}

/// Heath (1983), US Geological Survey Water-Supply Paper 2220: sand 60 m/d,
/// 1/1000, 0.20 and clay 1e-4 m/d, 1/10, 0.50; printed 0.3 and 2e-5 m/d (from
/// memory).
#[test]
fn the_velocity_of_groundwater() {
    close(darcy::velocity_m_per_day(60.0, 1e-3, 0.20).unwrap(), 0.3, 1e-15);
    close(darcy::velocity_m_per_day(1e-4, 0.1, 0.50).unwrap(), 2e-5, 1e-18);
}

/// An open course (iGW-I, problem 11): gravel 1.5 m, sand 2.5 m, gravel 1.5 m,
/// gravel 3.7e-3 m/s, 1 m³/d per metre at a slope of 0.001; printed along
/// 181.82 m/d (2.104e-3 m/s), sand 1.9e-4, across 3.93e-4 and at 45° 6.62e-4
/// m/s.
#[test]
fn layers() {
    let along: f64 = 1.0 / (5.5 * 0.001) / SECONDS_PER_DAY;
    near(along * SECONDS_PER_DAY, 181.82, 1e-4);
    let sand = (along * 5.5 - 3.7e-3 * 3.0) / 2.5;
    near(sand, 1.9e-4, 0.005);
    let layers = [(1.5, 3.7e-3), (2.5, sand), (1.5, 3.7e-3)];
    let layers = layers.map(|(thickness_m, conductivity)| Layer { thickness_m, conductivity });
    let both = Layered::of(&layers).unwrap();
    near(both.along, 2.104e-3, 0.005);
    near(both.across, 3.93e-4, 0.005);
    near(both.at_angle(45.0).unwrap(), 6.62e-4, 0.005);
}

/// A lecture's problem after Fetter (2001): two rivers 1000 m apart, 20 and 18
/// m, K 0.5 m/d, 5 cm of recharge a year; printed −0.05 and 0.087 m²/d, 361 m
/// and 20.9 m (from memory; more digits reckoned apart).
#[test]
fn a_water_table_with_rain() {
    let strip = Strip {
        conductivity_m_per_day: 0.5,
        length_m: 1000.0,
        near_height_m: 20.0,
        far_height_m: 18.0,
        // 15 cm of rain less 10 cm to the air, as the problem rounds the year.
        recharge_m_per_day: 0.05 / 365.0,
    };
    near(strip.flow_m2_per_day(0.0).unwrap(), -0.0495, 0.005);
    near(strip.flow_m2_per_day(1000.0).unwrap(), 0.0875, 0.005);
    let divide = strip.divide_m().unwrap().unwrap();
    near(divide, 361.3, 0.005);
    near(strip.height_m(divide).unwrap(), 20.875, 0.005);
}

/// An open course (iGW-I): 30 and 10 m, 50 m apart, K 5e-4 m/s, 0.01 m/d, at 5
/// m; printed 28.63655 with and 28.63564 m without recharge.
#[test]
fn a_water_table_between_ditches() {
    let strip = Strip {
        conductivity_m_per_day: 5e-4 * SECONDS_PER_DAY,
        length_m: 50.0,
        near_height_m: 30.0,
        far_height_m: 10.0,
        recharge_m_per_day: 0.01,
    };
    close(strip.height_m(5.0).unwrap(), 28.63655, 1e-5);
    close(Strip { recharge_m_per_day: 0.0, ..strip }.height_m(5.0).unwrap(), 28.63564, 1e-5);
    near(strip.flow_m2_per_day(5.0).unwrap() / SECONDS_PER_DAY, 0.0039977, 1e-4);
}

/// Badon Ghyben (1888) and Herzberg (1901): forty times the height, as in the
/// Encyclopedia of Hydrology and Lakes (1998).
#[test]
fn fresh_over_salt_water() {
    close(interface_m(1.0, 1000.0, 1025.0).unwrap(), 40.0, 1e-12);
    close(interface_below_sea_m(0.5).unwrap(), 20.0, 1e-12);
    close(interface_below_sea_m(1.5).unwrap(), 60.0, 1e-12);
}

/// Common practice: half of the swing is still to come after three months.
#[test]
fn the_season() {
    close(remaining_fall_m(3.0, 3.0).unwrap(), 1.5, 1e-12);
}

/// Karney (2013), Journal of Geodesy 87, 43–55: WGS84 ellipsoid, by the
/// author's library; metres from (latitude, longitude) to another.
#[test]
fn the_way_between_two_wells() {
    for ([from_lat, from_lon], [to_lat, to_lon], metres) in [
        ([-13.9626, 33.7741], [-13.9636, 33.7749], 140.4031),
        ([12.3714, -1.5197], [12.3732, -1.5197], 199.1255),
        ([9.0, 38.7], [9.001, 38.7005], 123.5126),
        ([0.0, 0.0], [0.0, 1.0], 111_319.490_8),
    ] {
        let (from, to) = (LonLat::new(from_lon, from_lat).unwrap(), LonLat::new(to_lon, to_lat).unwrap());
        close(distance_m(from, to), metres, 1e-4);
    }
}
