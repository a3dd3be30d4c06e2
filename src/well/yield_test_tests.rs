//! A test made from known ground gives bounds that hold it.

use super::super::theis::Aquifer;
use super::*;

const RATE: f64 = 25.0;
const MINUTE: f64 = 1.0 / 1440.0;
const RADIUS: f64 = 0.055;

fn ground() -> Aquifer {
    Aquifer::new(6.0, 1e-3).unwrap()
}

/// Six hours of pumping and six of rest, read as a tape reads.
fn rows() -> Vec<TestRow> {
    let pumping = Pumping::stopped(RATE, 0.25).unwrap();
    let minutes = [1, 2, 4, 8, 15, 30, 60, 120, 240, 360, 362, 365, 370, 380, 400, 440, 500, 600, 720];
    let row = |minute: i32| {
        let time_day = f64::from(minute) * MINUTE;
        let drawdown = pumping.drawdown_m(&ground(), RADIUS, time_day).unwrap();
        let rate = (minute == 360).then_some(0.0);
        TestRow { time_day, level_m: Some(7.0 + drawdown), rate_m3_per_day: rate }
    };
    let start = TestRow { time_day: 0.0, level_m: Some(7.0), rate_m3_per_day: Some(RATE) };
    std::iter::once(start).chain(minutes.map(row)).collect()
}

fn test(rows: &[TestRow]) -> YieldTest {
    YieldTest::read(7.0, 0.02, rows).unwrap().unwrap()
}

#[test]
fn every_way_finds_the_ground_that_the_test_was_made_from() {
    let found = test(&rows()).transmissivities(RADIUS);
    assert_eq!(found.len(), 3, "{found:?}");
    assert!(found.iter().all(|(_, t)| (t / 6.0 - 1.0).abs() < 0.03), "{found:?}");
}

#[test]
fn the_drawdown_of_a_longer_day_lies_between_the_ends() {
    for (rate, hours) in [(10.0, 8.0), (25.0, 8.0), (40.0, 12.0), (25.0, 3.0)] {
        let truth = Pumping::steady(rate).unwrap().drawdown_m(&ground(), RADIUS, hours / 24.0).unwrap();
        let ends = test(&rows()).drawdown_m(rate, hours / 24.0, Some(6.0)).unwrap();
        assert!(ends.low <= truth && truth <= ends.high, "{rate} {hours}: {truth} {ends:?}");
        if rate <= 25.0 && hours > 6.0 {
            assert!((ends.value.unwrap() / truth - 1.0).abs() < 0.01, "{truth} {ends:?}");
        }
    }
}

#[test]
fn the_rate_for_a_fall_is_what_would_draw_down_so_much() {
    let fall = Ends { low: 4.0, value: Some(4.0), high: 4.0 };
    let rate = test(&rows()).rate_m3_per_day(fall, 8.0 / 24.0, 1.0, Some(6.0)).unwrap();
    let truth = 4.0 / Pumping::steady(1.0).unwrap().drawdown_m(&ground(), RADIUS, 8.0 / 24.0).unwrap();
    assert!(rate.low <= truth && truth <= rate.high, "{truth} {rate:?}");
    assert!((rate.value.unwrap() / truth - 1.0).abs() < 0.01, "{truth} {rate:?}");
}

#[test]
fn one_reading_the_less_or_a_deeper_one_never_promises_more() {
    let all = rows();
    let day = 8.0 / 24.0;
    let fall = Ends { low: 4.0, value: None, high: 4.0 };
    let promise = |rows: &[TestRow]| {
        let test = YieldTest::read(7.0, 0.02, rows).unwrap();
        test.map(|t| {
            (
                t.rate_m3_per_day(fall, day, 1.2, None).unwrap().low,
                t.drawdown_m(20.0, day, None).unwrap().high,
            )
        })
    };
    let (rate, drawdown) = promise(&all).unwrap();
    for i in 0..all.len() {
        let mut less = all.clone();
        less[i].level_m = None;
        let mut deeper = all.clone();
        deeper[i].level_m = deeper[i].level_m.map(|l| l + 0.7);
        let mut forgotten = all.clone();
        forgotten[i].rate_m3_per_day = None;
        for told in [less, deeper, forgotten] {
            let Some((r, d)) = promise(&told) else { continue };
            assert!(r <= rate + 1e-9 && d >= drawdown - 1e-9, "{i}: {r} {rate} {d} {drawdown}");
        }
    }
}

#[test]
fn a_step_counts_only_for_as_long_as_it_ran() {
    let row = |minute: f64, level, rate| TestRow {
        time_day: minute * MINUTE,
        level_m: Some(level),
        rate_m3_per_day: rate,
    };
    let steps = [row(0.0, 7.0, Some(10.0)), row(60.0, 8.0, Some(20.0)), row(120.0, 9.5, Some(0.0))];
    let test = YieldTest::read(7.0, 0.0, &steps).unwrap().unwrap();
    // By the second step 2.5 m at 20 m³/d in an hour; by the first 1 m at 10.
    let high = test.drawdown_m(20.0, 60.0 * MINUTE, None).unwrap().high;
    assert!((high - 2.5).abs() < 1e-9, "{high}");
    let high = test.drawdown_m(10.0, 60.0 * MINUTE, None).unwrap().high;
    assert!((high - 1.0).abs() < 1e-9, "{high}");
}

#[test]
fn the_rise_is_taken_when_the_well_stood_as_long_as_it_was_pumped() {
    let pumping = Pumping::stopped(RATE, 0.25).unwrap();
    let left = pumping.drawdown_m(&ground(), RADIUS, 0.5).unwrap();
    let greatest = pumping.drawdown_m(&ground(), RADIUS, 0.25).unwrap();
    let risen = test(&rows()).risen_pct().unwrap();
    let truth = (1.0 - left / greatest) * 100.0;
    assert!((risen.value.unwrap() - truth).abs() < 0.1 && risen.low < truth, "{risen:?} {truth}");
}

#[test]
fn a_test_without_a_stop_says_nothing_of_the_rise() {
    let mut rows = rows();
    rows.iter_mut().skip(1).for_each(|r| r.rate_m3_per_day = None);
    assert_eq!(test(&rows).risen_pct(), None);
    // And rising water is not taken for pumped water.
    assert!((test(&rows).pumped_day() - 0.25).abs() < 1e-9);
}

#[test]
fn a_test_in_which_nothing_was_pumped_is_none() {
    let still = [TestRow { time_day: 0.0, level_m: Some(7.0), rate_m3_per_day: Some(0.0) }];
    assert_eq!(YieldTest::read(7.0, 0.0, &still), Ok(None));
    assert_eq!(YieldTest::read(7.0, 0.0, &[]), Ok(None));
    assert!(YieldTest::read(f64::NAN, 0.0, &rows()).is_err());
}
