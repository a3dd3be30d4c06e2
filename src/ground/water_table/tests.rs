//! What the forecast of the depth to water promises.

use super::*;
use crate::stats::normal_quantile;
use proptest::prelude::*;

fn prior() -> WaterTablePrior {
    WaterTablePrior { mean_m: 8.0, mean_sd_m: 2.0, sill_m2: 6.0, range_m: 500.0, nugget_m2: 2.0 }
}

fn reading(east_m: f64, north_m: f64, depth_m: f64, error_sd_m: f64) -> Reading {
    Reading { east_m, north_m, depth_m, error_sd_m, elevation_m: None }
}

const PEG: Place = Place { east_m: 0.0, north_m: 0.0, elevation_m: None };

fn at_peg(readings: &[Reading]) -> WaterTable {
    depth_to_water(&prior(), readings, PEG, Options::default()).unwrap()
}

/// Numbers between 0 and 1 that look drawn: multiples of the golden section
/// and of √2, mixed.
struct Drawn(u64);

impl Drawn {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        normal_quantile(self.even())
    }
}

/// An invented field of 12 m ± 5 m over 20 km by 20 km, of whose variance
/// `share` is shared by wells near each other; `gross` of the readings are
/// anything up to 120 m.
fn invented(wells: usize, share: f64, gross: f64, seed: u64) -> Vec<Reading> {
    let mut draw = Drawn(seed);
    let waves: Vec<[f64; 3]> = (0..60)
        .map(|_| [draw.normal() / 2500.0, draw.normal() / 2500.0, std::f64::consts::TAU * draw.even()])
        .collect();
    (0..wells)
        .map(|_| {
            let (x, y) = (20_000.0 * draw.even(), 20_000.0 * draw.even());
            let wave: f64 = waves.iter().map(|[a, b, c]| (a * x + b * y + c).cos()).sum();
            let off = share.sqrt() * wave / 30.0_f64.sqrt() + (1.0 - share).sqrt() * draw.normal();
            let depth = if draw.even() < gross { 120.0 * draw.even() } else { 12.0 + 5.0 * off };
            reading(x, y, depth.max(0.0), 0.2)
        })
        .collect()
}

fn learn(readings: &[Reading]) -> WaterTableModel {
    WaterTableModel::learn(&prior(), readings, Options::default()).unwrap()
}

#[test]
fn without_wells_the_prior_returns() {
    let w = at_peg(&[]);
    assert!((w.mean_m - 8.0).abs() < 0.03, "{w:?}");
    assert!((w.sd_m - 12.0_f64.sqrt()).abs() < 0.03, "{w:?}");
    assert!(w.median_m < w.mean_m && w.weights.is_empty());
    assert!(w.variance_removed.abs() < 1e-12);
    assert_eq!(w.basis, Basis::Prior);
}

#[test]
fn a_region_given_as_a_band_is_kept() {
    let band = WaterTablePrior::of_band(2.0, 8.0, 22.0, 300.0).unwrap();
    let w = depth_to_water(&band, &[], PEG, Options::default()).unwrap();
    assert!((w.median_m - 8.0).abs() < 0.1, "{w:?}");
    assert!((w.band95_m[1] - 22.0).abs() < 0.1, "{w:?}");
    assert!(w.band95_m[0] <= 2.0 && w.band95_m[0] > 0.0, "{w:?}");
    for (low, mid, high) in [(3.0, 2.0, 5.0), (2.0, 2.0, 2.0), (-1.0, 2.0, 5.0), (1.0, 2.0, f64::NAN)] {
        assert_eq!(WaterTablePrior::of_band(low, mid, high, 300.0), Err(BadWaterTable::Prior));
    }
}

#[test]
fn a_trial_bore_at_the_peg_is_believed() {
    let w = at_peg(&[reading(0.0, 0.0, 13.0, 0.0), reading(900.0, 0.0, 4.0, 0.0)]);
    assert!((w.median_m - 13.0).abs() < 1e-6 && w.sd_m < 1e-3, "{w:?}");
    assert_eq!(w.weights[0].reading, 0);
    let beside = at_peg(&[reading(3.0, 0.0, 13.0, 0.1)]);
    assert!((beside.median_m - 13.0).abs() < 0.5 && beside.sd_m < 1.0, "{beside:?}");
}

