use proptest::prelude::*;

use super::*;

const REGION: OccurrencePrior = OccurrencePrior { chance: 0.8, worth_wells: 5.0, length_m: 1000.0 };
const HALF: OccurrencePrior = OccurrencePrior { chance: 0.5, worth_wells: 5.0, length_m: 1000.0 };

fn seen(east_m: f64, north_m: f64, yes: f64) -> Observation {
    Observation { east_m, north_m, depth_m: None, yes }
}

fn place(east_m: f64, north_m: f64) -> Place {
    Place { east_m, north_m, depth_m: None }
}

fn at_peg(prior: &OccurrencePrior, observations: &[Observation]) -> Occurrence {
    how_likely(prior, observations, place(0.0, 0.0), Options::default()).unwrap()
}

fn learn(prior: &OccurrencePrior, observations: &[Observation]) -> OccurrenceModel {
    OccurrenceModel::learn(prior, observations, Options::default()).unwrap()
}

/// Random numbers (SplitMix64, Steele & others 2014; from memory).
struct Random(u64);

impl Random {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        crate::stats::normal_quantile(self.share())
    }
}

/// Ground 20 km square whose log-odds vary as a sum of waves: normal, with the
/// covariance sd² exp(−d/length).
struct Ground {
    waves: Vec<[f64; 3]>,
    sd: f64,
    ln_odds: f64,
}

impl Ground {
    fn new(random: &mut Random, length_m: f64, sd: f64, ln_odds: f64) -> Self {
        let wave = |random: &mut Random| {
            let long = length_m * random.normal().abs().max(1e-9);
            [random.normal() / long, random.normal() / long, std::f64::consts::TAU * random.share()]
        };
        Self { waves: (0..400).map(|_| wave(random)).collect(), sd, ln_odds }
    }

    fn chance(&self, [x, y]: [f64; 2]) -> f64 {
        let sum: f64 = self.waves.iter().map(|[a, b, c]| (a * x + b * y + c).cos()).sum();
        let ln_odds = self.ln_odds + self.sd * sum * (2.0 / self.waves.len() as f64).sqrt();
        1.0 / (1.0 + (-ln_odds).exp())
    }

    fn wells(&self, random: &mut Random, n: usize) -> Vec<Observation> {
        let well = |_| {
            let at = somewhere(random);
            let yes = f64::from(u8::from(random.share() < self.chance(at)));
            seen(at[0], at[1], yes)
        };
        (0..n).map(well).collect()
    }
}

fn somewhere(random: &mut Random) -> [f64; 2] {
    [2e4 * random.share(), 2e4 * random.share()]
}

// --- Exact figures ----------------------------------------------------------------

/// Beta(4, 1) and 2 good holes of 5: (4 + 2)/(4 + 1 + 5).
#[test]
fn wells_at_the_place_itself_make_the_beta_posterior() {
    let wells = [1.0, 1.0, 0.0, 0.0, 0.0].map(|yes| seen(0.0, 0.0, yes));
    let got = at_peg(&REGION, &wells);
    assert!((got.chance - 0.6).abs() < 1e-12 && got.basis == Basis::Region);
    let exact = Beta::new(6.0, 4.0).unwrap();
    for (band, ends) in [(got.band80, [0.1, 0.9]), (got.band95, [0.025, 0.975])] {
        for (got, p) in band.into_iter().zip(ends) {
            assert!((got - exact.quantile(p).unwrap()).abs() < 1e-9);
        }
    }
    assert!((got.sd - exact.sd()).abs() < 1e-12);
    assert!((got.effective_wells - 5.0).abs() < 1e-9 && (got.prior_share - 0.5).abs() < 1e-12);
}

#[test]
fn without_wells_it_is_the_prior() {
    let got = at_peg(&REGION, &[]);
    let exact = Beta::new(4.0, 1.0).unwrap();
    assert!((got.chance - 0.8).abs() < 1e-15 && got.basis == Basis::Prior);
    assert!((got.band80[0] - exact.quantile(0.1).unwrap()).abs() < 1e-12);
    assert!(got.weights.is_empty() && got.effective_wells.abs() < 1e-12);
    assert!((got.prior_share - 1.0).abs() < 1e-15);
}

