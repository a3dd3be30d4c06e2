//! The mill crossing told otherwise: every reading moved about its limits.

use forebore::diag::Origin;
use forebore::survey::{FluidLoss, HoleCasing, Inspected, Method, Parameter, Reading, Seen, Survey};
use jiff::civil::date;
use proptest::prelude::*;

/// What is told otherwise.
#[derive(Debug, Clone)]
pub struct Drawn {
    method: Method,
    casing: HoleCasing,
    agreed_m: f64,
    level_m: f64,
    month: i8,
    rows: usize,
    slow: f64,
    idle: usize,
    material: (usize, &'static str),
    trouble: (usize, u8),
    loss: f64,
    ec: f64,
    screen: (f64, f64),
    closed: (f64, f64, f64, f64),
    developed: (f64, bool),
    pump_m: f64,
    bailed: bool,
    drawn_down: f64,
    rate: f64,
    test_rows: usize,
    quality: [f64; 7],
    disinfected: (f64, f64, bool, i8),
    looked: (u32, f64, bool),
    people: f64,
}

fn seen<T>(value: T) -> Option<Seen<T>> {
    Some(Seen::new(value, Origin::new("drawn.toml", 1, 1)))
}

pub fn drawn() -> impl Strategy<Value = Drawn> {
    let mostly = |value: bool| prop::sample::select(vec![value, value, value, value, !value]);
    (
        (
            prop::sample::select(vec![
                Method::Sludging,
                Method::Sludging,
                Method::HandAuger,
                Method::ManualRotaryJetting,
            ]),
            prop::sample::select(vec![HoleCasing::None, HoleCasing::AtHand, HoleCasing::Set]),
            prop::sample::select(vec![20.0, 25.8, 26.0, 28.0, 40.0]),
            8.0..22.0_f64,
            1_i8..=12,
            prop::sample::select(vec![3_usize, 6, 8, 11, 11, 11]),
            prop::sample::select(vec![0.5, 1.0, 3.0, 8.0, 20.0]),
            prop::sample::select(vec![0_usize, 0, 0, 1, 2, 3]),
        ),
        (
            (
                0..11_usize,
                prop::sample::select(vec![
                    "medium sand",
                    "medium sand",
                    "stiff clay",
                    "coarse gravel",
                    "running sand",
                    "boulders",
                    "granite",
                ]),
            ),
            (0..11_usize, 0..8_u8),
            prop::sample::select(vec![0.0, 1.0, 1.0, 3.0]),
            prop::sample::select(vec![1.0, 1.0, 5.0, 7.0, 10.0]),
            (prop::sample::select(vec![12.0, 14.0, 17.0, 18.5, 20.0]), 1.0..7.0_f64),
            (-1.0..3.0_f64, 0.2..1.2_f64, 1.0..8.0_f64, 0.0..1.5_f64),
            (0.0..5.0_f64, mostly(true)),
        ),
        (
            12.0..24.0_f64,
            prop::sample::select(vec![false, false, false, true]),
            prop::sample::select(vec![0.5, 1.0, 2.0, 4.0, 8.0]),
            prop::sample::select(vec![0.2, 0.6, 1.0, 2.0]),
            prop::sample::select(vec![4_usize, 10, 16, 22, 28, 28]),
            prop::array::uniform7(prop::sample::select(vec![0.0, 0.3, 1.0, 1.0, 3.0, 12.0, 40.0])),
            (
                prop::sample::select(vec![20.0, 50.0, 100.0, 100.0]),
                prop::sample::select(vec![6.0, 12.0, 20.0, 24.0]),
                mostly(true),
                prop::sample::select(vec![10_i8, 13, 16, 16]),
            ),
            (0..8_u32, 0.5..1.6_f64, mostly(true)),
            prop::sample::select(vec![50.0, 160.0, 160.0, 400.0, 1500.0]),
        ),
    )
        .prop_map(|(a, b, c)| Drawn {
            method: a.0,
            casing: a.1,
            agreed_m: a.2,
            level_m: a.3,
            month: a.4,
            rows: a.5,
            slow: a.6,
            idle: a.7,
            material: b.0,
            trouble: b.1,
            loss: b.2,
            ec: b.3,
            screen: b.4,
            closed: b.5,
            developed: b.6,
            pump_m: c.0,
            bailed: c.1,
            drawn_down: c.2,
            rate: c.3,
            test_rows: c.4,
            quality: c.5,
            disinfected: c.6,
            looked: c.7,
            people: c.8,
        })
}

impl Drawn {
    /// Tells the survey so.
    pub fn apply(&self, survey: &mut Survey) {
        self.drill(survey);
        self.complete(survey);
        self.hand_over(survey);
        survey.need.people = seen(self.people);
    }