#[test]
fn a_near_well_counts_more_than_a_far_one() {
    let w = at_peg(&[reading(1500.0, 0.0, 14.0, 0.2), reading(100.0, 0.0, 4.0, 0.2)]);
    assert_eq!(w.weights[0].reading, 1);
    assert!(w.median_m < 7.0 && w.variance_removed > 0.2, "{w:?}");
    assert_eq!(w.basis, Basis::Region);
}

#[test]
fn wells_beyond_the_range_still_tell_the_district() {
    let far: Vec<Reading> =
        (0..10).map(|k| reading(20_000.0 + 3000.0 * f64::from(k), 0.0, 14.0, 0.2)).collect();
    let w = at_peg(&far);
    assert!(w.median_m > 10.5 && w.median_m < 14.0, "{w:?}");
    let certain = WaterTablePrior { mean_sd_m: 0.0, ..prior() };
    let w = depth_to_water(&certain, &far, PEG, Options::default()).unwrap();
    assert!((w.mean_m - 8.0).abs() < 0.05, "{w:?}");
}

#[test]
fn an_uncertain_reading_counts_less() {
    let sd = |error| at_peg(&[reading(100.0, 0.0, 4.0, error)]).sd_m;
    let weight = |error| at_peg(&[reading(100.0, 0.0, 4.0, error)]).weights[0].weight;
    assert!(sd(0.1) < sd(1.0) && sd(1.0) < sd(3.0));
    assert!(weight(0.1) > weight(1.0) && weight(1.0) > weight(3.0));
}

#[test]
fn chances_and_quantiles_turn_each_other_round() {
    let w = at_peg(&[reading(200.0, 0.0, 2.0, 0.2)]);
    for p in [0.05, 0.3, 0.5, 0.8, 0.99] {
        assert!((w.chance_shallower(w.quantile_m(p)) - p).abs() < 1e-4, "{p}");
    }
    assert_eq!((w.chance_shallower(0.0), w.chance_shallower(f64::NAN)), (0.0, 0.0));
}

#[test]
fn shallow_water_is_never_above_ground() {
    let shallow: Vec<Reading> = (0..6).map(|k| reading(60.0 * f64::from(k + 1), 0.0, -0.2, 0.1)).collect();
    let w = at_peg(&shallow);
    assert!(w.band95_m[0] >= 0.0 && w.band95_m[0] < w.band80_m[0] && w.median_m < 2.5, "{w:?}");
}

#[test]
fn wells_of_one_spot_that_differ_are_as_uncertain_as_they_differ() {
    let w = at_peg(&[reading(0.0, 0.0, 4.0, 0.0), reading(0.2, 0.1, 12.0, 0.0)]);
    assert!(w.median_m > 6.0 && w.median_m < 9.0 && w.sd_m > 1.5, "{w:?}");
}

#[test]
fn one_gross_error_moves_the_forecast_little() {
    let ring = |depth: f64| {
        let mut wells: Vec<Reading> = (0..8)
            .map(|k| {
                let (sin, cos) = f64::from(k).sin_cos();
                reading(300.0 * cos, 300.0 * sin, 7.0 + 0.3 * f64::from(k % 3), 0.2)
            })
            .collect();
        wells[3].depth_m = depth;
        at_peg(&wells).median_m
    };
    assert!((ring(80.0) - ring(7.0)).abs() < 1.5, "{} {}", ring(80.0), ring(7.0));
}

#[test]
fn a_field_that_neighbours_share_is_learnt() {
    let wells = invented(150, 0.8, 0.0, 3);
    let model = learn(&wells);
    let skill = model.skill().unwrap();
    assert_eq!(model.basis(), Basis::Learnt);
    assert!(skill.carries_skill && skill.wells == 150);
    assert!(skill.mae_m < 0.8 * skill.mae_median_m && skill.mae_m <= skill.mae_idw8_m, "{skill:?}");
    assert!((0.75..=0.85).contains(&skill.coverage80), "{skill:?}");
    let (share, range_m) = model.nearness();
    assert!(share > 0.5 && range_m > 700.0, "{share} {range_m}");
}

