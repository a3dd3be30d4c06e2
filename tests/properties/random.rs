//! Random surveys, as the readers would make them.

use std::collections::BTreeMap;
use std::sync::Arc;

use forebore::diag::Origin;
use forebore::place;
use forebore::survey::*;
use jiff::civil::date;
use proptest::prelude::*;

/// A survey in polar coordinates about its peg, so that it can be turned,
/// mirrored and have things moved along their own bearing.
#[derive(Debug, Clone)]
pub struct Plan2 {
    pub lat_deg: f64,
    pub lon_deg: f64,
    pub peg_accuracy_m: Option<f64>,
    pub hazards: Vec<Spot>,
    pub wells: Vec<Neighbour>,
    pub looked_for: BTreeMap<HazardKind, f64>,
    pub slope: Option<(f64, f64)>,
    pub flow_towards_deg: Option<f64>,
    /// The peg's elevation and how well it is known.
    pub peg_elevation: Option<(f64, Option<f64>)>,
    pub signs: Signs,
}

/// A hazard about the peg.
#[derive(Debug, Clone)]
pub struct Spot {
    pub kind: HazardKind,
    pub bearing_deg: f64,
    pub distance_m: f64,
    pub accuracy_m: Option<f64>,
    pub taped: bool,
    pub pit_depth_m: Option<f64>,
}

/// A neighbour about the peg.
#[derive(Debug, Clone)]
pub struct Neighbour {
    pub bearing_deg: f64,
    pub distance_m: f64,
    pub accuracy_m: Option<f64>,
    pub elevation_m: Option<f64>,
    pub elevation_accuracy_m: Option<f64>,
    pub made: Option<Made>,
    pub depth_m: Option<f64>,
    pub level_m: Option<f64>,
    pub month: Option<i8>,
    pub lowest_m: Option<f64>,
    pub outcome: Option<WellOutcome>,
    pub yield_lps: Option<f64>,
    pub log: Option<Vec<(f64, &'static str)>>,
    pub ec_us_cm: Option<f64>,
    pub arsenic_mg_l: Option<f64>,
    pub nitrate_mg_l: Option<f64>,
    pub pump_broken: Option<bool>,
}

/// Signs at the peg and the plan.
#[derive(Debug, Clone)]
pub struct Signs {
    pub flooding: Option<Flooding>,
    pub ordnance: Option<Ordnance>,
    pub boulders: Option<bool>,
    pub hard_laterite: Option<bool>,
    pub running_sand: Option<bool>,
    pub gravel: Option<bool>,
    pub fissured: Option<bool>,
    pub outcrop_m: Option<f64>,
    pub salt_water_m: Option<f64>,
    pub working_room_m: Option<f64>,
    pub access: Option<Access>,
    pub permit: Option<Consent>,
    pub land: Option<Consent>,
    pub people: Option<f64>,
    pub budget: Option<f64>,
    pub tower_height_m: Option<f64>,
    pub drilling_water: Option<f64>,
    pub lift: Option<&'static str>,
    pub start_month: Option<i8>,
    pub methods: Vec<Method>,
}

fn line(n: usize) -> Origin {
    Origin::new("survey.toml", n, 1)
}

fn seen<T>(value: T, n: usize) -> Seen<T> {
    Seen::new(value, line(n))
}

impl Plan2 {
    fn peg(&self) -> LonLat {
        LonLat::new(self.lon_deg, self.lat_deg).unwrap()
    }

    fn position(&self, bearing_deg: f64, distance_m: f64, accuracy_m: Option<f64>, taped: bool) -> Position {
        let at = place::destination(self.peg(), bearing_deg, distance_m).unwrap();
        match (accuracy_m, taped) {
            (Some(a), _) => Position {
                at,
                accuracy: Accuracy::Stated(a),
                frame: if taped { Frame::Peg } else { Frame::Wgs84 },
                taped_m: taped.then_some(distance_m),
            },
            (None, true) => Position {
                at,
                accuracy: Accuracy::UnstatedTape,
                frame: Frame::Peg,
                taped_m: Some(distance_m),
            },
            (None, false) => {
                Position { at, accuracy: Accuracy::UnstatedCoordinate, frame: Frame::Wgs84, taped_m: None }
            }
        }
    }

