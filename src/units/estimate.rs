//! An uncertain quantity: what scripts, limits and reports compare.

use std::fmt;

use serde::Serialize;

use super::{Unit, standard_normal_below};

/// Half the width of a 95 % band in standard deviations.
const HALF_BAND_95: f64 = 1.959_963_984_540_054;

/// One quantity with a best value and the ends of its 95 % band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Part {
    /// The low end of the 95 % band.
    pub low: f64,
    /// The best value, between the ends.
    pub value: f64,
    /// The high end of the 95 % band.
    pub high: f64,
}

impl Part {
    /// The chance that the quantity is below `limit`: a normal with half of
    /// its weight on either side of the best value, each side as wide as its
    /// end of the band says.
    fn chance_below(&self, limit: f64) -> f64 {
        let side = if limit < self.value { self.value - self.low } else { self.high - self.value };
        if side <= 0.0 {
            return if limit > self.value { 1.0 } else { 0.0 };
        }
        standard_normal_below((limit - self.value) * HALF_BAND_95 / side)
    }
}

/// How the parts of an estimate make one quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Combine {
    /// The least of them (the nearest hazard).
    Least,
    /// The greatest of them (the worst neighbour).
    Greatest,
}

/// A number that is not finite was given where a quantity is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("not a finite number")]
pub struct NotANumber;

/// An uncertain quantity. An end that is `None` is not known to be bounded:
/// such an estimate is never surely on that side of anything. No end is ever
/// infinite or NaN.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    unit: Unit,
    low: Option<f64>,
    value: Option<f64>,
    high: Option<f64>,
    parts: Vec<Part>,
    combine: Combine,
    whole: bool,
}

impl Estimate {
    /// A quantity known exactly.
    ///
    /// # Errors
    /// When `value` is not finite.
    pub fn exact(unit: Unit, value: f64) -> Result<Self, NotANumber> {
        Self::band(unit, value, value, value)
    }

    /// A best value with the ends of its 95 % band; the ends are widened to
    /// hold the value.
    ///
    /// # Errors
    /// When a number is not finite.
    pub fn band(unit: Unit, low: f64, value: f64, high: f64) -> Result<Self, NotANumber> {
        if !(low.is_finite() && value.is_finite() && high.is_finite()) {
            return Err(NotANumber);
        }
        Ok(Self::of(unit, Combine::Least, vec![Part { low: low.min(value), value, high: high.max(value) }]))
    }

    /// A best value with a standard deviation.
    ///
    /// # Errors
    /// When a number is not finite.
    pub fn normal(unit: Unit, value: f64, sd: f64) -> Result<Self, NotANumber> {
        let half = HALF_BAND_95 * sd.abs();
        Self::band(unit, value - half, value, value + half)
    }

    /// Only bounds are known, if that.
    ///
    /// # Errors
    /// When a bound is not finite.
    pub fn bounded(unit: Unit, low: Option<f64>, high: Option<f64>) -> Result<Self, NotANumber> {
        if low.into_iter().chain(high).any(|x| !x.is_finite()) {
            return Err(NotANumber);
        }
        Ok(Self { unit, low, value: None, high, parts: Vec::new(), combine: Combine::Least, whole: false })
    }

    /// The least or the greatest of several quantities. With no part nothing
    /// is bounded.
    ///
    /// # Errors
    /// When a part is not finite.
    pub fn combined(unit: Unit, combine: Combine, parts: Vec<Part>) -> Result<Self, NotANumber> {
        if parts.iter().any(|p| !(p.low.is_finite() && p.value.is_finite() && p.high.is_finite())) {
            return Err(NotANumber);
        }
        Ok(Self::of(unit, combine, parts))
    }

    fn of(unit: Unit, combine: Combine, mut parts: Vec<Part>) -> Self {
        parts.sort_by(|a, b| {
            a.value.total_cmp(&b.value).then(a.low.total_cmp(&b.low)).then(a.high.total_cmp(&b.high))
        });
        let pick = |f: fn(&Part) -> f64| {
            let all = parts.iter().map(f);
            match combine {
                Combine::Least => all.min_by(f64::total_cmp),
                Combine::Greatest => all.max_by(f64::total_cmp),
            }
        };
        let (low, value, high) = (pick(|p| p.low), pick(|p| p.value), pick(|p| p.high));
        let whole = !parts.is_empty();
        Self { unit, low, value, high, parts, combine, whole }
    }

