//! Transmissivity and storativity from the readings of a pumping test, its
//! recovery included, by least squares.
//!
//! Each reading is the drawdown s (m) at a distance r (m) and a time t (d)
//! under a known pumping; the reckoned drawdown is that of
//! [`Pumping`] by Theis (1935). Sought are ln T and
//! ln S, so that neither can turn negative, and in a test by steps also the
//! well's own loss C (d²/m⁵): C·Q² is added to the drawdown in the well
//! (Jacob 1947, Trans. ASCE 112, 1047–1070; from memory). Loss that grows with Q and not
//! with its square cannot be told from S in the pumped well: it makes S
//! absurd and leaves T as it is.
//!
//! The standard errors come from the scatter about the curve alone. Ground
//! that is not wide, even and confined makes a greater error that no fit
//! shows: three ways of reading one clean test gave 370 to 480 m²/d
//! (Oude Korendijk, Kruseman & de Ridder 1990). Report T to one figure.

use std::f64::consts::PI;

use super::least_squares::{Settled, Unsettled, settle};
use super::steps::Pumping;
use super::theis::{Aquifer, well_function};
use crate::units::OutOfRange;
use crate::units::range::{finite, positive};

/// One reading of a level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawdownReading {
    /// From the pumped well; its own radius where it was read itself.
    pub distance_m: f64,
    /// Since pumping began.
    pub time_day: f64,
    /// Below the level at rest.
    pub drawdown_m: f64,
}

/// What the readings say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TheisFit {
    /// T, m²/d.
    pub transmissivity_m2_per_day: f64,
    /// S. In the pumped well its loss hides in here, and it may come out
    /// absurd.
    pub storativity: f64,
    /// C, d²/m⁵; 0 where it was not sought. Below 0 for a well that opens as
    /// it is pumped harder.
    pub well_loss_day2_per_m5: f64,
    /// The standard error of ln T: nearly the relative error of T.
    pub ln_transmissivity_se: f64,
    /// The standard error of ln S.
    pub ln_storativity_se: f64,
    /// The standard error of C; 0 where it was not sought.
    pub well_loss_se_day2_per_m5: f64,
    /// Root mean square of the distances of the readings from the curve.
    pub rmse_m: f64,
    /// How many readings it rests on.
    pub readings: usize,
}

impl TheisFit {
    /// The aquifer of the fit.
    ///
    /// # Errors
    /// When the storativity is not that of any aquifer.
    pub fn aquifer(&self) -> Result<Aquifer, OutOfRange> {
        Aquifer::new(self.transmissivity_m2_per_day, self.storativity)
    }
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoFit {
    /// A figure cannot be used.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// There are no more readings than parameters.
    #[error("{readings} readings are too few to find {parameters} figures; take {} or more", parameters + 1)]
    TooFew {
        /// How many there are.
        readings: usize,
        /// How many figures are sought.
        parameters: usize,
    },
    /// Nothing was pumped.
    #[error("nothing was pumped before the last reading")]
    NotPumped,
    /// The readings do not say what is sought.
    #[error("the readings do not tell transmissivity and storativity apart")]
    NotTold,
    /// The well's own loss is sought from a test at one rate.
    #[error("the well's own loss shows only where readings are taken at two rates or more")]
    OneRate,
}

/// Fits transmissivity and storativity.
///
/// # Errors
/// When a figure is out of range, there are too few readings, or they do not
/// say what is sought.
pub fn fit_theis(pumping: &Pumping, readings: &[DrawdownReading]) -> Result<TheisFit, NoFit> {
    let test = Test::new(pumping, readings)?;
    let start = test.best_of_a_grid()?;
    let fit = settle(start, |[t, s]| test.residuals(*t, *s, 0.0)).map_err(|e| test.said(e, 2))?;
    let (Settled { parameters: [t, s], .. }, [t_se, s_se]) = (fit, fit.errors);
    test.done([t, s, 0.0], [t_se, s_se, 0.0], fit.rmse)
}

/// Fits transmissivity, storativity and the well's own loss, for readings in
/// the pumped well at two rates or more.
///
/// # Errors
/// As [`fit_theis`], and when all readings are of one rate.
pub fn fit_theis_with_well_loss(pumping: &Pumping, readings: &[DrawdownReading]) -> Result<TheisFit, NoFit> {
    let test = Test::new(pumping, readings)?;
    let mut rates: Vec<f64> =
        readings.iter().map(|r| pumping.rate_just_before_m3_per_day(r.time_day)).collect();
    rates.retain(|q| *q > 0.0);
    rates.sort_by(f64::total_cmp);
    rates.dedup();
    if rates.len() < 2 {
        return Err(NoFit::OneRate);
    }
    let [t, s] = test.best_of_a_grid()?;
    // Counted in the greatest drawdown at the greatest rate.
    let unit = test.greatest_drawdown_m / pumping.greatest_rate_m3_per_day().powi(2);
    let fit =
        settle([t, s, 0.0], |[t, s, c]| test.residuals(*t, *s, c * unit)).map_err(|e| test.said(e, 3))?;
    let (Settled { parameters: [t, s, c], .. }, [t_se, s_se, c_se]) = (fit, fit.errors);
    test.done([t, s, c * unit], [t_se, s_se, c_se * unit], fit.rmse)
}

struct Test<'a> {
    pumping: &'a Pumping,
    readings: &'a [DrawdownReading],
    greatest_drawdown_m: f64,
}