/// One well at a distance of its length: its weight is e⁻¹/(m + 1).
#[test]
fn one_well_counts_by_its_distance() {
    let got = at_peg(&REGION, &[seen(0.0, 1000.0, 0.0)]);
    let weight = (-1.0_f64).exp() / 6.0;
    assert!((got.chance - 0.8 * (1.0 - weight)).abs() < 1e-9);
    assert!((got.weights[0].weight - weight).abs() < 1e-9);
    // m / (1 − ρ²/(m + 1)).
    assert!((got.worth_wells - 5.0 / (1.0 - (-2.0_f64).exp() / 6.0)).abs() < 1e-6);
}

/// One reading of which nothing is sure, at the place itself, with a prior of
/// one half: as if it had not been taken.
#[test]
fn a_reading_of_one_half_leaves_a_prior_of_one_half() {
    let got = at_peg(&HALF, &[seen(0.0, 0.0, 0.5)]);
    assert!((got.chance - 0.5).abs() < 1e-12 && (got.worth_wells - 5.0).abs() < 1e-9);
}

#[test]
fn a_band_of_the_region_becomes_a_worth() {
    let prior = OccurrencePrior::of_band(0.35, 0.6, 0.8, 800.0).unwrap();
    let sd = 0.25 / HALF_BAND_95;
    assert!((prior.worth_wells - (0.24 / (sd * sd) - 1.0)).abs() < 1e-9);
    assert!(OccurrencePrior::of_band(0.0, 0.5, 1.0, 800.0).unwrap().worth_wells >= 0.5);
    assert!(OccurrencePrior::of_band(0.5, 0.4, 0.8, 800.0).is_err());
    assert!(OccurrencePrior::of_band(0.5, 0.5, 0.5, 800.0).is_err());
}

// --- How wells count --------------------------------------------------------------

#[test]
fn a_crowd_far_off_counts_for_what_it_has_in_common() {
    let crowd: Vec<Observation> = (0..24).map(|k| seen(2000.0, f64::from(k), 0.0)).collect();
    let got = at_peg(&REGION, &crowd);
    let most = (-2.0_f64).exp();
    assert!(got.chance > 0.8 * (1.0 - most) && got.base_share > 1.0 - most);
    let beside: Vec<Observation> = (0..24).map(|k| seen(0.0, f64::from(k), 0.0)).collect();
    assert!(at_peg(&REGION, &beside).chance < 0.2);
}

#[test]
fn wells_out_of_reach_leave_the_prior() {
    let got = at_peg(&REGION, &[seen(1e5, 0.0, 0.0), seen(0.0, -1e5, 0.0)]);
    assert!((got.chance - 0.8).abs() < 1e-9 && got.weights.is_empty());
}

#[test]
fn weights_and_shares_make_the_whole() {
    let wells: Vec<Observation> =
        (0..10).map(|k| seen(90.0 * f64::from(k), 50.0, f64::from(k % 2))).collect();
    let got = at_peg(&REGION, &wells);
    let sum: f64 = got.weights.iter().map(|w| w.weight).sum();
    assert!((sum + got.base_share - 1.0).abs() < 0.02);
    let told: f64 = got.weights.iter().map(|w| w.weight * (wells[w.observation].yes - 0.8)).sum();
    assert!((0.8 + told - got.chance).abs() < 0.02);
    assert!(got.weights.windows(2).all(|w| w[0].weight >= w[1].weight));
}

#[test]
fn wells_of_other_depths_count_less() {
    let at_depth = |z: Option<f64>| {
        let well = Observation { depth_m: z, ..seen(0.0, 0.0, 0.0) };
        let peg = Place { depth_m: Some([20.0, 20.0]), ..place(0.0, 0.0) };
        how_likely(&REGION, &[well], peg, Options::default()).unwrap()
    };
    let (same, near, far) = (at_depth(Some(20.0)), at_depth(Some(35.0)), at_depth(Some(90.0)));
    assert!(same.chance < near.chance && near.chance < far.chance && far.chance < 0.8);
    assert!((same.chance - 4.0 / 6.0).abs() < 1e-9);
    let unknown = at_depth(None);
    assert!(unknown.chance > same.chance && unknown.chance < far.chance);
    assert!(unknown.worth_wells < same.worth_wells);
}

#[test]
fn a_peg_of_uncertain_depth_learns_less() {
    let well = Observation { depth_m: Some(20.0), ..seen(0.0, 0.0, 0.0) };
    let worth = |depth_m| {
        let peg = Place { depth_m, ..place(0.0, 0.0) };
        how_likely(&REGION, &[well], peg, Options::default()).unwrap().worth_wells
    };
    assert!(worth(Some([20.0, 20.0])) > worth(Some([10.0, 30.0])));
    assert!(worth(Some([10.0, 30.0])) > worth(None) && worth(None) > 5.0);
}

