//! Lots for invented records.

/// Numbers in 0 to 1 that look drawn at random and are always the same.
pub struct Lots(u64);

impl Lots {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(2).wrapping_add(1))
    }

    pub fn draw(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let mixed = (self.0 >> 33) ^ (self.0 >> 11);
        (mixed % 1_000_003) as f64 / 1_000_003.0
    }
}