impl<'a> Test<'a> {
    fn new(pumping: &'a Pumping, readings: &'a [DrawdownReading]) -> Result<Self, NoFit> {
        let (mut greatest_drawdown_m, mut pumped) = (0.0f64, false);
        for reading in readings {
            positive("the distance of a reading (m)", reading.distance_m)?;
            let time = finite("the time of a reading (d)", reading.time_day)?;
            let drawdown = finite("the drawdown of a reading (m)", reading.drawdown_m)?;
            greatest_drawdown_m = greatest_drawdown_m.max(drawdown);
            pumped |= pumping.pumped_before(time);
        }
        if !pumped {
            return Err(NoFit::NotPumped);
        }
        positive("the greatest drawdown (m)", greatest_drawdown_m)?;
        Ok(Self { pumping, readings, greatest_drawdown_m })
    }

    /// Reckoned minus read.
    fn residuals(&self, ln_t: f64, ln_s: f64, well_loss: f64) -> Option<Vec<f64>> {
        let (transmissivity, storativity) = (ln_t.exp(), ln_s.exp());
        let per_w = 1.0 / (4.0 * PI * transmissivity);
        let residual = |reading: &DrawdownReading| {
            let reach = reading.distance_m.powi(2) * storativity / (4.0 * transmissivity);
            let fall = self.pumping.superpose(reading.time_day, |since| well_function(reach / since)).ok()?;
            // A step that begins at the very moment of a reading has not yet
            // shown, in the ground or in the well.
            let loss = well_loss * self.pumping.rate_just_before_m3_per_day(reading.time_day).powi(2);
            Some(per_w * fall + loss - reading.drawdown_m).filter(|r| r.is_finite())
        };
        self.readings.iter().map(residual).collect()
    }

    /// The best of a coarse grid over everything that ground can be; the
    /// search for the least squares then starts in the right valley.
    fn best_of_a_grid(&self) -> Result<[f64; 2], NoFit> {
        const TRANSMISSIVITIES: i32 = 24;
        const STORATIVITIES: i32 = 16;
        let mut best: Option<(f64, [f64; 2])> = None;
        // T 0.001 to 50,000 m²/d, S 1e-7 to 0.5, in even steps of logarithms.
        for i in 0..=TRANSMISSIVITIES {
            let ln_t = even(0.001, 50_000.0, i, TRANSMISSIVITIES);
            for j in 0..=STORATIVITIES {
                let ln_s = even(1e-7, 0.5, j, STORATIVITIES);
                let Some(residuals) = self.residuals(ln_t, ln_s, 0.0) else { continue };
                let squares: f64 = residuals.iter().map(|r| r * r).sum();
                if best.is_none_or(|(fewest, _)| squares < fewest) {
                    best = Some((squares, [ln_t, ln_s]));
                }
            }
        }
        best.map(|(_, at)| at).ok_or(NoFit::NotTold)
    }

    fn said(&self, why: Unsettled, parameters: usize) -> NoFit {
        match why {
            Unsettled::TooFew => NoFit::TooFew { readings: self.readings.len(), parameters },
            Unsettled::BadStart | Unsettled::NotTold => NoFit::NotTold,
        }
    }

    fn done(
        &self,
        [t, s, c]: [f64; 3],
        [t_se, s_se, c_se]: [f64; 3],
        rmse_m: f64,
    ) -> Result<TheisFit, NoFit> {
        Ok(TheisFit {
            transmissivity_m2_per_day: positive("the transmissivity (m²/d)", t.exp())?,
            storativity: positive("the storativity", s.exp())?,
            well_loss_day2_per_m5: finite("the well loss (d²/m⁵)", c)?,
            ln_transmissivity_se: t_se,
            ln_storativity_se: s_se,
            well_loss_se_day2_per_m5: finite("the error of the well loss (d²/m⁵)", c_se)?,
            rmse_m,
            readings: self.readings.len(),
        })
    }
}

/// The logarithm of step `i` of `n` from `low` to `high`.
fn even(low: f64, high: f64, i: i32, n: i32) -> f64 {
    low.ln() + (high.ln() - low.ln()) * f64::from(i) / f64::from(n)
}

#[cfg(test)]
mod tests {
    use super::super::steps::Step;
    use super::*;