#[test]
fn wells_left_out_by_name_are_as_if_never_seen() {
    let mut wells: Vec<Observation> =
        (0..20).map(|k| seen(70.0 * f64::from(k), 30.0, f64::from(k % 3 % 2))).collect();
    let model = learn(&REGION, &wells);
    let got = model.at_without(place(100.0, 0.0), |i| i >= 12).unwrap();
    wells.truncate(12);
    let fresh = learn(&REGION, &wells).at(place(100.0, 0.0)).unwrap();
    assert_eq!(got, fresh);
    let none = model.at_without(place(100.0, 0.0), |_| true).unwrap();
    assert!((none.chance - 0.8).abs() < 1e-12 && none.basis == Basis::Prior);
}

#[test]
fn a_well_left_out_is_forecast_as_if_never_seen() {
    let wells: Vec<Observation> =
        (0..15).map(|k| seen(150.0 * f64::from(k / 2), 30.0, f64::from(k % 3 % 2))).collect();
    let model = learn(&REGION, &wells);
    for l in model.left_out() {
        let at = place(wells[l.observation].east_m, wells[l.observation].north_m);
        let fresh = model.at_without(at, |i| i == l.observation).unwrap();
        assert!((l.chance - fresh.chance).abs() < 1e-3, "{l:?} {}", fresh.chance);
    }
}

// --- Edges ------------------------------------------------------------------------

#[test]
fn all_alike_stays_inside_by_the_prior() {
    for yes in [0.0, 1.0] {
        for n in [1, 24, 25, 300] {
            let wells: Vec<Observation> =
                (0..n).map(|k| seen(100.0 * f64::from(k % 17), 90.0 * f64::from(k / 17), yes)).collect();
            let got = at_peg(&HALF, &wells);
            let [low, high] = got.band95;
            assert!(0.0 < low && low <= got.chance && got.chance <= high && high < 1.0, "{n} {got:?}");
            assert!((got.chance - yes).abs() < 0.5, "{n}");
            assert!(n < 25 || got.basis == Basis::Pooled, "{n} {:?}", got.basis);
        }
    }
}

#[test]
fn thousands_at_one_spot_are_one_share() {
    let wells: Vec<Observation> = (0..12_000).map(|k| seen(5.0, 5.0, f64::from(k % 4 / 3))).collect();
    let model = learn(&HALF, &wells);
    assert_eq!(model.left_out().len(), 12_000);
    let got = model.at(place(5.0, 5.0)).unwrap();
    assert!((got.chance - 0.25).abs() < 0.01, "{got:?}");
}

#[test]
fn what_cannot_be_used_is_refused() {
    let good = seen(0.0, 0.0, 1.0);
    for bad in [
        seen(f64::NAN, 0.0, 1.0),
        seen(0.0, f64::INFINITY, 1.0),
        seen(0.0, 0.0, 1.5),
        seen(0.0, 0.0, f64::NAN),
        Observation { depth_m: Some(f64::NAN), ..good },
    ] {
        let got = OccurrenceModel::learn(&REGION, &[good, bad], Options::default());
        assert_eq!(got.err(), Some(BadOccurrence::Observation(1)));
    }
    for bad in [
        OccurrencePrior { chance: 0.0, ..REGION },
        OccurrencePrior { chance: 1.0, ..REGION },
        OccurrencePrior { worth_wells: 0.0, ..REGION },
        OccurrencePrior { worth_wells: f64::INFINITY, ..REGION },
        OccurrencePrior { length_m: f64::NAN, ..REGION },
    ] {
        assert_eq!(
            OccurrenceModel::learn(&bad, &[good], Options::default()).err(),
            Some(BadOccurrence::Prior)
        );
    }
    let model = learn(&REGION, &[good]);
    for depth_m in [Some([3.0, 2.0]), Some([f64::NAN, 2.0])] {
        assert_eq!(model.at(Place { depth_m, ..place(0.0, 0.0) }).err(), Some(BadOccurrence::Place));
    }
    assert_eq!(model.at(place(f64::NAN, 0.0)).err(), Some(BadOccurrence::Place));
    let none = Options { vertical_length_m: 0.0, ..Options::default() };
    assert_eq!(OccurrenceModel::learn(&REGION, &[good], none).err(), Some(BadOccurrence::Options));
}

// --- Simulated ground -------------------------------------------------------------