    /// The survey as the readers would have made it.
    pub fn survey(&self) -> Survey {
        let s = &self.signs;
        let hazards = self.hazards.iter().enumerate().map(|(i, h)| {
            let position = self.position(h.bearing_deg, h.distance_m, h.accuracy_m, h.taped);
            Hazard {
                kind: h.kind,
                written_as: None,
                name: String::new(),
                shape: Shape::Points(vec![position.at]),
                position,
                pit_depth_m: h.pit_depth_m.map(|d| seen(d, 100 + i)),
                from: line(100 + i),
            }
        });
        let wells = self.wells.iter().enumerate().map(|(i, w)| {
            let n = 1000 + i;
            let mut quality = BTreeMap::new();
            for (key, value) in [
                (Parameter::Ec, w.ec_us_cm),
                (Parameter::Arsenic, w.arsenic_mg_l),
                (Parameter::Nitrate, w.nitrate_mg_l),
            ] {
                if let Some(value) = value {
                    quality.insert(key, seen(Reading { value, below: false }, n));
                }
            }
            Well {
                name: format!("well {i}"),
                position: self.position(w.bearing_deg, w.distance_m, w.accuracy_m, false),
                elevation_m: w.elevation_m.map(|e| seen(e, n)),
                elevation_accuracy_m: w.elevation_accuracy_m.map(|e| seen(e, n)),
                made: w.made.map(|m| seen(m, n)),
                depth_m: w.depth_m.map(|d| seen(d, n)),
                water_level_m: w.level_m.map(|d| seen(d, n)),
                measured: w.month.map(|m| seen(date(2026, m, 15), n)),
                season: None,
                lowest_level_m: w.lowest_m.map(|d| seen(d, n)),
                outcome: w.outcome.map(|o| seen(o, n)),
                pump_broken: w.pump_broken.map(|b| seen(b, n)),
                yield_lps: w.yield_lps.map(|y| seen(y, n)),
                drawdown_m: None,
                log: w
                    .log
                    .iter()
                    .flatten()
                    .map(|(to_m, material)| Layer {
                        to_m: *to_m,
                        material: (*material).to_owned(),
                        hardness: None,
                        from: line(n),
                    })
                    .collect(),
                quality,
                from: line(n),
            }
        });
        Survey {
            file: "survey.toml".into(),
            region: None,
            peg: Peg {
                name: seen("random peg".to_owned(), 2),
                at: seen(
                    Position {
                        at: self.peg(),
                        accuracy: self.peg_accuracy_m.map_or(Accuracy::UnstatedCoordinate, Accuracy::Stated),
                        frame: Frame::Wgs84,
                        taped_m: None,
                    },
                    3,
                ),
                elevation_m: self.peg_elevation.map(|(e, _)| seen(e, 4)),
                elevation_accuracy_m: self.peg_elevation.and_then(|(_, a)| a).map(|a| seen(a, 4)),
            },
            visited: Some(seen(date(2026, 9, 14), 5)),
            need: Need {
                people: s.people.map(|p| seen(p, 7)),
                litres_per_person_day: Some(seen(20.0, 8)),
                other_litres_per_day: None,
            },
            plan: forebore::survey::Plan {
                methods: s.methods.iter().map(|m| seen(*m, 10)).collect(),
                lift: s.lift.map(|l| seen(l.to_owned(), 11)),
                alternative: None,
                budget: s.budget.map(|b| seen(Money { amount: b, currency: "USD".into() }, 12)),
                start: s.start_month.map(|m| seen(date(2026, m, 1), 13)),
                tower_height_m: s.tower_height_m.map(|h| seen(h, 14)),
                drilling_water_l_per_day: s.drilling_water.map(|w| seen(w, 15)),
            },
            looked_for: self.looked_for.iter().map(|(k, v)| (*k, seen(*v, 20))).collect(),
            hazards: hazards.collect(),
            wells: wells.collect(),
            ground: Ground {
                slope_pct: self.slope.map(|(p, _)| seen(p, 30)),
                slope_towards_deg: self.slope.map(|(_, b)| seen(b, 31)),
                groundwater_towards_deg: self.flow_towards_deg.map(|b| seen(b, 32)),
                flooding: s.flooding.map(|f| seen(f, 33)),
                outcrop_m: s.outcrop_m.map(|d| seen(d, 34)),
                boulders: s.boulders.map(|b| seen(b, 35)),
                hard_laterite: s.hard_laterite.map(|b| seen(b, 36)),
                running_sand: s.running_sand.map(|b| seen(b, 37)),
                gravel: s.gravel.map(|b| seen(b, 38)),
                fissured: s.fissured.map(|b| seen(b, 39)),
                salt_water_m: s.salt_water_m.map(|d| seen(d, 40)),
                working_room_m: s.working_room_m.map(|d| seen(d, 41)),
                access: s.access.map(|a| seen(a, 42)),
                ordnance: s.ordnance.map(|o| seen(o, 43)),
            },
            permission: Permission {
                permit: s.permit.map(|c| seen(c, 50)),
                land: s.land.map(|c| seen(c, 51)),
            },
            left_out: Vec::new(),
        }
    }

