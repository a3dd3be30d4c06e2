//! What kriging promises.

use super::*;
use crate::ground::variogram::Shape;

fn sample(x: f64, y: f64, external: f64, value: f64, error_sd: f64) -> Sample {
    Sample { spot: Spot { at: [x, y], external }, value, error_sd }
}

/// Seven invented readings.
fn samples(error_sd: f64) -> Vec<Sample> {
    [
        (0.0, 0.0, 3.0, 8.0),
        (90.0, 20.0, 1.0, 6.0),
        (-40.0, 70.0, 5.0, 9.5),
        (60.0, -80.0, 2.0, 7.0),
        (-75.0, -30.0, 4.0, 11.0),
        (20.0, 110.0, 0.0, 5.0),
        (130.0, -50.0, 6.0, 8.5),
    ]
    .map(|(x, y, e, z)| sample(x, y, e, z, error_sd))
    .to_vec()
}

fn trends() -> [Trend; 6] {
    let prior = Trend::Prior { mean: 8.0, mean_variance: 4.0, slope: 0.2, slope_variance: 0.04 };
    let unknown = [Trend::Constant, Trend::Plane, Trend::External, Trend::PlaneAndExternal];
    let [a, b, c, d] = unknown;
    [Trend::known(8.0), prior, a, b, c, d]
}

fn variogram() -> Variogram {
    Variogram::of(Shape::Exponential, 1.0, 4.0, 80.0).unwrap()
}

#[test]
fn a_reading_without_error_is_met_exactly_at_its_well() {
    for trend in trends() {
        let kriging = Kriging::new(variogram(), trend, &samples(0.0)).unwrap();
        for s in samples(0.0) {
            let e = kriging.at(s.spot).unwrap();
            assert!((e.mean - s.value).abs() < 1e-9 && e.variance < 1e-9, "{trend:?} {e:?}");
        }
    }
}

#[test]
fn a_reading_with_error_is_drawn_towards_its_neighbours() {
    let kriging = Kriging::new(variogram(), Trend::known(8.0), &samples(1.0)).unwrap();
    let e = kriging.at(Spot::new([-75.0, -30.0])).unwrap();
    assert!(e.mean < 11.0 && e.mean > 9.0, "{e:?}");
    assert!(e.variance > 0.5 && e.variance < 1.0, "{e:?}");
}

#[test]
fn far_away_a_known_mean_and_the_whole_variance_return() {
    let kriging = Kriging::new(variogram(), Trend::known(8.0), &samples(0.0)).unwrap();
    let e = kriging.at(Spot::new([1e6, 0.0])).unwrap();
    assert!((e.mean - 8.0).abs() < 1e-12 && (e.variance - 5.0).abs() < 1e-12);
}

#[test]
fn without_readings_the_prior_stands() {
    let trend = Trend::Prior { mean: 8.0, mean_variance: 4.0, slope: 0.2, slope_variance: 0.04 };
    let e = Kriging::new(variogram(), trend, &[]).unwrap().at(Spot { at: [1.0, 2.0], external: 5.0 });
    let e = e.unwrap();
    assert!((e.mean - 9.0).abs() < 1e-12 && (e.variance - (5.0 + 4.0 + 0.04 * 25.0)).abs() < 1e-12);
}

#[test]
fn a_vague_prior_is_ordinary_kriging() {
    let vague = Trend::Prior { mean: 0.0, mean_variance: 1e8, slope: 0.0, slope_variance: 0.0 };
    let spot = Spot::new([30.0, 10.0]);
    let [a, b] = [vague, Trend::Constant]
        .map(|t| Kriging::new(variogram(), t, &samples(0.3)).unwrap().at(spot).unwrap());
    assert!((a.mean - b.mean).abs() < 1e-5 && (a.variance - b.variance).abs() < 1e-5);
}

#[test]
fn weights_make_the_mean_and_follow_the_trend() {
    let spot = Spot { at: [30.0, 10.0], external: 2.5 };
    for trend in [Trend::Constant, Trend::Plane, Trend::External, Trend::PlaneAndExternal] {
        let samples = samples(0.3);
        let e = Kriging::new(variogram(), trend, &samples).unwrap().at(spot).unwrap();
        let sum = |f: fn(&Sample) -> f64| samples.iter().zip(&e.weights).map(|(s, w)| w * f(s)).sum::<f64>();
        assert!((sum(|s| s.value) - e.mean).abs() < 1e-10, "{trend:?}");
        assert!((sum(|_| 1.0) - 1.0).abs() < 1e-10, "{trend:?}");
        if matches!(trend, Trend::Plane | Trend::PlaneAndExternal) {
            assert!((sum(|s| s.spot.at[0]) - 30.0).abs() < 1e-8, "{trend:?}");
        }
        if matches!(trend, Trend::External | Trend::PlaneAndExternal) {
            assert!((sum(|s| s.spot.external) - 2.5).abs() < 1e-10, "{trend:?}");
        }
    }
}

#[test]
fn leaving_out_by_one_inverse_is_leaving_out_one_by_one() {
    for trend in trends() {
        let all = samples(0.4);
        let fast = Kriging::new(variogram(), trend, &all).unwrap().leave_one_out();
        for (i, quick) in fast.iter().enumerate() {
            let left = all[i];
            let mut others = all.clone();
            others.remove(i);
            let slow = Kriging::new(variogram(), trend, &others).unwrap().at(left.spot).unwrap();
            assert!((quick.error - (left.value - slow.mean)).abs() < 1e-9, "{trend:?}");
            assert!((quick.variance - (slow.variance + 0.16)).abs() < 1e-9, "{trend:?}");
        }
    }
}

#[test]
fn a_trend_that_the_readings_leave_open_is_refused() {
    let line: Vec<Sample> = (0..5).map(|i| sample(f64::from(i), 0.0, 0.0, 1.0, 0.0)).collect();
    let try_with = |trend, samples: &[Sample]| Kriging::new(variogram(), trend, samples).err();
    assert_eq!(try_with(Trend::Plane, &line), Some(NoKriging::TrendNotSettled));
    assert_eq!(try_with(Trend::External, &line), Some(NoKriging::TrendNotSettled));
    assert_eq!(try_with(Trend::Constant, &[]), Some(NoKriging::TrendNotSettled));
    assert_eq!(try_with(Trend::Constant, &line), None);
}

#[test]
fn two_wells_at_one_spot_do_not_break_the_forecast() {
    let twice = [sample(0.0, 0.0, 0.0, 8.0, 0.0), sample(0.0, 0.0, 0.0, 9.0, 0.0)];
    let e = Kriging::new(variogram(), Trend::known(8.0), &twice).unwrap().at(Spot::new([0.0, 0.0]));
    assert!((e.unwrap().mean - 8.5).abs() < 1e-3);
}

#[test]
fn what_is_not_finite_is_refused() {
    for bad in [f64::NAN, f64::INFINITY] {
        for s in [sample(bad, 0.0, 0.0, 1.0, 0.0), sample(0.0, 0.0, 0.0, bad, 0.0)] {
            let got = Kriging::new(variogram(), Trend::Constant, &[s]).err();
            assert_eq!(got, Some(NoKriging::NotFinite));
        }
        let kriging = Kriging::new(variogram(), Trend::known(1.0), &samples(0.0)).unwrap();
        assert_eq!(kriging.at(Spot::new([bad, 0.0])), Err(NoKriging::NotFinite));
    }
    let negative = sample(0.0, 0.0, 0.0, 1.0, -0.1);
    assert!(Kriging::new(variogram(), Trend::Constant, &[negative]).is_err());
}
