//! The standard normal distribution: its density and its quantiles.

/// Rational approximations of Wichura 1988, "Algorithm AS 241: the percentage
/// points of the normal distribution", Applied Statistics 37(3), routine
/// PPND16 (coefficients from memory; checked in the tests below).
const MIDDLE: ([f64; 8], [f64; 8]) = (
    [
        3.387_132_872_796_366_6,
        1.331_416_678_917_843_8e2,
        1.971_590_950_306_551_4e3,
        1.373_169_376_550_946e4,
        4.592_195_393_154_987e4,
        6.726_577_092_700_87e4,
        3.343_057_558_358_813e4,
        2.509_080_928_730_122_7e3,
    ],
    [
        1.0,
        4.231_333_070_160_091e1,
        6.871_870_074_920_579e2,
        5.394_196_021_424_751e3,
        2.121_379_430_158_66e4,
        3.930_789_580_009_271e4,
        2.872_908_573_572_194_3e4,
        5.226_495_278_852_854e3,
    ],
);
const TAIL: ([f64; 8], [f64; 8]) = (
    [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        2.417_807_251_774_506e-1,
        2.272_384_498_926_918_4e-2,
        7.745_450_142_783_414e-4,
    ],
    [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        6.897_673_349_851e-1,
        1.481_039_764_274_800_8e-1,
        1.519_866_656_361_645_7e-2,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
);
const FAR_TAIL: ([f64; 8], [f64; 8]) = (
    [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        2.965_605_718_285_048_7e-1,
        2.653_218_952_657_612_4e-2,
        1.242_660_947_388_078_4e-3,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    [
        1.0,
        5.998_322_065_558_88e-1,
        1.369_298_809_227_358e-1,
        1.487_536_129_085_061_5e-2,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_8e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_8e-15,
    ],
);

fn ratio((top, bottom): &([f64; 8], [f64; 8]), x: f64) -> f64 {
    let poly = |c: &[f64; 8]| c.iter().rev().fold(0.0, |sum, c| sum * x + c);
    poly(top) / poly(bottom)
}

/// The value below which a standard normal quantity lies with the chance `p`.
///
/// Good to some 1e-15 of the value. Chances at or beyond 0 and 1 give the
/// quantile of the smallest chance that can be told from them (about −37.5
/// and +8.2), so that no infinity arises; NaN gives the median.
pub fn normal_quantile(p: f64) -> f64 {
    let p = if p.is_nan() { 0.5 } else { p.clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON / 2.0) };
    let from_middle = p - 0.5;
    if from_middle.abs() <= 0.425 {
        return from_middle * ratio(&MIDDLE, 0.180_625 - from_middle * from_middle);
    }
    let tail = if from_middle < 0.0 { p } else { 1.0 - p };
    let r = (-tail.ln()).sqrt();
    let size = if r <= 5.0 { ratio(&TAIL, r - 1.6) } else { ratio(&FAR_TAIL, r - 5.0) };
    if from_middle < 0.0 { -size } else { size }
}

/// The density of the standard normal distribution.
pub fn normal_density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::standard_normal_below;

    /// Percentage points as printed in tables of the normal distribution to
    /// the digits given.
    #[test]
    fn quantiles_agree_with_the_tables() {
        let table = [
            (0.5, 0.0),
            (0.75, 0.674_489_750_196_081_7),
            (0.9, 1.281_551_565_544_600_4),
            (0.975, 1.959_963_984_540_054),
            (0.995, 2.575_829_303_548_901),
            (0.999_9, 3.719_016_485_455_709),
        ];
        for (p, z) in table {
            assert!((normal_quantile(p) - z).abs() < 1e-12, "{p}");
            assert!((normal_quantile(1.0 - p) + z).abs() < 1e-11, "{p}");
        }
        assert!((normal_quantile(1e-20) + 9.262_340_089_798_408).abs() < 1e-12);
    }

    #[test]
    fn quantiles_turn_chances_round() {
        for k in 1..1000 {
            let p = f64::from(k) / 1000.0;
            assert!((standard_normal_below(normal_quantile(p)) - p).abs() < 3e-7, "{p}");
        }
    }

    #[test]
    fn no_chance_gives_an_infinite_quantile() {
        for p in [0.0, 1.0, -1.0, 2.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!(normal_quantile(p).is_finite(), "{p}");
        }
    }

    #[test]
    fn the_density_is_the_slope_of_the_chance() {
        let slope = (standard_normal_below(0.71) - standard_normal_below(0.69)) / 0.02;
        assert!((normal_density(0.7) - slope).abs() < 1e-4);
    }
}