    /// The same survey turned about its peg, and mirrored where asked.
    pub fn turned(&self, by_deg: f64, mirror: bool) -> Self {
        let turn = |b: f64| (if mirror { -b } else { b } + by_deg).rem_euclid(360.0);
        let mut other = self.clone();
        other.hazards.iter_mut().for_each(|h| h.bearing_deg = turn(h.bearing_deg));
        other.wells.iter_mut().for_each(|w| w.bearing_deg = turn(w.bearing_deg));
        other.slope = other.slope.map(|(p, b)| (p, turn(b)));
        other.flow_towards_deg = other.flow_towards_deg.map(turn);
        other
    }
}

/// Shares of what is known: 0 knows nothing, 100 everything.
pub fn perhaps<T: std::fmt::Debug + Clone + 'static>(
    known: u32,
    value: impl Strategy<Value = T> + 'static,
) -> BoxedStrategy<Option<T>> {
    prop_oneof![
        known => value.prop_map(Some),
        100 - known => Just(None),
    ]
    .boxed()
}

const LOGS: [&[(f64, &str)]; 4] = [
    &[(1.0, "topsoil"), (6.0, "sandy clay"), (14.0, "fine sand"), (24.0, "coarse sand")],
    &[(0.5, "topsoil"), (3.0, "hard laterite"), (20.0, "saprolite")],
    &[(2.0, "clay"), (5.0, "gravel"), (7.0, "granite")],
    &[(12.0, "soft clay"), (30.0, "medium sand")],
];

pub fn spot() -> impl Strategy<Value = Spot> {
    (
        prop::sample::select(HazardKind::ALL.to_vec()),
        0.0..360.0,
        prop_oneof![0.5..40.0, 5.0..200.0],
        perhaps(85, 0.2..20.0_f64),
        any::<bool>(),
        perhaps(70, 0.5..5.0_f64),
    )
        .prop_map(
            |(kind, bearing_deg, distance_m, accuracy_m, taped, pit_depth_m): (
                _,
                _,
                f64,
                Option<f64>,
                _,
                _,
            )| {
                // What was taped and stated is not worse than a guess by eye.
                let guess_m = (distance_m * 0.5_f64).max(0.5);
                let accuracy_m = accuracy_m.map(|a| if taped { a.min(guess_m) } else { a });
                Spot { kind, bearing_deg, distance_m, accuracy_m, taped, pit_depth_m }
            },
        )
}

