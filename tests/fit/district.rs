//! An invented district whose figures are known.

use std::fmt::Write as _;

use super::lots::Lots;

/// In a root of the depth (of the dry month), normal.
pub const ROOT: (f64, f64) = (3.0, 0.6);
pub const SUCCESS: f64 = 0.65;
pub const FLUORIDE: f64 = 0.2;
/// Natural logarithm of litres a second, normal.
pub const LN_YIELD: (f64, f64) = (-1.6, 0.5);
/// The fall from the wettest to the driest month, even between these.
pub const FALL: (f64, f64) = (2.0, 5.0);
/// Where the ground refuses: even between these.
pub const REFUSES: (f64, f64) = (4.0, 30.0);

pub const HEADINGS: &str = "lat,lon,name,day,level,wet,dry,usable,f,lps,depth,stopped\n";

pub const MAP: &str = "date = \"day\"\nwell = \"name\"\nknown_only_after = [\"depth\", \"stopped\"]\n\
    [place]\nlat = \"lat\"\nlon = \"lon\"\n\
    [depth_to_water]\ncolumn = \"level\"\nunit = \"m\"\n\
    [depth_to_water_wet]\ncolumn = \"wet\"\nunit = \"m\"\n\
    [depth_to_water_dry]\ncolumn = \"dry\"\nunit = \"m\"\n\
    [success]\nyes = { usable = [\"yes\"] }\nno = { usable = [\"no\"] }\n\
    [quality.fluoride]\ncolumn = \"f\"\nunit = \"mg/L\"\nabove = 1.5\n\
    [yield]\ncolumn = \"lps\"\nunit = \"L/s\"\n";

/// Of the depths of the holes, which here have nothing to do with the levels.
pub const BORES: &str = "[place]\nlat = \"lat\"\nlon = \"lon\"\n\
    [hole_depth]\ncolumn = \"depth\"\nunit = \"m\"\n\
    [refusal]\nyes = { stopped = [\"rock\"] }\notherwise = \"no\"\n";

/// About normal: twelve lots less six.
pub fn normal(lots: &mut Lots) -> f64 {
    (0..12).map(|_| lots.draw()).sum::<f64>() - 6.0
}

/// `villages` of `wells` each, 5 km apart, in a grid; all wells independent.
pub fn district(villages: usize, wells: usize, seed: u64) -> String {
    let mut lots = Lots::new(seed);
    let mut table = HEADINGS.to_owned();
    for i in 0..villages * wells {
        let (village, k) = (i / wells, i % wells);
        let lat = -13.0 + 0.045 * (village / 20) as f64 + 0.001 * k as f64;
        let lon = 33.0 + 0.046 * (village % 20) as f64 + 0.001 * lots.draw();
        let level = (ROOT.0 + ROOT.1 * normal(&mut lots)).powi(2) - 0.5;
        let level = level.max(0.0);
        let fall = FALL.0 + (FALL.1 - FALL.0) * lots.draw();
        let usable = if lots.draw() < SUCCESS { "yes" } else { "no" };
        let fluoride = if lots.draw() < FLUORIDE { 2.4 } else { 0.4 };
        let lps = (LN_YIELD.0 + LN_YIELD.1 * normal(&mut lots)).exp();
        let refuses = REFUSES.0 + (REFUSES.1 - REFUSES.0) * lots.draw();
        let ends = 10.0 + 30.0 * lots.draw();
        let (depth, stopped) = if refuses < ends { (refuses, "rock") } else { (ends, "deep enough") };
        writeln!(
            table,
            "{lat:.5},{lon:.5},W{i},2019-{}-{:02},{level:.2},{:.2},{level:.2},{usable},{fluoride},{lps:.3},{depth:.1},{stopped}",
            10 + i % 2,
            1 + i % 28,
            (level - fall).max(0.0),
        )
        .unwrap();
    }
    table
}