#[test]
fn where_neighbours_tell_nothing_the_forecast_is_the_scatter_of_all() {
    let wells = invented(120, 0.0, 0.0, 1);
    let model = learn(&wells);
    let skill = model.skill().unwrap();
    assert_eq!(model.basis(), Basis::Pooled);
    assert!(!skill.carries_skill);
    assert!((0.75..=0.85).contains(&skill.coverage80), "{skill:?}");
    let w = model.at(Place { east_m: 10_000.0, north_m: 10_000.0, elevation_m: None }).unwrap();
    assert!((w.median_m - 12.0).abs() < 1.5, "{w:?}");
    let mut depths: Vec<f64> = wells.iter().map(|r| r.depth_m).collect();
    depths.sort_by(f64::total_cmp);
    assert!((w.band80_m[0] - depths[12]).abs() < 1.5 && (w.band80_m[1] - depths[107]).abs() < 1.5, "{w:?}");
}

#[test]
fn gross_errors_do_not_spoil_what_is_learnt() {
    let wells = invented(150, 0.8, 0.06, 3);
    let (clean, spoilt) = (learn(&invented(150, 0.8, 0.0, 3)), learn(&wells));
    let place = Place { east_m: 9_000.0, north_m: 11_000.0, elevation_m: None };
    let (a, b) = (clean.at(place).unwrap(), spoilt.at(place).unwrap());
    assert!((a.median_m - b.median_m).abs() < 2.0, "{a:?} {b:?}");
    assert!(spoilt.skill().unwrap().mae_m < spoilt.skill().unwrap().mae_idw8_m);
}

#[test]
fn the_order_of_the_wells_changes_nothing() {
    let wells = invented(40, 0.8, 0.03, 5);
    let turned: Vec<Reading> = wells.iter().rev().copied().collect();
    let place = Place { east_m: 9_000.0, north_m: 11_000.0, elevation_m: None };
    let [a, b] = [wells, turned].map(|w| learn(&w).at(place).unwrap());
    assert!((a.median_m - b.median_m).abs() < 1e-9 && (a.sd_m - b.sd_m).abs() < 1e-9);
}

#[test]
fn leaving_a_block_out_is_not_seeing_it() {
    let wells = invented(30, 0.8, 0.0, 6);
    let model = learn(&wells);
    let [east_m, north_m] = [wells[7].east_m, wells[7].north_m];
    let place = Place { east_m, north_m, elevation_m: None };
    let with = model.at(place).unwrap();
    let without = model.at_without(place, |i| i == 7).unwrap();
    assert!((with.median_m - wells[7].depth_m).abs() < 0.5, "{with:?}");
    assert!(without.sd_m > 5.0 * with.sd_m && without.weights.iter().all(|w| w.reading != 7));
}

/// By chance wells near each other look alike: about one table in twenty.
#[test]
fn skill_is_seldom_claimed_where_there_is_none() {
    let claimed =
        (10..20).filter(|seed| learn(&invented(60, 0.0, 0.0, *seed)).skill().unwrap().carries_skill);
    assert!(claimed.count() <= 2);
}

/// Wells on hills and in valleys, the water level as the ground would have
/// it if it rose half as steeply.
fn hilly(wells: usize) -> Vec<Reading> {
    let mut draw = Drawn(11);
    (0..wells)
        .map(|_| {
            let (x, y, height) = (20_000.0 * draw.even(), 20_000.0 * draw.even(), 30.0 * draw.even());
            let depth = 3.0 + 0.5 * height + 0.7 * draw.normal();
            Reading { elevation_m: Some(500.0 + height), ..reading(x, y, depth.max(0.2), 0.2) }
        })
        .collect()
}

#[test]
fn the_depth_follows_the_elevation_where_every_well_has_one() {
    let wells = hilly(60);
    let flat: Vec<Reading> = wells.iter().map(|r| Reading { elevation_m: None, ..*r }).collect();
    let (with, without) = (learn(&wells), learn(&flat));
    assert_eq!((with.basis(), without.basis()), (Basis::Learnt, Basis::Pooled));
    let mae =
        |m: &WaterTableModel| m.left_out().iter().map(|l| (l.depth_m - l.median_m).abs()).sum::<f64>() / 60.0;
    assert!(mae(&with) < 0.4 * mae(&without), "{} {}", mae(&with), mae(&without));
    let at = |elevation_m| with.at(Place { east_m: 1e4, north_m: 1e4, elevation_m }).unwrap();
    assert!(at(Some(525.0)).median_m > at(Some(505.0)).median_m + 6.0);
    // Nobody knows how high the peg lies: the band holds both.
    assert!(at(None).sd_m > 2.0 * at(Some(515.0)).sd_m);
}

