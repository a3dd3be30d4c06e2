//! How far a chance may lie from the share that was counted.

/// Half the width of an 80 % band in standard deviations.
pub(super) const HALF_BAND_80: f64 = 1.281_551_565_544_600_4;

/// Half the width of a 95 % band in standard deviations.
pub(super) const HALF_BAND_95: f64 = 1.959_963_984_540_054;

/// Two ends between which a chance lies, both in 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChanceBand {
    /// The low end.
    pub low: f64,
    /// The high end.
    pub high: f64,
}

impl ChanceBand {
    /// Nothing is known.
    pub const ANY: ChanceBand = ChanceBand { low: 0.0, high: 1.0 };

    /// The 95 % band of a chance of which the share `share` of `n` cases was
    /// seen (Wilson 1927).
    pub fn wilson95(share: f64, n: f64) -> Self {
        Self::wilson(share, n, HALF_BAND_95)
    }

    /// The band of a chance of which the share `share` of `n` cases was seen,
    /// `z` standard deviations to either side; `n` need not be a whole number.
    ///
    /// (p + z²/2n ± z·√(p(1−p)/n + z²/4n²)) / (1 + z²/n).
    /// Source: Wilson 1927 (J. Am. Stat. Assoc. 22:209); from memory, checked
    /// by recomputation.
    pub(super) fn wilson(share: f64, n: f64, z: f64) -> Self {
        if !(n > 0.0 && share.is_finite()) {
            return Self::ANY;
        }
        let share = share.clamp(0.0, 1.0);
        let extra = z * z / n;
        let mid = (share + extra / 2.0) / (1.0 + extra);
        let half = z * (share * (1.0 - share) / n + extra / (4.0 * n)).sqrt() / (1.0 + extra);
        // Rounding must not put the share outside its own band.
        Self { low: (mid - half).clamp(0.0, share), high: (mid + half).clamp(share, 1.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(band: ChanceBand, low: f64, high: f64) {
        assert!((band.low - low).abs() < 5e-4 && (band.high - high).abs() < 5e-4, "{band:?}");
    }

    /// Recomputed from the counts of water points that had water in Murray et
    /// al. 2024: 727 of 816 hand-drilled, 90 of 148 dug.
    #[test]
    fn the_band_agrees_with_worked_counts() {
        close(ChanceBand::wilson(727.0 / 816.0, 816.0, HALF_BAND_95), 0.868, 0.911);
        close(ChanceBand::wilson(90.0 / 148.0, 148.0, HALF_BAND_95), 0.528, 0.683);
    }

    #[test]
    fn no_case_says_nothing_and_one_case_little() {
        assert_eq!(ChanceBand::wilson(1.0, 0.0, HALF_BAND_95), ChanceBand::ANY);
        close(ChanceBand::wilson(1.0, 1.0, HALF_BAND_95), 0.2065, 1.0);
    }
}