#[test]
fn pure_luck_is_told_as_the_base_rate() {
    let mut claimed = 0;
    for seed in 0..8 {
        let mut random = Random(seed);
        let ground = Ground::new(&mut random, 1000.0, 0.0, -0.4);
        let wells = ground.wells(&mut random, 80);
        let model = learn(&HALF, &wells);
        claimed += u32::from(model.skill().unwrap().carries_skill);
        if model.basis() == Basis::Pooled {
            let got = model.at(place(1e4, 1e4)).unwrap();
            let yes: f64 = wells.iter().map(|w| w.yes).sum();
            assert!((got.chance - (2.5 + yes) / 85.0).abs() < 1e-12);
            assert!(got.band80[0] < 0.4 && got.band80[1] > 0.4);
        }
    }
    assert!(claimed <= 1, "{claimed} of 8");
}

/// True chances of places never seen, in ground that varies over 3 km.
#[test]
fn bands_hold_the_true_chance_as_often_as_they_say() {
    let (mut in80, mut in95, mut places, mut better, mut carried) = (0, 0, 0, 0, 0);
    for seed in 0..8 {
        let mut random = Random(100 + seed);
        let ground = Ground::new(&mut random, 3000.0, 2.0, 0.0);
        let model = learn(&HALF, &ground.wells(&mut random, 110));
        carried += u32::from(model.skill().unwrap().carries_skill);
        let (mut error, mut of_base) = (0.0, 0.0);
        for _ in 0..40 {
            let at = somewhere(&mut random);
            let (truth, got) = (ground.chance(at), model.at(place(at[0], at[1])).unwrap());
            in80 += u32::from((got.band80[0]..=got.band80[1]).contains(&truth));
            in95 += u32::from((got.band95[0]..=got.band95[1]).contains(&truth));
            places += 1;
            error += (got.chance - truth).powi(2);
            of_base += (model.base_rate() - truth).powi(2);
        }
        better += u32::from(error < 0.9 * of_base);
    }
    let share = |k: u32| f64::from(k) / f64::from(places);
    assert!((0.70..=0.88).contains(&share(in80)), "{}", share(in80));
    assert!((0.87..=0.99).contains(&share(in95)), "{}", share(in95));
    assert!(better >= 6 && carried >= 4, "{better} {carried}");
}

#[test]
fn chances_told_come_true_as_often_as_told() {
    let mut told: Vec<(f64, f64)> = Vec::new();
    for seed in 0..3 {
        let mut random = Random(200 + seed);
        let ground = Ground::new(&mut random, 4000.0, 2.0, -1.0);
        let model = learn(&HALF, &ground.wells(&mut random, 200));
        told.extend(model.left_out().iter().map(|l| (l.chance, l.yes)));
    }
    told.sort_by(|a, b| a.0.total_cmp(&b.0));
    for part in told.chunks(150) {
        let mean = |of: fn(&(f64, f64)) -> f64| part.iter().map(of).sum::<f64>() / part.len() as f64;
        assert!((mean(|t| t.0) - mean(|t| t.1)).abs() < 0.12, "{} {}", mean(|t| t.0), mean(|t| t.1));
    }
}

#[test]
fn two_towns_keep_their_own_rates() {
    let mut random = Random(7);
    let mut town = |east_m: f64, rate: f64| -> Vec<Observation> {
        let well = |_| {
            let at = [east_m + 2000.0 * random.normal(), 2000.0 * random.normal()];
            seen(at[0], at[1], f64::from(u8::from(random.share() < rate)))
        };
        (0..60).map(well).collect()
    };
    let wells = [town(0.0, 0.1), town(1e5, 0.7)].concat();
    let model = learn(&HALF, &wells);
    assert!(model.basis() == Basis::Learnt && model.skill().unwrap().carries_skill);
    let chance = |east_m: f64| model.at(place(east_m, 500.0)).unwrap();
    assert!((chance(0.0).chance - 0.1).abs() < 0.12, "{:?}", chance(0.0));
    assert!((chance(1e5).chance - 0.7).abs() < 0.15, "{:?}", chance(1e5));
    let between = chance(5e4);
    assert!(between.band80[1] - between.band80[0] > 0.3, "{between:?}");
}

#[test]
fn rare_things_stay_rare() {
    let mut random = Random(11);
    let ground = Ground::new(&mut random, 1000.0, 0.0, (0.02_f64 / 0.98).ln());
    let wells = ground.wells(&mut random, 300);
    let model = learn(&OccurrencePrior { chance: 0.05, ..HALF }, &wells);
    let got = model.at(place(1e4, 1e4)).unwrap();
    assert!(got.chance < 0.06 && got.band95[0] < 0.02 && got.band95[1] > 0.02, "{got:?}");
}