pub fn neighbour(known: u32) -> impl Strategy<Value = Neighbour> {
    let outcomes = vec![
        WellOutcome::InUse,
        WellOutcome::InUse,
        WellOutcome::InUse,
        WellOutcome::Dry,
        WellOutcome::Seasonal,
        WellOutcome::LowYield,
        WellOutcome::Salty,
        WellOutcome::Contaminated,
        WellOutcome::RefusedOnRock,
        WellOutcome::Collapsed,
    ];
    let made = vec![Made::Dug, Made::HandDrilled, Made::MachineDrilled, Made::TrialBore];
    (
        (0.0..360.0, prop_oneof![1.0..30.0, 20.0..1500.0], perhaps(90, 1.0..20.0_f64)),
        (
            perhaps(known, prop::sample::select(made)),
            perhaps(known, 3.0..40.0_f64),
            perhaps(known, 0.5..25.0_f64),
            perhaps(known, 1_i8..=12),
            perhaps(known / 2, 1.0..28.0_f64),
        ),
        (
            perhaps(known, prop::sample::select(outcomes)),
            perhaps(known, 0.02..1.5_f64),
            perhaps(known, prop::sample::select(LOGS.to_vec())),
            perhaps(known, 50.0..4000.0_f64),
            perhaps(known, 0.001..0.05_f64),
            perhaps(known, 1.0..90.0_f64),
            perhaps(known, any::<bool>()),
        ),
    )
        .prop_map(|(place, mut hole, mut water)| {
            // Records that contradict themselves are left out: of two figures
            // that cannot both be true, forgetting one leaves the other, and
            // nothing can be wider than both.
            let outcome = water.0;
            // A hole is as deep as its log, and one made by hand does not go
            // on through rock.
            if let Some(end) = water.2.and_then(|log| log.last()).map(|l| l.0) {
                let rock = water.2.is_some_and(|log| log.iter().any(|(_, m)| *m == "granite"));
                hole.1 = hole.1.map(|d| if rock { end } else { d.max(end) });
            }
            // Water stands in the hole.
            hole.2 = hole.2.map(|l| l.min(hole.1.unwrap_or(f64::MAX)));
            // The lowest level told is what the season and a drought explain.
            hole.4 = hole.4.map(|l| hole.2.map_or(l, |read| read + 1.0 + l / 28.0));
            // Water does not stand in a trial bore called dry.
            let fails = matches!(outcome, Some(WellOutcome::Dry | WellOutcome::Seasonal));
            if fails && hole.0 == Some(Made::TrialBore) {
                (hole.2, hole.4) = (None, None);
            }
            // Nor has one a pump.
            if hole.0 == Some(Made::TrialBore) {
                water.6 = None;
            }
            // Salty water conducts.
            if outcome == Some(WellOutcome::Salty) {
                water.3 = water.3.map(|ec| ec + 1500.0);
            }
            // A well given up for its water does not want its pump mended.
            if !matches!(
                outcome,
                None | Some(WellOutcome::InUse | WellOutcome::Seasonal | WellOutcome::LowYield)
            ) {
                water.6 = water.6.map(|_| false);
            }
            Neighbour {
                bearing_deg: place.0,
                distance_m: place.1,
                accuracy_m: place.2,
                elevation_m: None,
                elevation_accuracy_m: None,
                made: hole.0,
                depth_m: hole.1,
                level_m: hole.2,
                month: hole.3,
                lowest_m: hole.4,
                outcome: water.0,
                yield_lps: water.1,
                log: water.2.map(<[_]>::to_vec),
                ec_us_cm: water.3,
                arsenic_mg_l: water.4,
                nitrate_mg_l: water.5,
                pump_broken: water.6,
            }
        })
}

