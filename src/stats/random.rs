//! Random numbers of one draw (a virtual bore, a resampling), from the seed
//! and the number of the draw alone.
//!
//! Source: SplitMix64 of Steele, Lea & Flood 2014, "Fast splittable
//! pseudorandom number generators" (from memory).

const STEP: u64 = 0x9e37_79b9_7f4a_7c15;

/// The random numbers of one draw.
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// Those of a draw.
    pub fn of_draw(seed: u64, draw: u64) -> Self {
        Self(mixed(mixed(seed.wrapping_add(STEP)) ^ draw.wrapping_add(1).wrapping_mul(STEP)))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(STEP);
        mixed(self.0)
    }

    /// Between 0 and 1, never either.
    pub fn uniform(&mut self) -> f64 {
        // The upper 53 bits, in the middle of their step.
        #[allow(clippy::cast_precision_loss, reason = "53 bits are what an f64 holds")]
        let bits = (self.next() >> 11) as f64;
        (bits + 0.5) / 9_007_199_254_740_992.0
    }
}

fn mixed(mut x: u64) -> u64 {
    x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first outputs for the seed 1234567 as printed on Rosetta Code,
    /// "Pseudo-random numbers/Splitmix64" (from memory).
    #[test]
    fn the_generator_gives_its_published_numbers() {
        let mut random = Random(1_234_567);
        let first: Vec<_> = (0..5).map(|_| random.next()).collect();
        assert_eq!(
            first,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821
            ]
        );
    }

    #[test]
    fn numbers_of_different_bores_have_nothing_in_common() {
        let mean = |f: &dyn Fn(f64, f64) -> f64| {
            (0..20_000)
                .map(|bore| f(Random::of_draw(7, bore).uniform(), Random::of_draw(7, bore + 1).uniform()))
                .sum::<f64>()
                / 20_000.0
        };
        assert!((mean(&|a, _| a) - 0.5).abs() < 0.01);
        assert!((mean(&|a, b| (a - 0.5) * (b - 0.5))).abs() < 0.003);
    }
}