#[test]
fn a_contaminated_layer_is_told_from_the_one_below() {
    let mut random = Random(13);
    let well = |_| {
        let (at, deep) = (somewhere(&mut random), random.share() < 0.5);
        let rate = if deep { 0.05 } else { 0.8 };
        let depth_m = Some(if deep { 90.0 } else { 20.0 } + 8.0 * random.share());
        Observation { depth_m, ..seen(at[0], at[1], f64::from(u8::from(random.share() < rate))) }
    };
    let wells: Vec<Observation> = (0..120).map(well).collect();
    let model = learn(&HALF, &wells);
    let at_depth = |z: f64| model.at(Place { depth_m: Some([z, z]), ..place(1e4, 1e4) }).unwrap().chance;
    assert!(at_depth(24.0) > 0.6 && at_depth(94.0) < 0.3, "{} {}", at_depth(24.0), at_depth(94.0));
}

// --- Promises ---------------------------------------------------------------------

fn any_well() -> impl Strategy<Value = Observation> {
    let yes = prop_oneof![Just(0.0), Just(1.0), 0.0..=1.0];
    (-5e3..5e3, -5e3..5e3, proptest::option::of(0.0..120.0), yes)
        .prop_map(|(east_m, north_m, depth_m, yes)| Observation { east_m, north_m, depth_m, yes })
}

fn any_prior() -> impl Strategy<Value = OccurrencePrior> {
    (0.01..0.99, 0.2..60.0, 50.0..2e4).prop_map(|(chance, worth_wells, length_m)| OccurrencePrior {
        chance,
        worth_wells,
        length_m,
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]

    #[test]
    fn any_wells_give_chances_in_order(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 0..32),
        at in (-6e3..6e3, -6e3..6e3, proptest::option::of((0.0..60.0, 0.0..60.0))),
    ) {
        let depth_m = at.2.map(|(top, thick)| [top, top + thick]);
        let peg = Place { east_m: at.0, north_m: at.1, depth_m };
        let got = how_likely(&prior, &wells, peg, Options::default()).unwrap();
        let ends =
            [0.0, got.band95[0], got.band80[0], got.quantile(0.5), got.band80[1], got.band95[1], 1.0];
        prop_assert!(ends.windows(2).all(|w| w[0] < w[1]), "{ends:?}");
        prop_assert!(0.0 < got.chance && got.chance < 1.0 && got.sd.is_finite());
        prop_assert!((0.0..=1.0).contains(&got.prior_share) && got.effective_wells >= 0.0);
        prop_assert!((got.sure_below(got.quantile(0.3)) - 0.3).abs() < 1e-6);
        prop_assert_eq!(how_likely(&prior, &wells, peg, Options::default()).unwrap(), got);
    }

    /// As long as what is assumed stands: fewer wells, fewer wells' worth.
    #[test]
    fn fewer_wells_are_less_sure(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 1..20),
        left in 0_usize..20,
    ) {
        let sure = |w: Observation| Observation { yes: w.yes.round(), ..w };
        let mut wells: Vec<Observation> = wells.into_iter().map(sure).collect();
        let with = at_peg(&prior, &wells);
        wells.remove(left % wells.len());
        let without = at_peg(&prior, &wells);
        prop_assert!(without.worth_wells <= with.worth_wells * (1.0 + 1e-3));
    }

    #[test]
    fn less_sure_readings_are_less_sure_chances(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 1..20),
        off in 0.0..0.5,
    ) {
        let sure: Vec<Observation> = wells.iter().map(|w| Observation { yes: w.yes.round(), ..*w }).collect();
        let unsure: Vec<Observation> =
            sure.iter().map(|w| Observation { yes: w.yes + off * (1.0 - 2.0 * w.yes), ..*w }).collect();
        let (sure, unsure) = (at_peg(&prior, &sure), at_peg(&prior, &unsure));
        prop_assert!(unsure.worth_wells <= sure.worth_wells * (1.0 + 1e-9));
    }

    /// A yes more, or a well that is more likely a yes, never lowers the
    /// chance.
    #[test]
    fn a_yes_more_never_lowers_the_chance(
        prior in any_prior(),
        wells in proptest::collection::vec(any_well(), 1..20),
        which in 0_usize..20,
    ) {
        let before = at_peg(&prior, &wells).chance;
        let mut wells = wells;
        let which = which % wells.len();
        wells[which].yes = 1.0;
        prop_assert!(at_peg(&prior, &wells).chance >= before - 1e-12);
    }
}