    /// Two steps of pumping and a recovery, read in the well itself.
    fn made(transmissivity: f64, storativity: f64, loss: f64) -> (Pumping, Vec<DrawdownReading>) {
        let aquifer = Aquifer::new(transmissivity, storativity).unwrap();
        let steps = [(0.0, 10.0), (0.125, 20.0), (0.25, 0.0)];
        let steps = steps.map(|(from_day, rate_m3_per_day)| Step { from_day, rate_m3_per_day });
        let pumping = Pumping::new(steps.to_vec()).unwrap();
        let after = |from: f64| (0..8).map(move |i| from + 0.002 * f64::from(1 + i * i));
        let read = |time_day| DrawdownReading {
            distance_m: 0.06,
            time_day,
            drawdown_m: pumping.drawdown_m(&aquifer, 0.06, time_day).unwrap()
                + loss * pumping.rate_m3_per_day(time_day).powi(2),
        };
        let readings = after(0.0).chain(after(0.125)).chain(after(0.25)).map(read).collect();
        (pumping, readings)
    }

    #[test]
    fn a_made_test_gives_back_what_it_was_made_with() {
        for (t, s) in [(0.5, 0.1), (5.0, 1e-3), (300.0, 1e-5)] {
            let (pumping, readings) = made(t, s, 0.0);
            let fit = fit_theis(&pumping, &readings).unwrap();
            assert!((fit.transmissivity_m2_per_day / t - 1.0).abs() < 1e-6, "{fit:?}");
            assert!((fit.storativity / s - 1.0).abs() < 1e-4 && fit.rmse_m < 1e-6, "{fit:?}");
        }
    }

    #[test]
    fn the_loss_of_the_well_is_told_from_the_ground_by_a_second_rate() {
        let (pumping, mut readings) = made(5.0, 1e-3, 0.002);
        // As a tape reads.
        readings.iter_mut().for_each(|r| r.drawdown_m = (r.drawdown_m * 100.0).round() / 100.0);
        let fit = fit_theis_with_well_loss(&pumping, &readings).unwrap();
        assert!((fit.well_loss_day2_per_m5 / 0.002 - 1.0).abs() < 0.05, "{fit:?}");
        assert!((fit.transmissivity_m2_per_day / 5.0 - 1.0).abs() < 0.01, "{fit:?}");
    }

    #[test]
    fn the_loss_of_the_well_is_not_made_up_from_one_rate() {
        let (_, readings) = made(5.0, 1e-3, 0.0);
        let pumping = Pumping::stopped(20.0, 0.25).unwrap();
        assert_eq!(fit_theis_with_well_loss(&pumping, &readings), Err(NoFit::OneRate));
    }

    #[test]
    fn loss_that_grows_with_the_rate_spoils_storativity_and_not_transmissivity() {
        let (pumping, mut readings) = made(5.0, 1e-3, 0.0);
        readings.iter_mut().for_each(|r| r.drawdown_m += 0.05 * pumping.rate_m3_per_day(r.time_day));
        let fit = fit_theis(&pumping, &readings).unwrap();
        assert!((fit.transmissivity_m2_per_day / 5.0 - 1.0).abs() < 1e-3, "{fit:?}");
        assert!(fit.storativity < 1e-3 / 10.0, "{fit:?}");
    }

    #[test]
    fn scatter_widens_the_errors_and_they_hold_the_truth() {
        let (pumping, mut readings) = made(5.0, 1e-3, 0.0);
        for (i, reading) in readings.iter_mut().enumerate() {
            reading.drawdown_m += [0.02, -0.03, 0.01, 0.0, -0.01][i % 5];
        }
        let fit = fit_theis(&pumping, &readings).unwrap();
        let off = (fit.transmissivity_m2_per_day / 5.0).ln().abs();
        assert!(fit.ln_transmissivity_se > 1e-3 && off < 3.0 * fit.ln_transmissivity_se, "{fit:?}");
    }

    #[test]
    fn tests_that_say_nothing_are_refused() {
        let (pumping, readings) = made(5.0, 1e-3, 0.0);
        assert!(matches!(fit_theis(&pumping, &readings[..2]), Err(NoFit::TooFew { .. })));
        assert_eq!(fit_theis(&pumping, &[]), Err(NoFit::NotPumped));
        assert_eq!(fit_theis(&Pumping::steady(0.0).unwrap(), &readings), Err(NoFit::NotPumped));
        let mut bad = readings.clone();
        bad[3].drawdown_m = f64::NAN;
        assert!(matches!(fit_theis(&pumping, &bad), Err(NoFit::OutOfRange(_))));
        let still = readings.iter().map(|r| DrawdownReading { drawdown_m: 0.0, ..*r }).collect::<Vec<_>>();
        assert!(matches!(fit_theis(&pumping, &still), Err(NoFit::OutOfRange(_))));
    }
}
