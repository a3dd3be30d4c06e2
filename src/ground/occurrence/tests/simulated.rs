//! Ground of which the truth is known.

use super::*;

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