fn signs(known: u32) -> impl Strategy<Value = Signs> {
    let sel = |v: Vec<bool>| prop::sample::select(v);
    let mostly_no = || sel(vec![false, false, false, true]);
    (
        (
            perhaps(
                known,
                prop::sample::select(vec![
                    Flooding::Never,
                    Flooding::Never,
                    Flooding::SomeYears,
                    Flooding::EveryYear,
                ]),
            ),
            perhaps(
                known,
                prop::sample::select(vec![Ordnance::NoneKnown, Ordnance::Cleared, Ordnance::Suspected]),
            ),
            perhaps(known, mostly_no()),
            perhaps(known, mostly_no()),
            perhaps(known, mostly_no()),
            perhaps(known, mostly_no()),
            perhaps(known, mostly_no()),
        ),
        (
            perhaps(known, 5.0..500.0_f64),
            perhaps(known, 50.0..50_000.0_f64),
            perhaps(known, 1.0..10.0_f64),
            perhaps(
                known,
                prop::sample::select(vec![Access::Vehicle, Access::Cart, Access::OnFoot, Access::None]),
            ),
            perhaps(
                known,
                prop::sample::select(vec![Consent::Yes, Consent::Yes, Consent::Applied, Consent::No]),
            ),
            perhaps(
                known,
                prop::sample::select(vec![Consent::Yes, Consent::Yes, Consent::NotNeeded, Consent::No]),
            ),
        ),
        (
            perhaps(known, 20.0..600.0_f64),
            perhaps(known, 200.0..5000.0_f64),
            perhaps(known, 2.0..8.0_f64),
            perhaps(known, 200.0..8000.0_f64),
            perhaps(
                known,
                prop::sample::select(vec!["direct-action hand pump", "suction hand pump", "no such pump"]),
            ),
            perhaps(known, 1_i8..=12),
            prop::collection::vec(prop::sample::select(Method::ALL.to_vec()), 0..3),
        ),
    )
        .prop_map(|(a, b, c)| Signs {
            flooding: a.0,
            ordnance: a.1,
            boulders: a.2,
            hard_laterite: a.3,
            running_sand: a.4,
            gravel: a.5,
            fissured: a.6,
            outcrop_m: b.0,
            salt_water_m: b.1,
            working_room_m: b.2,
            access: b.3,
            permit: b.4,
            land: b.5,
            people: c.0,
            budget: c.1,
            tower_height_m: c.2,
            drilling_water: c.3,
            lift: c.4,
            start_month: c.5,
            methods: c.6,
        })
}

/// A random survey without elevations; how much is known varies from little to
/// nearly all.
pub fn unlevelled() -> impl Strategy<Value = Plan2> {
    prop::sample::select(vec![30_u32, 70, 92]).prop_flat_map(|known| {
        (
            (-75.0..75.0, -180.0..180.0, perhaps(90, 1.0..15.0_f64)),
            prop::collection::vec(spot(), 0..5),
            prop::collection::vec(neighbour(known), 0..5),
            prop::collection::vec(
                perhaps(known.max(50), prop_oneof![1 => 5.0..60.0_f64, 3 => 60.0..400.0_f64]),
                HazardKind::ALL.len(),
            )
            .prop_map(|radii| {
                HazardKind::ALL.into_iter().zip(radii).filter_map(|(k, r)| Some((k, r?))).collect()
            }),
            perhaps(known, (0.0..12.0_f64, 0.0..360.0_f64)),
            perhaps(known, 0.0..360.0_f64),
            signs(known),
        )
            .prop_map(|(peg, hazards, wells, looked_for, slope, flow, signs)| Plan2 {
                lat_deg: peg.0,
                lon_deg: peg.1,
                peg_accuracy_m: peg.2,
                hazards,
                wells,
                looked_for,
                slope,
                flow_towards_deg: flow,
                peg_elevation: None,
                signs,
            })
    })
}

/// An owned survey behind an `Arc`, as the facts want it.
pub fn shared(plan: &Plan2) -> Arc<Survey> {
    Arc::new(plan.survey())
}