    /// The same, but something that was not observed might lie as low as
    /// `low` (`None`: without bound). Used for ground that was not searched.
    #[must_use]
    pub fn perhaps_down_to(mut self, low: Option<f64>) -> Self {
        let low = low.filter(|x| x.is_finite());
        let reaches_below = match (self.low, low) {
            (_, None) => true,
            (Some(mine), Some(l)) => l < mine,
            (None, Some(_)) => self.parts.is_empty(),
        };
        if reaches_below {
            self.low = low;
            self.whole = false;
        }
        self
    }

    /// The same, but something that was not observed might reach up to
    /// `high` (`None`: without bound).
    #[must_use]
    pub fn perhaps_up_to(mut self, high: Option<f64>) -> Self {
        let high = high.filter(|x| x.is_finite());
        let reaches_above = match (self.high, high) {
            (_, None) => true,
            (Some(mine), Some(h)) => h > mine,
            (None, Some(_)) => self.parts.is_empty(),
        };
        if reaches_above {
            self.high = high;
            self.whole = false;
        }
        self
    }

    /// The same with every end and value moved and scaled: `x ↦ add + by·x`.
    /// A negative `by` turns the ends round.
    #[must_use]
    pub fn scaled(&self, unit: Unit, by: f64, add: f64) -> Self {
        let go = |x: f64| add + by * x;
        let turn = by < 0.0;
        let parts = self
            .parts
            .iter()
            .map(|p| {
                let (a, b) = (go(p.low), go(p.high));
                Part { low: a.min(b), value: go(p.value), high: a.max(b) }
            })
            .collect();
        let (low, high) = if turn { (self.high, self.low) } else { (self.low, self.high) };
        let combine = match (self.combine, turn) {
            (Combine::Least, true) => Combine::Greatest,
            (Combine::Greatest, true) => Combine::Least,
            (same, false) => same,
        };
        Self {
            unit,
            low: low.map(go).filter(|x| x.is_finite()),
            value: self.value.map(go).filter(|x| x.is_finite()),
            high: high.map(go).filter(|x| x.is_finite()),
            parts,
            combine,
            whole: self.whole,
        }
    }

    /// The sum of two independent quantities: ends add end to end, which is
    /// never narrower than the truth. The chance is then that of one band.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let add = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| a + b).filter(|x| x.is_finite());
        let (low, value, high) =
            (add(self.low, other.low), add(self.value, other.value), add(self.high, other.high));
        let whole = self.whole && other.whole;
        let parts = match (whole, low, value, high) {
            (true, Some(low), Some(value), Some(high)) => vec![Part { low, value, high }],
            _ => Vec::new(),
        };
        Self { unit: self.unit, low, value, high, parts, combine: Combine::Least, whole }
    }

    /// This quantity less another.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        self.plus(&other.scaled(self.unit, -1.0, 0.0))
    }

    /// The same with no end or value below `floor` (a distance is never
    /// negative).
    #[must_use]
    pub fn at_least(mut self, floor: f64) -> Self {
        let up = |x: f64| x.max(floor);
        self.low = self.low.map(up);
        self.value = self.value.map(up);
        self.high = self.high.map(up);
        for p in &mut self.parts {
            *p = Part { low: up(p.low), value: up(p.value), high: up(p.high) };
        }
        self
    }

    /// The unit.
    pub fn unit(&self) -> Unit {
        self.unit
    }

    /// The low (for a distance the pessimistic) end of the 95 % band.
    pub fn low(&self) -> Option<f64> {
        self.low
    }

    /// The best value, where anything was observed.
    pub fn value(&self) -> Option<f64> {
        self.value
    }

    /// The high end of the 95 % band.
    pub fn high(&self) -> Option<f64> {
        self.high
    }

    /// Below `limit` even at the high end.
    pub fn surely_below(&self, limit: f64) -> bool {
        self.high.is_some_and(|h| h < limit)
    }

    /// At or below `limit` even at the high end.
    pub fn surely_at_most(&self, limit: f64) -> bool {
        self.high.is_some_and(|h| h <= limit)
    }

    /// Above `limit` even at the low end.
    pub fn surely_above(&self, limit: f64) -> bool {
        self.low.is_some_and(|l| l > limit)
    }

    /// At or above `limit` even at the low end.
    pub fn surely_at_least(&self, limit: f64) -> bool {
        self.low.is_some_and(|l| l >= limit)
    }

    /// The chance of being below `limit`; `None` where something unobserved
    /// could change the answer.
    pub fn chance_below(&self, limit: f64) -> Option<f64> {
        if !limit.is_finite() {
            return None;
        }
        if self.surely_below(limit) && self.low.is_none_or(|l| l < limit) && !self.whole {
            return Some(1.0);
        }
        if self.surely_at_least(limit) && !self.whole {
            return Some(0.0);
        }
        if !self.whole {
            return None;
        }
        let each = self.parts.iter().map(|p| p.chance_below(limit));
        Some(match self.combine {
            Combine::Least => 1.0 - each.map(|p| 1.0 - p).product::<f64>(),
            Combine::Greatest => each.product(),
        })
    }

    /// Where the quantity stands between two marks, 0 at `worst` and 100 at
    /// `best`, judged at the end nearer to `worst`; 0 where that end is not
    /// known.
    pub fn grade(&self, worst: f64, best: f64) -> f64 {
        let end = if best >= worst { self.low } else { self.high };
        let Some(end) = end else { return 0.0 };
        if (best - worst).abs() < f64::EPSILON {
            return if end >= best { 100.0 } else { 0.0 };
        }
        ((end - worst) / (best - worst) * 100.0).clamp(0.0, 100.0)
    }
}