#[test]
fn a_peg_on_a_hill_is_expected_to_be_drier_than_the_wells_below() {
    let below = [Reading { elevation_m: Some(500.0), ..reading(200.0, 0.0, 5.0, 0.2) }];
    let at = |e| {
        depth_to_water(&prior(), &below, Place { elevation_m: Some(e), ..PEG }, Options::default()).unwrap()
    };
    assert!(at(515.0).median_m > at(500.0).median_m + 2.0);
    assert!(at(515.0).sd_m > at(500.0).sd_m);
}

#[test]
fn what_cannot_be_used_is_refused() {
    let try_with = |r: Reading| depth_to_water(&prior(), &[r], PEG, Options::default()).err();
    for bad in [f64::NAN, f64::INFINITY, 1e12] {
        assert_eq!(try_with(reading(bad, 0.0, 1.0, 0.1)), Some(BadWaterTable::Reading(0)));
        assert_eq!(try_with(reading(0.0, 0.0, bad, 0.1)), Some(BadWaterTable::Reading(0)));
        let place = Place { east_m: bad, ..PEG };
        assert_eq!(depth_to_water(&prior(), &[], place, Options::default()), Err(BadWaterTable::Place));
    }
    assert_eq!(try_with(reading(0.0, 0.0, 1.0, -0.1)), Some(BadWaterTable::Reading(0)));
}

fn any_reading() -> impl Strategy<Value = Reading> {
    let place = prop_oneof![-3000.0..3000.0, Just(0.0), Just(77.0), -1e8..1e8];
    let depth = prop_oneof![0.0..40.0, Just(0.0), Just(6.0), -5.0..900.0];
    let error = prop_oneof![Just(0.0), 0.0..3.0, 0.0..300.0];
    (place.clone(), place, depth, error, proptest::option::weighted(0.8, -400.0..6000.0)).prop_map(
        |(east_m, north_m, depth_m, error_sd_m, elevation_m)| Reading {
            east_m,
            north_m,
            depth_m,
            error_sd_m,
            elevation_m,
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_wells_give_finite_bands_in_order(
        readings in proptest::collection::vec(any_reading(), 0..34),
        (mean_m, mean_sd_m, sill_m2) in (0.0..60.0, 0.0..30.0, 0.01..400.0),
        (range_m, nugget_m2) in (1.0..1e5, 0.0..200.0),
        elevation_m in proptest::option::of(-400.0..6000.0),
    ) {
        let prior = WaterTablePrior { mean_m, mean_sd_m, sill_m2, range_m, nugget_m2 };
        let model = WaterTableModel::learn(&prior, &readings, Options::default());
        prop_assert!(model.is_ok(), "{:?}", model.err());
        let model = model.unwrap();
        let w = model.at(Place { elevation_m, ..PEG });
        prop_assert!(w.is_ok(), "{:?}", w.err());
        let w = w.unwrap();
        let [a, b, c, d] = [w.band95_m[0], w.band80_m[0], w.band80_m[1], w.band95_m[1]];
        let all = [0.0, a, b, w.median_m, c, d];
        prop_assert!(all.windows(2).all(|p| p[0] <= p[1]) && d.is_finite(), "{w:?}");
        prop_assert!(w.mean_m >= 0.0 && w.mean_m.is_finite() && w.sd_m.is_finite(), "{w:?}");
        prop_assert!(w.variance_removed.is_finite() && w.variance_removed <= 1.0);
        prop_assert!(w.weights.iter().all(|x| x.weight.is_finite()));
        prop_assert_eq!(model.left_out().len(), readings.len());
        if let Some(s) = model.skill() {
            prop_assert!([s.mae_m, s.mae_median_m, s.mae_idw8_m, s.coverage80].iter().all(|v| v.is_finite()));
        }
    }

    /// With the region's figures one more well never makes the peg less
    /// certain, as long as none is called gross.
    #[test]
    fn another_well_never_makes_the_peg_less_certain(
        wells in proptest::collection::vec((-900.0..900.0, -900.0..900.0, 1.0..15.0), 1..4),
    ) {
        let readings: Vec<Reading> = wells.iter().map(|(x, y, d)| reading(*x, *y, *d, 0.3)).collect();
        let removed = |n: usize| at_peg(&readings[..n]).variance_removed;
        prop_assert!(removed(readings.len()) >= removed(readings.len() - 1) - 1e-9);
    }
}