    fn drill(&self, survey: &mut Survey) {
        let d = &mut survey.drilling;
        d.method = seen(self.method);
        d.casing = seen(self.casing);
        d.agreed_depth_m = seen(self.agreed_m);
        d.water_level_m = seen(self.level_m);
        d.measured = seen(date(2026, self.month, 7));
        d.progress.truncate(self.rows);
        for row in &mut d.progress {
            row.minutes.iter_mut().for_each(|m| m.value = (m.value * self.slow).min(1_440.0));
            row.fluid_loss_l_per_m.iter_mut().for_each(|l| l.value *= self.loss);
            if self.loss <= 0.0 {
                row.fluid_loss = seen(FluidLoss::None);
            }
            row.ec_us_cm.iter_mut().for_each(|ec| ec.value.value *= self.ec);
        }
        let n = d.progress.len();
        let row = &mut d.progress[self.material.0 % n];
        row.material = Some(self.material.1.to_owned());
        // Soft granite would contradict itself.
        row.hardness = None;
        let row = &mut d.progress[self.trouble.0 % n];
        match self.trouble.1 {
            0 => row.caving = seen(true),
            1 => row.gas = seen(true),
            2 => row.flows_out = seen(true),
            3 => row.fluid_loss = seen(FluidLoss::Total),
            _ => {}
        }
        let last = d.progress[n - 1].clone();
        for _ in 0..self.idle {
            d.progress.push(last.clone());
        }
    }

    fn complete(&self, survey: &mut Survey) {
        let c = &mut survey.completion;
        let (top, length) = self.screen;
        let (pack, clay, seal, sump) = self.closed;
        c.screen_top_m = seen(top);
        c.screen_bottom_m = seen(top + length);
        c.depth_m = seen(top + length + sump);
        c.pack_top_m = seen(top - pack);
        c.clay_bottom_m = seen(top - pack);
        c.clay_top_m = seen(top - pack - clay);
        c.sanitary_seal_m = seen(seal);
        c.developed_hours = seen(self.developed.0);
        c.clear_of_sand = seen(self.developed.1);
    }

    fn hand_over(&self, survey: &mut Survey) {
        let h = &mut survey.handover;
        h.pump_depth_m = seen(self.pump_m);
        h.bailed = seen(self.bailed);
        h.test.truncate(self.test_rows);
        let rest = h.rest_level_m.as_ref().map_or(0.0, |r| r.value);
        for reading in &mut h.test {
            let drawn = |l: &mut Seen<f64>| l.value = rest + (l.value - rest) * self.drawn_down;
            reading.level_m.iter_mut().for_each(drawn);
            reading.rate_lps.iter_mut().for_each(|q| q.value *= self.rate);
        }
        for (parameter, by) in Parameter::ALL.into_iter().zip(self.quality) {
            let told = |reading: &mut Seen<Reading>| {
                let below = reading.value.below && by <= 1.0;
                reading.value = Reading { value: reading.value.value * by, below };
            };
            h.quality.entry(parameter).and_modify(told);
        }
        let (dose, contact, smell, day) = self.disinfected;
        h.dose_mg_l = seen(dose);
        h.contact_h = seen(contact);
        h.smell_gone = seen(smell);
        h.sampled = seen(date(2026, 5, day));
        let (risks, apron, caretaker) = self.looked;
        for (n, (question, _)) in (0..).zip(Inspected::ALL) {
            h.inspection.insert(question, Seen::new(n < risks, Origin::new("drawn.toml", 2, 1)));
        }
        h.apron_m = seen(apron);
        h.caretaker_trained = seen(caretaker);
    }
}