/// `24.5 m (23.5 to 25.5 m)`, or what can be said where ends are missing.
impl fmt::Display for Estimate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let show = |x: f64| self.unit.show(x);
        match (self.low, self.value, self.high) {
            (Some(l), Some(v), Some(h)) if show(l) == show(h) => write!(f, "{}", show(v)),
            (Some(l), Some(v), Some(h)) => write!(f, "{} ({} to {})", show(v), show(l), show(h)),
            (Some(l), Some(v), None) if show(l) == show(v) => write!(f, "at least {}", show(v)),
            (Some(l), Some(v), None) => write!(f, "{}, or anything from {} up", show(v), show(l)),
            (None, Some(v), Some(h)) if show(v) == show(h) => write!(f, "at most {}", show(v)),
            (None, Some(v), Some(h)) => write!(f, "{}, or anything up to {}", show(v), show(h)),
            (None, Some(v), None) => write!(f, "about {}", show(v)),
            (Some(l), None, Some(h)) => write!(f, "{} to {}", show(l), show(h)),
            (Some(l), None, None) => write!(f, "at least {}", show(l)),
            (None, None, Some(h)) => write!(f, "at most {}", show(h)),
            (None, None, None) => write!(f, "not known"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(low: f64, value: f64, high: f64) -> Estimate {
        Estimate::band(Unit::Metre, low, value, high).unwrap()
    }

    #[test]
    fn between_its_ends_nothing_is_sure() {
        let d = band(28.0, 31.0, 34.0);
        assert!(!d.surely_below(30.0) && !d.surely_at_least(30.0));
        assert!(d.surely_at_least(28.0) && !d.surely_above(28.0));
        assert!(d.surely_at_most(34.0) && !d.surely_below(34.0));
    }

    #[test]
    fn the_chance_is_a_half_at_the_best_value() {
        let p = band(28.0, 31.0, 34.0).chance_below(31.0).unwrap();
        assert!((p - 0.5).abs() < 1e-6);
    }

    #[test]
    fn another_hazard_never_raises_the_least() {
        let part = |low, value, high| Part { low, value, high };
        let one = Estimate::combined(Unit::Metre, Combine::Least, vec![part(20.0, 22.0, 24.0)]).unwrap();
        let two = Estimate::combined(
            Unit::Metre,
            Combine::Least,
            vec![part(20.0, 22.0, 24.0), part(12.0, 23.0, 34.0)],
        )
        .unwrap();
        assert_eq!((two.low(), two.value(), two.high()), (Some(12.0), Some(22.0), Some(24.0)));
        assert!(two.chance_below(21.0) >= one.chance_below(21.0));
    }

    #[test]
    fn ground_that_was_not_searched_hides_anything() {
        let d = band(40.0, 41.0, 42.0).perhaps_down_to(Some(20.0));
        assert!(!d.surely_at_least(30.0));
        assert_eq!(d.chance_below(30.0), None);
        assert_eq!(d.chance_below(50.0), Some(1.0));
        let none = Estimate::bounded(Unit::Metre, Some(60.0), None).unwrap();
        assert!(none.surely_at_least(30.0) && !none.surely_below(1e9));
        assert_eq!(none.chance_below(30.0), Some(0.0));
    }

    #[test]
    fn no_end_is_ever_infinite() {
        assert_eq!(Estimate::exact(Unit::Metre, f64::INFINITY), Err(NotANumber));
        assert_eq!(Estimate::band(Unit::Metre, f64::NAN, 1.0, 2.0), Err(NotANumber));
    }

    #[test]
    fn a_difference_is_as_wide_as_both() {
        let d = band(8.0, 9.0, 10.0).minus(&band(1.0, 2.0, 4.0));
        assert_eq!((d.low(), d.value(), d.high()), (Some(4.0), Some(7.0), Some(9.0)));
    }
}
