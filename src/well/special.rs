//! Functions of mathematics that the calculations of wells need.

/// Kₙ(x), the modified Bessel function of the second kind, for x > 0.
///
/// ∫₀^∞ exp(−x·cosh t)·cosh(nt) dt by the trapezoidal rule, whose error falls
/// faster than any power of the step for such integrals: with a step of an
/// eighth it is far below the last place.
pub(super) fn bessel_k(order: u8, x: f64) -> f64 {
    const STEP: f64 = 0.125;
    let n = f64::from(order);
    let height = |t: f64| (-x * t.cosh()).exp() * (n * t).cosh();
    let mut sum = 0.5 * height(0.0);
    // Beyond x·cosh t = 750 nothing is left to add.
    let end = (1500.0 / x).ln().clamp(0.0, 750.0) + 2.0 * STEP;
    let mut t = STEP;
    while t < end {
        sum += height(t);
        t += STEP;
    }
    sum * STEP
}

/// ln Γ(x) for x > 0: Stirling's series once x is above 15, to which smaller
/// ones are raised by Γ(x) = Γ(x + 1)/x.
pub(super) fn ln_gamma(x: f64) -> f64 {
    let (mut x, mut below) = (x, 1.0);
    while x < 15.0 {
        below *= x;
        x += 1.0;
    }
    let inverse = 1.0 / x;
    let square = inverse * inverse;
    let series = inverse
        * (1.0 / 12.0
            - square
                * (1.0 / 360.0
                    - square * (1.0 / 1260.0 - square * (1.0 / 1680.0 - square * (1.0 / 1188.0)))));
    // Half the logarithm of 2π.
    const HALF_LN_TWO_PI: f64 = 0.918_938_533_204_672_7;
    (x - 0.5) * x.ln() - x + HALF_LN_TWO_PI + series - below.ln()
}

/// Iₓ(a, b), the chance that a beta quantity is below x, for a, b > 0 and x
/// from 0 to 1: its continued fraction (Abramowitz & Stegun 1964, 26.5.8) by
/// the method of Lentz, on the side where it settles fast.
pub(super) fn beta_below(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    if x >= 1.0 {
        return 1.0;
    }
    let front = (ln_gamma(a + b) - ln_gamma(a) - ln_gamma(b) + a * x.ln() + b * (-x).ln_1p()).exp();
    let below = if x < (a + 1.0) / (a + b + 2.0) {
        front * beta_fraction(a, b, x) / a
    } else {
        1.0 - front * beta_fraction(b, a, 1.0 - x) / b
    };
    below.clamp(0.0, 1.0)
}

fn beta_fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let kept = |y: f64| if y.abs() < TINY { TINY } else { y };
    let mut c = 1.0;
    let mut d = 1.0 / kept(1.0 - (a + b) * x / (a + 1.0));
    let mut whole = d;
    // Settles in about √max(a, b) turns.
    for m in 1..10_000 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / kept(1.0 + even * d);
        c = kept(1.0 + even / c);
        whole *= c * d;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / kept(1.0 + odd * d);
        c = kept(1.0 + odd / c);
        let factor = c * d;
        whole *= factor;
        if (factor - 1.0).abs() < 1e-15 {
            break;
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reckoned to 25 places with an arbitrary-precision library, as are the
    /// others below.
    #[test]
    fn bessel_functions_are_exact_to_the_last_places() {
        for (x, k0, k1) in [
            (1e-6, 13.931_442_073_626_42, 999_999.999_992_784_3),
            (0.01, 4.721_244_730_161_095, 99.973_894_118_296_25),
            (1.0, 0.421_024_438_240_708_33, 0.601_907_230_197_234_6),
            (5.0, 0.003_691_098_334_042_594, 0.004_044_613_445_452_164),
            (20.0, 5.741_237_815_336_524e-10, 5.883_057_969_557_038e-10),
        ] {
            assert!((bessel_k(0, x) / k0 - 1.0).abs() < 1e-13, "K0({x})");
            assert!((bessel_k(1, x) / k1 - 1.0).abs() < 1e-13, "K1({x})");
        }
    }

    #[test]
    fn the_logarithm_of_gamma_is_exact_to_the_last_places() {
        for (x, ln) in [
            (0.1, 2.252_712_651_734_206),
            (0.5, 0.572_364_942_924_700_1),
            (1.5, -0.120_782_237_635_245_22),
            (3.0, std::f64::consts::LN_2),
            (10.5, 13.940_625_219_403_763),
            (100.0, 359.134_205_369_575_4),
            (1e5, 1_051_287.708_973_656_9),
        ] {
            assert!((ln_gamma(x) - ln).abs() < 1e-13 * ln.abs().max(10.0), "{x}: {}", ln_gamma(x));
        }
    }

    #[test]
    fn the_beta_distribution_agrees_with_exact_figures() {
        for (a, b, x, below) in [
            (4.0, 1.0, 0.6, 0.1296),
            (6.0, 4.0, 0.5, 0.253_906_25),
            (0.5, 0.5, 0.3, 0.369_010_119_565_545_4),
            (30.0, 70.0, 0.25, 0.135_814_904_283_427_44),
            (200.0, 300.0, 0.41, 0.677_628_164_772_178_9),
        ] {
            assert!((beta_below(a, b, x) - below).abs() < 1e-12, "I({x}; {a}, {b})");
        }
    }
}
